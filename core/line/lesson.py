"""A line as a chart of its own: the choruses written out bar by bar, the chords of the row, the line as the tune.

It can be opened, looped with its chords, and printed; the other row comes along as a take where two are compared.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from core.chart import STANDARD, Chart, NamedRow, Note, Take, check_chart
from core.form import Bar, Form, WrittenBar
from core.key import Key
from core.line.analysis import LineReading
from core.line.solo import LineError
from core.row import ZERO, Row, Slot, span

MOST_BARS = 2000


def lesson_chart(reading: LineReading, chart: Chart, other: LineReading | None = None) -> Chart:
    """The bars from the line's first to its last, in the time of the chart's form.

    Raises :class:`LineError` where the two rows have bars of their own.
    """
    if other is not None and [bar.length for bar in other.choruses.form.bars] != [
        bar.length for bar in reading.choruses.form.bars
    ]:
        raise LineError(f"{other.row_name} has other bars than {reading.row_name}; read the line against one of them "
                        "at a time.")  # fmt: skip
    take = next((take for take in chart.takes if take.name == reading.row_name), None)
    bars = _bars(reading)
    start = bars[0][1]
    form = _form(bars, chart.form_of(take), chart.key_of(take))
    row = _row(reading, bars, chart.row_named(reading.row_name))
    takes: tuple[Take, ...] = ()
    if other is not None:
        takes = (Take(_other_name(other.row_name), _row(other, bars, chart.row_named(other.row_name))),)
    melody = []
    for index, heard in enumerate(reading.heard):
        note = heard.note
        after = reading.heard[index + 1].note.onset if index + 1 < len(reading.heard) else note.end
        end = min(note.end, after) if after > note.onset else note.end
        melody.append(Note(note.onset - start, end - note.onset, note.pitch))
    return check_chart(Chart(f"{reading.solo.title}, line", chart.key_of(take), form, (NamedRow(STANDARD, row),), takes,
                             tuple(melody), "", chart.tempo, chart.feel))  # fmt: skip


def _other_name(name: str) -> str:
    return "the standard" if name == STANDARD else name


def _bars(reading: LineReading) -> list[tuple[Bar, Fraction, int]]:
    """Played bars of the form with their start in the line's time, and the chorus, first to last note."""
    choruses = reading.choruses
    form = choruses.form
    at = reading.heard[0].note.onset - reading.place(0).beat
    end = max(heard.note.end for heard in reading.heard)
    bars: list[tuple[Bar, Fraction, int]] = []
    while at < end and len(bars) < MOST_BARS:
        place = choruses.place(at)
        bars.append((place.bar, at, place.chorus))
        at += place.bar.length
    assert form.bars
    return bars


def _form(bars: list[tuple[Bar, Fraction, int]], form: Form, key: Key) -> Form:
    written = []
    last_chorus = None
    for bar, _, chorus in bars:
        section = bar.section
        if chorus != last_chorus and (chorus > 1 or last_chorus is not None):
            section = f"Chorus {chorus}"
        last_chorus = chorus
        number = f"{bar.number}" if chorus < 2 else f"{chorus}/{bar.number}"
        written.append(WrittenBar(number, bar.meter, bar.length, section,
                                  form.key_at(bar.index, key) if bar.key is not None else None))  # fmt: skip
    return Form(tuple(written), tuple(range(len(written))), bool(bars) and bars[0][0].number == 0)


def _row(reading: LineReading, bars: list[tuple[Bar, Fraction, int]], row: Row) -> Row:
    slots: list[Slot] = []
    at = ZERO
    for bar, _, _ in bars:
        for slot in span(row, bar.start, bar.end):
            slots.append(replace(slot, onset=at + slot.onset - bar.start))
        at += bar.length
    return tuple(slots)
