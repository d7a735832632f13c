"""Where everything on the page stands. Plain Python: sizes are pixels at a zoom of 1, y grows downwards.

A page is a column of systems; a system is a run of bars over six lanes: tune staff, standard chords, seam, take
chords, guide-tone threads. Bars share a width; time runs evenly inside a bar, so that notes, chords and thread nodes
of one moment stand under each other.

Most of the page's values are named tuples: a frozen dataclass takes a millisecond to make, and twenty of them would
stand between the start and the first paint. Those with an ``index`` of their own are dataclasses.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

STAFF_SPACE = 7.0
TOP_LINE_STEP, BOTTOM_LINE_STEP = 38, 30  # F5 and E4 in diatonic steps above C0
MARGIN = 26.0  # of the paper
SIGNATURE_STEP = 6.6  # width of one accidental of the key signature
GUTTER = 74.0  # section name and clef before the first bar line
BAR_LEFT, BAR_RIGHT = 14.0, 8.0  # clear of the bar lines
MIN_BAR_WIDTH = 168.0
NAMES_LANE = 14.0  # of the letters under the notes, over the standard
NARROWEST_BAR = 92.0
MAX_BARS, MIN_BARS, USUAL_BARS = 6, 2, 4
WIDE_BAR = 330.0  # beyond this width a system takes more than four bars


@dataclass(frozen=True, slots=True)
class BarSpec:
    """What the page must know of a bar: its time, whether a system must begin here, and its tune's range.

    ``weight`` is its length against a full bar (a pickup is less than 1); ``low`` and ``high`` are staff steps;
    ``head`` is room for a section name over the staff.
    """

    index: int
    start: Fraction
    length: Fraction
    weight: float = 1.0
    breaks: bool = False
    low: int = BOTTOM_LINE_STEP
    high: int = TOP_LINE_STEP
    head: float = 0.0


class Lanes(NamedTuple):
    """Heights inside a system, from its top: lines and baselines."""

    staff_top: float
    staff_bottom: float
    standard: float
    seam: float
    take: float
    threads_top: float
    threads_bottom: float
    height: float


@dataclass(frozen=True, slots=True)
class BarBox:
    """A bar on the page: left bar line, width, and its time."""

    index: int
    x: float
    width: float
    start: Fraction
    length: Fraction

    @property
    def right(self) -> float:
        """The right bar line."""
        return self.x + self.width

    def x_at(self, onset: Fraction | float) -> float:
        """Where a moment of this bar stands."""
        share = float((onset - self.start) / self.length) if self.length else 0.0
        return self.x + BAR_LEFT + share * (self.width - BAR_LEFT - BAR_RIGHT)

    def onset_at(self, x: float) -> float:
        """The moment at a place, held inside the bar, in quarter notes."""
        share = (x - self.x - BAR_LEFT) / max(1.0, self.width - BAR_LEFT - BAR_RIGHT)
        return float(self.start) + min(1.0, max(0.0, share)) * float(self.length)


@dataclass(frozen=True, slots=True)
class SystemBox:
    """A system: its place on the page, its lanes, its bars."""

    index: int
    top: float
    lanes: Lanes
    bars: tuple[BarBox, ...]

    @property
    def bottom(self) -> float:
        """Exclusive lower edge."""
        return self.top + self.lanes.height

    @property
    def left(self) -> float:
        """First bar line."""
        return self.bars[0].x

    @property
    def right(self) -> float:
        """Last bar line."""
        return self.bars[-1].right


class PageGeometry(NamedTuple):
    """All systems; ``width`` and ``height`` are of the whole page."""

    width: float
    height: float
    systems: tuple[SystemBox, ...]
    gutter: float

    def system_of(self, bar_index: int) -> SystemBox:
        """The system a bar stands in; raises IndexError for a bar that is not on the page."""
        if not self.systems or not 0 <= bar_index <= self.systems[-1].bars[-1].index:
            raise IndexError(bar_index)
        firsts = [system.bars[0].index for system in self.systems]
        return self.systems[bisect_right(firsts, bar_index) - 1]

    def bar_box(self, bar_index: int) -> BarBox:
        """The box of a bar; raises IndexError."""
        system = self.system_of(bar_index)
        return system.bars[bar_index - system.bars[0].index]

    def system_at(self, y: float) -> SystemBox | None:
        """The system at a height, or None between and beyond."""
        found = next((system for system in self.systems if y < system.bottom), None)
        return found if found and y >= found.top else None

    def bar_at(self, x: float, y: float) -> BarBox | None:
        """The bar at a place, or None beside the systems."""
        system = self.system_at(y)
        return next((bar for bar in system.bars if bar.x <= x < bar.right), None) if system else None

    def nearest_bar(self, x: float, y: float) -> BarBox | None:
        """The bar at or nearest to a place: for dragging beyond the edge."""
        if not self.systems:
            return None
        system = next((system for system in self.systems if y < system.bottom), self.systems[-1])
        return min(system.bars, key=lambda bar: max(bar.x - x, x - bar.right, 0.0))

    def bar_index_at(self, onset: float) -> int:
        """The bar in which a moment lies."""
        boxes = [bar for system in self.systems for bar in system.bars]
        return max(0, bisect_right(boxes, onset, key=lambda bar: float(bar.start)) - 1)


def bars_per_system(width: float, gutter: float, wished: int = 0) -> int:
    """Bars in a system for a page width: four unless they become too narrow or very wide; or as many as are wished.

    A wish is kept until two chords in a bar would touch.
    """
    room = width - 2 * MARGIN - gutter
    if wished:
        return max(1, min(wished, int(room // NARROWEST_BAR)))
    if room / USUAL_BARS < MIN_BAR_WIDTH:
        return max(MIN_BARS, min(USUAL_BARS, int(room // MIN_BAR_WIDTH)))
    return min(MAX_BARS, max(USUAL_BARS, int(room // WIDE_BAR)))


def gutter_width(signature: int, with_meter: bool) -> float:
    """Room before the first bar line for section name, clef, signature and metre."""
    return GUTTER + abs(signature) * SIGNATURE_STEP + (20.0 if with_meter else 6.0)


def lanes(low: int, high: int, with_staff: bool = True, head: float = 0.0, with_take: bool = True,
          with_names: bool = False) -> Lanes:  # fmt: skip
    """The lanes of a system whose tune runs between two staff steps (stems and ledger lines included)."""
    half = STAFF_SPACE / 2
    above = max(20.0, (high - TOP_LINE_STEP) * half + 16.0)
    below = max(15.0, (BOTTOM_LINE_STEP - low) * half + 10.0)
    staff_top = head + (above if with_staff else 6.0)
    staff_bottom = staff_top + (4 * STAFF_SPACE if with_staff else 0.0)
    standard = staff_bottom + (below if with_staff else 6.0) + 23.0 + (NAMES_LANE if with_names and with_staff else 0)
    seam, take = (standard + 25.0, standard + 53.0) if with_take else (standard + 6.0, standard)
    threads_top = take + 24.0
    threads_bottom = threads_top + 32.0
    return Lanes(staff_top, staff_bottom, standard, seam, take, threads_top, threads_bottom, threads_bottom + 26.0)


def lay_out(bars: tuple[BarSpec, ...], width: float, signature: int, *, with_staff: bool = True,
            with_meter: bool = True, with_take: bool = True, per_line: int = 0,
            with_names: bool = False) -> PageGeometry:  # fmt: skip
    """Place every bar on a page of a width in pixels. A section begins a system; a pickup joins the first.

    ``per_line`` is how many bars a system is to have, 0 for as many as suit the width.
    """
    gutter = gutter_width(signature, with_meter) if with_staff else GUTTER * 0.62
    per_system = bars_per_system(width, gutter, per_line)
    full = (width - 2 * MARGIN - gutter) / per_system
    systems: list[SystemBox] = []
    top = MARGIN * 0.6
    for run in _runs(bars, per_system):
        shape = lanes(min(bar.low for bar in run), max(bar.high for bar in run), with_staff,
                      max(bar.head for bar in run), with_take, with_names)  # fmt: skip
        systems.append(SystemBox(len(systems), top, shape, _boxes(run, MARGIN + gutter, full, per_system)))
        top += shape.height
    return PageGeometry(width, top + MARGIN * 0.4, tuple(systems), gutter)


def _runs(bars: tuple[BarSpec, ...], per_system: int) -> list[list[BarSpec]]:
    """Bars of each system: full systems, broken where a section begins."""
    runs: list[list[BarSpec]] = []
    for bar in bars:
        whole = sum(1 for other in runs[-1] if other.weight >= 1) if runs else 0
        pickup_only = bool(runs) and whole == 0
        if not runs or (whole >= per_system) or (bar.breaks and not pickup_only):
            runs.append([])
        runs[-1].append(bar)
    return runs


def _boxes(run: list[BarSpec], left: float, full: float, per_system: int) -> tuple[BarBox, ...]:
    weights = [max(0.4, min(1.0, bar.weight)) for bar in run]
    scale = min(1.0, per_system / sum(weights))
    boxes, x = [], left
    for bar, weight in zip(run, weights, strict=True):
        width = full * scale * weight
        boxes.append(BarBox(bar.index, x, width, bar.start, bar.length))
        x += width
    return tuple(boxes)
