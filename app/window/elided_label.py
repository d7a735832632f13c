"""A quiet line of words at the right, cut with dots where the window is narrow; the whole is its tip."""

from __future__ import annotations

from PySide6.QtCore import QSize, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.window.fonts import advance, elided
from app.window.page.brush import Brush
from app.window.theme import Theme

SIZE = 13.5


class ElidedLabel(QWidget):
    """Right-aligned."""

    words_changed = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.theme, self._words = theme, ""
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setMinimumWidth(60)

    @property
    def text(self) -> str:
        """All the words."""
        return self._words

    @property
    def wanted(self) -> int:
        """The width at which nothing is cut."""
        return round(advance(self._words, "sans", SIZE)) + 2

    def sizeHint(self) -> QSize:
        return QSize(160, 24)

    def setText(self, words: str) -> None:
        """Show other words."""
        self._words = words
        self.setToolTip(words)
        self.setAccessibleName(words)
        self.update()
        self.words_changed.emit()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        shown = elided(self._words, self.width(), "sans", SIZE)
        Brush(painter, self.theme).text(self.width() - advance(shown, "sans", SIZE), 17, shown, "label", "sans", SIZE)
        painter.end()
