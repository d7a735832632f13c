"""Notes and chord symbols in running time, put into bars: what crosses a bar line is tied over it."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from core.foreign.events import ZERO, Measure, RawHarmony, RawNote
from core.foreign.score import MAX_BARS
from core.foreign.xml_stream import Refused
from core.meter import Meter

UNBARRED = 6
"""A bar of so many times its metre has lost its bar lines."""


def empty_bars(meters: Sequence[Meter]) -> list[Measure]:
    """Bars of rest in these metres, numbered from 1."""
    return [Measure(str(at + 1), None, meter, meter.length) for at, meter in enumerate(meters)]


def fill_bars(bars: list[Measure], notes: Sequence[RawNote], harmonies: Sequence[RawHarmony] = ()) -> None:
    """Put notes and symbols whose onsets count from the first bar line into the bars; what lies behind them is lost."""
    starts, exact = bar_starts(bars), [ZERO]
    for bar in bars:
        exact.append(exact[-1] + bar.length)
    for note in notes:
        _fill_note(bars, starts, exact, note)
    for raw in harmonies:
        at = bisect_right(starts, float(raw.onset)) - 1
        if at < len(bars):
            bars[at].harmonies.append(replace(raw, onset=raw.onset - exact[at]))


def bar_starts(bars: list[Measure]) -> list[float]:
    """Where each bar begins and the last one ends, as floats, which keep the order of fractions."""
    starts = [ZERO]
    for bar in bars:
        starts.append(starts[-1] + bar.length)
    return [float(start) for start in starts]


def cut_at_metre(bar: Measure, meter: Meter) -> list[Measure]:
    """One long bar as bars of its metre, the last as long as what is left; signs stay with the first."""
    count = -(-bar.length // meter.length)
    if count > MAX_BARS:
        raise Refused(f"has more than {MAX_BARS} bars", "open a shorter tune")
    bars = empty_bars([meter] * int(count))
    bars[0] = replace(bar, length=meter.length, notes=[], harmonies=[])
    bars[-1].length = bar.length - (count - 1) * meter.length
    fill_bars(bars, bar.notes, bar.harmonies)
    return bars


def _fill_note(bars: list[Measure], starts: list[float], exact: list[Fraction], note: RawNote) -> None:
    at = bisect_right(starts, float(note.onset)) - 1
    onset, end = note.onset, note.onset + note.duration
    while at < len(bars) and onset < end:
        stop = min(end, exact[at + 1])
        bars[at].notes.append(replace(note, onset=onset - exact[at], duration=stop - onset,
                                      tie_start=note.tie_start or stop < end,
                                      tie_stop=note.tie_stop or onset > note.onset))  # fmt: skip
        onset, at = stop, at + 1
