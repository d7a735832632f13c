"""A long line read: 200 bars of eighths against a row, beside music21 naming the interval of each note."""

from __future__ import annotations

from dataclasses import replace

from music21 import interval, pitch

from core.line.analysis import read_line
from core.line.solo import solo_of_melody
from core.line.summary import sentences
from tests.bench.bench_core import Row, seconds
from tests.core.line.hand import marked_lines

BARS = 200


def run() -> list[Row]:
    """The figures."""
    line = marked_lines()[4]
    solo = solo_of_melody(line.chart.title, line.chart.melody, line.chart.form)
    rounds = BARS // len(line.chart.form.bars)
    notes = tuple(replace(note, onset=note.onset + at * line.chart.form.length, played=note.played)
                  for at in range(rounds) for note in solo.notes)  # fmt: skip
    long = replace(solo, notes=notes)
    ours = seconds(lambda: sentences(read_line(long, line.chart)), 5)
    root = pitch.Pitch("C3")
    theirs = seconds(lambda: [interval.Interval(root, pitch.Pitch(midi=note.pitch.midi)).name for note in notes], 1)
    return [(f"{BARS} bars, {len(notes)} notes read with a summary", ours * 1e3, "ms",
             "music21, an interval a note", theirs * 1e3)]  # fmt: skip
