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
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import combinations, pairwise, permutations
from typing import Literal, get_args

from core.chord import Chord
from core.pitch import Degree
from core.symbol import polychord
from core.upper_triads import structures_for
from core.voicing_sets import (
    ROOT,
    ToneSet,
    guides_only,
    lean_set,
    lean_sets,
    required_degrees,
    sixth_for_seventh,
    tone_sets,
)

VoicingStyle = Literal["rootless", "shell", "drop 2", "spread", "quartal", "guide tones", "drop 3", "upper structure"]
VOICING_STYLES: tuple[VoicingStyle, ...] = get_args(VoicingStyle)[:6]
"""What the band can be asked for. Guide tones alone leave written alterations out; every other style plays them."""
PIANO_STYLES: tuple[VoicingStyle, ...] = get_args(VoicingStyle)
"""What two hands can be asked for."""

LOWEST, TOP_FLOOR, TOP_LOW, TOP_HIGH, TOP_CEILING = 48, 57, 60, 72, 76
LOW_INTERVAL_LIMITS = {1: 52, 2: 51, 3: 48, 4: 47, 5: 45, 6: 46, 7: 37, 8: 41, 9: 41, 10: 41, 11: 41}
"""Lowest MIDI number of the lower note, by interval in semitones."""
ABOVE_LIMITS = max(LOW_INTERVAL_LIMITS.values())
CENTRE = 61
LEAN_LOWEST, LEAN_TOP = 45, 50
"""How low two or three voices may lie under a low melody, and their top; there the bass, not an assumed root, is what
they stand over."""
UNUSUAL_FORM, NO_FOURTH, ROOT_BELOW, CLUSTER = 7, 9, 9, 6
DROPPED: dict[str, tuple[int, ...]] = {"drop 2": (2,), "spread": (2, 4), "drop 3": (3,)}
"""Voices, counted from the top of a close position, that go down an octave."""
NEXT_STRUCTURE = 2
"""What each upper structure costs beside the one before it."""
# The scales whose upper structures suit a kind of chord, best first; a kind that is not here has none.
STRUCTURE_SCALES: dict[str, tuple[str, ...]] = {
    "major seventh": ("Ionian", "Lydian"),
    "sixth": ("Ionian", "Lydian", "Melodic minor"),
    "minor seventh": ("Dorian",),
    "minor major": ("Melodic minor",),
    "diminished": ("Whole–half",),
    "dominant": ("Lydian ♭7", "Half–whole"),
    "dominant coloured": ("Half–whole", "Mixolydian ♭9 ♯9 ♭13", "Altered", "Lydian ♭7"),
    "dominant to minor": ("Mixolydian ♭9 ♯9 ♭13", "Altered"),
    "substitute": ("Lydian ♭7",),
    "altered": ("Altered",),
    "suspended seventh": ("Mixolydian sus", "Dorian ♭9 sus", "Phrygian sus"),
}


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
    if style == "upper structure" and not lean and (found := _structures(chord, kind)):
        return found
    sets = sets_of(chord, kind, style, lean)
    if root_in_melody and kind in ("major seventh", "minor major"):
        sets = (*sets, *map(sixth_for_seventh, sets))
    close = lean or style in ("rootless", "upper structure")
    manners: tuple[VoicingStyle, ...] = ("rootless",) if close else (style, "rootless")
    for strict in (True, False):
        for manner in manners:
            shapes = [shape for tones in sets for shape in _placed(chord, tones, manner, strict, lean)]
            if shapes:
                return tuple({shape.notes: shape for shape in reversed(shapes)}.values())[::-1]
    return ()


def sets_of(chord: Chord, kind: str, style: VoicingStyle, lean: bool) -> tuple[ToneSet, ...]:
    """The tone sets that a style plays of a chord."""
    if style == "guide tones":
        return (guides_only(chord.lower_quality if chord.upper is not None else chord.quality),)
    if style == "shell":
        return tone_sets(chord.quality, kind) if kind == "altered" else (lean_set(chord.quality, kind),)
    return lean_sets(chord.quality, kind) if lean else tone_sets(chord.quality, kind)


def _placed(chord: Chord, tones: ToneSet, style: VoicingStyle, strict: bool, lean: bool) -> list[Shape]:
    """A tone set in every order of the style and every octave where the laws hold; relaxed, the limits are left out."""
    free = frozenset((degree.semitones + chord.root_pc) % 12 for degree in tones.free)
    found = []
    for degrees, steps, form_cost in orders_of(tones, style):
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


Order = tuple[tuple[Degree, ...], tuple[int, ...], int]  # degrees from the bottom, semitones above it, cost


@lru_cache(maxsize=4096)
def orders_of(tones: ToneSet, style: VoicingStyle) -> tuple[Order, ...]:
    """The ways in which a style stacks a tone set."""
    if style == "quartal" and len(tones.degrees) > 2:
        return tuple(_in_fourths(tones))
    close = list(_close(tones))
    if style in DROPPED and len(tones.degrees) > 2:
        return tuple(_dropped(order, DROPPED[style]) for order in close)
    return tuple(close)


def _close(tones: ToneSet) -> Iterator[Order]:
    """Close position on every voice; the third or the seventh below is the usual form."""
    voices = sorted((degree.semitones % 12, degree) for degree in tones.degrees)
    for turn in range(len(voices)):
        order = voices[turn:] + voices[:turn]
        degrees = tuple(degree for _, degree in order)
        usual = degrees[0] in tones.degrees[:2] or len(degrees) < 4
        steps = tuple((pitch_class - order[0][0]) % 12 for pitch_class, _ in order)
        yield degrees, steps, 0 if usual else UNUSUAL_FORM


def _dropped(close: Order, voices: tuple[int, ...]) -> Order:
    """A close position with some voices, counted from the top, an octave lower."""
    degrees, steps, cost = close
    lowered = {len(steps) - voice for voice in voices}
    placed = sorted((step - 12 if index in lowered else step, degree)
                    for index, (step, degree) in enumerate(zip(steps, degrees, strict=True)))  # fmt: skip
    order = tuple(degree for _, degree in placed)
    return order, tuple(step - placed[0][0] for step, _ in placed), min(cost, UNUSUAL_FORM // 2)


def _in_fourths(tones: ToneSet) -> Iterator[Order]:
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
        if low >= ABOVE_LIMITS:
            break
        if low < LOW_INTERVAL_LIMITS.get(high - low, 0):
            return False
    if notes[-1] - notes[0] < 13:
        return True
    return not any(high - low == 13 and not (chord.quality.family == "dominant" and low % 12 == chord.root_pc)
                   for low, high in combinations(notes, 2))  # fmt: skip


@lru_cache(maxsize=2048)
def uppers_of(chord: Chord, kind: str) -> tuple[Chord, ...]:
    """The triads played over a chord as upper structures, best first: with its guide tones they say what is written."""
    guides = chord.quality.sounding.guide_degrees
    if guides is None or kind not in STRUCTURE_SCALES:
        return ()
    required = () if kind == "altered" else required_degrees(chord.quality.sounding, guides, False)
    tones = {(degree.semitones + chord.root_pc) % 12 for degree in required} - {
        (degree.semitones + chord.root_pc) % 12 for degree in guides
    }
    uppers = (upper.triad for upper in structures_for(chord, STRUCTURE_SCALES[kind]))
    return tuple(upper for upper in uppers if tones <= upper.pitch_classes)


def _structures(chord: Chord, kind: str) -> tuple[Shape, ...]:
    found = []
    chord = replace(chord, quality=chord.quality.sounding)
    for place, upper in enumerate(uppers_of(chord, kind)):
        free = frozenset(upper.pitch_classes - chord.pitch_classes)
        found += [Shape(shape.notes, shape.degrees, shape.cost + NEXT_STRUCTURE * place, free)
                  for shape in _two_handed(polychord(upper, chord), upper)]  # fmt: skip
    return tuple(found)


def _two_handed(chord: Chord, upper: Chord) -> tuple[Shape, ...]:
    """A polychord: the guide tones of the lower chord below, the whole upper chord in close position above."""
    top_voices = sorted(upper.pitch_classes)
    found = []
    for hand in _hands(_lower_classes(chord, upper)):
        for turn in range(len(top_voices)):
            found.append(_named(_stacked(list(hand), top_voices[turn:] + top_voices[:turn]), chord))
    return _best_kept(chord, found)


def two_handed_under(chord: Chord, upper: Chord, top: int) -> tuple[Shape, ...]:
    """The same with ``top`` (MIDI), a tone of the upper chord, as the highest note."""
    voices = sorted(upper.pitch_classes, key=lambda tone: (top - tone) % 12, reverse=True)
    above = [top - (top - tone) % 12 for tone in voices]
    found = []
    for hand in _hands(_lower_classes(chord, upper)):
        while hand and hand[-1] + 12 < above[0]:
            hand = tuple(note + 12 for note in hand)
        if not hand or hand[-1] < above[0]:
            found.append(_named((*hand, *above), chord))
    return tuple(shape for shape in found if shape.notes[0] >= LEAN_LOWEST)


def _lower_classes(chord: Chord, upper: Chord) -> tuple[int, ...]:
    """What the lower hand has: the guide tones that the upper chord does not hold."""
    lower = chord.lower_quality.sounding
    guides = lower.guide_degrees or lower.degrees[:2]
    tones = guides if guides[1] != ROOT else (guides[0], Degree(5))
    classes = ((degree.semitones + chord.root_pc) % 12 for degree in tones)
    return tuple(tone for tone in classes if tone not in upper.pitch_classes)


def _named(notes: tuple[int, ...], chord: Chord) -> Shape:
    names = {(degree.semitones + chord.root_pc) % 12: degree for degree in reversed(chord.quality.degrees)}
    return Shape(notes, tuple(names[note % 12] for note in notes), _register(notes), frozenset())


def _best_kept(chord: Chord, found: list[Shape]) -> tuple[Shape, ...]:
    """Shapes within the register and lawful, else within it, else all."""
    high = [shape.notes[-1] > TOP_CEILING for shape in found]
    unlawful = [not is_lawful(shape.notes, chord) for shape in found]
    for high_allowed, unlawful_allowed in ((False, False), (False, True), (True, True)):
        fitting = [shape for shape, too_high, bad in zip(found, high, unlawful, strict=True)
                   if too_high <= high_allowed and bad <= unlawful_allowed]  # fmt: skip
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
