"""A button for Enter: the space bar plays and stops wherever the keyboard is, so Enter presses buttons here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QPushButton, QWidget

from app.window.fonts import font

if TYPE_CHECKING:
    from PySide6.QtGui import QKeyEvent


class KeyButton(QPushButton):
    """A flat button that says a word."""

    def __init__(
        self, text: str = "", pixels: float = 14, weight: str = "regular", parent: QWidget | None = None
    ) -> None:
        super().__init__(text, parent)
        self.setProperty("flat_words", True)
        self.setFont(font("sans", pixels, weight))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.text() in ("\r", "\n"):
            if self.menu() is not None:
                self.showMenu()
            else:
                self.click()
        else:
            super().keyPressEvent(event)
