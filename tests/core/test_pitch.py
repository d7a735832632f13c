"""Spelled pitch against music21's."""

from __future__ import annotations

import music21
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.pitch import (
    Degree,
    Pitch,
    PitchError,
    chromatic,
    name_of,
    parse_degree,
    parse_pitch_class,
    pitch_from_midi,
    simple_spelling,
    spell_near,
)

FIFTHS = st.integers(-15, 19)  # every name with up to two accidentals


@given(FIFTHS)
def test_name_and_number_agree_with_music21(fifths: int) -> None:
    # music21 10.5 writes flats as "-".
    theirs = music21.pitch.Pitch(name_of(fifths).replace("b", "-"))
    assert theirs.pitchClass == chromatic(fifths)
    assert parse_pitch_class(name_of(fifths)) == fifths


@given(FIFTHS, st.integers(0, 8))
def test_midi_and_staff_place_agree_with_music21(fifths: int, octave: int) -> None:
    theirs = music21.pitch.Pitch(name_of(fifths).replace("b", "-") + str(octave))
    ours = Pitch(fifths, octave)
    assert (ours.midi, ours.staff_step) == (theirs.midi, theirs.diatonicNoteNum - 1)
    assert pitch_from_midi(ours.midi, fifths) == ours


@given(FIFTHS, st.sampled_from([(1, 7, "P5"), (4, 4, "M3"), (-3, 3, "m3"), (-6, 6, "d5"), (-5, 1, "m2"), (6, 6, "A4")]))
def test_transposition_keeps_the_spelling(fifths: int, interval: tuple[int, int, str]) -> None:
    step, semitones, name = interval
    here = Pitch(fifths, 4)
    theirs = music21.pitch.Pitch(name_of(fifths).replace("b", "-") + "4").transpose(name)
    moved = here.transposed(step, semitones)
    assert (name_of(moved.fifths).replace("b", "-"), moved.midi) == (theirs.name, theirs.midi)


@pytest.mark.parametrize("signs", ["Bb", "B♭", "bb", "b♭"])
def test_flats_are_read_in_both_spellings(signs: str) -> None:
    assert parse_pitch_class(signs) == -2


@pytest.mark.parametrize("text", ["", "H", "Cbbb", "C-", "c#b"])
def test_what_is_no_note_is_refused_by_name(text: str) -> None:
    with pytest.raises(PitchError, match="as a note name"):
        parse_pitch_class(text)


@given(FIFTHS, st.integers(-6, 6))
def test_simple_spelling_is_the_same_key_of_the_piano_with_one_accidental(fifths: int, key: int) -> None:
    simple = simple_spelling(fifths, key)
    assert chromatic(simple) == chromatic(fifths)
    assert len(name_of(simple)) <= 2
    if not key - 1 <= simple <= key + 5:
        assert name_of(simple) not in ("Cb", "Fb", "E#", "B#")


def test_the_substitute_in_e_flat_is_stored_f_flat_and_printed_e() -> None:
    # Common practice, no source: B♭7's substitute falls to E♭ as F♭7 and is read as E7.
    assert name_of(simple_spelling(parse_pitch_class("Fb"), -3)) == "E"
    assert name_of(simple_spelling(parse_pitch_class("Cb"), -6)) == "Cb"  # IV of G♭ keeps its name


@given(st.integers(0, 11), st.integers(-7, 7))
def test_scale_notes_are_spelled_by_the_signature(pitch_class: int, key: int) -> None:
    scale = {chromatic(key - 1 + step): key - 1 + step for step in range(7)}
    assert chromatic(spell_near(pitch_class, key)) == pitch_class
    if pitch_class in scale:
        assert spell_near(pitch_class, key) == scale[pitch_class]


@pytest.mark.parametrize(
    ("text", "semitones"), [("1", 0), ("b9", 13), ("#11", 18), ("bb7", 9), ("13", 21), ("#5", 8), ("b13", 20)]
)
def test_degrees_have_their_size(text: str, semitones: int) -> None:
    degree = parse_degree(text)
    assert degree.semitones == semitones
    assert chromatic(degree.fifths) == semitones % 12
    assert str(degree) == text
    assert isinstance(degree, Degree)
