"""What every painter of the page is handed: the painter, the theme's colours as Qt colours, and a few strokes."""

from __future__ import annotations

from functools import lru_cache

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen

from app.window.fonts import advance, font
from app.window.music_font import placed
from app.window.page.geometry import STAFF_SPACE
from app.window.theme import Theme

NO_BRUSH = QBrush()
FUNCTION_COLOURS = {"T": "tonic", "S": "subdominant", "D": "dominant", "N": "neutral"}


@lru_cache(maxsize=128)
def colour(code: str) -> QColor:
    """A colour by its "#rrggbb"."""
    return QColor(code)


class Brush:
    """A painter with the theme in hand. All places are in page pixels at zoom 1."""

    def __init__(self, painter: QPainter, theme: Theme) -> None:
        self.painter, self.theme = painter, theme

    def colour(self, name: str) -> QColor:
        """A colour of the theme."""
        return colour(getattr(self.theme, name))

    def line(self, x1: float, y1: float, x2: float, y2: float, name: str, width: float = 1.0) -> None:
        """A straight stroke."""
        self.painter.setPen(self.pen(name, width))
        self.painter.drawLine(QPointF(x1, y1), QPointF(x2, y2))

    def pen(self, name: str, width: float = 1.0) -> QPen:
        """A plain pen in a colour of the theme."""
        return QPen(self.colour(name), width)

    def dashed(self, name: str, width: float, dashes: tuple[float, ...]) -> QPen:
        """A pen that draws dashes and gaps, in widths of the pen."""
        pen = QPen(self.colour(name), width)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        pen.setDashPattern(list(dashes))
        return pen

    def outline(self, shape: QRectF, radius: float, name: str, width: float = 1.0, ground: str | None = None) -> None:
        """A rounded frame, filled with a colour where one is given."""
        self.painter.setPen(self.pen(name, width))
        self.painter.setBrush(QBrush(self.colour(ground)) if ground else NO_BRUSH)
        self.painter.drawRoundedRect(shape, radius, radius)

    def patch(self, shape: QRectF, radius: float, name: str) -> None:
        """A rounded area without a frame."""
        path = QPainterPath()
        path.addRoundedRect(shape, radius, radius)
        self.painter.fillPath(path, self.colour(name))

    def stroke(self, path: QPainterPath, name: str, width: float) -> None:
        """A path drawn, not filled."""
        self.painter.strokePath(path, self.pen(name, width))

    def glyph(self, name: str, x: float, y: float, ink: str, space: float = STAFF_SPACE) -> None:
        """A music sign with its origin at a place."""
        self.painter.translate(x, y)
        self.painter.fillPath(placed(name, space), self.colour(ink))
        self.painter.translate(-x, -y)

    def text(self, x: float, baseline: float, words: str, ink: str, family: str = "sans", pixels: float = 12,
             weight: str = "regular", italic: bool = False) -> float:  # fmt: skip
        """Words from a place to the right; returns their width."""
        self.painter.setPen(self.colour(ink))
        self.painter.setFont(font(family, pixels, weight, italic))
        self.painter.drawText(QPointF(x, baseline), words)
        return advance(words, family, pixels, weight, italic)
