"""Takes as cards side by side: what each is made of, and its tension, its cost and its density over the form."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPainterPath, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QSizePolicy, QWidget

from app.window.curve import area_under, smooth_line
from app.window.fonts import advance, elided
from app.window.page.brush import Brush
from app.window.takes_model import TakeLine, bar_cost, bar_words, changed_words, signed, spoken_line, technique_words
from app.window.theme import Theme
from core.form import Form

HEIGHT, LEAST_WIDTH, MOST_WIDTH = 190, 212, 640
EDGE, LABELS = 12.0, 62.0
TENSION, COST, DENSITY, CHANGED = (88.0, 120.0), (126.0, 154.0), (158.0, 172.0), 180.0
SMALL = 12.5


class TakeCard(QWidget):
    """One take; emits what is pointed at and that it was pressed."""

    pressed = Signal()
    said = Signal(str)

    def __init__(self, theme: Theme, line: TakeLine, scale: tuple[int, int]) -> None:
        super().__init__()
        self.theme, self.line, self.scale = theme, line, scale
        self.chosen = self.in_hand = False
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setMinimumWidth(LEAST_WIDTH)
        self.setMaximumWidth(MOST_WIDTH)
        self.setFixedHeight(HEIGHT)
        self.setMouseTracking(True)
        self.setAccessibleName(spoken_line(line))
        self.setToolTip(technique_words(line.view))  # there may be no room for all of them

    @property
    def _form(self) -> Form:
        return self.line.chart.form_of(self.line.take)

    def _x(self, onset: float) -> float:
        return LABELS + onset / max(1.0, float(self._form.length)) * (self.width() - LABELS - EDGE)

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
            self._paint_sections(brush)
            self._paint_tension(brush)
            self._paint_cost(brush)
            self._paint_density(brush)
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

    def _paint_sections(self, brush: Brush) -> None:
        for section in self._form.sections:
            x = self._x(float(self._form.bars[section.first].start))
            brush.line(x, TENSION[0], x, CHANGED + 3, "hair", 0.8)
        x = self._x(float(self._form.length))
        brush.line(x, TENSION[0], x, CHANGED + 3, "hair", 0.8)
        for words, y in (("tension", TENSION[1] - 4), ("cost", (COST[0] + COST[1]) / 2 + 4), ("chords", DENSITY[1])):
            brush.text(EDGE, y, words, "label", "sans", 11.5)

    def _paint_tension(self, brush: Brush) -> None:
        view = self.line.view
        if view is None or not view.tension:
            return
        high, foot = TENSION
        points = [(self._x(onset), foot - value * (foot - high)) for onset, value in view.tension]
        points.append((self._x(float(self._form.length)), points[-1][1]))
        curve = smooth_line(points)
        wash = QColor(brush.colour("second"))
        wash.setAlpha(40)
        brush.painter.fillPath(area_under(curve, points[0][0], points[-1][0], foot), wash)
        brush.stroke(curve, "second", 1.3)
        brush.line(points[0][0], foot, points[-1][0], foot, "hair", 0.8)

    def _paint_cost(self, brush: Brush) -> None:
        """What a bar costs stands over the line, what it gains hangs under it, hollow."""
        view = self.line.view
        assert view is not None
        high, foot = COST
        zero = high + (foot - high) * 0.62
        brush.line(self._x(0), zero, self._x(float(self._form.length)), zero, "hair", 0.8)
        if view.cost is None:
            brush.text(LABELS + 4, zero - 4, "none: it has bars of its own", "label", "sans", 11.5)
        costs, gains = QPainterPath(), QPainterPath()
        for bar in self._form.bars if view.terms else ():
            cost = bar_cost(view, bar.index) or 0
            left, right = self._x(float(bar.start)), self._x(float(bar.end))
            wide = max(0.8, right - left - 1.6)
            tall = min(1.0, abs(cost) / self.scale[0]) * (zero - high if cost > 0 else foot - zero)
            if cost > 0:
                costs.addRect(left + 0.8, zero - tall, wide, tall)
            elif cost:
                gains.addRect(left + 1.2, zero + 0.5, max(0.4, wide - 0.8), max(1.0, tall))
        brush.fill(costs, "label")
        brush.stroke(gains, "second", 0.8)

    def _paint_density(self, brush: Brush) -> None:
        view = self.line.view
        assert view is not None
        high, foot = DENSITY
        chords, changed = QPainterPath(), QPainterPath()
        for bar, count in zip(self._form.bars, view.density, strict=True):
            left, right = self._x(float(bar.start)), self._x(float(bar.end))
            tall, wide = min(1.0, count / self.scale[1]) * (foot - high), max(0.8, right - left - 1.6)
            chords.addRect(left + 0.8, foot - tall, wide, tall)
            if bar.index in view.changed:
                changed.addRect(left + 0.8, CHANGED - 1.1, wide, 2.2)
        brush.fill(chords, "pale")
        brush.fill(changed, "second")

    # --- hands -------------------------------------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.pressed.emit()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        at = event.position()
        if self.line.view is not None and at.x() >= LABELS and at.y() >= TENSION[0] and not self.line.is_foreign:
            share = (at.x() - LABELS) / max(1.0, self.width() - LABELS - EDGE)
            bars = self._form.bars
            bar = next((bar.index for bar in bars if share * float(self._form.length) < float(bar.end)), len(bars) - 1)
            self.said.emit(bar_words(self.line, bar))


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
        self._chosen = 0
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
        self._layout.setSpacing(10)
        self._layout.addStretch(0)
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

    def set_lines(self, lines: tuple[TakeLine, ...], scale: tuple[int, int]) -> None:
        """Show takes; ``scale`` is the dearest bar and the most chords in a bar of all of them."""
        for card in self.cards:
            self._layout.removeWidget(card)
            card.deleteLater()
        self.cards = []
        for place, line in enumerate(lines):
            card = TakeCard(self._theme, line, scale)
            card.pressed.connect(self._chooser(place))
            card.said.connect(self.said)
            self._layout.insertWidget(place, card, 4)
            self.cards.append(card)
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
    costs = [abs(sum(terms)) for line in lines if line.view for terms in line.view.terms]
    counts = [count for line in lines if line.view for count in line.view.density]
    return max(1, max(costs, default=1)), max(2, max(counts, default=2))
