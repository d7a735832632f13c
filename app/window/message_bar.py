"""One quiet line for what the user should know: what is wrong, where, what to do. It goes when it has been read.

It lies over the foot of the page, so that nothing moves when it comes.
"""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt, QTimer
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QWidget

from app.window.fonts import font

MILLISECONDS_PER_CHARACTER = 90
LEAST_MILLISECONDS = 6000
MARGIN = 8


class MessageBar(QFrame):
    """Shows one sentence at a time."""

    def __init__(self, over: QWidget) -> None:
        super().__init__(over)
        self._over = over
        self.setObjectName("message")
        self._label = QLabel(self)
        self._label.setFont(font("sans", 14))
        self._label.setWordWrap(True)
        self._label.setTextFormat(Qt.TextFormat.PlainText)
        self._label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        close = QPushButton("Close", self)
        close.setProperty("flat_words", True)
        close.setFont(font("sans", 13))
        close.clicked.connect(self._next)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(12, 7, 8, 7)
        layout.addWidget(self._label, 1)
        layout.addWidget(close)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self._next)
        self._waiting: list[str] = []
        self.setAccessibleName("Message")
        over.installEventFilter(self)
        self.hide()

    @property
    def text(self) -> str:
        """What is said, "" when nothing is."""
        return "" if self.isHidden() else self._label.text()

    def note(self, sentence: str) -> None:
        """Show a sentence that is no fault; where one is being shown it waits until that has been read."""
        if self.isHidden():
            self.say(sentence)
        else:
            self._waiting.append(sentence)

    def _next(self) -> None:
        self.say(self._waiting.pop(0) if self._waiting else "")

    def say(self, sentence: str) -> None:
        """Show a sentence for as long as it takes to read it; "" takes the last one away."""
        if not sentence:
            self.hide()
            return
        self._label.setText(sentence)
        self.setAccessibleDescription(sentence)
        self._place()
        self.show()
        self.raise_()
        self._timer.start(max(LEAST_MILLISECONDS, MILLISECONDS_PER_CHARACTER * len(sentence)))

    def _place(self) -> None:
        width = self._over.width() - 2 * MARGIN
        height = self.heightForWidth(width) if self.hasHeightForWidth() else self.sizeHint().height()
        height = max(height, self.minimumSizeHint().height())
        self.setGeometry(MARGIN, self._over.height() - height - MARGIN, width, height)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize and not self.isHidden():
            self._place()
        return super().eventFilter(watched, event)
