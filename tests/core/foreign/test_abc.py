"""ABC 2.1: fields, notes, chord symbols, repeats, endings, parts, voices; bad text refused in one sentence.

Source of the rules: the ABC standard, version 2.1 (December 2011), sections named beside each test (from memory of the
text); of the order of bars and of melodies of whole tunes: music21 10.5.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from random import Random

import pytest

from core.chart import Chart, check_chart
from core.errors import ChangewrightError, FileError
from core.foreign import read_foreign
from core.foreign.abc_fields import parse_abc_key, parse_abc_tempo, played_parts
from core.foreign.abc_read import abc_reading
from core.foreign.xml_stream import Refused
from core.imported import Imported

HEAD = "X:1\nT:Quay\nM:4/4\nL:1/4\nK:{key}\n"


def read(body: str, key: str = "C", **choices: str) -> Imported:
    return abc_reading((HEAD.format(key=key) + body).encode(), "untitled", choices)


def notes(chart: Chart) -> list[tuple[str, str, str]]:
    return [(str(note.onset), str(note.duration), str(note.pitch)) for note in chart.melody]


def pitches(body: str, key: str = "C") -> list[str]:
    return [str(note.pitch) for note in read(body, key).chart.melody]


def slots(chart: Chart) -> list[tuple[str, str]]:
    return [(str(slot.onset), slot.text) for slot in chart.standard]


def order(body: str) -> str:
    return " ".join(bar.printed for bar in read(body).chart.form.bars)


# --- fields (3.1, 4.6) ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("text", "key", "signature"), [
    ("C", "C major", {}), ("Bb", "Bb major", {"B": -1, "E": -1}), ("F#m", "F# minor", {"F": 1, "C": 1, "G": 1}),
    ("Edor", "E minor", {"F": 1, "C": 1}), ("D Mix", "D major", {"F": 1}), ("Glyd", "G major", {"F": 1, "C": 1}),
    ("Aphr", "A minor", {"B": -1}), ("Bloc", "B minor", {}), ("DMIN", "D minor", {"B": -1}),
    ("D exp _b _e ^f", "D major", {"B": -1, "E": -1, "F": 1}), ("D =c", "D major", {"F": 1, "C": 0}),
    ("none", "C major", {}), ("HP", "A major", {"F": 1, "C": 1}), ("G clef=bass", "G major", {"F": 1}),
])  # fmt: skip
def test_keys_and_modes(text: str, key: str, signature: dict[str, int]) -> None:
    found = parse_abc_key(text)
    assert found is not None
    assert (str(found.key), found.signature) == (key, signature)


def test_a_mode_that_is_read_as_another_is_said() -> None:
    assert "The mode dorian is read as E minor." in read("E4|", "Edor").report
    assert str(read("E4|", "Edor").chart.melody[0].pitch) == "E4"
    assert pitches("C F|", "Edor") == ["C#4", "F#4"]


@pytest.mark.parametrize(("text", "tempo", "words"), [
    ("1/4=120", 120, ""), ("1/8=200", 100, ""), ("3/8=80", 120, ""), ("1/4 3/8=40", 100, ""), ('"Slow" 1/2=50', 100, "Slow"),
    ("120", 60, ""), ("C=100", 50, ""), ("C3=60", 90, ""), ('"Bossa"', None, "Bossa"), ("1/0=9", None, ""),
])  # fmt: skip
def test_tempo(text: str, tempo: int | None, words: str) -> None:
    assert parse_abc_tempo(text, Fraction(1, 2)) == (tempo, words)


def test_unit_follows_the_metre_where_none_is_given() -> None:
    # 3.1.7: below 0.75 a sixteenth, else an eighth.
    for meter, length in (("4/4", "1/2"), ("3/4", "1/2"), ("2/4", "1/4"), ("6/8", "1/2"), ("C|", "1/2")):
        chart = abc_reading(f"X:1\nM:{meter}\nK:C\nC|C|".encode(), "t", {}).chart
        assert str(chart.melody[0].duration) == length


def test_header_is_taken_over() -> None:
    text = "X:1\nT:Caf\\'e Quay\nC:A. Mole\nR:Bossa\nQ:1/4=132\nM:C|\nL:1/8\nK:Eb\nE8|"
    imported = abc_reading(text.encode(), "t", {})
    chart = imported.chart
    assert (chart.title, chart.composer, chart.feel, chart.tempo) == ("Café Quay", "A. Mole", "Bossa", 132)
    assert (str(chart.meter), str(chart.key)) == ("2/2", "Eb major")
    assert imported.report == ("The score has no chord symbols, so the row is without chords.",
                               "The words 'Bossa' are read as the feel.")  # fmt: skip


# --- notes (4.1 to 4.5, 4.11 to 4.13, 4.17) --------------------------------------------------------------------------


def test_lengths_octaves_and_rests() -> None:
    chart = read("C, c' z B/ A//A// G3/2 x/|Z2|c4|").chart
    assert notes(chart) == [("0", "1", "C3"), ("1", "1", "C6"), ("3", "1/2", "B4"), ("7/2", "1/4", "A4"),
                            ("15/4", "1/4", "A4"), ("4", "3/2", "G4"), ("14", "4", "C5")]  # fmt: skip
    assert [str(bar.length) for bar in chart.form.bars] == ["6", "4", "4", "4"]


def test_accidentals_last_to_the_bar_line_in_every_octave() -> None:
    # 11.3: propagate-accidentals is "pitch" unless the tune says otherwise.
    assert pitches("^F f F,|F4|") == ["F#4", "F#5", "F#3", "F4"]
    assert pitches("I:propagate-accidentals octave\n^F f F2|") == ["F#4", "F5", "F#4"]
    assert pitches("%%propagate-accidentals not\n^F F2 =F|") == ["F#4", "F4", "F4"]
    assert pitches("^^F __B =B B|", "Bb") == ["F##4", "Bbb4", "B4", "B4"]


def test_ties_keep_their_accidental_and_join_over_bar_lines_and_into_both_endings() -> None:
    assert notes(read("z3 ^F-|F4|F4|").chart) == [("3", "5", "F#4"), ("8", "4", "F4")]
    played = read("|:C3 D-|1 D4:|2 D4|").chart
    assert [(str(note.onset), str(note.duration)) for note in played.melody] == [
        ("0", "3"),
        ("3", "5"),
        ("8", "3"),
        ("11", "5"),
    ]


def test_tuplets_broken_rhythm_and_chords() -> None:
    assert [str(note.duration) for note in read("(3CDE (3:2:2FG2 A|").chart.melody] == ["2/3"] * 4 + ["4/3", "1"]
    assert [str(note.duration) for note in read("C>D E<F G>>A|").chart.melody] == [
        "3/2",
        "1/2",
        "1/2",
        "3/2",
        "7/4",
        "1/4",
    ]
    imported = read("[CEG]2 [Ac]2|")
    assert notes(imported.chart) == [("0", "2", "G4"), ("2", "2", "C5")]
    assert "Bar 1: chords in the melody, the top note is kept." in imported.report


def test_grace_notes_lyrics_and_overlays_are_reported() -> None:
    imported = read("{/cd}C4|C4 & E4|\nw:one two")
    assert [str(note.pitch) for note in imported.chart.melody] == ["C4", "C4"]
    for line in (
        "Bar 1: grace notes are not kept.",
        "Bar 2: a second voice in the bar is not kept.",
        "Lyrics are not kept.",
    ):
        assert line in imported.report


# --- chord symbols (4.18, 4.19) --------------------------------------------------------------------------------------


def test_chord_symbols() -> None:
    imported = read('"Ebmaj7"E2 "Adim7"z "Bb7/D"B|"^slowly"z4|"(Fm7)"F2"N.C."G2|"C(Em)"C4|"Dm7""G7"D4|"4"C4|', "Eb")
    assert slots(imported.chart) == [("0", "Ebmaj7"), ("2", "Adim7"), ("3", "Bb7/D"), ("8", "Fm7"), ("10", "N.C."),
                                     ("12", "C"), ("16", "Dm7"), ("18", "G7")]  # fmt: skip
    assert imported.chart.standard[3].optional
    for line in ("Bar 2: words above the notes are not kept.", "Bar 4: an alternate harmony is not kept.",
                 "Bar 5: several chord symbols at one place share the time to the next.", "Bar 6: fingerings are not kept."):  # fmt: skip
        assert line in imported.report


def test_a_chord_text_that_is_none_is_said() -> None:
    assert "Bar 1: the chord text 'Gq7' could not be read and is not kept." in read('"Gq7"C4|').report


# --- bars (4.8 to 4.10, 3.1.9) ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(("body", "expected"), [
    ("C4|D4|", "1 2"),
    ("|:C4|D4:|E4|", "1 2 1 2 3"),
    ("C4|D4:|E4|", "1 2 1 2 3"),
    ("|:C4::D4:|", "1 1 2 2"),
    ("|:C4:|:D4:|", "1 1 2 2"),
    ("|:C4|1 D4:|2 E4||F4|", "1 2 1 3 4"),
    ("C4||D4:|E4|", "1 2 2 3"),
    ("|:C4||D4:|E4|", "1 2 1 2 3"),
    ("|:C4|[1 D4:|[2 E4|]", "1 2 1 3"),
    ("|:C4|1,2 D4:|3 E4|", "1 2 1 2 1 3"),
    ("|:C4|1-3 D4:|4 E4|", "1 2 1 2 1 2 1 3"),
    ("|::C4::|", "1 1 1"),
    ("|:C4|1 D4|E4:|2 F4|G4||A4|", "1 2 3 1 4 5 6"),
    ("C|D4|E3:|", "0 1 2 0 1 2"),
    ("!segno!C4|D4|\"^D.S.\"E4|", "1 2 3 1 2 3"),
    ("C4|!fine!D4|E4!D.C.alfine!|", "1 2 3 1 2"),
    ("C4|D4!dacoda!|E4!D.C.!|!coda!F4|", "1 2 3 1 2 4"),
    ("SC4|OD4|E4 \"^D.S. al Coda\"|OF4|", "1 2 3 1 2 4"),
])  # fmt: skip
def test_order_of_bars(body: str, expected: str) -> None:
    assert order(body) == expected


def test_order_of_parts() -> None:
    assert played_parts("A(AABBB)2(AACCC)2") == "AAABBBAABBBAACCCAACCC"
    assert played_parts("A.B.A2") == "ABAA"
    body = "P:A\nC4|\nP:B\nD4:|\n"
    text = HEAD.format(key="C").replace("K:C", "P:ABA\nK:C") + body
    imported = abc_reading(text.encode(), "t", {})
    assert [str(note.pitch) for note in imported.chart.melody] == ["C4", "D4", "D4", "C4"]
    assert [bar.printed for bar in imported.chart.form.bars] == ["1", "2", "2", "1"]
    assert [section.name for section in imported.chart.form.sections] == ["A", "B", "B", "A"]
    assert "The parts are written out in the order they are played, ABA." in imported.report
    with pytest.raises(Refused, match="plays its parts more often"):
        played_parts("(((A9)99)99)99")


def test_changes_inside_the_tune() -> None:
    chart = read("C4|[M:3/4][K:Bb]B3|\nM:2/4\nL:1/8\nB4|").chart
    assert [str(bar.meter) for bar in chart.form.bars] == ["4/4", "3/4", "2/4"]
    assert [str(bar.key) for bar in chart.form.bars] == ["C major", "Bb major", "None"] or chart.form.bars[
        0
    ].key is None
    assert [str(note.pitch) for note in chart.melody] == ["C4", "Bb4", "Bb4"]


def test_bars_without_bar_lines_are_cut_at_the_metre() -> None:
    imported = read("CDEF " * 7 + "G-G3|")
    assert len(imported.chart.form.bars) == 8
    assert "Bar 1: a stretch without bar lines is cut at the metre." in imported.report


def test_halves_of_a_bar_at_a_repeat_are_no_fault() -> None:
    assert not any("metre" in line for line in read("C|D4|E3:|F|G4|A3|]").report)
    assert any("Bar 2: shorter than its metre" in line for line in read("C4|D2|E4|").report)


# --- voices, files ---------------------------------------------------------------------------------------------------

TWO = 'V:T name="Horn" clef=treble-8\nV:B name="Bass"\n[V:T]c4|d4|\n[V:B]"C"C,4|"G7"G,,4|\n'


def test_voices_are_parts_and_the_melody_can_be_chosen() -> None:
    imported = read(TWO)
    assert [str(note.pitch) for note in imported.chart.melody] == ["C4", "D4"]
    question = next(question for question in imported.questions if question.id == "melody")
    assert [option.text for option in question.options] == ["Horn", "Bass", "no melody"]
    other = read(TWO, melody=question.options[1].value)
    assert [str(note.pitch) for note in other.chart.melody] == ["C3", "G2"]
    assert "Of 2 parts 'Bass' is read as the melody." in other.report
    assert read(TWO, melody="none").chart.melody == ()
    assert slots(imported.chart) == [("0", "C"), ("4", "G7")]


def test_one_tune_of_a_book_is_read_and_another_can_be_chosen() -> None:
    book = b"%abc-2.1\n\nX:1\nT:Ebb\nK:C\nC8|\n\nsome words\n\nX:2\nT:Flood\nK:G\nG8|\n"
    first = abc_reading(book, "book", {})
    assert first.chart.title == "Ebb"
    assert "Of 2 tunes in the file 'Ebb' is read." in first.report
    assert [option.text for option in first.questions[0].options] == ["Ebb", "Flood"]
    assert abc_reading(book, "book", {"tune": "1"}).chart.title == "Flood"
    assert abc_reading(book, "book", {"tune": "77"}).chart.title == "Ebb"


@pytest.mark.parametrize(("data", "message"), [
    (b"", "is empty"), (b"Dm7 G7", "holds no ABC tune"), (b"X:1\nT:Only a head\nK:C\n", "holds no ABC tune"),
    (b"X:1\nK:C\nC0|", "no length"), (b"X:1\nK:C\nC/0|", "no length"), (b"\0" * 50, "is not text"),
    (b"X:1\nM:none\nK:C\nC99999|", "has a bar of"), (Random(1).randbytes(5000), "is not"),
    (b"X:1\nK:C\n" + b"C|" * 9000, "more than 5000 bars"), (b"X:1\nK:C\n" + b"C" * 400_000, "holds more notes|more than|takes longer"),
    (b"X:1\nK:C\n" + b"[" * 200_000, "holds no bars|takes longer"), (b"X:1\nK:C\n" + b"\"" * 200_001, "holds no bars"),
    (b"C" * 9_000_000, "MB of text"),
])  # fmt: skip
def test_bad_abc_is_refused(data: bytes, message: str, tmp_path: Path) -> None:
    path = tmp_path / "tune.abc"
    path.write_bytes(data)
    with pytest.raises(FileError, match=message) as caught:
        read_foreign(path)
    assert str(caught.value).count("\n") == 0


def test_damaged_tunes_are_read_or_refused_and_nothing_else() -> None:
    good = (HEAD.format(key="Eb") + TWO + '|:"Cm7"(3CDE F>G [CE]2 {g}a|1 z4:|2 "N.C."x4|] P:B\n[K:F]').encode()
    readable = 0
    for seed in range(300):
        random = Random(seed)
        data = bytearray(good)
        for _ in range(random.randint(1, 9)):
            data[random.randrange(len(data))] = random.choice(b'|:[](){}"^_=<>/-0129CcZzKMVP \n\\%!+&')
        try:
            chart = abc_reading(bytes(data), "t", {}).chart
        except (Refused, ChangewrightError):
            continue
        readable += check_chart(chart) is chart
    assert readable > 150
