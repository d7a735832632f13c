"""The count-in: two bars, or one for a ballad; fingers snap on 2 and 4 in swing, and nothing else is accented.

Compound and additive metres are counted by their felt beats: 7/8 as three, 12/8 as four.

Source: common practice, no source ("1, 2, 1 2 3 4" with snaps between).
"""

from __future__ import annotations

from fractions import Fraction

from core.arrange.grid import felt_beats
from core.feel import Feel
from core.meter import Meter
from core.row import ZERO
from core.timeline import NoteEvent, sort_events

COUNT, SNAP = 76, 77
"""High and low wood block (General MIDI Level 1, RP003)."""
COUNT_VELOCITY, SNAP_VELOCITY, LENGTH = 72, 84, 0.2


def count_in(feel: Feel, meter: Meter, pickup: Fraction = ZERO) -> tuple[tuple[NoteEvent, ...], float]:
    """Clicks at onsets below zero, and how many quarter notes they lead in.

    The count stops early by ``pickup`` quarter notes, so that a tune with a pickup comes in on its own beat. Where
    playing starts on a bar line take the count without one.
    """
    beats = felt_beats(meter)
    strong = tuple(place for place in meter.strong_places() if place in beats)
    bars = [(strong, ZERO)] if feel.count_bars > 1 else []
    bars.append((beats, meter.length * len(bars)))
    clicks = [(place + start, COUNT) for places, start in bars for place in places]
    if feel.snaps and meter.beats == 4:
        clicks += [(start + beats[index], SNAP) for _, start in bars for index in (1, 3)]
    lead_in = meter.length * len(bars) - pickup
    events = [
        NoteEvent("click", "both", float(place - lead_in), LENGTH, pitch,
                  COUNT_VELOCITY if pitch == COUNT else SNAP_VELOCITY)
        for place, pitch in clicks
        if place < lead_in
    ]  # fmt: skip
    return sort_events(events), float(lead_in)
