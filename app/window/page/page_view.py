"""The page on screen: paints cached systems, shows selection and playhead, and tells what the user points at.

It holds no chart and changes nothing: it is given a page model and a selection, and emits intents
(:mod:`app.window.page.page_hands` reads pointer and keys, and is put on after the first paint).
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, QSize, Signal
from PySide6.QtGui import QColor, QPainter, QPixmap
from PySide6.QtWidgets import QAbstractScrollArea, QWidget

from app.window.page.brush import Brush
from app.window.page.chord_text import spoken
from app.window.page.geometry import BarBox, PageGeometry, lay_out
from app.window.page.overlay_painter import (
    draw_chord_frame,
    draw_frames,
    draw_loop,
    draw_paper,
    draw_preview,
    draw_row_mark,
    draw_upright,
    draw_wash,
)
from app.window.page.page_model import BarView, PageModel
from app.window.page.system_painter import PageOptions, SystemContent, draw_system, system_content
from app.window.selection import Selection
from app.window.theme import Theme

if TYPE_CHECKING:
    from PySide6.QtGui import QFocusEvent, QPaintEvent, QResizeEvent

USUAL_WIDTH, MAX_FIT = 1040.0, 1.28  # a wider page is printed larger, up to this
PREVIEW_DROP = 13.0  # under the take's baseline
CLEAR = QColor(0, 0, 0, 0)


class PageView(QAbstractScrollArea):
    """The page. Its zoom is 1.0 for the usual size, larger for reading from a distance."""

    first_painted = Signal()  # once, when a chart has been seen
    selection_moved = Signal(object)  # Selection
    chord_stepped = Signal(int)  # next or previous chord: 1 or -1
    typing_started = Signal(str, str)  # row, first characters ("" opens what is there)
    staff_clicked = Signal(int, float, int)  # bar index, onset in quarters, staff step
    tune_key = Signal(object)  # QKeyEvent while the tune is edited; ignored by who does not want it
    zoom_wished = Signal(float)  # a factor

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        # A viewport of our own: asking Qt for its one makes the binding load every kind of widget there is.
        self.view = QWidget()
        self.setViewport(self.view)
        self._theme, self._geometry = theme, PageGeometry(0, 0, (), 0)
        self._model: PageModel | None = None
        self._selection, self._options, self._wish = Selection(), PageOptions(), 1.0
        self.only_row = ""  # the one row that is shown, "" for both
        self._fit = self._zoom = 1.0
        self._cache: dict[int, tuple[SystemContent, QPixmap]] = {}
        self._playhead: float | None = None
        self._loop: tuple[float, float] | None = None
        self._caret: float | None = None
        self._chosen_note: int | None = None
        self._slot_onset: object = None
        self._preview: tuple[Fraction, Fraction] | None = None
        self._seen = False
        self.tune_mode = False
        self.setFrameShape(QAbstractScrollArea.Shape.NoFrame)
        self.setAccessibleName("Page")

    # --- state -----------------------------------------------------------------------------------------------

    @property
    def geometry_now(self) -> PageGeometry:
        """Where the bars stand, in page pixels."""
        return self._geometry

    @property
    def model(self) -> PageModel | None:
        """What is shown."""
        return self._model

    @property
    def selection(self) -> Selection:
        """What is selected."""
        return self._selection

    @property
    def zoom(self) -> float:
        """The size wished for; the page's own width may enlarge it."""
        return self._wish

    def set_model(self, model: PageModel) -> None:
        """Show a page; systems that look the same keep their pictures."""
        self._model = model
        self._lay_out()
        self._describe()

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        self._cache.clear()
        self.view.update()

    def set_options(self, options: PageOptions) -> None:
        """Show or hide the staff, numerals and threads."""
        self._options = options
        self._lay_out()

    def set_zoom(self, zoom: float) -> None:
        """Scale the page, 0.5 to 3."""
        self._wish = max(0.5, min(3.0, zoom))
        self._lay_out()
        self.show_bar(self._selection.head)

    def set_selection(self, selection: Selection, follow: bool = True) -> None:
        """Show a selection; ``follow`` scrolls to it."""
        self._selection = selection
        if follow:
            self.show_bar(selection.head)
        self._describe()
        self.view.update()

    def set_tune(self, on: bool, caret: float | None = None, chosen: int | None = None) -> None:
        """Edit the tune or the chords; where the next note goes and which note is in hand."""
        self.tune_mode, self._caret, self._chosen_note = on, caret if on else None, chosen if on else None
        if on and caret is not None:
            self.show_bar(self._geometry.bar_index_at(caret))
        self.view.update()

    def set_playhead(self, onset: float | None) -> None:
        """Move the playhead; only the strips it leaves and enters are painted again."""
        for place in (self._playhead, onset):
            if place is not None and self._geometry.systems:
                self.view.update(self._playhead_strip(place).toAlignedRect().adjusted(-2, -2, 2, 2))
        moved_on = onset is not None and self._bar_of(onset) != self._bar_of(self._playhead)
        self._playhead = onset
        if moved_on and onset is not None and not self.underMouse():
            self.show_bar(self._geometry.bar_index_at(onset))

    def _bar_of(self, onset: float | None) -> int | None:
        return None if onset is None or not self._geometry.systems else self._geometry.bar_index_at(onset)

    def set_preview(self, span: tuple[Fraction, Fraction] | None) -> None:
        """Mark the stretch that the proposal in hand would change."""
        self._preview = span
        self.view.update()

    def set_loop(self, loop: tuple[float, float] | None) -> None:
        """Mark the looped stretch, in quarter notes."""
        self._loop = loop
        self.view.update()

    def _lay_out(self) -> None:
        if self._model is None:
            return
        fit = min(MAX_FIT, max(1.0, self.view.width() / USUAL_WIDTH))
        if fit * self._wish != self._zoom:
            self._fit, self._zoom = fit, fit * self._wish
            self._cache.clear()
        width = max(360.0, self.view.width() / self._zoom)
        self._geometry = lay_out(self._model.specs(), width, self._widest_signature(), with_staff=self._options.staff,
                                 with_take=self._model.has_take, per_line=self._options.per_line,
                                 with_names=self._options.names)  # fmt: skip
        bar = self.verticalScrollBar()
        bar.setPageStep(self.view.height())
        bar.setSingleStep(40)
        bar.setRange(0, max(0, round(self._geometry.height * self._zoom) - self.view.height()))
        self.view.update()

    def _widest_signature(self) -> int:
        assert self._model is not None
        form, home = self._model.form, self._model.key
        keys = [home.signature, *(bar.key.signature for bar in form.written if bar.key)]
        return max(keys, key=abs)

    def _describe(self) -> None:
        if self._model is None or self._selection.last >= len(self._model.bars):
            return
        bars = self._model.bars[self._selection.first : self._selection.last + 1]
        self.setAccessibleDescription("; ".join(describe_bar(bar, self._model.has_take) for bar in bars[:8]))

    # --- places ----------------------------------------------------------------------------------------------

    def to_page(self, point: QPointF) -> QPointF:
        """A place of the viewport in page pixels."""
        return QPointF(point.x() / self._zoom, (point.y() + self.verticalScrollBar().value()) / self._zoom)

    def bar_rect(self, bar_index: int, row: str | None = None) -> QRectF:
        """A bar (or one of its rows) in viewport pixels; raises IndexError."""
        system, box = self._geometry.system_of(bar_index), self._geometry.bar_box(bar_index)
        top, bottom = system.top + 4, system.top + system.lanes.threads_bottom + 12
        if row is not None:
            baseline = system.lanes.standard if row == "standard" else system.lanes.take
            top, bottom = system.top + baseline - 22, system.top + baseline + 12
        scroll = self.verticalScrollBar().value()
        return QRectF(
            box.x * self._zoom, top * self._zoom - scroll, box.width * self._zoom, (bottom - top) * self._zoom
        )

    def show_bar(self, bar_index: int) -> None:
        """Scroll so that a bar's system is seen whole."""
        try:
            system = self._geometry.system_of(bar_index)
        except IndexError:
            return
        bar, height = self.verticalScrollBar(), self.view.height()
        top, bottom = (system.top - 14) * self._zoom, system.bottom * self._zoom
        if top < bar.value():
            bar.setValue(int(top))
        elif bottom > bar.value() + height:
            bar.setValue(int(min(top, bottom - height)))

    def _playhead_strip(self, onset: float) -> QRectF:
        index = self._geometry.bar_index_at(onset)
        system, box = self._geometry.system_of(index), self._geometry.bar_box(index)
        lanes = system.lanes
        x, top = box.x_at(onset), system.top + lanes.staff_top - 12
        scroll = self.verticalScrollBar().value()
        return QRectF(x * self._zoom - 2, top * self._zoom - scroll, 4,
                      (lanes.threads_bottom + 8 - lanes.staff_top + 12) * self._zoom)  # fmt: skip

    def _caret_strip(self, onset: float) -> QRectF:
        """The caret's place on the staff: a little before the note that would stand there."""
        strip = self._playhead_strip(onset)
        lanes = self._geometry.system_of(self._geometry.bar_index_at(onset)).lanes
        height = (lanes.staff_bottom - lanes.staff_top + 24) * self._zoom
        return QRectF(strip.left() - 4 * self._zoom, strip.top(), strip.width(), height)

    # --- painting --------------------------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self.view)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        brush = Brush(painter, self._theme)
        draw_paper(brush, QRectF(self.view.rect()))
        if self._model is not None:
            painter.setClipRect(event.rect())
            areas = [] if self.tune_mode else self._selected_areas()
            draw_wash(brush, areas)
            self._paint_systems(painter, event)
            draw_frames(brush, areas, focused=self.hasFocus())
            if areas:
                self._paint_active_row(brush)
            self._paint_marks(brush)
        painter.end()
        if self._model is not None and not self._seen:
            self._seen = True
            self.first_painted.emit()

    def _paint_systems(self, painter: QPainter, event: QPaintEvent) -> None:
        assert self._model is not None
        scroll = self.verticalScrollBar().value()
        for system in self._geometry.systems:
            top, bottom = system.top * self._zoom - scroll, system.bottom * self._zoom - scroll
            if (
                bottom < event.rect().top()
                or top > event.rect().bottom()
                or system.bars[-1].index >= len(self._model.bars)
            ):
                continue
            painter.drawPixmap(QPointF(0, round(top)), self._picture(system.index))

    def _picture(self, index: int) -> QPixmap:
        assert self._model is not None
        content = system_content(self._model, self._geometry, index, self._options, self._chosen_note)
        known = self._cache.get(index)
        if known and known[0] == content:
            return known[1]
        picture = self.draw_picture(content)
        self._cache[index] = (content, picture)
        return picture

    def draw_picture(self, content: SystemContent) -> QPixmap:
        """Paint one system afresh on a transparent ground."""
        ratio, box = self.devicePixelRatioF(), content.box
        size = QSize(round(self._geometry.width * self._zoom * ratio), round(box.lanes.height * self._zoom * ratio) + 2)
        picture = QPixmap(size)
        picture.setDevicePixelRatio(ratio)
        picture.fill(CLEAR)
        painter = QPainter(picture)
        painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.TextAntialiasing)
        painter.scale(self._zoom, self._zoom)
        painter.translate(0, -box.top)
        draw_system(Brush(painter, self._theme), content)
        painter.end()
        return picture

    def _selected_areas(self) -> list[QRectF]:
        assert self._model is not None
        areas = []
        for system in self._geometry.systems if self._selection.last < len(self._model.bars) else ():
            bars = [bar for bar in system.bars if self._selection.first <= bar.index <= self._selection.last]
            if bars:
                areas.append(self.bar_rect(bars[0].index).united(self.bar_rect(bars[-1].index)))
        return areas

    def _paint_active_row(self, brush: Brush) -> None:
        """The row that typing goes into, and a frame round a single chord."""
        assert self._model is not None
        row = self._selection.row if self._model.has_take else "standard"
        area = self.bar_rect(self._selection.head, row)
        draw_row_mark(brush, area)
        if self._selection.slot is None:
            return
        bar, box = self._model.bars[self._selection.head], self._geometry.bar_box(self._selection.head)
        views = bar.take if row == "take" else bar.standard
        chosen = next((view for view in views if view.begins and self._slot_onset == view.onset), None)
        if chosen is not None:
            left, right = (box.x_at(chosen.onset) - 5) * self._zoom, (box.x_at(chosen.end) - 4) * self._zoom
            draw_chord_frame(brush, QRectF(left, area.top(), right - left, area.height()))

    def set_slot_onset(self, onset: object) -> None:
        """Where the single selected chord begins, or None."""
        self._slot_onset = onset
        self.view.update()

    def _paint_marks(self, brush: Brush) -> None:
        if self._loop is not None:
            self._paint_loop(brush, *self._loop)
        if not self._geometry.systems:
            return
        if self._preview is not None and not self.tune_mode:
            self._paint_preview(brush, *self._preview)
        if self._caret is not None:
            draw_upright(brush, self._caret_strip(self._caret), "second")
        if self._playhead is not None:
            draw_upright(brush, self._playhead_strip(self._playhead), "playhead")

    def _paint_preview(self, brush: Brush, start: Fraction, end: Fraction) -> None:
        for system in self._geometry.systems:
            for bar in system.bars:
                left, right = max(start, bar.start), min(end, bar.start + bar.length)
                if left < right:
                    y = (system.top + system.lanes.take + PREVIEW_DROP) * self._zoom - self.verticalScrollBar().value()
                    draw_preview(brush, bar.x_at(left) * self._zoom, (bar.x_at(right) - 5) * self._zoom, y)

    def _paint_loop(self, brush: Brush, start: float, end: float) -> None:
        for system in self._geometry.systems:
            first, last = system.bars[0], system.bars[-1]
            left, right = max(start, float(first.start)), min(end, float(last.start + last.length))
            if left < right:
                y = system.top * self._zoom - self.verticalScrollBar().value() + 1
                x1, x2 = self._edge(system.bars, left, first.x), self._edge(system.bars, right, last.right)
                draw_loop(brush, x1 * self._zoom, x2 * self._zoom, y, opens=left == start, closes=right == end)

    @staticmethod
    def _edge(bars: tuple[BarBox, ...], onset: float, default: float) -> float:
        return next((bar.x for bar in bars if float(bar.start) == onset), default)

    # --- the system's events -----------------------------------------------------------------------------------

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._lay_out()

    def focusInEvent(self, event: QFocusEvent) -> None:
        self.view.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self.view.update()


def describe_bar(bar: BarView, has_take: bool) -> str:
    """A bar in words, for a screen reader."""
    standard = ", ".join(spoken(slot.parts.text) for slot in bar.standard)
    words = f"Bar {bar.number}, standard {standard}"
    if has_take and bar.changed:
        words += f", take {', '.join(spoken(slot.parts.text) for slot in bar.take)}"
        words += "".join(f", {seam}" for _, seam in bar.seams)
    words += "".join(f", your words: {note}" for note in bar.notes)
    words += f", written on it: {bar.remark}" if bar.remark else ""
    return words + (", locked" if bar.locked else "")
