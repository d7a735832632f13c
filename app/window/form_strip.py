"""The whole form along the foot: sections, the tension curve, what is seen, selected, looped and playing."""

from __future__ import annotations

from bisect import bisect_right

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPixmap
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.window.curve import area_under, smooth_line
from app.window.fonts import advance
from app.window.page.brush import Brush
from app.window.theme import Theme
from core.form import Form

MARGIN = 36.0
HEIGHT = 74
CURVE_TOP, CURVE_FOOT = 20.0, 62.0


class FormStrip(QWidget):
    """How one moves about: a click chooses a bar, a drag a stretch."""

    bar_chosen = Signal(int, bool)  # bar index, whether the selection is extended
    played_from = Signal(int)  # bar index, by a double click

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._still: QPixmap | None = None
        self._form: Form | None = None
        self._curve: tuple[tuple[float, float], ...] = ()
        self._changed: frozenset[int] = frozenset()
        self._selected = (0, 0)
        self._playhead: float | None = None
        self._loop: tuple[float, float] | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setAccessibleName("Form")
        self.setToolTip("Tension over the form. Click a bar to go there, drag to select, double-click to play from it.")

    def sizeHint(self) -> QSize:
        return QSize(600, HEIGHT)

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme, self._still = theme, None
        self.update()

    def set_form(self, form: Form, curve: tuple[tuple[float, float], ...], changed: frozenset[int]) -> None:
        """Show a form, its tension (onset in quarters, 0..1) and which bars the take changes."""
        self._form, self._curve, self._changed, self._still = form, curve, changed, None
        self.setAccessibleDescription(", ".join(f"{s.name or 'section'}, bars {form.bars[s.first].number} to "
                                                f"{form.bars[s.last - 1].number}" for s in form.sections))  # fmt: skip
        self.update()

    def set_selected(self, first: int, last: int) -> None:
        """Mark the selected bars."""
        self._selected = (first, last)
        self.update()

    def set_playhead(self, onset: float | None) -> None:
        """Move the playhead."""
        self._playhead = onset
        self.update()

    def set_loop(self, loop: tuple[float, float] | None) -> None:
        """Mark the looped stretch."""
        self._loop = loop
        self.update()

    def _x(self, onset: float) -> float:
        assert self._form is not None
        return MARGIN + onset / max(1.0, float(self._form.length)) * (self.width() - 2 * MARGIN)

    def _bar_at(self, x: float) -> int:
        assert self._form is not None
        onset = (x - MARGIN) / max(1.0, self.width() - 2 * MARGIN) * float(self._form.length)
        return max(0, bisect_right(self._form.bars, onset, key=lambda bar: float(bar.start)) - 1)

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._form is None or not self._form.bars:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        brush = Brush(painter, self._theme)
        self._paint_selection(brush)
        painter.drawPixmap(0, 0, self._still_picture())
        self._paint_marks(brush)
        painter.end()

    def _still_picture(self) -> QPixmap:
        """Curve, bars and sections, which do not move while the playhead does."""
        ratio = self.devicePixelRatioF()
        size = self.size() * ratio
        if self._still is None or self._still.size() != size:
            self._still = QPixmap(size)
            self._still.setDevicePixelRatio(ratio)
            self._still.fill(Qt.GlobalColor.transparent)
            painter = QPainter(self._still)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            brush = Brush(painter, self._theme)
            self._paint_curve(brush)
            self._paint_bars(brush)
            self._paint_sections(brush)
            painter.end()
        return self._still

    def _paint_selection(self, brush: Brush) -> None:
        assert self._form is not None
        first, last = (min(bar, len(self._form.bars) - 1) for bar in self._selected)
        left, right = self._x(float(self._form.bars[first].start)), self._x(float(self._form.bars[last].end))
        wash = QColor(brush.colour("second"))
        wash.setAlpha(44)
        brush.painter.setPen(brush.pen("second", 1.0) if self.hasFocus() else Qt.PenStyle.NoPen)
        brush.painter.setBrush(wash)
        brush.painter.drawRoundedRect(QRectF(left, 4, right - left, CURVE_FOOT + 4), 4, 4)

    def _paint_curve(self, brush: Brush) -> None:
        assert self._form is not None
        if not self._curve:
            return
        points = [(self._x(onset), CURVE_FOOT - value * (CURVE_FOOT - CURVE_TOP)) for onset, value in self._curve]
        points.append((self._x(float(self._form.length)), points[-1][1]))
        line = smooth_line(points)
        path = area_under(line, self._x(0), points[-1][0], CURVE_FOOT)
        fill = QColor(brush.colour("second"))
        fill.setAlpha(40)
        brush.painter.fillPath(path, fill)
        brush.painter.setPen(brush.pen("second", 1.4))
        brush.painter.setBrush(Qt.BrushStyle.NoBrush)
        brush.painter.drawPath(line)

    def _paint_bars(self, brush: Brush) -> None:
        """A tick a bar; a bar that the take changes has a stroke of the second ink."""
        assert self._form is not None
        brush.line(self._x(0), CURVE_FOOT, self._x(float(self._form.length)), CURVE_FOOT, "hair", 1.0)
        for bar in self._form.bars:
            x = self._x(float(bar.start))
            brush.line(x, CURVE_FOOT, x, CURVE_FOOT + 3, "hair", 1.0)
            if bar.index in self._changed:
                brush.line(x + 2, CURVE_FOOT + 5, self._x(float(bar.end)) - 2, CURVE_FOOT + 5, "second", 2.4)

    def _paint_sections(self, brush: Brush) -> None:
        assert self._form is not None
        free = self._x(float(self._form.length))  # from the end, so that a short section gives way to the next
        for section in reversed(self._form.sections):
            x = self._x(float(self._form.bars[section.first].start))
            brush.line(x, 6, x, CURVE_FOOT + 6, "label", 1.0)
            if x + 12 + advance(section.name, "serif", 13, "strong") <= free:
                brush.text(x + 6, 18, section.name, "label", "serif", 13, "strong")
                free = x
        x = self._x(float(self._form.length))
        brush.line(x, 6, x, CURVE_FOOT + 6, "label", 1.0)

    def _paint_marks(self, brush: Brush) -> None:
        if self._loop:
            x1, x2 = (self._x(onset) for onset in self._loop)
            brush.line(x1, 5, x2, 5, "playhead", 2.0)
            brush.line(x1, 5, x1, 11, "playhead", 2.0)
            brush.line(x2, 5, x2, 11, "playhead", 2.0)
        if self._playhead is not None:
            x = self._x(self._playhead)
            brush.line(x, 4, x, CURVE_FOOT + 6, "playhead", 1.8)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if self._form is not None:
            extend = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
            self.bar_chosen.emit(self._bar_at(event.position().x()), extend)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._form is not None and event.buttons() & Qt.MouseButton.LeftButton:
            self.bar_chosen.emit(self._bar_at(event.position().x()), True)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if self._form is not None:
            self.played_from.emit(self._bar_at(event.position().x()))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()))
        if step is None or self._form is None:
            super().keyPressEvent(event)
            return
        bar = self._selected[1] + step if step > 0 else self._selected[0] + step
        extend = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        self.bar_chosen.emit(max(0, min(len(self._form.bars) - 1, bar)), extend)
