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
from core.swing import Swing

TICKS = 960
"""Ticks per quarter note: halves to sixty-fourths, triplets and quintuplets are whole numbers of them."""
GROUPS = {1: (1,), 2: (2,), 3: (3,), 4: (4,), 5: (3, 2), 6: (3, 3), 7: (4, 3)}
"""How the felt beats of a bar fall into groups; longer bars in fours."""
SWELL, PHRASE = 6, 8
"""How far the band grows over a phrase, in MIDI velocity, and the bars of the longest phrase."""
_MASK = (1 << 64) - 1


@dataclass(frozen=True, slots=True)
class Group:
    """Beats that one cell of a pattern covers: start in ticks, size and felt beat in units, and the unit in ticks."""

    start: int
    size: int
    unit: int
    beat: int

    @property
    def end(self) -> int:
        """Exclusive end in ticks."""
        return self.start + self.size * self.unit

    def is_offbeat(self, tick: int) -> bool:
        """Whether a tick is the last unit of a felt beat."""
        return self.beat > 1 and (tick - self.start) // self.unit % self.beat == self.beat - 1


@dataclass(frozen=True, slots=True)
class GridBar:
    """A played bar in ticks. ``unit`` is half a felt beat, or the pulse where beats have three (``per_beat`` 2 or 3).

    ``anchor`` is a beat in quarter notes that swing is counted from, and only a bar that ``swings`` (its eighths are
    halves of a quarter) has any; in a ``silent`` bar (a pickup) only the tune plays. ``swell`` is what the place in
    its phrase adds to every part's velocity.
    """

    index: int
    start: int
    length: int
    unit: int
    per_beat: int
    groups: tuple[Group, ...]
    anchor: float
    swings: bool
    silent: bool
    opens: bool
    closes: bool
    swell: int = 0

    @property
    def end(self) -> int:
        """Exclusive end in ticks."""
        return self.start + self.length

    def place(self, tick: int, swing: Swing) -> float:
        """Where a tick is played, in quarter notes."""
        return swing.place(tick / TICKS, self.anchor) if self.swings else tick / TICKS


def to_ticks(quarters: Fraction) -> int:
    """A place in quarter notes as ticks, rounded where it does not fall on one."""
    return round(quarters.numerator * TICKS / quarters.denominator)


@lru_cache(maxsize=16)
def grid_of(form: Form) -> tuple[GridBar, ...]:
    """The played bars of a form in ticks."""
    phrases = _phrases(form)
    opens = {first for first, _ in phrases}
    closes = {section.last - 1 for section in form.sections}
    swells = {first + index: round(SWELL * index / max(1, last - first - 1)) - SWELL // 2
              for first, last in phrases for index in range(last - first)}  # fmt: skip
    return tuple(_grid_bar(bar, form.pickup and bar.index == 0, bar.index in opens, bar.index in closes,
                           swells.get(bar.index, 0)) for bar in form.bars)  # fmt: skip


def _phrases(form: Form) -> list[tuple[int, int]]:
    """Sections, long ones cut into phrases, as bar indexes (first, exclusive last)."""
    return [(first, min(first + PHRASE, section.last))
            for section in form.sections for first in range(section.first, section.last, PHRASE)]  # fmt: skip


def _grid_bar(bar: Bar, silent: bool, opens: bool, closes: bool, swell: int) -> GridBar:
    start, length = to_ticks(bar.start), to_ticks(bar.length)
    unit, per_beat = unit_of(bar.meter)
    anchor = float(bar.end) if silent else float(bar.start)
    groups = _groups(start, length // unit, unit, per_beat)
    swings = per_beat == 2 and 2 * unit == TICKS
    return GridBar(bar.index, start, length, unit, per_beat, groups, anchor, swings, silent, opens, closes, swell)


def unit_of(meter: Meter) -> tuple[int, int]:
    """Ticks of a unit and units in a felt beat: the pulse and 3 in compound and additive metres, else half a beat, 2.

    Halves count as two quarters each, so 2/2 is played like 4/4.
    """
    if meter.is_compound or meter.denominator >= 8:
        return to_ticks(meter.pulse), 3
    return to_ticks(min(meter.beat, Fraction(1))) // 2, 2


def felt_beats(meter: Meter) -> tuple[Fraction, ...]:
    """Where a full bar is counted, in quarter notes: every beat; in compound and additive metres every group."""
    unit, per_beat = unit_of(meter)
    if per_beat == 2:
        return tuple(meter.beat * index for index in range(meter.beats))
    groups = _groups(0, to_ticks(meter.length) // unit, unit, per_beat)
    return tuple(Fraction(group.start + beat * unit, TICKS) for group in groups
                 for beat in range(0, group.size, group.beat))  # fmt: skip


def _groups(start: int, units: int, unit: int, per_beat: int) -> tuple[Group, ...]:
    groups, at = [], start
    for size in _additive(units) if per_beat == 3 else _by_beats(units):
        beat = per_beat if size % per_beat == 0 else size
        groups.append(Group(at, size, unit, beat))
        at += size * unit
    return tuple(groups)


def _by_beats(units: int) -> tuple[int, ...]:
    beats, rest = divmod(units, 2)
    in_beats = GROUPS.get(beats) or (4,) * (beats // 4) + GROUPS.get(beats % 4, ())
    return (*(2 * size for size in in_beats), *([rest] if rest else []))


def _additive(pulses: int) -> tuple[int, ...]:
    """Sixes where the threes come out even; else threes first and one or two twos at the end: 3 + 3 + 3 + 2, 3 + 2.

    Seven is 2 + 2 + 3, whose strong places are those of ``Meter.strong_places``.
    """
    threes, rest = divmod(pulses, 3)
    if rest == 0:
        return (6,) * (threes // 2) + (3,) * (threes % 2)
    if pulses == 7:
        return (2, 2, 3)
    if rest == 2:
        return (3,) * threes + (2,)
    return (3,) * (threes - 1) + (2, 2) if threes else (1,)


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
