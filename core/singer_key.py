"""Another key for the singer: the twelve keys, and the lowest and highest note of the tune in each."""

from __future__ import annotations

from dataclasses import dataclass

from core.chart import Chart, Note
from core.edit import transposed
from core.key import Key
from core.pitch import Pitch, with_signs

SHIFTS = range(-6, 6)
"""Semitones: from a tritone down to a fourth up every key is met once, and never moved further than need be."""


@dataclass(frozen=True, slots=True)
class KeyChoice:
    """A key: how far it is moved in semitones and in fifths, and the tune's lowest and highest note there."""

    semitones: int
    fifths: int
    key: Key
    low: Pitch | None
    high: Pitch | None

    @property
    def range_words(self) -> str:
        """``'B♭3 to F5'``, "" without a tune."""
        return "" if self.low is None or self.high is None else f"{_shown(self.low)} to {_shown(self.high)}"


def _shown(pitch: Pitch) -> str:
    name = str(pitch)[: -len(str(pitch.octave))]
    return f"{with_signs(name)}{pitch.octave}"


def melody_range(chart: Chart) -> tuple[Pitch, Pitch] | None:
    """Lowest and highest note of the tune and of the takes' own tunes; None without notes."""
    notes: list[Note] = [*chart.melody, *(note for take in chart.takes for note in take.melody or ())]
    if not notes:
        return None
    return min(notes, key=lambda n: n.pitch.midi).pitch, max(notes, key=lambda n: n.pitch.midi).pitch


def key_choices(chart: Chart) -> tuple[KeyChoice, ...]:
    """Every key within reach, from the lowest; the one that is there moves by nothing."""
    return tuple(_choice(chart, semitones) for semitones in SHIFTS)


def _choice(chart: Chart, semitones: int) -> KeyChoice:
    fifths = _fifths(chart.key, semitones)
    spread = melody_range(chart)
    low, high = (None, None) if spread is None else (pitch.transposed(fifths, semitones) for pitch in spread)
    return KeyChoice(semitones, fifths, chart.key.transposed(fifths), low, high)


def _fifths(key: Key, semitones: int) -> int:
    """Of the spellings of an interval the one whose signature has the fewest signs, flats where two are alike."""
    if semitones % 12 == 0:
        return 0
    near = (semitones * 7) % 12
    return min((near - 12, near), key=lambda fifths: (abs(key.signature + fifths), key.signature + fifths))


def in_key(chart: Chart, choice: KeyChoice) -> Chart:
    """The whole chart in that key: rows, takes, steps and tune."""
    return chart if choice.semitones == 0 else transposed(chart, choice.fifths, choice.semitones)
