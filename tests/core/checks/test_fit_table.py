"""The fit table against published tensions and the trade's substitution table."""

from __future__ import annotations

import pytest

from core.checks.fit_table import FIT_ROWS, fit_row, kind_of_chord
from core.chord import chord
from core.key import parse_key
from core.quality import QUALITIES
from core.symbol import parse_symbol

C = parse_key("C major")


@pytest.mark.parametrize("identifier", sorted(QUALITIES))
@pytest.mark.parametrize("following", ["Cmaj7", "Cm7", "Gb7", None])
def test_every_symbol_has_a_row_and_its_own_tones_fit(identifier: str, following: str | None) -> None:
    written = chord(1, identifier)
    after = parse_symbol(following) if following else None
    row = fit_row(written, after, C)
    assert row.kind in FIT_ROWS
    assert all(row.verdicts[note] == "good" for note in written.quality.sounding.semitones)


def test_no_note_is_both_free_and_coloured() -> None:
    for name, (ok, colour) in FIT_ROWS.items():
        assert not ok & colour, name


# Degree of the melody over V7 → verdict over the substitute, a plain seventh a tritone away that falls a half step.
# Common practice, no source: the trade's table for tritone substitution, all twelve notes.
SUBSTITUTE = ["good", "good", "caution", "good", "good", "clash", "good", "caution", "good", "caution", "good", "clash"]


@pytest.mark.parametrize("root", range(-6, 6))
def test_the_twelve_notes_over_a_tritone_substitute(root: int) -> None:
    dominant, target = chord(root, "7"), chord(root - 1, "maj7")
    substitute = chord(root - 6, "7")
    row = fit_row(substitute, target, None)
    found = [row.verdicts[(dominant.root_pc + degree - substitute.root_pc) % 12] for degree in range(12)]
    assert found == SUBSTITUTE


@pytest.mark.parametrize(
    ("text", "clashes"),
    [("G7alt", {2, 5, 7, 9, 11}), ("G7b9", {2, 5, 11}), ("G7#9", {2, 5, 11}), ("G7#5", {5, 7, 9, 11}), ("Cmaj7#5", {1, 3, 5, 7, 9, 10}),
     ("G13b9", {2, 5, 8, 11}), ("G7#11", {5, 11})],
)  # fmt: skip
def test_written_alterations_shut_out_their_rivals_and_nothing_else(text: str, clashes: set[int]) -> None:
    # Common practice, no source: 13b9 and 7b9 keep their fifth, 7#11 keeps its fifth, an altered chord keeps nothing.
    written = parse_symbol(text)
    assert written is not None
    row = fit_row(written, parse_symbol("Cmaj7"), C)
    assert {note for note, verdict in enumerate(row.verdicts) if verdict == "clash"} == clashes


def test_altered_colours_stay_a_caution_where_they_were_chosen_to_suit_the_note() -> None:
    written, target = parse_symbol("Db7b9"), parse_symbol("Cmaj7")
    assert written is not None
    assert fit_row(written, target, C).verdicts[1] == "good"
    assert fit_row(written, target, C, flag_altered=True).verdicts[1] == "caution"


def test_kinds_depend_on_where_the_chord_goes() -> None:
    def kind(text: str, after: str | None, key: str = "C major") -> str:
        written = parse_symbol(text)
        assert written is not None
        return kind_of_chord(written, parse_symbol(after) if after else None, parse_key(key))

    assert kind("E7", "Am7") == "dominant to minor"
    assert kind("A7", "Dm7") == "dominant of ii"
    assert kind("A7", "Dm6", "D minor") == "dominant to minor"
    assert kind("G7", "Cmaj7") == "dominant to major"
    assert kind("Db7", "Cmaj7") == "dominant, other"
    assert kind("C7", "Cmaj7") == "blues dominant"
    assert kind("Em7", "Am7") == "minor seventh on iii"
    assert kind("C#o7", "Dm7") == "diminished for a dominant in minor"
    assert kind("Ebo7", "Dm7") == "diminished"


def test_a_foreign_bass_is_a_note_of_the_chord() -> None:
    written = parse_symbol("C/B")
    assert written is not None
    row = fit_row(written, None, C)
    assert row.verdicts[11] == "good"
    assert row.verdicts[0] == "good"
