"""What else fits each chord of a row: scales, tensions, upper structures, read where the chord stands."""

from __future__ import annotations

from dataclasses import dataclass

from core.analysis import analyse
from core.chord import Chord, in_context
from core.chord_scales import ScaleFit, scales_of
from core.form import Form
from core.key import Key
from core.pitch import Degree
from core.row import Row
from core.upper_triads import UpperTriad, triads_over, upper_structures


@dataclass(frozen=True, slots=True)
class Colours:
    """Over one chord: the scales that fit, the first choice first, with its tensions; the upper structures, each with
    the first scale that it lies in; and all twenty-four triads as they are used over it. ``key`` is the local key."""

    chord: Chord
    key: Key
    scales: tuple[ScaleFit, ...]
    tensions: tuple[Degree, ...]
    structures: tuple[tuple[UpperTriad, ScaleFit], ...]
    triads: tuple[UpperTriad, ...]


def colours_of(row: Row, form: Form, home: Key) -> tuple[Colours | None, ...]:
    """The colours of every slot of a row, None at N.C. Chords that say the same in the same place are read alike."""
    found: list[Colours | None] = []
    for slot, read in zip(row, analyse(row, form, home), strict=True):
        if slot.chord is None:
            found.append(None)
            continue
        chord = in_context(slot.chord)
        scales = scales_of(slot.chord, read.key, read.role)
        tensions = scales[0].tensions if scales else ()
        found.append(Colours(chord, read.key, scales, tensions, upper_structures(chord, scales), triads_over(chord)))
    return tuple(found)
