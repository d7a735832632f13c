"""Played times to written ones: a grid for every beat, swung eighths recognised, note values tidied.

A beat of a part is written in the coarsest of halves, quarters, thirds, sixths, eighths and fifths that its onsets
lie on, a coarser one being preferred where the onsets are no nearer to a finer one. Eighths count as swung where most
beats hold a single onset past the middle (0.55 to 0.74 of the beat; from even to a dotted eighth lies 0.5 to 0.75) and
few a plain one. Weights are judgement, no source.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import median

GRIDS = ((1, 0.0), (2, 0.004), (4, 0.012), (3, 0.016), (6, 0.04), (8, 0.045), (5, 0.055), (12, 0.07))
"""Parts of a beat, and how near (in beats, on average) a finer one must come to be worth it."""
EIGHTHS_ONLY = ((1, 0.0), (2, 0.0))
SWUNG_FROM, SWUNG_TO = 0.55, 0.74
LEAST_SWUNG = 4
EXACT = 48
_LONGEST_GAP = Fraction(1, 6)

Played = tuple[Fraction, Fraction, int]
"""Onset, end (quarter notes) and pitch of a note."""


@dataclass(frozen=True, slots=True)
class Swing:
    """Where the second eighth of a beat is played (a share of the beat), and the beats that hold real triplets."""

    share: Fraction
    triplets: frozenset[int]

    def even(self, at: Fraction) -> Fraction:
        """A played time as it would be with even eighths."""
        beat = int(at // 1)
        inside = at - beat
        if beat in self.triplets or not inside:
            return at
        if inside <= self.share:
            return beat + inside / self.share / 2
        return beat + Fraction(1, 2) + (inside - self.share) / (1 - self.share) / 2


def swing_of(notes: Sequence[Played]) -> Swing | None:
    """The swing of a performance; None where its eighths are even."""
    inside: dict[int, list[Fraction]] = {}
    for onset, _, _ in notes:
        place = onset % 1
        if Fraction(1, 12) < place < Fraction(11, 12):
            inside.setdefault(int(onset // 1), []).append(place)
    shares = [places[0] for places in inside.values() if max(places) - min(places) < Fraction(1, 16)]
    swung = [share for share in shares if SWUNG_FROM <= share <= SWUNG_TO]
    even = sum(Fraction(9, 20) <= share < Fraction(11, 20) for share in shares)
    if len(swung) < LEAST_SWUNG or len(swung) < 3 * even:
        return None
    triplets = frozenset(beat for beat, places in inside.items()
                         if any(Fraction(1, 4) < place < Fraction(9, 20) for place in places))  # fmt: skip
    if len(triplets) > len(swung):
        return None
    return Swing(Fraction(median(swung)).limit_denominator(96), triplets)


def quantised(notes: Sequence[Played], grids: Sequence[tuple[int, float]] | None) -> list[Played]:
    """Notes on the grid of their beats (None: on a forty-eighth), sorted; a note has at least the grid's length."""
    beats: dict[int, list[Fraction]] = {}
    for onset, _, _ in notes:
        beats.setdefault(int((onset + Fraction(1, 16)) // 1), []).append(onset)
    sizes = {beat: EXACT if grids is None else _grid(places, beat, grids) for beat, places in beats.items()}

    def nearest(at: Fraction, sizes_of: Callable[[int], int]) -> Fraction:
        size = sizes_of(int((at + Fraction(1, 16)) // 1))
        return Fraction(round(at * size), size)

    result = []
    for onset, end, pitch in notes:
        own = sizes[int((onset + Fraction(1, 16)) // 1)]
        start = nearest(onset, lambda _beat, size=own: size)  # type: ignore[misc]
        stop = nearest(end, lambda beat, size=own: sizes.get(beat, max(2, size)))  # type: ignore[misc]
        result.append((start, max(stop, start + Fraction(1, max(2, own))), pitch))
    return _tidied(sorted(result))


def _grid(places: list[Fraction], beat: int, grids: Sequence[tuple[int, float]]) -> int:
    inside = [float(place - beat) for place in places]

    def cost(row: tuple[int, float]) -> float:
        size, price = row
        off = sum(abs(place * size - round(place * size)) / size for place in inside) / len(inside)
        squeezed = len(inside) - len({round(place * size) for place in inside})
        return off + price + (0.02 * squeezed if size < 12 else 0)

    return min(grids, key=cost)[0]


def _tidied(notes: list[Played]) -> list[Played]:
    """Small gaps before the next onset are closed: they are touch, not rests."""
    onsets = sorted({onset for onset, _, _ in notes})
    tidy = []
    for onset, end, pitch in notes:
        at = bisect_right(onsets, onset)
        following = onsets[at] if at < len(onsets) else None
        if following is not None and end < following <= end + _LONGEST_GAP:
            end = following
        tidy.append((onset, end, pitch))
    return tidy
