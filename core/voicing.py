"""Rootless piano voicings, led smoothly over a whole row.

A voicing lies in the middle register, in close position: top note from middle C up an octave where it can be (MIDI 60
to 72, 76 at most), no note below 48, the low interval limits kept, the assumed root below included, no minor ninth
inside (but root to ♭9 of a dominant), the top below the melody and no voice a semitone from a held melody note.

Over a row the voicings are chosen together by an exact dynamic programme that weighs the motion of every voice, leaps,
the motion of the top, and register. Everything is an integer and ties fall to the earlier candidate, so the same row
is voiced the same way every time.

Sources: A and B forms, E. MacDonald, University of Connecticut jazz piano lesson page; low interval limits,
Sweetwater's glossary (its middle C is C3), with the tritone raised to 46 beside its neighbours; costs are ours.
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
from core.voicing_sets import ROOT, ToneSet, kind_of, sixth_for_seventh, tone_sets

LOWEST, TOP_FLOOR, TOP_LOW, TOP_HIGH, TOP_CEILING = 48, 57, 60, 72, 76
LOW_INTERVAL_LIMITS = {1: 52, 2: 51, 3: 48, 4: 47, 5: 45, 6: 46, 7: 37, 8: 41, 9: 41, 10: 41, 11: 41}
"""Lowest MIDI number of the lower note, by interval in semitones."""
CENTRE = 61
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
class _Shape:
    notes: tuple[int, ...]
    degrees: tuple[Degree, ...]
    cost: int
    free: frozenset[int]


@dataclass(frozen=True, slots=True)
class _Held:
    """What the melody holds during a slot: the MIDI numbers of notes a beat long or longer, and the lowest of all."""

    notes: tuple[int, ...] = ()
    lowest: int | None = None


_NOTHING_HELD = _Held()


class _Layer:
    """The candidates for one slot. Compared by identity: equal slots share one through the cache."""

    __slots__ = ("shapes",)

    def __init__(self, shapes: tuple[_Shape, ...]) -> None:
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
    shapes = _shapes(chord, kind, any(note % 12 == chord.root_pc for note in held.notes))
    if held.lowest is not None:
        for law in (_clear_of, _below_and_apart, _apart):
            lawful = tuple(shape for shape in shapes if law(shape, held))
            if lawful:
                shapes = lawful
                break
        shapes = tuple(_under(shape, held) for shape in shapes)
    return _Layer(tuple(sorted(shapes, key=lambda shape: shape.cost)[:CANDIDATES]))


def _clear_of(shape: _Shape, held: _Held) -> bool:
    """Below the melody, with neither a semitone nor a minor ninth to it."""
    return _below_and_apart(shape, held) and all(note - voice != 13 for note in held.notes for voice in shape.notes)


def _below_and_apart(shape: _Shape, held: _Held) -> bool:
    return held.lowest is not None and shape.notes[-1] < held.lowest and _apart(shape, held)


def _apart(shape: _Shape, held: _Held) -> bool:
    return all(abs(note - voice) != 1 for note in held.notes for voice in shape.notes)


def _under(shape: _Shape, held: _Held) -> _Shape:
    """A colour nobody wrote costs extra where its pitch class rubs against the melody's."""
    rubs = sum((note - free) % 12 in (1, 11) for note in held.notes for free in shape.free)
    return _Shape(shape.notes, shape.degrees, shape.cost + 12 * rubs, shape.free) if rubs else shape


@lru_cache(maxsize=4096)
def _shapes(chord: Chord, kind: str, root_in_melody: bool) -> tuple[_Shape, ...]:
    """Every lawful placing of every tone set of a chord."""
    if chord.upper is not None:
        return _two_handed(chord, chord.upper)
    sets = tone_sets(chord.quality, kind)
    if root_in_melody and kind in ("major seventh", "minor major"):
        sets = (*sets, *map(sixth_for_seventh, sets))
    strict = [shape for tones in sets for shape in _placed(chord, tones, True)]
    shapes = strict or [shape for tones in sets for shape in _placed(chord, tones, False)]
    return tuple({shape.notes: shape for shape in reversed(shapes)}.values())[::-1]


def _placed(chord: Chord, tones: ToneSet, strict: bool) -> list[_Shape]:
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
                found.append(_Shape(notes, degrees, tones.cost + form_cost + _register(notes), free))
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


def _two_handed(chord: Chord, upper: Chord) -> tuple[_Shape, ...]:
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
            shape = _Shape(notes, tuple(names[note % 12] for note in notes), _register(notes), frozenset())
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


# --- leading ------------------------------------------------------------------------------------------------------


def _smoothest(layers: list[_Layer | None], models: list[tuple[int, ...] | None]) -> list[_Shape | None]:
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


def _traced(layers: list[_Layer | None], backs: list[list[int]], costs: list[int]) -> list[_Shape | None]:
    index = costs.index(min(costs)) if costs else 0
    chosen: list[_Shape | None] = []
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
