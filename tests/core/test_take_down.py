"""What is played along with the count is written as its player meant it: swing, triplets, touch, pickups, passes."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction

import pytest

from core.bar_text import chart_from_bar_text
from core.chart import Chart
from core.feel import choose_feel
from core.swing import swing_of
from core.take_down import Heard, play_in

HEAD = "title: Jetty Steps\nkey: {key}\nmeter: {meter}\ntempo: {tempo}\nfeel: {feel}\n\n"


def tune(text: str, meter: str = "4/4", feel: str = "even eighths", tempo: int = 120, key: str = "C major") -> Chart:
    return chart_from_bar_text(HEAD.format(meter=meter, feel=feel, tempo=tempo, key=key) + text)


def performed(chart: Chart, jitter_ms: float = 0.0, seed: int = 0, touch: float = 0.9) -> list[Heard]:
    """The chart's melody as someone plays it with the band: eighths swung as the cymbal's, a little off."""
    swing = swing_of("drums", chart.tempo, choose_feel(chart.feel, chart.meter, chart.tempo).swing)
    chance = random.Random(seed)
    off = jitter_ms / 60000 * chart.tempo
    played = []
    for note in chart.melody:
        onset = swing.place(float(note.onset)) + chance.uniform(-off, off)
        end = onset + touch * float(note.duration)
        played.append(Heard(onset, end, note.pitch.midi))
    return played


MELODIES = {
    "quarters and halves": ("| C | F |\nm: c2 d2 e4 | f8 |", "4/4"),
    "eighths": ("| C | F |\nm: c d e f g2 e2 | f g a2 c4 |", "4/4"),
    "off the beat": ("| C | F |\nm: z c2 d2 e2 f- | f g2 a z c3 |", "4/4"),
    "sixteenths": ("| C | F |\nm: c/d/e/f/ g2 e4 | f8 |", "4/4"),
    "triplets": ("| C | F |\nm: (3cde (3fga c2 e2 | f8 |", "4/4"),
    "a waltz": ("| C | F |\nm: c2 d e f2 | a4 c2 |", "3/4"),
    "compound": ("| C | F |\nm: c d e f2 g | a3 c3 |", "6/8"),
    "five": ("| C | F |\nm: c2 d2 e2 f2 g2 | a4 c6 |", "5/4"),
}


# Sixteenths in swing are played in ways that no table holds.
CASES = [(name, feel) for name in MELODIES for feel in ("even eighths", "medium swing")
         if (name, feel) != ("sixteenths", "medium swing")]  # fmt: skip


@pytest.mark.parametrize(("name", "feel"), CASES)
def test_a_performance_is_written_as_it_was_read(name, feel):
    text, meter = MELODIES[name]
    chart = tune(text, meter, feel)
    blank = replace(chart, melody=())
    for seed in range(20):
        written = play_in(blank, None, performed(chart, 20.0, seed))
        found = [(note.onset, note.pitch) for note in written.melody]
        assert found == [(note.onset, note.pitch) for note in chart.melody], (name, seed)


def test_touch_is_no_rest_but_a_rest_is():
    chart = tune("| C | F |\nm: c2 d2 e2 z2 | f2 z6 |")
    written = play_in(replace(chart, melody=()), None, performed(chart, touch=0.8))
    assert [(note.onset, note.duration) for note in written.melody] == [
        (note.onset, note.duration) for note in chart.melody
    ]


def test_a_note_before_the_first_beat_is_the_first_beat():
    chart = tune("| C |")
    (note,) = play_in(chart, None, [Heard(-0.04, 0.9, 60)]).melody
    assert (note.onset, note.duration) == (0, 1)


def test_of_notes_together_the_highest_is_the_melody():
    chart = tune("| C |")
    (note,) = play_in(chart, None, [Heard(1.01, 2.0, 60), Heard(0.98, 2.0, 67), Heard(1.02, 2.0, 64)]).melody
    assert note.pitch.midi == 67


def test_a_tone_of_the_chord_is_spelled_with_it():
    chart = tune("| C7 | F#m7b5 | Abm7 |", key="C major")
    written = play_in(chart, None, [Heard(0, 1, 70), Heard(4, 5, 66), Heard(8, 9, 71)])
    assert [str(note.pitch) for note in written.melody] == ["Bb4", "F#4", "Cb5"]


def test_only_what_was_played_over_is_replaced_and_the_last_pass_counts():
    chart = tune("| C | F | G | C |\nm: c8 | d8 | e8 | f8 |")
    first = [Heard(4.0, 5.0, 65), Heard(5.0, 8.0, 67)]
    second = [Heard(5.02, 5.9, 69, passes=1)]
    written = play_in(chart, None, first + second)
    assert [(str(note.pitch), note.onset, note.duration) for note in written.melody] == [
        ("C5", 0, 4), ("F4", 4, 1), ("A4", 5, 1), ("G4", 6, 2), ("E5", 8, 4), ("F5", 12, 4)
    ]  # fmt: skip


def test_nothing_played_changes_nothing():
    chart = tune("| C |\nm: c8 |")
    assert play_in(chart, None, []) == chart
    assert play_in(chart, None, [Heard(99.0, 100.0, 60)]) == chart


def test_a_note_is_never_longer_than_the_form():
    chart = tune("| C |")
    (note,) = play_in(chart, None, [Heard(3.0, 9.0, 60)]).melody
    assert note.end == Fraction(4)


def test_a_take_with_a_tune_of_its_own_gets_it_and_its_chords_spell_it():
    chart = tune("| C | C |\nm: c8 | d8 |\n\ntake: Evening\n| C | Abm7 |")
    shared = play_in(chart, chart.takes[0], [Heard(4, 5, 71)])
    assert [str(note.pitch) for note in shared.melody] == ["C5", "B4", "D5"]
    own = replace(chart, takes=(replace(chart.takes[0], melody=chart.melody),))
    written = play_in(own, own.takes[0], [Heard(4, 5, 71)])
    assert [str(note.pitch) for note in written.takes[0].melody] == ["C5", "Cb5", "D5"]
    assert written.melody == chart.melody
