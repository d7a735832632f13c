"""How a stretch that was typed or imported came about: every reading of it in named steps. No Qt."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple

from app.window.proposal_view import chord_texts
from core.chart import Chart, Step
from core.row import Row, slot_index, span, splice

if TYPE_CHECKING:
    from core.explain import ExplainedStep, Explanation

BY_HAND = "by_hand"
"""The technique of a step that only says: these chords were written; it carries the user's own words."""


NEAR = 4
"""Bars on either side of a place that are read with it; no derivation reaches further."""


class TraceReading(NamedTuple):
    """One reading: its steps in words, and as steps that can be kept."""

    words: tuple[str, ...]
    steps: tuple[Step, ...]


class Trace(NamedTuple):
    """Where a stretch differs, and how it can be read, the likeliest first; the last reading is always "by hand"."""

    start: Fraction
    end: Fraction
    change: str
    known: bool
    readings: tuple[TraceReading, ...]


def trace(chart: Chart, take_name: str | None, start: Fraction, end: Fraction, style: str) -> Trace | None:
    """The first stretch of a take between two moments that differs from the reference, and its readings."""
    from core.explain import alternatives, explain_rows

    take = chart.take_named(take_name) if take_name else None
    if take is None or take.form is not None:
        return None
    # Only what lies near is read: what is far away costs as much and says nothing here.
    bars = chart.form.bars
    first = bars[max(0, chart.form.bar_at(start).index - NEAR)].start
    last = next((bar.end for bar in bars[NEAR:] if bars[bar.index - NEAR].end >= end), chart.form.length)
    near = splice(chart.standard, first, last, span(take.row, first, last))
    found = explain_rows(chart.standard, near, chart.form, chart.key)
    here = next((item for item in found if item.start < end and start < item.end), None)
    if here is None:
        return None
    ways = [here, *alternatives(chart, take, here.start, here.end)]
    told = {_names(way): way for way in reversed(ways) if way.explained and way.steps}
    signature = chart.key.signature
    readings = [_reading(way, signature, style) for way in reversed(told.values())]
    hand = Step(BY_HAND, here.start, here.end, span(chart.standard, here.start, here.end),
                span(take.row, here.start, here.end))  # fmt: skip
    readings.append(TraceReading(("By hand: these chords were written, by no rule of the book.",), (hand,)))
    change = f"{_texts(here.before, signature, style)} → {_texts(here.after, signature, style)}"
    return Trace(here.start, here.end, change, len(readings) > 1, tuple(readings))


def _names(way: Explanation) -> tuple[tuple[str, str, Fraction], ...]:
    return tuple((step.technique, step.title, step.start) for step in way.steps)


def _reading(way: Explanation, signature: int, style: str) -> TraceReading:
    words = tuple(f"{step.title}: {_texts(step.before, signature, style)} → {_texts(step.after, signature, style)}. "
                  f"{step.why}" for step in way.steps)  # fmt: skip
    return TraceReading(words, tuple(_step(step) for step in way.steps if _says_more(step, way)))


def _step(step: ExplainedStep) -> Step:
    return Step(step.technique, step.start, step.end, step.before, step.after)


def _says_more(step: ExplainedStep, way: Explanation) -> bool:
    """Colour alone needs no step of its own where the techniques beside it reach over all that it changes."""
    from core.explain import COLOUR

    if step.technique != COLOUR:
        return True
    named = [other for other in way.steps if other.technique != COLOUR]
    changed = [slot for slot in step.after if step.before[slot_index(step.before, slot.onset)].chord != slot.chord]
    return not all(any(other.start <= slot.onset and slot.end <= other.end for other in named) for slot in changed)


def _texts(row: Row, signature: int, style: str) -> str:
    return " ".join(parts.text for parts in chord_texts(row, signature, style))
