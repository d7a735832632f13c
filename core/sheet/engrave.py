"""The engraver at work: a sheet's tune to staves, one for each line, at their natural spacing.

verovio sets the notes; its picture is taken apart into marks (:mod:`core.sheet.marks`) so that the lines can be drawn
out to a grid of bars (:mod:`core.sheet.spacing`) and set on paper with type of our own.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from xml.etree.ElementTree import Element, fromstring

from core.sheet.content import Sheet
from core.sheet.kinds import SheetError
from core.sheet.lines import Line
from core.sheet.marks import Glyph, Mark, Outline, Stroke
from core.sheet.mei import mei_of

UNITS = 180.0
"""Units of the engraver's picture in a staff space, at the scale asked for."""
_OPTIONS = {"breaks": "encoded", "pageWidth": 60000, "pageHeight": 60000, "adjustPageHeight": True, "header": "none",
            "footer": "none", "svgViewBox": True, "scale": 100, "font": "Leipzig", "mnumInterval": 0,
            "noJustification": True, "svgRemoveXlink": True, "xmlIdChecksum": True, "ligatureAsBracket": False,
            "spacingLinear": 0.25, "spacingNonLinear": 0.75}  # fmt: skip
_USE = re.compile(r"translate\((-?[\d.]+), (-?[\d.]+)\) scale\((-?[\d.]+)")
_STEP = re.compile(r"([MLCZ])([^MLCZ]*)")
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
_GLYPH_SIZE = 0.72
"""The engraver's scale for a sign of full size."""
RIGID = frozenset({"note", "rest", "mRest", "lineDash", "clef", "keySig", "meterSig"})
"""What keeps its shape when a line is drawn out."""


@dataclass(frozen=True, slots=True)
class Group:
    """Marks that belong together. ``kind`` is the engraver's class; ``bar`` its place in the line; ``id`` may be ""."""

    kind: str
    id: str
    bar: int
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class Staff:
    """One line of the tune at its natural spacing."""

    groups: tuple[Group, ...]
    bars: int


def engrave(sheet: Sheet, lines: tuple[Line, ...]) -> tuple[Staff, ...]:
    """A staff for each line; raises :class:`SheetError` where the engraver gives up."""
    import verovio

    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit()
    toolkit.setOptions(_OPTIONS)
    if not toolkit.loadData(mei_of(sheet, lines)):
        raise SheetError("The tune could not be engraved; print the sheet as a chord chart.")
    systems = _systems(fromstring(toolkit.renderToSVG(1)))
    if len(systems) != len(lines):
        raise SheetError("The tune could not be engraved on its lines; print the sheet as a chord chart.")
    return tuple(_staff(system) for system in systems)


def _tag(element: Element) -> str:
    return element.tag.rpartition("}")[2]


def _classes(element: Element) -> list[str]:
    return element.get("class", "").split()


def _systems(picture: Element) -> list[Element]:
    return [element for element in picture.iter() if "system" in _classes(element)]


def _staff(system: Element) -> Staff:
    groups: list[Group] = []
    measures = [element for element in system.iter() if "measure" in _classes(element)]
    for bar, measure in enumerate(measures):
        groups += _groups(measure, "measure", "", bar)
    lines = [mark for group in groups if group.kind == "staff" for mark in group.marks if isinstance(mark, Stroke)]
    top, left = min(line.y1 for line in lines), min(line.x1 for line in lines)
    return Staff(tuple(_moved(group, -left, -top) for group in groups), len(measures))


def _groups(element: Element, kind: str, name: str, bar: int) -> list[Group]:
    """The marks under an element, cut where a group of its own kind begins; a rigid group is taken whole."""
    if kind in RIGID or kind in ("barLine", "tie", "tuplet"):
        marks = tuple(_marks(element))
        inner = [group for child in element if kind == "tuplet" for group in _children(child, bar, kind, name)]
        own = tuple(mark for mark in _own_marks(element)) if kind == "tuplet" else marks
        return [*([Group(kind, name, bar, own)] if own else []), *inner]
    own = tuple(_own_marks(element))
    found = [Group(kind, name, bar, own)] if own else []
    for child in element:
        found += _children(child, bar, kind, name)
    return found


def _children(child: Element, bar: int, kind: str, name: str) -> list[Group]:
    if _tag(child) != "g" or {"placeholder", "systemMilestone", "pageMilestone"} & set(_classes(child)):
        return []
    own = _classes(child)
    return _groups(child, own[0] if own else kind, child.get("id", name), bar)


def _own_marks(element: Element) -> Iterator[Mark]:
    for child in element:
        if _tag(child) != "g":
            yield from _mark(child)


def _marks(element: Element) -> Iterator[Mark]:
    for child in element.iter():
        if child is not element and _tag(child) != "g":
            yield from _mark(child)


def _mark(element: Element) -> Iterator[Mark]:
    tag = _tag(element)
    if tag == "use":
        found = _USE.match(element.get("transform", ""))
        if found:
            x, y, size = (float(number) for number in found.groups())
            code = element.get("href", "#")[1:].partition("-")[0]
            yield Glyph(code, x / UNITS, y / UNITS, size / _GLYPH_SIZE)
    elif tag == "path":
        yield from _path(element.get("d", ""), float(element.get("stroke-width", "0")) / UNITS)
    elif tag == "polygon":
        numbers = [float(number) / UNITS for number in _NUMBER.findall(element.get("points", ""))]
        points = list(zip(numbers[::2], numbers[1::2], strict=True))
        yield Outline((("M", (points[0],)), *(("L", (point,)) for point in points[1:]), ("Z", ())))
    elif tag == "ellipse":
        yield _disc(*(float(element.get(name, "0")) / UNITS for name in ("cx", "cy", "rx", "ry")))
    elif tag == "rect":
        x, y, wide, tall = (float(element.get(name, "0")) / UNITS for name in ("x", "y", "width", "height"))
        corners = ((x + wide, y), (x + wide, y + tall), (x, y + tall))
        yield Outline((("M", ((x, y),)), *(("L", (corner,)) for corner in corners), ("Z", ())))


def _path(data: str, width: float) -> Iterator[Mark]:
    steps = []
    for command, text in _STEP.findall(data):
        numbers = [float(number) / UNITS for number in _NUMBER.findall(text)]
        steps.append((command, tuple(zip(numbers[::2], numbers[1::2], strict=True))))
    if any(command == "C" for command, _ in steps):
        yield Outline((*steps, ("Z", ())))
        return
    points = [point for _, points in steps for point in points]
    for (x1, y1), (x2, y2) in pairwise(points):
        yield Stroke(x1, y1, x2, y2, width)


def _disc(x: float, y: float, across: float, down: float) -> Outline:
    """An ellipse of four curves (0.5523 of the radius: common practice, no source)."""
    a, b = across * 0.5523, down * 0.5523
    return Outline((
        ("M", ((x + across, y),)), ("C", ((x + across, y + b), (x + a, y + down), (x, y + down))),
        ("C", ((x - a, y + down), (x - across, y + b), (x - across, y))),
        ("C", ((x - across, y - b), (x - a, y - down), (x, y - down))),
        ("C", ((x + a, y - down), (x + across, y - b), (x + across, y))), ("Z", ()),
    ))  # fmt: skip


def _moved(group: Group, across: float, down: float) -> Group:
    return Group(group.kind, group.id, group.bar, tuple(moved(mark, across, down) for mark in group.marks))


def moved(mark: Mark, across: float, down: float) -> Mark:
    """A mark somewhere else."""
    if isinstance(mark, Glyph):
        return Glyph(mark.code, mark.x + across, mark.y + down, mark.size)
    if isinstance(mark, Stroke):
        return Stroke(mark.x1 + across, mark.y1 + down, mark.x2 + across, mark.y2 + down, mark.width)
    return Outline(tuple((command, tuple((x + across, y + down) for x, y in points)) for command, points in mark.path))
