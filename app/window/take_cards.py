"""Takes as cards side by side: what each is made of, and its tension, its cost and its density over the form."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPixmap, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QWidget

from app.chorus.view import TakeView
from app.window.fonts import advance, elided
from app.window.page.brush import Brush
from app.window.take_lanes import EDGE, LABELS, TENSION, Lanes
from app.window.takes_model import (
    TakeLine,
    bar_words,
    changed_words,
    dearest_bar,
    signed,
    spoken_line,
    take_words,
    technique_words,
)
from app.window.theme import Theme

HEIGHT, LEAST_WIDTH, MOST_WIDTH, GAP = 190, 212, 640, 10
SMALL = 12.5


class TakeCard(QWidget):
    """One take; emits what is pointed at and that it was pressed."""

    pressed = Signal()
    said = Signal(str)

    def __init__(self, theme: Theme, line: TakeLine, scale: tuple[int, int]) -> None:
        super().__init__()
        self.theme, self.line, self.scale = theme, line, scale
        self.chosen = self.in_hand = False
        self.setFixedHeight(HEIGHT)
        self.setMouseTracking(True)
        self._still: tuple[tuple[object, ...], QPixmap] | None = None
        self.show_line(line, scale)

    def show_line(self, line: TakeLine, scale: tuple[int, int]) -> None:
        """Show a take; the picture of the one that is there already is kept."""
        if self._still is not None and line.view is not self.line.view:
            self._still = None
        self.line, self.scale = line, scale
        self.setAccessibleName(spoken_line(line))
        self.setToolTip(technique_words(line.view))  # there may be no room for all of them
        self.update()

    # --- painting ----------------------------------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        brush = Brush(painter, self.theme)
        frame = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        edge = "second" if self.chosen else "edge"
        brush.outline(frame, 6, edge, 2.0 if self.in_hand else 1.2, "card_chosen" if self.chosen else "card")
        self._paint_words(brush)
        if self.line.view is not None:
            picture = self._lanes_picture()
            if picture is not None:
                painter.drawPixmap(0, 0, picture)
        painter.end()

    def _paint_words(self, brush: Brush) -> None:
        view, wide = self.line.view, self.width() - 2 * EDGE
        cost = f"cost {signed(view.cost)}" if view is not None and view.cost is not None else ""
        room = wide - (advance(cost, "sans", 13.5) + 10 if cost else 0)
        ink = "second" if self.chosen else "ink"
        brush.text(EDGE, 25, elided(self.line.name, room, "serif", 17, "strong"), ink, "serif", 17, "strong")
        brush.text(self.width() - EDGE - advance(cost, "sans", 13.5), 24, cost, "label", "sans", 13.5)
        brush.text(EDGE, 44, elided(changed_words(self.line), wide, "sans", 13.5), "label", "sans", 13.5)
        for place, words in enumerate(two_lines(technique_words(view), wide)):
            brush.text(EDGE, 62 + 16 * place, words, "label", "sans", SMALL, "regular", True)

    def _lanes_picture(self) -> QPixmap | None:
        """The lanes as they were painted last; where they are outdated, they are painted in a turn of their own."""
        known = (self.size(), self.devicePixelRatioF(), self.theme.name, self.scale)
        if self._still is None or self._still[0] != known:
            QTimer.singleShot(0, self, self._paint_lanes)
        return self._still[1] if self._still is not None and self._still[0][0] == self.size() else None

    def _paint_lanes(self) -> None:
        known = (self.size(), self.devicePixelRatioF(), self.theme.name, self.scale)
        if self.line.view is None or (self._still is not None and self._still[0] == known):
            return
        picture = QPixmap(self.size() * known[1])
        picture.setDevicePixelRatio(known[1])
        picture.fill(Qt.GlobalColor.transparent)
        painter = QPainter(picture)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._lanes(self.line.view).paint(Brush(painter, self.theme))
        painter.end()
        self._still = known, picture
        self.update()

    def _lanes(self, view: TakeView) -> Lanes:
        return Lanes(self.line.chart.form_of(self.line.take), view, self.scale, self.width())

    # --- hands -------------------------------------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.pressed.emit()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        at, view = event.position(), self.line.view
        if at.y() < TENSION[0]:
            self.said.emit(take_words(self.line))
        elif view is not None and at.x() >= LABELS and not self.line.is_foreign:
            self.said.emit(bar_words(self.line, self._lanes(view).bar_at(at.x())))


def two_lines(words: str, room: float) -> tuple[str, ...]:
    """Words on one line or two, the second cut with dots."""
    if advance(words, "sans", SMALL, "regular", True) <= room:
        return (words,)
    kept = words.split(" ")
    count = len(kept)
    while count > 1 and advance(" ".join(kept[:count]), "sans", SMALL, "regular", True) > room:
        count -= 1
    return " ".join(kept[:count]), elided(" ".join(kept[count:]), room, "sans", SMALL, "regular", True)


class CardRow(QScrollArea):
    """The cards; one is chosen, by a click or by the arrows."""

    chosen = Signal(int)
    said = Signal(str)
    accepted = Signal()  # Enter on the one that is chosen

    def __init__(self, theme: Theme, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self.cards: list[TakeCard] = []
        self._chosen, self._expected = 0, 1
        self.setWidgetResizable(True)
        self.setFrameShape(QScrollArea.Shape.NoFrame)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFixedHeight(HEIGHT + 14)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(name)
        self._body = QWidget()
        self._body.setObjectName("panel")
        self._layout = QHBoxLayout(self._body)
        self._layout.setContentsMargins(0, 0, 0, 0)
        self._layout.setSpacing(GAP)
        self._layout.addStretch(1)
        self.setWidget(self._body)

    def sizeHint(self) -> QSize:
        return QSize(700, HEIGHT + 14)

    @property
    def index(self) -> int:
        """Which card is chosen."""
        return self._chosen

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        for card in self.cards:
            card.theme = theme
            card.update()

    def expect(self, count: int) -> None:
        """How many takes there will be: each has its width from the beginning, so that none moves when more come."""
        self._expected = count
        self._set_widths()

    def _set_widths(self) -> None:
        count = max(1, self._expected, len(self.cards))
        wide = (self.viewport().width() - GAP * (count - 1)) // count
        for card in self.cards:
            card.setFixedWidth(max(LEAST_WIDTH, min(MOST_WIDTH, wide)))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._set_widths()

    def set_lines(self, lines: tuple[TakeLine, ...], scale: tuple[int, int]) -> None:
        """Show takes; ``scale`` is the dearest bar and the most chords in a bar of all of them."""
        while len(self.cards) > len(lines):
            card = self.cards.pop()
            card.hide()
            self._layout.removeWidget(card)
            card.deleteLater()
        for place, line in enumerate(lines):
            if place < len(self.cards):
                self.cards[place].show_line(line, scale)
                continue
            card = TakeCard(self._theme, line, scale)
            card.pressed.connect(self._chooser(place))
            card.said.connect(self.said)
            self._layout.insertWidget(place, card)
            self.cards.append(card)
        self._set_widths()
        self._show_chosen(min(self._chosen, max(0, len(lines) - 1)))

    def _chooser(self, place: int) -> Callable[[], None]:
        return lambda: self.choose(place)

    def choose(self, place: int) -> None:
        """Put a take in hand."""
        if self.cards:
            place = max(0, min(len(self.cards) - 1, place))
            changed = place != self._chosen
            self._show_chosen(place)
            if changed:
                self.chosen.emit(place)

    def _show_chosen(self, place: int) -> None:
        self._chosen = place
        for index, card in enumerate(self.cards):
            card.chosen, card.in_hand = index == place, index == place and self.hasFocus()
            card.update()
        if self.cards:
            self.setAccessibleDescription(self.cards[place].accessibleName())
            self.ensureWidgetVisible(self.cards[place], 12, 0)

    # --- hands -------------------------------------------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1, Qt.Key.Key_Home: -99, Qt.Key.Key_End: 99}.get(
            Qt.Key(event.key())
        )
        if step is not None:
            self.choose(self._chosen + step)
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.accepted.emit()
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self._show_chosen(self._chosen)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self._show_chosen(self._chosen)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self.viewport().update()


def scale_of(lines: tuple[TakeLine, ...]) -> tuple[int, int]:
    """The dearest bar and the most chords in a bar, so that pictures side by side have one measure."""
    counts = [max(line.view.density, default=0) for line in lines if line.view]
    return dearest_bar(lines), max([2, *counts])
