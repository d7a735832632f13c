"""Showing a take little by little: bar by bar, technique by technique, or as a teacher prepared it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from core.chart import Chart, Take, changed_bars
from core.explain import COLOUR, explain_take
from core.row import span, splice
from core.techniques.catalogue import BY_ID

WAYS: Mapping[str, str] = MappingProxyType({"bars": "bar by bar", "techniques": "technique by technique",
                                            "prepared": "as prepared"})  # fmt: skip


@dataclass(frozen=True, slots=True)
class Stage:
    """What is shown so far (bars of the take, indexes), the bars that are new, what to say, which row to hear."""

    shown: frozenset[int]
    new: tuple[int, ...]
    words: str
    row: str = "take"


def stages(chart: Chart, take: Take | None, way: str) -> tuple[Stage, ...]:
    """Every stage, the first with nothing shown. Without a take there is only that one."""
    first = Stage(frozenset(), (), chart.title, "standard")
    if way == "prepared":
        return (first, *_prepared(chart))
    if take is None:
        return (first,)
    groups = _by_technique(chart, take) if way == "techniques" else _by_bar(chart, take)
    shown: frozenset[int] = frozenset()
    found = [first]
    for words, bars in groups:
        shown |= set(bars)
        found.append(Stage(shown, bars, words))
    return tuple(found)


def _prepared(chart: Chart) -> list[Stage]:
    shown: frozenset[int] = frozenset()
    found = []
    for step in chart.for_class.steps:
        bars = tuple(range(step.first, step.last + 1))
        shown = shown | set(bars) if step.row == "take" else shown - set(bars)
        found.append(Stage(shown, bars, step.words, step.row))
    return found


def _by_bar(chart: Chart, take: Take) -> list[tuple[str, tuple[int, ...]]]:
    form = chart.form_of(take)
    return [(f"Bar {form.bars[bar].number}", (bar,)) for bar in changed_bars(chart, take)]


def _by_technique(chart: Chart, take: Take) -> list[tuple[str, tuple[int, ...]]]:
    """One stage for each technique, in the order in which the tune meets them; what has no name comes last."""
    form, groups = chart.form_of(take), dict[str, list[int]]()
    unnamed: list[int] = []
    for explanation in explain_take(chart, take):
        bars = [bar.index for bar in form.bars if bar.start < explanation.end and explanation.start < bar.end]
        names = [step.technique for step in explanation.steps if step.technique in BY_ID]
        colour = any(step.technique == COLOUR for step in explanation.steps)
        title = BY_ID[names[-1]].title if names else "Colour" if colour else ""
        (groups.setdefault(title, []) if title else unnamed).extend(bars)
    named = {bar for bars in groups.values() for bar in bars}
    left = [bar for bar in changed_bars(chart, take) if bar not in named]
    found = [(title, tuple(dict.fromkeys(bars))) for title, bars in groups.items()]
    return found + ([("What has no name of its own", tuple(left))] if left else [])


def masked(chart: Chart, take: Take, shown: frozenset[int]) -> Chart:
    """The chart with a take that is still the standard in every bar that is not shown.

    A take with a form of its own cannot be covered by the standard; it is shown whole.
    """
    if take.form is not None:
        return chart
    row = take.row
    for bar in chart.form.bars:
        if bar.index not in shown:
            row = splice(row, bar.start, bar.end, span(chart.standard, bar.start, bar.end))
    steps = tuple(step for step in take.steps if chart.form.bar_at(step.start).index in shown)
    covered = replace(take, row=row, steps=steps)
    return replace(chart, takes=tuple(covered if other.name == take.name else other for other in chart.takes))
