"""What every painter of the page is handed: the painter, the theme's colours as Qt colours, and a few strokes."""

from __future__ import annotations

from functools import lru_cache

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen

from app.window.fonts import font, metrics
from app.window.music_font import placed
from app.window.page.geometry import STAFF_SPACE
from app.window.theme import Theme

FUNCTION_COLOURS = {"T": "tonic", "S": "subdominant", "D": "dominant", "N": "neutral"}


@lru_cache(maxsize=256)
def colour(theme: Theme, name: str) -> QColor:
    """A colour of the theme by its field name."""
    return QColor(getattr(theme, name))


class Brush:
    """A painter with the theme in hand. All places are in page pixels at zoom 1."""

    def __init__(self, painter: QPainter, theme: Theme) -> None:
        self.painter, self.theme = painter, theme

    def colour(self, name: str) -> QColor:
        """A colour of the theme."""
        return colour(self.theme, name)

    def line(self, x1: float, y1: float, x2: float, y2: float, name: str, width: float = 1.0,
             dashes: tuple[float, ...] = ()) -> None:  # fmt: skip
        """A straight stroke."""
        self.painter.setPen(self.pen(name, width, dashes))
        self.painter.drawLine(QPointF(x1, y1), QPointF(x2, y2))

    def pen(self, name: str, width: float = 1.0, dashes: tuple[float, ...] = ()) -> QPen:
        """A pen in a colour of the theme, round at its ends unless dashed."""
        pen = QPen(self.colour(name), width)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap if dashes else Qt.PenCapStyle.RoundCap)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        if dashes:
            pen.setDashPattern(list(dashes))
        return pen

    def glyph(self, name: str, x: float, y: float, ink: str, space: float = STAFF_SPACE) -> None:
        """A music sign with its origin at a place."""
        self.painter.setPen(Qt.PenStyle.NoPen)
        self.painter.setBrush(QBrush(self.colour(ink)))
        self.painter.translate(x, y)
        self.painter.drawPath(placed(name, space))
        self.painter.translate(-x, -y)

    def text(self, x: float, baseline: float, words: str, ink: str, family: str = "sans", pixels: float = 12,
             weight: str = "regular", italic: bool = False) -> float:  # fmt: skip
        """Words from a place to the right; returns their width."""
        self.painter.setPen(self.colour(ink))
        self.painter.setFont(font(family, pixels, weight, italic))
        self.painter.drawText(QPointF(x, baseline), words)
        return metrics(family, pixels, weight, italic).horizontalAdvance(words)
