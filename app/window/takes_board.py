"""Takes side by side: cards over their rows, and a sentence about the bar in hand."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QLabel, QStackedWidget, QVBoxLayout, QWidget

from app.window.fonts import font
from app.window.take_cards import CardRow, scale_of
from app.window.take_rows import RowsView
from app.window.takes_model import TakeLine, take_words
from app.window.theme import Theme
from core.chart import STANDARD
from core.form import Form


class TakesBoard(QWidget):
    """Keeps cards and rows at the same take; emits which take and which bars are chosen."""

    chosen = Signal(int)  # index of the take
    bar_chosen = Signal(int, bool)
    accepted = Signal()  # Enter on a card or a row

    def __init__(self, theme: Theme, name: str, empty: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.cards, self.rows = CardRow(theme, name), RowsView(theme)
        self.lines: tuple[TakeLine, ...] = ()
        self._over = 0  # rows that stand over those of the cards
        self.sentence = QLabel()
        self.sentence.setFont(font("sans", 14))
        self.sentence.setWordWrap(True)
        self.sentence.setTextFormat(Qt.TextFormat.PlainText)
        self.sentence.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.sentence.setFixedHeight(42)
        self.empty = QLabel(empty)
        self.empty.setFont(font("serif", 17))
        self.empty.setWordWrap(True)
        self.empty.setProperty("quiet", True)
        self.empty.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.empty.setMargin(18)
        self._full = QWidget()
        layout = QVBoxLayout(self._full)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(8)
        layout.addWidget(self.cards)
        layout.addWidget(self.rows, 1)
        layout.addWidget(self.sentence)
        self._stack = QStackedWidget()
        self._stack.addWidget(self.empty)
        self._stack.addWidget(self._full)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(self._stack)
        self.cards.chosen.connect(self._on_card)
        self.cards.said.connect(self.sentence.setText)
        self.cards.accepted.connect(self.accepted)
        self.rows.accepted.connect(self.accepted)
        self.rows.said.connect(self.sentence.setText)
        self.rows.line_chosen.connect(self._on_line)
        self.rows.bar_chosen.connect(self.bar_chosen)

    @property
    def index(self) -> int:
        """Which take is in hand."""
        return self.cards.index

    @property
    def line(self) -> TakeLine | None:
        """The take in hand."""
        return self.lines[self.index] if self.index < len(self.lines) else None

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self.cards.set_theme(theme)
        self.rows.set_theme(theme)

    def show_lines(self, form: Form, over: tuple[TakeLine, ...], lines: tuple[TakeLine, ...]) -> None:
        """Show takes; the rows ``over`` stand above theirs without a card."""
        first = not self.lines
        self.lines, self._over = lines, len(over)
        self.cards.set_lines(lines, scale_of(lines))
        self.rows.set_lines(form, (*over, *lines))
        if lines and (first or self.rows.hand[0] < len(over)):
            self.rows.set_line(len(over) + self.index)
        self._stack.setCurrentIndex(1 if lines else 0)

    def choose(self, index: int) -> None:
        """Put a take in hand."""
        self.cards.choose(index)

    def _on_card(self, index: int) -> None:
        self.rows.set_line(self._over + index)
        self.sentence.setText(take_words(self.lines[index]))
        self.chosen.emit(index)

    def _on_line(self, line: int) -> None:
        if line >= self._over and self.rows.hand[0] == line:
            self.cards.choose(line - self._over)


def over_lines(standard: TakeLine, lines: tuple[TakeLine, ...]) -> tuple[TakeLine, ...]:
    """The standard over takes, unless it is one of them."""
    return () if any(line.take.name == STANDARD for line in lines) else (standard,)
