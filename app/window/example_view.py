"""A little chart on paper, drawn as the page draws it: for examples in the technique book."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.window.page.brush import Brush
from app.window.page.geometry import PageGeometry, lay_out
from app.window.page.overlay_painter import draw_paper, draw_upright
from app.window.page.page_model import PageModel
from app.window.page.page_view import describe_bar
from app.window.page.system_painter import PageOptions, draw_system, system_content
from app.window.theme import Theme

ZOOMS = (0.9, 0.84, 0.78, 0.72, 0.66)  # the largest at which one line holds it all, else the first


class ExampleView(QWidget):
    """As tall as its systems at the width it is given."""

    def __init__(self, theme: Theme, model: PageModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme, self._model = theme, model
        self._geometry = PageGeometry(0, 0, (), 0)
        self._zoom = ZOOMS[0]
        self._playhead: float | None = None
        notes = any(mark.step is not None for bar in model.bars for mark in bar.notation.notes)
        self._options = PageOptions(staff=notes, numerals=True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("; ".join(describe_bar(bar, model.has_take) for bar in model.bars))
        self._lay_out(640)

    def sizeHint(self) -> QSize:
        return QSize(640, self.height())

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        self.update()

    def set_playhead(self, onset: float | None) -> None:
        """Show what sounds, or nothing."""
        if onset is not None and not 0 <= onset < float(self._model.form.length):
            onset = None
        if onset != self._playhead:
            self._playhead = onset
            self.update()

    def _lay_out(self, width: int) -> None:
        options, model = self._options, self._model
        tried = [(zoom, lay_out(model.specs(), width / zoom, model.signature, with_staff=options.staff,
                                with_take=model.has_take)) for zoom in ZOOMS]  # fmt: skip
        self._zoom, self._geometry = next((one for one in tried if len(one[1].systems) == 1), tried[0])
        self.setFixedHeight(round(self._geometry.height * self._zoom))

    def resizeEvent(self, event: QResizeEvent) -> None:
        if event.size().width() != event.oldSize().width():
            self._lay_out(event.size().width())

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.TextAntialiasing)
        brush = Brush(painter, self._theme)
        draw_paper(brush, QRectF(self.rect()))
        painter.scale(self._zoom, self._zoom)
        for index in range(len(self._geometry.systems)):
            draw_system(brush, system_content(self._model, self._geometry, index, self._options))
        if self._playhead is not None:
            draw_upright(brush, self._strip(self._playhead), "playhead")
        painter.end()

    def _strip(self, onset: float) -> QRectF:
        bar = self._geometry.bar_index_at(onset)
        system = self._geometry.system_of(bar)
        x = self._geometry.bar_box(bar).x_at(onset)
        top = system.top + system.lanes.staff_top - 12
        return QRectF(x - 1, top, 2, system.top + system.lanes.threads_bottom + 8 - top)
