"""The rows of chords over a line: standard, the words between the rows, take, or a line to write on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from app.sheet.drawing import HAIR, INK, LABEL, PALE, SECOND, Frame, Item, Rule, Sign, Words
from app.sheet.type import Sizes, centred, chord_items, chord_size, chord_width, elided, width
from app.window.page.chord_text import ChordParts, printed_slot
from core.sheet.content import Sheet, SheetBar, SheetChord
from core.sheet.lines import Line

GAP = 4.0
"""Between rows."""
SMALLEST_SEAM = 0.82  # of the usual size, before words are cut with dots
OVERHANG = 14.0
"""How far the last chord of a line may reach beyond it."""
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
        for left, right in pairwise(places.bar_lines):
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
    found = [(places.x_at(at, chord.offset), chord, at) for at, bar in enumerate(bars) for chord in getattr(bar, row)]
    rooms = [after[0] - x - 0.34 * sizes.chord for (x, _, _), after in pairwise(found)]
    rooms += [places.right + GAP - found[-1][0]] if found else []
    if not sheet.staff:  # in a box a chord keeps clear of the bar line
        rooms = [min(room, places.bar_lines[at + 1] - 4.0 - x) for (x, _, at), room in zip(found, rooms, strict=True)]
    prints = [_printed(sheet, chord, bars[at], row, sizes) for _, chord, at in found]
    shrunk: dict[int, float] = {}
    for (_, _, at), room, one in zip(found, rooms, prints, strict=True):  # the chords of a bar are of one size
        shrunk[at] = min(shrunk.get(at, 1.0), one.shrunk(room))
    items: list[Item] = []
    taken = float("-inf")
    for (x, _, at), one in zip(found, prints, strict=True):  # where even the smallest touch, one gives way a little
        x = min(max(x, taken), places.right + OVERHANG - one.wide(shrunk[at]))
        items += one.items(x, baseline, shrunk[at])
        taken = x + one.wide(shrunk[at]) + 0.16 * one.size
    return items


@dataclass(frozen=True, slots=True)
class _Print:
    """A chord in the type and ink of its row; ``size`` is the usual one."""

    parts: ChordParts
    size: float
    ink: str
    weight: str
    role: str
    optional: bool

    def shrunk(self, room: float) -> float:
        """The share of its size at which it fits into a width."""
        brackets = 2 * width("(", self.size) if self.optional else 0.0
        return chord_size(self.parts, self.size, room - brackets, self.weight) / self.size

    def wide(self, share: float) -> float:
        """How wide it is at a share of its size."""
        brackets = 2 * width("(", self.size * share) if self.optional else 0.0
        return chord_width(self.parts, self.size * share, self.weight) + brackets

    def items(self, x: float, baseline: float, share: float) -> list[Item]:
        """The chord at a place."""
        size = self.size * share
        lead = width("(", size) if self.optional else 0.0
        wide = chord_width(self.parts, size, self.weight)
        chord = chord_items(x + lead, baseline, self.parts, size, self.ink, self.weight, self.role)
        if not self.optional:
            return chord
        return [Words(x, baseline, "(", size, self.ink, role="bracket"), *chord,
                Words(x + lead + wide, baseline, ")", size, self.ink, role="bracket")]  # fmt: skip


def _printed(sheet: Sheet, chord: SheetChord, bar: SheetBar, row: str, sizes: Sizes) -> _Print:
    parts = printed_slot(chord.slot, bar.signature, sheet.options.style)
    beside = row == "take" and sheet.kind.standard
    weight = "strong" if beside and not chord.quiet else "regular"
    ink = PALE if chord.quiet else SECOND if beside else INK
    size = sizes.take - (2.0 if chord.quiet else 0.0) if beside else sizes.chord
    return _Print(parts, size, ink, weight, row, chord.slot.optional)


def _seams(sheet: Sheet, bars: tuple[SheetBar, ...], baseline: float, places: Places, sizes: Sizes) -> list[Item]:
    """The number of each change in a circle, and in a few words what it is."""
    found = [(places.x_at(at, offset), number) for at, bar in enumerate(bars) for offset, number in bar.changes]
    items: list[Item] = []
    for place, (x, number) in enumerate(found):
        until = (
            found[place + 1][0] - GAP if place + 1 < len(found) else places.right + (OVERHANG if sheet.staff else -6.0)
        )
        items += number_items(x + 5.2, baseline - sizes.small * 0.34, number, sizes.small)
        room = until - x - 13.5
        words = sheet.changes[number - 1].short
        wide = width(words, sizes.small, "sans", italic=True)
        size = sizes.small * min(1.0, max(SMALLEST_SEAM, room / wide))
        if room > 12:
            shown = elided(words, room, size, "sans", italic=True)
            items.append(Words(x + 13.5, baseline, shown, size, SECOND, "sans", italic=True, role="seam"))
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
