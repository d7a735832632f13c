"""A smooth line through points, as the tension of a form is drawn."""

from __future__ import annotations

from itertools import pairwise

from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainterPath


def smooth_line(points: list[tuple[float, float]]) -> QPainterPath:
    """From point to point, level at each."""
    line = QPainterPath(QPointF(*points[0]))
    for (x1, y1), (x2, y2) in pairwise(points):
        middle = (x1 + x2) / 2
        line.cubicTo(QPointF(middle, y1), QPointF(middle, y2), QPointF(x2, y2))
    return line


def area_under(line: QPainterPath, left: float, right: float, foot: float) -> QPainterPath:
    """What lies between a line and its foot."""
    area = QPainterPath(QPointF(left, foot))
    area.lineTo(line.elementAt(0).x, line.elementAt(0).y)
    area.connectPath(line)
    area.lineTo(QPointF(right, foot))
    return area
