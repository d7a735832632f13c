"""Guide-tone threads: two fine lines under a system, the degree in a node where a chord begins.

Height is pitch: the same number of pixels for every semitone of the system, so that a half step is a gentle bend
and a leap looks like one. Silence is a gap. A thread shows; it does not judge.
"""

from __future__ import annotations

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainterPath

from app.window.fonts import advance
from app.window.page.brush import Brush
from app.window.page.geometry import SystemBox
from app.window.page.page_model import ThreadPoint

NODE, NODE_TYPE = 6.6, 10.0  # radius, size of the degree
BEND = 12.0  # pixels before a chord change in which a thread moves
PIXELS_PER_SEMITONE = 3.2


def draw_threads(brush: Brush, system: SystemBox, take: tuple[ThreadPoint, ...], standard: tuple[ThreadPoint, ...]
                 ) -> None:  # fmt: skip
    """Both rows' threads in one system, the standard's pale behind the take's."""
    start, end = system.bars[0].start, system.bars[-1].start + system.bars[-1].length
    mine = [point for point in take if point.onset < end and point.end > start]
    theirs = [point for point in standard if point.onset < end and point.end > start]
    front, behind = (mine, theirs) if mine else (theirs, [])
    heights = _heights(system, [*mine, *theirs])
    if behind:
        _draw_voices(brush, system, behind, heights, "thread_pale", 1.1, (3.0, 2.4))
    _draw_voices(brush, system, front, heights, "thread" if mine else "label", 1.7, ())
    for point in front:
        if point.nodes and point.onset >= start:
            for node, y in zip(point.nodes, heights(point), strict=True):
                _draw_node(brush, _x(system, point.onset), y, node.degree, "thread" if mine else "label")


class _Heights:
    """MIDI place to height, centred in the lane."""

    def __init__(self, middle: float, centre: float, scale: float) -> None:
        self.middle, self.centre, self.scale = middle, centre, scale

    def __call__(self, point: ThreadPoint) -> tuple[float, float]:
        assert point.nodes is not None
        one, two = (self.centre - (node.midi - self.middle) * self.scale for node in point.nodes)
        return one, two


def _heights(system: SystemBox, points: list[ThreadPoint]) -> _Heights:
    places = [node.midi for point in points if point.nodes for node in point.nodes] or [60]
    low, high = min(places), max(places)
    room = system.lanes.threads_bottom - system.lanes.threads_top
    scale = min(PIXELS_PER_SEMITONE, room / max(1, high - low))
    centre = system.top + (system.lanes.threads_top + system.lanes.threads_bottom) / 2
    return _Heights((low + high) / 2, centre, scale)


def _x(system: SystemBox, onset: object) -> float:
    for bar in system.bars:
        if bar.start <= onset < bar.start + bar.length:  # type: ignore[operator]
            return bar.x_at(onset)  # type: ignore[arg-type]
    return system.left if onset < system.bars[0].start else system.right - 6  # type: ignore[operator]


def _draw_voices(brush: Brush, system: SystemBox, points: list[ThreadPoint], heights: _Heights, ink: str,
                 thick: float, dashes: tuple[float, ...]) -> None:  # fmt: skip
    pen = brush.dashed(ink, thick, dashes) if dashes else brush.pen(ink, thick)
    for voice in (0, 1):
        path = QPainterPath()
        sounding = False
        for index, point in enumerate(points):
            if point.nodes is None:
                sounding = False
                continue
            x, y = _x(system, point.onset), heights(point)[voice]
            if sounding:
                path.lineTo(x, y)
            else:
                path.moveTo(x, y)
            following = points[index + 1] if index + 1 < len(points) else None
            stop = _x(system, point.end) - (BEND if following else 0)
            path.lineTo(max(x, stop), y)
            sounding = True
        brush.painter.strokePath(path, pen)


def _draw_node(brush: Brush, x: float, y: float, degree: str, ink: str) -> None:
    wide = NODE if len(degree) == 1 else NODE + 2.4 * (len(degree) - 1)
    brush.outline(QRectF(x - wide, y - NODE, 2 * wide, 2 * NODE), NODE, ink, 1.2, "page")
    words = advance(degree, "sans", NODE_TYPE, "strong")
    brush.text(x - words / 2, y + NODE_TYPE * 0.35, degree, "ink", "sans", NODE_TYPE, "strong")
