"""Chord symbols: every spelling on every root, every style, and two outside readings of the same chords."""

from __future__ import annotations

import csv
from pathlib import Path

import mir_eval
import music21
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.chord import Chord, chord, guide_tones, in_context
from core.pitch import chromatic, parse_degree
from core.quality import FAMILIES, QUALITIES, SUFFIXES, compose
from core.symbol import NOTE_NAMES, STYLES, SymbolError, echo, format_chord, parse_symbol, reading_note

# 254 spellings of the trade with their degrees, collected by hand; each reading is common practice, no source.
_TABLE = Path(__file__).parents[1] / "reference" / "spellings.tsv"
SPELLINGS = list(csv.DictReader(_TABLE.read_text(encoding="utf-8").splitlines(), delimiter="\t"))
ROOTS = [letter + sign for letter in "ABCDEFG" for sign in ("", "b", "♭", "#", "♯")]
CHORDS = st.builds(Chord, st.integers(-8, 12), st.sampled_from(list(QUALITIES.values())),
                   st.none() | st.integers(-8, 12))  # fmt: skip


@pytest.mark.parametrize("root", ROOTS)
def test_every_spelling_reads_as_its_chord_on_every_root(root: str) -> None:
    for row in SPELLINGS:
        read = parse_symbol(root + row["spelling"][1:])
        assert read is not None
        assert read.quality.id == row["id"], row["spelling"]
        assert {str(degree) for degree in read.quality.degrees} == set(row["degrees"].split())
        assert (
            chromatic(read.root)
            == music21.pitch.Pitch(root.replace("b", "-").replace("♭", "-").replace("♯", "#")).pitchClass
        )


@given(CHORDS, st.sampled_from(sorted(STYLES)))
def test_every_style_reads_back_as_the_same_chord(written: Chord, style: str) -> None:
    assert parse_symbol(format_chord(written, style)) == written


@given(CHORDS)
def test_canonical_text_reads_back_as_the_same_chord(written: Chord) -> None:
    assert parse_symbol(written.canonical) == written
    assert written.canonical.isascii()


@given(st.sampled_from(["7", "maj7", "m7", "9sus", "69"]),
       st.lists(st.sampled_from(["b9", "#9", "#11", "b13", "add13", "omit5"]), min_size=1, max_size=4, unique=True))  # fmt: skip
def test_composed_qualities_have_one_name_whatever_the_order(base: str, modifiers: list[str]) -> None:
    try:
        one, other = compose(base, tuple(modifiers)), compose(base, tuple(reversed(modifiers)))
    except ValueError:
        return
    assert set(one.degrees) == set(other.degrees)
    if "omit5" not in modifiers:
        assert one.id == other.id
    written = Chord(0, one)
    assert parse_symbol(written.canonical) == written
    for style in STYLES:
        assert parse_symbol(format_chord(written, style)).quality.degrees == one.degrees  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("text", "position", "nearest"),
    [
        ("Cmaj77", 5, "Cmaj7"), ("Bbm7b", 4, "Bbm7b5"), ("H7", 0, None), ("C/Bb/G", 1, "C"), ("C-5", 1, "C(b5)"),
        ("Gdmi7", 1, "Gmi7"), ("F#mjaor7", 3, "F#major7"), ("", 0, None), ("C7(b9", 2, "C7(b9)"), ("Ebmaj7##", 6, "Ebmaj7#5"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_with_place_and_nearest(text: str, position: int, nearest: str | None) -> None:
    with pytest.raises(SymbolError) as caught:
        parse_symbol(text)
    assert (caught.value.text, caught.value.position) == (text, position)
    assert caught.value.nearest == nearest
    assert repr(text) in str(caught.value)


@given(st.text(max_size=12))
def test_any_text_is_read_or_refused_by_our_own_error(text: str) -> None:
    try:
        read = parse_symbol(text)
    except SymbolError:
        return
    assert read is None or parse_symbol(read.canonical) == read


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("C-7", "Cm7"), ("C7-9", "C7b9"), ("C-9", "Cm9"), ("C7+9", "C7#9"), ("C+9", "C9#5"), ("C11", "C9sus"), ("C2", "Cadd9"),
        ("C4", "Csus4"), ("C6/9", "C69"), ("C7/4", "C7sus"), ("C07", "Cdim7"), ("C∆7", "Cmaj7"), ("CØ7", "Cm7b5"),
        ("C–7", "Cm7"), ("bb7", "Bb7"), ("Cx", "C7"), ("Dm7b5/Ab", "Dø/Ab"), ("C 7", "C7"), ("C7(b9, b13)", "C7b9b13"),
    ],
)  # fmt: skip
def test_ambiguous_spellings_have_the_usual_reading(one: str, other: str) -> None:
    # Common practice, no source.
    assert parse_symbol(one) == parse_symbol(other)


@pytest.mark.parametrize("text", ["N.C.", "NC", "n.c.", "N.C", "tacet"])
def test_silence_has_its_spellings(text: str) -> None:
    assert parse_symbol(text) is None


def test_a_root_takes_its_accidental_before_the_quality() -> None:
    assert parse_symbol("C#9") == chord(7, "9")
    assert parse_symbol("Bb9") == chord(-2, "9")
    assert parse_symbol("B7b9") == chord(5, "7b9")


@pytest.mark.parametrize("text", ["D\\C7", "D|C7"])
def test_a_polychord_is_the_lower_chord_with_the_upper_as_tensions(text: str) -> None:
    # D over C7 gives 9, #11 and 13: upper-structure chart quoted by J. Baez from a piano lesson; Levine, The Jazz
    # Piano Book, ch. 14.
    read = parse_symbol(text)
    assert read is not None
    assert {str(degree) for degree in read.quality.degrees} == {"1", "3", "5", "b7", "9", "#11", "13"}
    assert parse_symbol(read.canonical) == read


def test_slash_chords_that_stand_for_a_sus() -> None:
    # F/G, Dm7/G and B♭maj7/C: D. Tymoczko 2011, A Geometry of Music, ch. 10 (suspended dominant).
    for text, meaning in (("F/G", "G9sus"), ("Dm7/G", "G9sus"), ("Bbmaj7/C", "C13sus"), ("C/E", "C/E")):
        read, meant = parse_symbol(text), parse_symbol(meaning)
        assert read is not None
        assert in_context(read) == meant


def test_german_names_are_read_only_when_chosen() -> None:
    assert parse_symbol("H7", "german") == chord(5, "7")
    assert parse_symbol("B7", "german") == chord(-2, "7")
    assert parse_symbol("Fism7/Cis", "german") == parse_symbol("F#m7/C#")
    assert parse_symbol("Solm7", "latin") == parse_symbol("Gm7")
    assert set(NOTE_NAMES) == {"english", "german", "latin"}


def test_doubtful_readings_carry_a_note() -> None:
    assert "ninth sus" in (reading_note("C11") or "")
    assert reading_note("C7") is None
    assert echo(parse_symbol("C7#9b13")) == "C E G B♭ D♯ A♭"


# --- the table ---------------------------------------------------------------------------------------------------


def test_rows_of_the_table_are_distinct_and_of_known_families() -> None:
    degrees = [tuple(quality.degrees) for quality in QUALITIES.values()]
    assert len(set(degrees)) == len(degrees)
    assert {quality.family for quality in QUALITIES.values()} <= set(FAMILIES)
    assert all(quality.id in SUFFIXES for quality in QUALITIES.values())
    assert all(quality.degrees[0].number == 1 for quality in QUALITIES.values())


_FOLDED = {"9": "2", "b9": "b2", "#9": "#2", "11": "4", "#11": "#4", "13": "6", "b13": "b6"}


@pytest.mark.parametrize("identifier", sorted(QUALITIES))
def test_pitch_sets_agree_with_mir_eval(identifier: str) -> None:
    # mir_eval 0.8 reads Harte labels (Harte et al. 2005); it drops degrees beyond the octave, so they are folded here.
    quality = QUALITIES[identifier]
    degrees = [_FOLDED.get(str(degree), str(degree)) for degree in quality.degrees]
    _, theirs, _ = mir_eval.chord.encode(f"C:({','.join(degrees)})")
    assert set(np.flatnonzero(theirs)) == set(quality.semitones)


# Shorthands of Harte et al. 2005 that mir_eval 0.8 defines, and our ids for them.
_SHORTHANDS = {"maj": "maj", "min": "m", "aug": "aug", "dim": "dim", "sus4": "sus", "sus2": "sus2", "7": "7", "maj7": "maj7",
               "min7": "m7", "minmaj7": "mM7", "maj6": "6", "min6": "m6", "dim7": "dim7", "hdim7": "m7b5", "5": "5"}  # fmt: skip


@pytest.mark.parametrize("shorthand", sorted(_SHORTHANDS))
def test_harte_shorthands_agree_with_mir_eval(shorthand: str) -> None:
    _, theirs, _ = mir_eval.chord.encode(f"C:{shorthand}")
    assert set(np.flatnonzero(theirs)) == set(QUALITIES[_SHORTHANDS[shorthand]].semitones)


# Where music21 10.5 reads a spelling as other notes than we do, and why ours stands.
MUSIC21_DISAGREES = {
    "C11": "we read the ninth sus, it stacks the third under the eleventh",
    "C13": "the natural eleventh is left out of a thirteenth", "CM13": "the same", "Cm13": "the same",
    "C7add13": "it reads the ninth into the chord", "C13#11": "it reads the natural eleventh too", "C13b9": "it loses the flat nine",
    "C13#9": "it reads the natural eleventh too",
    "C-": "it reads the root C flat", "C-7": "the same", "C-9": "the same", "C-11": "the same", "C-13": "the same", "C-6": "the same",
    "C-7b5": "the same", "C69": "it reads C, A and D alone", "C6,9": "the same", "C2": "it reads a sus2", "C4": "it reads C and F",
    "C+5": "it keeps the natural fifth", "C07": "it reads a plain seventh", "Csusb9": "it reads no seventh",
}  # fmt: skip


def _theirs(spelling: str) -> set[int] | None:
    try:
        return {pitch.pitchClass for pitch in music21.harmony.ChordSymbol(spelling).pitches} or None
    except Exception:  # music21 has a dozen ways of saying that it cannot read a chord
        return None


def test_pitch_sets_agree_with_music21_wherever_it_reads_the_spelling() -> None:
    disagreements = {}
    agreed = 0
    for row in SPELLINGS:
        theirs = _theirs(row["spelling"])
        ours = {parse_degree(text).semitones % 12 for text in row["degrees"].split()}
        if theirs is not None and theirs != ours:
            disagreements[row["spelling"]] = sorted(theirs)
        agreed += theirs == ours
    assert set(disagreements) == set(MUSIC21_DISAGREES), disagreements
    assert agreed >= 70


# --- identities of the trade ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("root", range(-6, 6))
def test_identities(root: int) -> None:
    # Arithmetic from the definitions; common practice, no source.
    def notes(offset: int, quality: str) -> frozenset[int]:
        return chord(root + offset, quality).pitch_classes

    assert notes(0, "m7") == notes(-3, "6")
    assert notes(0, "m7b5") == notes(-3, "m6")
    assert notes(0, "7b5") == notes(6, "7b5")
    assert {chromatic(tone) for tone, _ in guide_tones(chord(root, "7"))} == {
        chromatic(tone) for tone, _ in guide_tones(chord(root + 6, "7"))
    }
    assert notes(0, "7b9") - {chromatic(root)} == notes(7, "dim7")
