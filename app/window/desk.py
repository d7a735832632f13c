"""What lies on the desk: the document, which take is looked at, what is selected. Everything else follows this."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from PySide6.QtCore import QObject, Signal

from app.window.document import Document
from app.window.selection import Selection
from core.chart import STANDARD, Chart, Take
from core.form import Form
from core.row import Row


class Desk(QObject):
    """Take and selection are held valid whatever happens to the chart."""

    chart_changed = Signal()  # the chart or the take looked at
    selected = Signal()  # the selection

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self._take: str | None = None
        self.selection = Selection()
        document.replaced.connect(self._on_replaced)
        document.changed.connect(self._on_changed)
        self._on_replaced()

    @property
    def chart(self) -> Chart:
        """The chart."""
        return self.document.chart

    @property
    def take_name(self) -> str | None:
        """The take looked at, None when the chart has none."""
        return self._take

    @property
    def take(self) -> Take | None:
        """The take looked at."""
        return self.chart.take_named(self._take) if self._take else None

    @property
    def form(self) -> Form:
        """The form of what is looked at."""
        return self.chart.form_of(self.take)

    @property
    def active_row_name(self) -> str:
        """The row that typing goes into: the take's name or "standard"."""
        return self._take if self._take and self.selection.row == "take" else STANDARD

    @property
    def active_row(self) -> Row:
        """The slots of that row."""
        return self.chart.row_named(self.active_row_name)

    @property
    def row_form(self) -> Form:
        """The form of the active row."""
        return self.form if self.active_row_name != STANDARD else self.chart.form

    def selected_time(self) -> tuple[Fraction, Fraction]:
        """Start and end of the selection."""
        row = self.take.row if self.take else self.chart.standard
        return self.selection.time(self.form, row if self.selection.row == "take" else self.chart.standard)

    def select(self, selection: Selection) -> None:
        """Select something else."""
        held = selection.held_in(len(self.form.bars))
        if held != self.selection:
            self.selection = held
            self.selected.emit()

    def select_row(self, row: str) -> None:
        """Choose the row that typing goes into."""
        self.select(self.selection._replace(row=row, slot=None))

    def look_at(self, take_name: str | None) -> None:
        """Look at another take."""
        if take_name != self._take:
            self._take = take_name
            self.selection = self.selection.held_in(len(self.form.bars))
            self.chart_changed.emit()
            self.selected.emit()

    def edit(self, text: str, change: Callable[..., Chart], *arguments: object, merge: str = "") -> bool:
        """An edit as one step of undo."""
        return self.document.edit(text, change, *arguments, merge=merge)

    def edit_and_look(self, text: str, change: Callable[..., Chart], name: str, *arguments: object) -> None:
        """An edit that makes or renames a take called ``name``, and then look at it."""
        before = self._take
        if self.document.edit(text, change, *arguments):
            self._take = before if not any(take.name == name for take in self.chart.takes) else name
            self.chart_changed.emit()

    def _on_replaced(self) -> None:
        self._take = self.chart.takes[0].name if self.chart.takes else None
        self.selection = Selection()

    def _on_changed(self) -> None:
        names = [take.name for take in self.chart.takes]
        if self._take not in names:
            self._take = names[-1] if names else None
        self.selection = self.selection.held_in(len(self.form.bars))
        if self.selection.slot is not None and self.selection.slot >= len(self.active_row):
            self.selection = self.selection._replace(slot=None)
        self.chart_changed.emit()
        self.selected.emit()
