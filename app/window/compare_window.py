"""The window that compares two rows of the chart: which two, what they have in common, and bars merged both ways."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QWidget

from app.window.fonts import font
from app.window.takes_board import TakesBoard
from app.window.takes_window import TakesWindow
from app.window.theme import Theme

EMPTY = (
    "There is no take yet to compare.\n\nMake one on the page, or look for whole takes; two takes, or a take and the "
    "standard, stand here side by side, and bars of one can be put into the other."
)


class CompareWindow(TakesWindow):
    """Emits which rows are wanted and what should be merged."""

    rows_chosen = Signal(str, str)
    right_wished = Signal()
    left_wished = Signal()
    next_wished = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(theme, "Compare takes", TakesBoard(theme, "The two rows", EMPTY), parent)
        self.board.cards.expect(2)
        self.choosers = chooser("The row at the left"), chooser("The row at the right")
        self.differs = QLabel()
        self.differs.setFont(font("sans", 14))
        self.differs.setProperty("quiet", True)
        self.next = self.button("Next difference   N", self.next_wished, "N")
        self.to_left = self.button("", self.left_wished, "Shift+M")
        self.to_right = self.button("", self.right_wished, "M")
        self.to_right.setToolTip("The selected bars of the row at the left")
        self.to_left.setToolTip("The selected bars of the row at the right")
        head = QHBoxLayout()
        head.setSpacing(10)
        head.addWidget(self.choosers[0])
        beside = QLabel("beside")
        beside.setFont(font("sans", 14))
        beside.setProperty("quiet", True)
        head.addWidget(beside)
        head.addWidget(self.choosers[1])
        head.addSpacing(8)
        head.addWidget(self.differs, 1)
        head.addWidget(self.next)
        self.arrange(None, head, (self.to_left, self.to_right))
        for box in self.choosers:
            box.currentIndexChanged.connect(lambda _index: self._on_rows())

    def _on_rows(self) -> None:
        self.rows_chosen.emit(*(str(box.currentData()) for box in self.choosers))

    def show_rows(self, names: tuple[tuple[str, str], ...], left: str, right: str) -> None:
        """Offer rows (name, words) and show which two are compared, without telling."""
        for box, chosen in zip(self.choosers, (left, right), strict=True):
            box.blockSignals(True)
            box.clear()
            for name, words in names:
                box.addItem(words, name)
            box.setCurrentIndex(max(0, box.findData(chosen)))
            box.blockSignals(False)


def chooser(name: str) -> QComboBox:
    """A list of rows."""
    box = QComboBox()
    box.setFont(font("sans", 15))
    box.setAccessibleName(name)
    box.setMinimumWidth(150)
    box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
    box.setMaximumWidth(260)
    return box
