"""How tense a row is as it goes: the curve in the form strip.

A chord's tension is its function (tonic rests, subdominant leans, dominant pulls), how many of its notes are outside
the key, and how far its key lies from home. Weights are judgement, no source; the curve is for seeing, not for cost.
"""

from __future__ import annotations

from fractions import Fraction

from core.analysis import ChordAnalysis, analyse
from core.chord import Chord
from core.form import Form
from core.key import Key
from core.row import Row

_BY_FUNCTION = {"T": 0.1, "S": 0.35, "N": 0.45, "D": 0.6}
_OUTSIDE, _ALTERED, _AWAY = 0.07, 0.05, 0.04


def tension_curve(
    row: Row, form: Form, home: Key, analysis: tuple[ChordAnalysis, ...] | None = None
) -> tuple[tuple[Fraction, float], ...]:
    """(onset in quarter notes, tension 0 to 1) for every slot; silence is 0."""
    readings = analysis or analyse(row, form, home)
    return tuple(
        (slot.onset, 0.0 if slot.chord is None else _tension(slot.chord, reading, home))
        for slot, reading in zip(row, readings, strict=True)
    )


def _tension(chord: Chord, reading: ChordAnalysis, home: Key) -> float:
    scale = {(home.signature - 1 + step) * 7 % 12 for step in range(7)}
    outside = len(chord.pitch_classes - scale)
    altered = sum(degree.alteration != 0 and degree.number > 7 for degree in chord.quality.degrees)
    away = min((reading.key.signature - home.signature) % 12, (home.signature - reading.key.signature) % 12)
    return min(1.0, _BY_FUNCTION[reading.function] + _OUTSIDE * outside + _ALTERED * altered + _AWAY * away)
