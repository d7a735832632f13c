"""A take and all that is shown of it when it stands beside others: values only, made where there is time."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from core.chart import Chart, Take, changed_bars
from core.row import merged, span
from core.techniques.catalogue import TECHNIQUES
from core.tension import tension_curve

TITLES = {technique.id: technique.title for technique in TECHNIQUES}
Terms = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class TakeView:
    """What is known of a take.

    ``terms``: for each played bar the terms of its cost, in the order of ``names`` (empty where it has no cost), and
    ``costs`` their sums;
    ``tension``: onset in quarter notes and 0 to 1; ``density``: chords in each bar; ``changed``: bars (indexes) unlike
    the standard; ``techniques``: titles and how often, the most used first.
    """

    take: Take
    names: tuple[str, ...]
    terms: tuple[Terms, ...]
    costs: tuple[int, ...]
    tension: tuple[tuple[float, float], ...]
    density: tuple[int, ...]
    changed: frozenset[int]
    techniques: tuple[tuple[str, int], ...]

    @property
    def cost(self) -> int | None:
        """The sum of all terms."""
        return sum(self.costs) if self.costs else None


def view_of(chart: Chart, take: Take, names: tuple[str, ...] = (), terms: tuple[Terms, ...] = ()) -> TakeView:
    """All that is shown of a take; the standard is a take without steps."""
    form, key = chart.form_of(take), chart.key_of(take)
    tension = tuple((float(onset), value) for onset, value in tension_curve(take.row, form, key))
    density = tuple(len(merged(span(take.row, bar.start, bar.end))) for bar in form.bars)
    used = Counter(TITLES.get(step.technique, step.technique) for step in take.steps)
    techniques = tuple(sorted(used.items(), key=lambda one: (-one[1], one[0])))
    costs = tuple(map(sum, terms))
    return TakeView(take, names, terms, costs, tension, density, frozenset(changed_bars(chart, take)), techniques)
