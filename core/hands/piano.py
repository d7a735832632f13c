"""A row on the piano: voicings in a style, shared out to two hands, led over the whole row, with locks, under the tune
or with it on top.

Shapes and laws are those of :mod:`core.voicing_shapes` and :mod:`core.voicing_choice`, the ways between them those of
:mod:`core.hands.terms`; the search over the candidates is exact.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from core.chart import Melody
from core.chord import Chord, in_context
from core.errors import ChangewrightError
from core.hands import tones
from core.hands.keyboard import ONE_HAND, SPAN, Hands, hands_of
from core.hands.motion import piano_motion
from core.hands.path import cheapest
from core.hands.tones import degree_at
from core.hands.tune import tops_of
from core.pitch import Degree
from core.row import Row
from core.voicing_choice import Held, Over, Spot, candidates
from core.voicing_sets import kinds_of
from core.voicing_shapes import Shape, VoicingStyle, uppers_of
from core.voicing_top import shapes_with_top

KEPT = 16
"""Shapes with the tune on top that are kept for each place."""
LOWEST_KEY, HIGHEST_KEY = 21, 108
Form = Literal["A", "B"]


class HandError(ChangewrightError):
    """A voicing that is asked for and that two hands cannot play."""


@dataclass(frozen=True, slots=True)
class PianoPlayer:
    """How the piano is played: the style, the span of a hand in semitones, and the form in which a row of rootless
    voicings begins: A has the third (4, 6) below, B the seventh."""

    style: VoicingStyle = "rootless"
    span: int = SPAN
    form: Form | None = None

    def __post_init__(self) -> None:
        if not 7 <= self.span <= 24:
            raise HandError("A hand spans 7 to 24 semitones; an octave and a major second are 14, a tenth is 16.")


@dataclass(frozen=True, slots=True)
class PianoChoice:
    """The voicing for a slot: notes (MIDI, lowest first) with their degrees, the hands, the others that were open.

    ``form`` is "A" or "B" where third or seventh lies below; ``upper`` the triad of an upper structure; ``missing``
    written tones that are left out; ``remarks`` are finished sentences.
    """

    chord: Chord
    shape: Shape
    hands: Hands
    others: tuple[Shape, ...]
    form: Form | None
    upper: Chord | None
    missing: tuple[Degree, ...]
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PianoPlan:
    """A choice for every slot of a row, None at N.C., and what they cost together."""

    choices: tuple[PianoChoice | None, ...]
    cost: int


@dataclass(frozen=True, slots=True)
class _Open:
    """The shapes that are open at a place, and what must be said of them."""

    shapes: tuple[Shape, ...]
    remarks: tuple[str, ...] = ()


def plan_row(
    row: Row, player: PianoPlayer | None = None, melody: Melody = (), *, on_top: bool = False,
    locked: Mapping[int, tuple[int, ...]] | None = None, others: int = 5
) -> PianoPlan:  # fmt: skip
    """Voicings for a row, led over the whole of it.

    ``melody`` lies on the row's time: voicings stay below it, or with ``on_top`` have the note that sounds with the
    chord (the first one over it) as their highest. ``locked`` fixes notes (MIDI) by slot index and the rest is planned
    around them. Raises :class:`HandError` for a lock that two hands cannot play.
    """
    player = player or PianoPlayer()
    played = [None if slot.chord is None else in_context(slot.chord) for slot in row]
    kinds = kinds_of(played)
    tops = tops_of(melody, row) if on_top else (None,) * len(row)
    over = Over(melody)
    places: list[_Open | None] = []
    for index, (slot, chord, kind) in enumerate(zip(row, played, kinds, strict=True)):
        if chord is None or kind is None:
            places.append(None)
        elif locked and index in locked:
            places.append(_Open((shape_from(chord, locked[index], player),)))
        elif (top := tops[index]) is not None:
            places.append(_topped(chord, kind, player, top))
        else:
            held = over.held(Spot(index, float(slot.onset), float(slot.end)))
            places.append(_open(chord, kind, player, held))
    layers = _begun(player, [None if place is None else place.shapes for place in places], locked or {})
    chosen, cost = cheapest(layers, _own, between)
    choices = tuple(
        None if place is None or chord is None or shape is None
        else _choice(chord, kind or "", player, shape, place, _ranked(layers, chosen, index)[:others], on_top)
        for index, (place, chord, kind, shape) in enumerate(zip(places, played, kinds, chosen, strict=True))
    )  # fmt: skip
    return PianoPlan(choices, cost)


def _own(shape: Shape) -> int:
    return shape.cost


def between(old: Shape, new: Shape) -> int:
    """What it costs to go from one voicing to the next."""
    return piano_motion(old.notes, new.notes)


def _begun(player: PianoPlayer, layers: list[tuple[Shape, ...] | None], locked: Mapping[int, tuple[int, ...]]
           ) -> list[tuple[Shape, ...] | None]:  # fmt: skip
    """The layers with the first in the form that was asked for, where it has that form and is not locked."""
    first = next((index for index, layer in enumerate(layers) if layer is not None), None)
    if player.form is not None and first is not None and first not in locked:
        shapes = layers[first] or ()
        layers[first] = tuple(shape for shape in shapes if form_of(shape) == player.form) or shapes
    return layers


def _ranked(layers: list[tuple[Shape, ...] | None], chosen: list[Shape | None], index: int) -> tuple[Shape, ...]:
    """The other shapes of a place, the one that suits its neighbours best first."""
    before = next((other for other in reversed(chosen[:index]) if other is not None), None)
    after = next((other for other in chosen[index + 1 :] if other is not None), None)

    def here(shape: Shape) -> int:
        return shape.cost + (between(before, shape) if before else 0) + (between(shape, after) if after else 0)

    return tuple(sorted((shape for shape in layers[index] or () if shape is not chosen[index]), key=here))


def _choice(chord: Chord, kind: str, player: PianoPlayer, shape: Shape, place: _Open, others: tuple[Shape, ...],
            on_top: bool) -> PianoChoice:  # fmt: skip
    upper = chord.upper or _structure(chord, kind, player, shape)
    hands = _shared(shape, player, on_top, upper)
    above = {chord.degree_of(note % 12) for note in shape.notes}
    missing = tuple(d for d in chord.quality.sounding.degrees if d.semitones % 12 not in above)
    return PianoChoice(chord, shape, hands, others, form_of(shape), upper, missing, place.remarks)


def _shared(shape: Shape, player: PianoPlayer, on_top: bool, upper: Chord | None) -> Hands:
    """Which hand has what: an upper structure lies in the right one, and so does the tune."""
    notes = shape.notes
    if upper is not None and len(notes) > 3 and frozenset(n % 12 for n in notes[-3:]) == upper.pitch_classes:
        hands = Hands(notes[:-3], notes[-3:])
        if hands_of(hands.left, player.span, True) and hands_of(hands.right, player.span, True):
            return hands
    hands_or_none = hands_of(notes, player.span, player.style in ONE_HAND and not on_top)
    assert hands_or_none is not None  # candidates that no hands reach were left out
    return hands_or_none


def form_of(shape: Shape) -> Form | None:
    """Whether third (4) or seventh (6) lies below."""
    lowest = shape.degrees[0]
    return "A" if lowest.number in (3, 4) else "B" if lowest.number in (7, 6) else None


def _structure(chord: Chord, kind: str, player: PianoPlayer, shape: Shape) -> Chord | None:
    if player.style != "upper structure" or len(shape.notes) < 3:
        return None
    above = frozenset(note % 12 for note in shape.notes[-3:])
    return next((upper for upper in uppers_of(chord, kind) if upper.pitch_classes == above), None)


# --- what is open at a place -------------------------------------------------------------------------------------


@lru_cache(maxsize=4096)
def _open(chord: Chord, kind: str, player: PianoPlayer, held: Held) -> _Open:
    return _reached(candidates(chord, kind, held, player.style).shapes, chord, kind, player, held)


def _reached(
    shapes: tuple[Shape, ...], chord: Chord, kind: str, player: PianoPlayer, held: Held, said: tuple[str, ...] = ()
) -> _Open:
    """The shapes that two hands reach; where none is, the chord in close position."""
    one = player.style in ONE_HAND
    within = tuple(shape for shape in shapes if hands_of(shape.notes, player.span, one))
    if within:
        return _Open(within, said)
    close = tuple(s for s in candidates(chord, kind, held, "rootless").shapes if hands_of(s.notes, player.span))
    shells = close or candidates(chord, kind, held, "guide tones").shapes
    return _Open(shells, (*said, f"No {player.style} voicing of this chord lies within the hands; it is played close."))


@lru_cache(maxsize=4096)
def _topped(chord: Chord, kind: str, player: PianoPlayer, top: int) -> _Open:
    """The shapes with a note of the tune on top; below the tune where it leaves no room for that."""
    found = shapes_with_top(chord, kind, player.style, top, degree_at(chord, top % 12))
    within = [shape for shape in found if hands_of(shape.notes, player.span)]
    if within:
        return _Open(tuple(sorted(within, key=_own)[:KEPT]))
    held = Held((top,), (top,))
    under = _reached(candidates(chord, kind, held, player.style).shapes, chord, kind, player, held)
    return _Open(under.shapes, (*under.remarks, "The tune lies too low to have the chord under it; it is left out."))


def shape_from(chord: Chord, notes: tuple[int, ...], player: PianoPlayer) -> Shape:
    """A voicing that somebody chose; raises :class:`HandError` where two hands cannot play it."""
    ordered = tuple(sorted(set(notes)))
    if not ordered or not LOWEST_KEY <= ordered[0] <= ordered[-1] <= HIGHEST_KEY:
        raise HandError(f"A voicing needs notes from {LOWEST_KEY} (A0) to {HIGHEST_KEY} (C8); give MIDI numbers.")
    if hands_of(ordered, player.span) is None:
        raise HandError(f"The voicing {' '.join(map(str, ordered))} is out of reach for two hands of {player.span} "
                        "semitones; bring its notes closer together.")  # fmt: skip
    return Shape(ordered, tuple(degree_at(chord, note % 12) for note in ordered), 0, frozenset())


def why_left_out(chord: Chord, missing: tuple[Degree, ...]) -> str:
    """One sentence on the written tones that a voicing leaves out, "" where there is none."""
    return tones.why_left_out(chord, missing, otherwise="which this voicing does without")
