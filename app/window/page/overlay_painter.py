"""What lies over and under the systems: paper, selection, the row that typing goes into, loop, caret, playhead.

All in viewport pixels; the page's zoom is already in the rectangles that are handed in.
"""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainterPath

from app.window.page.brush import Brush


def draw_paper(brush: Brush, area: QRectF) -> None:
    """The sheet on the desk."""
    brush.patch(area, 0, "desk")
    brush.outline(area.adjusted(0.5, 0.5, -0.5, -0.5), 6, "edge", 1.0, "page")


def draw_wash(brush: Brush, areas: Iterable[QRectF]) -> None:
    """The ground of the selected bars, one area a system."""
    for area in areas:
        brush.patch(area.adjusted(0.5, 0, -0.5, 0), 5, "second_wash")


def draw_frames(brush: Brush, areas: Iterable[QRectF], *, focused: bool) -> None:
    """The outline of the selected bars, stronger where the keyboard is."""
    for area in areas:
        brush.outline(area.adjusted(0.5, 0, -0.5, 0), 5, "second", 1.6 if focused else 0.9)


def draw_row_mark(brush: Brush, row: QRectF) -> None:
    """A stroke at the left of the row that typing goes into."""
    brush.patch(QRectF(row.left() + 4, row.top() + 5, 3, row.height() - 12), 1.5, "second")


def draw_chord_frame(brush: Brush, area: QRectF) -> None:
    """Round a single chosen chord."""
    brush.outline(area, 4, "second", 1.2)


def draw_loop(brush: Brush, left: float, right: float, y: float, *, opens: bool, closes: bool) -> None:
    """A bracket over the looped bars of one system; its hooks stand where the loop opens and closes."""
    brush.line(left, y, right, y, "playhead", 2.0)
    for x, hook in ((left, opens), (right, closes)):
        if hook:
            brush.line(x, y, x, y + 6, "playhead", 2.0)


def draw_upright(brush: Brush, strip: QRectF, ink: str) -> None:
    """The playhead or the caret: a thin line through a system."""
    x = strip.center().x()
    brush.line(x, strip.top(), x, strip.bottom(), ink, 1.6)


def draw_preview(brush: Brush, left: float, right: float, y: float) -> None:
    """A dashed bracket under the chords that the proposal in hand would replace."""
    path = QPainterPath(QPointF(left, y))
    path.lineTo(QPointF(right, y))
    brush.painter.strokePath(path, brush.dashed("second", 1.2, (2.5, 2.0)))
    for x in (left, right):
        brush.line(x, y - 3.5, x, y, "second", 1.2)
