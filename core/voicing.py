"""Rootless piano voicings, led smoothly over a whole row.

A voicing lies in the middle register, in close position: top note from middle C up an octave where it can be (MIDI 60
to 72, 76 at most), no note below 48, the low interval limits kept, the assumed root below included, no minor ninth
inside (but root to ♭9 of a dominant), the top below the melody and no voice a semitone from a held melody note.

Over a row the voicings are chosen together by an exact dynamic programme that weighs the motion of every voice, leaps,
the motion of the top, and register. Everything is an integer and ties fall to the earlier candidate, so the same row
is voiced the same way every time.

Sources: nearest voicing, common tones held, no voice but the root further than a minor third: common practice, no
source; the costs are ours. Tones and their placing have modules and sources of their own.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import combinations
from operator import add

from core.chart import Melody
from core.chord import Chord, in_context
from core.pitch import Degree
from core.row import ZERO, Row
from core.voicing_sets import kind_of
from core.voicing_shapes import LOW_INTERVAL_LIMITS, LOWEST, TOP_CEILING, Shape, shapes_of

__all__ = ["LOW_INTERVAL_LIMITS", "Voicing", "voice_chord", "voice_row"]

LARGEST_STEP = 3
VOICE_COST = 8
LIKENESS = 8
CANDIDATES = 12
_ONE = Fraction(1)


@dataclass(frozen=True, slots=True)
class Voicing:
    """Notes for a slot, lowest first, as MIDI numbers, each with its degree over the chord that is played.

    ``onset`` and ``duration`` are the slot's, in quarter notes.
    """

    onset: Fraction
    duration: Fraction
    notes: tuple[int, ...]
    degrees: tuple[Degree, ...]


@dataclass(frozen=True, slots=True)
class _Held:
    """What the melody holds during a slot: the MIDI numbers of notes a beat long or longer, and the lowest of all."""

    notes: tuple[int, ...] = ()
    lowest: int | None = None


_NOTHING_HELD = _Held()


class _Layer:
    """The candidates for one slot. Compared by identity: equal slots share one through the cache."""

    __slots__ = ("shapes",)

    def __init__(self, shapes: tuple[Shape, ...]) -> None:
        self.shapes = shapes


def voice_row(row: Row, melody: Melody = (), beside: tuple[Voicing | None, ...] = ()) -> tuple[Voicing | None, ...]:
    """A voicing for every slot of a row, None at N.C. ``melody`` lies on the same played time as the row.

    ``beside`` are the voicings of another row: where the two agree the same notes are preferred, so that a comparison
    by ear finds nothing but the changes changed.
    """
    played = [in_context(slot.chord) if slot.chord is not None else None for slot in row]
    held = _held(row, melody) if melody else [_NOTHING_HELD] * len(row)
    layers = [
        _candidates(chord, kind_of(chord, _before(played, index), _after(played, index)), held[index])
        if chord is not None
        else None
        for index, chord in enumerate(played)
    ]
    model = {voicing.onset: voicing.notes for voicing in beside if voicing is not None}
    chosen = _smoothest(layers, [model.get(slot.onset) for slot in row])
    return tuple(
        None if shape is None else Voicing(slot.onset, slot.duration, shape.notes, shape.degrees)
        for slot, shape in zip(row, chosen, strict=True)
    )


def voice_chord(chord: Chord, previous: Voicing | None = None, following: Chord | None = None) -> Voicing:
    """One chord by itself, near ``previous`` where that is given; the voicing starts at 0 and lasts a quarter note.

    ``following`` is the next chord, which decides the colours of a plain dominant.
    """
    played = in_context(chord)
    target = None if following is None else in_context(following)
    shapes = _candidates(played, kind_of(played, None, target), _NOTHING_HELD).shapes
    shape = min(shapes, key=lambda s: s.cost + (0 if previous is None else _motion(previous.notes, s.notes)))
    return Voicing(ZERO, _ONE, shape.notes, shape.degrees)


# --- the neighbours that decide the colours ---------------------------------------------------------------------


def _before(played: list[Chord | None], index: int) -> Chord | None:
    return next((chord for chord in reversed(played[max(0, index - 2) : index]) if chord is not None), None)


def _after(played: list[Chord | None], index: int) -> Chord | None:
    """The next chord on another root, at most three slots on: a sus chord and its dominant have one target.

    The row comes round again: its last chord leads to its first.
    """
    here = played[index]
    ahead = [*played[index + 1 : index + 4], *played[: max(0, index + 4 - len(played))]]
    return next((chord for chord in ahead
                 if chord is not None and here is not None and chord.root_pc != here.root_pc), None)  # fmt: skip


def _held(row: Row, melody: Melody) -> list[_Held]:
    """For each slot the melody notes that sound in it for a beat or for the whole of it."""
    held, first = [], 0
    notes = [(float(note.onset), float(note.end), note.pitch.midi) for note in melody]
    for slot in row:
        start, stop = float(slot.onset), float(slot.end)
        while first < len(notes) and notes[first][1] <= start:
            first += 1
        inside, index, needed = [], first, min(1.0, stop - start) - 1e-6
        while index < len(notes) and notes[index][0] < stop:
            onset, end, midi = notes[index]
            if min(end, stop) - max(onset, start) >= needed:
                inside.append(midi)
            index += 1
        held.append(_Held(tuple(inside), min(inside)) if inside else _NOTHING_HELD)
    return held


# --- candidates ---------------------------------------------------------------------------------------------------


@lru_cache(maxsize=8192)
def _candidates(chord: Chord, kind: str, held: _Held) -> _Layer:
    """The best shapes for a chord under a melody: laws first, relaxed one by one only where nothing else is left."""
    shapes = shapes_of(chord, kind, any(note % 12 == chord.root_pc for note in held.notes))
    if held.lowest is not None:
        for law in (_clear_of, _below_and_apart, _apart):
            lawful = tuple(shape for shape in shapes if law(shape, held))
            if lawful:
                shapes = lawful
                break
        shapes = tuple(_under(shape, held) for shape in shapes)
    return _Layer(tuple(sorted(shapes, key=lambda shape: shape.cost)[:CANDIDATES]))


def _clear_of(shape: Shape, held: _Held) -> bool:
    """Below the melody, with neither a semitone nor a minor ninth to it."""
    return _below_and_apart(shape, held) and all(note - voice != 13 for note in held.notes for voice in shape.notes)


def _below_and_apart(shape: Shape, held: _Held) -> bool:
    return held.lowest is not None and shape.notes[-1] < held.lowest and _apart(shape, held)


def _apart(shape: Shape, held: _Held) -> bool:
    return all(abs(note - voice) != 1 for note in held.notes for voice in shape.notes)


def _under(shape: Shape, held: _Held) -> Shape:
    """A colour nobody wrote costs extra where its pitch class rubs against the melody's."""
    rubs = sum((note - free) % 12 in (1, 11) for note in held.notes for free in shape.free)
    return Shape(shape.notes, shape.degrees, shape.cost + 12 * rubs, shape.free) if rubs else shape


# --- leading ------------------------------------------------------------------------------------------------------


def _smoothest(layers: list[_Layer | None], models: list[tuple[int, ...] | None]) -> list[Shape | None]:
    """The cheapest path through the layers; silence is passed over and the hand goes on from where it was."""
    costs: list[int] = []
    previous: _Layer | None = None
    backs: list[list[int]] = []
    for layer, model in zip(layers, models, strict=True):
        if layer is None:
            backs.append([])
            continue
        own = [shape.cost - (LIKENESS if shape.notes == model else 0) for shape in layer.shapes]
        if previous is None:
            costs, back = own, [0] * len(own)
        else:
            ways = [list(map(add, costs, column)) for column in _motions(previous, layer)]
            best = [min(way) for way in ways]
            back = [way.index(least) for way, least in zip(ways, best, strict=True)]
            costs = list(map(add, best, own))
        previous = layer
        backs.append(back)
    return _traced(layers, backs, costs)


def _traced(layers: list[_Layer | None], backs: list[list[int]], costs: list[int]) -> list[Shape | None]:
    index = costs.index(min(costs)) if costs else 0
    chosen: list[Shape | None] = []
    for layer, back in zip(reversed(layers), reversed(backs), strict=True):
        chosen.append(None if layer is None else layer.shapes[index])
        index = index if layer is None else back[index]
    return chosen[::-1]


@lru_cache(maxsize=4096)
def _motions(old: _Layer, new: _Layer) -> tuple[tuple[int, ...], ...]:
    """For each new shape what it costs to come from each old one; layers are known by identity, so this is quick."""
    return tuple(tuple(_motion(before.notes, after.notes) for before in old.shapes) for after in new.shapes)


# The way of one voice by signed distance (negative indexes count from the end): twice its size, leaps dearer.
_WAY: list[int] = [
    2 * abs(step) + 6 * max(0, abs(step) - LARGEST_STEP)
    for step in (*range(TOP_CEILING - LOWEST + 1), *range(LOWEST - TOP_CEILING, 0))
]


@lru_cache(maxsize=65536)
def _motion(old: tuple[int, ...], new: tuple[int, ...]) -> int:
    """What it costs a hand to go on: every voice's way, the top's once more, voices that appear or disappear."""
    if len(old) == len(new):
        return sum([_WAY[before - after] for before, after in zip(old, new, strict=True)]) + abs(old[-1] - new[-1])
    few, many = (old, new) if len(old) < len(new) else (new, old)
    best = min(sum(_WAY[one - other] for one, other in zip(few, kept, strict=True))
               for kept in combinations(many, len(few)))  # fmt: skip
    return best + abs(old[-1] - new[-1]) + VOICE_COST * (len(many) - len(few))
