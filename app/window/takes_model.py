"""Takes side by side as words and chords: what is printed of each bar, what a bar costs, what differs. No Qt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from app.chorus.view import TakeView
from app.window.page.chord_text import ChordParts, printed_slot, spoken
from core.chart import STANDARD, Chart, Take
from core.chord import Chord
from core.form import Bar, Form, Section
from core.row import Row, merged, slot_index, span

TERM_WORDS = {
    "melody": "the tune",
    "leading": "voices that move",
    "bass": "the bass",
    "function": "function",
    "anchors": "anchors",
    "rhythm": "harmonic rhythm",
    "distance": "boldness",
    "technique": "steps to believe",
    "reuse": "likeness to takes before",
}
"""The terms of a cost in words; what is not here is called by its own name."""
STANDARD_WORDS = "Standard"


class Printed(NamedTuple):
    """A chord in a bar: how far along it begins (0 to 1), its text, whether it stands apart from the base row."""

    share: float
    parts: ChordParts
    apart: bool


@dataclass(slots=True, eq=False)
class TakeLine:
    """A row over the chart's bars, printed a bar at a time when it is seen; ``base`` is what it is compared with.

    A take with bars of its own stands where it answers the chart's bars; ``view`` is None until it is known.
    """

    chart: Chart
    take: Take
    base: Row
    style: str = "plain"
    view: TakeView | None = None
    _known: dict[int, tuple[Printed, ...]] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """Its name as printed."""
        return STANDARD_WORDS if self.take.name == STANDARD else self.take.name

    @property
    def is_foreign(self) -> bool:
        """Whether it has bars of its own."""
        return self.take.form is not None

    def bar_of(self, index: int) -> Bar | None:
        """The take's own bar that answers a bar of the chart."""
        form = self.chart.form_of(self.take)
        if self.take.alignment is not None:
            index = self.take.alignment.index(index) if index in self.take.alignment else -1
        return form.bars[index] if 0 <= index < len(form.bars) else None

    def chords(self, index: int) -> tuple[Printed, ...]:
        """What is printed in a bar of the chart."""
        if index not in self._known:
            self._known[index] = tuple(self._printed(index))
        return self._known[index]

    def _printed(self, index: int) -> list[Printed]:
        here, there = self.bar_of(index), self.chart.form.bars[index]
        if here is None:
            return []
        signature = self.chart.key_of(self.take).signature
        found = []
        for slot in merged(span(self.take.row, here.start, here.end)):
            share = (slot.onset - here.start) / here.length
            parts = printed_slot(slot, signature, self.style)
            apart = _chord_at(self.base, there, share) != slot.chord
            found.append(Printed(float(share), parts, apart))
        return found

    def content(self, index: int) -> list[tuple[Fraction, Chord | None]]:
        """What sounds in a bar and since which share of it."""
        here = self.bar_of(index)
        if here is None:
            return []
        slots = merged(span(self.take.row, here.start, here.end))
        return [((slot.onset - here.start) / here.length, slot.chord) for slot in slots]


def differing_bars(one: TakeLine, two: TakeLine) -> tuple[int, ...]:
    """Indexes of the chart's bars in which two rows sound other chords, or at other times."""
    return tuple(bar.index for bar in one.chart.form.bars if one.content(bar.index) != two.content(bar.index))


def _chord_at(row: Row, bar: Bar, share: Fraction) -> Chord | None:
    return row[slot_index(row, bar.start + bar.length * share)].chord


def standard_line(chart: Chart, style: str = "plain", base: Row | None = None) -> TakeLine:
    """The standard row as a line."""
    return TakeLine(chart, Take(STANDARD, chart.standard), chart.standard if base is None else base, style)


# --- words ----------------------------------------------------------------------------------------------------------


def term_words(terms: Mapping[str, int]) -> str:
    """The terms that are not nothing, the largest first: ``"the bass 12, boldness −8"``."""
    there = sorted(((name, value) for name, value in terms.items() if value), key=lambda one: (-abs(one[1]), one[0]))
    return ", ".join(f"{TERM_WORDS.get(name, name)} {signed(value)}" for name, value in there)


def signed(value: int) -> str:
    """A number with a real minus."""
    return str(value).replace("-", "−")


def bar_cost(view: TakeView | None, index: int) -> int | None:
    """What a bar costs, None where that is not known."""
    return view.costs[index] if view is not None and index < len(view.costs) else None


def dearest_bar(lines: tuple[TakeLine, ...]) -> int:
    """The largest cost or gain of a bar, at least 1: what pictures of costs are measured by."""
    return max([1, *(abs(cost) for line in lines if line.view and line.view.costs
                     for cost in (max(line.view.costs), min(line.view.costs)))])  # fmt: skip


def cost_words(view: TakeView | None, index: int) -> str:
    """``"cost 24: the bass 12, steps to believe 12"``; "" where it is not known."""
    cost = bar_cost(view, index)
    if view is None or cost is None:
        return ""
    terms = term_words(dict(zip(view.names, view.terms[index], strict=True)))
    return f"cost {signed(cost)}" + (f": {terms}" if terms else "")


def bar_words(line: TakeLine, index: int) -> str:
    """A bar of a line in words: what stands there and what it costs."""
    chords = " ".join(one.parts.text for one in line.chords(index)) or "no bar that answers this one"
    cost = cost_words(line.view, index)
    return f"{line.name}, bar {line.chart.form.bars[index].number}: {chords}" + (f" · {cost}" if cost else "")


def changed_words(line: TakeLine) -> str:
    """ "12 of 32 bars changed"; for a take with bars of its own how many it has."""
    bars = len(line.chart.form_of(line.take).bars)
    if line.is_foreign:
        return f"{bars} bars of its own"
    if line.view is None:
        return "working out what it costs…"
    if not line.view.changed:
        return f"{bars} bars, none changed"
    return f"{len(line.view.changed)} of {bars} bars changed"


def technique_words(view: TakeView | None) -> str:
    """ "Tritone substitution × 4, diatonic substitute"; the sentence for a take that nothing made."""
    if view is None:
        return ""
    if not view.techniques:
        return "no technique is named" if view.changed else "no technique"
    said = [title + (f" × {count}" if count > 1 else "") for title, count in view.techniques]
    return ", ".join([said[0], *(text[:1].lower() + text[1:] if text[1:2].islower() else text for text in said[1:])])


def total_words(view: TakeView) -> str:
    """Every term over the whole take."""
    sums = [sum(bar[place] for bar in view.terms) for place in range(len(view.names))]
    return term_words(dict(zip(view.names, sums, strict=True)))


def take_words(line: TakeLine) -> str:
    """A take as a whole: what it costs and for what."""
    view = line.view
    if view is None or view.cost is None:
        return line.name
    terms = total_words(view)
    return f"{line.name}, the whole form: cost {signed(view.cost)}" + (f": {terms}" if terms else "")


def spoken_line(line: TakeLine) -> str:
    """A take for a screen reader."""
    view = line.view
    if view is None:
        return line.name
    cost = f"cost {signed(view.cost)}: {total_words(view)}" if view.cost is not None else "no cost"
    return f"{line.name}. {changed_words(line)}. {technique_words(view)}. {cost}."


def spoken_bar(line: TakeLine, index: int) -> str:
    """A bar of a line for a screen reader."""
    return spoken(bar_words(line, index))


# --- lines of bars --------------------------------------------------------------------------------------------------


class Stretch(NamedTuple):
    """Bars that stand on one line: from ``first`` to before ``last``."""

    first: int
    last: int


def stretches(form: Form, most: int) -> tuple[Stretch, ...]:
    """The form cut into lines of at most ``most`` bars; a section of at least half a line begins a new one."""
    starts: list[Section] = []
    for section in form.sections:
        if not starts or section.last - section.first >= most // 2:
            starts.append(section)
    found = []
    for section, end in zip(starts, [*(one.first for one in starts[1:]), len(form.bars)], strict=True):
        found += [Stretch(first, min(first + most, end)) for first in range(section.first, end, most)]
    return tuple(found)
