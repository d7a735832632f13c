"""The import sheet: what a file holds, what was guessed, and what may be chosen otherwise. Opening it is one key."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QLabel,
    QListWidget,
    QVBoxLayout,
    QWidget,
)

from app.window.dialogs import buttons
from app.window.fonts import font
from app.window.import_model import facts, first_bars, heading, with_key_signs
from core.imported import Imported, Question

WIDTH, HEIGHT = 660, 560
LONGEST_OPTION = 44


class ImportSheet(QDialog):
    """Shows an :class:`core.imported.Imported`; emits a wish for another answer and is shown the new reading."""

    chosen = Signal(str, str)  # question, answer

    def __init__(self, parent: QWidget | None, source: str, imported: Imported) -> None:
        super().__init__(parent)
        self._source = source
        self.setWindowTitle(f"Open {source}")
        self.resize(WIDTH, HEIGHT)
        self.title, self.facts, self.bars = _label("serif", 22, "strong"), _label("sans", 14), _label("serif", 16)
        self.fault, self.count = _label("sans", 14), _label("sans", 14, "strong")
        self.facts.setProperty("quiet", True)
        self.choosers: dict[str, QComboBox] = {}
        self.notes = QListWidget()
        self.notes.setAccessibleName("Guessed or left out")
        self.notes.setObjectName("book")  # a list without a frame
        self.notes.setWordWrap(True)
        self.notes.setFont(font("sans", 14))
        self.notes.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.notes.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.notes.setSpacing(2)
        self.box = buttons(self, "Open")
        self._questions = QWidget()
        self._form = QFormLayout(self._questions)
        self._arrange()
        self.show_reading(imported)
        self.open_button.setFocus()

    def _arrange(self) -> None:
        layout = QVBoxLayout(self)
        layout.setContentsMargins(24, 20, 24, 18)
        layout.setSpacing(8)
        for widget in (self.title, self.facts, self.bars):
            layout.addWidget(widget)
        self._form.setContentsMargins(0, 10, 0, 8)
        self._form.setSpacing(8)
        self._form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        layout.addWidget(self._questions)
        layout.addWidget(self.count)
        layout.addWidget(self.notes, 1)
        layout.addWidget(self.fault)
        layout.addWidget(self.box)
        self.fault.hide()

    @property
    def open_button(self) -> QWidget:
        """The button that takes the chart as it is shown."""
        return self.box.button(QDialogButtonBox.StandardButton.Ok)

    def show_reading(self, imported: Imported) -> None:
        """Show a reading: the first one, or the one with other answers."""
        chart = imported.chart
        self.title.setText(chart.title)
        self.facts.setText(f"{self._source} · {facts(chart)}")
        self.bars.setText(first_bars(chart))
        self.count.setText(heading(len(imported.report)))
        self.notes.clear()
        self.notes.addItems([with_key_signs(line) for line in imported.report])
        self.notes.setVisible(bool(imported.report))
        self.fault.hide()
        self.open_button.setEnabled(True)
        self._show_questions(imported.questions)

    def wait(self) -> None:
        """Another reading is on its way; what is shown cannot be opened until it is here."""
        self.open_button.setEnabled(False)

    def show_fault(self, sentence: str) -> None:
        """The file could not be read with that answer."""
        self.fault.setText(sentence)
        self.fault.show()
        self.open_button.setEnabled(False)

    def _show_questions(self, questions: tuple[Question, ...]) -> None:
        """A chooser for each question; those that are there stay, so that the keyboard stays where it is."""
        asked = {question.id for question in questions}
        for name in [name for name in self.choosers if name not in asked]:
            self._form.removeRow(self.choosers.pop(name))
        for question in questions:
            if question.id not in self.choosers:
                self._add(question)
            self._fill(self.choosers[question.id], question)
        self._questions.setVisible(bool(self.choosers))

    def _add(self, question: Question) -> None:
        box = QComboBox()
        box.setAccessibleName(question.text)
        box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        box.setMinimumContentsLength(LONGEST_OPTION)
        box.activated.connect(lambda _at, name=question.id, one=box: self.chosen.emit(name, one.currentData()))
        self.choosers[question.id] = box
        self._form.addRow(question.text, box)

    def _fill(self, box: QComboBox, question: Question) -> None:
        box.blockSignals(True)
        box.clear()
        for option in question.options:
            box.addItem(with_key_signs(option.text), option.value)
        box.setCurrentIndex(max(0, box.findData(question.chosen)))
        box.blockSignals(False)


def _label(family: str, size: int, weight: str = "regular") -> QLabel:
    label = QLabel()
    label.setFont(font(family, size, weight))
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    return label
