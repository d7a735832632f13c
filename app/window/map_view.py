"""The map of techniques, painted: rows are techniques under their families, columns are bars; labels stay in sight.

A full disc applies, a half disc applies with a caution, a struck ring is refused, a small cross beside a disc says that
one of several was refused; where there is no place there is nothing. The form says it, colour only helps.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QResizeEvent,
)
from PySide6.QtWidgets import QAbstractScrollArea, QWidget

from app.window.fonts import advance, elided
from app.window.map_model import MapMark, MapRow, Marks, no_place
from app.window.page.brush import Brush
from app.window.theme import Theme
from core.form import Form

ROW_HEIGHT, FAMILY_HEIGHT, HEAD = 24.0, 32.0, 46.0
LEAST_CELL, MOST_CELL = 21.0, 36.0
LABEL_SIZE, NUMBER_SIZE = 13.5, 11
LEAST_LABELS, MOST_LABELS = 180.0, 300.0
RADIUS = 5.6
Cell = tuple[int, int]  # index of the row, index of the bar
_MOVES = {
    Qt.Key.Key_Left: (0, -1), Qt.Key.Key_Right: (0, 1), Qt.Key.Key_Up: (-1, 0), Qt.Key.Key_Down: (1, 0),
    Qt.Key.Key_PageUp: (-8, 0), Qt.Key.Key_PageDown: (8, 0), Qt.Key.Key_Home: (0, -9999), Qt.Key.Key_End: (0, 9999),
}  # fmt: skip


class MapView(QAbstractScrollArea):
    """Shows marks; emits what is pointed at and what is chosen."""

    said = Signal(str)  # the sentence of the cell in hand
    chosen = Signal(str, int)  # technique and bar index, by a click or Enter

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._rows: tuple[MapRow, ...] = ()
        self._tops: list[float] = [0.0]
        self._form: Form | None = None
        self._marks: Marks = {}
        self._locked: frozenset[int] = frozenset()
        self._selected = (0, 0)
        self._cell: Cell = (0, 0)
        self._labels, self._cell_width = LEAST_LABELS, LEAST_CELL
        self.setFrameShape(QAbstractScrollArea.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Map of techniques")
        self.viewport().setMouseTracking(True)
        self.verticalScrollBar().setSingleStep(24)

    # --- state -----------------------------------------------------------------------------------------------

    @property
    def cell(self) -> tuple[str, int]:
        """The technique and bar index in hand."""
        row, bar = self._cell
        return (self._rows[row].technique if self._rows else ""), bar

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        self.viewport().update()

    def set_ground(self, rows: tuple[MapRow, ...], form: Form, locked: frozenset[int]) -> None:
        """Rows and bars; marks of another form go."""
        if self._form is None or len(form.bars) != len(self._form.bars):
            self._marks = {}
        self._rows, self._form, self._locked = rows, form, locked
        tops = [0.0]
        for row in rows:
            tops.append(tops[-1] + (ROW_HEIGHT if row.technique else FAMILY_HEIGHT))
        self._tops = tops
        held, bar = self._cell
        self._cell = (self._technique_row(min(held, len(rows) - 1), 1), min(bar, len(form.bars) - 1))
        self._lay_out()

    def set_marks(self, marks: Marks, first: int, last: int) -> None:
        """New marks of bars ``first`` to ``last`` (exclusive); those of other bars stay."""
        self._marks = {at: mark for at, mark in self._marks.items() if not first <= at[1] < last} | marks
        self._tell()
        self.viewport().update()

    def set_selected(self, first: int, last: int) -> None:
        """Show which bars are selected on the page."""
        self._selected = (first, last)
        self.viewport().update()

    def set_cell(self, technique: str, bar: int) -> None:
        """Put a cell in hand and in sight."""
        row = next((place for place, row in enumerate(self._rows) if row.technique == technique), self._cell[0])
        self._hold((row, bar), show=True)

    def mark_at(self, technique: str, bar: int) -> MapMark | None:
        """What stands in a cell."""
        return self._marks.get((technique, bar))

    def sentence(self) -> str:
        """What there is to say of the cell in hand."""
        if self._form is None or not self._rows:
            return ""
        row, bar = self._cell
        mark = self._marks.get((self._rows[row].technique, bar))
        return mark.words if mark else no_place(self._rows[row].title, self._form.bars[bar].number, bar in self._locked)

    # --- places ----------------------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        bars = len(self._form.bars) if self._form else 0
        widest = max((advance(row.title, "sans", LABEL_SIZE) for row in self._rows), default=0.0)
        room = self.viewport().width()
        self._labels = max(LEAST_LABELS, min(MOST_LABELS, widest + 54, room * 0.4))
        self._cell_width = max(LEAST_CELL, min(MOST_CELL, (room - self._labels - 8) / max(1, bars)))
        wide = round(self._labels + bars * self._cell_width + 8 - room)
        tall = round(HEAD + self._tops[-1] + 8 - self.viewport().height())
        for scroll, extra, page in ((self.horizontalScrollBar(), wide, room),
                                    (self.verticalScrollBar(), tall, self.viewport().height())):  # fmt: skip
            scroll.setRange(0, max(0, extra))
            scroll.setPageStep(page)
        self.viewport().update()

    def _x(self, bar: int) -> float:
        return self._labels + bar * self._cell_width - self.horizontalScrollBar().value()

    def _y(self, row: int) -> float:
        return HEAD + self._tops[row] - self.verticalScrollBar().value()

    def cell_rect(self, technique: str, bar: int) -> QRectF:
        """Where a cell stands in the viewport."""
        row = next(place for place, row in enumerate(self._rows) if row.technique == technique)
        return QRectF(self._x(bar), self._y(row), self._cell_width, ROW_HEIGHT)

    def _cell_at(self, point: QPointF) -> Cell | None:
        if self._form is None or point.x() < self._labels or point.y() < HEAD:
            return None
        bar = int((point.x() - self._x(0)) // self._cell_width)
        row = next((place for place in range(len(self._rows)) if point.y() < self._y(place + 1)), -1)
        if row < 0 or not self._rows[row].technique or bar >= len(self._form.bars):
            return None
        return row, bar

    def _technique_row(self, row: int, step: int) -> int:
        """The row itself or, where it is a heading, the next technique in a direction."""
        while 0 <= row < len(self._rows) and not self._rows[row].technique:
            row += step
        return row if 0 <= row < len(self._rows) else next(
            (place for place, item in enumerate(self._rows) if item.technique), 0)  # fmt: skip

    def _hold(self, cell: Cell, *, show: bool) -> None:
        self._cell = cell
        if show:
            self._show_cell()
        self._tell()
        self.viewport().update()

    def _tell(self) -> None:
        words = self.sentence()
        if words != self.accessibleDescription():
            self.setAccessibleDescription(words)
        self.said.emit(words)

    def _show_cell(self) -> None:
        row, bar = self._cell
        x, y = self._x(bar), self._y(row)
        across, down = self.horizontalScrollBar(), self.verticalScrollBar()
        if x < self._labels:
            across.setValue(round(across.value() - (self._labels - x)))
        elif x + self._cell_width > self.viewport().width():
            across.setValue(round(across.value() + x + self._cell_width - self.viewport().width() + 4))
        heading = FAMILY_HEIGHT if row and not self._rows[row - 1].technique else 0.0
        if y - heading < HEAD:
            down.setValue(round(down.value() - (HEAD - y + heading)))
        elif y + ROW_HEIGHT > self.viewport().height():
            down.setValue(round(down.value() + y + ROW_HEIGHT - self.viewport().height() + 4))

    # --- painting --------------------------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self.viewport())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        brush = Brush(painter, self._theme)
        area = QRectF(self.viewport().rect())
        painter.fillRect(area, brush.colour("page"))
        if self._form is not None and self._rows:
            painter.setClipRect(area.adjusted(self._labels, HEAD, 0, 0))
            self._paint_grid(brush)
            self._paint_marks(brush)
            painter.setClipRect(area.adjusted(0, HEAD, 0, 0))
            self._paint_labels(brush)
            painter.setClipRect(area.adjusted(self._labels, 0, 0, 0))
            self._paint_head(brush, self._form)
            painter.setClipping(False)
            brush.line(0, HEAD, area.width(), HEAD, "hair")
            brush.outline(area.adjusted(0.5, 0.5, -0.5, -0.5), 0, "edge")
            brush.line(self._labels, HEAD - 20, self._labels, min(area.height(), self._y(len(self._rows))), "hair")
        painter.end()

    def _visible_rows(self) -> range:
        low = next((place for place in range(len(self._rows)) if self._y(place + 1) > HEAD), 0)
        tall = self.viewport().height()
        high = next((place for place in range(low, len(self._rows)) if self._y(place) > tall), len(self._rows))
        return range(low, high)

    def _visible_bars(self) -> range:
        assert self._form is not None
        scrolled = self.horizontalScrollBar().value()
        low = int(scrolled // self._cell_width)
        high = int((scrolled + self.viewport().width() - self._labels) // self._cell_width) + 1
        return range(low, min(len(self._form.bars), high))

    def _paint_grid(self, brush: Brush) -> None:
        assert self._form is not None
        foot, first, last = self._y(len(self._rows)), *self._selected
        last = min(last, len(self._form.bars) - 1)
        brush.patch(QRectF(self._x(first), HEAD, self._x(last + 1) - self._x(first), foot - HEAD), 0, "second_wash")
        end = self._x(len(self._form.bars))
        for row in self._visible_rows():
            if self._rows[row].technique:
                brush.line(self._labels, self._y(row + 1), end, self._y(row + 1), "edge", 0.7)
        starts = {section.first for section in self._form.sections}
        for bar in self._visible_bars():
            if bar and bar in starts:
                brush.line(self._x(bar), HEAD, self._x(bar), foot, "hair", 1.0)

    def _paint_marks(self, brush: Brush) -> None:
        bars = self._visible_bars()
        for row in self._visible_rows():
            technique = self._rows[row].technique
            for bar in bars if technique else ():
                mark = self._marks.get((technique, bar))
                if mark is not None:
                    draw_mark(brush, self._x(bar) + self._cell_width / 2, self._y(row) + ROW_HEIGHT / 2, mark)
        row, bar = self._cell
        frame = QRectF(self._x(bar) + 1, self._y(row) + 1.5, self._cell_width - 2, ROW_HEIGHT - 3)
        brush.outline(frame, 4, "second" if self.hasFocus() else "label", 1.6)

    def _paint_labels(self, brush: Brush) -> None:
        brush.painter.fillRect(QRectF(0, HEAD, self._labels, self.viewport().height()), brush.colour("page"))
        counts: dict[str, int] = {}
        for (technique, _), mark in self._marks.items():
            counts[technique] = counts.get(technique, 0) + (mark.kind != "refused")
        for place in self._visible_rows():
            row, y = self._rows[place], self._y(place)
            if not row.technique:
                brush.text(14, y + 23, row.title, "ink", "serif", 15, "strong")
                continue
            held = place == self._cell[0]
            ink, weight = ("second", "strong") if held else ("ink", "regular")
            shown = elided(row.title, self._labels - 52, "sans", LABEL_SIZE, weight)
            brush.text(14, y + 16.5, shown, ink, "sans", LABEL_SIZE, weight)
            count = str(counts.get(row.technique, 0))
            if count != "0":
                brush.text(self._labels - 10 - advance(count, "sans", NUMBER_SIZE), y + 16.5, count, "label", "sans",
                           NUMBER_SIZE)  # fmt: skip

    def _paint_head(self, brush: Brush, form: Form) -> None:
        brush.painter.fillRect(QRectF(self._labels, 0, self.viewport().width(), HEAD), brush.colour("page"))
        names = {section.first: section.name for section in form.sections}
        every = 1 if self._cell_width >= advance("000", "sans", NUMBER_SIZE) + 3 else 2
        for bar in self._visible_bars():
            number, x = str(form.bars[bar].number), self._x(bar)
            held = bar == self._cell[1]
            if held or bar % every == 0:
                ink, weight = ("second", "strong") if held else ("label", "regular")
                wide = advance(number, "sans", NUMBER_SIZE, weight)
                brush.text(x + (self._cell_width - wide) / 2, HEAD - 7, number, ink, "sans", NUMBER_SIZE, weight)
            if names.get(bar):
                brush.text(x + 5, 18, names[bar], "label", "serif", 13, "strong")
                brush.line(x, 6, x, HEAD, "hair")

    # --- hands -----------------------------------------------------------------------------------------------

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
        cell = self._cell_at(event.position())
        if cell is not None and cell != self._cell:
            self._hold(cell, show=False)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        cell = self._cell_at(event.position())
        if cell is not None:
            self._hold(cell, show=True)
            self.chosen.emit(*self.cell)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if self._rows:
                self.chosen.emit(*self.cell)
        elif event.key() in _MOVES and self._form is not None and self._rows:
            down, across = _MOVES[Qt.Key(event.key())]
            row = max(0, min(len(self._rows) - 1, self._cell[0] + down))
            bar = max(0, min(len(self._form.bars) - 1, self._cell[1] + across))
            self._hold((self._technique_row(row, -1 if down < 0 else 1), bar), show=True)
        else:
            super().keyPressEvent(event)


def draw_mark(brush: Brush, x: float, y: float, mark: MapMark) -> None:
    """A mark with its middle at a place."""
    _DRAWN[mark.kind](brush, x, y)
    if mark.mixed:
        for one, two in (((5.2, -8.2), (9.2, -4.2)), ((5.2, -4.2), (9.2, -8.2))):
            brush.line(x + one[0], y + one[1], x + two[0], y + two[1], "clash", 1.3)


def _disc(brush: Brush, x: float, y: float) -> None:
    path = QPainterPath()
    path.addEllipse(QPointF(x, y), RADIUS, RADIUS)
    brush.fill(path, "good")


def _half_disc(brush: Brush, x: float, y: float) -> None:
    ring = QPainterPath()
    ring.addEllipse(QPointF(x, y), RADIUS - 0.7, RADIUS - 0.7)
    brush.stroke(ring, "caution", 1.4)
    half = QPainterPath(QPointF(x, y - RADIUS))
    half.arcTo(QRectF(x - RADIUS, y - RADIUS, 2 * RADIUS, 2 * RADIUS), 90, 180)
    half.closeSubpath()
    brush.fill(half, "caution")


def _struck_ring(brush: Brush, x: float, y: float) -> None:
    ring = QPainterPath()
    ring.addEllipse(QPointF(x, y), RADIUS - 1.6, RADIUS - 1.6)
    brush.stroke(ring, "clash", 1.2)
    brush.line(x - RADIUS + 0.6, y + RADIUS - 0.6, x + RADIUS - 0.6, y - RADIUS + 0.6, "clash", 1.3)


_DRAWN: dict[str, Callable[[Brush, float, float], None]] = {
    "good": _disc, "caution": _half_disc, "clash": _half_disc, "refused": _struck_ring,
}  # fmt: skip
