"""What a score holds comes into the chart exactly; everything guessed or dropped is said with its bar."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from music21 import converter

from core.foreign import read_foreign
from core.key import parse_key
from tests.core.foreign.scores import (
    START,
    WHOLE,
    attributes,
    harmony,
    metronome,
    note,
    notes,
    read,
    score,
    slots,
    words,
)

REFERENCE = Path(__file__).parents[2] / "reference" / "musicxml"


def said(report: tuple[str, ...], text: str) -> bool:
    return any(text in line for line in report)


# --- whole files ----------------------------------------------------------------------------------------------------


def test_a_transposing_waltz_with_pickup_triplets_and_endings() -> None:
    imported = read_foreign(REFERENCE / "pier_waltz.musicxml")
    chart = imported.chart
    assert imported.report == ()
    assert (chart.title, chart.composer, str(chart.key), str(chart.meter)) == (
        "Pier Waltz",
        "A. Mole",
        "Eb major",
        "3/4",
    )
    assert (chart.tempo, chart.feel, chart.form.pickup) == (144, "Jazz waltz", True)
    assert [bar.number for bar in chart.form.bars] == [0, 1, 2, 3, 4]
    assert [bar.printed for bar in chart.form.bars] == ["0", "1", "2", "1", "3"]
    assert slots(chart) == [("0", "N.C."), ("1", "Ebmaj7"), ("3", "Adim7"), ("4", "Fm7"), ("6", "Bb13/D"),
                            ("7", "Ebmaj7"), ("9", "Adim7"), ("10", "Eb6")]  # fmt: skip
    third = Fraction(2, 3)
    assert [(n.onset, n.duration, str(n.pitch)) for n in chart.melody] == [
        (0, 1, "Bb4"), (1, third, "G4"), (1 + third, third, "Ab4"), (1 + 2 * third, third, "Bb4"), (3, 4, "C5"),
        (7, third, "G4"), (7 + third, third, "Ab4"), (7 + 2 * third, third, "Bb4"), (9, 3, "C5"),
    ]  # fmt: skip
    assert [section.name for section in chart.form.sections] == ["A", "A"]


def test_a_timewise_score_takes_the_singer_and_the_piano_symbols() -> None:
    imported = read_foreign(REFERENCE / "night_watch.xml")
    chart = imported.chart
    assert notes(chart) == [("0", "4", "G4"), ("4", "4", "C5")]
    assert slots(chart) == [("0", "Cm"), ("4", "G7b9"), ("6", "Cm")]
    assert str(chart.key) == "C minor"
    for text in ("of 2 parts 'Voice'", "symbols are taken from 'Piano'", "mode is not stated; C minor is guessed",
                 "no tempo", "no feel", "lyrics are not kept"):  # fmt: skip
        assert said(tuple(line.lower() for line in imported.report), text.lower())


def test_the_same_waltz_at_concert_pitch_in_music21() -> None:
    """music21's own transposition to sounding pitch gives the same melody. Source: music21 10.5, toSoundingPitch."""
    part = converter.parse(REFERENCE / "pier_waltz.musicxml").parts[0].toSoundingPitch().expandRepeats().stripTies()
    theirs = [(Fraction(n.getOffsetInHierarchy(part)).limit_denominator(12), n.pitch.midi) for n in part.recurse().notes
              if n.classes[0] == "Note"]  # fmt: skip
    ours = [(n.onset, n.pitch.midi) for n in read_foreign(REFERENCE / "pier_waltz.musicxml").chart.melody]
    assert ours == theirs


# --- melody ---------------------------------------------------------------------------------------------------------


def test_ties_merge_across_bars_and_along_repeats() -> None:
    start, stop = '<tie type="start"/>', '<tie type="stop"/>'
    text = score(note("C", 4, extra=start), note("C", 2, extra=stop + start) + note("C", 2, extra=stop), WHOLE)
    assert notes(read(text)[0]) == [("0", "8", "C4"), ("8", "4", "C5")]


def test_a_tie_in_notations_alone_is_a_tie() -> None:
    tied = '<notations><tied type="{}"/></notations>'
    text = score(note("C", 4, extra=tied.format("start")), note("C", 4, extra=tied.format("stop")))
    assert notes(read(text)[0]) == [("0", "8", "C4")]


def test_triplets_that_the_file_had_to_round_are_exact() -> None:
    """16 divisions cannot hold a triplet eighth: the file counts 5, 6, 5 and the type says a third."""
    shape = ("<type>eighth</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes>"
             "</time-modification>")  # fmt: skip
    triplet = note("C", 5, extra=shape) + note("D", 6, extra=shape) + note("E", 5, extra=shape)
    text = score(triplet + note("G", 48), first=attributes(divisions=16))
    assert notes(read(text)[0]) == [("0", "1/3", "C4"), ("1/3", "1/3", "D4"), ("2/3", "1/3", "E4"), ("1", "3", "G4")]


def test_nested_tuplets_and_changing_divisions() -> None:
    """A quintuplet inside a triplet: 15 notes in the time of 8; then the divisions change inside the score."""
    shape = ("<type>16th</type><time-modification><actual-notes>15</actual-notes><normal-notes>8</normal-notes>"
             "</time-modification>")  # fmt: skip
    inner = "".join(note("C", 2, extra=shape) for _ in range(5))
    text = score(inner + note("D", 15 * 3 + 5), "<attributes><divisions>4</divisions></attributes>" + note("E", 16),
                 first=attributes(divisions=15))  # fmt: skip
    chart, _ = read(text)
    assert [n.duration for n in chart.melody[:5]] == [Fraction(2, 15)] * 5
    assert notes(chart)[-2:] == [("2/3", "10/3", "D4"), ("4", "4", "E4")]


def test_grace_cue_chord_and_second_voice_are_reported_with_their_bars() -> None:
    grace = "<note><grace/><pitch><step>B</step><octave>4</octave></pitch><voice>1</voice></note>"
    chord = note("C", 4, 4) + note("E", 4, 5, before="<chord/>") + note("G", 4, 4, before="<chord/>")
    two = note("C", 4, 5) + "<backup><duration>4</duration></backup>" + note("E", 4).replace("voice>1", "voice>2")
    cue = note("D", 4, before="<cue/>")
    chart, report = read(score(grace + WHOLE, chord, two, cue, chord))
    assert notes(chart) == [("0", "4", "C5"), ("4", "4", "E5"), ("8", "4", "C5"), ("16", "4", "E5")]
    for line in ("Bar 1: grace notes are not kept.", "Bars 2, 5: chords in the melody, the top note is kept.",
                 "Bar 3: other voices are not kept.", "Bar 4: cue notes are not kept."):  # fmt: skip
        assert line in report


def test_transposition_by_octaves_and_without_a_diatonic_step() -> None:
    bass = attributes().replace("</attributes>", "<transpose><chromatic>0</chromatic><octave-change>-1</octave-change>"
                                "</transpose></attributes>")  # fmt: skip
    chart, _ = read(score(harmony("C") + WHOLE, first=bass))
    assert (notes(chart), slots(chart)) == ([("0", "4", "C4")], [("0", "C")])
    alto = attributes(fifths=0).replace(
        "</attributes>", "<transpose><chromatic>-9</chromatic></transpose></attributes>"
    )
    chart, _ = read(score(harmony("A", "minor-seventh", "m7") + note("A", 4), first=alto))
    assert (str(chart.key), notes(chart), slots(chart)) == ("Eb major", [("0", "4", "C4")], [("0", "Cm7")])


def test_quarter_tones_and_rhythm_slashes() -> None:
    bent = note("C", 4).replace("</step>", "</step><alter>0.5</alter>")
    slash = note("B", 4, extra="<notehead>slash</notehead>")
    chart, report = read(score(bent, slash))
    assert len(chart.melody) == 1
    assert said(report, "Bar 1: notes between the keys")
    assert said(report, "Bar 2: rhythm slashes")


# --- bars -----------------------------------------------------------------------------------------------------------


def test_short_and_overfull_bars_keep_their_length() -> None:
    chart, report = read(score(WHOLE, note("C", 3), note("D", 5), WHOLE))
    assert [bar.length for bar in chart.form.bars] == [4, 3, 5, 4]
    assert "Bar 2: shorter than its metre 4/4 (3 quarter notes), kept so." in report
    assert "Bar 3: longer than its metre 4/4 (5 quarter notes), kept so." in report
    assert chart.form.pickup is False


@pytest.mark.parametrize(("first", "pickup"), [
    ('<measure number="0">' + note("C", 4) + "</measure>", True),
    ('<measure number="1">' + note("C", 1), True),
    ('<measure number="X1" implicit="yes">' + note("C", 1), True),
    ('<measure number="1" implicit="no">' + note("C", 1), False),
    (WHOLE, False),
])  # fmt: skip
def test_pickup(first: str, pickup: bool) -> None:
    text = score(first.removesuffix("</measure>") + ("</measure>" if first.startswith("<measure") else ""), WHOLE)
    assert read(text)[0].form.pickup is pickup


def test_metre_and_key_changes_belong_to_their_bars() -> None:
    key, time = (
        "<key><fifths>2</fifths><mode>major</mode></key>",
        "<time><beats>3</beats><beat-type>4</beat-type></time>",
    )
    change = f"<attributes>{key}{time}</attributes>"
    late = WHOLE + "<attributes><key><fifths>-1</fifths><mode>minor</mode></key></attributes>"
    chart, _ = read(score(WHOLE, change + note("C", 3), note("C", 3) + late.removeprefix(WHOLE), note("C", 3)))
    assert [str(bar.meter) for bar in chart.form.bars] == ["4/4", "3/4", "3/4", "3/4"]
    assert [str(bar.key) for bar in chart.form.bars] == ["None", "D major", "None", "D minor"]


def test_composite_metre_modes_and_restated_keys() -> None:
    first = attributes(meter="3+2/8", fifths=0, mode="dorian")
    same = "<attributes><key><fifths>0</fifths><mode>dorian</mode></key></attributes>"
    chart, report = read(score(note("D", 1) * 2 + note("D", 1), same + note("D", 1), first=first.replace(
        "<divisions>1", "<divisions>2")))  # fmt: skip
    assert (str(chart.meter), str(chart.key)) == ("5/8", "D minor")
    assert said(report, "composite metre is read as 5/8")
    assert said(report, "mode dorian is read as D minor")
    assert [bar.key for bar in chart.form.written] == [None, None]


@pytest.mark.parametrize(("symbols", "key"), [
    ((("A", "minor"), ("E", "dominant"), ("A", "minor-seventh")), "A minor"),
    ((("A", "minor"), ("G", "dominant"), ("C", "major-sixth")), "C major"),
    ((("A", "minor"), ("D", "minor"), ("E", "dominant")), "A minor"),
    ((("D", "minor"), ("G", "dominant"), ("E", "dominant")), "C major"),
])  # fmt: skip
def test_a_mode_that_is_not_stated_is_guessed_from_the_chords(symbols: tuple[tuple[str, str], ...], key: str) -> None:
    chart, report = read(score(*(harmony(*symbol) + WHOLE for symbol in symbols), first=attributes(mode="")))
    assert chart.key == parse_key(key)
    assert said(report, f"mode is not stated; {key} is guessed")


# --- chord symbols --------------------------------------------------------------------------------------------------


def test_a_chord_sounds_until_the_next_over_bars_and_repeats() -> None:
    text = score(WHOLE, START + harmony("C") + WHOLE, WHOLE, harmony("F") + WHOLE +
                 '<barline location="right"><repeat direction="backward"/></barline>')  # fmt: skip
    assert slots(read(text)[0]) == [("0", "N.C."), ("4", "C"), ("12", "F"), ("16", "C"), ("24", "F")]


def test_offsets_and_several_symbols_at_one_place() -> None:
    two = harmony("C") + harmony("G", rest="<offset>2</offset>")
    one_place = harmony("D", "minor") + harmony("G", "dominant")
    chart, report = read(score(two + WHOLE, one_place + WHOLE))
    assert slots(chart) == [("0", "C"), ("2", "G"), ("4", "Dm"), ("6", "G7")]
    assert "Bar 2: several chord symbols at one place share the time to the next." in report


def test_a_symbol_after_the_last_note_belongs_to_the_next_bar() -> None:
    chart, report = read(score(WHOLE + harmony("C"), WHOLE, WHOLE + harmony("D"), harmony("E") + WHOLE))
    assert slots(chart) == [("0", "N.C."), ("4", "C"), ("12", "E")]
    assert said(report, "Bar 3: a chord symbol at the end of the bar is not kept")


def test_no_chord_as_kind_and_as_words() -> None:
    none = '<harmony><root><root-step text="">C</root-step></root><kind text="N.C.">none</kind></harmony>'
    chart, report = read(score(harmony("C") + WHOLE, none + WHOLE, harmony("F") + WHOLE, words("N.C.") + WHOLE))
    assert [slot.chord is None for slot in chart.standard] == [False, True, False, True]
    assert "Bar 4: the words N.C. are read as no chord." in report


def test_an_alternate_harmony_gives_way_to_an_explicit_one() -> None:
    alternate = harmony("D", attribute=' type="alternate"')
    chart, report = read(score(harmony("C") + alternate + WHOLE))
    assert slots(chart) == [("0", "C")]
    assert said(report, "an alternate harmony is not kept")


# --- titles, tempo, feel --------------------------------------------------------------------------------------------


def test_title_falls_back_to_credit_and_file_name(tmp_path: Path) -> None:
    untitled = score(WHOLE).replace("<movement-title>Ebb</movement-title>", "")
    credit = '<credit page="1"><credit-type>title</credit-type><credit-words>Low Water</credit-words></credit>'
    assert read(untitled.replace("<part-list>", credit + "<part-list>"))[0].title == "Low Water"
    path = tmp_path / "Quay Blues.musicxml"
    path.write_text(untitled, encoding="utf-8")
    imported = read_foreign(path)
    assert imported.chart.title == "Quay Blues"
    assert said(imported.report, "no title; its file name 'Quay Blues' is taken")


@pytest.mark.parametrize(("direction", "tempo"), [
    (words("Swing", 'tempo="132"'), 132),
    (metronome("quarter", "80", dots=1), 120),
    (metronome("half", "c. 100"), 200),
    (words("Swing", 'tempo="900"'), 360),
    (words("Swing", 'tempo="92.6"'), 93),
])  # fmt: skip
def test_tempo_in_quarter_notes(direction: str, tempo: int) -> None:
    assert read(score(direction + WHOLE))[0].tempo == tempo


def test_feel_words_and_changes_of_tempo() -> None:
    chart, report = read(score(words("Bossa nova") + WHOLE, words("Double time", 'tempo="240"') + WHOLE))
    assert chart.feel == "Bossa nova"
    assert said(report, "The words 'Bossa nova' are read as the feel")
    chart, report = read(score(words("x", 'tempo="120"') + WHOLE, words("y", 'tempo="240"') + WHOLE))
    assert "Bar 2: a change of tempo is not kept." in report
    assert chart.tempo == 120
