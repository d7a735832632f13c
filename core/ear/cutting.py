"""A stretch of a chart as a chart of its own, with one row, so that it can be heard alone."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

from core.chart import STANDARD, Chart, Melody, NamedRow, Note, Take, notes_between
from core.ear.question import Excerpt
from core.form import Form, WrittenBar
from core.row import Row, later, span

BAND = frozenset(("piano", "bass", "drums", "tune"))
MOST_BARS = 6
"""More than this is a test of memory."""


def excerpt(
    chart: Chart, take: Take | None, row: Row, first: int, last: int, asked: tuple[Fraction, Fraction],
    parts: frozenset[str] = BAND, guides: bool = False,
) -> Excerpt:  # fmt: skip
    """Bars ``first`` to ``last`` (indexes of the played form, inclusive) of a row, with the tune.

    ``asked`` is the time of the question in the chart.
    """
    cut = stretch(chart, take, row, first, last)
    start = chart.form_of(take).bars[first].start
    return Excerpt(cut, parts, asked[0] - start, asked[1] - start, guides)


def stretch(chart: Chart, take: Take | None, row: Row, first: int, last: int) -> Chart:
    """The bars as a chart without repeats or takes: the row is its standard."""
    form = chart.form_of(take)
    bars = form.bars[first : last + 1]
    start, end = bars[0].start, bars[-1].end
    keys = [form.key_at(bar.index, chart.key_of(take)) for bar in bars]
    changes = [None, *(key if key != before else None for before, key in pairwise(keys))]
    written = tuple(
        WrittenBar(bar.printed, bar.meter, bar.length, bar.section, change)
        for bar, change in zip(bars, changes, strict=True)
    )
    cut_row = later(span(row, start, end), -start)
    return Chart(
        title=chart.title, key=keys[0], form=Form(written, tuple(range(len(written)))),
        references=(NamedRow(STANDARD, cut_row),), melody=_moved(chart.melody_of(take), start, end),
        tempo=chart.tempo, feel=chart.feel,
    )  # fmt: skip


def _moved(melody: Melody, start: Fraction, end: Fraction) -> Melody:
    cut = []
    for note in notes_between(melody, start, end):
        onset, stop = max(note.onset, start), min(note.end, end)
        cut.append(Note(onset - start, stop - onset, note.pitch))
    return tuple(cut)


def around(form: Form, start: Fraction, end: Fraction, before: int = 1, after: int = 1) -> tuple[int, int]:
    """Indexes of the bars from one before a stretch, which says where we are, to one after, which shows where it goes.

    A long stretch has no room for neighbours.
    """
    first = form.bar_at(start).index
    last = next(bar.index for bar in reversed(form.bars) if bar.start < end)
    room = MOST_BARS - (last - first + 1)
    if room > 0 and before:
        first, room = max(0, first - before), room - before
    if room > 0 and after:
        last = min(len(form.bars) - 1, last + after)
    return first, min(last, first + MOST_BARS - 1)
