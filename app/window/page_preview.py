"""A page of paper on the desk, as it will be printed."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.sheet.drawing import PAPER, Page
from app.sheet.paint import paint_page
from app.window.page.brush import colour
from app.window.theme import Theme

MARGIN = 8.0


class PagePreview(QWidget):
    """Shows one of several pages, as large as it fits; keys and wheel turn them."""

    turned = Signal(int)  # the page that is shown, from 0

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._pages: tuple[Page, ...] = ()
        self._shown = 0
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("Preview")

    def sizeHint(self) -> QSize:
        return QSize(470, 640)

    @property
    def shown(self) -> int:
        """The page that is shown, from 0."""
        return self._shown

    @property
    def pages(self) -> tuple[Page, ...]:
        """All pages."""
        return self._pages

    def set_pages(self, pages: tuple[Page, ...]) -> None:
        """Show other pages, the same place among them where it is still there."""
        self._pages = pages
        self.turn_to(self._shown)

    def turn_to(self, index: int) -> None:
        """Show a page, or the nearest there is."""
        self._shown = max(0, min(index, len(self._pages) - 1))
        words = f"Page {self._shown + 1} of {len(self._pages)}" if self._pages else "No page yet"
        self.setAccessibleDescription(words)
        self.update()
        self.turned.emit(self._shown)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        keys = Qt.Key
        step = {keys.Key_PageDown: 1, keys.Key_Right: 1, keys.Key_Down: 1, keys.Key_PageUp: -1, keys.Key_Left: -1,
                keys.Key_Up: -1}.get(keys(event.key()))  # fmt: skip
        if step is None:
            super().keyPressEvent(event)
        else:
            self.turn_to(self._shown + step)

    def wheelEvent(self, event: QWheelEvent) -> None:
        if event.angleDelta().y():
            self.turn_to(self._shown + (-1 if event.angleDelta().y() > 0 else 1))
        event.accept()

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self._pages:
            return
        page = self._pages[self._shown]
        scale = min((self.width() - 2 * MARGIN) / page.width, (self.height() - 2 * MARGIN) / page.height)
        left, top = (self.width() - page.width * scale) / 2, (self.height() - page.height * scale) / 2
        painter = QPainter(self)
        painter.fillRect(QRectF(left - 1, top - 1, page.width * scale + 2, page.height * scale + 2),
                         colour(self._theme.edge))  # fmt: skip
        painter.fillRect(QRectF(left, top, page.width * scale, page.height * scale), colour(PAPER))
        painter.translate(left, top)
        paint_page(painter, page, scale)
        painter.end()
