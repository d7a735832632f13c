"""What a row that someone wrote costs, under the cost of the search: pieces as explanation sees them.

A change that no technique explains, a note that clashes and a function that is lost have a price here, since the row
is there and wants judging; the search would never choose them.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from core.chart import Chart
from core.checks.compiled_melody import compile_melody
from core.chorus.alternatives import Alternative
from core.chorus.cost import NO_TERMS, TERMS, Pricing, Terms, added
from core.chorus.request import Request
from core.explain import explain_rows
from core.propose import ground_for
from core.row import Row, merged
from core.techniques.catalogue import TECHNIQUES

BOLDNESS_OF = {technique.id: technique.boldness for technique in TECHNIQUES}
UNEXPLAINED = 36
"""The price of believing a change that no technique explains: dearer than any that one does."""
REFUSED = 150
"""What a clash, a lost function or a bass that leaves its plan costs, each time."""


@dataclass(frozen=True, slots=True)
class _Stretch:
    start: Fraction
    end: Fraction
    one: Alternative | None


def cost_of_row(chart: Chart, row: Row, request: Request) -> int:
    """The cost of a row over the chart's form as a take of its standard row; ``request`` gives boldness and plans."""
    return sum(sum(terms) for terms in terms_of_row(chart, row, request))


def terms_of_row(chart: Chart, row: Row, request: Request) -> tuple[Terms, ...]:
    """The terms of :func:`cost_of_row` for every played bar; a meeting counts in the bar that it leads into.

    What the search would refuse stands in the term that refuses it: a clash in ``melody``, the rest in ``function``.
    """
    ground = ground_for(chart, None, chart.standard)
    pricing = Pricing(ground, compile_melody(chart.melody, chart.form), chart.form, request)
    stretches = _stretches(chart, row, ground.row)
    bars = [NO_TERMS] * len(chart.form.bars)

    def put(at: Fraction, terms: Terms) -> None:
        index = chart.form.bar_at(at if at < chart.form.length else Fraction(0)).index
        bars[index] = added(bars[index], terms)

    for there in stretches:
        if there.one:
            put(there.start, pricing.own(there.one) or _refused("melody"))
    for left, right in pairwise([*stretches, stretches[0]]):
        end = pricing.end_of(left.end, left.one)
        spot = pricing.spot(left.end)
        first = right.one.chords[0].chord if right.one else pricing.spot(right.start).standing
        put(left.end, pricing.meeting(end, first, spot) or _refused("function"))
    return tuple(bars)


def _refused(term: str) -> Terms:
    return tuple(REFUSED if name == term else 0 for name in TERMS)


def _stretches(chart: Chart, row: Row, standard: Row) -> list[_Stretch]:
    """The changes of a row, and the standard's chords between them."""
    changes = sorted(explain_rows(chart.standard, row, chart.form, chart.key), key=lambda one: one.start)
    found: list[_Stretch] = []
    at = Fraction(0)
    onsets = [slot.onset for slot in standard]
    for start, end, one in (
        *((one.start, one.end, one) for one in changes),
        (chart.form.length, chart.form.length, None),
    ):
        edges = [at, *(onset for onset in onsets if at < onset < start), start]
        found += [_Stretch(low, high, None) for low, high in pairwise(edges) if low < high]
        if one is not None:
            price = one.cost if one.explained else UNEXPLAINED
            known = [BOLDNESS_OF[step.technique] for step in one.steps if step.technique in BOLDNESS_OF]
            boldness = sum(known) // len(known) if known else None
            found.append(_Stretch(start, end, Alternative(start, end, merged(one.after), (), price, boldness)))
        at = end
    return found
