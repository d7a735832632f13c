"""Music signs as outlines, read from a music font that comes with the engraver's package (which is not imported).

Code points are those of SMuFL 1.4. One staff space is 250 units; outlines come back with y downwards, the origin of
the sign at (0, 0), in staff spaces.
"""

from __future__ import annotations

import re
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path

from PySide6.QtGui import QPainterPath, QTransform

GLYPHS = {
    "clef": "E050",
    "whole": "E0A2",
    "half": "E0A3",
    "black": "E0A4",
    "dot": "E1E7",
    "flag8_up": "E240",
    "flag8_down": "E241",
    "flag16_up": "E242",
    "flag16_down": "E243",
    "flag32_up": "E244",
    "flag32_down": "E245",
    "flat": "E260",
    "natural": "E261",
    "sharp": "E262",
    "double_sharp": "E263",
    "double_flat": "E264",
    "rest1": "E4E3",
    "rest2": "E4E4",
    "rest4": "E4E5",
    "rest8": "E4E6",
    "rest16": "E4E7",
    "rest32": "E4E8",
    "tuplet3": "E883",
    **{f"digit{digit}": f"E08{digit}" for digit in range(10)},
}
ACCIDENTALS = {-2: "double_flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double_sharp"}
UNITS_PER_SPACE = 250
_PATH = re.compile(r'\sd="([^"]+)"')
_TOKEN = re.compile(r"[A-Za-z]|-?(?:\d+\.?\d*|\.\d+)(?:e-?\d+)?")
_ARGUMENTS = {"m": 2, "l": 2, "h": 1, "v": 1, "c": 6, "s": 4, "q": 4, "t": 2, "z": 0}


class MusicFontError(RuntimeError):
    """The package with the music font is not installed."""


@lru_cache(maxsize=1)
def _folder() -> Path:
    spec = find_spec("verovio")
    if spec is None or not spec.submodule_search_locations:
        raise MusicFontError("The music font is missing; install the package 'verovio'.")
    return Path(next(iter(spec.submodule_search_locations))) / "data" / "Leipzig"


@lru_cache(maxsize=64)
def glyph(name: str) -> QPainterPath:
    """The outline of a sign of :data:`GLYPHS` in staff spaces; raises KeyError for an unknown name."""
    return _read(GLYPHS[name])


def _read(code: str) -> QPainterPath:
    text = (_folder() / f"{code}.xml").read_text(encoding="utf-8")
    scale = 1 / UNITS_PER_SPACE
    return QTransform.fromScale(scale, -scale).map(parse_path(" ".join(_PATH.findall(text))))


@lru_cache(maxsize=512)
def outline(code: str, space: float) -> QPainterPath:
    """The outline of any sign by its code point in hexadecimal ("E050"), scaled to a staff space."""
    return QTransform.fromScale(space, space).map(_read(code))


@lru_cache(maxsize=512)
def placed(name: str, space: float) -> QPainterPath:
    """The outline scaled to a staff space in pixels, for painting at a translated origin."""
    return QTransform.fromScale(space, space).map(glyph(name))


@lru_cache(maxsize=64)
def width(name: str) -> float:
    """Advance of the ink in staff spaces."""
    return glyph(name).boundingRect().right()


def parse_path(data: str) -> QPainterPath:
    """A path of SVG 1.1 path data without arcs; raises ValueError on anything else."""
    tokens = _TOKEN.findall(data)
    path = QPainterPath()
    pen = _Pen(path)
    command, at = "", 0
    while at < len(tokens):
        if tokens[at].isalpha():
            command, at = tokens[at], at + 1
        count = _ARGUMENTS.get(command.lower(), -1)
        if count < 0 or (count == 0 and at < len(tokens) and not tokens[at].isalpha()):
            raise ValueError(f"path data {data[:40]!r}")
        numbers = tokens[at : at + count]
        if len(numbers) < count or any(number.isalpha() for number in numbers):
            raise ValueError(f"path data {data[:40]!r}")
        pen.draw(command, [float(number) for number in numbers])
        at += count
        command = {"M": "L", "m": "l"}.get(command, command)
    return path


class _Pen:
    """The state of drawing one path: where the pen is, where the contour began, the last control point."""

    def __init__(self, path: QPainterPath) -> None:
        self.path, self.x, self.y = path, 0.0, 0.0
        self.control: tuple[float, float] | None = None
        self.start = (0.0, 0.0)

    def draw(self, command: str, numbers: list[float]) -> None:
        lower = command.lower()
        if lower == "z":
            self.path.closeSubpath()
            self.x, self.y = self.start
            self.control = None
            return
        points = self._points(command, lower, numbers)
        last = points[-1]
        if lower == "m":
            self.path.moveTo(*last)
            self.start = last
        elif lower in "lhv":
            self.path.lineTo(*last)
        else:
            self._curve(lower, points)
        if lower in "mlhv":
            self.control = None
        self.x, self.y = last

    def _points(self, command: str, lower: str, numbers: list[float]) -> list[tuple[float, float]]:
        base_x, base_y = (self.x, self.y) if command == lower else (0.0, 0.0)
        if lower == "h":
            return [(base_x + numbers[0], self.y)]
        if lower == "v":
            return [(self.x, base_y + numbers[0])]
        return [(base_x + numbers[i], base_y + numbers[i + 1]) for i in range(0, len(numbers), 2)]

    def _curve(self, lower: str, points: list[tuple[float, float]]) -> None:
        if lower in "st":
            x, y = self.control or (self.x, self.y)
            points = [(2 * self.x - x, 2 * self.y - y), *points]
        self.control = points[-2]
        flat = [value for point in points for value in point]
        if lower in "cs":
            self.path.cubicTo(*flat)
        else:
            self.path.quadTo(*flat)
