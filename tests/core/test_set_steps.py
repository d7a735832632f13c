"""Saying how a stretch came about changes no chord, and the steps replayed are the row."""

from __future__ import annotations

from dataclasses import replace

from core.bar_text import chart_from_bar_text
from core.chart import Chart, Step, Take, step_states
from core.edit import set_steps
from core.row import same_chords, span

START, END = 4, 8


def _chart(bar: str) -> Chart:
    """Common practice, no source: a dominant in bar 2 of a cadence, and what a player wrote there."""
    plain = chart_from_bar_text("key: C major\n\n| Dm7 | G7 | Cmaj7 |\n")
    other = chart_from_bar_text(f"key: C major\n\n| Dm7 | {bar} | Cmaj7 |\n")
    return replace(plain, takes=(Take("Mine", other.standard),))


def _step(chart: Chart, start: int, end: int, bar: str, technique: str) -> Step:
    made = chart_from_bar_text(f"key: C major\n\n| Dm7 | {bar} | Cmaj7 |\n").standard
    first, last = chart.standard[0].onset + start, chart.standard[0].onset + end
    return Step(technique, first, last, span(chart.standard, first, last), span(made, first, last))


def test_the_step_gets_the_colours_that_stand_there() -> None:
    chart = _chart("Db7#11")
    told = set_steps(chart, "Mine", chart.standard[1].onset, chart.standard[1].end,
                     (_step(chart, START, END, "Db7", "tritone_substitution"),))  # fmt: skip
    take = told.takes[0]
    assert take.row == chart.takes[0].row
    assert [state.edited or state.stale for state in step_states(told, take)] == [False]
    assert take.steps[0].after[0].chord == chart.takes[0].row[1].chord


def test_of_two_steps_the_later_stands_on_the_earlier() -> None:
    chart = _chart("Abm7 Db7#11")
    steps = (_step(chart, START, END, "Db7", "tritone_substitution"),
             _step(chart, START, END, "Abm7 Db7", "two_five_interpolation"))  # fmt: skip
    told = set_steps(chart, "Mine", chart.standard[1].onset, chart.standard[1].end, steps)
    first, second = told.takes[0].steps
    assert same_chords(first.after, steps[0].after)
    assert same_chords(second.before, first.after)
    assert not any(state.edited or state.stale for state in step_states(told, told.takes[0]))


def test_earlier_steps_there_are_replaced_and_others_stay() -> None:
    chart = _chart("Db7")
    elsewhere = _step(chart, 0, 4, "G7", "by_hand")
    there = _step(chart, START, END, "Db7", "by_hand")
    chart = replace(chart, takes=(replace(chart.takes[0], steps=(elsewhere, there)),))
    told = set_steps(chart, "Mine", chart.standard[1].onset, chart.standard[1].end,
                     (_step(chart, START, END, "Db7", "tritone_substitution"),))  # fmt: skip
    assert [step.technique for step in told.takes[0].steps] == ["by_hand", "tritone_substitution"]
    assert told.takes[0].steps[0] == elsewhere
