"""What an engraved staff is made of: signs of the music font, strokes and outlines, in staff spaces.

Places are measured from the left end of the staff and from its top line, y downwards.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path
from xml.etree.ElementTree import parse

UNITS_PER_SPACE = 250
"""Of the music font: 1000 units are the height of a staff (SMuFL 1.4, 'Font metrics')."""


@dataclass(frozen=True, slots=True)
class Glyph:
    """A sign of the music font by its code point in hexadecimal, with its origin; ``size`` 1 is for this staff."""

    code: str
    x: float
    y: float
    size: float = 1.0


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight line."""

    x1: float
    y1: float
    x2: float
    y2: float
    width: float


@dataclass(frozen=True, slots=True)
class Outline:
    """A filled shape: a command M, L, C or Z with its points each."""

    path: tuple[tuple[str, tuple[tuple[float, float], ...]], ...]


Mark = Glyph | Stroke | Outline
Box = tuple[float, float, float, float]
"""Left, top, right, bottom."""


@lru_cache(maxsize=1)
def _boxes() -> dict[str, Box]:
    spec = find_spec("verovio")
    if spec is None or not spec.submodule_search_locations:
        return {}
    table = Path(next(iter(spec.submodule_search_locations))) / "data" / "Leipzig.xml"
    boxes = {}
    for glyph in parse(table).getroot():
        x, y, wide, tall = (float(glyph.get(name, "0")) / UNITS_PER_SPACE for name in ("x", "y", "w", "h"))
        boxes[glyph.get("c", "")] = (x, -y - tall, x + wide, -y)
    return boxes


def box_of(mark: Mark) -> Box:
    """The room a mark takes."""
    if isinstance(mark, Glyph):
        left, top, right, bottom = _boxes().get(mark.code, (0.0, 0.0, 0.0, 0.0))
        return (mark.x + left * mark.size, mark.y + top * mark.size, mark.x + right * mark.size,
                mark.y + bottom * mark.size)  # fmt: skip
    if isinstance(mark, Stroke):
        half = mark.width / 2
        across = half if mark.x1 == mark.x2 else 0.0
        down = half if mark.y1 == mark.y2 else 0.0
        return (min(mark.x1, mark.x2) - across, min(mark.y1, mark.y2) - down,
                max(mark.x1, mark.x2) + across, max(mark.y1, mark.y2) + down)  # fmt: skip
    points = [point for _, points in mark.path for point in points]
    across_, down_ = [x for x, _ in points], [y for _, y in points]
    return min(across_), min(down_), max(across_), max(down_)


def box_of_all(marks: list[Mark] | tuple[Mark, ...]) -> Box:
    """The room that several marks take; raises ValueError for none."""
    boxes = [box_of(mark) for mark in marks]
    return (min(box[0] for box in boxes), min(box[1] for box in boxes), max(box[2] for box in boxes),
            max(box[3] for box in boxes))  # fmt: skip
