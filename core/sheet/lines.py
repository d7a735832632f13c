"""Bars broken into lines: a section or a repeat begins one, a second ending stands under the first."""

from __future__ import annotations

from dataclasses import dataclass

from core.sheet.content import Sheet, SheetBar, SheetChord

NOTES = 9
"""Notes that a usual bar holds with ease; a bar with more is wider."""
LETTERS, LETTERS_OF_CHART = 17, 13
"""Letters of chord symbols that would fill a usual bar, over a staff and (larger) without one."""
STILL_USUAL, WIDEST, FULLEST = 1.2, 2.0, 1.5
"""Of usual bars: a bar that is not made wider yet, the widest bar, and how much of such a full line may hold."""


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
    whole = [at for at in range(first, index + 1) if at or not sheet.pickup]
    return len(whole) > full or sum(_weight(sheet, at) for at in whole) > full * FULLEST


def _weight(sheet: Sheet, index: int) -> float:
    """Room that a bar takes, in usual bars."""
    bar = sheet.bars[index]
    if index == 0 and sheet.pickup:
        return 0.5
    crowded = max(_crowded(row, bar, LETTERS if sheet.staff else LETTERS_OF_CHART) for row in (bar.standard, bar.take))
    wide = max(len(bar.melody) / NOTES, crowded)
    return 1.0 if wide < STILL_USUAL else min(WIDEST, wide)


def _crowded(row: tuple[SheetChord, ...], bar: SheetBar, letters: int) -> float:
    """Usual bars that a row of chords needs so that each has room until the next."""
    ends = [*(chord.offset for chord in row[1:]), bar.length]
    return max((len(chord.slot.text) / letters * float(bar.length / (end - chord.offset))
                for chord, end in zip(row, ends, strict=True)), default=0.0) if row else 0.0  # fmt: skip


def _line(sheet: Sheet, first: int, last: int, lines: list[Line]) -> Line:
    widths = [_weight(sheet, at) for at in range(first, last)]
    total, full = sum(widths), float(sheet.options.bars)
    if total > full or last - first >= sheet.options.bars:
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
