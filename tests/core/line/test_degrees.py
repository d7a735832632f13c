"""Degrees over chords, compared with music21's intervals for the spelled notes. Sources: music21's interval module;
which number a foreign note gets, common practice, no source."""

from __future__ import annotations

import pytest

from core.line.degrees import degree_over, is_chord_tone, spelled_over
from core.pitch import name_of
from core.quality import QUALITIES
from core.symbol import parse_symbol

ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "Gb", "G", "Ab", "A", "Bb", "B")
SUFFIXES = ("maj7", "6", "m7", "mM7", "m7b5", "dim7", "7", "7b9", "7alt", "7#5", "9sus", "", "m")


@pytest.mark.parametrize("suffix", SUFFIXES)
def test_spelled_notes_are_the_interval_that_the_degree_says(suffix: str) -> None:
    interval = pytest.importorskip("music21.interval")
    pitch = pytest.importorskip("music21.pitch")
    for root in ROOTS:
        chord = parse_symbol(root + suffix)
        assert chord is not None
        for pitch_class in range(12):
            degree = degree_over(chord, pitch_class)
            low, high = (pitch.Pitch(name_of(place).replace("b", "-") + octave)
                         for place, octave in ((chord.root, "3"), (spelled_over(chord, pitch_class), "5")))  # fmt: skip
            found = interval.Interval(low, high)
            simple = found.generic.simpleUndirected
            assert (7 if simple == 7 else simple % 7 or 7) == (degree.number - 1) % 7 + 1
            assert found.semitones % 12 == degree.semitones % 12 == (pitch_class - chord.root_pc) % 12


@pytest.mark.parametrize(
    ("symbol", "degrees"),
    [
        ("Cmaj7", "1 b9 9 #9 3 11 #11 5 b13 13 b7 7"),
        ("C6", "1 b9 9 #9 3 11 #11 5 b13 6 b7 7"),
        ("Cm7", "1 b9 9 b3 3 11 #11 5 b13 13 b7 7"),
        ("Cm7b5", "1 b9 9 b3 3 11 b5 5 b13 13 b7 7"),
        ("C7alt", "1 b9 9 #9 3 11 #11 5 b13 13 b7 7"),
        ("C7sus", "1 b9 9 b3 3 4 #11 5 b13 13 b7 7"),
        ("Cdim7", "1 b9 9 b3 3 11 b5 5 b13 bb7 b7 7"),
    ],
)
def test_the_twelve_notes_over_a_chord(symbol: str, degrees: str) -> None:
    chord = parse_symbol(symbol)
    assert chord is not None
    assert " ".join(str(degree_over(chord, at)) for at in range(12)) == degrees


def test_a_slash_eleventh_is_read_on_its_bass_and_written_tensions_are_no_chord_tones() -> None:
    chord, thirteenth = parse_symbol("F/G"), parse_symbol("G13")
    assert chord is not None
    assert thirteenth is not None
    assert str(degree_over(chord, 0)) == "4"
    assert not is_chord_tone(thirteenth, 4)
    assert str(degree_over(thirteenth, 4)) == "13"


def test_every_tone_of_every_quality_keeps_the_degree_that_the_table_writes() -> None:
    for quality in QUALITIES.values():
        chord = parse_symbol("C" + ("" if quality.id == "maj" else quality.id))
        assert chord is not None
        for degree in quality.sounding.degrees:
            assert degree_over(chord, degree.semitones % 12).semitones % 12 == degree.semitones % 12
