"""The window of whole takes: wishes at the left, what was found at the right."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.window.takes_board import TakesBoard
from app.window.takes_window import TakesWindow
from app.window.theme import Theme
from app.window.whole_takes_wishes import WholeTakesWishes

EMPTY = (
    "A whole take is planned over the whole form: the tune stays safe, guide tones move little, the bass goes "
    "somewhere, and dominants still arrive.\n\nSay at the left how far it may go and what must stay, and press Enter. "
    "Each take that is found is the best there is under its cost, and unlike the ones before it."
)


class WholeTakesWindow(TakesWindow):
    """Emits what is wished."""

    put_wished = Signal()
    merge_wished = Signal()

    def __init__(self, theme: Theme, wishes: WholeTakesWishes, parent: QWidget | None = None) -> None:
        super().__init__(theme, "Whole takes", TakesBoard(theme, "Takes that were found", EMPTY), parent)
        self.wishes = wishes
        self.merge = self.button("", self.merge_wished, "M")
        self.put = self.button("Put it on the chart   T", self.put_wished, "T")
        self.merge.setToolTip("Only the selected bars of the take in hand")
        self.put.setToolTip("As a take of its own")
        self.arrange(wishes, None, (self.merge, self.put))
        wishes.boldness.setFocus()

    def enter(self) -> bool:
        return self.wishes.start.isEnabled()

    def reject(self) -> None:
        """Esc ends a search first."""
        if self.wishes.stop.isEnabled():
            self.wishes.stop.click()
        else:
            super().reject()
