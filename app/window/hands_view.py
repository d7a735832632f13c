"""Voicings as cards side by side, the one of the plan first: a click or an arrow takes one in hand."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.sheet import drawing
from app.sheet.drawing import Frame, Item, Page, Shape, Sign, Words
from app.sheet.hand_pictures import KEY_WIDE, Board, board_width, fretboard, keyboard, white_keys
from app.sheet.paint import paint_page
from app.window.hands_model import HandCard
from app.window.page.brush import Brush
from app.window.theme import LIGHT, Theme

LOW, HIGH = 48, 77
SCALE = 1.7
"""Pixels of the window in a point of the picture."""
PAD, GAP, FOOT = 12.0, 10.0, 26.0


class HandCards(QWidget):
    """As tall as its rows of cards at the width it is given."""

    chosen = Signal(int)  # a card was taken in hand
    lock_wished = Signal()
    chord_wished = Signal(int)  # the next chord (1) or the one before (-1)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._cards: tuple[HandCard, ...] = ()
        self._pictures: list[tuple[tuple[Item, ...], float, float]] = []
        self._open_notes: tuple[int, ...] = ()
        self.at, self.locked = 0, False
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setMinimumHeight(150)
        self.setAccessibleName("Voicings of this chord")

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        self._draw()

    def set_cards(self, cards: tuple[HandCard, ...], open_notes: tuple[int, ...], locked: bool) -> None:
        """Show other voicings, the first in hand."""
        self._cards, self._open_notes, self.at, self.locked = cards, open_notes, 0, locked
        self._draw()

    @property
    def card(self) -> HandCard | None:
        """The voicing in hand."""
        return self._cards[self.at] if self.at < len(self._cards) else None

    def take(self, index: int) -> None:
        """Take a card in hand and say so."""
        if 0 <= index < len(self._cards):
            self.at = index
            self._describe()
            self.update()
            self.chosen.emit(index)

    # --- the pictures ----------------------------------------------------------------------------------------------

    def _draw(self) -> None:
        notes = [note for card in self._cards for note in card.notes]
        white = white_keys(
            min([LOW, *(note - note % 12 for note in notes)]), max([HIGH, *(note + 1 for note in notes)])
        )
        self._pictures = []
        for card in self._cards:
            if card.frets:
                board = Board(card.frets, card.fingers, self._open_notes, 0, card.upper)
                items, tall = fretboard(board, card.tones, 0.0, 0.0)
                wide = board_width(len(card.frets))
            else:
                items, tall = keyboard(card.tones, white, 0.0, 0.0, card.upper)
                wide = len(white) * KEY_WIDE
            inked = tuple(_inked(item, self._theme, bool(card.frets)) for item in items)
            self._pictures.append((inked, wide * SCALE, tall * SCALE))
        self._describe()
        self._lay_out()
        self.update()

    def _describe(self) -> None:
        card = self.card
        if card is None:
            self.setAccessibleDescription("none")
            return
        degrees = " ".join(tone.label for tone in card.tones)
        kept = ", locked" if self.locked and self.at == 0 else ""
        self.setAccessibleDescription(f"{self.at + 1} of {len(self._cards)}: {card.text}, degrees {degrees}{kept}")

    def _cell(self) -> tuple[float, float, int]:
        """Width and height of a card, and how many stand side by side."""
        wide = max((wide for _, wide, _ in self._pictures), default=120.0) + 2 * PAD
        tall = max((tall for _, _, tall in self._pictures), default=90.0) + 2 * PAD + FOOT - 6.0
        return wide, tall, max(1, int((self.width() + GAP) // (wide + GAP)))

    def _lay_out(self) -> None:
        _, tall, across = self._cell()
        rows = max(1, -(-len(self._pictures) // across))
        self.setFixedHeight(max(150, round(rows * (tall + GAP) - GAP) + 2))

    def sizeHint(self) -> QSize:
        return QSize(640, self.minimumHeight())

    def resizeEvent(self, event: object) -> None:
        self._lay_out()

    def area(self, index: int) -> QRectF:
        """Where a card stands."""
        wide, tall, across = self._cell()
        return QRectF(index % across * (wide + GAP) + 1, index // across * (tall + GAP) + 1, wide, tall)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        brush = Brush(painter, self._theme)
        for index, (items, wide, tall) in enumerate(self._pictures):
            area = self.area(index)
            self._frame(brush, area, index)
            painter.save()
            painter.translate(area.left() + (area.width() - wide) / 2, area.top() + PAD)
            paint_page(painter, Page(wide, tall, items), SCALE)
            painter.restore()
            words = self._cards[index].text + ("  ·  locked" if index == 0 and self.locked else "")
            brush.text(area.left() + PAD, area.bottom() - 9.0, words, "second" if index == self.at else "label", "sans",
                       12.5)  # fmt: skip
        painter.end()

    def _frame(self, brush: Brush, area: QRectF, index: int) -> None:
        held = index == self.at
        painter = brush.painter
        painter.setBrush(brush.colour("card_chosen" if held else "card"))
        painter.setPen(
            brush.pen("second" if held else "edge", 2.0 if held and self.hasFocus() else 1.2 if held else 1.0)
        )
        painter.drawRoundedRect(area, 5.0, 5.0)

    # --- keys and mouse --------------------------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        place = QPointF(event.position())
        for index in range(len(self._cards)):
            if self.area(index).contains(place):
                self.take(index)
                return

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if self.card is not None and self.area(self.at).contains(event.position()):
            self.lock_wished.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        if key in (Qt.Key.Key_Left, Qt.Key.Key_Right) and self._cards:
            self.take((self.at + (1 if key == Qt.Key.Key_Right else -1)) % len(self._cards))
        elif key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.chord_wished.emit(1 if key == Qt.Key.Key_Down else -1)
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_L):
            self.lock_wished.emit()
        elif key == Qt.Key.Key_Space and self._cards:
            self.take(self.at)
        else:
            super().keyPressEvent(event)


def _inked(item: Item, theme: Theme, board: bool) -> Item:
    """A thing of the picture in the theme's inks; a keyboard stays black and white."""
    inks = {drawing.INK: theme.ink, drawing.LABEL: theme.label, drawing.SECOND: theme.second, drawing.HAIR: theme.hair,
            drawing.PAPER: theme.card}  # fmt: skip
    keys = {drawing.INK: theme.key_black, drawing.LABEL: theme.edge, drawing.SECOND: LIGHT.second,
            drawing.PAPER: theme.key_white}  # fmt: skip
    if isinstance(item, Frame):
        table = inks if board else keys
        return item._replace(ink=table.get(item.ink, item.ink), ground=table.get(item.ground, item.ground))
    assert not isinstance(item, Sign | Shape)
    if isinstance(item, Words):
        return item._replace(ink=inks.get(item.ink, item.ink))
    return item._replace(ink=inks.get(item.ink, item.ink))
