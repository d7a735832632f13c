"""Degrees of notes over a chord: 1 to 7 for chord tones, 9 ♯9 11 ♯11 13 for tensions, each with its letter.

Common practice, no source; the spelled intervals are compared with music21's in the tests.
"""

from __future__ import annotations

from functools import lru_cache

from core.chord import Chord, in_context
from core.pitch import Degree, parse_degree
from core.quality import Quality

# Semitones above the root to the degree that a note is called where the chord does not write it.
_FOREIGN = tuple(map(parse_degree, ("1", "b9", "9", "#9", "3", "11", "#11", "5", "b13", "13", "b7", "7")))
_TENSION_FROM = 8


@lru_cache(maxsize=8192)
def degree_over(chord: Chord, pitch_class: int) -> Degree:
    """The degree of a chromatic pitch class over a chord; slash elevenths are read on their bass."""
    sounding = in_context(chord)
    semitones = sounding.degree_of(pitch_class)
    quality = sounding.quality.sounding
    written = {degree.semitones % 12: degree for degree in quality.degrees}
    if semitones in written:
        return written[semitones]
    return _foreign(quality, semitones)


def _foreign(quality: Quality, semitones: int) -> Degree:
    third, fifth = quality.degree(3), quality.degree(5)
    if semitones == 3 and (third is None or third.alteration < 0):
        return Degree(3, -1)
    if semitones == 9 and not quality.degree(7) and quality.family in ("major", "minor", "power"):
        return Degree(6)
    if semitones == 6 and fifth is None and quality.family == "power":
        return Degree(5, -1)
    return _FOREIGN[semitones]


@lru_cache(maxsize=8192)
def is_chord_tone(chord: Chord, pitch_class: int) -> bool:
    """Whether a note is written in the chord below its ninth: root, third, fourth in sus, fifth, sixth, seventh."""
    sounding = in_context(chord)
    semitones = sounding.degree_of(pitch_class)
    return any(degree.semitones % 12 == semitones and degree.number < _TENSION_FROM
               for degree in sounding.quality.sounding.degrees)  # fmt: skip


@lru_cache(maxsize=8192)
def is_written(chord: Chord, pitch_class: int) -> bool:
    """Whether the symbol writes a note, tensions too."""
    sounding = in_context(chord)
    return sounding.degree_of(pitch_class) in sounding.quality.sounding.semitones


def spelled_over(chord: Chord, pitch_class: int) -> int:
    """The place on the line of fifths of a note spelled by its degree over a chord."""
    return in_context(chord).root + degree_over(chord, pitch_class).fifths
