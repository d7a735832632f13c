"""A slip over the foot of the page: what is played on the keyboard, what it is called, and where it would go."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QObject, QTimer, Signal
from PySide6.QtWidgets import QAbstractScrollArea, QFrame, QHBoxLayout, QLabel

from app.window.fonts import font
from app.window.key_button import KeyButton

MOST_SHOWN = 4
STAYS_MILLISECONDS = 30_000
GAP = 8


class PlayedSlip(QFrame):
    """Shows names as words to press; the chosen one stands out."""

    chosen = Signal(int)

    def __init__(self, page: QAbstractScrollArea) -> None:
        super().__init__(page.viewport())
        self._over = page.viewport()
        self.setObjectName("tune_bar")
        self.notes, self.hint = QLabel(), QLabel()
        self._first = 0
        self.names = [KeyButton("", 15) for _ in range(MOST_SHOWN)]
        layout = QHBoxLayout(self)
        layout.setContentsMargins(12, 4, 12, 5)
        layout.setSpacing(4)
        layout.addWidget(self.notes)
        layout.addSpacing(8)
        for index, button in enumerate(self.names):
            button.setCheckable(True)
            button.clicked.connect(lambda _checked=False, number=index: self.chosen.emit(number))
            layout.addWidget(button)
        layout.addSpacing(8)
        layout.addWidget(self.hint)
        for label in (self.notes, self.hint):
            label.setFont(font("sans", 13))
            label.setProperty("quiet", True)
        self.setAccessibleName("What is played")
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self.hide)
        page.viewport().installEventFilter(self)
        self.hide()

    def show_names(self, notes: str, names: Sequence[tuple[str, str]], at: int, hint: str) -> None:
        """Notes, names with how each was played, which of them is chosen, and what the keys do."""
        first = max(0, at - MOST_SHOWN + 1)
        self.notes.setText(notes)
        for index, button in enumerate(self.names):
            place = first + index
            button.setVisible(place < len(names))
            if place < len(names):
                words, tip = names[place]
                button.setText(words)
                button.setToolTip(tip)
                button.setAccessibleName(f"{words}, {tip}" if tip else words)
                button.setChecked(place == at)
                button.setFont(font("sans", 15, "strong" if place == at else "regular"))
        self.hint.setText(hint)
        self.setAccessibleDescription(names[at][0] if names else hint)
        self._first = first
        self.show()
        self._place()
        self.raise_()
        self._timer.start(STAYS_MILLISECONDS)

    def index_of(self, button: int) -> int:
        """Which name a button shows."""
        return self._first + button

    def _place(self) -> None:
        self.adjustSize()
        width = min(self.width(), self._over.width() - 2 * GAP)
        self.resize(width, self.height())
        self.move(max(GAP, (self._over.width() - width) // 2), self._over.height() - self.height() - GAP)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize and not self.isHidden():
            self._place()
        return super().eventFilter(watched, event)
