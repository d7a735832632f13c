"""Small sheets: a new tune, its details, a name, the list of guesses, the keyboard."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from PySide6.QtCore import Qt
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QGridLayout,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QScrollArea,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from app.window.actions import ACTIONS, MENUS, plain_text, shown_keys
from app.window.fonts import font
from app.window.keys import keys_of
from core.chart import TEMPO_RANGE, Chart
from core.errors import ChangewrightError
from core.feel import FEEL_NAMES
from core.key import Key, parse_key
from core.meter import Meter, parse_meter
from core.pitch import pretty_name

KEYS = tuple(Key(tonic, "major") for tonic in (0, -1, -2, -3, -4, -5, -6, 1, 2, 3, 4, 5)) + tuple(
    Key(tonic, "minor") for tonic in (0, -1, -2, -3, 1, 2, 3, 4, 5, 6)
)
METERS = ("4/4", "3/4", "2/4", "2/2", "5/4", "6/8", "12/8", "7/4")


@dataclass(frozen=True, slots=True)
class TuneSheet:
    """What the sheet for a tune says."""

    title: str
    key: Key
    meter: Meter
    bars: int
    tempo: int
    feel: str


class TuneDialog(QDialog):
    """A new tune, or (with a chart) the details of this one; key, metre and bars can be given only to a new one."""

    def __init__(self, parent: QWidget | None = None, chart: Chart | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("New tune" if chart is None else "Tune details")
        self._title = QLineEdit(chart.title if chart else "Untitled")
        self._key = QComboBox()
        for key in KEYS:
            self._key.addItem(f"{pretty_name(key.tonic)} {key.mode}", str(key))
        self._meter, self._feel = _editable(METERS), _editable(FEEL_NAMES)
        self._bars, self._tempo = _number(1, 999, 32), _number(*TEMPO_RANGE, 132)
        self._fault = QLabel()
        self._fault.setWordWrap(True)
        if chart:
            self._show(chart)
        self._arrange(new=chart is None)

    def _show(self, chart: Chart) -> None:
        self._key.addItem(f"{pretty_name(chart.key.tonic)} {chart.key.mode}", str(chart.key))
        self._key.setCurrentIndex(self._key.findData(str(chart.key)))
        self._meter.setCurrentText(str(chart.meter))
        self._feel.setCurrentText(chart.feel)
        self._bars.setValue(len(chart.form.bars))
        self._tempo.setValue(chart.tempo)

    def _arrange(self, *, new: bool) -> None:
        form = QFormLayout(self)
        form.setContentsMargins(22, 20, 22, 18)
        form.setSpacing(10)
        rows: list[tuple[str, QWidget]] = [("&Title", self._title)]
        if new:
            rows += [("&Key", self._key), ("&Metre", self._meter), ("&Bars", self._bars)]
        rows += [("Te&mpo", self._tempo), ("&Feel", self._feel)]
        for label, widget in rows:
            widget.setMinimumWidth(230)
            form.addRow(label, widget)
        form.addRow(self._fault)
        self._fault.hide()
        form.addRow(buttons(self, "Create" if new else "Apply"))
        self._title.selectAll()

    def sheet(self) -> TuneSheet:
        """What was filled in; raises a ChangewrightError for a metre that cannot be read."""
        return TuneSheet(self._title.text().strip() or "Untitled", parse_key(self._key.currentData()),
                         parse_meter(self._meter.currentText()), self._bars.value(), self._tempo.value(),
                         self._feel.currentText().strip() or FEEL_NAMES[0])  # fmt: skip

    def accept(self) -> None:
        """Close if everything can be read; else say what cannot."""
        try:
            self.sheet()
        except ChangewrightError as error:
            self._fault.setText(str(error))
            self._fault.show()
            return
        super().accept()


class NameDialog(QDialog):
    """Asks for a name."""

    def __init__(self, parent: QWidget | None, title: str, name: str) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self._line = QLineEdit(name)
        self._line.selectAll()
        self._line.setMinimumWidth(280)
        self._line.setAccessibleName(title)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(22, 20, 22, 18)
        layout.setSpacing(14)
        layout.addWidget(self._line)
        layout.addWidget(buttons(self, "Rename"))

    @property
    def name(self) -> str:
        """What was typed."""
        return self._line.text().strip()


class ReportDialog(QDialog):
    """Everything that was guessed while a file was read."""

    def __init__(self, parent: QWidget | None, name: str, report: tuple[str, ...]) -> None:
        super().__init__(parent)
        self.setWindowTitle("What was guessed")
        self.resize(600, 380)
        head = QLabel(f"{name} was read, and {len(report)} thing{'s were' if len(report) != 1 else ' was'} guessed:")
        head.setFont(font("sans", 15, "strong"))
        head.setWordWrap(True)
        text = QPlainTextEdit("\n".join(report))
        text.setReadOnly(True)
        text.setFont(font("sans", 14))
        text.setAccessibleName("Guesses")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(22, 20, 22, 18)
        layout.addWidget(head)
        layout.addWidget(text, 1)
        box = without_icons(QDialogButtonBox(QDialogButtonBox.StandardButton.Close))
        box.rejected.connect(self.reject)
        layout.addWidget(box)


class KeyboardDialog(QDialog):
    """Every command and its keys, from the table of actions, with the keys that were changed."""

    def __init__(
        self, parent: QWidget | None = None, changes: Mapping[str, tuple[str, ...]] = MappingProxyType({})
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Keyboard")
        self.resize(940, 720)
        body = QWidget()
        body.setObjectName("panel")
        columns = QGridLayout(body)
        columns.setContentsMargins(10, 6, 10, 6)
        columns.setHorizontalSpacing(34)
        table = [replace(item, keys=keys_of(item, changes)) for item in ACTIONS]
        groups = [(menu.replace("&", ""), [item for item in table if item.menu == menu and shown_keys(item)])
                  for menu in MENUS]  # fmt: skip
        groups.append(("On the page", [item for item in table if item.menu == ""]))
        for place, items in enumerate(_balanced(groups)):
            columns.addLayout(_column(items), 0, place, Qt.AlignmentFlag.AlignTop)
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setFrameShape(QScrollArea.Shape.NoFrame)
        area.setWidget(body)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 14, 14, 14)
        layout.addWidget(area)
        box = without_icons(QDialogButtonBox(QDialogButtonBox.StandardButton.Close))
        box.rejected.connect(self.reject)
        layout.addWidget(box)


Groups = list[tuple[str, list]]  # type: ignore[type-arg]


def _balanced(groups: Groups) -> tuple[Groups, Groups]:
    """Two columns of about the same height."""
    half = sum(len(items) + 2 for _, items in groups) / 2
    left: Groups = []
    right: Groups = []
    tall = 0
    for group in groups:
        target = left if tall < half - 4 else right
        target.append(group)
        tall += len(group[1]) + 2 if target is left else 0
    return left, right


def _column(groups: Groups) -> QGridLayout:
    grid = QGridLayout()
    grid.setVerticalSpacing(5)
    grid.setColumnStretch(1, 1)
    grid.setColumnMinimumWidth(0, 112)
    grid.setHorizontalSpacing(16)
    row = 0
    for name, items in groups:
        if not items:
            continue
        head = QLabel(name)
        head.setFont(font("serif", 17, "strong"))
        grid.addWidget(head, row, 0, 1, 2)
        grid.setRowMinimumHeight(row, 34)
        for item in items:
            row += 1
            keys = QLabel(shown_keys(item))
            keys.setFont(font("sans", 14, "strong"))
            keys.setProperty("second", True)
            text = QLabel(plain_text(item) + (f"\n{item.help}" if item.help else ""))
            text.setFont(font("sans", 14))
            grid.addWidget(keys, row, 0, Qt.AlignmentFlag.AlignTop)
            grid.addWidget(text, row, 1)
        row += 1
    return grid


def _editable(items: tuple[str, ...]) -> QComboBox:
    box = QComboBox()
    box.setEditable(True)
    box.addItems(items)
    return box


def _number(low: int, high: int, value: int) -> QSpinBox:
    box = QSpinBox()
    box.setRange(low, high)
    box.setValue(value)
    return box


def without_icons(box: QDialogButtonBox) -> QDialogButtonBox:
    """The system's icons belong to another room, and the dark theme hides them."""
    for button in box.buttons():
        button.setIcon(QIcon())
    return box


def buttons(dialog: QDialog, word: str) -> QDialogButtonBox:
    """The row of a sheet's two buttons; ``word`` says what accepting does."""
    box = without_icons(QDialogButtonBox(QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel))
    box.button(QDialogButtonBox.StandardButton.Ok).setText(word)
    box.accepted.connect(dialog.accept)
    box.rejected.connect(dialog.reject)
    return box
