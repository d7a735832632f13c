"""Lines to practise: they lie over their chords, move as they say, and end where they aim. Common practice, no source."""

from __future__ import annotations

from itertools import pairwise

import pytest

from core.chart import check_chart
from core.files import load_chart
from core.line.degrees import is_chord_tone
from core.line.exercises import EXERCISE_BARS, HIGH, LOW, exercise_chart, exercises
from core.places import folder
from core.row import slot_index

DEMOS = sorted(folder("demo_charts").glob("*.changes.json"))


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_every_two_bars_of_every_row_have_lines_that_do_what_they_say(path) -> None:  # type: ignore[no-untyped-def]
    chart, _ = load_chart(path)
    for name in ("standard", chart.takes[0].name):
        row = chart.row_named(name)
        for bar in chart.form.bars:
            found = exercises(chart, name, bar.number)
            assert [one.kind for one in found[:2]] == ["guide_tones"] * 2
            small = check_chart(exercise_chart(chart, name, bar.number, found))
            assert len(small.form.bars) == len(found) * min(EXERCISE_BARS, len(chart.form.bars) - bar.index)
            assert [note.pitch for note in small.melody] == [note.pitch for one in found for note in one.notes]
            for one in found:
                assert all(LOW - 3 <= note.pitch.midi <= HIGH + 3 for note in one.notes)
                assert all(first.end <= second.onset for first, second in pairwise(one.notes))
                if one.kind == "guide_tones":
                    assert all(degree.number in (1, 2, 3, 4, 6, 7) for degree in one.degrees)
                else:
                    _aims(row, one)


def _aims(row, one) -> None:  # type: ignore[no-untyped-def]
    """At every change stands a chord tone; the note before it lies close to it and is another."""
    for before, note in pairwise(one.notes):
        slot = row[slot_index(row, note.onset)]
        if slot.onset == note.onset:
            assert is_chord_tone(slot.chord, note.pitch.midi % 12)
            assert note.pitch.midi != before.pitch.midi
            assert abs(note.pitch.midi - before.pitch.midi) <= 5
