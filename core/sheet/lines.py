"""Bars broken into lines: a section or a repeat begins one, a second ending stands under the first."""

from __future__ import annotations

from dataclasses import dataclass

from core.sheet.content import Sheet

DENSE, VERY_DENSE = 11, 17
"""Notes in a bar from which it takes the room of one and a half and of two."""
FULL_OF_CHORDS = 4


@dataclass(frozen=True, slots=True)
class Line:
    """Bars ``first`` to ``last`` (exclusive) of a sheet.

    ``column`` is how many usual bars the line is indented; ``widths`` of the bars in usual bars.
    """

    first: int
    last: int
    column: float
    widths: tuple[float, ...]


def lines_of(sheet: Sheet) -> tuple[Line, ...]:
    """Every line of a sheet, in order."""
    lines: list[Line] = []
    first = 0
    for index in range(1, len(sheet.bars) + 1):
        if index == len(sheet.bars) or _breaks(sheet, first, index):
            lines.append(_line(sheet, first, index, lines))
            first = index
    return tuple(lines)


def _breaks(sheet: Sheet, first: int, index: int) -> bool:
    bar, before = sheet.bars[index], sheet.bars[index - 1]
    full = sheet.options.bars
    if index == 1 and sheet.pickup:
        return False  # a pickup stands before the first bar, which may begin a section
    if bar.written.section is not None or bar.written.repeat_start or "coda" in bar.written.marks:
        return True
    if bar.written.endings and before.written.endings and bar.written.endings != before.written.endings:
        return True
    return sum(_weight(sheet, at) for at in range(first, index + 1)) > full + 0.5


def _weight(sheet: Sheet, index: int) -> float:
    """Room that a bar takes, in usual bars."""
    bar = sheet.bars[index]
    if index == 0 and sheet.pickup:
        return 0.5
    notes, chords = len(bar.melody), max(len(bar.standard), len(bar.take))
    crowded = notes >= DENSE or chords > FULL_OF_CHORDS
    weight = 2.0 if notes >= VERY_DENSE or chords > 2 * FULL_OF_CHORDS else 1.5 if crowded else 1.0
    return min(weight, float(sheet.options.bars))


def _line(sheet: Sheet, first: int, last: int, lines: list[Line]) -> Line:
    widths = [_weight(sheet, at) for at in range(first, last)]
    total, full = sum(widths), float(sheet.options.bars)
    if total > full or (total > full - 0.5 and total != full):
        widths = [width * full / total for width in widths]
    column = _column(sheet, first, lines)
    return Line(first, last, column if column + sum(widths) <= full + 0.01 else 0.0, tuple(widths))


def _column(sheet: Sheet, first: int, lines: list[Line]) -> float:
    """Where a second ending begins: under the one before it."""
    bar = sheet.bars[first]
    if not bar.written.endings or not lines or not sheet.bars[first - 1].written.endings:
        return 0.0
    above = lines[-1]
    begun = next((at for at in range(above.first, above.last) if sheet.bars[at].written.endings), above.first)
    return above.column + sum(above.widths[: begun - above.first])
