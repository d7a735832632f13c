"""The whole form reharmonized: the cheapest take under a written cost, and the next that is unlike it.

``chorus`` hands out takes one by one. Each is the exact best under the cost of :mod:`core.chorus.cost` and a penalty
on what the takes before it did (:data:`REUSE`), raised until it differs enough.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from core.chart import Chart
from core.chorus.lattice import Costs
from core.chorus.planning import Plan, plan
from core.chorus.progress import Progress, stretch, unheard
from core.chorus.request import Request, RequestError
from core.chorus.search import Lattice, cheapest
from core.chorus.takes import ChorusTake, as_take, assembled, roots_of, total, unlike
from core.form import Form

__all__ = ["ChorusTake", "Plan", "any_take", "as_take", "chorus", "next_take", "plan", "takes", "total"]

REUSE = 1
"""What an eighth note on the same root as in an earlier take costs; doubled until takes differ."""
FAMILY = 200
"""What a use of a family costs that would make a take's techniques the same as an earlier one's."""
MOST_TRIALS = 16
PLANNING = 0.7
"""The share of the time that gathering and pricing the alternatives takes, for the progress."""


def chorus(chart: Chart, request: Request, progress: Progress = unheard) -> Iterator[ChorusTake]:
    """The best takes, each the best of those unlike enough the ones before it; fewer where there are no more."""
    planned = plan(chart, request, stretch(progress, 0, PLANNING))
    yield from takes(planned, progress)


def takes(planned: Plan, progress: Progress = unheard) -> Iterator[ChorusTake]:
    """As many takes as the plan's request counts, each unlike those before it; fewer where there are no more.

    ``progress`` is that of all the work: planning, its first :data:`PLANNING`, is done.
    """
    made: list[ChorusTake] = []
    while len(made) < planned.request.count:
        done = PLANNING + (1 - PLANNING) * len(made) / planned.request.count
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
        progress(0)
        extra = tuple(_reuse(planned, index, made, weight, shunned) for index in range(len(planned.lattice.layers)))
        found = cheapest(planned.lattice, extra, 1, progress)
        if not found:
            if made:
                return None
            raise RequestError(_conflict(planned))
        take = assembled(planned, found[0], extra)
        if not all(unlike(planned, take, other) for other in made):
            weight *= 2
        elif take.families and any(take.families == other.families for other in made):
            shunned[_rarest(take)] += FAMILY
        else:
            return replace(take, weight=weight if made else 0)
    return None


def _rarest(take: ChorusTake) -> str:
    """The family of techniques that a take needs least."""
    used = Counter(family for one in take.chosen for family in one.alternative.families)
    return min(used, key=lambda family: (used[family], family))


def _conflict(planned: Plan) -> str:
    """Which of the things asked for cannot be had: those that cannot alone, or all of them together."""
    chart, request = planned.chart, planned.request
    bare = replace(request, plans=(), targets=(), count=1)
    each = [replace(bare, plans=(one,)) for one in request.plans]
    each += [replace(bare, targets=(one,)) for one in request.targets]
    alone = [one for one in each if len(each) == 1 or not any_take(plan(chart, one).lattice)]
    said = [text for one in alone or each for text in _asked(one, chart.form)]
    together = "" if alone else " together"
    return (
        f"No row meets {' and '.join(said)}{together}; shorten or change {'it' if len(said) == 1 else 'one of them'}."
    )


def any_take(built: Lattice) -> bool:
    """Whether a lattice holds any take at all."""
    nothing = tuple(np.zeros(len(there.pieces), dtype=np.int64) for there in built.layers)
    return bool(cheapest(built, nothing, 1))


def _asked(request: Request, form: Form) -> Iterator[str]:
    for one in request.plans:
        yield f"the bass plan {one.kind!r} over bars {form.bars[one.first].number}–{form.bars[one.last - 1].number}"
    for target in request.targets:
        name = target.chord.quality.id if target.any_root else target.chord.canonical
        yield f"{name} in bar {form.bars[target.bar].number}"


def _reuse(planned: Plan, index: int, made: list[ChorusTake], weight: int, shunned: dict[str, int]) -> Costs:
    """For each piece of a layer, what it costs to stand on the roots of earlier takes or to use a shunned family."""
    there = planned.lattice.layers[index]
    costs = np.zeros(len(there.pieces), dtype=np.int64)
    for take in made:
        costs += weight * planned.grid.likeness(index, roots_of(planned, take))
    for family, cost in shunned.items():
        if cost:
            costs += [cost * (family in piece.families) for piece in there.pieces]
    return costs * len(there.segment.moved)
