"""A found chain of pieces as a take: its row, its steps, and every term of its cost in the bar where it arises."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from core.chart import Chart, Step, Take
from core.chorus.alternatives import Alternative
from core.chorus.cost import NO_TERMS, TERMS, Terms, added
from core.chorus.lattice import Costs, Layer, Piece
from core.chorus.planning import Plan
from core.chorus.roots import Roots
from core.chorus.search import Found
from core.form import Bar
from core.row import ZERO, Row, later, merged, span, splice

UNLIKE_BARS = 8
"""One bar in so many must stand on other roots in any two takes (4 of 32)."""


@dataclass(frozen=True, slots=True)
class Chosen:
    """A piece of a take as it is played: an alternative, when it stands (so much later than it was made), its terms."""

    alternative: Alternative
    moved: Fraction


@dataclass(frozen=True, slots=True, eq=False)
class ChorusTake:
    """A take for a whole form: its row and steps, its cost, and for every played bar the terms of the cost.

    ``terms`` are values in the order of :data:`core.chorus.cost.TERMS`, a tuple for each bar; a meeting counts in the
    bar that it leads into. ``reuse`` in them is what likeness to the takes before it cost, ``weight`` for an eighth
    note.
    """

    row: Row
    steps: tuple[Step, ...]
    chosen: tuple[Chosen, ...]
    cost: int
    terms: tuple[Terms, ...]
    families: frozenset[str]
    weight: int = 0


def assembled(planned: Plan, found: Found, extra: tuple[Costs, ...]) -> ChorusTake:
    """A found chain of pieces as a take, with the terms of every bar."""
    chart = planned.chart
    parts = zip(planned.lattice.layers, found.pieces, strict=True)
    chosen = sorted(((piece.alternative, moved) for there, part in parts for piece in part
                     if piece.alternative for moved in there.segment.moved),
                    key=lambda one: one[0].start + one[1])  # fmt: skip
    row = chart.standard
    for alternative, moved in chosen:
        row = splice(row, alternative.start + moved, alternative.end + moved, later(alternative.chords, moved))
    ends = [ZERO, *(one.end + moved for one, moved in chosen)]
    starts = [*(one.start + moved for one, moved in chosen[1:]), chart.form.length]
    between = zip(chosen, ends, starts, strict=False)
    steps = tuple(_within(_moved(step, moved), after, before)
                  for (one, moved), after, before in between for step in one.steps)  # fmt: skip
    families = frozenset(family for alternative, _ in chosen for family in alternative.families)
    return ChorusTake(merged(row), steps, tuple(Chosen(*one) for one in chosen), found.cost,
                      terms_by_bar(planned, found, extra), families)  # fmt: skip


def _moved(step: Step, by: Fraction) -> Step:
    return replace(step, start=step.start + by, end=step.end + by, before=later(step.before, by),
                   after=later(step.after, by))  # fmt: skip


def _within(step: Step, start: Fraction, end: Fraction) -> Step:
    """A step no longer than from start to end: what it leaves as it is beyond is changed by a neighbour."""
    start, end = max(start, step.start), min(end, step.end)
    if (start, end) == (step.start, step.end):
        return step
    return Step(step.technique, start, end, span(step.before, start, end), span(step.after, start, end))


def terms_by_bar(planned: Plan, found: Found, extra: tuple[Costs, ...]) -> tuple[Terms, ...]:
    """Every term of the cost where it arises; the sum over all bars is the cost of the take."""
    pricing, form = planned.pricing, planned.chart.form
    bars = [NO_TERMS] * len(form.bars)
    played: list[tuple[Fraction, Fraction, Layer, Piece]] = []

    def put(at: Fraction, terms: Terms) -> None:
        bar: Bar = form.bar_at(at if at < form.length else Fraction(0))
        bars[bar.index] = added(bars[bar.index], terms)

    for there, part, more in zip(planned.lattice.layers, found.pieces, extra, strict=True):
        for piece in part:
            reuse = int(more[there.pieces.index(piece)]) // len(there.segment.moved)
            for moved in there.segment.moved:
                start = there.times[piece.start] + moved
                played.append((start, moved, there, piece))
                own = pricing.own(piece.alternative, (moved,)) if piece.alternative else NO_TERMS
                assert own is not None
                put(start, added(own, (*NO_TERMS[:-1], reuse)))
    played.sort(key=lambda one: one[0])
    for (_, moved, there, piece), (start, _, after, following) in zip(played, [*played[1:], played[0]], strict=True):
        at = start or form.length
        first = after.firsts[following.start][following.first]
        meeting = pricing.meeting(there.ends[piece.stop][piece.end], first, pricing.spot(at), moved)
        assert meeting is not None
        put(at, meeting)
    return tuple(bars)


def unlike(planned: Plan, one: ChorusTake, other: ChorusTake) -> bool:
    """Whether two takes stand on other roots in enough bars."""
    apart = planned.grid.bars_apart(roots_of(planned, one), roots_of(planned, other))
    return apart * UNLIKE_BARS >= len(planned.chart.form.bars)


@lru_cache(maxsize=256)
def roots_of(planned: Plan, take: ChorusTake) -> Roots:
    return planned.grid.roots(take.row)


def as_take(chart: Chart, name: str, made: ChorusTake) -> Take:
    """A take for the chart."""
    return Take(name, made.row, made.steps)


def total(terms: tuple[Terms, ...]) -> dict[str, int]:
    """Every term over the whole form."""
    return {name: sum(bar[index] for bar in terms) for index, name in enumerate(TERMS)}
