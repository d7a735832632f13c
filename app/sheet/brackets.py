"""Brackets over the shapes of a line, in as many lanes as they need, between the staff and the chords."""

from __future__ import annotations

from fractions import Fraction

from app.sheet.drawing import SECOND, Item, Rule
from app.sheet.rows import Places
from app.sheet.type import Sizes, centred, elided, width
from core.sheet.content import Bracket, Sheet
from core.sheet.lines import Line

_LANE, _HOOK, _BESIDE = 1.32, 2.6, 3.0
_LETTERS = 0.82
"""Size of the words on a bracket, of the small size; a lane in the same measure; hook and gap in points."""


def bracket_items(sheet: Sheet, line: Line, places: Places, sizes: Sizes, floor: float) -> tuple[list[Item], float]:
    """The brackets of a line above ``floor``, and how high they reach; one that crosses lines is open at the edge."""
    found = [(*_edges(bracket, line, places, sizes), bracket) for bracket in sheet.brackets
             if bracket.first < line.last and bracket.last >= line.first]  # fmt: skip
    size = sizes.small * _LETTERS
    lanes: list[float] = []
    items: list[Item] = []
    for left, right, bracket in sorted(found, key=lambda one: (one[0], -one[1])):
        until = max(right, left + width(bracket.words, size, "sans"))
        lane = next((at for at, end in enumerate(lanes) if end + _BESIDE <= left), len(lanes))
        if lane == len(lanes):
            lanes.append(until)
        lanes[lane] = until
        y = floor - 4.0 - lane * sizes.small * _LANE
        items += _bracket(bracket, line, left, right, y, size)
    return items, floor - (4.0 + (len(lanes) - 0.2) * sizes.small * _LANE if lanes else 0.0)


def _edges(bracket: Bracket, line: Line, places: Places, sizes: Sizes) -> tuple[float, float]:
    before, after = bracket.first < line.first, bracket.last >= line.last
    left = places.x_at(0, Fraction(0)) - 8.0 if before else places.x_at(bracket.first - line.first, bracket.start)
    right = places.right if after else places.x_at(bracket.last - line.first, bracket.end) + 1.25 * sizes.space
    return left, right


def _bracket(bracket: Bracket, line: Line, left: float, right: float, y: float, size: float) -> list[Item]:
    """Words with a line on both sides where there is room, else above nothing but the line."""
    wide = width(bracket.words, size, "sans")
    items: list[Item] = []
    if right - left > wide + 10.0:
        middle = (left + right) / 2
        items += [Rule(left, y, middle - wide / 2 - 2.0, y, 0.6, SECOND),
                  Rule(middle + wide / 2 + 2.0, y, right, y, 0.6, SECOND),
                  centred(middle, y + size * 0.33, bracket.words, size, SECOND, role="shape")]  # fmt: skip
        hooks = [left] if bracket.first >= line.first else []
        hooks += [right] if bracket.last < line.last else []
        items += [Rule(x, y, x, y + _HOOK, 0.6, SECOND) for x in hooks]
        return items
    words = elided(bracket.words, max(right - left, wide), size, "sans")
    return [centred(left + max(right - left, wide) / 2, y + size * 0.33, words, size, SECOND, role="shape"),
            Rule(left, y + size * 0.62, right, y + size * 0.62, 0.6, SECOND)]  # fmt: skip
