"""Whether one player can play a new chord with the tune on top of it: on the guitar, or with two hands at the piano."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from core.chart import Melody, Note
from core.chord import Chord, in_context
from core.hands import piano
from core.hands.grips import Player, grips_of
from core.hands.tune import tops_of
from core.pitch import pitch_from_midi
from core.row import Row, Slot
from core.voicing_sets import kind_of

GUITAR_TOPS = range(55, 82)
"""MIDI notes that have room for a chord under them on the upper strings."""
ALONE = Player(bass=False)


def octave_for(melody: Melody) -> int:
    """Semitones, whole octaves, by which a guitarist moves a tune so that most of it has room for a chord below."""
    return max((0, 12, -12), key=lambda shift: sum(note.pitch.midi + shift in GUITAR_TOPS for note in melody))


def playable(instrument: str, melody: Melody, chords: Row) -> bool:
    """Whether every chord can be held with the note of the tune that is struck with it on top."""
    shift = octave_for(melody) if instrument == "guitar" else 0
    holds = _held if instrument == "guitar" else _reached
    return all(slot.chord is None or holds(slot.chord, None if top is None else top + shift)
               for slot, top in zip(chords, tops_of(melody, chords), strict=True))  # fmt: skip


@lru_cache(maxsize=16384)
def _held(chord: Chord, top: int | None) -> bool:
    sounding = in_context(chord)
    return any(not grip.given_up for grip in grips_of(sounding, kind_of(sounding, None, None), ALONE, top))


@lru_cache(maxsize=16384)
def _reached(chord: Chord, top: int | None) -> bool:
    tune = () if top is None else (Note(Fraction(0), Fraction(1), pitch_from_midi(top)),)
    choice = piano.plan_row((Slot(Fraction(0), Fraction(1), chord),), None, tune, on_top=top is not None).choices[0]
    return choice is not None and not choice.remarks
