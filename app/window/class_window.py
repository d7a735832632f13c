"""The class view: a window that fills the screen and reads from the back of a room."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QCloseEvent, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QVBoxLayout, QWidget

from app.window.class_model import KEYS_HINT
from app.window.class_page import ClassPage
from app.window.fonts import font
from app.window.style import style_sheet
from app.window.theme import Theme
from core.class_notes import LONGEST_TEXT

HEAD_SHARE, SMALL_SHARE = 0.040, 0.024  # of the height of the window: what is read from the back is large
LEAST_HEAD, LEAST_SMALL = 20, 13


class NoteField(QLineEdit):
    """One line of words; Enter stays here, where it would mean the next step."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        super().keyPressEvent(event)
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            event.accept()


class ClassWindow(QWidget):
    """Emits what its keys wish; shows stages."""

    wished = Signal(str)  # "next", "back", "first", "last", "play", "side", "way", "tune", "up", "down", "both"
    section_wished = Signal(int)
    note_written = Signal(str)
    left = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.setObjectName("room")
        self.setWindowTitle("Class")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.page = ClassPage(theme)
        self.words, self.side, self.key, self.place = QLabel(), QLabel(), QLabel(), QLabel()
        self.note, self.hint = QLabel(), QLabel(KEYS_HINT)
        self.note.setWordWrap(True)
        self.side.setProperty("second", True)
        for label in (self.key, self.place, self.hint):
            label.setProperty("quiet", True)
        self.field = NoteField()
        self.field.setMaxLength(LONGEST_TEXT)
        self.field.setPlaceholderText("Words on this bar; Enter keeps them, Esc leaves")
        self.field.setAccessibleName("Words on this bar")
        self.field.returnPressed.connect(self._on_note)
        self.field.hide()
        self._arrange()
        self.set_theme(theme)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def _arrange(self) -> None:
        head = QHBoxLayout()
        head.setSpacing(28)
        head.addWidget(self.words, 1)
        head.addWidget(self.key)
        head.addWidget(self.side)
        foot = QHBoxLayout()
        foot.addWidget(self.hint, 1)
        foot.addWidget(self.place)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(28, 16, 28, 12)
        layout.setSpacing(8)
        layout.addLayout(head)
        layout.addWidget(self.page, 1)
        layout.addWidget(self.note)
        layout.addWidget(self.field)
        layout.addLayout(foot)

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self.setStyleSheet(style_sheet(theme) + f"\nClassWindow {{ background: {theme.desk}; }}")
        self.page.set_theme(theme)

    def resizeEvent(self, event: QResizeEvent) -> None:
        head = max(LEAST_HEAD, round(self.height() * HEAD_SHARE))
        small = max(LEAST_SMALL, round(self.height() * SMALL_SHARE))
        self.words.setFont(font("serif", head, "strong"))
        self.side.setFont(font("sans", head, "strong"))
        for label in (self.key, self.note):
            label.setFont(font("sans", round((head + small) / 2)))
        for part in (self.hint, self.place, self.field):
            part.setFont(font("sans", max(LEAST_SMALL, round(small * 0.8))))
        super().resizeEvent(event)

    def ask_note(self, words: str) -> None:
        """Let the teacher write on a bar."""
        self.field.setText(words)
        self.field.show()
        self.field.setFocus()

    def _on_note(self) -> None:
        self.field.hide()
        self.setFocus()
        self.note_written.emit(self.field.text())

    # --- keys ------------------------------------------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        if key == Qt.Key.Key_Escape:
            if self.field.isVisible():
                self.field.hide()
                self.setFocus()
            else:
                self.close()
            return
        if Qt.Key.Key_1 <= key <= Qt.Key.Key_9:
            self.section_wished.emit(key - Qt.Key.Key_1)
            return
        wish = "both" if key == Qt.Key.Key_S and event.modifiers() & _SHIFT else _WISHES.get(Qt.Key(key), "")
        if wish:
            self.wished.emit(wish)
        else:
            super().keyPressEvent(event)

    def closeEvent(self, event: QCloseEvent) -> None:
        self.left.emit()
        super().closeEvent(event)


_SHIFT = Qt.KeyboardModifier.ShiftModifier
_KEYS = Qt.Key
# Arrows and the page keys of a presenter's remote are the same wish.
_WISHES = {
    _KEYS.Key_Right: "next", _KEYS.Key_Down: "next", _KEYS.Key_PageDown: "next", _KEYS.Key_Return: "next",
    _KEYS.Key_Left: "back", _KEYS.Key_Up: "back", _KEYS.Key_PageUp: "back", _KEYS.Key_Backspace: "back",
    _KEYS.Key_Home: "first", _KEYS.Key_End: "last", _KEYS.Key_Space: "play", _KEYS.Key_S: "side",
    _KEYS.Key_W: "way", _KEYS.Key_M: "tune", _KEYS.Key_N: "note", _KEYS.Key_Plus: "up", _KEYS.Key_Equal: "up",
    _KEYS.Key_Minus: "down",
}  # fmt: skip
