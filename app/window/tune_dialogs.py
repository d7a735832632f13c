"""Sheets that change the whole tune: another key, a further reference row."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox, QDialog, QFormLayout, QLabel, QLineEdit, QWidget

from app.window.dialogs import buttons
from app.window.fonts import font


class ReferenceDialog(QDialog):
    """Asks how a further reference row is called and which row it begins as."""

    def __init__(self, parent: QWidget | None, name: str, standard: str, take: str | None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Add a reference row")
        self._line = QLineEdit(name)
        self._line.selectAll()
        self._line.setMinimumWidth(280)
        self._line.setAccessibleName("Name of the reference row")
        self._source = QComboBox()
        self._source.addItem(f"the standard, “{standard}”", False)
        if take is not None:
            self._source.addItem(f"the take, “{take}”", True)
        form = QFormLayout(self)
        form.setContentsMargins(22, 20, 22, 18)
        form.setSpacing(10)
        form.addRow("&Name", self._line)
        form.addRow("&Begins as", self._source)
        form.addRow(_quiet("Takes can be compared with any reference row: the book’s, a record’s, the bass player’s."))
        form.addRow(buttons(self, "Add"))

    @property
    def name(self) -> str:
        """What was typed."""
        return self._line.text().strip()

    @property
    def from_take(self) -> bool:
        """Whether it begins as the take's chords."""
        return bool(self._source.currentData())


def _quiet(words: str) -> QLabel:
    label = QLabel(words)
    label.setFont(font("sans", 13))
    label.setProperty("quiet", True)
    label.setWordWrap(True)
    label.setMinimumWidth(330)
    return label
