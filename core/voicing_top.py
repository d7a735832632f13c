"""Voicings with a note of the tune on top, in the style that is asked for.

The tune's note takes the place of the colour it stands for; what lies a half step below it gives way, and under the
root of a major seventh the 7 is played as the 6. The laws of :mod:`core.voicing_shapes` hold below it.

Sources: melody root over a major seventh, arranging texts in agreement; four-way close under a tune and its drop
positions, common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

from core.chord import Chord
from core.pitch import Degree
from core.symbol import polychord
from core.voicing_sets import FIFTH_PLACE, ROOT, SIXTH, ToneSet
from core.voicing_shapes import (
    LEAN_LOWEST,
    NEXT_STRUCTURE,
    Order,
    Shape,
    VoicingStyle,
    is_lawful,
    orders_of,
    sets_of,
    two_handed_under,
    uppers_of,
)

LOWEST_TOP = 55
"""The lowest MIDI number that a hand can put a chord under."""
PLACE_TAKEN = 2


@lru_cache(maxsize=8192)
def shapes_with_top(chord: Chord, kind: str, style: VoicingStyle, top: int, own: Degree) -> tuple[Shape, ...]:
    """Every shape of a chord whose highest note is ``top`` (MIDI), which is the degree ``own`` of it; the laws first.

    Empty where the note lies too low for a chord below it.
    """
    found: list[Shape] = []
    for shapes in _ways(chord, kind, style, top, own):
        lawful = [shape for shape in shapes if is_lawful(shape.notes[:-1], chord) and top - shape.notes[-2] != 1]
        if lawful:
            found = lawful
            break
        found = found or shapes
    return tuple({shape.notes: shape for shape in sorted(found, key=lambda shape: -shape.cost)}.values())[::-1]


def _ways(chord: Chord, kind: str, style: VoicingStyle, top: int, own: Degree) -> Iterator[list[Shape]]:
    """The shapes in the style, then in close position, then the guide tones alone under the tune."""
    yield list(_structured(chord, kind, style, top))
    written = tuple(sorted(chord.quality.sounding.degrees, key=lambda degree: degree.number != 5))
    for manner in dict.fromkeys((style, "rootless", "guide tones")):
        yield [shape for tones in sets_of(chord, kind, manner, False)
               for shape in _stacked(chord, under(tones, own, written), manner, top)]  # fmt: skip


def _structured(chord: Chord, kind: str, style: VoicingStyle, top: int) -> Iterator[Shape]:
    """The guide tones under a triad that has the tune on top; of a polychord, its own upper chord."""
    chord = replace(chord, quality=chord.quality.sounding)
    uppers = (chord.upper,) if chord.upper else uppers_of(chord, kind) if style == "upper structure" else ()
    for place, upper in enumerate(uppers):
        if top % 12 in upper.pitch_classes:
            both = chord if chord.upper else polychord(upper, chord)
            for shape in two_handed_under(both, upper, top):
                yield Shape(shape.notes, shape.degrees, shape.cost + NEXT_STRUCTURE * place, shape.free)


def _stacked(chord: Chord, tones: ToneSet, style: VoicingStyle, top: int) -> Iterator[Shape]:
    free = frozenset((degree.semitones + chord.root_pc) % 12 for degree in tones.free)
    for manner in dict.fromkeys((style, "rootless")):
        fitting = [order for order in orders_of(tones, manner) if _ends_on(order, chord, top)]
        for degrees, steps, cost in fitting:
            notes = tuple(top - steps[-1] + step for step in steps)
            if notes[0] >= LEAN_LOWEST and top >= LOWEST_TOP:
                yield Shape(notes, degrees, tones.cost + cost, free)
        if fitting:
            return


def _ends_on(order: Order, chord: Chord, top: int) -> bool:
    return (order[0][-1].semitones + chord.root_pc) % 12 == top % 12 and len(order[0]) > 1


def under(tones: ToneSet, own: Degree, written: tuple[Degree, ...] = ()) -> ToneSet:
    """A tone set that holds the tune's degree and nothing that rubs below it; ``written`` tones fill what gave way."""
    above = own.semitones % 12
    kept = [degree for degree in tones.degrees if (above - degree.semitones) % 12 != 1]
    if len(kept) < len(tones.degrees) and above == 0 and Degree(7) in tones.degrees and SIXTH not in kept:
        kept.append(SIXTH)
    cost = tones.cost
    if all(degree.semitones % 12 != above for degree in kept):
        rival = next((degree for degree in kept[2:] if _place(degree) == _place(own)), None)
        kept = [*(degree for degree in kept if degree != rival), own]
        cost += 0 if rival is None else PLACE_TAKEN
    held = {degree.semitones % 12 for degree in kept}
    free = [degree for degree in written
            if degree.semitones % 12 not in held and (above - degree.semitones) % 12 != 1]  # fmt: skip
    filled = min(len(tones.degrees) - len(kept), len(free)) if len(kept) < len(tones.degrees) else 0
    return ToneSet((*kept, *free[:filled]), cost + PLACE_TAKEN * filled, tones.free)


def _place(degree: Degree) -> str:
    if degree.number in FIFTH_PLACE or degree == Degree(11, 1):
        return "fifth"
    return "ninth" if degree.number in (2, 9, 11, 4) or degree == ROOT else "guide"
