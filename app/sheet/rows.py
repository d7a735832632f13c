"""The rows of chords over a line: standard, the words between the rows, take, or a line to write on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from app.sheet.drawing import HAIR, INK, LABEL, PALE, SECOND, Frame, Item, Rule, Sign, Words
from app.sheet.type import Sizes, centred, chord_items, chord_size, chord_width, elided, width
from app.window.page.chord_text import printed_slot
from core.sheet.content import Sheet, SheetBar, SheetChord
from core.sheet.lines import Line

GAP = 4.0
"""Between rows."""
SIMILE = "E500"


@dataclass(frozen=True, slots=True)
class Lanes:
    """Baselines above the staff (negative) or below a chart's top line; None where the row is not there."""

    standard: float | None
    seam: float | None
    take: float | None
    write: float | None
    top: float


@dataclass(frozen=True, slots=True)
class Places:
    """Where the moments of a line stand: x by (bar of the line, offset), and the bar lines."""

    x_at: Callable[[int, Fraction], float]
    bar_lines: tuple[float, ...]

    @property
    def right(self) -> float:
        """The last bar line."""
        return self.bar_lines[-1]


def lanes_over(sheet: Sheet, line: Line, sizes: Sizes, floor: float) -> Lanes:
    """The rows stacked upwards from a height that nothing else reaches."""
    kind = sheet.kind
    at = floor
    write = take = seam = standard = None
    if kind.line:
        write = at
        at -= 27.0 * max(sizes.scale, 0.9)
    if kind.take:
        take = at
        at -= sizes.take * 0.86 + GAP
    if any(bar.changes for bar in sheet.bars[line.first : line.last]):
        seam = at - 1.5
        at -= sizes.small + 7.0
    if kind.standard:
        standard = at
        at -= sizes.chord * 0.86 + GAP
    return Lanes(standard, seam, take, write, at)


def row_items(sheet: Sheet, line: Line, lanes: Lanes, places: Places, sizes: Sizes) -> list[Item]:
    """Everything of the rows over one line."""
    items: list[Item] = []
    bars = sheet.bars[line.first : line.last]
    if lanes.write is not None:
        for left, right in zip(places.bar_lines, places.bar_lines[1:], strict=False):
            items.append(
                Rule(max(left, places.x_at(0, Fraction(0))) + 1, lanes.write, right - 3, lanes.write, 0.9, HAIR)
            )
    if lanes.standard is not None:
        items += _chords(sheet, bars, "standard", lanes.standard, places, sizes)
    if lanes.take is not None:
        items += _chords(sheet, bars, "take", lanes.take, places, sizes)
    if lanes.seam is not None:
        items += _seams(sheet, bars, lanes.seam, places, sizes)
    return items


def _chords(sheet: Sheet, bars: tuple[SheetBar, ...], row: str, baseline: float, places: Places, sizes: Sizes
            ) -> list[Item]:  # fmt: skip
    found = [(places.x_at(at, chord.offset), chord, bar) for at, bar in enumerate(bars)
             for chord in getattr(bar, row)]  # fmt: skip
    items: list[Item] = []
    for place, (x, chord, bar) in enumerate(found):
        until = found[place + 1][0] - 0.34 * sizes.chord if place + 1 < len(found) else places.right + GAP
        items += _chord(sheet, chord, bar, row, x, baseline, until - x, sizes)
    return items


def _chord(sheet: Sheet, chord: SheetChord, bar: SheetBar, row: str, x: float, baseline: float, room: float,
           sizes: Sizes) -> list[Item]:  # fmt: skip
    parts = printed_slot(chord.slot, bar.signature, sheet.options.style)
    beside = row == "take" and sheet.kind.standard
    weight = "strong" if beside and not chord.quiet else "regular"
    ink = PALE if chord.quiet else SECOND if beside else INK
    full = sizes.take - (2.0 if chord.quiet else 0.0) if beside else sizes.chord
    brackets = 2 * width("(", full) if chord.slot.optional else 0.0
    size = chord_size(parts, full, room - brackets, weight)
    role = f"{row} {chord.offset}"
    if not chord.slot.optional:
        return chord_items(x, baseline, parts, size, ink, weight, role)
    lead = width("(", size)
    wide = chord_width(parts, size, weight)
    return [Words(x, baseline, "(", size, ink, role=f"{row} bracket"),
            *chord_items(x + lead, baseline, parts, size, ink, weight, role),
            Words(x + lead + wide, baseline, ")", size, ink, role=f"{row} bracket")]  # fmt: skip


def _seams(sheet: Sheet, bars: tuple[SheetBar, ...], baseline: float, places: Places, sizes: Sizes) -> list[Item]:
    """The number of each change in a circle, and in a few words what it is."""
    found = [(places.x_at(at, offset), number) for at, bar in enumerate(bars) for offset, number in bar.changes]
    items: list[Item] = []
    for place, (x, number) in enumerate(found):
        until = found[place + 1][0] - GAP if place + 1 < len(found) else places.right
        items += number_items(x + 5.2, baseline - sizes.small * 0.34, number, sizes.small)
        room = until - x - 13.5
        words = elided(sheet.changes[number - 1].short, room, sizes.small, "sans", italic=True)
        if room > 12:
            items.append(Words(x + 13.5, baseline, words, sizes.small, SECOND, "sans", italic=True, role="seam"))
    return items


def number_items(x: float, y: float, number: int, size: float) -> list[Item]:
    """A number in a circle whose middle is given."""
    radius = max(5.2, width(str(number), size * 0.88, "sans", "strong") / 2 + 2.0)
    return [Frame(x - radius, y - 5.2, 2 * radius, 10.4, 5.2, 0.8, SECOND),
            centred(x, y + size * 0.30, str(number), size * 0.88, SECOND, weight="strong", role="number")]  # fmt: skip


def simile_items(sheet: Sheet, line: Line, lanes: Lanes, places: Places, sizes: Sizes) -> list[Item]:
    """In a chart without a staff, bars in which the chord before goes on."""
    items: list[Item] = []
    for at, bar in enumerate(sheet.bars[line.first : line.last]):
        middle = (places.bar_lines[at] + places.bar_lines[at + 1]) / 2
        for row, baseline in (("standard", lanes.standard), ("take", lanes.take)):
            started = any(getattr(other, row) for other in sheet.bars[: line.first + at])
            if baseline is not None and started and not getattr(bar, row):
                space = sizes.space * 0.8
                items.append(Sign(SIMILE, middle - 1.1 * space, baseline - sizes.chord * 0.32, space, LABEL))
    return items
