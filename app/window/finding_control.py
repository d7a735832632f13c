"""Going from one caution or clash to the next: the bar is selected and the finding is said."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from app.window.background import Background
from app.window.desk import Desk
from app.window.reading import Concern, list_concerns


class FindingControl(QObject):
    """Looks for what a check minds, in the order of the bars, round from the selection."""

    said = Signal(str)

    def __init__(self, desk: Desk, background: Background, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._desk, self._background = desk, background

    def next(self) -> None:
        """Select the next bar with a caution or a clash, and say it."""
        self._background.ask("concerns", self._on_listed, list_concerns, self._desk.chart, self._desk.take_name)

    def _on_listed(self, concerns: tuple[Concern, ...]) -> None:
        if not concerns:
            self.said.emit("Nothing to mind: no caution and no clash.")
            return
        here = self._desk.selection.last
        concern = next((one for one in concerns if one.bar_index > here), concerns[0])
        self._desk.select(self._desk.selection.moved_to(concern.bar_index, len(self._desk.form.bars)))
        self.said.emit(concern.words)
