"""The page as a class sees it: four bars to a line, as large as the screen allows, with what is new set off."""

from __future__ import annotations

from itertools import groupby

from PySide6.QtCore import QRectF, Signal
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.window.page.brush import Brush
from app.window.page.geometry import MARGIN, PageGeometry, SystemBox, gutter_width, lay_out
from app.window.page.overlay_painter import draw_paper, draw_upright
from app.window.page.page_model import PageModel
from app.window.page.page_view import describe_bar
from app.window.page.system_painter import TAKE_SIZE, PageOptions, draw_system, system_content
from app.window.theme import Theme

BAR_WIDTH, BARS = 170.0, 4
FEWEST_SYSTEMS = 2
"""At least so many lines are on the screen, or half of the tune would be out of sight."""


class ClassPage(QWidget):
    """Shows whole systems; turns over by itself so that what is new, or what sounds, is in sight."""

    bar_pressed = Signal(int)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._model: PageModel | None = None
        self._geometry = PageGeometry(0, 0, (), 0)
        self._options = PageOptions()
        self._new: frozenset[int] = frozenset()
        self._playhead: float | None = None
        self.zoom, self.top_system = 1.0, 0
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("The page for the class")

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        self.update()

    def show_model(self, model: PageModel, options: PageOptions, new: frozenset[int]) -> None:
        """Show a chart; ``new`` bars are set off."""
        self._model, self._options, self._new = model, options, new
        said = [model.bars[bar] for bar in sorted(new) if bar < len(model.bars)]
        self.setAccessibleDescription("; ".join(describe_bar(bar, model.has_take) for bar in said))
        self._lay_out()

    def set_playhead(self, onset: float | None) -> None:
        """Show what sounds, and turn over with it."""
        self._playhead = onset
        if onset is not None and self._model is not None:
            self.bring(self._geometry.bar_index_at(onset))
        self.update()

    # --- where things are ------------------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        if self._model is None or self.width() < 50 or self.height() < 50:
            return
        model, staff = self._model, self._options.staff
        gutter = gutter_width(model.signature, with_meter=True) if staff else gutter_width(0, with_meter=False) * 0.62
        wide = self.width() / (2 * MARGIN + gutter + BARS * BAR_WIDTH)
        self._geometry = self._at(wide)
        self.zoom = wide
        tall = max(box.lanes.height for box in self._geometry.systems)
        fits = (self.height() - 2 * MARGIN) / (FEWEST_SYSTEMS * tall)
        if fits < wide and len(self._geometry.systems) > 1:
            self.zoom = fits
            self._geometry = self._at(fits)
        self.top_system = min(self.top_system, len(self._geometry.systems) - 1)
        self.update()

    def _at(self, zoom: float) -> PageGeometry:
        assert self._model is not None
        return lay_out(self._model.specs(), self.width() / zoom, self._model.signature, with_staff=self._options.staff,
                       with_take=self._model.has_take, with_names=self._options.names)  # fmt: skip

    @property
    def visible(self) -> tuple[SystemBox, ...]:
        """The systems on the screen: as many as fit from the top one on."""
        systems = self._geometry.systems[self.top_system :]
        if not systems:
            return ()
        room = self.height() / self.zoom + systems[0].top - MARGIN * 0.5
        return tuple(box for box in systems if box.bottom <= room or box is systems[0])

    @property
    def bars_in_sight(self) -> tuple[int, ...]:
        """Indexes of the bars on the screen."""
        return tuple(bar.index for box in self.visible for bar in box.bars)

    def bring(self, bar: int) -> None:
        """Turn over so that a bar is in sight."""
        if not self._geometry.systems or bar in self.bars_in_sight:
            return
        self.top_system = self._geometry.system_of(min(bar, self._geometry.systems[-1].bars[-1].index)).index
        self.update()

    @property
    def chord_pixels(self) -> float:
        """How large a chord of the take is on the screen."""
        return TAKE_SIZE * self.zoom

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._lay_out()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        shift = self.visible[0].top if self.visible else 0.0
        x, y = event.position().x() / self.zoom, event.position().y() / self.zoom + shift - MARGIN * 0.6
        bar = self._geometry.bar_at(x, y)
        if bar is not None:
            self.bar_pressed.emit(bar.index)

    # --- painting --------------------------------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.TextAntialiasing)
        brush = Brush(painter, self._theme)
        draw_paper(brush, QRectF(self.rect()))
        if self._model is not None and self.visible:
            painter.scale(self.zoom, self.zoom)
            painter.translate(0, MARGIN * 0.6 - self.visible[0].top)
            for box in self.visible:
                self._system(brush, box)
        painter.end()

    def _system(self, brush: Brush, box: SystemBox) -> None:
        assert self._model is not None
        for is_new, run in groupby(box.bars, lambda bar: bar.index in self._new):
            bars = list(run)
            if is_new:
                area = QRectF(bars[0].x, box.top + 2, bars[-1].right - bars[0].x, box.lanes.threads_bottom + 10)
                brush.outline(area.adjusted(1, 0, -1, 0), 6, "second", 1.2, "second_wash")
        draw_system(brush, system_content(self._model, self._geometry, box.index, self._options))
        for bar in box.bars:
            if self._playhead is not None and float(bar.start) <= self._playhead < float(bar.start + bar.length):
                top = box.top + box.lanes.staff_top - 12
                draw_upright(brush, QRectF(bar.x_at(self._playhead) - 1, top, 2, box.top + box.lanes.threads_bottom
                                           + 8 - top), "playhead")  # fmt: skip
