"""Timelines for the tests of sound: a small band playing an invented tune, and single notes."""

from __future__ import annotations

from core.timeline import Marker, NoteEvent, Timeline, sort_events

HARBOUR = ((60, 64, 67, 71), (57, 60, 64, 67), (62, 65, 69, 72), (55, 59, 62, 65))
LIGHTHOUSE = ((60, 64, 67, 71), (51, 55, 58, 61), (62, 65, 69, 72), (49, 53, 56, 59))
CLICK_HIGH, CLICK_LOW = 76, 77


def note(part: str, onset: float, pitch: int, duration: float = 1.0, *, side: str = "both", velocity: int = 80):
    """One event, with everyday values where a test does not care."""
    return NoteEvent(part, side, onset, duration, pitch, velocity)


def timeline(*events: NoteEvent, bpm: float = 120.0, length: float | None = None, **rest) -> Timeline:
    """A timeline just long enough for its events."""
    end = max((event.end for event in events), default=4.0)
    return Timeline(bpm, length if length is not None else end, events=sort_events(events), **rest)


def band(bars: int = 8, bpm: float = 132.0) -> Timeline:
    """Piano and bass on each side, drums and tune for both, a bar of clicks before."""
    events: list[NoteEvent] = []
    for bar in range(bars):
        start = bar * 4.0
        for side, row in (("standard", HARBOUR), ("take", LIGHTHOUSE)):
            chord = row[bar % len(row)]
            for beat, length in ((0.0, 1.4), (1.62, 0.3), (3.62, 1.3)):
                room = min(length, bars * 4.0 - start - beat)
                events += [note("piano", start + beat, p, room, side=side, velocity=70) for p in chord]
            walk = (chord[0] - 24, chord[1] - 24, chord[2] - 24, chord[0] - 23)
            events += [note("bass", start + b, p, 0.95, side=side, velocity=90) for b, p in enumerate(walk)]
        for beat in (0.0, 1.0, 1.62, 2.0, 3.0, 3.62):
            events.append(note("drums", start + beat, 51, 0.3, velocity=75))
        events += [note("drums", start + beat, 44, 0.2, velocity=60) for beat in (1.0, 3.0)]
        events.append(note("drums", start, 46, 0.5, velocity=50))
        events += [note("tune", start + b * 1.3, 72 + (bar * 5 + b) % 9, 0.9, velocity=85) for b in range(3)]
    clicks = tuple(note("click", float(b - 4), CLICK_HIGH if b == 0 else CLICK_LOW, 0.2) for b in range(4))
    return Timeline(
        bpm,
        bars * 4.0,
        4.0,
        sort_events(events),
        clicks,
        bars=tuple(bar * 4.0 for bar in range(bars)),
        markers=(Marker(0.0, "A"), Marker(0.0, "CM7", "chord_standard"), Marker(4.0, "Eb7", "chord_take")),
        title="Thursday at the Quay",
    )
