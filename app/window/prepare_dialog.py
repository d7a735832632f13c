"""Preparing a class: steps of the lesson, what was taught so far, assignments and how the open take meets them."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal, SignalInstance
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.window.book_model import book_titles
from app.window.fonts import font
from core.class_notes import LONGEST_TEXT, ClassNotes

ID = Qt.ItemDataRole.UserRole
EXAMPLE = "two tritone substitutions, keep bars 7-8"


class PrepareDialog(QDialog):
    """Stays beside the page while bars are chosen there; emits what is wished and shows what is kept."""

    step_wished = Signal(str, str)  # words, row
    step_removed = Signal(int)
    step_moved = Signal(int, int)
    taught_changed = Signal(str, bool)
    only_taught_changed = Signal(bool)
    assignment_wished = Signal(str)
    assignment_removed = Signal(int)
    presented = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("For the class")
        self.resize(1000, 560)
        self.steps, self.taught = _list("Prepared steps"), _list("Techniques taught so far")
        self.assignments, self.marks = _list("Assignments"), _list("How the open take meets the assignment")
        self.step_words, self.assignment_line = _line("What this step shows"), _line(EXAMPLE)
        self.row = QComboBox()
        self.row.addItem("shows the take", "take")
        self.row.addItem("shows the standard", "standard")
        self.row.setAccessibleName("Row of the step")
        self.add_step = QPushButton("Add these bars")
        self.only = QCheckBox("Propose and drill only these")
        self.fault = QLabel()
        self.fault.setWordWrap(True)
        self._filling = False
        columns = QHBoxLayout(self)
        columns.setContentsMargins(20, 16, 20, 16)
        columns.setSpacing(22)
        for column in (self._steps_column(), self._taught_column(), self._assignments_column()):
            columns.addLayout(column, 1)
        self._connect()

    def _steps_column(self) -> QVBoxLayout:
        column = _column("Steps of the lesson", self.steps)
        keys = QHBoxLayout()
        for words, move in (("Up", -1), ("Down", 1)):
            button = _button(words)
            button.clicked.connect(lambda _checked=False, by=move: self._move(by))
            keys.addWidget(button)
        remove = _button("Take out")
        remove.clicked.connect(lambda: self._remove(self.steps, self.step_removed))
        keys.addWidget(remove)
        keys.addStretch(1)
        column.addLayout(keys)
        for widget in (self.step_words, self.row, self.add_step):
            widget.setFont(font("sans", 14))
            column.addWidget(widget)
        present = _button("Present   F5")
        present.clicked.connect(self.presented)
        column.addWidget(present)
        return column

    def _taught_column(self) -> QVBoxLayout:
        column = _column("Taught so far", self.taught)
        self.only.setFont(font("sans", 14))
        column.addWidget(self.only)
        return column

    def _assignments_column(self) -> QVBoxLayout:
        column = _column("Assignments", self.assignments)
        self.assignments.setMaximumHeight(150)
        column.addWidget(self.assignment_line)
        column.addWidget(self.fault)
        keys = QHBoxLayout()
        give, remove = _button("Give it"), _button("Take back")
        give.clicked.connect(self._give)
        remove.clicked.connect(lambda: self._remove(self.assignments, self.assignment_removed))
        keys.addWidget(give)
        keys.addWidget(remove)
        keys.addStretch(1)
        column.addLayout(keys)
        heading = QLabel("How the open take meets it")
        heading.setFont(font("serif", 15, "strong"))
        column.addWidget(heading)
        column.addWidget(self.marks, 1)
        self.marks.setWordWrap(True)
        return column

    def _connect(self) -> None:
        self.add_step.clicked.connect(self._add_step)
        self.step_words.returnPressed.connect(self._add_step)
        self.assignment_line.returnPressed.connect(self._give)
        self.taught.itemChanged.connect(self._on_taught)
        self.only.toggled.connect(self.only_taught_changed)
        QShortcut(QKeySequence("F5"), self).activated.connect(self.presented)
        for button in self.findChildren(QPushButton):
            button.setAutoDefault(False)

    # --- what is wished --------------------------------------------------------------------------------------------

    def _add_step(self) -> None:
        words = self.step_words.text().strip()
        self.step_wished.emit(words, self.row.currentData())
        self.step_words.clear()

    def _give(self) -> None:
        self.assignment_wished.emit(self.assignment_line.text())

    @staticmethod
    def _remove(listed: QListWidget, signal: SignalInstance) -> None:
        if listed.currentRow() >= 0:
            signal.emit(listed.currentRow())

    def _move(self, by: int) -> None:
        row = self.steps.currentRow()
        if row >= 0:
            self.step_moved.emit(row, by)
            self.steps.setCurrentRow(max(0, min(self.steps.count() - 1, row + by)))

    def _on_taught(self, item: QListWidgetItem) -> None:
        if not self._filling and item.data(ID):
            self.taught_changed.emit(item.data(ID), item.checkState() == Qt.CheckState.Checked)

    # --- what is shown ---------------------------------------------------------------------------------------------

    def show_kept(self, kept: ClassNotes, steps: tuple[str, ...], assignments: tuple[str, ...]) -> None:
        """Show what is kept; steps and assignments come as words."""
        for place, lines in ((self.steps, steps), (self.assignments, assignments)):
            row = place.currentRow()
            place.clear()
            place.addItems([f"{number}   {line}" for number, line in enumerate(lines, 1)])
            place.setCurrentRow(min(max(row, 0), place.count() - 1))
        self._show_taught(frozenset(kept.taught))

    def _show_taught(self, taught: frozenset[str]) -> None:
        """Filled once; afterwards only the ticks change, since this follows from a tick."""
        self._filling = True
        if not self.taught.count():
            self._fill_techniques()
        for row in range(self.taught.count()):
            item = self.taught.item(row)
            if item.data(ID):
                item.setCheckState(Qt.CheckState.Checked if item.data(ID) in taught else Qt.CheckState.Unchecked)
        self._filling = False

    def _fill_techniques(self) -> None:
        family = ""
        for title in book_titles():
            if title.family != family:
                family = title.family
                heading = QListWidgetItem(family)
                heading.setFont(font("serif", 15, "strong"))
                heading.setFlags(Qt.ItemFlag.NoItemFlags)
                self.taught.addItem(heading)
            item = QListWidgetItem(title.title)
            item.setData(ID, title.id)
            item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
            self.taught.addItem(item)

    def show_marks(self, marks: tuple[tuple[bool, str], ...], empty: str) -> None:
        """Show demand by demand what is met."""
        self.marks.clear()
        self.marks.addItems([f"{'●' if met else '✕'}  {words}" for met, words in marks] or [empty])

    def show_fault(self, words: str) -> None:
        """Say what cannot be read; "" and an empty line when it was."""
        self.fault.setText(words)
        if not words:
            self.assignment_line.clear()


def _list(name: str) -> QListWidget:
    made = QListWidget()
    made.setObjectName("book")
    made.setAccessibleName(name)
    made.setFont(font("sans", 14))
    made.setWordWrap(True)
    made.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    return made


def _line(hint: str) -> QLineEdit:
    line = QLineEdit()
    line.setPlaceholderText(hint)
    line.setAccessibleName(hint)
    line.setMaxLength(LONGEST_TEXT)
    line.setFont(font("sans", 14))
    return line


def _button(words: str) -> QPushButton:
    button = QPushButton(words)
    button.setFont(font("sans", 14))
    return button


def _column(title: str, listed: QListWidget) -> QVBoxLayout:
    column = QVBoxLayout()
    column.setSpacing(8)
    heading = QLabel(title)
    heading.setFont(font("serif", 17, "strong"))
    column.addWidget(heading)
    column.addWidget(listed, 1)
    return column
