"""Rows under one another, bar by bar like the parts of a score, with what every bar costs as a stroke under it.

A row in a line of bars is painted once and kept as a picture; those that are not painted yet are painted a few at a
time, so that the window is never held up, and only what is seen is painted at all: a thousand bars are as quick as
thirty-two.
"""

from __future__ import annotations

import time

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPixmap, QResizeEvent
from PySide6.QtWidgets import QAbstractScrollArea, QWidget

from app.window.fonts import elided
from app.window.page.brush import Brush
from app.window.row_painter import GAP, LINE, MARGIN, TOP, Measures, name_width, paint_head, paint_row, system_height
from app.window.takes_model import Stretch, TakeLine, bar_words, dearest_bar, spoken_bar, stretches
from app.window.theme import Theme
from core.form import Form

LEAST_BAR, LEAST_LABELS, MOST_LABELS = 66.0, 96.0, 180.0
MOST_PICTURES, HOLD_MILLISECONDS, PAINT_SECONDS = 120, 45, 0.004
Hand = tuple[int, int]  # index of the line, index of the bar


class RowsView(QAbstractScrollArea):
    """Shows lines; emits what is pointed at and which bars and which line are chosen."""

    said = Signal(str)  # about the bar in hand
    bar_chosen = Signal(int, bool)  # bar index, whether the selection is extended
    line_chosen = Signal(int)
    accepted = Signal()  # Enter

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._lines: tuple[TakeLine, ...] = ()
        self._form: Form | None = None
        self._systems: tuple[Stretch, ...] = ()
        self._hand: Hand = (0, 0)
        self._selected = (0, 0)
        self._playhead: float | None = None
        self._measures = Measures(LEAST_LABELS, LEAST_BAR, 1)
        self._pictures: dict[tuple[int, int], QPixmap] = {}
        self._held = self._waits = False
        self._until = 0.0
        self.setFrameShape(QAbstractScrollArea.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName("Rows bar by bar")
        self.viewport().setMouseTracking(True)
        self.verticalScrollBar().setSingleStep(24)

    # --- state -------------------------------------------------------------------------------------------------------

    @property
    def hand(self) -> Hand:
        """The line and the bar in hand, as indexes."""
        return self._hand

    @property
    def selected(self) -> tuple[int, int]:
        """The first and the last selected bar, as indexes."""
        return self._selected

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme, self._pictures = theme, {}
        self.viewport().update()

    def set_lines(self, form: Form, lines: tuple[TakeLine, ...]) -> None:
        """Show rows over a form."""
        self._form, self._lines = form, lines
        line, bar = self._hand
        self._hand = min(line, max(0, len(lines) - 1)), min(bar, len(form.bars) - 1)
        self._selected = min(self._selected[0], len(form.bars) - 1), min(self._selected[1], len(form.bars) - 1)
        self._held = True  # whoever shows new rows shows cards with them: those are painted first
        self._lay_out()
        self._tell()

    def _release(self) -> None:
        self._held = False
        self.viewport().update()

    def set_selected(self, first: int, last: int) -> None:
        """Mark bars; a single new one comes into sight."""
        if self._form is not None and (first, last) != self._selected:
            self._selected = first, min(last, len(self._form.bars) - 1)
            if not first <= self._hand[1] <= last:
                self._hold((self._hand[0], first), show=True)
        self.viewport().update()

    def set_line(self, line: int) -> None:
        """Put a line in hand."""
        if line != self._hand[0]:
            self._hold((line, self._hand[1]), show=False)

    def set_playhead(self, onset: float | None) -> None:
        """Show what sounds, in quarter notes, or nothing."""
        if onset is not None and (self._form is None or not 0 <= onset < float(self._form.length)):
            onset = None
        if onset != self._playhead:
            self._playhead = onset
            self.viewport().update()

    # --- places ------------------------------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        if self._form is None:
            return
        labels = max(LEAST_LABELS, min(MOST_LABELS, name_width(self._lines)))
        room = self.viewport().width() - labels - MARGIN
        most = next((bars for bars in (16, 8, 4) if room / bars >= LEAST_BAR * (1.35 if bars > 8 else 1)), 4)
        self._systems = stretches(self._form, most)
        widest = max((system.last - system.first for system in self._systems), default=most)
        self._measures = Measures(labels, room / max(4, min(most, widest)), dearest_bar(self._lines))
        self._pictures = {}
        tall = round(len(self._systems) * self._system_height() + GAP) - self.viewport().height()
        self.verticalScrollBar().setRange(0, max(0, tall))
        self.verticalScrollBar().setPageStep(self.viewport().height())
        self.viewport().update()

    def _system_height(self) -> float:
        return system_height(len(self._lines))

    def _top(self, system: int) -> float:
        return system * self._system_height() - self.verticalScrollBar().value()

    def _system_of(self, bar: int) -> int:
        return next((place for place, one in enumerate(self._systems) if bar < one.last), 0)

    def bar_rect(self, line: int, bar: int) -> QRectF:
        """Where a bar of a line stands in the viewport."""
        system = self._system_of(bar)
        x = self._measures.x(self._systems[system], bar)
        return QRectF(x, self._top(system) + TOP + line * LINE, self._measures.bar, LINE)

    def _hand_at(self, point: QPointF) -> Hand | None:
        place = int((point.y() + self.verticalScrollBar().value()) // self._system_height())
        if not 0 <= place < len(self._systems) or not self._lines:
            return None
        bar = self._systems[place].first + int((point.x() - self._measures.labels) // self._measures.bar)
        line = int((point.y() - self._top(place) - TOP) // LINE)
        if not self._systems[place].first <= bar < self._systems[place].last:
            return None
        return max(0, min(len(self._lines) - 1, line)), bar

    def _hold(self, hand: Hand, *, show: bool) -> None:
        line, self._hand = self._hand[0], hand
        if show:
            self._show_hand()
        self._tell()
        if hand[0] != line:
            self.line_chosen.emit(hand[0])
        self.viewport().update()

    def _tell(self) -> None:
        line, bar = self._hand
        if line < len(self._lines):
            words = spoken_bar(self._lines[line], bar)
            if words != self.accessibleDescription():
                self.setAccessibleDescription(words)
            self.said.emit(bar_words(self._lines[line], bar))

    def _show_hand(self) -> None:
        if not self._systems:
            return
        rect, scroll = self.bar_rect(*self._hand), self.verticalScrollBar()
        if rect.top() - TOP < 0:
            scroll.setValue(round(scroll.value() + rect.top() - TOP))
        elif rect.bottom() > self.viewport().height():
            scroll.setValue(round(scroll.value() + rect.bottom() + GAP - self.viewport().height()))

    # --- painting ----------------------------------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        self._until = time.perf_counter() + PAINT_SECONDS
        if self._held:
            QTimer.singleShot(HOLD_MILLISECONDS, self, self._release)
        painter = QPainter(self.viewport())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        brush, area = Brush(painter, self._theme), QRectF(self.viewport().rect())
        painter.fillRect(area, brush.colour("page"))
        if self._form is not None and self._lines:
            tall = self._system_height()
            first = max(0, int(self.verticalScrollBar().value() // tall))
            for place in range(first, min(len(self._systems), first + int(area.height() // tall) + 2)):
                self._paint_system(brush, self._form, place)
        brush.outline(area.adjusted(0.5, 0.5, -0.5, -0.5), 0, "edge")
        painter.end()

    def _picture(self, place: int, line: int, form: Form) -> QPixmap | None:
        """The still picture of a row (−1 is the head) in a line of bars; None where there is no time for it now."""
        known = self._pictures.get((place, line))
        if known is not None or self._held:
            return known
        if time.perf_counter() > self._until:
            if not self._waits:
                self._waits = True
                QTimer.singleShot(0, self, self._go_on)
            return None
        tall = self._system_height() if line < 0 else LINE
        ratio = self.devicePixelRatioF()
        picture = QPixmap(QSize(self.viewport().width(), round(tall)) * ratio)
        picture.setDevicePixelRatio(ratio)
        picture.fill(Qt.GlobalColor.transparent)
        painter = QPainter(picture)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        brush, system = Brush(painter, self._theme), self._systems[place]
        if line < 0:
            paint_head(brush, form, len(self._lines), system, self._measures)
        else:
            paint_row(brush, self._lines[line], system, self._measures)
        painter.end()
        if len(self._pictures) >= MOST_PICTURES:
            self._pictures.pop(next(iter(self._pictures)))
        self._pictures[place, line] = picture
        return picture

    def _go_on(self) -> None:
        self._waits = False
        self.viewport().update()

    def _paint_system(self, brush: Brush, form: Form, place: int) -> None:
        system, top = self._systems[place], self._top(place)
        foot = top + TOP + len(self._lines) * LINE
        self._paint_selection(brush, system, top, foot)
        for line in range(-1, len(self._lines)):
            at = top if line < 0 else top + TOP + line * LINE
            picture = self._picture(place, line, form)
            if picture is not None:
                brush.painter.drawPixmap(QPointF(0, at), picture)
            if line >= 0:
                self._paint_name(brush, line, at)
        self._paint_hand(brush, system)
        self._paint_playhead(brush, system, top, foot)

    def _paint_selection(self, brush: Brush, system: Stretch, top: float, foot: float) -> None:
        first, last = max(self._selected[0], system.first), min(self._selected[1] + 1, system.last)
        if first < last:
            x = self._measures.x(system, first)
            brush.patch(QRectF(x, top + 5, (last - first) * self._measures.bar, foot - top - 3), 4, "second_wash")

    def _paint_name(self, brush: Brush, place: int, top: float) -> None:
        ink, weight = ("second", "strong") if place == self._hand[0] else ("label", "regular")
        name = elided(self._lines[place].name, self._measures.labels - 2 * MARGIN, "sans", 13.5, weight)
        brush.text(MARGIN, top + 20, name, ink, "sans", 13.5, weight)

    def _paint_hand(self, brush: Brush, system: Stretch) -> None:
        if system.first <= self._hand[1] < system.last:
            rect = self.bar_rect(*self._hand).adjusted(2, 1, -2, -1)
            brush.outline(rect, 4, "second" if self.hasFocus() else "hair", 1.5)

    def _paint_playhead(self, brush: Brush, system: Stretch, top: float, foot: float) -> None:
        if self._playhead is None or self._form is None:
            return
        bars = self._form.bars
        if float(bars[system.first].start) <= self._playhead < float(bars[system.last - 1].end):
            at = next(bar for bar in bars[system.first : system.last] if self._playhead < float(bar.end))
            share = (self._playhead - float(at.start)) / float(at.length)
            x = self._measures.x(system, at.index) + share * self._measures.bar
            brush.line(x, top + 6, x, foot, "playhead", 1.8)

    # --- hands -------------------------------------------------------------------------------------------------------

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._lay_out()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.viewport().update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.viewport().update()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        hand = self._hand_at(event.position())
        if hand is None:
            return
        if event.buttons() & Qt.MouseButton.LeftButton:
            self._hold(hand, show=False)
            self.bar_chosen.emit(hand[1], True)
        else:
            self.said.emit(bar_words(self._lines[hand[0]], hand[1]))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        hand = self._hand_at(event.position())
        if hand is not None:
            self._hold(hand, show=False)
            self.bar_chosen.emit(hand[1], bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier))

    def leaveEvent(self, event: object) -> None:
        self._tell()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if self._form is None or not self._lines:
            super().keyPressEvent(event)
            return
        line, bar = self._hand
        across = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1, Qt.Key.Key_Home: -len(self._form.bars),
                  Qt.Key.Key_End: len(self._form.bars), Qt.Key.Key_PageUp: -self._per_line(),
                  Qt.Key.Key_PageDown: self._per_line()}.get(Qt.Key(event.key()))  # fmt: skip
        down = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}.get(Qt.Key(event.key()))
        if across is not None:
            bar = max(0, min(len(self._form.bars) - 1, bar + across))
            self._hold((line, bar), show=True)
            self.bar_chosen.emit(bar, bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier))
        elif down is not None:
            self._hold((max(0, min(len(self._lines) - 1, line + down)), bar), show=True)
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.accepted.emit()
        else:
            super().keyPressEvent(event)

    def _per_line(self) -> int:
        return self._systems[0].last - self._systems[0].first if self._systems else 1
