"""Stretches of the form that are planned once: sections with the same name and the same chords are changed alike."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from core.chart import Chart
from core.chord import Chord
from core.form import Bar
from core.row import Row, merged, span


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch in quarter notes, ``start`` to ``end``, and how much later it stands again: ``moved`` begins with 0."""

    start: Fraction
    end: Fraction
    moved: tuple[Fraction, ...] = (Fraction(0),)


@dataclass(frozen=True, slots=True)
class Joint:
    """Segments ``left`` and ``right`` (indexes) that follow each other in play, and where: the ends of ``left``.

    ``moved`` says by how much ``left`` is moved there.
    """

    left: int
    right: int
    places: tuple[tuple[Fraction, Fraction], ...]
    """(time, moved) of each meeting."""


def segments(chart: Chart, row: Row, alike: bool) -> tuple[Segment, ...]:
    """The form cut into segments, in the order in which they are first played."""
    length = chart.form.length
    if not alike:
        return (Segment(Fraction(0), length),)
    groups: dict[object, list[tuple[Bar, ...]]] = defaultdict(list)
    for section in chart.form.sections:
        groups[section.name].append(chart.form.bars[section.first : section.last])
    common = {name: _common(runs, row) for name, runs in groups.items()}
    pieces: dict[object, list[tuple[Fraction, Fraction]]] = {}
    for section in chart.form.sections:
        bars = chart.form.bars[section.first : section.last]
        shared = common[section.name]
        if shared:
            pieces.setdefault((section.name,), []).append((bars[0].start, bars[shared - 1].end))
        if shared < len(bars):
            pieces.setdefault((section.first,), []).append((bars[shared].start, bars[-1].end))
    return tuple(Segment(*places[0], tuple(start - places[0][0] for start, _ in places)) for places in pieces.values())


def _common(runs: list[tuple[Bar, ...]], row: Row) -> int:
    """How many bars from the beginning all runs have in common; none where a section stands alone."""
    if len(runs) == 1 or not runs[0]:
        return 0
    texts = [[_content(bar, row) for bar in run] for run in runs]
    count = 0
    for bars in zip(*texts, strict=False):
        if any(bar != bars[0] for bar in bars[1:]):
            break
        count += 1
    return count


def _content(bar: Bar, row: Row) -> tuple[Fraction, tuple[tuple[Fraction, Chord | None], ...]]:
    return bar.length, tuple((slot.onset - bar.start, slot.chord) for slot in merged(span(row, bar.start, bar.end)))


def joints(found: tuple[Segment, ...]) -> tuple[Joint, ...]:
    """Which segments follow each other as the form is played, the last before the first since a chorus comes round."""
    played = sorted((segment.start + by, index, by) for index, segment in enumerate(found) for by in segment.moved)
    places: dict[tuple[int, int], list[tuple[Fraction, Fraction]]] = defaultdict(list)
    for (_, left, by), (_, right, _) in pairwise([*played, played[0]]):
        places[left, right].append((found[left].end + by, by))
    return tuple(Joint(left, right, tuple(where)) for (left, right), where in places.items())
