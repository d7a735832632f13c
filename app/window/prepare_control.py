"""Between the sheet for the class, the desk and the check: every wish is an edit of the chart like any other."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QInputDialog, QWidget

from app.window.background import Background
from app.window.desk import Desk
from app.window.settings import Settings
from core import class_edit
from core.chart import Chart
from core.class_notes import PreparedStep
from core.errors import ChangewrightError

if TYPE_CHECKING:
    from app.window.prepare_dialog import PrepareDialog

NO_ASSIGNMENT = "No assignment is given yet."
NO_TAKE = "There is no take to mark; make one with Ctrl+T."


def read_marks(chart: Chart, take_name: str | None, index: int) -> tuple[tuple[bool, str], ...]:
    """Whether each demand of an assignment is met, in words; runs in the background."""
    from core.assignment import mark_assignment

    if take_name is None or not 0 <= index < len(chart.for_class.assignments):
        return ()
    marks = mark_assignment(chart, chart.take_named(take_name), chart.for_class.assignments[index])
    return tuple((mark.met, mark.words) for mark in marks)


class PrepareControl(QObject):
    """Makes the sheet when it is first wanted."""

    said = Signal(str)
    present_wished = Signal()

    def __init__(self, desk: Desk, background: Background, settings: Settings, owner: QWidget) -> None:
        super().__init__(owner)
        self._desk, self._background, self._settings, self._owner = desk, background, settings, owner
        self.dialog: PrepareDialog | None = None
        desk.chart_changed.connect(self._show)
        desk.selected.connect(self._show_bars)

    @property
    def taught(self) -> frozenset[str] | None:
        """The only techniques that are proposed and drilled, None for all."""
        taught = self._desk.chart.for_class.taught
        return frozenset(taught) if taught and self._settings.get("only_taught") else None

    # --- what is asked ---------------------------------------------------------------------------------------------

    def open(self) -> None:
        """Show the sheet."""
        if self.dialog is None:
            from app.window.prepare_dialog import PrepareDialog

            self.dialog = sheet = PrepareDialog(self._owner)
            sheet.step_wished.connect(self.add_step)
            sheet.step_removed.connect(lambda index: self._edit("take a step out", class_edit.remove_step, index))
            sheet.step_moved.connect(lambda index, by: self._edit("move a step", class_edit.move_step, index, by))
            sheet.taught_changed.connect(lambda name, on: self._edit("taught so far", class_edit.set_taught, name, on))
            sheet.only_taught_changed.connect(lambda on: self._settings.set("only_taught", on))
            sheet.assignment_wished.connect(self._give)
            sheet.assignment_removed.connect(
                lambda index: self._edit("take an assignment back", class_edit.remove_assignment, index)
            )
            sheet.assignments.currentRowChanged.connect(lambda _row: self._mark())
            sheet.presented.connect(self.present_wished)
        self.dialog.show()
        self.dialog.activateWindow()
        self._show()
        self._show_bars()

    def add_step(self, words: str = "", row: str = "") -> None:
        """Prepare the selected bars as the next step; their numbers are its words where none are given."""
        chosen = self._desk.selection
        row = row or ("standard" if self._desk.take_name is None else "take")
        step = PreparedStep(words or self._bar_words(), chosen.first, chosen.last, row)
        if self._desk.edit("prepare a step", class_edit.add_step, step) and self.dialog is None:
            count = len(self._desk.chart.for_class.steps)
            self.said.emit(f"{self._bar_words()}: step {count} of the lesson. Shift+F5 shows all of them.")

    def note(self) -> None:
        """Write words on the selected bar."""
        bar = self._desk.selection.first
        number = self._desk.chart.form.bars[min(bar, len(self._desk.chart.form.bars) - 1)].number
        before = self._desk.chart.for_class.note_on(bar)
        words, kept = QInputDialog.getText(self._owner, "Words on a bar", f"Bar {number}:", text=before)
        if kept:
            self._edit("words on a bar", class_edit.set_bar_note, bar, words)

    def _give(self, text: str) -> None:
        from core.assignment import parse_assignment

        assert self.dialog is not None
        try:
            assignment = parse_assignment(text, self._desk.chart.form)
        except ChangewrightError as error:
            self.dialog.show_fault(str(error))
            return
        self.dialog.show_fault("")
        self._edit("give an assignment", class_edit.add_assignment, assignment)
        self.dialog.assignments.setCurrentRow(self.dialog.assignments.count() - 1)

    def _edit(self, text: str, change: object, *arguments: object) -> None:
        self._desk.edit(text, change, *arguments)  # type: ignore[arg-type]

    # --- what is shown ---------------------------------------------------------------------------------------------

    def _bar_words(self) -> str:
        bars, chosen = self._desk.form.bars, self._desk.selection
        first, last = bars[chosen.first].number, bars[chosen.last].number
        return f"Bar {first}" if first == last else f"Bars {first}–{last}"

    def _show_bars(self) -> None:
        if self.dialog is not None:
            self.dialog.add_step.setText(f"Add {self._bar_words()[0].lower()}{self._bar_words()[1:]}")

    def _show(self) -> None:
        if self.dialog is None or not self.dialog.isVisible():
            return
        from core.assignment import assignment_words

        chart, bars = self._desk.chart, self._desk.chart.form.bars
        steps = tuple(
            f"{step.words}  ({'bar' if step.first == step.last else 'bars'} {bars[step.first].number}"
            f"{'' if step.first == step.last else f'–{bars[step.last].number}'}, {step.row})"
            for step in chart.for_class.steps
        )
        given = tuple(assignment_words(one, chart.form) for one in chart.for_class.assignments)
        self.dialog.show_kept(chart.for_class, steps, given)
        self.dialog.only.setChecked(self._settings.get("only_taught"))
        self._mark()

    def _mark(self) -> None:
        if self.dialog is None:
            return
        dialog, chart, take = self.dialog, self._desk.chart, self._desk.take_name
        empty = NO_ASSIGNMENT if not chart.for_class.assignments else NO_TAKE
        self._background.ask("marks", lambda marks: dialog.show_marks(marks, empty), read_marks, chart, take,
                             dialog.assignments.currentRow())  # fmt: skip
