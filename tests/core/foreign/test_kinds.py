"""Chord kinds, degrees and texts: to a chord and back.

Sources: MusicXML 4.0 schema, kind-value (33 values), degree-alter and degree-type; music21 10.5 as a second reading.
"""

from __future__ import annotations

from xml.etree.ElementTree import fromstring

import pytest
from music21.musicxml.xmlToM21 import MeasureParser

from core.foreign.harmony_read import Harmony, read_harmony
from core.foreign.kinds import FUNCTIONAL, KINDS, NO_CHORD_KIND, edited_degrees, kind_of, quality_of
from core.key import Key, parse_key
from core.quality import QUALITIES
from tests.core.foreign.charts import kind_values
from tests.core.foreign.scores import degree, harmony

ALL_KINDS = (*KINDS, *FUNCTIONAL, NO_CHORD_KIND)

# Kinds whose tones we read otherwise than music21, and why.
NOT_AS_MUSIC21 = {
    "dominant-11th": "an eleventh chord is a ninth sus in the trade: no third",
    "dominant-13th": "a thirteenth chord holds no natural eleventh in the trade",
    "major-13th": "the same",
    "minor-13th": "the same",
    "Neapolitan": "music21 reads 1 b2 3 b5 of the tonic; the Neapolitan is the major triad on b2 (any textbook)",
}


def heard(xml: str, key: str = "C major") -> tuple[Harmony, list[str]]:
    said: list[str] = []
    found = read_harmony(fromstring(xml), parse_key(key), 0, said.append)
    assert found is not None
    return found, said


def theirs(xml: str) -> frozenset[int]:
    return frozenset(pitch.pitchClass for pitch in MeasureParser().xmlToChordSymbol(fromstring(xml)).pitches)


def named(xml: str, key: str = "C major") -> str:
    chord = heard(xml, key)[0].chord
    return "N.C." if chord is None else chord.canonical


def test_all_thirty_three_kinds_of_the_schema_are_read() -> None:
    assert len(ALL_KINDS) == 33
    assert sorted(ALL_KINDS) == sorted(kind_values())


@pytest.mark.parametrize("kind", ALL_KINDS)
def test_kind_against_music21(kind: str) -> None:
    found, said = heard(harmony("C", kind))
    ours = frozenset() if found.chord is None else found.chord.pitch_classes
    assert (ours == theirs(harmony("C", kind))) == (kind not in NOT_AS_MUSIC21)
    assert bool(said) == (kind in FUNCTIONAL)
    assert found.typed is None


def test_functional_kinds_are_named_as_a_player_would() -> None:
    """Augmented sixths of C stand on A♭ and are spelled as seventh chords; the Neapolitan is in first inversion."""
    expected = {"Italian": "Ab7(omit5)", "French": "Ab7b5", "German": "Ab7", "Neapolitan": "Db/F", "Tristan": "Cm7b5"}
    assert {kind: named(harmony("C", kind)) for kind in FUNCTIONAL} == expected


@pytest.mark.parametrize("quality", QUALITIES.values(), ids=str)
def test_every_quality_has_a_kind_and_comes_back_by_its_degrees_alone(quality) -> None:  # type: ignore[no-untyped-def]
    kind, edits = kind_of(quality.degrees)
    degrees, problems = edited_degrees(kind, edits)
    assert problems == ()
    assert quality_of(degrees) == quality


# music21 reads an added 7 as the major seventh; by the schema an added degree is measured on a dominant chord.
ADDED_SEVENTH = {"7sus", "9sus", "13sus", "7susb9"}


@pytest.mark.parametrize("quality", QUALITIES.values(), ids=str)
def test_what_we_write_sounds_the_same_in_music21(quality) -> None:  # type: ignore[no-untyped-def]
    kind, edits = kind_of(quality.degrees)
    xml = harmony("C", kind, rest="".join(degree(edit.number, edit.alteration, edit.type) for edit in edits))
    same = theirs(xml) == frozenset(quality.semitones)
    assert same == (quality.id not in ADDED_SEVENTH)


DEGREES = {
    # Added: relative to a dominant chord, so 7 is the minor seventh and 7 raised the major one.
    ("major", ((7, 0, "add"),)): "C7",
    ("minor", ((7, 1, "add"),)): "CmM7",
    ("suspended-fourth", ((7, 0, "add"),)): "C7sus",
    ("suspended-fourth", ((7, 0, "add"), (9, 0, "add"), (13, 0, "add"))): "C13sus",
    ("dominant", ((9, -1, "add"),)): "C7b9",
    ("dominant", ((9, 1, "add"), (5, 1, "alter"))): "C7#9#5",
    ("dominant", ((11, 1, "add"),)): "C7#11",
    ("dominant", ((13, -1, "add"),)): "C7b13",
    ("major", ((9, 0, "add"),)): "Cadd9",
    ("major", ((2, 0, "add"),)): "Cadd9",
    ("major-sixth", ((9, 0, "add"),)): "C69",
    ("minor", ((6, 0, "add"),)): "Cm6",
    ("other", ((3, 0, "add"), (5, 0, "add"), (7, 0, "add"))): "C7",
    # Altered: relative to the degree the kind holds.
    ("minor-seventh", ((5, -1, "alter"),)): "Cm7b5",
    ("dominant-ninth", ((9, -1, "alter"),)): "C7b9",
    ("dominant-11th", ((11, 1, "alter"),)): "C9#11",
    ("dominant-13th", ((11, 1, "alter"),)): "C13#11",
    ("dominant-13th", ((9, -1, "alter"),)): "C13b9",
    ("major-seventh", ((5, 1, "alter"),)): "Cmaj7#5",
    ("diminished-seventh", ((7, 1, "alter"),)): "Cm7b5",
    ("minor-seventh", ((7, 1, "alter"),)): "CmM7",
    # Subtracted.
    ("dominant", ((5, 0, "subtract"),)): "C7(omit5)",
    ("dominant-11th", ((3, 0, "subtract"),)): "C9sus",
    ("dominant-ninth", ((7, 0, "subtract"),)): "Cadd9",
    ("major", ((3, 0, "subtract"),)): "C5",
    ("dominant-13th", ((11, 0, "subtract"),)): "C13",
}


@pytest.mark.parametrize(("given", "expected"), DEGREES.items())
def test_degrees(given: tuple[str, tuple[tuple[int, int, str], ...]], expected: str) -> None:
    kind, edits = given
    found, said = heard(harmony("C", kind, rest="".join(degree(*edit) for edit in edits)))
    assert found.chord is not None
    assert found.chord.canonical == expected
    assert said == []


BENT = {
    ("dominant", (9, -1, "alter")): ("C7b9", "altered degree 9 that the chord does not hold"),
    ("major", (7, 0, "subtract")): ("C", "degree 7 cannot be taken"),
    ("minor-seventh", (5, -1, "add")): ("Cm7b5", "added to a minor chord"),
    ("dominant-13th", (9, -1, "add")): ("C13b9", "takes its place"),
    ("major", (7, -1, "add")): ("C7", "read as the minor seventh"),
    ("half-diminished", (5, -1, "alter")): ("Cm7b5", "altered already"),
}


@pytest.mark.parametrize(("given", "expected"), BENT.items())
def test_degrees_that_must_be_bent_are_reported(
    given: tuple[str, tuple[int, int, str]], expected: tuple[str, str]
) -> None:
    found, said = heard(harmony("C", given[0], rest=degree(*given[1])))
    assert found.chord is not None
    assert found.chord.canonical == expected[0]
    assert len(said) == 1
    assert expected[1] in said[0]


# --- texts ----------------------------------------------------------------------------------------------------------

FLAT_NINE = degree(9, -1, "add")
SUS = degree(7, 0, "add") + degree(9, 0, "add") + degree(13, 0, "add")
TEXTS = [
    (harmony("C", "major-seventh", "Δ7"), "Cmaj7", "CΔ7", ""),
    (harmony("Bb", "minor-seventh", "-7"), "Bbm7", "Bb-7", ""),
    (harmony("C", "suspended-fourth", "13sus", SUS), "C13sus", "C13sus", ""),
    (harmony("C", "dominant", "7(b9)", FLAT_NINE), "C7b9", "C7(b9)", ""),
    (harmony("C", "major", ""), "C", "C", ""),
    (harmony("C", "minor", ""), "Cm", None, ""),
    (harmony("C", "dominant"), "C7", None, ""),
    (harmony("C", "dominant", "C7"), "C7", "C7", ""),
    (harmony("C", "dominant", "7", FLAT_NINE), "C7b9", None, ""),
    (harmony("C", "half-diminished", "0"), "Cm7b5", None, ""),
    (harmony("C", "dominant-11th", "11"), "C9sus", "C11", ""),
    (harmony("C", "dominant", "7alt"), "C7alt", "C7alt", "C7alt is taken from its printed text"),
    (harmony("C", "dominant", "13#11"), "C13#11", "C13#11", "C13#11 is taken from its printed text"),
    (harmony("C", "dominant", "m7"), "C7", None, "the printed Cm7 contradicts its kind and degrees; C7 is read"),
    (harmony("C", "dominant", "blah"), "C7", None, ""),
    (harmony("C", "other", "7sus"), "C7sus", "C7sus", "taken from its printed text"),
    (harmony("C", "other", "?"), "C5(omit5)", None, "could not be read; its root alone is kept"),
    (harmony("C", "dominantish", "m7"), "Cm7", "Cm7", "is not in the standard"),
    (harmony("C", "dominantish"), "C", None, "is not in the standard"),
    (harmony("C", "minor-major", "mMaj7"), "CmM7", "CmMaj7", ""),
]


@pytest.mark.parametrize(("xml", "expected", "typed", "sentence"), TEXTS)
def test_texts(xml: str, expected: str, typed: str | None, sentence: str) -> None:
    found, said = heard(xml)
    assert found.chord is not None
    assert (found.chord.canonical, found.typed) == (expected, typed)
    assert sentence in " ".join(said)
    assert bool(said) == bool(sentence)


def test_a_symbol_before_the_text() -> None:
    triangle = harmony("C", "major-seventh", "7").replace("<kind", '<kind use-symbols="yes"')
    assert (named(triangle), heard(triangle)[0].typed) == ("Cmaj7", "CΔ7")


def test_basses_and_inversions() -> None:
    bass = "<bass><bass-step>B</bass-step><bass-alter>-1</bass-alter></bass>"
    assert heard(harmony("C", "major", "", bass))[0] == Harmony(heard(harmony("C", "major", "", bass))[0].chord, "C/Bb")
    assert named(harmony("C", "major", rest=bass)) == "C/Bb"
    assert [named(harmony("C", "dominant", rest=f"<inversion>{n}</inversion>")) for n in range(5)] == \
        ["C7", "C7/E", "C7/G", "C7/Bb", "C7"]  # fmt: skip
    assert named(harmony("C", "dominant", rest="<inversion>1</inversion>" + bass)) == "C7/Bb"


def test_numerals_and_functions_in_the_key() -> None:
    two = "<harmony><numeral><numeral-root>{}</numeral-root>{}</numeral><kind>minor</kind></harmony>"
    assert named(two.format(2, ""), "Eb major") == "Fm"
    assert named(two.format(6, ""), "C minor") == "Abm"
    assert named(two.format(2, "<numeral-alter>-1</numeral-alter>"), "C major") == "Dbm"
    other_key = "<numeral-key><numeral-fifths>1</numeral-fifths><numeral-mode>major</numeral-mode></numeral-key>"
    assert named(two.format(2, other_key), "C major") == "Am"
    assert named("<harmony><function>V</function><kind>dominant</kind></harmony>", "F major") == "C7"
    assert named("<harmony><function>bVII</function><kind>dominant</kind></harmony>", "F major") == "Eb7"


def test_stacked_chords_are_a_polychord() -> None:
    stacked = ("<harmony><root><root-step>D</root-step></root><kind>major</kind>"
               "<root><root-step>C</root-step></root><kind>dominant</kind></harmony>")  # fmt: skip
    assert named(stacked) == "D\\C7"


def test_a_symbol_without_a_root_is_dropped_and_said() -> None:
    said: list[str] = []
    for xml in ("<harmony/>", "<harmony><kind>major</kind></harmony>", harmony("C").replace("step>C", "step>Q")):
        assert read_harmony(fromstring(xml), Key(0), 0, said.append) is None
    assert len(said) == 3
