"""Which placings of a chord are open under a melody: laws first, relaxed one by one only where nothing else is left."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from types import MappingProxyType
from typing import Protocol

from core.chart import Melody
from core.chord import Chord
from core.voicing_shapes import Shape, VoicingStyle, shapes_of

CANDIDATES = 12
"""Placings kept for each place; more change next to nothing."""
_CLOSE: dict[VoicingStyle, VoicingStyle] = {"drop 2": "rootless", "spread": "rootless", "quartal": "rootless"}
"""What a wide style is played in where the melody leaves it no room."""
LOW_TUNE = 64
"""A melody note up to which fewer voices are as good as four close ones."""
OTHER_ALTERATION: Mapping[int, int] = MappingProxyType({1: 3, 3: 1, 6: 8, 8: 6})
"""The two ninths and the two fifths of an altered chord, in semitones above the root."""
AGAINST_TUNE = 24
"""What it costs to play one alteration where the tune holds the other. Common practice, no source; the cost is ours."""
SOUNDS = 0.1
"""Quarter notes that a melody note has to sound together with a chord to count."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A place where a slot's chord is struck: the slot's index, and from when to when it sounds, in quarter notes."""

    slot: int
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Held:
    """The melody over a chord, as MIDI numbers: what it holds for a beat or all the time, and whatever sounds."""

    notes: tuple[int, ...] = ()
    sounding: tuple[int, ...] = ()


NOTHING_HELD = Held()


class Sounding(Protocol):
    """Whatever sounds under a melody."""

    @property
    def notes(self) -> tuple[int, ...]:
        """MIDI numbers, lowest first."""


class Layer:
    """The candidates for one slot. Compared by identity: equal slots share one through the cache."""

    __slots__ = ("shapes",)

    def __init__(self, shapes: tuple[Shape, ...]) -> None:
        self.shapes = shapes


class Over:
    """What the melody has over a stretch of time."""

    __slots__ = ("_ends", "_notes", "_onsets")

    def __init__(self, melody: Melody) -> None:
        self._onsets = [float(note.onset) for note in melody]
        self._ends = [float(note.end) for note in melody]
        self._notes = [note.pitch.midi for note in melody]

    def held(self, spot: Spot) -> Held:
        first, last = bisect_right(self._ends, spot.start), bisect_left(self._onsets, spot.end)
        if first >= last:
            return NOTHING_HELD
        length = spot.end - spot.start
        sounding, held = [], []
        for index in range(first, last):
            together = min(self._ends[index], spot.end) - max(self._onsets[index], spot.start)
            if together >= min(SOUNDS, length) - 1e-6:
                sounding.append(self._notes[index])
            if together >= min(1.0, length) - 1e-6:
                held.append(self._notes[index])
        return Held(tuple(held), tuple(sorted(set(sounding))))


# --- candidates ---------------------------------------------------------------------------------------------------


def layer_of(chord: Chord | None, kind: str | None, held: Held, style: VoicingStyle) -> Layer | None:
    return None if chord is None or kind is None else candidates(chord, kind, held, style)


@lru_cache(maxsize=8192)
def candidates(chord: Chord, kind: str, held: Held, style: VoicingStyle = "rootless") -> Layer:
    """The best shapes for a chord under a melody: laws first, relaxed one by one only where nothing else is left."""
    root_held = any(note % 12 == chord.root_pc for note in held.notes)
    shapes = shapes_of(chord, kind, root_held, style)
    if held.sounding:
        shapes = tuple(_under(shape, held) for shape in _lawful(chord, kind, held, style, shapes))
    if kind == "altered" and held.notes:
        shapes = tuple(_as_altered(shape, chord, held) for shape in shapes)
    return Layer(tuple(sorted(shapes, key=lambda shape: shape.cost)[:CANDIDATES]))


def _lawful(
    chord: Chord, kind: str, held: Held, style: VoicingStyle, full: tuple[Shape, ...]
) -> tuple[Shape, ...]:  # fmt: skip
    """What keeps the strictest law that can be kept.

    In the style if it can; else in close position, else with two or three voices rather than a rub or a top above the
    tune.
    """
    root_held = any(note % 12 == chord.root_pc for note in held.notes)
    for laws in ((clear_of_all, clear_of_held), (top_below,)):
        for manner, lean in ((style, False), (_CLOSE.get(style, style), False), (style, True)):
            shapes = full if manner == style and not lean else shapes_of(chord, kind, root_held, manner, lean)
            if held.sounding[0] <= LOW_TUNE and not lean:
                shapes += shapes_of(chord, kind, root_held, style, lean=True)
            for law in laws:
                lawful = tuple(shape for shape in shapes if law(shape, held))
                if lawful:
                    return lawful
    return tuple(shape for shape in full if shape.notes[-1] < held.sounding[0]) or full


def clear_of_all(shape: Sounding, held: Held) -> bool:
    """Whether it is below whatever sounds, a semitone from none of it, a minor ninth from nothing that is held."""
    return top_below(shape, held) and not _bits(shape.notes) & _against(held.sounding, held.notes)


def clear_of_held(shape: Sounding, held: Held) -> bool:
    """Whether it is below whatever sounds and a semitone from nothing that is held."""
    return top_below(shape, held) and not _bits(shape.notes) & _against(held.notes, ())


@lru_cache(maxsize=8192)
def _bits(notes: tuple[int, ...]) -> int:
    """Notes as bits of one number: a rub with any of many others is one look."""
    return sum(1 << note for note in notes)


@lru_cache(maxsize=1024)
def _against(sounding: tuple[int, ...], held: tuple[int, ...]) -> int:
    """The notes a semitone from what sounds and a minor ninth under what is held, as bits."""
    return _bits(tuple({*(note + step for note in sounding for step in (-1, 1)), *(note - 13 for note in held)}))


def top_below(shape: Sounding, held: Held) -> bool:
    """Whether its top is at least a whole step under everything that sounds."""
    return shape.notes[-1] <= held.sounding[0] - 2


def _under(shape: Shape, held: Held) -> Shape:
    """A colour nobody wrote costs extra where its pitch class rubs against the melody's."""
    rubs = sum((note - free) % 12 in (1, 11) for note in held.notes for free in shape.free)
    return Shape(shape.notes, shape.degrees, shape.cost + 12 * rubs, shape.free) if rubs else shape


def _as_altered(shape: Shape, chord: Chord, held: Held) -> Shape:
    """Of an altered chord the hand plays the ninth and the fifth that the melody names, not the other of the two."""
    named = {(note - chord.root_pc) % 12 for note in held.notes} & OTHER_ALTERATION.keys()
    hand = {(note - chord.root_pc) % 12 for note in shape.notes}
    against = sum(tone not in hand and OTHER_ALTERATION[tone] in hand for tone in named)
    return replace(shape, cost=shape.cost + AGAINST_TUNE * against) if against else shape
