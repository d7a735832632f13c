"""What the page says of a chart, bar by bar: plain values for the painters, built from the chart and a reading.

A *reading* is what analysis, seams, guide threads, tension and checks say of one chart; it arrives after the first
paint, and until then the page shows the chords alone.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import NamedTuple

from app.window.page.chord_text import ChordParts, printed_slot
from app.window.page.geometry import BOTTOM_LINE_STEP, TOP_LINE_STEP, BarSpec
from app.window.page.notation import BarNotation, write_bar
from core.chart import Chart, NamedRow, Take, changed_bars, step_at
from core.form import Bar, Form
from core.key import Key
from core.row import Row, Slot

STEM_STEPS = 7
SHORT_NAME = 2  # letters that fit beside the clef; a longer section name stands over the staff
SECTION_HEAD = 14.0


class SlotReading(NamedTuple):
    """Function T S D or N, numeral and role of one slot."""

    function: str = ""
    numeral: str = ""
    role: str = ""


class ThreadNode(NamedTuple):
    """One guide tone of one slot: MIDI place and the degree printed in its node."""

    midi: int
    degree: str


class Bond(NamedTuple):
    """What leads where: from one onset to another.

    ``kind`` is "pair" (ii and V), "substitute pair" (ii and substitute V), "resolves" or "substitute".
    """

    start: Fraction
    end: Fraction
    kind: str


Threads = tuple[tuple[ThreadNode, ThreadNode] | None, ...]


class Reading(NamedTuple):
    """Everything computed about one chart and take; tuples are parallel to the rows' slots.

    ``seams`` are (onset, words); ``tension`` is (onset in quarter notes, 0 to 1).
    """

    standard: tuple[SlotReading, ...] = ()
    take: tuple[SlotReading, ...] = ()
    seams: tuple[tuple[Fraction, str], ...] = ()
    standard_threads: Threads = ()
    take_threads: Threads = ()
    tension: tuple[tuple[float, float], ...] = ()
    standard_bonds: tuple[Bond, ...] = ()
    take_bonds: tuple[Bond, ...] = ()


class SlotView(NamedTuple):
    """A chord where it is printed. ``onset`` and ``end`` in quarter notes of the page; ``quiet`` if it agrees with
    the other row; ``begins`` is False where it only sounds on from the bar before.
    """

    onset: Fraction
    end: Fraction
    parts: ChordParts
    function: str
    numeral: str
    quiet: bool = False
    begins: bool = True
    optional: bool = False


SlotViews = tuple[tuple[SlotView, ...], ...]


@dataclass(frozen=True, slots=True)
class BarView:
    """One bar of the page; ``notes`` are the user's own words on its changes, ``remark`` a teacher's on the bar."""

    index: int
    number: int
    start: Fraction
    length: Fraction
    section: str | None
    standard: tuple[SlotView, ...]
    take: tuple[SlotView, ...]
    seams: tuple[tuple[Fraction, str], ...]
    changed: bool
    locked: bool
    notation: BarNotation
    meter: tuple[int, int] | None
    notes: tuple[str, ...] = ()
    remark: str = ""


class ThreadPoint(NamedTuple):
    """A slot's two guide tones from ``onset`` to ``end``; ``nodes`` None is a gap."""

    onset: Fraction
    end: Fraction
    nodes: tuple[ThreadNode, ThreadNode] | None


class PageModel(NamedTuple):
    """The whole page: bars, threads, key, metre."""

    bars: tuple[BarView, ...]
    take_threads: tuple[ThreadPoint, ...]
    standard_threads: tuple[ThreadPoint, ...]
    signature: int
    meter: tuple[int, int]
    has_take: bool
    key: Key
    form: Form
    standard_bonds: tuple[Bond, ...] = ()
    take_bonds: tuple[Bond, ...] = ()

    def specs(self) -> tuple[BarSpec, ...]:
        """What the geometry needs."""
        full = max((bar.length for bar in self.bars), default=Fraction(4))
        result = []
        for bar in self.bars:
            low, high = _staff_range(bar.notation)
            weight = float(bar.length / full) if bar.length * 4 < full * 3 else 1.0
            breaks = bar.section is not None and bar.index > 0
            result.append(BarSpec(bar.index, bar.start, bar.length, weight, breaks, low, high,
                                  SECTION_HEAD if len(bar.section or "") > SHORT_NAME else 0.0))  # fmt: skip
        return tuple(result)


def _staff_range(notation: BarNotation) -> tuple[int, int]:
    low, high = BOTTOM_LINE_STEP, TOP_LINE_STEP
    for mark in notation.notes:
        stem_up = mark.step < (BOTTOM_LINE_STEP + TOP_LINE_STEP) // 2
        reach = STEM_STEPS if mark.value > 1 else 0
        low = min(low, mark.step - (0 if stem_up else reach))
        high = max(high, mark.step + (reach if stem_up else 0))
    return low, high


def page_model(chart: Chart, take_name: str | None, reading: Reading | None = None, style: str = "plain") -> PageModel:
    """Build the page for a chart and one take (None: the standard alone)."""
    take = chart.take_named(take_name) if take_name else None
    form, key = chart.form_of(take), chart.key_of(take)
    said = reading or Reading()
    standard = _by_bar(*_aligned(chart, take, said.standard), form, key.signature, style)
    takes = _by_bar(take.row, said.take, form, key.signature, style) if take else tuple(() for _ in form.bars)
    changed = frozenset(changed_bars(chart, take)) if take else frozenset()
    melody = chart.melody_of(take)
    bars = []
    for bar in form.bars:
        notation = write_bar(melody, bar.start, bar.length, bar.meter, form.key_at(bar.index, key).signature)
        mine = _quieted(takes[bar.index], standard[bar.index])
        section = bar.section or (pickup_section(form) if bar.index == 0 else None)
        seams = tuple(seam for seam in said.seams if bar.start <= seam[0] < bar.end)
        remark = chart.for_class.note_on(bar.index) if take is None or take.form is None else ""
        bars.append(BarView(bar.index, bar.number, bar.start, bar.length, section, standard[bar.index], mine, seams,
                            bar.index in changed, take is not None and bar.index in take.locked, notation,
                            _meter_change(form, bar), _notes(take, bar), remark))  # fmt: skip
    return PageModel(tuple(bars), _points(take.row, said.take_threads) if take else (),
                     _points(chart.standard, said.standard_threads) if take is None or take.form is None else (),
                     key.signature, (chart.meter.numerator, chart.meter.denominator), take is not None, key,
                     form, said.standard_bonds if take is None or take.form is None else (),
                     _news(said.take_bonds, takes, standard) if take else ())  # fmt: skip


def one_row(chart: Chart, take_name: str | None, reading: Reading, row: str) -> tuple[Chart, None, Reading]:
    """A chart, take and reading for :func:`page_model` in which the standard or a take stands alone."""
    take = chart.take_named(take_name) if take_name and row == "take" else None
    if take is None:
        alone = reading._replace(take=(), seams=(), take_threads=(), take_bonds=())
        return chart, None, alone
    mine = Reading(reading.take, standard_threads=reading.take_threads, standard_bonds=reading.take_bonds,
                   tension=reading.tension)  # fmt: skip
    shown = replace(chart, key=chart.key_of(take), form=chart.form_of(take), melody=chart.melody_of(take), takes=(),
                    references=(NamedRow(chart.reference, take.row),))  # fmt: skip
    return shown, None, mine


def _news(bonds: tuple[Bond, ...], mine: SlotViews, theirs: SlotViews) -> tuple[Bond, ...]:
    """The bonds that the take does not share with the standard: one of their ends is a chord of its own."""
    own = {slot.onset for slots, others in zip(mine, theirs, strict=True)
           for slot in _quieted(slots, others) if not slot.quiet and slot.begins}  # fmt: skip
    return tuple(bond for bond in bonds if bond.start in own or bond.end in own)


def _notes(take: Take | None, bar: Bar) -> tuple[str, ...]:
    """The user's own words on the changes that begin in a bar, the newest of each place."""
    begun = [step for step in take.steps if bar.start <= step.start < bar.end] if take else []
    return tuple(step.note for step in begun if step.note and take and step_at(take, step.start) is step)


def pickup_section(form: Form) -> str | None:
    """A section that begins with the first full bar is named at its pickup."""
    return form.bars[1].section if form.pickup and len(form.bars) > 1 else None


def _aligned(chart: Chart, take: Take | None, said: tuple[SlotReading, ...]) -> tuple[Row, tuple[SlotReading, ...]]:
    """The standard row and its reading on the time of the page: moved bar by bar where the take has its own form."""
    if take is None or take.form is None:
        return chart.standard, said
    moved: list[Slot] = []
    reading: list[SlotReading] = []
    for bar in take.form.bars:
        answers = answered_bar(chart, take, bar.index)
        if answers is None:
            continue
        reference = chart.form.bars[answers]
        for index, slot in enumerate(chart.standard):
            onset = bar.start + slot.onset - reference.start
            if reference.start <= slot.onset < reference.end and onset < bar.end:
                moved.append(replace(slot, onset=onset, duration=min(slot.duration, bar.end - onset)))
                reading.append(said[index] if index < len(said) else SlotReading())
    return tuple(moved), tuple(reading)


def answered_bar(chart: Chart, take: Take | None, bar_index: int) -> int | None:
    """The reference bar that a bar of the page answers, or None for an added bar."""
    if take is None or take.form is None:
        return bar_index
    answers = bar_index if take.alignment is None else take.alignment[bar_index]
    return answers if answers is not None and answers < len(chart.form.bars) else None


def _by_bar(row: Row, said: tuple[SlotReading, ...], form: Form, signature: int, style: str
            ) -> tuple[tuple[SlotView, ...], ...]:  # fmt: skip
    cells: list[list[SlotView]] = [[] for _ in form.bars]
    if not any(slot.chord for slot in row):
        return tuple(() for _ in form.bars)  # a tune that has no chords yet is blank paper
    for index, slot in enumerate(row):
        reading = said[index] if index < len(said) else SlotReading()
        parts = printed_slot(slot, signature, style)
        bar = form.bar_at(slot.onset)
        cells[bar.index].append(SlotView(slot.onset, min(slot.end, bar.end), parts, reading.function, reading.numeral,
                                         optional=slot.optional))  # fmt: skip
        for later in form.bars[bar.index + 1 :]:
            if later.start >= slot.end:
                break
            cells[later.index].append(SlotView(later.start, min(slot.end, later.end), parts, reading.function,
                                               reading.numeral, begins=False))  # fmt: skip
    return tuple(tuple(cell) for cell in cells)


def _quieted(mine: tuple[SlotView, ...], theirs: tuple[SlotView, ...]) -> tuple[SlotView, ...]:
    """Marks each slot of the take that says what the standard says at the same place."""
    there = {(slot.onset, slot.parts) for slot in theirs}
    return tuple(
        SlotView(slot.onset, slot.end, slot.parts, slot.function, slot.numeral,
                 (slot.onset, slot.parts) in there, slot.begins, slot.optional)
        for slot in mine
    )  # fmt: skip


def _points(row: Row, threads: Threads) -> tuple[ThreadPoint, ...]:
    return tuple(ThreadPoint(slot.onset, slot.end, nodes) for slot, nodes in zip(row, threads, strict=False))


def _meter_change(form: Form, bar: Bar) -> tuple[int, int] | None:
    before = form.bars[bar.index - 1].meter if bar.index else None
    changed = before is not None and before != bar.meter
    return (bar.meter.numerator, bar.meter.denominator) if changed else None
