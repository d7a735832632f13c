"""The fit table against available tensions, chord scales and upper structures, in all keys."""

from __future__ import annotations

import pytest

from core.checks.fit_table import FIT_ROWS, FitRow, fit_row
from core.chord import Chord
from core.key import Key, parse_key
from core.pitch import parse_degree
from core.quality import QUALITIES
from core.symbol import parse_symbol

KEYS = range(-5, 7)


def symbol(text: str) -> Chord:
    read = parse_symbol(text)
    assert read is not None
    return read


def row_in(key: Key, moved: int, text: str, following: str = "") -> FitRow:
    """The row of a chord that is written in C, moved along the line of fifths with its key and what follows."""
    after = symbol(following).transposed(moved) if following else None
    return fit_row(symbol(text).transposed(moved), after, key.transposed(moved))


def semitones(degrees: str) -> set[int]:
    return {parse_degree(degree).semitones % 12 for degree in degrees.split()}


# Key, chord, what follows, tensions that fit freely, tensions that want care, avoid notes. Two Berklee-style
# chord-scale summaries that agree (anonymous summary; HARM 121 notes, 2008), except where a line says otherwise.
TENSIONS = [
    ("C major", "Cmaj7", "", "9 13", "", "11"),
    ("C major", "Dm7", "G7", "9 11", "13", "b9"),  # 13 makes a tritone with the third: restricted
    ("C major", "Em7", "Am7", "11", "9", "b9 b13"),
    ("C major", "Fmaj7", "G7", "9 #11 13", "", "11"),
    ("C major", "G7", "Cmaj7", "9 13", "b9 #9 #11 b13", "11"),
    ("C major", "Am7", "Dm7", "9 11", "13", "b13"),
    ("C major", "Bm7b5", "E7", "11 b13", "9", "b9"),
    ("C major", "A7", "Dm7", "9 b13 b9 #9", "", "11"),  # V7/II: b9 and #9 are often used beside 9 and b13
    ("C major", "B7", "Em7", "b9 #9 b13", "9 13", "11"), ("C major", "E7", "Am7", "b9 #9 b13", "9 13", "11"),
    ("C major", "C7", "Fmaj7", "9 13", "", "11"), ("C major", "D7", "G7", "9 13", "", "11"),
    # Anonymous summary alone: substitute dominants, borrowed major sevenths, dominants that do not resolve, altered.
    ("C major", "Db7", "Cmaj7", "9 #11 13", "b9 #9 b13", "11"), ("C major", "Eb7", "Dm7", "9 #11 13", "", "11"),
    ("C major", "Ab7", "G7", "9 #11 13", "", "11"), ("C major", "Dbmaj7", "Cmaj7", "9 #11 13", "", "11"),
    ("C major", "Ebmaj7", "Dm7", "9 #11 13", "", "11"), ("C major", "Abmaj7", "G7", "9 #11 13", "", "11"),
    ("C major", "Bbmaj7", "Cmaj7", "9 #11 13", "", "11"), ("C major", "Bb7", "Cmaj7", "9 #11 13", "", "11"),
    ("C major", "Ab7", "Cmaj7", "9 #11 13", "", "11"), ("C major", "F7", "Cmaj7", "9 #11 13", "", "11"),
    ("C major", "G7alt", "Cmaj7", "b9 #9 #11 b13", "", "9 11 5 13"),
    ("C major", "Gm7", "C7", "9 11", "13", "b9"), ("C major", "Em7b5", "A7", "11 b13", "", "b9"),
    # Common practice, no source: the minor tonic, the minor subdominant, V7 of minor, the blues, sus, the raised fourth.
    ("C minor", "Cm6", "", "9 11 13", "", "b9"), ("C minor", "CmM7", "", "9 11 13", "", "b13"),
    ("C major", "Fm6", "Cmaj7", "9 11 13", "", "b9"), ("C major", "Fm7", "Cmaj7", "9 11", "13", "b9"),
    ("C minor", "G7", "Cm6", "b9 #9 b13", "9 13", "11"), ("C major", "C7", "C7", "9 #9 #11 13", "b9 b13", "11"),
    ("C major", "F7", "C7", "9 #9 #11 13", "b9 b13", "11"), ("C major", "G7sus", "Cmaj7", "9 13", "b9", "#11"),
    ("C major", "F#m7b5", "B7", "11 b13", "9", "b9"),
]  # fmt: skip


@pytest.mark.parametrize("moved", KEYS)
@pytest.mark.parametrize(("key", "chord", "following", "free", "care", "avoid"), TENSIONS)
def test_available_tensions(key: str, chord: str, following: str, free: str, care: str, avoid: str, moved: int) -> None:
    row = row_in(parse_key(key), moved, chord, following)
    assert {row.verdicts[note] for note in semitones(free)} == {"good"}
    assert {row.verdicts[note] for note in semitones(care)} <= {"caution"}
    assert {row.verdicts[note] for note in semitones(avoid)} == {"clash"}


SCALES = {
    "lydian": {0, 2, 4, 6, 7, 9, 11}, "dorian": {0, 2, 3, 5, 7, 9, 10}, "phrygian": {0, 1, 3, 5, 7, 8, 10},
    "locrian": {0, 1, 3, 5, 6, 8, 10}, "mixolydian": {0, 2, 4, 5, 7, 9, 10}, "lydian b7": {0, 2, 4, 6, 7, 9, 10},
    "melodic minor": {0, 2, 3, 5, 7, 9, 11}, "whole-half": {0, 2, 3, 5, 6, 8, 9, 11}, "altered": {0, 1, 3, 4, 6, 8, 10},
    "mixolydian b9 b13": {0, 1, 4, 5, 7, 8, 10}, "locrian #2": {0, 2, 3, 5, 6, 8, 10}, "whole tone": {0, 2, 4, 6, 8, 10},
}  # fmt: skip
# Kind of chord, its scale, what of the scale does not fit freely, and what fits freely beside the scale; every scale
# from memory. The root over a major seventh is written, so it is not a question of the row; ♯9 is heard over V of minor.
FROM_SCALES = [
    ("major seventh", "lydian", {0}, set()), ("minor seventh", "dorian", {9}, set()),
    ("minor seventh on iii", "phrygian", {1, 8}, set()), ("half-diminished", "locrian", {1}, set()),
    ("dominant to major", "mixolydian", {5}, set()), ("dominant, other", "lydian b7", set(), set()),
    ("dominant to minor", "mixolydian b9 b13", {5}, {3}), ("minor tonic", "melodic minor", set(), set()),
    ("suspended", "mixolydian", {4}, set()), ("augmented", "whole tone", {10}, set()),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "scale", "care", "beside"), FROM_SCALES)
def test_free_notes_are_the_scale_without_its_avoid_notes(
    kind: str, scale: str, care: set[int], beside: set[int]
) -> None:
    assert FIT_ROWS[kind][0] == SCALES[scale] - care | beside


def test_what_a_diminished_seventh_carries_is_the_whole_half_scale() -> None:
    ok, colour = FIT_ROWS["diminished"]
    assert ok | colour == SCALES["whole-half"]
    assert FIT_ROWS["half-diminished"][0] | FIT_ROWS["half-diminished"][1] == SCALES["locrian #2"]


def test_an_altered_chord_carries_its_scale_which_is_the_substitute_s() -> None:
    row = fit_row(symbol("G7alt"), symbol("Cmaj7"), Key(0))
    assert {note for note, verdict in enumerate(row.verdicts) if verdict != "clash"} == SCALES["altered"]
    # Altered on X is Lydian ♭7 a tritone away, by arithmetic.
    assert {(note + 6) % 12 for note in SCALES["altered"]} == SCALES["lydian b7"]


NON_DOMINANTS = ["maj7", "6", "m7", "m6", "mM7", "m7b5", "dim7", "maj7#5"]


@pytest.mark.parametrize("identifier", NON_DOMINANTS)
def test_a_tension_stands_a_whole_step_above_a_chord_tone_and_never_a_half_step(identifier: str) -> None:
    """The rule for chords that are no dominants: the anonymous chord-scale summary, and a jazz piano teaching page.

    The major seventh over a sixth chord is no tension but the other way of writing the same chord.
    """
    own = set(QUALITIES[identifier].semitones)
    for root in range(-6, 6):
        row = fit_row(Chord(root, QUALITIES[identifier]), None, None)
        for note in set(range(12)) - own:
            if row.verdicts[note] == "good" and not (identifier == "6" and note == 11):
                assert (note - 2) % 12 in own, note
                assert (note - 1) % 12 not in own, note


# Extensions by type of chord, and alterations: D. Terefenko 2014, Jazz Theory, ch. 5, abstract on the publisher's page.
INVENTORY = {
    "maj7": "9 13 #11", "m7": "9 11 13 b13 #11", "m7b5": "9 11 b13", "dim7": "9 11 b13", "7": "9 13 b9 #9 #11 b13",
    "7sus": "9 13 b9 #9 b13",
}  # fmt: skip
WRITABLE = [(base, degree) for base, degrees in INVENTORY.items() for degree in degrees.split()]


@pytest.mark.parametrize(("base", "extension"), WRITABLE)
def test_every_extension_can_be_written_and_then_fits(base: str, extension: str) -> None:
    sign = extension if extension[0] in "b#" else f"add{extension}"
    written = symbol(f"C{base}({sign})")
    assert extension in {str(degree) for degree in written.quality.degrees}
    for flag in (False, True):
        row = fit_row(written, symbol("Fmaj7"), Key(0), flag)
        note = parse_degree(extension).semitones % 12
        assert row.verdicts[note] in ("good", "caution") if flag else row.verdicts[note] == "good"


# --- upper structures ------------------------------------------------------------------------------------------------

TRIADS = {name + kind: (root, third) for kind, third in (("", 4), ("m", 3))
          for root, name in enumerate(("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"))}  # fmt: skip

# Triad over C7 and what it is called there. The list: a nine-item chart in a blog post of J. Baez, quoting a piano
# lesson; M. Levine, The Jazz Piano Book, ch. 14. The names by arithmetic.
UPPER = {
    "D": "9 #11 13", "Eb": "#9 5 b7", "Gb": "#11 b7 b9", "Ab": "b13 1 #9", "A": "13 b9 3", "Cm": "1 #9 5", "Dbm": "b9 3 b13",
    "Ebm": "#9 #11 b7", "Gbm": "#11 13 b9", "C": "1 3 5", "Gm": "5 b7 9", "Am": "13 1 3",
}  # fmt: skip


@pytest.mark.parametrize("moved", KEYS)
@pytest.mark.parametrize("triad", sorted(TRIADS))
def test_a_triad_over_a_dominant_is_usable_where_no_note_clashes(triad: str, moved: int) -> None:
    root, third = TRIADS[triad]
    notes = {root, (root + third) % 12, (root + 7) % 12}
    for following in ("Fmaj7", "Bmaj7", "Gmaj7"):  # resolving, as a substitute, and neither
        row = row_in(Key(-1), moved, "C7", following)
        clashing = {note for note in notes if row.verdicts[note] == "clash"}
        assert bool(clashing) == (triad not in UPPER)
        assert clashing == notes & {5, 11}  # the natural eleventh and the major seventh, by arithmetic


@pytest.mark.parametrize("moved", KEYS)
@pytest.mark.parametrize("triad", sorted(UPPER))
def test_an_upper_structure_is_written_as_its_tensions_and_they_fit(triad: str, moved: int) -> None:
    written = symbol(f"{triad}\\C7").transposed(moved)
    degrees = {str(degree) for degree in written.quality.degrees}
    assert degrees == {"1", "3", "5", "b7"} | set(UPPER[triad].split())
    row = fit_row(written, symbol("Fmaj7").transposed(moved), Key(-1).transposed(moved))
    assert {row.verdicts[note] for note in semitones(UPPER[triad])} == {"good"}


def test_a_minor_triad_on_two_belongs_over_a_sus_chord_only() -> None:
    notes = {2, 5, 9}
    assert {fit_row(symbol("C13sus"), symbol("Fmaj7"), Key(-1)).verdicts[note] for note in notes} == {"good"}
    assert fit_row(symbol("C7"), symbol("Fmaj7"), Key(-1)).verdicts[5] == "clash"
