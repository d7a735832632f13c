"""The lines marked by hand, as charts with their marks, and how a reading of them scores."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from core.bar_text import chart_from_bar_text
from core.chart import Chart
from core.line.analysis import LineReading, read_line
from core.line.solo import solo_of_melody

MARKS = Path(__file__).parents[2] / "reference" / "lines" / "hand_marks.txt"
LATER = MARKS.with_name("hand_marks_later.txt")


@dataclass(frozen=True, slots=True)
class Marked:
    """A line with its marks: (feature, index of the first note, index of the last)."""

    chart: Chart
    marks: tuple[tuple[str, int, int], ...]

    def reading(self) -> LineReading:
        """The line read by the program."""
        return read_line(solo_of_melody(self.chart.title, self.chart.melody, self.chart.form), self.chart)


def marked_lines(path: Path = MARKS) -> list[Marked]:
    """All tunes of a file."""
    text = "\n".join(line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#"))
    return [_marked(block) for block in re.split(r"(?m)^(?=title:)", text)[1:]]


def _marked(block: str) -> Marked:
    music, marks = block.split("\nmarks\n")
    chart = chart_from_bar_text(music)
    places = {}
    for index, note in enumerate(chart.melody):
        bar = chart.form.bar_at(note.onset)
        places[bar.number, 1 + note.onset - bar.start] = index
    found = []
    for line in marks.strip().splitlines():
        name, first, *rest = line.split()
        found.append((name, places[_place(first)], places[_place(rest[0] if rest else first)]))
    return Marked(chart, tuple(found))


def _place(text: str) -> tuple[int, Fraction]:
    bar, beat = text.split(":")
    return int(bar), Fraction(beat)


def same(one: tuple[str, int, int], other: tuple[str, int, int]) -> bool:
    """The same feature, and at least half of the notes of both together shared."""
    shared = min(one[2], other[2]) - max(one[1], other[1]) + 1
    return one[0] == other[0] and 2 * shared >= max(one[2], other[2]) - min(one[1], other[1]) + 1


def scored(lines: list[Marked]) -> tuple[dict[str, Counter[str]], list[str]]:
    """Hits, misses and false alarms of each feature, and a line about every miss and false alarm."""
    counts: dict[str, Counter[str]] = {}
    told = []
    for line in lines:
        reading = line.reading()
        found = [(feature.id, feature.first, feature.last) for feature in reading.features]
        left = list(found)
        for mark in line.marks:
            hit = next((one for one in left if same(one, mark)), None)
            counts.setdefault(mark[0], Counter())["hit" if hit else "missed"] += 1
            if hit:
                left.remove(hit)
            else:
                told.append(f"{line.chart.title}: missed {_say(reading, mark)}")
        for one in left:
            counts.setdefault(one[0], Counter())["false"] += 1
            told.append(f"{line.chart.title}: not marked {_say(reading, one)}")
    return counts, told


def _say(reading: LineReading, shape: tuple[str, int, int]) -> str:
    places = [reading.place(index) for index in shape[1:]]
    return " ".join((shape[0], *(f"{place.bar.number}:{float(1 + place.beat):g}" for place in places)))


def f1(counts: Counter[str]) -> float:
    """Harmonic mean of precision and recall."""
    total = 2 * counts["hit"] + counts["missed"] + counts["false"]
    return 2 * counts["hit"] / total if total else 1.0


def table(counts: dict[str, Counter[str]]) -> str:
    """The score of every feature as text."""
    lines = [f"{'feature':18}marked found  hit   F1"]
    for name in sorted(counts):
        one = counts[name]
        lines.append(
            f"{name:18}{one['hit'] + one['missed']:6}{one['hit'] + one['false']:6}{one['hit']:5} {f1(one):.2f}"
        )
    return "\n".join(lines)
