"""Bars pasted from anywhere: read, with what was guessed, or answered with one sentence. Common practice, no source."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.bar_text import BarTextError, chart_from_bar_text
from core.chart import Chart, check_chart
from core.errors import FileError
from core.files import import_text, load_chart
from core.foreign.loose_bars import cells_of
from core.foreign.paste_read import text_reading
from core.foreign.xml_stream import Refused
from core.imported import Imported

SPELLINGS = Path(__file__).parents[2] / "reference" / "spellings.tsv"


def read(text: str, **choices: str) -> Imported:
    return text_reading(text.encode(), "pasted", choices)


def row(chart: Chart) -> str:
    """The played bars, chords as they were written."""
    bars = []
    for bar in chart.form.bars:
        inside = [slot.text for slot in chart.standard if bar.start <= slot.onset < bar.end]
        bars.append(" ".join(inside) or "~")
    return " | ".join(bars)


CASES = {
    "plain": ("|Dm7|G7|Cmaj7|%|", "Dm7 | G7 | Cmaj7 | Cmaj7"),
    "double and final bar lines": ("‖ Dm7 │ G7 ‖ C6 ｜ C6 |]", "Dm7 | G7 | C6 | C6"),
    "signs for repeats": ("𝄆 Dm7 | G7 𝄇 C6 |", "Dm7 | G7 | Dm7 | G7 | C6"),
    "three times": ("|: Dm7 | G7 :| x3", "Dm7 | G7 | Dm7 | G7 | Dm7 | G7"),
    "a line twice": ("| Dm7 | G7 | (2x)", "Dm7 | G7 | Dm7 | G7"),
    "dots and slashes fill the metre": ("| Dm7 . . G7 | C / F / | C6 // Am7 / |", "Dm7 G7 | C F | C6 Am7"),
    "dots on the chord": ("| Dm7.. G7.. | C... |", "Dm7 G7 | C"),
    "dashes between chords": ("| Dm7 - G7 | Em7-A7 | Dm7, G7 |", "Dm7 G7 | Em7 A7 | Dm7 G7"),
    "dashes hold": ("| Dm7 - G7 - | C - - - |", "Dm7 G7 | C"),
    "a slash between whole chords": ("| Dm7/G7maj | C6/9 | C/E - |".replace("maj", ""), "Dm7 G7 | C6/9 | C/E"),
    "spaces in symbols": ("| Bb maj7 | D m7 (b5) | G 7 |", "Bbmaj7 | Dm7(b5) | G7"),
    "brackets round two": ("| C | (Em7 A7) | Dm7 |", "C | Em7 A7 | Dm7"),
    "line numbers": ("1. | C | F |\n3) | G | C |\n bars 5-6: | F | C |", "C | F | G | C | F | C"),
    "numbers in the bars": ("| 1 C | 2 F | 3 G |", "C | F | G"),
    "empty bars": ("| Dm7 | | G7 | |", "Dm7 | Dm7 | G7 | G7"),
    "repeat signs": ("| Dm7 | ./. | G7 | 𝄎 | C | - |", "Dm7 | Dm7 | G7 | G7 | C | C"),
    "words between": ("| C | F |\nall the boats are in\n| G | C |", "C | F | G | C"),
    "a table": ("| Dm7 | G7 |\n|-----|----|\n| C | C |", "Dm7 | G7 | C | C"),
    "endings": ("|: C | F |1. G | G :|2. C | C ||", "C | F | G | G | C | F | C | C"),
    "endings in brackets": ("|: C | F |[1 G :|[2 C |", "C | F | G | C | F | C"),
    "endings in words": ("|: C | 1st ending: G :| 2nd ending: C |", "C | G | C | C"),
    "road map": ("| C {Fine} | F |\nD.C. al Fine", "C | F | C"),
    "no chord": ("| C | N/C | NC | n.c. |", "C | N.C. | N.C. | N.C."),
    "chords alone": ("Dm7 G7\nCmaj7", "Dm7 | G7 | Cmaj7"),
    "chords with arrows": ("Dm7 → G7 → Cmaj7", "Dm7 | G7 | Cmaj7"),
    "chords with dashes": ("Dm7 - G7 - Cmaj7 A7 - Dm7", "Dm7 | G7 | Cmaj7 A7 | Dm7"),
    "chords over words": ("Dm7        G7\nboats come in\nCmaj7\nhome", "Dm7 | G7 | Cmaj7"),
    "chords in words": ("[Dm7]Boats come [G7]in and\n[Cmaj7]home", "Dm7 | G7 | Cmaj7"),
    "metre changes": ("| C |3/4 F | G |", "C | F | G"),
    "letters of sections": ("A | Dm7 | G7 | C | C |\nB | F | F | C | C |", "Dm7 | G7 | C | C | F | F | C | C"),
    "typographic signs": ("| C∆7 | F♯ø7 | B♭–7 | E♭7(♭9) |", "C∆7 | F♯ø7 | B♭–7 | E♭7(♭9)"),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_pasted_bars(name: str) -> None:
    text, expected = CASES[name]
    chart = read(text).chart
    assert check_chart(chart) is chart
    assert row(chart) == expected


def test_headers_sections_and_titles() -> None:
    text = ("Harbour Song\nby A. Mole\nKey: Bb\nTime: 3/4\nTempo: 144 bpm\nStyle: Jazz waltz\n\nIntro\n| Bb | Gm7 |\n[Verse 1]\n"
            "| Cm7 | F7 |\nB: | Bb | Bb |\n")  # fmt: skip
    imported = read(text)
    chart = imported.chart
    assert (chart.title, chart.composer, str(chart.key), str(chart.meter)) == (
        "Harbour Song",
        "A. Mole",
        "Bb major",
        "3/4",
    )
    assert (chart.tempo, chart.feel) == (144, "Jazz waltz")
    assert [section.name for section in chart.form.sections] == ["Intro", "Verse 1", "B"]
    assert imported.report == ("Line 1 ('Harbour Song') is read as the title.",)


def test_what_was_guessed_is_said_with_bars_or_lines() -> None:
    imported = read("| Dm7 . G7 | C | |\nsome words\n| F | C |")
    assert imported.report == (
        "The text has no title; 'pasted' is taken.", "No metre is given; 4/4 is assumed.",
        "Bar 1: the beats written do not fill the metre; the chords share the bar evenly.",
        "Bar 3: an empty bar repeats the bar before.", "Lines without chords are not kept: 2.",
        "No key is given; C major is guessed.",
    )  # fmt: skip


def test_choices() -> None:
    text = "Dm7 G7 Cmaj7 Am7"
    assert row(read(text, spread="half").chart) == "Dm7 G7 | Cmaj7 Am7"
    assert row(read("Dm7 G7 Cmaj7 Am7 Dm7 G7 C6 C6", spread="line").chart) == "Dm7 G7 | Cmaj7 Am7 | Dm7 G7 | C6 C6"
    assert str(read(text, key="F major").chart.key) == "F major"
    assert [question.id for question in read(text).questions] == ["spread", "key"]


def test_note_names_of_other_languages_are_taken_where_english_cannot_be_meant() -> None:
    german = read("| H7 | Em | B | Es7 |")
    assert [slot.chord.canonical for slot in german.chart.standard if slot.chord] == ["B7", "Em", "Bb", "Eb7"]
    assert german.report[0] == "Notes are named as in C D E F G A H, B is B flat."
    assert [question.chosen for question in german.questions if question.id == "names"] == ["german"]
    assert "names" not in [question.id for question in read("| B7 | Em | B | E7 |").questions]
    assert "names" not in [question.id for question in read("As the boats come in\nC F G\n").questions]


@pytest.mark.parametrize(("text", "line", "column", "message"), [
    ("Quay\n\n| Dm7 | Gq7 | C - F |", 3, 10, "'q7' after 'G'"),
    ("| C | F - hello | G |", 1, 11, "hello"),
    ("only words\nand no chords", 1, 1, "There are no chords"),
    ("titel: Quay\n| C - F | G |", 1, 1, "did you mean 'title'"),
    ("| C | F |\n\ntake: X\n| C |", 4, 1, "has 1 bars"),
])  # fmt: skip
def test_what_cannot_be_read_is_one_sentence_with_its_place(text: str, line: int, column: int, message: str) -> None:
    with pytest.raises(BarTextError, match=message) as caught:
        read(text)
    assert (caught.value.line, caught.value.column) == (line, column)


def test_every_spelling_survives_a_paste() -> None:
    """All spellings of the reference table, in bars and in a row without bars."""
    with SPELLINGS.open(encoding="utf-8", newline="") as file:
        words = [cell["spelling"] for cell in csv.DictReader(file, delimiter="\t")]
    words = [word for word in words if word.startswith("C") and " " not in word and "/ " not in word]
    assert len(words) > 200
    for word in words:
        imported = read(f"Quay\n| {word} | F - G |")
        slot = imported.chart.standard[0]
        expected = chart_from_bar_text(f"| {word} |").standard[0]
        assert (slot.chord, slot.text) == (expected.chord, expected.text), word


@settings(max_examples=300, deadline=None)
@given(st.text(st.sampled_from(list("|:[](){}%~/.-, ACDGm7b9#\nmx12=x°∆–")), max_size=70))
def test_any_text_gives_a_chart_or_one_sentence(text: str) -> None:
    try:
        chart = read(text).chart
    except (BarTextError, Refused):
        return
    assert check_chart(chart) is chart


def test_a_file_of_text_and_a_paste_go_the_same_way(tmp_path: Path) -> None:
    path = tmp_path / "quay.txt"
    path.write_text("| Dm7 - G7 | C |", encoding="utf-8")
    chart, report = load_chart(path)
    assert row(chart) == "Dm7 G7 | C"
    assert "The text has no title; 'quay' is taken." in report
    assert row(import_text("| Dm7 - G7 | C |").chart) == row(chart)
    assert import_text("X:1\nT:Ebb\nK:C\nC8|\n").chart.title == "Ebb"
    with pytest.raises(FileError, match=r"^-: Line 1, column 4"):
        import_text("| Gq |")
    with pytest.raises(FileError, match="over 20 MB"):
        import_text("C " * 15_000_000)


def test_two_chords_are_no_jump() -> None:
    cells = cells_of(1, "| D C | D S. | G A dc |")
    assert [cell.directives for cell in cells] == [[], [], ["da capo"]]
