"""In the panel: how the change at the selection came about, other readings of it, and keeping one."""

from __future__ import annotations

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app.window.background import Background
from app.window.desk import Desk
from app.window.explanation_model import Trace, trace
from app.window.fonts import font
from app.window.key_button import KeyButton
from core.chart import changed_bars
from core.edit import set_steps

UNKNOWN = "No derivation is known: nothing in the book makes"


class ExplanationSheet(QFrame):
    """Shows a :class:`app.window.explanation_model.Trace`; emits the steps of the reading that is kept."""

    kept = Signal(object, object, object)  # start, end, steps

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("sheet")
        self._trace: Trace | None = None
        self._place = 0
        self._text = QLabel()
        self._text.setFont(font("sans", 13.5))
        self._text.setWordWrap(True)
        self._text.setTextFormat(Qt.TextFormat.PlainText)
        self._text.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.other = KeyButton(pixels=13)
        self.other.setObjectName("other_reading")
        self.other.clicked.connect(self._next)
        self.keep = KeyButton("Keep this reading", pixels=13)
        self.keep.setToolTip("Kept beside the chords as steps of the take; then W writes your own words on it")
        self.keep.clicked.connect(self._keep)
        row = QHBoxLayout()
        row.addWidget(self.other)
        row.addStretch(1)
        row.addWidget(self.keep)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(12, 8, 6, 4)
        layout.setSpacing(4)
        layout.addWidget(self._text)
        layout.addLayout(row)

    @property
    def words(self) -> str:
        """What it says."""
        return self._text.text()

    def show_trace(self, found: Trace | None) -> None:
        """Show the likeliest reading."""
        self._trace, self._place = found, 0
        self._show()

    def _show(self) -> None:
        found = self._trace
        self.other.setVisible(found is not None and len(found.readings) > 1)
        self.keep.setVisible(found is not None)
        if found is None:
            self._text.setText("Take and standard agree here; there is nothing to explain.")
            return
        lines = "\n".join(found.readings[self._place].words)
        if not found.known:
            lines = f"{UNKNOWN} {found.change}. Keep it as written by hand, and say in your own words how it came."
        self._text.setText(lines)
        self._text.setAccessibleName(lines)
        self.keep.setText("Keep this reading" if found.known else "Keep it as by hand")
        self.other.setText(f"Another reading ({self._place + 1} of {len(found.readings)})")

    def _next(self) -> None:
        if self._trace is not None:
            self._place = (self._place + 1) % len(self._trace.readings)
            self._show()

    def _keep(self) -> None:
        if self._trace is not None:
            self.kept.emit(self._trace.start, self._trace.end, self._trace.readings[self._place].steps)


class ExplanationControl(QObject):
    """Asks only while the sheet is open; keeping a reading changes no chord."""

    said = Signal(str)
    opened = Signal()

    def __init__(self, desk: Desk, button: KeyButton, sheet: ExplanationSheet, background: Background,
                 parent: QObject | None = None) -> None:  # fmt: skip
        super().__init__(parent)
        self._desk, self._button, self._sheet, self._background = desk, button, sheet, background
        self._open, self._style = False, "plain"
        button.clicked.connect(self.toggle)
        sheet.kept.connect(self._on_kept)
        desk.chart_changed.connect(self.show)
        desk.selected.connect(self.show)

    def toggle(self) -> None:
        """Open or close the sheet."""
        if not self._open and not self._differs():
            self.said.emit("Take and standard agree here; there is nothing to explain.")
            return
        self._open = not self._open
        self.show()
        if self._open:
            self.opened.emit()

    def close(self) -> None:
        """Make room for the other sheet."""
        self._open = False
        self.show()

    def set_style(self, style: str) -> None:
        """Print chords in another house style."""
        self._style = style
        self.show()

    def show(self) -> None:
        """Follow the selection."""
        there = self._differs()
        self._button.setVisible(there)
        self._button.setText(f"How this came about {'▴' if self._open else '▾'}")
        if not (there and self._open):
            self._background.drop("explanation")
            self._sheet.hide()
            return
        desk = self._desk
        self._sheet.setEnabled(False)  # what it says is of another place until the answer comes
        self._background.ask("explanation", self._on_trace, trace, desk.chart, desk.take_name, *desk.selected_time(),
                             self._style)  # fmt: skip

    def _differs(self) -> bool:
        take = self._desk.take
        if take is None or take.form is not None:
            return False
        return bool(set(changed_bars(self._desk.chart, take)) & set(self._desk.selection.bars))

    def _on_trace(self, found: Trace | None) -> None:
        self._sheet.show_trace(found)
        self._sheet.setEnabled(True)
        self._sheet.show()

    def _on_kept(self, start: object, end: object, steps: object) -> None:
        if self._desk.take_name is None:
            return
        self._desk.edit("explanation", set_steps, self._desk.take_name, start, end, steps)
        self.said.emit("This reading is kept beside the chords; W writes your own words on it.")
