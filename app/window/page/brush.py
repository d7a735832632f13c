"""What every painter of the page is handed: the painter, the theme's colours, and a few strokes.

Everything is a path that is filled or stroked. Setting a pen or a brush on the painter would make the binding load
Qt's namespace with its hundred enums, which takes a sixth of the time a bare window takes to start; filling and
stroking do not, and words set as outlines stand exactly where they are put, at every zoom.
"""

from __future__ import annotations

from functools import lru_cache

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen

from app.window.fonts import advance, font
from app.window.music_font import placed
from app.window.page.geometry import STAFF_SPACE
from app.window.theme import Theme

FUNCTION_COLOURS = {"T": "tonic", "S": "subdominant", "D": "dominant", "N": "neutral"}


@lru_cache(maxsize=128)
def colour(code: str) -> QColor:
    """A colour by its "#rrggbb"."""
    return QColor(code)


@lru_cache(maxsize=256)
def pen_of(code: str, width: float) -> QPen:
    """A plain pen; not to be changed by who uses it."""
    pen = QPen()
    pen.setColor(colour(code))
    pen.setWidthF(width)
    return pen


@lru_cache(maxsize=128)
def fill_of(code: str) -> QBrush:
    """A plain ground (taken from a pen, which can be coloured without naming a style)."""
    return pen_of(code, 1.0).brush()


@lru_cache(maxsize=4096)
def outlines(words: str, family: str, pixels: float, weight: str, italic: bool) -> QPainterPath:
    """Words as outlines with their baseline at the origin."""
    path = QPainterPath()
    path.addText(QPointF(0, 0), font(family, pixels, weight, italic), words)
    return path


class Brush:
    """A painter with the theme in hand. All places are in page pixels at zoom 1."""

    def __init__(self, painter: QPainter, theme: Theme) -> None:
        self.painter, self.theme = painter, theme

    def colour(self, name: str) -> QColor:
        """A colour of the theme."""
        return colour(getattr(self.theme, name))

    def pen(self, name: str, width: float = 1.0) -> QPen:
        """A plain pen in a colour of the theme."""
        return pen_of(getattr(self.theme, name), width)

    def dashed(self, name: str, width: float, dashes: tuple[float, ...]) -> QPen:
        """A pen that draws dashes and gaps, in widths of the pen."""
        from PySide6.QtCore import Qt  # see the top of this module

        pen = QPen(self.pen(name, width))
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        pen.setDashPattern(list(dashes))
        return pen

    def fill(self, path: QPainterPath, name: str) -> None:
        """A path filled."""
        self.painter.fillPath(path, fill_of(getattr(self.theme, name)))

    def stroke(self, path: QPainterPath, name: str, width: float) -> None:
        """A path drawn, not filled."""
        self.painter.strokePath(path, self.pen(name, width))

    def line(self, x1: float, y1: float, x2: float, y2: float, name: str, width: float = 1.0) -> None:
        """A straight stroke."""
        path = QPainterPath(QPointF(x1, y1))
        path.lineTo(x2, y2)
        self.stroke(path, name, width)

    def outline(self, shape: QRectF, radius: float, name: str, width: float = 1.0, ground: str | None = None) -> None:
        """A rounded frame, filled with a colour where one is given."""
        path = QPainterPath()
        path.addRoundedRect(shape, radius, radius)
        if ground:
            self.fill(path, ground)
        self.stroke(path, name, width)

    def patch(self, shape: QRectF, radius: float, name: str) -> None:
        """A rounded area without a frame."""
        path = QPainterPath()
        path.addRoundedRect(shape, radius, radius)
        self.fill(path, name)

    def glyph(self, name: str, x: float, y: float, ink: str, space: float = STAFF_SPACE) -> None:
        """A music sign with its origin at a place."""
        self._fill_at(placed(name, space), x, y, ink)

    def text(self, x: float, baseline: float, words: str, ink: str, family: str = "sans", pixels: float = 12,
             weight: str = "regular", italic: bool = False) -> float:  # fmt: skip
        """Words from a place to the right; returns their width."""
        self._fill_at(outlines(words, family, pixels, weight, italic), x, baseline, ink)
        return advance(words, family, pixels, weight, italic)

    def _fill_at(self, path: QPainterPath, x: float, y: float, ink: str) -> None:
        self.painter.translate(x, y)
        self.fill(path, ink)
        self.painter.translate(-x, -y)
