"""The user's own words on a change: a field in the panel, kept beside the step that made the change."""

from __future__ import annotations

from fractions import Fraction

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QLineEdit, QWidget

from app.window.desk import Desk
from app.window.fonts import font
from core import edit
from core.chart import Step, Take

LONGEST = 400


class WordsField(QLineEdit):
    """One line; Enter and leaving it keep what was written, Escape gives the old words back."""

    written = Signal(str)
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("words")
        self.setFont(font("sans", 13.5))
        self.setMaxLength(LONGEST)
        self.setToolTip("Enter keeps your words, Esc leaves them as they were")
        self._kept = ""

    def show_words(self, words: str, about: str) -> None:
        """Show what is kept; ``about`` names the change."""
        self._kept = words
        self.setText(words)
        self.setPlaceholderText(f"Your words on {about}")
        self.setAccessibleName(f"Your words on {about}")

    def commit(self) -> None:
        """Hand over what was written, if it is new."""
        if self.isModified() and self.text().strip() != self._kept:
            self.setModified(False)
            self.written.emit(self.text().strip())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.commit()
            self.left.emit()
        elif event.key() == Qt.Key.Key_Escape:
            self.setText(self._kept)
            self.left.emit()
        else:
            super().keyPressEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.commit()
        self.left.emit()


class WordsControl(QObject):
    """Keeps the field in step with the newest step at the selection."""

    said = Signal(str)
    shown = Signal(object)  # the Step at the selection, or None

    def __init__(self, desk: Desk, field: WordsField, page: QWidget, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._desk, self._field, self._page = desk, field, page
        self._place: tuple[str, int] | None = None  # take and index of the step that the field is about
        field.written.connect(self._on_written)
        field.left.connect(self._on_left)
        desk.chart_changed.connect(self.show)
        desk.selected.connect(self._on_selected)

    def begin(self) -> None:
        """Give the field the keyboard."""
        if self._place is None:
            self.said.emit("Your words stand beside a step: take a proposal here, or press X and keep a reading first.")
            return
        self._field.show()
        self._field.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self._field.selectAll()

    def show(self) -> None:
        """Show the words on the step at the selection."""
        take = self._desk.take
        index = newest_step(take, *self._desk.selected_time()) if take else None
        self._place = (take.name, index) if take and index is not None else None
        step = take.steps[index] if take and index is not None else None
        if step is not None:
            self._field.show_words(step.note, name_of_step(step))
        self.shown.emit(step)

    def _on_selected(self) -> None:
        self._field.commit()
        self.show()

    def _on_written(self, words: str) -> None:
        if self._place is not None:
            name, index = self._place
            self._desk.edit("your words", edit.set_step_note, name, index, words)

    def _on_left(self) -> None:
        if self._field.hasFocus():
            self._page.setFocus(Qt.FocusReason.OtherFocusReason)
        self.show()


def newest_step(take: Take, start: Fraction, end: Fraction) -> int | None:
    """Index of the newest step that changes something between two moments."""
    found = [index for index, step in enumerate(take.steps) if step.start < end and start < step.end]
    return found[-1] if found else None


def name_of_step(step: Step) -> str:
    """ "tritone sub"."""
    from core.techniques.catalogue import BY_ID

    technique = BY_ID.get(step.technique)
    return technique.seam if technique else step.technique.replace("_", " ")
