"""Another key for the singer: twelve keys, each with the lowest and highest note that the tune has in it."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QLabel, QListWidget, QListWidgetItem, QVBoxLayout, QWidget

from app.window.dialogs import buttons
from app.window.fonts import font
from core.pitch import pretty_name
from core.singer_key import KeyChoice

CHOICE = Qt.ItemDataRole.UserRole


def choice_words(choice: KeyChoice) -> str:
    """``'G♭ major   3 half steps up   D♭4 to A♭5'``."""
    count = abs(choice.semitones)
    way = "up" if choice.semitones > 0 else "down"
    moved = "as it is" if not count else f"{count} half step{'s' if count > 1 else ''} {way}"
    return "   ".join(
        part for part in (f"{pretty_name(choice.key.tonic)} {choice.key.mode}", moved, choice.range_words) if part
    )


class KeyDialog(QDialog):
    """Up and down choose, Enter moves the whole chart."""

    def __init__(self, parent: QWidget | None, choices: tuple[KeyChoice, ...]) -> None:
        super().__init__(parent)
        self.setWindowTitle("Another key")
        self.resize(430, 470)
        here = next(choice for choice in choices if choice.semitones == 0)
        said = f"The tune runs from {here.range_words} now." if here.range_words else "There is no tune to range yet."
        head = QLabel(f"{said} Rows, takes and tune move together; undo brings the old key back.")
        head.setWordWrap(True)
        head.setFont(font("sans", 14))
        self.list = QListWidget()
        self.list.setObjectName("book")
        self.list.setAccessibleName("Keys")
        self.list.setFont(font("sans", 15))
        for choice in reversed(choices):
            item = QListWidgetItem(choice_words(choice))
            item.setData(CHOICE, choice)
            self.list.addItem(item)
            if choice is here:
                self.list.setCurrentItem(item)
        self.list.itemActivated.connect(lambda _item: self.accept())
        layout = QVBoxLayout(self)
        layout.setContentsMargins(22, 18, 22, 16)
        layout.setSpacing(12)
        layout.addWidget(head)
        layout.addWidget(self.list, 1)
        layout.addWidget(buttons(self, "Move to this key"))
        self.list.setFocus()

    @property
    def choice(self) -> KeyChoice:
        """The key in hand."""
        found: KeyChoice = self.list.currentItem().data(CHOICE)
        return found
