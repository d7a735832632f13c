"""The rows that takes are compared with: a further one, another name, one less. Choosing one is the header's."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from app.window.desk import Desk
from core import edit
from core.chart import Chart

STEM = "Another standard"


class ReferenceControl(QObject):
    """Asks for names and turns them into edits."""

    said = Signal(str)

    def __init__(self, desk: Desk, window: QWidget) -> None:
        super().__init__(window)
        self._desk, self._window = desk, window

    def add(self) -> None:
        """Ask for a name and for what the row begins as."""
        from app.window.tune_dialogs import ReferenceDialog

        take = self._desk.take
        dialog = ReferenceDialog(self._window, edit.free_name(self._desk.chart, STEM), self._desk.chart.reference,
                                 take.name if take and take.form is None else None)  # fmt: skip
        if dialog.exec():
            self.add_named(dialog.name, from_take=dialog.from_take)

    def add_named(self, name: str, *, from_take: bool) -> None:
        """A copy of the standard, which is compared with from now on; or of the take, which is there to be chosen."""
        row = self._desk.take.row if from_take and self._desk.take else None

        def change(chart: Chart) -> Chart:
            added = edit.add_reference(chart, name, row)
            return added if from_take else edit.choose_reference(added, name)

        if self._desk.edit("add a reference row", change):
            here = "choose it under Standard, above the page" if from_take else "type over it with Shift + Enter"
            self.said.emit(f"“{name}” is a reference row now; {here}.")

    def rename(self) -> None:
        """Ask for another name of the row looked at."""
        from app.window.dialogs import NameDialog

        name = self._desk.chart.reference
        dialog = NameDialog(self._window, "Name of the reference row", name)
        if dialog.exec() and dialog.name != name:
            self._desk.edit("rename the reference row", edit.rename_reference, name, dialog.name)

    def remove(self) -> None:
        """Remove the row looked at; undo brings it back, and the last one stays."""
        self._desk.edit("remove the reference row", edit.remove_reference, self._desk.chart.reference)
