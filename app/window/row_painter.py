"""What stands still in a line of bars: bar lines, numbers, sections, chords, and what each bar costs as a stroke.

What stands apart from the row that the others are compared with is written in the second ink; a cost is a full stroke
and a gain a hollow one.
"""

from __future__ import annotations

from typing import NamedTuple

from PySide6.QtCore import QRectF

from app.window.fonts import advance
from app.window.page.brush import Brush
from app.window.page.chord_painter import chord_runs, fitting_size
from app.window.takes_model import Stretch, TakeLine, bar_cost
from core.chart import STANDARD
from core.form import Form

TOP, LINE, GAP, MARGIN = 24.0, 37.0, 14.0, 12.0
CHORD = 19.0
MOST_STROKE = 0.86  # of a bar's width


class Measures(NamedTuple):
    """Where things stand: the width of the names, of a bar, and the dearest bar of all rows."""

    labels: float
    bar: float
    dearest: int

    def x(self, system: Stretch, bar: int) -> float:
        """The left edge of a bar."""
        return self.labels + (bar - system.first) * self.bar


def system_height(lines: int) -> float:
    """How tall a line of bars is with so many rows."""
    return TOP + lines * LINE + GAP


def paint_head(brush: Brush, form: Form, lines: int, system: Stretch, measures: Measures) -> None:
    """Bar lines through so many rows, numbers and sections, with the top of the line of bars at 0."""
    foot = TOP + lines * LINE
    names = {section.first: section.name for section in form.sections if system.first <= section.first < system.last}
    for bar in range(system.first, system.last + 1):
        x, opens = measures.x(system, bar), bar in names
        brush.line(x, 7 if opens else TOP - 2, x, foot, "label" if opens else "hair", 1.0)
        if bar < system.last:
            wide = brush.text(x + 6, TOP - 6, str(form.bars[bar].number), "label", "sans", 11)
            brush.text(x + 14 + wide, TOP - 6, names.get(bar, ""), "label", "serif", 13, "strong")


def paint_row(brush: Brush, line: TakeLine, system: Stretch, measures: Measures) -> None:
    """The chords and costs of one row in a line of bars, with the top of the row at 0."""
    for bar in range(system.first, system.last):
        x = measures.x(system, bar)
        _paint_chords(brush, line, bar, x, 20, measures.bar - 8)
        _paint_cost(brush, line, bar, x, 28, measures)


def _paint_chords(brush: Brush, line: TakeLine, bar: int, x: float, baseline: float, room: float) -> None:
    printed = line.chords(bar)
    ends = [*(one.share for one in printed[1:]), 1.0][: len(printed)]
    sizes = [fitting_size(one.parts, CHORD, room * (end - one.share) - 3)
             for one, end in zip(printed, ends, strict=True)]  # fmt: skip
    size = min(sizes, default=CHORD)  # one size in a bar
    plain = "ink" if line.take.name == STANDARD else "label"  # pale is too weak on the ground of a selection
    for chord in printed:
        ink, weight = ("second", "strong") if chord.apart else (plain, "regular")
        for run in chord_runs(chord.parts, size, weight)[0]:
            at = x + 6 + chord.share * room + run.x
            brush.text(at, baseline + run.y, run.text, ink, "serif", run.pixels, weight)


def _paint_cost(brush: Brush, line: TakeLine, bar: int, x: float, y: float, measures: Measures) -> None:
    cost = bar_cost(line.view, bar)
    if cost:
        wide = max(2.0, abs(cost) / measures.dearest * measures.bar * MOST_STROKE)
        if cost > 0:
            brush.patch(QRectF(x + 6, y, wide, 4), 1, "label")
        else:
            brush.outline(QRectF(x + 6.5, y + 0.5, wide, 3), 1, "second", 1.0)


def name_width(lines: tuple[TakeLine, ...]) -> float:
    """How wide the names of rows are."""
    return max((advance(line.name, "sans", 13.5, "strong") for line in lines), default=0.0) + 2 * MARGIN + 2
