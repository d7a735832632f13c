"""What leads where, drawn quietly under a row: a bracket under a ii and its V, a curve from a dominant to its target.

A substitute dominant’s curve and bracket are dashed. A curve to a target in the next system runs to the edge, headless.
"""

from __future__ import annotations

from fractions import Fraction

from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainterPath

from app.window.page.brush import Brush
from app.window.page.geometry import SystemBox
from app.window.page.page_model import Bond

BRACKET_DROP, CURVE_DROP, DEEPEST = 12.5, 9.0, 7.0  # under the baseline; how far a curve sags below its ends
UNDERLINE = 24.0  # of a chord: the bracket ends with it, the curve begins behind it
HEAD = 3.2


def draw_bonds(brush: Brush, system: SystemBox, bonds: tuple[Bond, ...], baseline: float, ink: str) -> None:
    """The bonds of a row that begin in a system."""
    for bond in bonds:
        x1, x2 = _x(system, bond.start), _x(system, bond.end)
        if x1 is None:
            continue
        dashed = bond.kind.startswith("substitute")
        if bond.kind.endswith("pair"):
            if x2 is not None and x2 > x1:
                _bracket(brush, x1, x2 + UNDERLINE - 2, baseline + BRACKET_DROP, ink, dashed)
        else:
            _curve(brush, x1 + UNDERLINE + 4, x2, system.right, baseline + CURVE_DROP, ink, dashed)


def _x(system: SystemBox, onset: Fraction) -> float | None:
    return next((bar.x_at(onset) for bar in system.bars if bar.start <= onset < bar.start + bar.length), None)


def _bracket(brush: Brush, left: float, right: float, y: float, ink: str, dashed: bool) -> None:
    path = QPainterPath(QPointF(left, y - 3.2))
    path.lineTo(left, y)
    path.lineTo(right, y)
    path.lineTo(right, y - 3.2)
    _stroke(brush, path, ink, dashed)


def _stroke(brush: Brush, path: QPainterPath, ink: str, dashed: bool) -> None:
    if dashed:
        brush.painter.strokePath(path, brush.dashed(ink, 1.0, (3.4, 2.6)))
    else:
        brush.stroke(path, ink, 1.0)


def _curve(brush: Brush, left: float, target: float | None, edge: float, y: float, ink: str, dashed: bool) -> None:
    right = edge - 3 if target is None else target - 3
    if right - left < 12:
        return
    sag = min(DEEPEST, (right - left) * 0.12)
    path = QPainterPath(QPointF(left, y))
    if target is None:
        path.quadTo(QPointF((left + right) / 2, y + sag), QPointF(right, y + sag))
    else:
        path.cubicTo(QPointF(left + 10, y + sag), QPointF(right - 10, y + sag), QPointF(right, y))
    _stroke(brush, path, ink, dashed)
    if target is not None:
        head = QPainterPath(QPointF(right - HEAD - 1.2, y + 0.2))
        head.lineTo(right, y)
        head.lineTo(right - 0.6, y + HEAD + 1.0)
        brush.stroke(head, ink, 1.0)
