"""The whole form reharmonized: the cheapest take under a written cost, and the next that is unlike it.

``chorus`` hands out takes one by one. Each is the exact best under the cost of :mod:`core.chorus.cost` and a penalty
on what the takes before it did (:data:`REUSE`), raised until it differs enough.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

import numpy as np

from core.chart import Chart, Step, Take
from core.checks.compiled_melody import compile_melody
from core.chorus.alternatives import Alternative, Stretch, alternatives
from core.chorus.cost import NO_TERMS, TERMS, Pricing, Terms, added
from core.chorus.lattice import Costs, Layer, Piece, layer
from core.chorus.progress import Progress, stretch, unheard
from core.chorus.request import Request, RequestError, check_request
from core.chorus.roots import RootGrid, Roots, root_grid
from core.chorus.search import Found, Lattice, cheapest, lattice
from core.chorus.segments import Segment, joints, segments
from core.form import Bar, Form, Section
from core.propose import ground_for
from core.row import Row, Slot, merged, span, splice

REUSE = 1
"""What an eighth note on the same root as in an earlier take costs; doubled until takes differ."""
UNLIKE_BARS = 8
"""One bar in so many must stand on other roots in any two takes (4 of 32)."""
FAMILY = 200
"""What a use of a family costs that would make a take's techniques the same as an earlier one's."""
MOST_TRIALS = 16
PLANNING = 0.7
"""The share of the time that gathering and pricing the alternatives takes, for the progress."""


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


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """Everything that is worked out once for a chart and a request."""

    chart: Chart
    request: Request
    pricing: Pricing
    lattice: Lattice
    grid: RootGrid


def plan(chart: Chart, request: Request, progress: Progress = unheard) -> Plan:
    """Gather and price the alternatives; raises :class:`core.chorus.request.RequestError`."""
    check_request(request, chart.form)
    ground = ground_for(chart, None, chart.standard)
    melody = compile_melody(chart.melody, chart.form)
    pricing = Pricing(ground, melody, chart.form, request)
    layers = []
    found = segments(chart, ground.row, request.alike)
    for number, segment in enumerate(found):
        here = stretch(progress, number / len(found), (number + 1) / len(found))
        kept = kept_stretches(request, chart.form, segment)
        there = alternatives(ground, melody, segment.start, segment.end, request.depth, request.forbid, kept,
                             stretch(here, 0, 0.5))  # fmt: skip
        offered = [one for one in there if _sparse(chart.form, request, ground.row, one)]
        layers.append(layer(pricing, segment, offered, stretch(here, 0.5, 1)))
    grid = root_grid(ground.row, chart.form, tuple(layers))
    return Plan(chart, request, pricing, lattice(pricing, tuple(layers), joints(found)), grid)


def _sparse(form: Form, request: Request, row: Row, one: Alternative) -> bool:
    """Whether an alternative is no denser than asked; chords of the standard may be as short as they are."""
    return all(slot.duration * request.chords_a_bar >= form.bar_at(slot.onset).length or _stood(row, slot)
               for slot in one.chords)  # fmt: skip


def kept_stretches(request: Request, form: Form, segment: Segment) -> tuple[Stretch, ...]:
    """What of a segment stays as it is, wherever it stands: apart from each other, in order of time."""
    bars = {form.bars[index] for index in request.keep}
    if request.keep_cadences:
        bars |= {bar for section in form.sections for bar in form.bars[cadence_of(section) : section.last]}
    inside = sorted((bar.start - moved, bar.end - moved) for bar in bars for moved in segment.moved
                    if segment.start < bar.end - moved and bar.start - moved < segment.end)  # fmt: skip
    kept: list[Stretch] = []
    for start, end in inside:
        if kept and start <= kept[-1][1]:
            kept[-1] = kept[-1][0], max(end, kept[-1][1])
        else:
            kept.append((start, end))
    return tuple(kept)


def cadence_of(section: Section) -> int:
    """Index of the bar with which the last two bars of a section begin, its only bar where it has one."""
    return max(section.first, section.last - 2)


def _stood(row: Row, slot: Slot) -> bool:
    return all(other.chord == slot.chord for other in span(row, slot.onset, slot.end))


def chorus(chart: Chart, request: Request, progress: Progress = unheard) -> Iterator[ChorusTake]:
    """The best takes, each the best of those unlike enough the ones before it; fewer where there are no more."""
    planned = plan(chart, request, stretch(progress, 0, PLANNING))
    made: list[ChorusTake] = []
    while len(made) < request.count:
        done = PLANNING + (1 - PLANNING) * len(made) / request.count
        found = next_take(planned, made, stretch(progress, done, 1))
        if found is None:
            return
        made.append(found)
        yield found


def next_take(planned: Plan, made: list[ChorusTake], progress: Progress = unheard) -> ChorusTake | None:
    """The best take that differs enough from those made; None where even the dearest penalty finds none."""
    weight, shunned = (
        max(REUSE, *(take.weight for take in made), 0),
        dict.fromkeys((family for take in made for family in take.families), 0),
    )
    for _ in range(MOST_TRIALS):
        extra = tuple(_reuse(planned, index, made, weight, shunned) for index in range(len(planned.lattice.layers)))
        found = cheapest(planned.lattice, extra, 1, progress)
        if not found:
            if made:
                return None
            raise RequestError(_conflict(planned))
        take = assembled(planned, found[0], extra)
        if not all(unlike(planned, take, other) for other in made):
            weight *= 2
        elif any(take.families == other.families for other in made):
            shunned[_rarest(take)] += FAMILY
        else:
            return replace(take, weight=weight if made else 0)
    return None


def _rarest(take: ChorusTake) -> str:
    """The family of techniques that a take needs least."""
    used = Counter(family for one in take.chosen for family in one.alternative.families)
    return min(used, key=lambda family: (used[family], family))


def _conflict(planned: Plan) -> str:
    bars = planned.request.plans or ()
    spans = ", ".join(f"{planned.chart.form.bars[one.first].number}–{planned.chart.form.bars[one.last - 1].number}"
                      for one in bars)  # fmt: skip
    return f"No row meets the bass plan over bars {spans}; shorten it or choose another."


def unlike(planned: Plan, one: ChorusTake, other: ChorusTake) -> bool:
    """Whether two takes stand on other roots in enough bars."""
    apart = planned.grid.bars_apart(_roots(planned, one), _roots(planned, other))
    return apart * UNLIKE_BARS >= len(planned.chart.form.bars)


@lru_cache(maxsize=256)
def _roots(planned: Plan, take: ChorusTake) -> Roots:
    return planned.grid.roots(take.row)


def _reuse(planned: Plan, index: int, made: list[ChorusTake], weight: int, shunned: dict[str, int]) -> Costs:
    """For each piece of a layer, what it costs to stand on the roots of earlier takes or to use a shunned family."""
    there = planned.lattice.layers[index]
    costs = np.zeros(len(there.pieces), dtype=np.int64)
    for take in made:
        costs += weight * planned.grid.likeness(index, _roots(planned, take))
    for family, cost in shunned.items():
        if cost:
            costs += [cost * (family in piece.families) for piece in there.pieces]
    return costs * len(there.segment.moved)


def assembled(planned: Plan, found: Found, extra: tuple[Costs, ...]) -> ChorusTake:
    """A found chain of pieces as a take, with the terms of every bar."""
    chart = planned.chart
    parts = zip(planned.lattice.layers, found.pieces, strict=True)
    chosen = sorted(((piece.alternative, moved) for there, part in parts for piece in part
                     if piece.alternative for moved in there.segment.moved),
                    key=lambda one: one[0].start + one[1])  # fmt: skip
    row = chart.standard
    for alternative, moved in chosen:
        new = tuple(replace(slot, onset=slot.onset + moved) for slot in alternative.chords)
        row = splice(row, alternative.start + moved, alternative.end + moved, new)
    steps = tuple(_moved(step, moved) for alternative, moved in chosen for step in alternative.steps)
    families = frozenset(family for alternative, _ in chosen for family in alternative.families)
    return ChorusTake(merged(row), steps, tuple(Chosen(*one) for one in chosen), found.cost,
                      terms_by_bar(planned, found, extra), families)  # fmt: skip


def _moved(step: Step, by: Fraction) -> Step:
    def later(row: Row) -> Row:
        return tuple(replace(slot, onset=slot.onset + by) for slot in row)

    return Step(step.technique, step.start + by, step.end + by, later(step.before), later(step.after)) if by else step


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


def as_take(chart: Chart, name: str, made: ChorusTake) -> Take:
    """A take for the chart."""
    return Take(name, made.row, made.steps)


def total(terms: tuple[Terms, ...]) -> dict[str, int]:
    """Every term over the whole form."""
    return {name: sum(bar[index] for bar in terms) for index, name in enumerate(TERMS)}
