"""One quiet line for what the user should know: what is wrong, where, what to do. It goes when it has been read."""

from __future__ import annotations

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QWidget

from app.window.fonts import font

MILLISECONDS_PER_CHARACTER = 90
LEAST_MILLISECONDS = 6000


class MessageBar(QFrame):
    """Shows one sentence at a time."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("message")
        self._label = QLabel(self)
        self._label.setFont(font("sans", 14))
        self._label.setWordWrap(True)
        self._label.setTextFormat(Qt.TextFormat.PlainText)
        self._label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        close = QPushButton("Close", self)
        close.setProperty("flat_words", True)
        close.setFont(font("sans", 13))
        close.clicked.connect(self.hide)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(12, 7, 8, 7)
        layout.addWidget(self._label, 1)
        layout.addWidget(close)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self.hide)
        self.setAccessibleName("Message")
        self.hide()

    @property
    def text(self) -> str:
        """What is said, "" when nothing is."""
        return self._label.text() if self.isVisibleTo(self.parentWidget()) else ""

    def say(self, sentence: str) -> None:
        """Show a sentence for as long as it takes to read it."""
        self._label.setText(sentence)
        self.setAccessibleDescription(sentence)
        self.show()
        self._timer.start(max(LEAST_MILLISECONDS, MILLISECONDS_PER_CHARACTER * len(sentence)))
