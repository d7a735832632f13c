"""Scales in context, tensions and notes to avoid; the twenty-four triads over a chord."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import scale as music21_scale

from core.analysis import analyse
from core.bar_text import chart_from_bar_text
from core.chord import Chord, chord
from core.chord_scales import SCALES, ScaleFit, scales_of
from core.key import Key
from core.pitch import chromatic
from core.quality import QUALITIES
from core.symbol import parse_symbol
from core.upper_triads import triads_over, upper_structures

BY_NAME = {scale.name: scale for scale in SCALES}
# Semitones of the scales, common practice, no source.
SEMITONES = {"Ionian": "0 2 4 5 7 9 11", "Dorian": "0 2 3 5 7 9 10", "Phrygian": "0 1 3 5 7 8 10", "Lydian": "0 2 4 6 7 9 11",
             "Mixolydian": "0 2 4 5 7 9 10", "Aeolian": "0 2 3 5 7 8 10", "Locrian": "0 1 3 5 6 8 10",
             "Locrian ♮9": "0 2 3 5 6 8 10", "Lydian ♭7": "0 2 4 6 7 9 10", "Altered": "0 1 3 4 6 8 10",
             "Half–whole": "0 1 3 4 6 7 9 10", "Whole–half": "0 2 3 5 6 8 9 11", "Whole tone": "0 2 4 6 8 10",
             "Mixolydian ♭9 ♭13": "0 1 4 5 7 8 10", "Melodic minor": "0 2 3 5 7 9 11",
             "Harmonic minor": "0 2 3 5 7 8 11"}  # fmt: skip


@pytest.mark.parametrize("name", SEMITONES)
def test_scales(name: str) -> None:
    assert " ".join(map(str, BY_NAME[name].semitones)) == SEMITONES[name]


@pytest.mark.parametrize(("name", "mode"), [("Ionian", "MajorScale"), ("Dorian", "DorianScale"), ("Phrygian", "PhrygianScale"),
                                            ("Lydian", "LydianScale"), ("Mixolydian", "MixolydianScale"),
                                            ("Aeolian", "MinorScale"), ("Locrian", "LocrianScale")])  # fmt: skip
def test_church_modes_are_music21s(name: str, mode: str) -> None:
    pitches = getattr(music21_scale, mode)("C4").getPitches("C4", "B4")
    assert BY_NAME[name].semitones == tuple(pitch.midi - 60 for pitch in pitches)


def test_the_altered_scale_is_lydian_flat_seven_a_tritone_away() -> None:
    # Computed.
    assert {(note + 6) % 12 for note in BY_NAME["Altered"].semitones} == set(BY_NAME["Lydian ♭7"].semitones)


def in_place(key: str, bars: str, index: int) -> tuple[Chord, tuple[ScaleFit, ...]]:
    chart = chart_from_bar_text(f"title: Harbour Steps\nkey: {key}\nmeter: 4/4\n\n| {bars} |\n")
    read = analyse(chart.standard, chart.form, chart.key)[index]
    item = chart.standard[index].chord
    assert item is not None
    return item, scales_of(item, read.key, read.role)


# Tensions by place in the key, two Berklee-style chord-scale summaries in agreement; the last four common practice.
TENSIONS = [
    ("C major", "Cmaj7 | Dm7 G7 | Cmaj7", 0, "Ionian", "9 13", "11"),
    ("C major", "Cmaj7 | Dm7 G7 | Cmaj7", 1, "Dorian", "9 11", ""),
    ("C major", "Cmaj7 | Em7 | Fmaj7 | G7", 1, "Phrygian", "11", "b9 b13"),
    ("C major", "Cmaj7 | Em7 | Fmaj7 | G7", 2, "Lydian", "9 #11 13", ""),
    ("C major", "Cmaj7 | Em7 | Fmaj7 | G7", 3, "Mixolydian", "9 13", "11"),
    ("C major", "Cmaj7 | Am7 | Dm7 | G7", 1, "Aeolian", "9 11", "b13"),
    ("C major", "Cmaj7 | Bm7b5 | Cmaj7 | G7", 1, "Locrian", "11 b13", "b9"),
    ("C major", "Cmaj7 | A7 | Dm7 G7 | Cmaj7", 1, "Mixolydian ♭13", "9 b13", "11"),
    ("C major", "Cmaj7 | B7 | Em7 A7 | Dm7 G7", 1, "Mixolydian ♭9 ♯9 ♭13", "b9 #9 b13", "11"),
    ("C major", "Cmaj7 | E7 | Am7 D7 | Dm7 G7", 1, "Mixolydian ♭9 ♯9 ♭13", "b9 #9 b13", "11"),
    ("C major", "Cmaj7 | C7 | Fmaj7 | G7", 1, "Mixolydian", "9 13", "11"),
    ("C major", "Cmaj7 | D7 | Dm7 G7 | Cmaj7", 1, "Mixolydian", "9 13", "11"),
    ("C major", "Cmaj7 | Dm7 Db7 | Cmaj7 | G7", 2, "Lydian ♭7", "9 #11 13", ""),
    ("C major", "Cmaj7 | Abmaj7 | Dbmaj7 | Cmaj7", 1, "Lydian", "9 #11 13", ""),
    ("C major", "Cmaj7 | Abmaj7 | Dbmaj7 | Cmaj7", 2, "Lydian", "9 #11 13", ""),
    ("C major", "Cmaj7 | Fm7 Bb7 | Cmaj7 | G7", 2, "Lydian ♭7", "9 #11 13", ""),
    ("C major", "Cmaj7 | F7 | Cmaj7 | G7", 1, "Lydian ♭7", "9 #11 13", ""),
    ("C major", "Dm7 | G7alt | Cmaj7 | %", 1, "Altered", "b9 #9 #11 b13", ""),
    ("C major", "Cmaj7 | Bm7 E7 | Am7 | G7", 1, "Dorian", "9 11", ""),
    ("C major", "Cmaj7 | Bm7b5 E7 | Am7 | G7", 1, "Locrian", "11 b13", "b9"),
    ("C minor", "Cm6 | Dm7b5 G7 | Cm6 | %", 0, "Melodic minor", "9 11 13", ""),
    ("C minor", "CmM7 | Dm7b5 G7 | CmM7 | %", 0, "Melodic minor", "9 11 13", ""),
    ("C minor", "Cm6 | Dm7b5 G7 | Cm6 | %", 2, "Mixolydian ♭9 ♯9 ♭13", "b9 #9 b13", "11"),
    ("C major", "Dm7 | G7sus | Cmaj7 | %", 1, "Mixolydian sus", "9 11 13", ""),
]  # fmt: skip


@pytest.mark.parametrize(("key", "bars", "index", "name", "tensions", "avoid"), TENSIONS)
def test_available_tensions(key: str, bars: str, index: int, name: str, tensions: str, avoid: str) -> None:
    _, fits = in_place(key, bars, index)
    assert fits[0].scale.name == name
    assert " ".join(map(str, fits[0].tensions)) == tensions
    assert " ".join(map(str, fits[0].avoid)) == avoid


def test_the_thirteenth_of_a_two_is_restrained_since_it_is_the_third_of_the_five() -> None:
    # Same summaries: it makes a tritone with the third.
    _, fits = in_place("C major", "Dm7 | G7 | Cmaj7 | %", 0)
    assert [str(degree) for degree in fits[0].restrained] == ["13"]


@given(st.sampled_from(sorted(QUALITIES)), st.integers(-6, 6), st.integers(-6, 6), st.sampled_from(("major", "minor")))
def test_every_scale_holds_the_chord_and_its_notes_are_told_apart(
    identifier: str, root: int, tonic: int, mode: str
) -> None:
    item = chord(root, identifier)
    key = Key(tonic, mode)
    for fit in scales_of(item, key):
        notes = set(fit.scale.semitones)
        missing = set(item.quality.sounding.semitones) - notes
        assert missing <= ({7} if item.quality.family == "dominant" else set())
        assert not set(fit.avoid) & (set(fit.tensions) | set(fit.restrained))
        home = {0, 2, 4, 5, 7, 9, 11} if mode == "major" else {0, 2, 3, 5, 7, 8, 10, 11}
        outside = [note for note in notes if (note + item.root_pc - chromatic(tonic)) % 12 not in home]
        assert fit.foreign == len(outside)


def test_every_quality_but_stacked_oddities_has_a_scale() -> None:
    without = {identifier for identifier in QUALITIES if not scales_of(chord(0, identifier), Key(0))}
    assert without <= {"maj7b5", "m#5", "sus2", "maj11"}, without


# --- the twenty-four triads -------------------------------------------------------------------------------------------

# Over C7, computed; the nine that are used are a published list: M. Levine, The Jazz Piano Book, ch. 14, as quoted.
USED = {"D": "9 #11 13", "Eb": "#9 5 b7", "Gb": "#11 b7 b9", "Ab": "b13 1 #9", "A": "13 b9 3", "Cm": "1 #9 5",
        "Dbm": "b9 3 b13", "Ebm": "#9 #11 b7", "F#m": "#11 13 b9"}  # fmt: skip
PLAIN = {"C": "1 3 5", "Gm": "5 b7 9", "Am": "13 1 3"}
AVOIDED = ("Db", "E", "F", "G", "Bb", "B", "Dm", "Em", "Fm", "Abm", "Bbm", "Bm")


def by_sound(text: str) -> tuple[int, str]:
    item = parse_symbol(text)
    assert item is not None
    return item.root_pc, item.quality.id


def test_all_twenty_four_triads_over_a_dominant() -> None:
    found = {(upper.triad.root_pc, upper.triad.quality.id): upper for upper in triads_over(chord(0, "7"))}
    assert len(found) == 24
    for text, degrees in (USED | PLAIN).items():
        assert " ".join(map(str, found[by_sound(text)].degrees)) == degrees
    assert {found[by_sound(text)].use for text in USED} == {"upper structure"}
    assert {found[by_sound(text)].use for text in PLAIN} == {"plain"}
    assert {found[by_sound(text)].use for text in AVOIDED} == {"avoid"}


def test_the_minor_triad_on_the_ninth_is_for_a_suspended_chord_only() -> None:
    # D minor over C: 9, the 4 of the symbol (an 11 over a dominant), 13 (computed; same list).
    over_sus = {upper.triad.canonical: upper for upper in triads_over(chord(0, "7sus"))}
    assert over_sus["Dm"].use == "upper structure"
    assert " ".join(map(str, over_sus["Dm"].degrees)) == "9 4 13"


@pytest.mark.parametrize("identifier", QUALITIES)
def test_degrees_of_every_triad_are_what_sounds(identifier: str) -> None:
    for root in range(-6, 6):
        lower = chord(root, identifier)
        for upper in triads_over(lower):
            sounding = {(lower.root_pc + degree.semitones) % 12 for degree in upper.degrees}
            assert sounding == set(upper.triad.pitch_classes)


def test_what_is_written_chooses_among_the_upper_structures() -> None:
    def names(text: str, key: Key = Key(0)) -> list[str]:  # noqa: B008
        item = parse_symbol(text)
        assert item is not None
        return [upper.triad.canonical for upper, _ in upper_structures(item, scales_of(item, key))]

    assert names("C13#11") == ["D"]
    assert "A" in names("C13b9")
    assert "D" not in names("C7b9")
    assert set(names("C7alt")) == {"Dbm", "Ebm", "F#", "Ab"}  # the four that hold neither 5 nor 9 nor 13
    assert names("Cmaj7#11")[0] == "D"
    dominant = chord(0, "7")
    for upper, fit in upper_structures(dominant, scales_of(dominant, Key(-1))):
        assert {degree.semitones % 12 for degree in upper.degrees} <= set(fit.scale.semitones)
