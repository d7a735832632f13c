"""What a score leaves open: parts, voices, chords from notes, odd bars, key, feel; and signs that are rare.

Sources: MusicXML 4.0 schema, types swing, measure-repeat, repeat (after-jump), formatted-text (enclosure); else common
practice, no source.
"""

from __future__ import annotations

import pytest

from core.foreign.musicxml_read import musicxml_reading
from core.foreign.musicxml_write import write_musicxml
from core.foreign.signs import words_signs
from core.foreign.unfold import order_with_repeats
from core.form import WrittenBar
from core.imported import Imported
from core.meter import Meter
from tests.core.foreign.scores import END, START, WHOLE, attributes, bar_line, harmony, note, notes, score, slots, words


def read(text: str, **choices: str) -> Imported:
    return musicxml_reading([text.encode()], "untitled", choices)


def options(imported: Imported, question: str) -> list[tuple[str, str]]:
    found = next(one for one in imported.questions if one.id == question)
    return [(option.value, option.text) for option in found.options]


SECOND = f'<part id="P2"><measure number="1">{attributes()}{{first}}</measure><measure number="2">{{second}}</measure></part>'
CHORD = note("C", 4, 3) + note("E", 4, 3, before="<chord/>") + note("G", 4, 3, before="<chord/>")
SEVENTH = note("G", 4, 2) + "".join(note(step, 4, 3, before="<chord/>") for step in "BDF")
TWO_PARTS = score(note("G", 4, 5), note("F", 4, 5), parts=SECOND.format(first=CHORD, second=SEVENTH))


def test_the_melody_can_be_any_part_or_none() -> None:
    imported = read(TWO_PARTS)
    assert options(imported, "melody") == [("1/1/1", "Horn"), ("2/1/1", "Second"), ("none", "no melody")]
    assert notes(read(TWO_PARTS, melody="2/1/1").chart) == [("0", "4", "G3"), ("4", "4", "B3")]
    silent = read(TWO_PARTS, melody="none")
    assert silent.chart.melody == ()
    assert "No part is read as the melody." in silent.report
    assert read(TWO_PARTS, melody="9/9/9") == imported


def test_a_voice_can_be_chosen() -> None:
    lower = note("E", 4).replace("voice>1", "voice>2")
    text = score(WHOLE + "<backup><duration>4</duration></backup>" + lower, WHOLE)
    assert options(read(text), "melody") == [
        ("1/1/1", "Horn, voice 1"),
        ("1/1/2", "Horn, voice 2"),
        ("none", "no melody"),
    ]
    assert notes(read(text, melody="1/1/2").chart) == [("0", "4", "E4")]


def test_chords_can_be_named_from_notes_where_no_symbol_is_written() -> None:
    imported = read(TWO_PARTS)
    assert slots(imported.chart) == [("0", "N.C.")]
    assert [text for _, text in options(imported, "chords")] == [
        "named from the notes beside the melody", "named from the notes of all parts", "named from the notes of Second",
        "no chords"]  # fmt: skip
    named = read(TWO_PARTS, chords="notes but 1")
    assert slots(named.chart) == [("0", "C"), ("4", "G7")]
    assert "The chords are named from the notes of the parts beside the melody." in named.report


def test_symbols_of_another_part_or_none_can_be_taken() -> None:
    text = score(harmony("C") + WHOLE, WHOLE, parts=SECOND.format(first=harmony("A", "minor") + WHOLE, second=WHOLE))
    assert slots(read(text).chart) == [("0", "C")]
    assert slots(read(text, chords="symbols 2").chart) == [("0", "Am")]
    none = read(text, chords="none")
    assert slots(none.chart) == [("0", "N.C.")]
    assert "The chord symbols are not read." in none.report


def test_odd_bars_can_be_made_to_fit() -> None:
    text = score(note("C", 3) + note("D", 3), harmony("C") + note("E", 2), WHOLE, first=attributes())
    assert [str(bar.length) for bar in read(text).chart.form.bars] == ["6", "2", "4"]
    fitted = read(text, bars="metre")
    assert [str(bar.length) for bar in fitted.chart.form.bars] == ["4", "4", "4"]
    assert notes(fitted.chart) == [("0", "3", "C4"), ("3", "1", "D4"), ("4", "2", "E4"), ("8", "4", "C5")]
    assert "Bar 1: notes beyond the end of the bar are cut." in fitted.report


def test_mode_and_feel_can_be_chosen() -> None:
    text = score(WHOLE, first=attributes(mode=""))
    imported = read(text, mode="minor", feel="bossa")
    assert (str(imported.chart.key), imported.chart.feel) == ("A minor", "bossa")
    assert "The key's mode is not stated; A minor is chosen." in imported.report
    assert options(imported, "mode") == [("major", "C major"), ("minor", "A minor")]


# --- rare signs -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("swing", "feel"), [
    ("<straight/>", "even eighths"),
    ("<first>2</first><second>1</second>", "medium swing"),
    ("<first>3</first><second>2</second><swing-style>Slow shuffle</swing-style>", "Slow shuffle"),
])  # fmt: skip
def test_the_swing_of_the_standard_is_the_feel(swing: str, feel: str) -> None:
    imported = read(score(f"<sound><swing>{swing}</swing></sound>" + WHOLE))
    assert imported.chart.feel == feel
    assert not any("feel" in line for line in imported.report)


def test_words_in_a_box_are_a_section() -> None:
    boxed = '<direction><direction-type><words enclosure="rectangle">B</words></direction-type></direction>'
    assert [bar.section for bar in read(score(WHOLE, boxed + WHOLE)).chart.form.bars] == [None, "B"]


def test_a_bar_repeat_sign_repeats_the_bar() -> None:
    style = '<attributes><measure-style><measure-repeat type="{}">1</measure-repeat></measure-style></attributes>'
    rest = '<note><rest measure="yes"/><duration>4</duration></note>'
    text = score(harmony("D", "minor") + note("D", 2) + harmony("G") + note("F", 2), style.format("start") + rest, rest,
                 style.format("stop") + harmony("C") + WHOLE)  # fmt: skip
    imported = read(text)
    assert slots(imported.chart) == [
        ("0", "Dm"),
        ("2", "G"),
        ("4", "Dm"),
        ("6", "G"),
        ("8", "Dm"),
        ("10", "G"),
        ("12", "C"),
    ]
    assert [cell[2] for cell in notes(imported.chart)] == ["D4", "F4"] * 3 + ["C5"]
    assert "Bars 2–3: a bar-repeat sign is read as the bar that it repeats." in imported.report


@pytest.mark.parametrize(("measures", "expected"), [
    ((START + WHOLE, WHOLE + bar_line("right", '<repeat direction="backward" after-jump="yes"/>'),
      WHOLE + words("D.C.", 'dacapo="yes"')), "1 2 1 2 3 1 2 1 2 3"),
    ((START + WHOLE, WHOLE + words("Fine") + END, WHOLE + words("D.C. al Fine with repeats")), "1 2 1 2 3 1 2 1 2"),
    ((START + WHOLE, WHOLE + words("Fine") + END, WHOLE + words("D.C. al Fine")), "1 2 1 2 3 1 2"),
])  # fmt: skip
def test_repeats_after_the_jump_are_played_where_the_score_says_so(measures: tuple[str, ...], expected: str) -> None:
    imported = read(score(*measures))
    assert " ".join(bar.printed for bar in imported.chart.form.bars) == expected
    written_out = any("played again after the jump" in line for line in imported.report)
    assert written_out == (expected.count("1") > 3)


def test_an_order_with_repeats_needs_its_marks() -> None:
    bar = WrittenBar("1", Meter(), Meter().length)
    assert order_with_repeats([bar]) is None
    lost = WrittenBar("2", Meter(), Meter().length, jump="dal segno al coda")
    assert order_with_repeats([bar, lost]) is None


@pytest.mark.parametrize(("text", "jump"), [
    ("D.C.", "da capo"), ("D. C.", "da capo"), ("DC", "da capo"), ("(D.C.)", "da capo"), ("DS al Coda", "dal segno"),
    ("d.s. al fine", "dal segno"), ("ds al fine", "dal segno"), ("Da capo", "da capo"), ("M.D.C.", "da capo"),
    ("gli DC", None), ("dc8", None), ("dc", None), ("ad C", None), ("DC comics", None),
])  # fmt: skip
def test_words_that_only_look_like_a_jump_are_none(text: str, jump: str | None) -> None:
    found = words_signs(text).jump
    assert (found[0] if found else None) == jump


JUMP_CASES = {
    "words in the first bar are a heading": (0, words("Da Capo"), "", "1 2 3"),
    "letters in the first bar": (0, words("D.C."), "", "1 2 3"),
    "a player is told in the first bar": (0, words("D.C.", 'dacapo="yes"'), "", "1 1 2 3"),
    "letters inside the music": (1, words("D.C."), "", "1 2 3"),
    "letters without dots inside the music": (1, words("DC"), "", "1 2 3"),
    "a player is told inside the music": (1, words("D.C.", 'dacapo="yes"'), "", "1 2 1 2 3"),
    "letters at a double bar line": (1, words("D.C."), bar_line("right", "<bar-style>light-light</bar-style>"), "1 2 1 2 3"),
    "letters in the last bar": (2, words("DC"), "", "1 2 3 1 2 3"),
    "written out inside the music": (1, words("Da Capo"), "", "1 2 1 2 3"),
}  # fmt: skip


@pytest.mark.parametrize("case", JUMP_CASES)
def test_a_bare_jump_must_stand_where_one_ends(case: str) -> None:
    at, sign, line, order = JUMP_CASES[case]
    bars = [WHOLE + sign + line if index == at else WHOLE for index in range(3)]
    imported = read(score(*bars))
    assert " ".join(bar.printed for bar in imported.chart.form.bars) == order
    refused = "words that look like a jump are not read as one" in " ".join(imported.report)
    assert refused == (order == "1 2 3")


def test_letters_are_a_jump_where_the_tune_has_a_fine() -> None:
    assert [bar.printed for bar in read(score(WHOLE + words("Fine"), WHOLE + words("DC"), WHOLE)).chart.form.bars] == \
        ["1", "2", "1"]  # fmt: skip


def test_a_jump_in_the_first_bar_of_our_own_file_comes_back() -> None:
    bar = harmony("C") + WHOLE
    chart = read(score(bar + words("D.C.", 'dacapo="yes"'), bar, bar)).chart
    assert chart.form.written[0].jump == "da capo"
    assert read(write_musicxml(chart)).chart.form == chart.form


def test_wide_words_belong_to_the_double_bar_that_ends_the_next_bar() -> None:
    """As scores write it: the words begin in the bar before the repeat sign, and the jump comes after the repeat."""
    repeat = read(score(WHOLE, START + WHOLE, WHOLE + words("Menuet da capo"), WHOLE + END))
    assert " ".join(bar.printed for bar in repeat.chart.form.bars) == "1 2 3 4 2 3 4 1 2 3 4"
    assert "Bar 3: the jump's words are read at the double bar or repeat sign that ends the next bar." in repeat.report
    coda = read(score(WHOLE + words("To Coda"), WHOLE + words("D.C. al Coda"), words("Coda") + WHOLE
                      + bar_line("right", "<bar-style>light-heavy</bar-style>")))  # fmt: skip
    assert " ".join(bar.printed for bar in coda.chart.form.bars) == "1 2 1 3", (
        "the coda is not part of what is repeated"
    )
    told = read(score(WHOLE, WHOLE + words("D.C.", 'dacapo="yes"'), WHOLE + END))
    assert told.chart.form.written[1].jump == "da capo", "what a player is told stays where it is"
