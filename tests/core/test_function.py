"""What a chord does before the next, in all keys: the lexicon of dominants, diminished sevenths, areas, numerals."""

from __future__ import annotations

import music21
import pytest

from core.chord import Chord
from core.function import read
from core.key import Key, parse_key
from core.pitch import chromatic, name_of
from core.roman import numeral
from core.symbol import parse_symbol

MOVES = range(-5, 7)


def chord_of(text: str, moved: int = 0) -> Chord:
    found = parse_symbol(text)
    assert found is not None
    return found.transposed(moved)


# Which chords may come before a tonic and what they count as there: lexicon of M. Granroth-Wilding and M. Steedman 2014,
# Journal of New Music Research 43(4), as released with its parser (rows G1–G8, G10, G12–G14). Key, chord, next,
# function, whether it aims at what follows. The minor plagal IVm, there a dominant, is a subdominant in our words.
LEXICON = [
    ("C major", "G7", "Cmaj7", "D", True), ("C major", "Db7", "Cmaj7", "D", True), ("C major", "Bb7", "Cmaj7", "D", True),
    ("C major", "E7", "Cmaj7", "D", True), ("C minor", "G7", "Cm7", "D", True), ("C minor", "Db7", "Cm6", "D", True),
    ("C major", "G", "C", "D", True), ("C major", "G7b5", "C6", "D", True), ("C major", "Gaug", "C6", "D", True),
    ("C major", "Am7", "D7", "T", True), ("C major", "Gm7", "C7", "S", True), ("C minor", "Dm7b5", "G7", "S", True),
    ("C major", "Bo7", "Cmaj7", "D", True), ("C major", "Abo7", "Cmaj7", "D", True), ("C major", "Fo7", "Cmaj7", "D", True),
    ("C major", "Do7", "Cmaj7", "D", True), ("C major", "Baug", "C6", "D", True), ("C major", "Ebaug", "C6", "D", True),
    ("C major", "Fmaj7", "Cmaj7", "S", False), ("C major", "Abmaj7", "Cmaj7", "S", False), ("C major", "Fm6", "Cmaj7", "S", False),
    ("C major", "Cmaj7", "Fmaj7", "T", False), ("C minor", "Cm6", "Fm6", "T", False), ("C major", "Em7", "Fmaj7", "T", False),
    ("C major", "Co7", "Cmaj7", "N", False), ("C major", "Ebo7", "Cmaj7", "N", False), ("C major", "F#o7", "Cmaj7", "N", False),
    ("C major", "Ao7", "Cmaj7", "N", False), ("C major", "G7sus", "Cmaj7", "D", True), ("C major", "F/G", "Cmaj7", "D", True),
]  # fmt: skip


@pytest.mark.parametrize("moved", MOVES)
@pytest.mark.parametrize(("key", "text", "after", "function", "resolves"), LEXICON)
def test_the_lexicon_of_what_precedes(
    key: str, text: str, after: str, function: str, resolves: bool, moved: int
) -> None:
    found = read(chord_of(text, moved), chord_of(after, moved), parse_key(key).transposed(moved))
    assert (found.function, found.resolves) == (function, resolves)


@pytest.mark.parametrize("moved", MOVES)
def test_four_dominants_and_no_others_precede_a_tonic(moved: int) -> None:
    # Roots three semitones apart: computed from the same lexicon.
    key, tonic = Key(moved), chord_of("Cmaj7", moved)
    aiming = {
        (one.root_pc - tonic.root_pc) % 12
        for fifths in range(-6, 6)
        if (one := chord_of("C7", moved + fifths)) and read(one, tonic, key).resolves
    }
    assert aiming == {7, 1, 10, 4}


@pytest.mark.parametrize("moved", MOVES)
@pytest.mark.parametrize("goal", ["maj7", "m7"])
def test_a_diminished_seventh_is_told_by_leading_tone_root_or_neither(goal: str, moved: int) -> None:
    # An o7 with the leading tone of what follows is its dominant, with its root an auxiliary (M. Lavengood, "Embellishing
    # Chords", Open Music Theory), with neither a chromatic passing chord (common practice, no source).
    key = Key(moved)
    for root in range(-6, 6):
        one = chord_of("Co7", moved + root)
        tones = {(one.root_pc + step) % 12 for step in (0, 3, 6, 9)}
        for place in range(-6, 6):
            after = chord_of("C" + goal, moved + place)
            found = read(one, after, key)
            if (after.root_pc - 1) % 12 in tones:
                assert (found.function, found.resolves, found.aim) == ("D", True, after.root_pc)
            else:
                assert (found.function, found.resolves) == ("N", False)
                assert found.role.startswith("auxiliary" if after.root_pc in tones else "chromatic passing")


# Patterns of passing diminished sevenths as they are taught: computed from the spelling of 7b9 chords, their names
# common practice, no source. Chord, next, numeral, role.
DIMINISHED = [
    ("C#o7", "Dm7", "viio7/ii", "V of ii"), ("D#o7", "Em7", "viio7/iii", "V of iii"), ("F#o7", "G7", "viio7/V", "V of V"),
    ("F#o7", "C/G", "viio7/V", "V of V"), ("G#o7", "Am7", "viio7/vi", "V of vi"), ("Bo7", "C6", "viio7", "V"),
    ("Ebo7", "Dm7", "biiio7", "chromatic passing"), ("Co7", "C6", "io7", "auxiliary, common tone"),
    ("Go7", "G7", "vo7", "auxiliary, common tone"),
]  # fmt: skip


@pytest.mark.parametrize("moved", MOVES)
@pytest.mark.parametrize(("text", "after", "name", "role"), DIMINISHED)
def test_patterns_of_diminished_sevenths(text: str, after: str, name: str, role: str, moved: int) -> None:
    found = read(chord_of(text, moved), chord_of(after, moved), Key(moved))
    assert (found.numeral, found.role) == (name, role)


# Areas of the sevenths of a major key: J. Thomas, Voice Leading for Guitar, ch. 1.
AREAS = {"Cmaj7": "T", "Dm7": "S", "Em7": "T", "Fmaj7": "S", "G7": "D", "Am7": "T", "Bm7b5": "D"}


@pytest.mark.parametrize("moved", MOVES)
@pytest.mark.parametrize("text", AREAS)
def test_areas_of_the_major_key(text: str, moved: int) -> None:
    assert read(chord_of(text, moved), None, Key(moved)).function == AREAS[text]


# The sevenths of a major and of a natural minor key, by their roots in fifths from C. Common practice, no source.
SEVENTHS = {
    "major": [(0, "maj7"), (2, "m7"), (4, "m7"), (-1, "maj7"), (1, "7"), (3, "m7"), (5, "m7b5")],
    "minor": [(0, "m7"), (2, "m7b5"), (-3, "maj7"), (-1, "m7"), (1, "m7"), (-4, "maj7"), (-2, "7")],
}


@pytest.mark.parametrize("tonic", MOVES)
@pytest.mark.parametrize("mode", SEVENTHS)
def test_numerals_agree_with_music21(mode: str, tonic: int) -> None:
    home = name_of(tonic).replace("b", "-")
    theirs_in = music21.key.Key(home if mode == "major" else home.lower())
    for place, kind in SEVENTHS[mode]:
        ours = numeral(chord_of("C" + kind, tonic + place), Key(tonic, mode))
        root = chord_of("C", tonic + place)
        spelled = [name_of(root.root + step).replace("b", "-") for step in _fifths(kind)]
        octaves = [4 + (chromatic(root.root) + semitones) // 12 for semitones in _semitones(kind)]
        pitches = [f"{name}{octave}" for name, octave in zip(spelled, octaves, strict=True)]
        theirs = music21.roman.romanNumeralFromChord(music21.chord.Chord(pitches), theirs_in)
        letters = "".join(sign for sign in ours if sign in "IViv")
        assert letters == theirs.romanNumeralAlone
        # Degrees are counted on the major scale: ♭III, ♭VI and ♭VII in minor, where music21 writes III, VI and VII.
        assert ours.startswith("b") == (mode == "minor" and theirs.scaleDegree in (3, 6, 7))


def _fifths(kind: str) -> tuple[int, ...]:
    return {"maj7": (0, 4, 1, 5), "m7": (0, -3, 1, -2), "7": (0, 4, 1, -2), "m7b5": (0, -3, -6, -2)}[kind]


def _semitones(kind: str) -> tuple[int, ...]:
    return {"maj7": (0, 4, 7, 11), "m7": (0, 3, 7, 10), "7": (0, 4, 7, 10), "m7b5": (0, 3, 6, 10)}[kind]


def test_suffixes_tell_sixths_apart() -> None:
    key = parse_key("C minor")
    assert [numeral(chord_of(text), key) for text in ("Cm6", "Cm(b6)", "CmM7", "Cm7")] == ["i6", "ib6", "iM7", "i7"]
