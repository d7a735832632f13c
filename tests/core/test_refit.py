"""The smallest change of a tune that admits a chord."""

from __future__ import annotations

from fractions import Fraction

import pytest

from core.bar_text import chart_from_bar_text
from core.chart import Chart
from core.checks.melody import melody_check
from core.chord import Chord
from core.refit import FARTHEST, Refit, sentences, smallest_change
from core.row import Row, Slot
from core.symbol import parse_symbol


def _tune(notes: str, chord: str, after: str) -> tuple[Chart, Row, Chord | None]:
    chart = chart_from_bar_text(f"key: C major\n\n| {chord} | {after} |\nm: {notes} | z8 |\n")
    return chart, (Slot(Fraction(0), Fraction(4), parse_symbol(chord)),), parse_symbol(after)


def _refit(notes: str, chord: str, after: str) -> tuple[Chart, Row, Chord | None, Refit]:
    chart, chords, following = _tune(notes, chord, after)
    return chart, chords, following, smallest_change(chart.melody, chords, following, chart.key, chart.form)


# A held fourth over a major seventh is the textbook clash, mended by its third; the fourth and the major seventh of G7
# forbid its tritone substitute (M. Lavengood, "Substitutions", Open Music Theory: they are its 7 and natural 11).
@pytest.mark.parametrize(
    ("notes", "chord", "after", "wanted"),
    [
        ("F8", "Cmaj7", "Fmaj7", [(65, 64)]),
        ("G8", "Cmaj7", "Fmaj7", []),
        ("c8", "Db7", "Cmaj7", [(72, 71)]),
        ("F4 F4", "Cmaj7", "Am7", [(65, 64), (65, 64)]),
    ],
)
def test_only_what_clashes_moves_and_no_farther_than_it_must(
    notes: str, chord: str, after: str, wanted: list[tuple[int, int]]
) -> None:
    *_, found = _refit(notes, chord, after)
    assert [(one.before.midi, one.after.midi) for one in found.moved] == wanted


@pytest.mark.parametrize(
    "chord", ["Cmaj7", "Db7", "Dm7", "Ebmaj7", "E7b9", "F#m7b5", "G7alt", "Abmaj7", "Bb7#11", "Bdim7"]
)
def test_nothing_clashes_afterwards_and_no_nearer_note_would_have_done(chord: str) -> None:
    """Against trying every smaller move of every note."""
    chart, chords, following, found = _refit(["C2 D2 E2 F2 ", " z8 ", "\n"][0], chord, "Am7")
    assert not found.unsolved
    assert melody_check(found.melody, chords, following, chart.key, chart.form).verdict != "clash"
    for index, (old, new) in enumerate(zip(chart.melody, found.melody, strict=True)):
        moved = abs(new.pitch.midi - old.pitch.midi)
        assert moved <= FARTHEST
        for nearer in range(1 - moved, moved):
            line = list(found.melody)
            pitch = type(old.pitch)(old.pitch.fifths + 7 * nearer - 12 * round(7 * nearer / 12), old.pitch.octave)
            octave = old.pitch.octave + (old.pitch.midi + nearer - pitch.midi) // 12
            line[index] = type(old)(old.onset, old.duration, type(pitch)(pitch.fifths, octave))
            fits = melody_check(tuple(line), chords, following, chart.key, chart.form)
            assert any(one.verdict == "clash" and one.where == old.onset for one in fits.findings)


def test_words_say_where_what_and_why() -> None:
    chart, chords, _, found = _refit("z4 F4", "Cmaj7", "Fmaj7")
    assert sentences(found, chords, chart.key, chart.form) == [
        "Bar 1, beat 3: F goes down a half step to E, the 3 of Cmaj7; it was the 11."
    ]
    chart, chords, _, found = _refit("z4 G4", "Cmaj7", "Fmaj7")
    assert sentences(found, chords, chart.key, chart.form) == ["The tune can stay as it is."]
