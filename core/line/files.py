"""A line from a file of any kind we read: MusicXML, ABC, MIDI, a chart or bar text; the rhythm as written, the played
onsets beside it. Foreign files are read in their own process behind its limits."""

from __future__ import annotations

import os
from bisect import bisect_left
from dataclasses import replace
from fractions import Fraction

from core.chart import Chart
from core.files import ending_of, import_chart
from core.imported import Choices
from core.line.analysis import chord_tones_from
from core.line.limits import BETTER_PLACE
from core.line.solo import LineError, LineNote, Solo, solo_of_melody

_MIDI = (".mid", ".midi", ".kar")
_FARTHEST = 0.5
_OF_CHARTS = (
    "chord symbol",
    "chords are",
    "without chords",
    "harmony",
    "no feel",
    "as the feel",
    "tempo",
    "mode is not",
)
"""Words in an import's sentences that say nothing about a line."""


def read_solo(path: str | os.PathLike[str], choices: Choices | None = None) -> Solo:
    """The line in a file; raises :class:`core.errors.FileError` or :class:`LineError`."""
    imported = import_chart(path, dict(choices or {}) or None)
    chart = imported.chart
    report = tuple(line for line in imported.report if not any(word in line.lower() for word in _OF_CHARTS))
    if not chart.melody:
        raise LineError(f"{path}: holds no line of single notes; choose the file or the part that has one.")
    solo = solo_of_melody(chart.title, chart.melody, chart.form, report)
    if ending_of(path) not in _MIDI:
        return solo
    exact = import_chart(path, {**(choices or {}), "rhythm": "exact"}).chart
    return _with_played(solo, exact)


def _with_played(solo: Solo, exact: Chart) -> Solo:
    """The written notes with the onsets of the performance, which is paired with them by pitch and time."""
    times: dict[int, list[float]] = {}
    for sounded in exact.melody:
        times.setdefault(sounded.pitch.midi, []).append(float(sounded.onset))
    notes: list[LineNote] = []
    for note in solo.notes:
        played = note.onset
        near = times.get(note.pitch.midi, [])
        at = bisect_left(near, float(note.onset))
        choice = min(near[max(0, at - 1) : at + 1], key=lambda time: abs(time - float(note.onset)), default=None)
        if choice is not None and abs(choice - float(note.onset)) <= _FARTHEST:
            played = Fraction(choice).limit_denominator(48)
        notes.append(replace(note, played=played))
    return Solo(solo.title, tuple(notes), solo.meter, solo.report, spelled=False)


def better_place(solo: Solo, chart: Chart, row_name: str, at_bar: int | None) -> str | None:
    """A sentence where the line would meet far more chord tones from another bar of the form."""
    form = chart.form_of(next((take for take in chart.takes if take.name == row_name), None))
    first = 1 if at_bar is None else at_bar
    shares = {bar.number: chord_tones_from(solo, chart, row_name, bar.number) for bar in form.bars if bar.number > 0}
    best = max(shares, key=lambda number: (shares[number], -abs(number - first)))
    if best == first or shares[best] - shares.get(first, 0) < BETTER_PLACE:
        return None
    return (f"Laid from bar {best} the line would meet {shares[best]} % chord tones instead of "
            f"{shares.get(first, 0)} %; perhaps it begins there.")  # fmt: skip
