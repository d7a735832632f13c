"""Tension, cost and density of a take over the form, one above the other, as narrow as a card.

A bar that costs stands over its line, one that gains hangs under it, hollow. In a long tune some bars are drawn as one,
so that painting a thousand takes no longer than painting a hundred.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from operator import itemgetter
from typing import NamedTuple

from PySide6.QtGui import QColor, QPainterPath

from app.chorus.view import TakeView
from app.window.curve import area_under, smooth_line
from app.window.page.brush import Brush
from core.form import Form

EDGE, LABELS = 12.0, 62.0
TENSION, COST, DENSITY, CHANGED = (88.0, 120.0), (126.0, 154.0), (158.0, 172.0), 180.0
LEAST_CELL, LEAST_APART = 2.4, 6.0
MOST_CELLS = 140
"""Pixels: what is drawn as one is never narrower, and section lines never nearer, however long the tune."""


class Cell(NamedTuple):
    """What is drawn as one: a bar, or several where a bar would be hardly seen."""

    left: float
    right: float
    bars: range


class Lanes:
    """The pictures of one take at a width; ``scale``: the dearest bar and the most chords in one, of all takes."""

    def __init__(self, form: Form, view: TakeView, scale: tuple[int, int], width: float) -> None:
        self._form, self._view, self._scale, self._width = form, view, scale, width
        self._length = max(1.0, float(form.length))

    def x(self, onset: float) -> float:
        """Where a time stands."""
        return LABELS + onset / self._length * (self._width - LABELS - EDGE)

    def bar_at(self, x: float) -> int:
        """The bar that stands there."""
        share = (x - LABELS) / max(1.0, self._width - LABELS - EDGE)
        return max(0, bisect_right(self._form.starts, share * self._length) - 1)

    def paint(self, brush: Brush) -> None:
        """All of them."""
        cells = self._cells()
        self._paint_sections(brush)
        self._paint_tension(brush, cells)
        self._paint_cost(brush, cells)
        self._paint_density(brush, cells)

    def _paint_sections(self, brush: Brush) -> None:
        edges = QPainterPath()
        for at in (*(self._form.starts[section.first] for section in self._form.sections), self._length):
            x = self.x(at)
            if edges.isEmpty() or x - edges.currentPosition().x() >= LEAST_APART:
                edges.moveTo(x, TENSION[0])
                edges.lineTo(x, CHANGED + 3)
        brush.stroke(edges, "hair", 0.8)
        for words, y in (("tension", TENSION[1] - 4), ("cost", (COST[0] + COST[1]) / 2 + 4), ("chords", DENSITY[1])):
            brush.text(EDGE, y, words, "label", "sans", 11.5)

    def _cells(self) -> list[Cell]:
        starts = [*self._form.starts, self._length]
        count = len(starts) - 1
        most = min(MOST_CELLS, int(max(1.0, self._width - LABELS - EDGE) / LEAST_CELL))
        step = max(1, math.ceil(count / max(1, most)))
        ends = [(first, min(first + step, count)) for first in range(0, count, step)]
        return [Cell(self.x(starts[first]), self.x(starts[last]), range(first, last)) for first, last in ends]

    def _paint_tension(self, brush: Brush, cells: list[Cell]) -> None:
        view = self._view
        if not view.tension:
            return
        high, foot = TENSION
        step = max(
            1, len(view.tension) // max(MOST_CELLS, len(cells))
        )  # of points close to one another the tensest is drawn
        parts = [view.tension[first : first + step] for first in range(0, len(view.tension), step)]
        peaks = [max(part, key=itemgetter(1)) for part in parts] if step > 1 else list(view.tension)
        points = [(self.x(onset), foot - value * (foot - high)) for onset, value in peaks]
        right = self.x(self._length)
        curve = smooth_line([*points, (right, points[-1][1])])
        wash = QColor(brush.colour("second"))
        wash.setAlpha(40)
        brush.painter.fillPath(area_under(curve, points[0][0], right, foot), wash)
        brush.stroke(curve, "second", 1.3)
        brush.line(points[0][0], foot, right, foot, "hair", 0.8)

    def _paint_cost(self, brush: Brush, cells: list[Cell]) -> None:
        """What a bar costs stands over the line, what it gains hangs under it, hollow."""
        view = self._view
        high, foot = COST
        zero = high + (foot - high) * 0.62
        brush.line(self.x(0), zero, self.x(self._length), zero, "hair", 0.8)
        if view.cost is None:
            brush.text(LABELS + 4, zero - 4, "none: it has bars of its own", "label", "sans", 11.5)
        costs, gains = QPainterPath(), QPainterPath()
        for left, right, bars in cells if view.terms else ():
            cost = max(view.costs[bars.start : bars.stop], key=abs)
            wide = max(0.8, right - left - 1.6)
            tall = min(1.0, abs(cost) / self._scale[0]) * (zero - high if cost > 0 else foot - zero)
            if cost > 0:
                costs.addRect(left + 0.8, zero - tall, wide, tall)
            elif cost:
                gains.addRect(left + 1.2, zero + 0.5, max(0.4, wide - 0.8), max(1.0, tall))
        brush.fill(costs, "label")
        brush.stroke(gains, "second", 0.8)

    def _paint_density(self, brush: Brush, cells: list[Cell]) -> None:
        view = self._view
        high, foot = DENSITY
        chords, changed = QPainterPath(), QPainterPath()
        for left, right, bars in cells:
            count = max(view.density[bars.start : bars.stop])
            tall, wide = min(1.0, count / self._scale[1]) * (foot - high), max(0.8, right - left - 1.6)
            chords.addRect(left + 0.8, foot - tall, wide, tall)
            if not view.changed.isdisjoint(bars):
                changed.addRect(left + 0.8, CHANGED - 1.1, wide, 2.2)
        brush.fill(chords, "pale")
        brush.fill(changed, "second")
