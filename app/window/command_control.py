"""Finding commands, changing their keys, the history of edits, bars as text on the clipboard."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QAction, QGuiApplication, QKeySequence
from PySide6.QtWidgets import QDialog, QUndoView, QVBoxLayout, QWidget

from app.window.actions import ACTIONS
from app.window.bar_control import moved_before, takes_that_agree
from app.window.desk import Desk
from app.window.fonts import font
from app.window.keys import keys_of, read_changes, write_changes
from app.window.settings import Settings
from core import edit
from core.bar_slots import BarError
from core.bar_text import bar_to_text, parse_bar
from core.chart import STANDARD, Chart
from core.row import span

if TYPE_CHECKING:
    from app.window.command_dialog import CommandDialog


class HistoryDialog(QDialog):
    """Every edit since the tune was opened; a click goes back to it, or forward again."""

    def __init__(self, desk: Desk, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle("History of edits")
        self.resize(340, 460)
        self.view = QUndoView(desk.document.stack)
        self.view.setEmptyLabel("As it was opened")
        self.view.setFont(font("sans", 14))
        self.view.setAccessibleName("Edits")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 14, 14, 14)
        layout.addWidget(self.view)


class CommandControl(QObject):
    """Lays changed keys over the table's, and runs what is found."""

    said = Signal(str)

    def __init__(self, desk: Desk, settings: Settings, owner: QWidget) -> None:
        super().__init__(owner)
        self._desk, self._settings, self._owner = desk, settings, owner
        self._actions: dict[str, QAction] = {}
        self.dialog: CommandDialog | None = None
        self.history: HistoryDialog | None = None

    def adopt(self, actions: dict[str, QAction]) -> None:
        """The window's actions: give them the keys that the user chose."""
        self._actions = actions
        self._lay_over()

    @property
    def changes(self) -> dict[str, tuple[str, ...]]:
        """Keys that are not those of the table."""
        return read_changes(self._settings.get("keys"))

    def _lay_over(self) -> None:
        changes = self.changes
        for item in ACTIONS:
            if item.id in self._actions:
                self._actions[item.id].setShortcuts([QKeySequence(key) for key in keys_of(item, changes)])

    def find(self) -> None:
        """Find a command by a word, run it or give it another key."""
        from app.window.command_dialog import CommandDialog

        self.dialog = CommandDialog(self._actions, self.changes, self._owner)
        self.dialog.key_changed.connect(self._on_key)
        self.dialog.accepted.connect(self._on_run)
        self.dialog.open()

    def _on_key(self, name: str, keys: tuple[str, ...] | None) -> None:
        changes = self.changes
        changes.pop(name, None)
        if keys is not None:
            changes[name] = keys
        self._settings.set("keys", write_changes(changes))
        self._lay_over()

    def _on_run(self) -> None:
        if self.dialog is not None and self.dialog.run:
            self._actions[self.dialog.run].trigger()

    def show_history(self) -> None:
        """Show every edit."""
        if self.history is None:
            self.history = HistoryDialog(self._desk, self._owner)
        self.history.show()
        self.history.activateWindow()

    # --- bars as text ----------------------------------------------------------------------------------------------

    def copy_bars(self) -> None:
        """Put the selected bars of the row in hand on the clipboard, as text that can be sent and typed."""
        desk = self._desk
        cells = [bar_to_text(desk.active_row, desk.row_form.bars[bar]) for bar in self._bars()]
        lines = [" | ".join(cells[at : at + 4]) for at in range(0, len(cells), 4)]
        QGuiApplication.clipboard().setText("".join(f"| {line} |\n" for line in lines))
        name = "the standard" if desk.active_row_name == STANDARD else f"“{desk.active_row_name}”"
        count = len(cells)
        self.said.emit(
            f"{count} bar{'s' if count != 1 else ''} of {name} {'are' if count != 1 else 'is'} copied as text."
        )

    def paste_bars(self) -> None:
        """Put bars of text over the row in hand, from the selected bar on, as one edit."""
        text = QGuiApplication.clipboard().text()
        cells = [cell.strip() for line in text.splitlines() for cell in line.strip().strip("|").split("|")]
        cells = [cell for cell in cells if cell]
        if not cells:
            self.said.emit("There are no bars on the clipboard; copy some like | Dm7 | G7 |.")
            return
        first, name = self._desk.selection.first, self._desk.active_row_name
        self._desk.edit("paste bars", with_bars, name, first, tuple(cells))

    def _bars(self) -> tuple[int, ...]:
        count = len(self._desk.row_form.bars)
        return tuple(bar for bar in self._desk.selection.bars if bar < count)


def with_bars(chart: Chart, row_name: str, first: int, cells: tuple[str, ...]) -> Chart:
    """A row with bars of text over it from a bar on; what goes beyond the end is left out. Raises BarError in words."""
    form = chart.form_of(None if row_name == STANDARD else chart.take_named(row_name))
    for bar, cell in zip(form.bars[first:], cells, strict=False):
        before = form.bars[bar.index - 1] if bar.index else bar
        previous = moved_before(span(chart.row_named(row_name), before.start, before.end), bar.start)
        try:
            part = parse_bar(cell, bar.start, bar.length, bar.meter, previous)
        except BarError as error:
            raise BarError(error.position, f"Bar {bar.number}: {error}") from error
        followers = takes_that_agree(chart, bar) if row_name == STANDARD else ()
        for name in (row_name, *followers):
            chart = edit.set_bar(chart, name, bar.index, part)
    return chart
