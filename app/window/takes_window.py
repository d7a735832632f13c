"""A window with takes side by side: the board, what can be heard of it, and the keys that hold in it."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal, SignalInstance
from PySide6.QtGui import QAction, QCloseEvent, QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QDialog, QHBoxLayout, QLabel, QSizePolicy, QVBoxLayout, QWidget

from app.window.fonts import font
from app.window.key_button import KeyButton
from app.window.takes_board import TakesBoard
from app.window.theme import Theme

HEAR, HUSH = "▸ Hear it   Space", "Stop   Space"


class TakesWindow(QDialog):
    """Emits what is wished; whoever controls it shows what came of it."""

    hear_wished = Signal()
    side_wished = Signal()
    left = Signal()

    def __init__(self, theme: Theme, title: str, board: TakesBoard, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.resize(1180, 760)
        self.board = board
        self.hear = self.button(HEAR, self.hear_wished, "Space")
        self.side = self.button("", self.side_wished, "S")
        self.note = QLabel()
        self.note.setFont(font("sans", 14))
        self.note.setWordWrap(True)
        self.note.setTextFormat(Qt.TextFormat.PlainText)
        self.note.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.note.setMinimumHeight(22)

    def button(self, text: str, wish: SignalInstance, key: str) -> KeyButton:
        """A command of this window with its key; ``wish`` is one of its signals."""
        made = KeyButton(text, 14.5)
        made.setAutoDefault(False)
        made.clicked.connect(lambda _checked=False: wish.emit())
        self.shortcut(key, made.click)
        return made

    def shortcut(self, key: str, do: Callable[[], object]) -> None:
        """A key that holds in this window."""
        QShortcut(QKeySequence(key), self).activated.connect(lambda: do())

    def arrange(self, left: QWidget | None, head: QHBoxLayout | None, commands: tuple[QWidget, ...]) -> None:
        """Put the parts in place: controls at the left, a head over the board, commands under it."""
        foot = QHBoxLayout()
        foot.setSpacing(6)
        foot.addWidget(self.hear)
        foot.addWidget(self.side)
        foot.addStretch(1)
        for command in commands:
            foot.addWidget(command)
        right = QVBoxLayout()
        right.setSpacing(6)
        if head is not None:
            right.addLayout(head)
        right.addWidget(self.board, 1)
        right.addLayout(foot)
        right.addWidget(self.note)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(20, 16, 18, 12)
        layout.setSpacing(20)
        if left is not None:
            layout.addWidget(left)
        layout.addLayout(right, 1)

    def share_actions(self, actions: tuple[QAction, ...]) -> None:
        """Commands of the main window whose keys hold here too."""
        for action in actions:
            self.addAction(action)

    def show_sound(self, sounds: bool, side_words: str, two_sides: bool) -> None:
        """Show whether it sounds and which of the two rows does."""
        self.hear.setText(HUSH if sounds else HEAR)
        self.side.setText(f"{side_words}   S")
        self.side.setEnabled(two_sides)

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self.board.set_theme(theme)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not self.enter():
            return
        super().keyPressEvent(event)

    def enter(self) -> bool:
        """Whether Enter presses the default button where it is nobody else's."""
        return False

    def done(self, result: int) -> None:
        self.left.emit()
        super().done(result)

    def closeEvent(self, event: QCloseEvent) -> None:
        self.left.emit()
        super().closeEvent(event)
