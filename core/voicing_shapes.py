"""Placing tones on the keyboard: every lawful shape of a chord in the middle register.

Close position on every voice and in every octave that keeps the laws: nothing below MIDI 48, top between 57 and 76, the
low interval limits with the assumed root below, and no minor ninth but a root's under its b9. Polychords take two
hands. Each shape carries what it costs by itself: register, a clash on top, an unusual form.

Sources: low interval limits, Sweetwater's glossary (its middle C is C3), with the tritone raised to 46 beside its
neighbours; the register of the thumb, E. MacDonald, University of Connecticut jazz piano lesson page; costs are ours.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

from core.chord import Chord
from core.pitch import Degree
from core.voicing_sets import ROOT, ToneSet, sixth_for_seventh, tone_sets

LOWEST, TOP_FLOOR, TOP_LOW, TOP_HIGH, TOP_CEILING = 48, 57, 60, 72, 76
LOW_INTERVAL_LIMITS = {1: 52, 2: 51, 3: 48, 4: 47, 5: 45, 6: 46, 7: 37, 8: 41, 9: 41, 10: 41, 11: 41}
"""Lowest MIDI number of the lower note, by interval in semitones."""
CENTRE = 61


@dataclass(frozen=True, slots=True)
class Shape:
    """Notes with their degrees, lowest first; ``cost`` by itself; ``free`` are pitch classes nobody wrote."""

    notes: tuple[int, ...]
    degrees: tuple[Degree, ...]
    cost: int
    free: frozenset[int]


@lru_cache(maxsize=4096)
def shapes_of(chord: Chord, kind: str, root_in_melody: bool) -> tuple[Shape, ...]:
    """Every lawful placing of every tone set of a chord."""
    if chord.upper is not None:
        return _two_handed(chord, chord.upper)
    sets = tone_sets(chord.quality, kind)
    if root_in_melody and kind in ("major seventh", "minor major"):
        sets = (*sets, *map(sixth_for_seventh, sets))
    strict = [shape for tones in sets for shape in _placed(chord, tones, True)]
    shapes = strict or [shape for tones in sets for shape in _placed(chord, tones, False)]
    return tuple({shape.notes: shape for shape in reversed(shapes)}.values())[::-1]


def _placed(chord: Chord, tones: ToneSet, strict: bool) -> list[Shape]:
    """Close position on every voice, in every octave where the laws hold; relaxed, the limits are left out."""
    voices = sorted(((degree.semitones + chord.root_pc) % 12, degree) for degree in tones.degrees)
    free = frozenset((degree.semitones + chord.root_pc) % 12 for degree in tones.free)
    guides = tones.degrees[:2]
    found = []
    for turn in range(len(voices)):
        order = voices[turn:] + voices[:turn]
        steps = [(pitch_class - order[0][0]) % 12 for pitch_class, _ in order]
        degrees = tuple(degree for _, degree in order)
        form_cost = 0 if degrees[0] in guides or len(degrees) < 4 else 7
        for bottom in range(LOWEST, TOP_CEILING):
            if bottom % 12 != order[0][0] or not TOP_FLOOR <= bottom + steps[-1] <= TOP_CEILING:
                continue
            notes = tuple(bottom + step for step in steps)
            if not strict or _is_lawful(notes, chord):
                found.append(Shape(notes, degrees, tones.cost + form_cost + _register(notes), free))
    return found


def _register(notes: tuple[int, ...]) -> int:
    top = notes[-1]
    outside = 2 * (TOP_LOW - top) if top < TOP_LOW else 2 + top - TOP_HIGH if top > TOP_HIGH else 0
    tight = 4 if len(notes) > 1 and top - notes[-2] == 1 else 0
    return outside + tight + abs(sum(notes) - CENTRE * len(notes)) // len(notes)


def _is_lawful(notes: tuple[int, ...], chord: Chord) -> bool:
    """Low interval limits, the root assumed below the hand included, and no minor ninth but a root's."""
    below = notes[0] - ((notes[0] - chord.root_pc) % 12 or 12)
    for low, high in zip((below, *notes), notes, strict=False):
        if low < LOW_INTERVAL_LIMITS.get(high - low, 0):
            return False
    return not any(high - low == 13 and not (chord.quality.family == "dominant" and low % 12 == chord.root_pc)
                   for low, high in combinations(notes, 2))  # fmt: skip


def _two_handed(chord: Chord, upper: Chord) -> tuple[Shape, ...]:
    """A polychord: the guide tones of the lower chord below, the whole upper chord in close position above."""
    lower = chord.lower_quality.sounding
    guides = lower.guide_degrees or lower.degrees[:2]
    below = [degree for degree in (guides if guides[1] != ROOT else (guides[0], Degree(5)))
             if (degree.semitones + chord.root_pc) % 12 not in upper.pitch_classes]  # fmt: skip
    top_voices = sorted(upper.pitch_classes)
    names = {(degree.semitones + chord.root_pc) % 12: degree for degree in reversed(chord.quality.degrees)}
    found = []
    for hand in _hands(tuple((degree.semitones + chord.root_pc) % 12 for degree in below)):
        for turn in range(len(top_voices)):
            notes = _stacked(list(hand), top_voices[turn:] + top_voices[:turn])
            shape = Shape(notes, tuple(names[note % 12] for note in notes), _register(notes), frozenset())
            found.append((notes[-1] > TOP_CEILING, not _is_lawful(notes, chord), shape))
    for high_allowed, unlawful_allowed in ((False, False), (False, True), (True, True)):
        fitting = [shape for high, unlawful, shape in found if high <= high_allowed and unlawful <= unlawful_allowed]
        if fitting:
            return tuple(fitting)
    return ()


def _hands(pitch_classes: tuple[int, ...]) -> list[tuple[int, ...]]:
    """The lower hand's tones in both orders, from the floor up an octave."""
    return [_stacked([], list(order)) for order in sorted({pitch_classes, pitch_classes[::-1]})]


def _stacked(notes: list[int], pitch_classes: list[int]) -> tuple[int, ...]:
    """Each pitch class in turn placed as low as it can lie above the one before."""
    for pitch_class in pitch_classes:
        floor = notes[-1] + 1 if notes else LOWEST
        notes.append(floor + (pitch_class - floor) % 12)
    return tuple(notes)
