"""Rows and tunes for the tests of hands: a chord a bar, a note a bar."""

from __future__ import annotations

from fractions import Fraction

from core.chart import Melody, Note
from core.pitch import pitch_from_midi
from core.row import Row, Slot
from core.symbol import parse_symbol

BAR = Fraction(4)
EVERYDAY = "Dm7 G7 Cmaj7 A7 Fm6 Bb9sus Em7 Eb13 Abmaj7 Am7 D7b9 Gm9"


def row_of(text: str) -> Row:
    """Chord symbols, a bar each."""
    return tuple(Slot(BAR * index, BAR, parse_symbol(name)) for index, name in enumerate(text.split()))


def tune(*notes: int) -> Melody:
    """MIDI numbers, a bar each."""
    return tuple(Note(BAR * index, BAR, pitch_from_midi(midi)) for index, midi in enumerate(notes))
