"""One line of a sheet: staff or bar boxes, rows over it, what stands under it. Zero is the staff's top line."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from app.sheet.bar_boxes import box_items, left_room
from app.sheet.brackets import bracket_items
from app.sheet.drawing import INK, LABEL, SECOND, Frame, Item, Rule, Shape, Sign, Words
from app.sheet.rows import Lanes, Places, lanes_over, row_items, simile_items
from app.sheet.type import Sizes, centred, to_the_left, width
from core.sheet.content import Sheet, SheetBar
from core.sheet.engrave import Staff
from core.sheet.lines import Line
from core.sheet.marks import Glyph, Mark, Outline, Stroke
from core.sheet.spacing import SetLine, set_line

GUTTER = 26.0
"""Left of the first bar line of a chart without a staff: section and bar number."""
SHORT_NAME = 2
SMALLEST_DEGREE = 4.6
HEAD = 13.0
"""Over the rows: endings, signs of the road map, long section names."""
JUMP_WORDS = {"da capo": "D.C.", "dal segno": "D.S."}


@dataclass(frozen=True, slots=True)
class System:
    """A line ready to be placed: its items, and how far it reaches above and below its own zero."""

    items: tuple[Item, ...]
    top: float
    bottom: float
    section: bool


def staff_system(sheet: Sheet, line: Line, staff: Staff, sizes: Sizes, room: float, head: float) -> System:
    """A line with the tune engraved; ``head`` is the room for clef and signature in staff spaces, one for all."""
    space = sizes.space
    bar_lines = _grid(line, sheet.options.bars, head, room / space, line.column)
    laid = set_line(staff, sheet, line, bar_lines)
    places = Places(_moments(sheet, line, laid, space), tuple(x * space for x in bar_lines))
    brackets, floor = bracket_items(sheet, line, places, sizes, min(laid.top * space, -1.6 * space))
    lanes = lanes_over(sheet, line, sizes, floor - 6.5)
    items = [*(_on_paper(mark, space) for mark in laid.marks), *brackets]
    items += row_items(sheet, line, lanes, places, sizes)
    bottom = max(laid.bottom, 5.6) * space
    degrees, bottom = _degrees(sheet, line, places, sizes, bottom)
    items += degrees
    over, top = _head(sheet, line, lanes, places, sizes, -1.6 * space)
    return System((*items, *over), top, bottom, sheet.bars[line.first].written.section is not None)


def chart_system(sheet: Sheet, line: Line, sizes: Sizes, room: float) -> System:
    """A line of bars without a staff; zero is its lower edge."""
    bar_lines = tuple(x + GUTTER for x in _grid(line, sheet.options.bars, 0.0, room - GUTTER, line.column))
    left = 7.0 * sizes.scale
    lead = [left_room(sheet, line, at) + left for at in range(line.last - line.first)]

    def x_at(bar: int, offset: Fraction) -> float:
        start, end = bar_lines[bar] + lead[bar], bar_lines[bar + 1] - 3.0
        return start + float(offset / sheet.bars[line.first + bar].length) * (end - start)

    places = Places(x_at, bar_lines)
    lanes = lanes_over(sheet, line, sizes, -9.0 * sizes.scale)
    items = row_items(sheet, line, lanes, places, sizes) + simile_items(sheet, line, lanes, places, sizes)
    items += box_items(sheet, line, places, lanes)
    head, top = _head(sheet, line, lanes, places, sizes, lanes.top)
    return System((*items, *head), top, 4.0, sheet.bars[line.first].written.section is not None)


def _grid(line: Line, full: int, head: float, room: float, column: float) -> tuple[float, ...]:
    """Bar lines, the left end first; every line of a sheet shares the grid."""
    usual = (room - head) / full
    places = [usual * column]
    at = head + usual * column
    for wide in line.widths:
        at += usual * wide
        places.append(at)
    return tuple(places)


def _moments(sheet: Sheet, line: Line, laid: SetLine, space: float) -> Callable[[int, Fraction], float]:
    def x_at(bar: int, offset: Fraction) -> float:
        return laid.x_at(bar, offset, sheet.bars[line.first + bar].length) * space

    return x_at


def _on_paper(mark: Mark, space: float) -> Item:
    if isinstance(mark, Glyph):
        return Sign(mark.code, mark.x * space, mark.y * space, space * mark.size)
    if isinstance(mark, Stroke):
        thin = mark.width < 0.11 and mark.y1 == mark.y2
        return Rule(mark.x1 * space, mark.y1 * space, mark.x2 * space, mark.y2 * space, mark.width * space,
                    LABEL if thin else INK)  # fmt: skip
    return Shape(Outline(tuple((c, tuple((x * space, y * space) for x, y in points)) for c, points in mark.path)))


# --- under the staff -------------------------------------------------------------------------------------------------


def _degrees(sheet: Sheet, line: Line, places: Places, sizes: Sizes, bottom: float) -> tuple[list[Item], float]:
    """Degrees of the tune: over the standard, and in second ink over the take where they differ."""
    bars = sheet.bars[line.first : line.last]
    if not any(bar.degrees for bar in bars):
        return [], bottom
    items: list[Item] = []
    lower, first, second = False, bottom + sizes.small, bottom + 2.15 * sizes.small
    found = [(places.x_at(at, degree.offset), degree) for at, bar in enumerate(bars) for degree in bar.degrees]
    rooms = [after[0] - x for (x, _), after in pairwise(found)]
    for (x, degree), room in zip(found, [*rooms, places.right], strict=True):
        middle = x + 0.6 * sizes.space
        if degree.standard:
            items.append(_degree(middle, first, degree.standard, room, sizes.small, LABEL, "regular"))
        if degree.take and degree.take != degree.standard:
            lower = True
            items.append(_degree(middle, second, degree.take, room, sizes.small, SECOND, "strong"))
    return items, (second if lower else first) + 2.0


def _degree(x: float, y: float, words: str, room: float, size: float, ink: str, weight: str) -> Item:
    """A degree under its note, smaller where notes stand close."""
    wide = width(words, size, "sans", weight)
    fitting = max(SMALLEST_DEGREE, min(size, size * room * 0.92 / wide))
    return centred(x, y, words, fitting, ink, weight=weight, role="degree")


# --- over the rows ---------------------------------------------------------------------------------------------------


def _head(sheet: Sheet, line: Line, lanes: Lanes, places: Places, sizes: Sizes, clef_top: float
          ) -> tuple[list[Item], float]:  # fmt: skip
    """Section, bar number, endings, road map; and how high they reach."""
    bars = sheet.bars[line.first : line.last]
    signs = any(bar.written.endings or bar.written.marks or bar.written.jump or bar.written.repeat_end > 2
                for bar in bars)  # fmt: skip
    name = next((bar.written.section for bar in bars[:2] if bar.written.section), None)
    long = name is not None and len(name) > SHORT_NAME
    top = lanes.top
    items: list[Item] = []
    left = places.bar_lines[0] - (GUTTER if not sheet.staff else 0.0)
    if signs:
        endings = any(bar.written.endings for bar in bars)
        items += _road_map(sheet, line, places, sizes, top - 3.0, top - 3.0 - (HEAD if endings else 0.0))
        words = any(bar.written.marks or bar.written.jump or bar.written.repeat_end > 2 for bar in bars)
        top -= HEAD * (2 if endings and words else 1)
    if long and name:
        items += _section(left, top - 13.5, name, sizes)
        top -= HEAD + 3.0
    elif name:
        over_number = clef_top - 2.2 - sizes.small - 15.5
        y = min(lanes.top + 1.0, over_number) if sheet.staff else min(-26.0, (lanes.top - 15.0) / 2)
        items += _section(left, y, name, sizes)
        top = min(top, y - 1.0)
    number = bars[1 if sheet.pickup and line.first == 0 and len(bars) > 1 else 0].number
    y = clef_top - 2.2 if sheet.staff else 0.0
    items.append(Words(left, y, number, sizes.small * 0.92, LABEL, "sans", role="bar number"))
    return items, top


def _section(x: float, y: float, name: str, sizes: Sizes) -> list[Item]:
    size = 11.0 if len(name) <= SHORT_NAME else 9.5
    wide = max(16.0, width(name, size, "serif", "strong") + 9.0)
    return [Frame(x, y, wide, 15.0, 2.0, 0.9),
            centred(x + wide / 2, y + 7.5 + size * 0.33, name, size, INK, "serif", "strong", "section")]  # fmt: skip


def _road_map(sheet: Sheet, line: Line, places: Places, sizes: Sizes, y: float, over: float) -> list[Item]:
    """Endings at one height, signs and words of the road map at another."""
    items: list[Item] = []
    for at, bar in enumerate(sheet.bars[line.first : line.last]):
        left, right = places.bar_lines[at], places.bar_lines[at + 1]
        if at == 0 and sheet.staff:
            left = min(left + (right - left) / 2, places.x_at(0, Fraction(0)) - 4.0)
        items += _ending(sheet, line.first + at, left, right, y, sizes)
        items += _signs(bar, left, right, over, sizes)
    return items


def _ending(sheet: Sheet, index: int, left: float, right: float, y: float, sizes: Sizes) -> list[Item]:
    bar = sheet.bars[index]
    if not bar.written.endings:
        return []
    before = sheet.bars[index - 1].written if index else None
    after = sheet.bars[index + 1].written if index + 1 < len(sheet.bars) else None
    begins = before is None or before.endings != bar.written.endings or before.repeat_end > 0
    ends = bar.written.repeat_end > 0 or after is None or after.endings != bar.written.endings
    items: list[Item] = [Rule(left, y - 9.0, right - (2.0 if ends else 0.0), y - 9.0, 0.8)]
    if begins:
        words = ", ".join(map(str, bar.written.endings)) + "."
        items += [Rule(left, y - 9.0, left, y, 0.8),
                  Words(left + 3.5, y - 1.0, words, sizes.small, INK, "sans", role="ending")]  # fmt: skip
    if bar.written.repeat_end:
        items.append(Rule(right - 2.0, y - 9.0, right - 2.0, y, 0.8))
    return items


def _signs(bar: SheetBar, left: float, right: float, y: float, sizes: Sizes) -> list[Item]:
    items: list[Item] = []
    x = left + 2.0
    for mark, code in (("segno", "E047"), ("coda", "E048")):
        if mark in bar.written.marks:
            items.append(Sign(code, x, y - 1.5, 3.4))
            x += 16.0
    words = ["Fine"] if "fine" in bar.written.marks else []
    if "to coda" in bar.written.marks:
        words.append("To Coda")
    if bar.written.jump:
        base, _, to = bar.written.jump.partition(" al ")
        words.append(JUMP_WORDS[base] + (f" al {to.capitalize()}" if to else ""))
    if bar.written.repeat_end > 2:
        words.append(f"{bar.written.repeat_end}×")
    if words:
        items.append(to_the_left(right - 3.0, y - 1.0, "  ".join(words), sizes.small + 0.6, INK, "serif", "strong",
                                 "road map", italic=True))  # fmt: skip
    return items
