"""An engraved line drawn out to a grid of bars: what lies between the notes gives way, notes keep their shape.

Bar lines come to stand under each other from line to line, whatever the bars hold.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from core.sheet.content import Sheet
from core.sheet.engrave import RIGID, Group, Staff
from core.sheet.lines import Line
from core.sheet.marks import Glyph, Mark, Outline, Stroke, box_of_all
from core.sheet.mei import pieces_of

FIRST_GAP = 1.35
"""Staff spaces from a bar line or signature to the first note or its accidental, less only where a bar is crowded."""
HEAD = ("clef", "keySig", "meterSig")
Block = tuple[float, float]


@dataclass(frozen=True, slots=True)
class SetLine:
    """A line in place, in staff spaces: its marks, bar lines (the left end first), where the music of each bar begins,
    and for each bar the places of its moments (offset in quarter notes → x of the note head).
    """

    marks: tuple[Mark, ...]
    bar_lines: tuple[float, ...]
    music: tuple[float, ...]
    places: tuple[tuple[tuple[Fraction, float], ...], ...]
    top: float
    bottom: float

    def x_at(self, bar: int, offset: Fraction, length: Fraction) -> float:
        """Where a moment of a bar of the line stands: at its note, or between those around it."""
        known = self.places[bar]
        at = bisect_right(known, offset, key=lambda place: place[0]) - 1
        onset, x = known[at] if at >= 0 else (Fraction(0), self.music[bar])
        end, right = known[at + 1] if at + 1 < len(known) else (length, self.bar_lines[bar + 1])
        share = float((offset - onset) / (end - onset)) if end > onset else 0.0
        return x + share * (right - x)


def head_width(staff: Staff) -> float:
    """Room that clef and signature take at the left, in staff spaces."""
    until = _bar_edges(staff, 0)[1][0]
    return max([0.0, *(box[1] for box in _boxes(staff, 0, HEAD[:2]) if box[1] <= until)])


def set_line(staff: Staff, sheet: Sheet, line: Line, bar_lines: tuple[float, ...]) -> SetLine:
    """Draw a staff out so that its bar lines stand at the given places; the first is the left end of the staff."""
    knots = _knots(staff, bar_lines)
    marks = tuple(_drawn(mark, knots, group.kind in RIGID) for group in staff.groups for mark in group.marks)
    music, places = _moments(staff, sheet, line, knots, bar_lines)
    _, top, _, bottom = box_of_all(marks)
    return SetLine(marks, bar_lines, music, places, top, bottom)


# --- where everything comes to stand --------------------------------------------------------------------------------

Knots = list[tuple[float, float]]


def _knots(staff: Staff, bar_lines: tuple[float, ...]) -> Knots:
    """Natural places and the places they come to, in order; between them everything is drawn out evenly."""
    knots: Knots = [(0.0, bar_lines[0])]
    for bar in range(staff.bars):
        left, right = _bar_edges(staff, bar)
        if bar == 0:
            head = _head_end(staff)
            begin, target = (left[1], bar_lines[0] + left[1]) if left else (head, bar_lines[0] + head)
            knots += [(head, bar_lines[0] + head)] if head else []
        else:
            begin, target = knots[-1]
            if left:
                begin, target = left[1], target + left[1] - left[0]
        if left:
            knots += [(left[0], target - (left[1] - left[0])), (left[1], target)]
        warned = _warning_end(staff, bar, right)  # a signature that warns of the next line stands behind the bar line
        end = bar_lines[bar + 1] - (warned - right[0])
        blocks = [block for block in _blocks(staff, bar) if block[1] <= right[0]]
        rest = next(iter(_boxes(staff, bar, ("mRest",))), None)
        if rest:
            knots += _around_rest([block for block in blocks if block != rest], rest, begin, target, end)
        else:
            knots += _inside(blocks, begin, target, right[0], end)
        knots += [(right[0], end), (warned, bar_lines[bar + 1])]
    return _rising(knots)


def _head_end(staff: Staff) -> float:
    """Where clef, signature and metre at the left end of a line end."""
    until = _bar_edges(staff, 0)[1][0]
    return max([0.0, *(box[1] for box in _boxes(staff, 0, HEAD) if box[1] <= until)])


def _warning_end(staff: Staff, bar: int, right: Block) -> float:
    """Where what stands behind the last bar line of a line ends, or the bar line itself."""
    if bar + 1 < staff.bars:
        return right[1]
    return max([right[1], *(box[1] for box in _boxes(staff, bar, HEAD) if box[0] >= right[0])])


def _rising(knots: Knots) -> Knots:
    """Without steps back, which only a bar too full for its place could make."""
    clean = [knots[0]]
    for natural, place in knots[1:]:
        if natural > clean[-1][0] + 1e-6:
            clean.append((natural, max(place, clean[-1][1] + 1e-6)))
    return clean


def _inside(blocks: list[Block], begin: float, target: float, until: float, end: float) -> Knots:
    """Places of the rigid blocks between the music's beginning and the bar line."""
    if not blocks:
        return []
    if len(blocks) == 1 and blocks[0][1] < begin:
        return []
    gaps = [after[0] - before[1] for before, after in pairwise([(begin, begin), *blocks, (until, until)])]
    solid = sum(right - left for left, right in blocks)
    free, room = sum(gaps), end - target - solid
    if free <= 0 or room <= 0:
        return []
    first = min(FIRST_GAP, room / 3)
    factor = (room - first) / (free - gaps[0]) if free > gaps[0] else 1.0
    knots: Knots = []
    x = target + first
    for (left, right), gap in zip(blocks, gaps[1:], strict=True):
        knots += [(left, x), (right, x + right - left)]
        x += right - left + gap * factor
    return knots


def _around_rest(head: list[Block], rest: Block, begin: float, target: float, end: float) -> Knots:
    """A rest for a whole bar stands in its middle, behind a clef or signature that begins there."""
    knots: Knots = [(x, x - begin + target) for block in head if block[1] < rest[0] for x in block]
    left = knots[-1][1] if knots else target
    middle = (left + end) / 2 - (rest[1] - rest[0]) / 2
    return [*knots, (rest[0], middle), (rest[1], middle + rest[1] - rest[0])]


def _boxes(staff: Staff, bar: int, kinds: tuple[str, ...] | frozenset[str]) -> list[Block]:
    boxes = [box_of_all(g.marks) for g in staff.groups if g.bar == bar and g.kind in kinds and g.marks]
    return sorted((box[0], box[2]) for box in boxes)


def _blocks(staff: Staff, bar: int) -> list[Block]:
    """Notes and rests of a bar with their accidentals, dots and ledger lines; those that touch are one block."""
    merged: list[Block] = []
    for left, right in _boxes(staff, bar, RIGID - set(HEAD) if bar == 0 else RIGID):
        if merged and left <= merged[-1][1] + 0.05:
            merged[-1] = (merged[-1][0], max(right, merged[-1][1]))
        else:
            merged.append((left, right))
    return merged


def _bar_edges(staff: Staff, bar: int) -> tuple[Block | None, Block]:
    """The left bar line where one is drawn, and the right one (before a repeat that begins: where that begins)."""
    blocks, lines = _blocks(staff, bar), _boxes(staff, bar, ("barLine",))
    left = lines[0] if lines and blocks and lines[0][1] <= blocks[0][0] else None
    right = next((line for line in reversed(lines) if line is not left), None)
    if right is None:
        begins = _boxes(staff, bar + 1, ("barLine",))[0][0]
        right = (begins, begins)
    return left, right


def _at(x: float, knots: Knots) -> float:
    """Where a natural place comes to stand."""
    index = min(max(bisect_right(knots, x, key=lambda knot: knot[0]) - 1, 0), len(knots) - 2)
    (x1, place1), (x2, place2) = knots[index], knots[index + 1]
    return place1 + (x - x1) * ((place2 - place1) / (x2 - x1))


def _drawn(mark: Mark, knots: Knots, rigid: bool) -> Mark:
    if isinstance(mark, Glyph):
        return Glyph(mark.code, _at(mark.x, knots), mark.y, mark.size)
    if isinstance(mark, Stroke):
        if mark.x1 == mark.x2:
            x = _at(mark.x1, knots)
            return Stroke(x, mark.y1, x, mark.y2, mark.width)
        return Stroke(_at(mark.x1, knots), mark.y1, _at(mark.x2, knots), mark.y2, mark.width)
    return Outline(tuple((c, tuple((_at(x, knots), y) for x, y in points)) for c, points in mark.path))


def _moments(
    staff: Staff, sheet: Sheet, line: Line, knots: Knots, bar_lines: tuple[float, ...]
) -> tuple[tuple[float, ...], tuple[tuple[tuple[Fraction, float], ...], ...]]:
    """Where the music of each bar begins, and where its notes and rests stand."""
    heads = {group.id: _at(_head(group), knots) for group in staff.groups if group.kind in ("note", "rest")}
    music, places = [], []
    for bar, index in enumerate(range(line.first, line.last)):
        pieces = pieces_of(sheet.bars[index], sheet.pickup and index == 0)
        known = [(piece.onset, heads[f"{kind}{index}.{at}"]) for at, piece in enumerate(pieces)
                 for kind in ("r" if piece.pitch is None else "n",)]  # fmt: skip
        start = known[0][1] if known else _empty_start(staff, bar, knots, bar_lines)
        music.append(start)
        places.append(tuple(known) or ((Fraction(0), start),))
    return tuple(music), tuple(places)


def _head(group: Group) -> float:
    """x of a note's head or a rest: its largest sign (an accidental and dots stand beside it)."""
    signs = [mark for mark in group.marks if isinstance(mark, Glyph)]
    heads = [mark for mark in signs if mark.code.startswith(("E0A", "E4"))]
    return (heads or signs)[0].x


def _empty_start(staff: Staff, bar: int, knots: Knots, bar_lines: tuple[float, ...]) -> float:
    """The first beat of a bar with a whole rest: a little behind what stands at its left."""
    left = _bar_edges(staff, bar)[0]
    if left:
        return _at(left[1], knots) + 1.0
    return (_at(_head_end(staff), knots) if bar == 0 else bar_lines[bar]) + 1.0
