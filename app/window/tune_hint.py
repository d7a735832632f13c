"""A slip over the top of the page that says what the keys do while the tune is written."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QAbstractScrollArea, QFrame, QHBoxLayout, QLabel

from app.window.fonts import font


class TuneHint(QFrame):
    """Lies along the lower edge of the page."""

    def __init__(self, page: QAbstractScrollArea) -> None:
        super().__init__(page.viewport())
        self._over = page.viewport()
        self.setObjectName("tune_bar")
        self._label = QLabel(self)
        self._label.setFont(font("sans", 13.5))
        layout = QHBoxLayout(self)
        layout.setContentsMargins(12, 5, 12, 6)
        layout.addWidget(self._label)
        page.viewport().installEventFilter(self)
        self.hide()

    def say(self, words: str) -> None:
        """Show words; "" hides the slip."""
        self._label.setText(words)
        self.setVisible(bool(words))
        self._place()

    def _place(self) -> None:
        self.adjustSize()
        parent = self._over
        self.move(max(6, (parent.width() - self.width()) // 2), parent.height() - self.height() - 8)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize:
            self._place()
        return super().eventFilter(watched, event)
