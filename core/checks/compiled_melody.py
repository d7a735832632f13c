"""A melody cut into whole ticks, so that what the melody check asks of its notes is worked out once for each stretch.

Notes are packed into one integer, twelve bits (C to B) a level: the second note of a pitch class stands on the second
level. ``mask * ones`` repeats a chord's mask on every level, and counting bits counts notes.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from math import lcm
from typing import NamedTuple

from core.chart import Melody
from core.checks.melody import EIGHTH, HELD
from core.form import Form

PASSING, LOOSE, STRUCTURAL = range(3)
"""The weight of a note: structural notes can clash, loose ones (longer than an eighth) want care at most."""
NO_NOTE = -1


class Stretch(NamedTuple):
    """The notes of a stretch of time as packed levels; ``last`` (pitch class, weight, whether held) may anticipate."""

    ones: int
    structural: int
    loose: int
    held: int
    last: int
    last_weight: int
    last_held: bool


@dataclass(frozen=True, slots=True)
class CompiledMelody:
    """A melody and its bars in whole ticks, ``grid`` ticks to the quarter note. Made by :func:`compile_melody`."""

    grid: int
    onsets: tuple[int, ...]
    ends: tuple[int, ...]
    pitch_classes: tuple[int, ...]
    bar_starts: tuple[int, ...]
    beats: tuple[int, ...]
    strong_places: tuple[frozenset[int], ...]
    eighth: int
    long: int
    _stretches: dict[tuple[int, int, int, int], Stretch] = field(default_factory=dict, compare=False, repr=False)

    def stretch(self, start: Fraction, end: Fraction) -> Stretch:
        """The notes from start to end, in quarter notes; kept, so that asking again is only a look."""
        place = (start.numerator, start.denominator, end.numerator, end.denominator)
        found = self._stretches.get(place)
        if found is None:
            scale = lcm(self.grid, start.denominator, end.denominator) // self.grid
            grid = self.grid * scale
            found = self._cut(int(start * grid), int(end * grid), scale)
            self._stretches[place] = found
        return found

    def _cut(self, start: int, end: int, scale: int) -> Stretch:
        """``start`` and ``end`` in ticks finer than the grid by ``scale``, where a chord begins off the grid."""
        notes_of: tuple[list[int], ...] = ([], [], [])
        long: list[int] = []
        last, last_weight, last_held = NO_NOTE, PASSING, False
        notes = list(self._sounding(start, end, scale))
        for position, index in enumerate(notes):
            onset, stop = self.onsets[index] * scale, self.ends[index] * scale
            weight, is_held = self._weight(onset, stop, start, end, scale)
            pitch_class = self.pitch_classes[index]
            if position == len(notes) - 1 and self._may_anticipate(onset, stop, start, end, scale):
                last, last_weight, last_held = pitch_class, weight, is_held
                break
            notes_of[weight].append(pitch_class)
            if is_held:
                long.append(pitch_class)
        structural, loose, held = packed(notes_of[STRUCTURAL]), packed(notes_of[LOOSE]), packed(long)
        return Stretch(ones_over(structural, loose, held), structural, loose, held, last, last_weight, last_held)

    def _sounding(self, start: int, end: int, scale: int) -> Iterator[int]:
        """Indexes of the notes that sound at some time from start to end."""
        first = bisect_right(self.onsets, start, key=lambda onset: onset * scale)
        if first and self.ends[first - 1] * scale > start:
            first -= 1
        return iter(range(first, bisect_left(self.onsets, end, key=lambda onset: onset * scale)))

    def _weight(self, onset: int, stop: int, start: int, end: int, scale: int) -> tuple[int, bool]:
        """Structural, loose or passing, and whether held, of the part of a note that sounds from start to end."""
        clipped = max(onset, start)
        duration = min(stop, end) - clipped
        bar = self._bar(clipped, scale)
        short = duration <= self.eighth * scale
        structural = duration >= self.beats[bar] * scale or self._is_strong(bar, clipped, scale)
        if structural and not (onset < start and short):
            return STRUCTURAL, duration >= self.long * scale
        return (PASSING if short else LOOSE), duration >= self.long * scale

    def _is_strong(self, bar: int, at: int, scale: int) -> bool:
        into, rest = divmod(at - self.bar_starts[bar] * scale, scale)
        return rest == 0 and into in self.strong_places[bar]

    def _may_anticipate(self, onset: int, stop: int, start: int, end: int, scale: int) -> bool:
        """Whether the last note of a stretch begins late enough in it, at the middle at least, for the next chord."""
        beat = self.beats[self._bar(max(onset, start), scale)] * scale
        twice_window = 2 * beat if stop > end else min(2 * self.eighth * scale, beat)
        return 2 * onset >= 2 * end - min(twice_window, end - start)

    def _bar(self, at: int, scale: int) -> int:
        return max(0, bisect_right(self.bar_starts, at // scale) - 1)


def compile_melody(melody: Melody, form: Form) -> CompiledMelody:
    """Cut a melody (one voice, in order) over the bars of a form into whole ticks."""
    bars = form.bars
    strong = [bar.meter.strong_places() for bar in bars]
    times = [time for note in melody for time in (note.onset, note.end)]
    times += [time for bar, places in zip(bars, strong, strict=True) for time in (bar.start, bar.meter.beat, *places)]
    grid = lcm(EIGHTH.denominator, HELD.denominator, *{time.denominator for time in times})

    def ticks(time: Fraction) -> int:
        return time.numerator * (grid // time.denominator)

    return CompiledMelody(
        grid,
        tuple(ticks(note.onset) for note in melody),
        tuple(ticks(note.end) for note in melody),
        tuple(note.pitch.midi % 12 for note in melody),
        tuple(ticks(bar.start) for bar in bars),
        tuple(ticks(bar.meter.beat) for bar in bars),
        tuple(frozenset(ticks(place) for place in places) for places in strong),
        ticks(EIGHTH),
        ticks(HELD),
    )


def packed(pitch_classes: Iterable[int]) -> int:
    """Pitch classes as bits, one that comes again a level higher."""
    bits = 0
    for pitch_class in pitch_classes:
        bits |= 1 << (12 * _free_level(bits, pitch_class) + pitch_class)
    return bits


def ones_over(*packs: int) -> int:
    """What to multiply a mask by so that it stands on every level that some packs of notes reach."""
    levels = (max(pack.bit_length() for pack in packs) + 11) // 12
    return sum(1 << (12 * level) for level in range(max(1, levels)))


def _free_level(bits: int, pitch_class: int) -> int:
    """The lowest level on which a pitch class does not stand yet."""
    level = 0
    while bits >> (12 * level + pitch_class) & 1:
        level += 1
    return level
