"""A row that is voiced, with what is needed to say where its chords stand and how their notes are spelled."""

from __future__ import annotations

from dataclasses import dataclass

from core.chord import Chord
from core.form import Form
from core.key import Key
from core.pitch import Degree, pitch_from_midi, pretty_name
from core.row import Row
from core.spelling import simple, tone_name


@dataclass(frozen=True, slots=True)
class VoicedRow:
    """A row by its name in a tune, on its form, in its key."""

    title: str
    name: str
    row: Row
    form: Form
    key: Key


def note_name(midi: int, chord: Chord, degree: Degree, key: Key) -> str:
    """A note by the letter of its degree over the printed chord, with its octave: ``"B♭3"``."""
    fifths = simple(chord, key).root + degree.fifths
    name = tone_name(fifths, key)
    if name == pretty_name(fifths):
        return f"{name}{pitch_from_midi(midi, fifths).octave}"
    return f"{name}{midi // 12 - 1}"
