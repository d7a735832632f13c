"""What is exported as ABC comes back equal, and music21 reads the same notes and symbols at the same places.

Source: the ABC standard, version 2.1 (December 2011), sections named beside each test; the oracle is music21 10.5.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21 import converter, harmony
from music21.note import Note as Music21Note

from core.bar_text import chart_from_bar_text
from core.chart import STANDARD, Chart, ChartError
from core.files import load_chart
from core.foreign import write_abc
from core.foreign.abc_read import abc_reading
from core.foreign.plain_text import escaped, plain_text
from core.form import Form
from tests.core.foreign.charts import is_foldable, random_chart
from tests.tools.round_trips import canonical, same_notes

DEMOS = sorted((Path(__file__).parents[3] / "demo_charts").glob("*.changes.json"))


def again(text: str) -> Chart:
    """The chart our reader makes of a text, which must need no guess but those that the format forces."""
    imported = abc_reading(text.encode(), "untitled", {})
    assert [line for line in imported.report if "than its metre" not in line] == [], text
    return imported.chart


@settings(max_examples=80, deadline=None)
@given(st.randoms(use_true_random=False), st.booleans())
def test_a_chart_comes_back(random: Random, agreeing: bool) -> None:
    chart = random_chart(random, agreeing)
    back = again(write_abc(chart))
    assert back.standard == canonical(chart.standard)
    assert same_notes(back.melody, chart.melody)
    for name in ("title", "composer", "key", "tempo", "feel", "note"):
        assert getattr(back, name) == getattr(chart, name)
    assert [(bar.start, bar.meter) for bar in back.form.bars] == [(bar.start, bar.meter) for bar in chart.form.bars]
    if agreeing and is_foldable(chart):
        numbered = tuple(replace(bar, number=old.number) for bar, old in
                         zip(back.form.written, chart.form.written, strict=True))  # fmt: skip
        assert Form(numbered, back.form.order, chart.form.pickup) == chart.form


WALK = """title: Slack Water
composer: H. Quay
note: Keep it moving.
key: Eb major
meter: 4/4
tempo: 132
feel: medium swing

[A]
|: Ebmaj7 | {segno} Fm7 Bb7 | 1. Gm7 C7 :| 2. Ebmaj7 {to coda} |
m: e3 d (3cBA G2 | G8 | G4 z4 | =e2 _d2 z4 |
[B]
| {3/4} Abmaj7 | {4/4} {key G major} Am7 (D7) {dal segno al coda} | {coda} G6/9 |
m: C6- | C4 z4 | z8 |
"""


def test_a_tune_reads_as_it_would_be_written_by_hand() -> None:
    """3.1 (order of the header), 4.8 and 4.9 (repeats, endings), 4.13 (tuplets), 4.14 (road map), 4.18 (chords)."""
    assert (
        write_abc(chart_from_bar_text(WALK))
        == """%abc-2.1
X:1
T:Slack Water
C:H. Quay
N:Keep it moving.
M:4/4
L:1/8
Q:"medium swing" 1/4=132
K:Eb
|: [P:A] "Ebmaj7"e3 d (3:2:3cBA G2 | !segno! "Fm7"G4- "Bb7"G4 | [1 "Gm7"G4 "C7"z4 :| [2 "Ebmaj7"=e2 _d2 !dacoda!z4 ||
[P:B] [M:3/4] "Abmaj7"C6- | [M:4/4] [K:G] "Am7"C4 "(D7)""^D.S. al Coda"z4 | !coda! "G6/9"z8 |]
"""
    )
    assert again(write_abc(chart_from_bar_text(WALK))).form == chart_from_bar_text(WALK).form


def test_text_strings_come_back_whatever_stands_in_them() -> None:
    """8.2: a backslash, a percent sign and an ampersand are written with a backslash."""
    for text in ("100% & more", r"\ss \'e \\ C:\new", "&amp; &lt;b&gt;", "Möwe 灯台 🎷", r"\u00e9"):
        assert plain_text(escaped(text)) == text


def test_a_row_that_is_not_there_is_refused() -> None:
    with pytest.raises(ChartError, match="no row named 'Morning'"):
        write_abc(chart_from_bar_text("| C |"), "Morning")


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_music21_plays_the_same_notes_and_symbols(path: Path) -> None:
    """Repeats taken, of the standard and of each take. Source: music21 10.5."""
    chart, _ = load_chart(path)
    for row in (STANDARD, *(take.name for take in chart.takes)):
        text = write_abc(chart, row)
        assert again(text).standard == canonical(chart.row_named(row))
        part = converter.parse(text, format="abc").parts[0].expandRepeats().flatten()
        found = [(Fraction(note.offset), note.pitch.midi) for note in part.getElementsByClass(Music21Note)
                 if note.tie is None or note.tie.type == "start"]  # fmt: skip
        assert found == [(note.onset, note.pitch.midi) for note in chart.melody]
        symbols = [Fraction(symbol.offset) for symbol in part.getElementsByClass(harmony.ChordSymbol)]
        assert symbols == [slot.onset for slot in chart.row_named(row)]
