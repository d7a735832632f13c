"""Chords named from played notes: every row of the table in every position, beside two other readers of chords."""

from __future__ import annotations

import pychord
import pytest
from music21 import chord as music21_chord

from core.chord_naming import name_chord
from core.key import Key
from core.pitch import chromatic, name_of, pitch_from_midi
from core.quality import QUALITIES
from core.symbol import parse_symbol

C = Key(0)


def positions(root: int, semitones: tuple[int, ...]) -> list[list[int]]:
    """Close position on a root near middle C, then each tone of the chord as the lowest."""
    base = [60 + root + one for one in sorted(set(semitones))]
    return [base[turn:] + [pitch + 12 for pitch in base[:turn]] for turn in range(len(base))]


def symbols(pitches, key: Key = C, **context) -> list[str]:
    return [name.chord.canonical for name in name_chord(pitches, key, **context)]


@pytest.mark.parametrize("quality", QUALITIES.values(), ids=lambda quality: quality.id)
def test_every_row_of_the_table_is_named_in_every_position(quality):
    for root in (0, 1, 6, 9):
        for pitches in positions(root, quality.semitones):
            wanted = (root, quality.id, pitches[0] % 12)
            names = name_chord(pitches, C)
            assert wanted in [name.chord.sound for name in names], (pitches, [str(name.chord) for name in names])


# Rows whose notes are first of all another chord's: a minor triad with a raised fifth or a flat sixth is a major
# chord turned over, a flat fifth beside a major seventh is read as a raised eleventh. Common practice, no source.
READ_OTHERWISE = {"m#5": "C/E", "mb6": "Cmaj7/E", "maj7b5": "Emaj7#11"}


@pytest.mark.parametrize("quality", QUALITIES.values(), ids=lambda quality: quality.id)
def test_the_root_position_comes_first(quality):
    pitches = positions(4, quality.semitones)[0]
    first = name_chord(pitches, C)[0]
    if quality.id in READ_OTHERWISE:
        assert first.chord.canonical == READ_OTHERWISE[quality.id]
    else:
        assert first.chord.sound == (4, quality.id, 4)
        assert first.words == "root position"


# What music21 knows by name; its roots and inversions are compared.
KNOWN = ("maj", "m", "dim", "7", "maj7", "m7", "m7b5", "mM7", "maj7#5")


@pytest.mark.parametrize("identifier", KNOWN)
def test_root_and_inversion_agree_with_music21(identifier):
    # music21 10.5, chord.Chord.root() and .inversion().
    words = ("root position", "first inversion", "second inversion", "third inversion")
    for root in (0, 5, 10):
        for pitches in positions(root, QUALITIES[identifier].semitones):
            name = next(n for n in name_chord(pitches, C) if n.chord.sound[:2] == (root, identifier))
            spelled = {chromatic(tone): tone for tone in name.chord.tones}
            notes = [str(pitch_from_midi(pitch, spelled[pitch % 12])).replace("b", "-") for pitch in pitches]
            other = music21_chord.Chord(notes)
            assert other.root().pitchClass == name.chord.root_pc
            assert words[other.inversion()] == name.words


def test_whatever_pychord_finds_is_among_the_names():
    # pychord 1.4, find_chords_from_notes: compared where both know the symbol; it lists slash chords too.
    compared = 0
    for quality in QUALITIES.values():
        for pitches in positions(0, quality.semitones):
            spelled = [name_of((pitch * 7 + 5) % 12 - 5) for pitch in pitches]
            for found in pychord.find_chords_from_notes(spelled):
                other = parse_symbol(str(found))
                assert other is not None
                if other.pitch_classes != {pitch % 12 for pitch in pitches} or other.quality.id not in QUALITIES:
                    continue  # another convention: its 7#9 and its 11 hold other notes than ours
                compared += 1
                assert other.sound in [name.chord.sound for name in name_chord(pitches, C, most=16)], str(found)
    assert compared > 100


def test_the_bass_decides_between_names_of_the_same_notes():
    assert symbols((60, 64, 67, 69))[:2] == ["C6", "Am7/C"]
    assert symbols((57, 60, 64, 67))[0] == "Am7"
    assert symbols((60, 63, 67, 69))[:2] == ["Cm6", "Am7b5/C"]


def test_a_rootless_hand_is_named_over_the_bass_that_is_heard():
    # The two left-hand positions of ii–V–I (M. Levine 1989, The Jazz Piano Book, ch. 7, from memory).
    for played, chord, name in (
        ((53, 57, 60, 64), "Dm7", "Dm9"),
        ((53, 57, 59, 64), "G7", "G13"),
        ((52, 55, 59, 62), "Cmaj7", "Cmaj9"),
        ((60, 64, 65, 69), "Dm7", "Dm9"),
    ):
        first, *others = name_chord(played, C, heard=parse_symbol(chord))
        assert (first.chord.canonical, first.rootless) == (name, True)
        assert others, "what the hand alone would be is listed too"
    assert symbols((53, 57, 60, 64))[0] == "Fmaj7"
    assert "Dm9" in symbols((53, 57, 60, 64))
    assert symbols((41, 57, 60, 64), heard=parse_symbol("Dm7"))[0] == "Fmaj7", "a low note is a bass of its own"


def test_two_guide_tones_need_to_know_their_bass():
    assert symbols((64, 70)) == []
    assert symbols((64, 70), heard=parse_symbol("C7"))[0] == "C7"
    assert symbols((64, 70), heard=parse_symbol("Gb7"))[0] in ("Gb7", "F#7")


def test_left_out_tones_are_said():
    first = name_chord((48, 58, 64), C)[0]
    assert (first.chord.canonical, first.words) == ("C7", "root position, without its fifth")
    assert name_chord((53, 57, 60, 64), C, heard=parse_symbol("Dm7"))[0].words == "without its root"


def test_an_eleventh_chord_is_a_sus_on_its_bass_with_the_slash_beside_it():
    assert symbols((43, 65, 69, 72))[:2] == ["G9sus", "F/G"]


@pytest.mark.parametrize(
    ("key", "root"), [(Key(-3), "Ab7"), (Key(4), "G#7"), (Key(-5), "Ab7"), (Key(7, "minor"), "G#7")]
)
def test_roots_are_spelled_for_the_key(key, root):
    assert symbols((56, 60, 63, 66), key)[0] == root


def test_a_diminished_chord_is_named_by_where_it_goes():
    assert symbols((61, 64, 67, 70), following=parse_symbol("Dm7"))[0] == "C#dim7"
    assert "Ebdim7" in symbols((63, 66, 69, 72), following=parse_symbol("Dm7"))[0]


def test_the_next_chord_can_turn_a_sixth_chord_into_a_ii():
    assert symbols((64, 67, 70, 72), Key(-1), following=parse_symbol("F7"))[0] == "C7/E"
    assert symbols((67, 70, 72, 75), Key(-2), following=parse_symbol("F7"))[0] == "Cm7/G"


@pytest.mark.parametrize("pitches", [(), (60,), (48, 60, 72)])
def test_one_note_is_no_chord(pitches):
    assert name_chord(pitches, C) == ()


def test_a_cluster_gets_a_name_that_holds_its_notes():
    for pitches in ((60, 61, 62, 63), (60, 61, 65, 68, 71), (60, 62, 64, 66, 68, 70)):
        names = name_chord(pitches, C)
        for name in names:
            assert {pitch % 12 for pitch in pitches} <= name.chord.pitch_classes


@pytest.mark.parametrize("mode", ["major", "minor"])
def test_names_move_with_the_key(mode):
    played = (52, 58, 62, 69)
    for fifths in (-3, 0, 2):
        up = fifths * 7 % 12
        moved = [chord.transposed(fifths).sound for chord in (name.chord for name in name_chord(played, Key(0, mode)))]
        there = [name.chord.sound for name in name_chord([pitch + up for pitch in played], Key(fifths, mode))]
        assert moved == there
