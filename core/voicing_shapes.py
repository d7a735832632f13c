"""Placing tones on the keyboard: every lawful shape of a chord in the middle register, in the style that is asked for.

Every style keeps the laws: nothing below MIDI 48, top between 57 and 76, the low interval limits with the assumed root
below, no minor ninth but a root's under its b9, and no root as the lowest note where the bass has it. Polychords take
two hands. Each shape carries what it costs by itself: register, a clash on top, an unusual form.

Sources: low interval limits, Sweetwater's glossary (its middle C is C3), with the tritone raised to 46 beside its
neighbours; the register of the thumb, E. MacDonald, University of Connecticut jazz piano lesson page; drop 2 as the
second voice from the top an octave lower, guitar and piano pages in agreement; the other styles common practice, no
source; costs are ours.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, pairwise, permutations
from typing import Literal, get_args

from core.chord import Chord
from core.pitch import Degree
from core.voicing_sets import ROOT, ToneSet, guides_only, lean_set, lean_sets, sixth_for_seventh, tone_sets

VoicingStyle = Literal["rootless", "shell", "drop 2", "spread", "quartal", "guide tones"]
VOICING_STYLES: tuple[VoicingStyle, ...] = get_args(VoicingStyle)
"""What can be chosen. Guide tones alone leave written alterations out; every other style plays them."""

LOWEST, TOP_FLOOR, TOP_LOW, TOP_HIGH, TOP_CEILING = 48, 57, 60, 72, 76
LOW_INTERVAL_LIMITS = {1: 52, 2: 51, 3: 48, 4: 47, 5: 45, 6: 46, 7: 37, 8: 41, 9: 41, 10: 41, 11: 41}
"""Lowest MIDI number of the lower note, by interval in semitones."""
CENTRE = 61
LEAN_LOWEST, LEAN_TOP = 45, 50
"""How low two or three voices may lie under a low melody, and their top; there the bass, not an assumed root, is what
they stand over."""
UNUSUAL_FORM, NO_FOURTH, ROOT_BELOW, CLUSTER = 7, 9, 9, 6
DROPPED: dict[str, tuple[int, ...]] = {"drop 2": (2,), "spread": (2, 4)}
"""Voices, counted from the top of a close position, that go down an octave."""


@dataclass(frozen=True, slots=True)
class Shape:
    """Notes with their degrees, lowest first; ``cost`` by itself; ``free`` are pitch classes nobody wrote."""

    notes: tuple[int, ...]
    degrees: tuple[Degree, ...]
    cost: int
    free: frozenset[int]


@lru_cache(maxsize=8192)
def shapes_of(
    chord: Chord, kind: str, root_in_melody: bool, style: VoicingStyle = "rootless", lean: bool = False
) -> tuple[Shape, ...]:
    """Every lawful placing of every tone set of a chord; ``lean`` ones have no colours of ours and may lie lower.

    Where a style has no lawful placing of a chord (a fourth chord of three written alterations, say) it is played in
    close position.
    """
    if chord.upper is not None and style != "guide tones":
        return _two_handed(chord, chord.upper)
    sets = _sets(chord, kind, style, lean)
    if root_in_melody and kind in ("major seventh", "minor major"):
        sets = (*sets, *map(sixth_for_seventh, sets))
    manners: tuple[VoicingStyle, ...] = ("rootless",) if lean or style == "rootless" else (style, "rootless")
    for strict in (True, False):
        for manner in manners:
            shapes = [shape for tones in sets for shape in _placed(chord, tones, manner, strict, lean)]
            if shapes:
                return tuple({shape.notes: shape for shape in reversed(shapes)}.values())[::-1]
    return ()


def _sets(chord: Chord, kind: str, style: VoicingStyle, lean: bool) -> tuple[ToneSet, ...]:
    if style == "guide tones":
        return (guides_only(chord.lower_quality if chord.upper is not None else chord.quality),)
    if style == "shell":
        return (lean_set(chord.quality, kind),)
    return lean_sets(chord.quality, kind) if lean else tone_sets(chord.quality, kind)


def _placed(chord: Chord, tones: ToneSet, style: VoicingStyle, strict: bool, lean: bool) -> list[Shape]:
    """A tone set in every order of the style and every octave where the laws hold; relaxed, the limits are left out."""
    free = frozenset((degree.semitones + chord.root_pc) % 12 for degree in tones.free)
    found = []
    for degrees, steps, form_cost in _orders(tones, style):
        lowest_class = (degrees[0].semitones + chord.root_pc) % 12
        if degrees[0] == ROOT and chord.bass_pc == chord.root_pc:
            form_cost += ROOT_BELOW
        lowest, floor = (LEAN_LOWEST, LEAN_TOP) if lean else (LOWEST, TOP_FLOOR)
        for bottom in range(lowest + (lowest_class - lowest) % 12, TOP_CEILING, 12):
            if not floor <= bottom + steps[-1] <= TOP_CEILING:
                continue
            notes = tuple(bottom + step for step in steps)
            if not strict or is_lawful(notes, chord, rooted=not lean):
                found.append(Shape(notes, degrees, tones.cost + form_cost + _register(notes), free))
    return found


_Order = tuple[tuple[Degree, ...], tuple[int, ...], int]  # degrees from the bottom, semitones above it, cost


@lru_cache(maxsize=4096)
def _orders(tones: ToneSet, style: VoicingStyle) -> tuple[_Order, ...]:
    """The ways in which a style stacks a tone set."""
    if style == "quartal" and len(tones.degrees) > 2:
        return tuple(_in_fourths(tones))
    close = list(_close(tones))
    if style in DROPPED and len(tones.degrees) > 2:
        return tuple(_dropped(order, DROPPED[style]) for order in close)
    return tuple(close)


def _close(tones: ToneSet) -> Iterator[_Order]:
    """Close position on every voice; the third or the seventh below is the usual form."""
    voices = sorted((degree.semitones % 12, degree) for degree in tones.degrees)
    for turn in range(len(voices)):
        order = voices[turn:] + voices[:turn]
        degrees = tuple(degree for _, degree in order)
        usual = degrees[0] in tones.degrees[:2] or len(degrees) < 4
        steps = tuple((pitch_class - order[0][0]) % 12 for pitch_class, _ in order)
        yield degrees, steps, 0 if usual else UNUSUAL_FORM


def _dropped(close: _Order, voices: tuple[int, ...]) -> _Order:
    """A close position with some voices, counted from the top, an octave lower."""
    degrees, steps, cost = close
    lowered = {len(steps) - voice for voice in voices}
    placed = sorted((step - 12 if index in lowered else step, degree)
                    for index, (step, degree) in enumerate(zip(steps, degrees, strict=True)))  # fmt: skip
    order = tuple(degree for _, degree in placed)
    return order, tuple(step - placed[0][0] for step, _ in placed), min(cost, UNUSUAL_FORM // 2)


def _in_fourths(tones: ToneSet) -> Iterator[_Order]:
    """Stacks of fourths, perfect or augmented; a third or a fifth among them costs extra, smaller gaps are left out."""
    for degrees in permutations(tones.degrees):
        gaps = [(high.semitones - low.semitones) % 12 for low, high in pairwise(degrees)]
        if all(3 <= gap <= 7 for gap in gaps):
            steps = [0]
            for gap in gaps:
                steps.append(steps[-1] + gap)
            yield degrees, tuple(steps), NO_FOURTH * sum(gap not in (5, 6) for gap in gaps)


def _register(notes: tuple[int, ...]) -> int:
    top = notes[-1]
    outside = 2 * (TOP_LOW - top) if top < TOP_LOW else 2 + top - TOP_HIGH if top > TOP_HIGH else 0
    tight = 4 if len(notes) > 1 and top - notes[-2] == 1 else 0
    gaps = [high - low for low, high in pairwise(notes)]
    tight += CLUSTER * sum(one <= 2 and other <= 2 for one, other in pairwise(gaps))
    return outside + tight + abs(sum(notes) - CENTRE * len(notes)) // len(notes)


def is_lawful(notes: tuple[int, ...], chord: Chord, rooted: bool = True) -> bool:
    """Low interval limits, the root assumed below the hand included (``rooted``), no minor ninth but a root's."""
    below = notes[0] - ((notes[0] - chord.root_pc) % 12 or 12)
    for low, high in zip((below, *notes) if rooted else notes, notes if rooted else notes[1:], strict=False):
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
            found.append((notes[-1] > TOP_CEILING, not is_lawful(notes, chord), shape))
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
