"""What the window of lines shows, without Qt: a line read against one row or two, in words; excerpts to be heard."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from typing import Any

from core.chart import STANDARD, Chart, NamedRow
from core.errors import ChangewrightError
from core.form import Form
from core.line.analysis import read_line
from core.line.compare import disagreements, follows
from core.line.files import better_place
from core.line.lesson import lesson_chart
from core.line.limits import DEFINITIONS
from core.line.solo import Solo
from core.line.summary import counted, sentences
from core.line.wire import solo_to_data
from core.row import span

SHAPES = tuple(definition for definition in DEFINITIONS if definition.id != "phrase")
PASSES = 8
"""How often an excerpt is gone round."""
MOST_EXCERPT_BARS = 128


@dataclass(frozen=True, slots=True)
class LineWish:
    """How a line is wanted: the row, a second one (or ""), its first bar, the shapes that are bracketed."""

    row: str = STANDARD
    against: str = ""
    at: int | None = None
    shapes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LineView:
    """A reading in words; ``counts`` of each shape, ``lesson`` the line as a chart, ``fault`` if it cannot be read."""

    title: str = ""
    lines: tuple[str, ...] = ()
    told: tuple[str, ...] = ()
    counts: tuple[tuple[str, int], ...] = ()
    lesson: Chart | None = None
    fault: str = ""


def view_of(solo: Solo, chart: Chart, wish: LineWish) -> LineView:
    """Read a line for the window; what is wrong with it is part of the answer."""
    try:
        reading = read_line(solo, chart, wish.row, wish.at)
        other = read_line(solo, chart, wish.against, wish.at) if wish.against else None
        hint = better_place(solo, chart, wish.row, wish.at)
        lesson = lesson_chart(reading, chart, other)
    except ChangewrightError as error:
        return LineView(solo.title, fault=str(error))
    lines = list(sentences(reading))
    if other is not None:
        differ = [str(bar.place.bar.number) for bar in disagreements(reading, other)]
        lines.append(follows(reading, other))
        if differ:
            bars = ", ".join(dict.fromkeys(differ))
            lines.append(f"The degrees differ in {counted(len(differ), 'bar')}: {bars}.")
    counts = Counter(one.id for one in reading.features)
    told = (*reading.notes, *((hint,) if hint else ()))
    return LineView(solo.title, tuple(lines), told, tuple((one.id, counts[one.id]) for one in SHAPES), lesson)


def sheet_wish(solo: Solo, wish: LineWish, paper: str) -> dict[str, Any]:
    """What the process that makes sheets is asked for."""
    return {"solo": solo_to_data(solo), "row": wish.row, "against": wish.against or None, "at": wish.at,
            "shapes": list(wish.shapes), "bars": 4, "paper": paper}  # fmt: skip


def excerpt(lesson: Chart, first: int, last: int) -> Chart:
    """Bars of a lesson, counted from 1, with their chords, gone round :data:`PASSES` times or as often as it fits."""
    bars = lesson.form.bars[first - 1 : last]
    times = max(1, min(PASSES, MOST_EXCERPT_BARS // max(1, len(bars))))
    length, start = bars[-1].end - bars[0].start, bars[0].start
    written = tuple(replace(lesson.form.written[bar.written], section=None) for bar in bars) * times
    chords = span(lesson.standard, start, bars[-1].end)
    row = tuple(replace(slot, onset=slot.onset - start + at * length) for at in range(times) for slot in chords)
    notes = tuple(replace(note, onset=note.onset - start + at * length) for at in range(times)
                  for note in lesson.melody if note.onset >= start and note.end <= bars[-1].end)  # fmt: skip
    return replace(lesson, form=Form(written, tuple(range(len(written)))), references=(NamedRow(STANDARD, row),),
                   takes=(), melody=notes)  # fmt: skip
