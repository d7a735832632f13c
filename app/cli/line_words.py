"""A line in words on standard output."""

from __future__ import annotations

from itertools import groupby

from core.chart import Chart
from core.line.analysis import LineReading
from core.line.compare import disagreements, follows
from core.line.fingering import Fingering, positions
from core.line.limits import TITLES
from core.line.scene import Feature
from core.line.summary import counted, sentences
from core.pitch import pretty_name, with_signs
from core.spelling import printed

SIGNS = {"approach": "*", "outside": "!"}


def print_reading(chart: Chart, reading: LineReading, only: frozenset[str]) -> None:
    """The summary, then bar by bar the notes with their degrees, and the shapes that begin there."""
    print(f"{reading.solo.title}, read against {reading.row_name} of {chart.title}")
    print(*sentences(reading), sep="\n")
    shapes: dict[tuple[int, int], list[Feature]] = {}
    for one in reading.features:
        if one.id in only and one.id != "phrase":
            shapes.setdefault(_key(reading, one.first), []).append(one)
    print("\nBy each note its degree; * is an approach note, ! outside, → heard with the next chord.")
    for key, indexes in groupby(range(len(reading.heard)), key=lambda index: _key(reading, index)):
        print(_bar_line(chart, reading, list(indexes)))
        for one in shapes.get(key, ()):
            print(f"        {_shape(reading, one)}")


def _key(reading: LineReading, index: int) -> tuple[int, int]:
    place = reading.place(index)
    return place.chorus, place.bar.index


def _bar_line(chart: Chart, reading: LineReading, indexes: list[int]) -> str:
    place = reading.place(indexes[0])
    pieces = []
    chord: object = object()
    for index in indexes:
        heard = reading.heard[index]
        if heard.chord != chord:
            chord = heard.chord
            pieces.append(f"[{printed(heard.chord, chart.key)}]")
        degree = "" if heard.degree is None else f" {with_signs(str(heard.degree))}"
        mark = "→" if heard.anticipates else ""
        sign = SIGNS.get(reading.kinds[index], "")
        pieces.append(f"{mark}{pretty_name(heard.note.pitch.fifths)}{degree}{sign}")
    where = f"{place.bar.number}" if place.chorus < 2 else f"{place.chorus}/{place.bar.number}"
    return f"bar {where:<5}{'  '.join(pieces)}"


def _shape(reading: LineReading, one: Feature) -> str:
    places = [reading.place(index) for index in (one.first, one.last)]
    beats = [f"{float(1 + place.beat):g}" for place in places]
    if places[0].bar != places[1].bar:
        beats[1] = f"bar {places[1].bar.number} beat {beats[1]}"
    detail = f": {with_signs(one.detail) if one.id == 'guide_tone' else one.detail}" if one.detail else ""
    where = f"beat {beats[0]}" if one.first == one.last else f"beat {beats[0]} to {beats[1]}"
    return f"{TITLES[one.id]}, {where}{detail}"


def print_against(chart: Chart, reading: LineReading, other: LineReading) -> None:
    """Which row the line follows, and the notes that two rows name differently."""
    print(f"\nAgainst {other.row_name}")
    print(follows(reading, other))
    for bar in disagreements(reading, other):
        moved = ", ".join(
            f"{pretty_name(reading.heard[index].note.pitch.fifths)} "
            f"{_word(reading, index)} | {_word(other, index)}" for index in bar.notes)  # fmt: skip
        print(f"bar {bar.place.bar.number:<5}{moved}")


def _word(reading: LineReading, index: int) -> str:
    degree = reading.heard[index].degree
    sign = SIGNS.get(reading.kinds[index], "")
    return "–" if degree is None else with_signs(str(degree)) + sign


def print_fingering(reading: LineReading, fingering: Fingering) -> None:
    """A line for each position: the notes as string:fret with the finger behind."""
    print(f"\nOn the fretboard, {counted(len(fingering.shifts), 'shift')}")
    for first, last, position in positions(fingering):
        place = reading.place(first)
        notes = "  ".join(
            f"{pretty_name(reading.heard[index].note.pitch.fifths)} {touch.string}:{touch.fret}"
            + (f" ({touch.finger})" if touch.finger else "")
            for index, touch in enumerate(fingering.touches[first : last + 1], first)
        )
        print(f"bar {place.bar.number} beat {float(1 + place.beat):g}, position {position}: {notes}")
