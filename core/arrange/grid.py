"""The grid an arrangement is written on: bars in integer ticks, rows in ticks, and a die that remembers nothing."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from core.chord import Chord
from core.form import Bar, Form
from core.meter import Meter
from core.row import Row

TICKS = 960
"""Ticks per quarter note: halves to sixty-fourths, triplets and quintuplets are whole numbers of them."""
GROUPS = {1: (1,), 2: (2,), 3: (3,), 4: (4,), 5: (3, 2), 6: (3, 3), 7: (4, 3)}
"""How the felt beats of a bar fall into groups; longer bars in fours."""
_MASK = (1 << 64) - 1


@dataclass(frozen=True, slots=True)
class Group:
    """Beats that one cell of a pattern covers: start in ticks, size in units, and the unit in ticks."""

    start: int
    size: int
    unit: int


@dataclass(frozen=True, slots=True)
class GridBar:
    """A played bar in ticks. ``unit`` is half a felt beat, or the pulse of a compound metre (``per_beat`` 2 or 3).

    ``anchor`` is a beat in quarter notes that swing is counted from; in a ``silent`` bar (a pickup) only the tune
    plays.
    """

    index: int
    start: int
    length: int
    unit: int
    per_beat: int
    groups: tuple[Group, ...]
    anchor: float
    silent: bool
    opens: bool
    closes: bool

    @property
    def end(self) -> int:
        """Exclusive end in ticks."""
        return self.start + self.length


def to_ticks(quarters: Fraction) -> int:
    """A place in quarter notes as ticks, rounded where it does not fall on one."""
    return round(quarters.numerator * TICKS / quarters.denominator)


def grid_of(form: Form) -> tuple[GridBar, ...]:
    """The played bars of a form in ticks."""
    opens = {section.first for section in form.sections}
    closes = {section.last - 1 for section in form.sections}
    return tuple(_grid_bar(bar, form.pickup and bar.index == 0, bar.index in opens, bar.index in closes)
                 for bar in form.bars)  # fmt: skip


def _grid_bar(bar: Bar, silent: bool, opens: bool, closes: bool) -> GridBar:
    start, length = to_ticks(bar.start), to_ticks(bar.length)
    unit, per_beat = unit_of(bar.meter)
    anchor = float(bar.end) if silent else float(bar.start)
    groups = _groups(start, length // unit, unit, per_beat)
    return GridBar(bar.index, start, length, unit, per_beat, groups, anchor, silent, opens, closes)


def unit_of(meter: Meter) -> tuple[int, int]:
    """Ticks of a unit and units in a felt beat: the pulse and 3 in compound metres, half a beat and 2 in others.

    Halves count as two quarters each, so 2/2 is played like 4/4.
    """
    if meter.is_compound:
        return to_ticks(meter.pulse), 3
    return to_ticks(min(meter.beat, Fraction(1))) // 2, 2


def _groups(start: int, units: int, unit: int, per_beat: int) -> tuple[Group, ...]:
    beats, rest = divmod(units, per_beat)
    if per_beat == 3:
        sizes = [6] * (beats // 2) + [3] * (beats % 2)
    else:
        in_beats = GROUPS.get(beats) or (4,) * (beats // 4) + GROUPS.get(beats % 4, ())
        sizes = [2 * size for size in in_beats]
    sizes += [rest] if rest else []
    groups, at = [], start
    for size in sizes:
        groups.append(Group(at, size, unit))
        at += size * unit
    return tuple(groups)


class TickRow:
    """A row in ticks: ``starts`` of its slots and their chords, for quick look-up."""

    __slots__ = ("chords", "ends", "starts")

    def __init__(self, row: Row) -> None:
        self.starts = [to_ticks(slot.onset) for slot in row]
        self.ends = [*self.starts[1:], to_ticks(row[-1].end)] if row else []
        self.chords: list[Chord | None] = [slot.chord for slot in row]

    def index_at(self, tick: int) -> int:
        """Index of the slot that sounds at a tick."""
        return max(0, bisect_right(self.starts, tick) - 1)

    def changes(self) -> set[int]:
        """Ticks at which another chord begins than the one before."""
        return {start for index, start in enumerate(self.starts)
                if index == 0 or self.chords[index] != self.chords[index - 1]}  # fmt: skip


@lru_cache(maxsize=1 << 16)
def dice(seed: int, *keys: int) -> float:
    """A number 0 ≤ x < 1 that depends on nothing but its arguments, so an edit leaves far bars as they were.

    The mixing is the finalizer of splitmix64 (Steele, Lea and Flood, OOPSLA 2014).
    """
    state = seed & _MASK
    for key in keys:
        state = (state + 0x9E3779B97F4A7C15 * (key + 1)) & _MASK
        state = ((state ^ (state >> 30)) * 0xBF58476D1CE4E5B9) & _MASK
        state = ((state ^ (state >> 27)) * 0x94D049BB133111EB) & _MASK
        state ^= state >> 31
    return state / (1 << 64)
