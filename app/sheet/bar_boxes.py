"""Bars of a chord chart: bar lines, repeats, metres, and a fine ground line with the beats on it."""

from __future__ import annotations

from fractions import Fraction

from app.sheet.drawing import HAIR, INK, Frame, Item, Rule
from app.sheet.rows import Lanes, Places
from app.sheet.type import centred
from core.sheet.content import Sheet, SheetBar
from core.sheet.lines import Line


def left_room(sheet: Sheet, line: Line, at: int) -> float:
    """Room that a repeat sign and a change of metre take at the left of a bar of the line."""
    bar = sheet.bars[line.first + at]
    changed = line.first + at > 0 and sheet.bars[line.first + at - 1].meter != bar.meter
    return (8.0 if bar.written.repeat_start else 0.0) + (14.0 if changed else 0.0)


def box_items(sheet: Sheet, line: Line, places: Places, lanes: Lanes) -> list[Item]:
    """Bar lines, repeats, a fine ground line with the beats on it."""
    top = lanes.top + 2.0
    items: list[Item] = [Rule(places.bar_lines[0], 0.0, places.right, 0.0, 0.5, HAIR)]
    bars = sheet.bars[line.first : line.last]
    items.append(Rule(places.bar_lines[0], top, places.bar_lines[0], 0.0, 0.9))
    for at, bar in enumerate(bars):
        left, right = places.bar_lines[at], places.bar_lines[at + 1]
        items += _beats(bar, at, places)
        items += _metre(sheet, line.first + at, left, top)
        if bar.written.repeat_start:
            items += _repeat(left, 1.0, top)
        following = sheet.bars[line.first + at + 1] if line.first + at + 1 < len(sheet.bars) else None
        if bar.written.repeat_end:
            items += _repeat(right, -1.0, top)
        elif following is None or bar.written.jump or "fine" in bar.written.marks:
            items += [Rule(right - 3.4, top, right - 3.4, 0.0, 0.9), Rule(right - 1.1, top, right - 1.1, 0.0, 2.2)]
        elif following.written.section is not None:
            items += [Rule(right - 2.4, top, right - 2.4, 0.0, 0.9), Rule(right, top, right, 0.0, 0.9)]
        elif not following.written.repeat_start or at + 1 == len(bars):
            items.append(Rule(right, top, right, 0.0, 0.9))
    return items


def _beats(bar: SheetBar, at: int, places: Places) -> list[Item]:
    beat, offset, items = bar.meter.beat, Fraction(0), list[Item]()
    while offset < bar.length:
        x = places.x_at(at, offset)
        items.append(Rule(x, -2.2, x, 0.0, 0.7, HAIR))
        offset += beat
    return items


def _metre(sheet: Sheet, index: int, left: float, top: float) -> list[Item]:
    meter = sheet.bars[index].meter
    if index == 0 or sheet.bars[index - 1].meter == meter:
        return []
    x, middle = left + 9.0, top / 2
    numbers = ((meter.numerator, middle - 1.0), (meter.denominator, middle + 8.5))
    return [centred(x, y, str(number), 10.0, INK, "serif", "strong", "metre") for number, y in numbers]


def _repeat(x: float, way: float, top: float) -> list[Item]:
    """A repeat sign: ``way`` 1 opens to the right, −1 closes."""
    middle = top / 2
    dots = [Frame(x + way * 7.6 - 1.1, y - 1.1, 2.2, 2.2, 1.1, 0.0, INK, INK) for y in (middle - 4.0, middle + 4.0)]
    return [Rule(x + way * 1.1, top, x + way * 1.1, 0.0, 2.2), Rule(x + way * 4.2, top, x + way * 4.2, 0.0, 0.9), *dots]
