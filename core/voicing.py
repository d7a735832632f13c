"""Piano voicings in the style that is asked for, led smoothly over a whole row and round its repeat.

A voicing lies in the middle register: top note from middle C up an octave where it can be (MIDI 60 to 72, 76 at most),
no note below 48, the low interval limits kept, the assumed root below included, no minor ninth inside (but root to ♭9
of a dominant), the top below the melody and no voice a semitone from a held melody note. Under a melody too low for
that, the hand plays less.

Over a row the voicings are chosen together by an exact dynamic programme that weighs the motion of every voice, leaps,
the motion of the top, and register. Everything is an integer and ties fall to the earlier candidate, so the same row
is voiced the same way every time.

Sources: nearest voicing, common tones held, no voice but the root further than a minor third: common practice, no
source; the costs are ours. Tones and their placing have modules and sources of their own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from operator import add

from core.chart import Melody
from core.chord import Chord, in_context
from core.pitch import Degree
from core.row import ZERO, Row
from core.voicing_choice import NOTHING_HELD, Layer, Over, Spot, candidates, layer_of
from core.voicing_motion import motion, motions, pack, unpack
from core.voicing_sets import kind_of, kinds_of
from core.voicing_shapes import (
    LOW_INTERVAL_LIMITS,
    VOICING_STYLES,
    Shape,
    VoicingStyle,
)

__all__ = ["LOW_INTERVAL_LIMITS", "VOICING_STYLES", "Spot", "Voicing", "VoicingStyle", "voice_chord", "voice_row",
           "voice_spots"]  # fmt: skip

LIKENESS = 8
NEAR = 12
"""What the motion from the last voicing to the first may cost before the path is drawn again for the repeat."""
_FAR = 1 << 20
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


def voice_row(
    row: Row, melody: Melody = (), beside: tuple[Voicing | None, ...] = (), style: VoicingStyle = "rootless"
) -> tuple[Voicing | None, ...]:
    """A voicing for every slot of a row, None at N.C. ``melody`` lies on the same played time as the row.

    ``beside`` are the voicings of another row: where the two agree the same notes are preferred, so that a comparison
    by ear finds nothing but the changes changed.
    """
    spots = [Spot(index, float(slot.onset), float(slot.end)) for index, slot in enumerate(row)]
    model = {float(voicing.onset): voicing.notes for voicing in beside if voicing is not None}
    return voice_spots(row, spots, melody, model, style, round_again=False)


def voice_spots(
    row: Row, spots: Sequence[Spot], melody: Melody = (), model: Mapping[float, tuple[int, ...]] | None = None,
    style: VoicingStyle = "rootless", *, round_again: bool = True
) -> tuple[Voicing | None, ...]:  # fmt: skip
    """A voicing for every place where a chord of the row is struck, under what the melody has there.

    ``model`` are notes to prefer, by the start of the spot; with ``round_again`` the last leads back to the first.
    """
    played = [in_context(slot.chord) if slot.chord is not None else None for slot in row]
    kinds = kinds_of(played)
    over = Over(melody)
    layers = [layer_of(played[spot.slot], kinds[spot.slot], over.held(spot), style) for spot in spots]
    wished = [None if model is None else model.get(spot.start) for spot in spots]
    chosen = _smoothest(layers, wished)
    if round_again:
        chosen = _led_back(layers, wished, chosen)
    return tuple(
        None if shape is None else Voicing(row[spot.slot].onset, row[spot.slot].duration, shape.notes, shape.degrees)
        for spot, shape in zip(spots, chosen, strict=True)
    )


def voice_chord(
    chord: Chord, previous: Voicing | None = None, following: Chord | None = None, style: VoicingStyle = "rootless"
) -> Voicing:
    """One chord by itself, near ``previous`` where that is given; the voicing starts at 0 and lasts a quarter note.

    ``following`` is the next chord, which decides the colours of a plain dominant.
    """
    played = in_context(chord)
    target = None if following is None else in_context(following)
    shapes = candidates(played, kind_of(played, None, target), NOTHING_HELD, style).shapes
    shape = min(shapes, key=lambda s: s.cost + (0 if previous is None else motion(previous.notes, s.notes)))
    return Voicing(ZERO, _ONE, shape.notes, shape.degrees)


# --- leading ------------------------------------------------------------------------------------------------------


_Model = Sequence[tuple[int, ...] | None]


def _smoothest(
    layers: list[Layer | None], models: _Model, start: Shape | None = None
) -> list[Shape | None]:  # fmt: skip
    """The cheapest path through the layers; silence is passed over and the hand goes on from where it was.

    With ``start``, one of the first layer's shapes, the path begins there and leads back to it.
    """
    costs: tuple[int, ...] = ()
    previous: Layer | None = None
    backs: list[tuple[int, ...]] = []
    for layer, model in zip(layers, models, strict=True):
        if layer is None:
            backs.append(())
            continue
        if previous is None:
            back: tuple[int, ...] = (0,) * len(layer.shapes)
            costs = _relative(_own(layer, model) if start is None else
                              [_FAR * (shape is not start) for shape in layer.shapes])  # fmt: skip
        else:
            costs, back = _step(costs, previous, layer, model)
        previous = layer
        backs.append(back)
    if start is not None and previous is not None:
        ends = zip(costs, previous.shapes, strict=True)
        costs = tuple(cost + motion(shape.notes, start.notes) for cost, shape in ends)
    return _traced(layers, backs, costs)


def _own(layer: Layer, model: tuple[int, ...] | None) -> list[int]:
    return [shape.cost - (LIKENESS if shape.notes == model else 0) for shape in layer.shapes]


def _relative(costs: list[int]) -> tuple[int, ...]:
    least = min(costs)
    return tuple([cost - least for cost in costs])


@lru_cache(maxsize=8192)
def _step(
    costs: tuple[int, ...], previous: Layer, layer: Layer, model: tuple[int, ...] | None
) -> tuple[tuple[int, ...], tuple[int, ...]]:  # fmt: skip
    """The costs of a layer's shapes counted from the cheapest, and the forerunner of each.

    Since costs are relative, the steps before an edit are known, and those behind it as soon as it no longer tells.
    """
    before = pack(costs)
    ways = [unpack(before + column, len(costs)) for column in motions(previous, layer)]
    best = [min(way) for way in ways]
    backs = tuple([way.index(least) for way, least in zip(ways, best, strict=True)])
    return _relative(list(map(add, best, _own(layer, model)))), backs


def _led_back(layers: list[Layer | None], models: _Model, chosen: list[Shape | None]) -> list[Shape | None]:
    """The path drawn once more so that its end leads to its own beginning, where that is not near already."""
    sounding = [shape for shape in chosen if shape is not None]
    if len(sounding) < 2 or motion(sounding[-1].notes, sounding[0].notes) <= NEAR:
        return chosen
    return _smoothest(layers, models, sounding[0])


def _traced(layers: list[Layer | None], backs: list[tuple[int, ...]], costs: tuple[int, ...]) -> list[Shape | None]:
    index = costs.index(min(costs)) if costs else 0
    chosen: list[Shape | None] = []
    for layer, back in zip(reversed(layers), reversed(backs), strict=True):
        chosen.append(None if layer is None else layer.shapes[index])
        index = index if layer is None else back[index]
    return chosen[::-1]
