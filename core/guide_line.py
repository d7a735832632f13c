"""The two guide-tone threads of a row: third and seventh as two continuous voices.

The threads are voices, not degrees: where the root falls a fifth the third becomes the seventh and the seventh the
third, and each thread goes on to the nearest tone. A jump in a thread is a jump in the harmony. Sixth chords carry
the 6 for the 7, suspended chords the 4 for the 3, triads the third and the root, an open fifth root and fifth; N.C.
is a gap. A thread is not a verdict. Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from core.chord import Chord, guide_tones
from core.pitch import Degree, chromatic
from core.row import Row

BAND = (52, 74)
"""Lowest and highest MIDI note of a thread."""
CENTRE = 62
WIDEST = 11
"""Semitones between the threads at most; they do not cross."""
_STEP = 2
_JUMP_COST = 3


@dataclass(frozen=True, slots=True)
class ThreadNode:
    """A thread at a slot: MIDI note, spelling on the line of fifths, degree over the chord that is played."""

    midi: int
    fifths: int
    degree: Degree


GuidePair = tuple[ThreadNode, ThreadNode]
"""The lower and the upper thread at a slot."""
_Choice = tuple[tuple[GuidePair, ...], list[int]]


def guide_threads(row: Row) -> tuple[GuidePair | None, ...]:
    """The lower and upper thread for every slot of a row, None at N.C.; least total motion over the whole row.

    Exact: a dynamic programme over every placing of the two tones in :data:`BAND`, steps cheaper than jumps,
    the middle of the band preferred where motion is equal. Deterministic.
    """
    costs: list[int] = []
    previous: tuple[GuidePair, ...] = ()
    choices: list[_Choice | None] = []
    for slot in row:
        if slot.chord is None:
            choices.append(None)
            continue
        pairs = _pairs(slot.chord)
        costs, back = _advance(previous, costs, pairs)
        choices.append((pairs, back))
        previous = pairs
    return _trace(choices, costs)


def _advance(
    previous: tuple[GuidePair, ...], costs: list[int], pairs: tuple[GuidePair, ...]
) -> tuple[list[int], list[int]]:
    if not previous:
        return [8 * _register(pair) for pair in pairs], [0] * len(pairs)
    new_costs, back = [], []
    for pair in pairs:
        totals = [cost + 8 * _motion(old, pair) for cost, old in zip(costs, previous, strict=True)]
        best = min(totals)
        new_costs.append(best + _register(pair))
        back.append(totals.index(best))
    return new_costs, back


def _trace(choices: list[_Choice | None], costs: list[int]) -> tuple[GuidePair | None, ...]:
    index = costs.index(min(costs)) if costs else 0
    nodes: list[GuidePair | None] = []
    for choice in reversed(choices):
        if choice is None:
            nodes.append(None)
            continue
        pairs, back = choice
        nodes.append(pairs[index])
        index = back[index]
    return tuple(reversed(nodes))


def _motion(old: GuidePair, new: GuidePair) -> int:
    total = 0
    for before, after in zip(old, new, strict=True):
        moved = abs(before.midi - after.midi)
        total += moved + (_JUMP_COST if moved > _STEP else 0)
    return total


def _register(pair: GuidePair) -> int:
    return abs(pair[0].midi + pair[1].midi - 2 * CENTRE) // 2


@lru_cache(maxsize=2048)
def _pairs(chord: Chord) -> tuple[GuidePair, ...]:
    tones = guide_tones(chord) or ((chord.root, Degree(1)), (chord.root + 1, Degree(5)))
    placed = [_in_band(fifths, degree) for fifths, degree in tones]
    both = [(one, other) for one in placed[0] for other in placed[1]]
    ordered = [(one, other) if one.midi < other.midi else (other, one) for one, other in both]
    return tuple(pair for pair in ordered if 0 < pair[1].midi - pair[0].midi <= WIDEST)


def _in_band(fifths: int, degree: Degree) -> list[ThreadNode]:
    pitch_class = chromatic(fifths)
    return [ThreadNode(midi, fifths, degree) for midi in range(BAND[0], BAND[1] + 1) if midi % 12 == pitch_class]
