"""Bars of one row put into a take, and a whole take put beside the others. Pure edits, as in :mod:`core.edit`."""

from __future__ import annotations

from dataclasses import replace

from core.chart import Chart, ChartError, Step, Take, check_chart
from core.edit import LockedError
from core.form import Form
from core.row import Row, same_chords, span, splice


def put_take(chart: Chart, take: Take) -> Chart:
    """A take that was made elsewhere, last among the chart's; raises ChartError for a name in use."""
    return check_chart(replace(chart, takes=(*chart.takes, take)))


def merge_bars(chart: Chart, take_name: str, source: Take, bar_indexes: tuple[int, ...]) -> Chart:
    """Give bars of a take the chords of another, which need not be in the chart, with the steps that made them.

    A step of the source that reaches over the edge of the bars cannot come along (:func:`left_behind` names it): its
    chords come as if they were typed. Steps of the take that reach into the bars go, since they no longer hold.
    Raises :class:`core.edit.LockedError`, and ChartError where the two stand on other bars or in other keys.
    """
    take = chart.take_named(take_name)
    form, bars = chart.form_of(take), frozenset(bar_indexes)
    if chart.form_of(source) != form:
        raise ChartError(f"{source.name!r} and {take_name!r} have different bars; type what you want of it.")
    if chart.key_of(source) != chart.key_of(take):
        raise ChartError(f"{source.name!r} and {take_name!r} are in different keys; type what you want of it.")
    row = take.row
    for index in sorted(bars):
        bar = form.bars[index]
        if index in take.locked:
            raise LockedError(bar.number, take_name)
        row = splice(row, bar.start, bar.end, span(source.row, bar.start, bar.end))
    kept = tuple(step for step in take.steps if not bars_of(form, step) & bars)
    base = chart.standard if take.form is None else None
    merged = replace(take, row=row, steps=(*kept, *_carried(base, form, source, bars)))
    return replace(chart, takes=tuple(merged if other.name == take_name else other for other in chart.takes))


def _carried(standard: Row | None, form: Form, source: Take, bars: frozenset[int]) -> tuple[Step, ...]:
    """The steps of the source that lie inside the bars and hold without those that do not come."""
    carried = []
    for step in source.steps:
        if not bars_of(form, step) <= bars:
            continue
        if standard is not None:
            if not same_chords(span(standard, step.start, step.end), step.before):
                continue
            standard = splice(standard, step.start, step.end, step.after)
        carried.append(step)
    return tuple(carried)


def left_behind(form: Form, source: Take, bar_indexes: tuple[int, ...]) -> tuple[Step, ...]:
    """The steps of a take that reach over the edge of some bars, and so cannot be merged with them."""
    bars = frozenset(bar_indexes)
    return tuple(step for step in source.steps if bars & bars_of(form, step) and not bars_of(form, step) <= bars)


def bars_of(form: Form, step: Step) -> frozenset[int]:
    """Indexes of the bars that a step reaches into."""
    first = form.bar_at(step.start).index
    last = first
    while last + 1 < len(form.bars) and form.bars[last + 1].start < step.end:
        last += 1
    return frozenset(range(first, last + 1))
