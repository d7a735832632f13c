"""The proposals as a list model, and the delegate that paints each as a card."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPen
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem

from app.window.fonts import advance, font, metrics
from app.window.page.brush import Brush
from app.window.page.chord_painter import chord_width, draw_chord
from app.window.proposal_view import Card
from app.window.theme import Theme

Index = QModelIndex | QPersistentModelIndex
CARD_ROLE = Qt.ItemDataRole.UserRole
PAD, GAP = 14.0, 8
CHORD_SIZE, WHY_SIZE, CHECK_SIZE = 25.0, 14, 12
REFUSED_SIZE, HEADING_SIZE = 18.0, 13
NOTE_SIZE, NOTE_INDENT = 13.5, 9.0
REFUSED_MARK = "✕ refused  "


class ProposalModel(QAbstractListModel):
    """Cards in order: what is proposed, then (when opened) what is refused."""

    def __init__(self) -> None:
        super().__init__()
        self._cards: tuple[Card, ...] = ()

    def set_cards(self, cards: tuple[Card, ...]) -> None:
        """Show other cards."""
        self.beginResetModel()
        self._cards = cards
        self.endResetModel()

    def card(self, row: int) -> Card | None:
        """The card of a row, or None."""
        return self._cards[row] if 0 <= row < len(self._cards) else None

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 (Qt's own default)
        return 0 if parent.isValid() else len(self._cards)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        card = self.card(index.row())
        if card is None:
            return None
        if role == CARD_ROLE:
            return card
        if role in (Qt.ItemDataRole.AccessibleTextRole, Qt.ItemDataRole.DisplayRole):
            return card.spoken
        if role == Qt.ItemDataRole.ToolTipRole and card.checks:
            return "\n".join(f"{line.mark} {line.word}: {line.verdict}. {line.text}" for line in card.checks)
        return None


class CardDelegate(QStyledItemDelegate):
    """Paints a card: chords large in the second ink, the technique, one sentence, three checks."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.theme = theme

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        card = index.data(CARD_ROLE)
        # As if the scroll bar were there: it appears after the heights are asked for, and narrows the cards.
        bar = option.widget.verticalScrollBar().sizeHint().width() if option.widget else 0  # type: ignore[attr-defined]
        width = (option.widget.width() if option.widget else option.rect.width()) - bar - 4
        return QSize(width, round(card_height(card, width)) + GAP)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        card = index.data(CARD_ROLE)
        area = QRectF(option.rect).adjusted(1, 1, -1, -1 - GAP)
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        brush = Brush(painter, self.theme)
        self._paint_ground(brush, area, chosen, card.refused)
        y = self._paint_head(brush, area, card)
        y = self._paint_why(brush, area, y, card)
        y = self._paint_note(brush, area, y, card)
        self._paint_checks(brush, area, y, card)
        painter.restore()

    def _paint_ground(self, brush: Brush, area: QRectF, chosen: bool, refused: bool) -> None:
        pen = QPen(brush.pen("second" if chosen else "edge", 1.6 if chosen else 1.0))
        if refused and not chosen:
            pen.setStyle(Qt.PenStyle.DashLine)
        brush.painter.setPen(pen)
        brush.painter.setBrush(brush.colour("card_chosen" if chosen else "desk" if refused else "card"))
        brush.painter.drawRoundedRect(area, 6, 6)

    def _paint_head(self, brush: Brush, area: QRectF, card: Card) -> float:
        size, ink = (REFUSED_SIZE, "label") if card.refused else (CHORD_SIZE, "second")
        size, gap, title_below = head_layout(card, area.width(), size)
        baseline = area.top() + 12 + size * 0.78
        x = area.left() + PAD
        for parts in card.chords:
            x += draw_chord(brush, x, baseline, parts, size, ink, "regular" if card.refused else "strong") + gap
        wide = heading_width(card)
        y = baseline + (19 if title_below else 0)
        x = area.left() + PAD if title_below else area.right() - PAD - wide
        if card.refused:
            x += brush.text(x, y, REFUSED_MARK, "clash", "sans", 12, "strong")
        brush.text(x, y, card.heading, "label", "sans", HEADING_SIZE, italic=True)
        return y + 9

    def _paint_why(self, brush: Brush, area: QRectF, y: float, card: Card) -> float:
        height = why_height(card, area.width())
        brush.painter.setPen(brush.colour("ink"))
        brush.painter.setFont(font("sans", WHY_SIZE))
        place = QRectF(area.left() + PAD, y, area.width() - 2 * PAD, height + 4)
        brush.painter.drawText(place, Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft, card.why)
        return y + height + 8

    def _paint_note(self, brush: Brush, area: QRectF, y: float, card: Card) -> float:
        if not card.note:
            return y
        height = note_height(card, area.width())
        brush.patch(QRectF(area.left() + PAD, y - 2, 2.0, height + 2), 1.0, "second")
        brush.painter.setPen(brush.colour("second"))
        brush.painter.setFont(font("sans", NOTE_SIZE, italic=True))
        place = QRectF(area.left() + PAD + NOTE_INDENT, y - 3, area.width() - 2 * PAD - NOTE_INDENT, height + 4)
        brush.painter.drawText(place, Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft, card.note)
        return y + height + 8

    def _paint_checks(self, brush: Brush, area: QRectF, y: float, card: Card) -> None:
        room = (area.width() - 2 * PAD + 8) / max(1, len(card.checks))
        for place, line in enumerate(card.checks):
            x = area.left() + PAD + place * room
            step = brush.text(x, y + 12, line.mark + " ", line.verdict, "sans", CHECK_SIZE, "strong")
            step += brush.text(x + step, y + 12, line.word + " ", "label", "sans", CHECK_SIZE)
            if line.verdict != "good":
                brush.text(x + step, y + 12, line.verdict, line.verdict, "sans", CHECK_SIZE, "strong")
            else:
                brush.text(x + step, y + 12, "good", "good", "sans", CHECK_SIZE)
            said = metrics("sans", CHECK_SIZE).elidedText(line.text, Qt.TextElideMode.ElideRight, room - 10)
            brush.text(x, y + 28, said, "ink", "sans", CHECK_SIZE)
        if card.checks:
            brush.painter.setPen(QPen(Qt.PenStyle.NoPen))


def head_layout(card: Card, width: float, size: float) -> tuple[float, float, bool]:
    """Size and gap of the chords, and whether the title stands below them."""
    room = width - 2 * PAD
    weight = "regular" if card.refused else "strong"
    gap = size * 0.62

    def wide(at: float) -> float:
        return sum(chord_width(parts, at, weight) for parts in card.chords) + gap * (len(card.chords) - 1)

    if wide(size) + 14 + heading_width(card) <= room:
        return size, gap, False
    if wide(size) > room:
        size = max(13.0, size * room / wide(size))
        gap = size * 0.62
    return size, gap, True


def heading_width(card: Card) -> float:
    """Pixels of the heading, with its mark where the card is refused."""
    mark = advance(REFUSED_MARK, "sans", 12, "strong") if card.refused else 0.0
    return mark + advance(card.heading, "sans", HEADING_SIZE, italic=True)


def why_height(card: Card, width: float) -> float:
    """Pixels of the wrapped sentence."""
    area = QRectF(0, 0, width - 2 * PAD, 4000)
    return metrics("sans", WHY_SIZE).boundingRect(area, int(Qt.TextFlag.TextWordWrap), card.why).height()


def note_height(card: Card, width: float) -> float:
    """Pixels of the user's own words, wrapped."""
    area = QRectF(0, 0, width - 2 * PAD - NOTE_INDENT, 4000)
    words = metrics("sans", NOTE_SIZE, italic=True)
    return words.boundingRect(area, int(Qt.TextFlag.TextWordWrap), card.note).height()


def card_height(card: Card, width: float) -> float:
    """Pixels of a card."""
    start = REFUSED_SIZE if card.refused else CHORD_SIZE
    size, _, below = head_layout(card, width - 2, start)
    head = 12 + size * 0.78 + (19 if below else 0) + 9
    note = note_height(card, width - 2) + 8 if card.note else 0
    return head + why_height(card, width - 2) + 8 + note + (38 if card.checks else 4) + 4
