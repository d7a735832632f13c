"""The detectors against lines of ours whose features were marked by hand, ear and judgement, before the code was run.

Source of the marks: our own hearing (tests/reference/lines/hand_marks.txt); no published analysis.
"""

from __future__ import annotations

from collections import Counter
from itertools import product

import pytest

from core.bar_text import chart_from_bar_text
from core.chart import Note
from core.line.analysis import read_line
from core.line.limits import FEATURES
from core.line.solo import solo_of_melody
from core.pitch import Pitch, pitch_from_midi
from core.row import ZERO
from tests.core.line.hand import LATER, f1, marked_lines, scored, table


def test_every_feature_is_found_as_it_was_marked_by_hand() -> None:
    lines = marked_lines()
    assert sum(len(line.chart.form.bars) for line in lines) >= 60
    counts, told = scored(lines)
    print("\n" + table(counts), *told, sep="\n")
    assert set(counts) == set(FEATURES)
    assert {name: round(f1(one), 2) for name, one in counts.items() if f1(one) < 0.8} == {}


def test_a_line_marked_after_the_definitions_were_settled_is_read_nearly_as_well() -> None:
    """Too short for a score of each feature, so all are counted together."""
    counts, told = scored(marked_lines(LATER))
    print("\n" + table(counts), *told, sep="\n")
    together = sum(counts.values(), Counter())
    assert f1(together) >= 0.8


def test_no_scale_run_marked_by_hand_is_called_an_enclosure() -> None:
    runs = found = 0
    for line in marked_lines():
        enclosures = line.reading().of("enclosure")
        for name, first, last in line.marks:
            if name == "scale_run":
                runs += 1
                found += any(first <= one.first and one.last <= last for one in enclosures)
    assert runs >= 12
    assert found <= 0.05 * runs


STEPS = {
    "major": (0, 2, 4, 5, 7, 9, 11),
    "melodic minor": (0, 2, 3, 5, 7, 9, 11),
    "diminished": (0, 2, 3, 5, 6, 8, 9, 11),
}


@pytest.mark.parametrize("shape", ["up", "down", "up and down", "broken thirds"])
def test_scales_of_every_kind_are_no_enclosures(shape: str) -> None:
    """Bar after bar of scales in even eighths over three chords, up, down, turning at the top, and in thirds."""
    runs = called = 0
    for chord, steps, start in product(("Cmaj7", "G7", "Dm7"), STEPS.values(), range(7)):
        chart = chart_from_bar_text(f"title: Slip\nkey: C major\nmeter: 4/4\n\n| {chord} | {chord} |\n")
        notes = [48 + 12 * (at // len(steps)) + steps[at % len(steps)] for at in _order(shape, start)]
        melody = tuple(Note(ZERO + at * chart.meter.beat / 2, chart.meter.beat / 2, pitch_from_midi(midi))
                       for at, midi in enumerate(notes))  # fmt: skip
        reading = read_line(solo_of_melody("Slip", melody, chart.form), chart)
        runs += 1
        called += bool(reading.of("enclosure"))
    assert called <= 0.05 * runs


def _order(shape: str, start: int) -> list[int]:
    low = start + 4
    return {
        "up": list(range(low, low + 15)),
        "down": list(range(low + 14, low - 1, -1)),
        "up and down": [*range(low, low + 8), *range(low + 6, low - 1, -1)],
        "broken thirds": [low + at // 2 + 2 * (at % 2) for at in range(15)],
    }[shape]


def test_a_register_break_between_phrases_is_no_leap() -> None:
    chart = chart_from_bar_text("title: Gap\nkey: C major\nmeter: 4/4\n\n| Cmaj7 | Cmaj7 |\nm: C2 z2 c4 | c2 C2 c4 |\n")
    reading = read_line(solo_of_melody("Gap", chart.melody, chart.form), chart)
    assert [(one.first, one.last) for one in reading.of("octave_leap")] == [(2, 3), (3, 4)]


def test_a_seventh_that_stays_as_a_third_is_a_guide_tone_and_no_delay() -> None:
    chart = chart_from_bar_text("title: Stay\nkey: C major\nmeter: 4/4\n\n| Dm7 | G7 |\nm: c2 A2 F4- | F4 E4 |\n")
    reading = read_line(solo_of_melody("Stay", chart.melody, chart.form), chart)
    assert not reading.of("delay")
    assert Pitch(-1, 4).midi == reading.heard[2].midi
