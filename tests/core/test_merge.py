"""Bars merged from one take into another: chords as they stood, steps that still replay, nothing else touched."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path

import pytest

from core.chart import Chart, ChartError, Take, step_states
from core.edit import LockedError, add_take, restore_bars, toggle_lock
from core.files import load_chart
from core.form import plain_form
from core.merge import bars_of, left_behind, merge_bars, put_take
from core.meter import Meter
from core.propose import propose, take_proposal
from core.row import check_row, same_chords, span

DEMOS = sorted((Path(__file__).parents[2] / "demo_charts").glob("*.json"))


def rich_take(chart: Chart, name: str, seed: int) -> Chart:
    """A take with a dozen proposals taken at random, some on top of each other, some over bar lines."""
    dice = random.Random(seed)
    chart = add_take(chart, name)
    for _ in range(12):
        first = dice.randrange(len(chart.form.bars) - 1)
        start, end = chart.form.bars[first].start, chart.form.bars[first + 1].end
        found = propose(chart, name, start, end).proposals
        if found:
            chart = take_proposal(chart, name, dice.choice(found))
    return chart


@pytest.fixture(scope="module", params=DEMOS, ids=lambda path: path.stem)
def chart(request: pytest.FixtureRequest) -> Chart:
    made, _ = load_chart(request.param)
    return rich_take(rich_take(made, "one", 1), "two", 2)


def chords(chart: Chart, name: str, index: int) -> list[object]:
    bar = chart.form.bars[index]
    return [(slot.onset, slot.duration, slot.chord) for slot in span(chart.row_named(name), bar.start, bar.end)]


def test_merged_bars_are_the_sources_and_the_others_stay(chart: Chart) -> None:
    dice = random.Random(5)
    for _ in range(12):
        bars = tuple(sorted(dice.sample(range(len(chart.form.bars)), dice.randint(1, 6))))
        merged = merge_bars(chart, "one", chart.take_named("two"), bars)
        check_row(merged.row_named("one"), chart.form.length)
        for index in range(len(chart.form.bars)):
            assert chords(merged, "one", index) == chords(chart, "two" if index in bars else "one", index)
        assert replace(merged, takes=()) == replace(chart, takes=())
        assert [t for t in merged.takes if t.name != "one"] == [t for t in chart.takes if t.name != "one"]


def test_carried_steps_replay_and_are_those_inside_the_bars(chart: Chart) -> None:
    source = chart.take_named("two")
    for first in range(0, len(chart.form.bars) - 1, 2):
        bars = tuple(range(first, min(first + 4, len(chart.form.bars))))
        fresh = add_take(chart, "empty")
        merged = merge_bars(fresh, "empty", source, bars).take_named("empty")
        assert set(merged.steps) <= set(source.steps)
        assert all(bars_of(chart.form, step) <= set(bars) for step in merged.steps)
        states = step_states(chart, merged)
        assert not any(state.stale for state in states)
        edge = left_behind(chart.form, source, bars)
        assert not set(edge) & set(merged.steps)
        if not edge:
            assert not any(state.edited for state in states), "all that made these bars came along"
            inside = [step for step in source.steps if bars_of(chart.form, step) <= set(bars)]
            assert list(merged.steps) == inside


def test_all_bars_merged_is_the_whole_take(chart: Chart) -> None:
    source = chart.take_named("two")
    merged = merge_bars(chart, "one", source, tuple(range(len(chart.form.bars)))).take_named("one")
    assert same_chords(merged.row, source.row)
    assert merged.steps == source.steps
    assert (merged.name, merged.locked, merged.seed) == ("one", frozenset(), chart.take_named("one").seed)


def test_merging_the_standard_restores_it(chart: Chart) -> None:
    bars = (1, 2, 5)
    standard = Take("standard", chart.standard)
    assert merge_bars(chart, "one", standard, bars) == restore_bars(chart, "one", bars)


def test_steps_are_counted_into_every_bar_they_touch(chart: Chart) -> None:
    for step in chart.take_named("two").steps:
        touched = {bar.index for bar in chart.form.bars if bar.start < step.end and step.start < bar.end}
        assert bars_of(chart.form, step) == touched


def test_locks_other_bars_and_other_keys_refuse(chart: Chart) -> None:
    source = chart.take_named("two")
    locked = toggle_lock(chart, "one", (3,))
    with pytest.raises(LockedError, match=f"Bar {chart.form.bars[3].number} of 'one' is locked"):
        merge_bars(locked, "one", source, (2, 3))
    assert chords(merge_bars(locked, "one", source, (2,)), "one", 2) == chords(chart, "two", 2)
    form = plain_form(2, Meter())
    short = Take("short", span(chart.standard, form.bars[0].start, form.bars[1].end), form=form, alignment=(0, 1))
    with pytest.raises(ChartError, match="'short' and 'one' have different bars"):
        merge_bars(chart, "one", short, (0,))
    moved = replace(source, key=chart.key.transposed(2))
    with pytest.raises(ChartError, match="different keys"):
        merge_bars(chart, "one", moved, (0,))


def test_a_take_is_put_last_and_its_name_must_be_free(chart: Chart) -> None:
    found = Take("Whole take", chart.standard)
    assert put_take(chart, found).takes == (*chart.takes, found)
    with pytest.raises(ChartError, match="Row names must be unique"):
        put_take(put_take(chart, found), found)
