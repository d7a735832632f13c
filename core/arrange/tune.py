"""The melody as a soloist plays it: late on the beat, together with the cymbal off it, louder as the line rises."""

from __future__ import annotations

from functools import lru_cache

from core.arrange.grid import GridBar, dice, to_ticks
from core.chart import Melody
from core.swing import Swing
from core.timeline import NoteEvent, Side

BASE, ON_STRONG, ON_BEAT, PER_SEMITONE = 78, 7, 3, 0.9
LEGATO = 0.95
_LOUDNESS = 21


@lru_cache(maxsize=32)
def play(
    melody: Melody, grid: tuple[GridBar, ...], swing: Swing, side: Side, seed: int, loudness: int = 0
) -> tuple[NoteEvent, ...]:
    """The melody's notes for one side or both; ``loudness`` is added to every velocity."""
    if not melody:
        return ()
    mean = sum(note.pitch.midi for note in melody) / len(melody)
    events: list[NoteEvent] = []
    index = 0
    for note in melody:
        start, end = to_ticks(note.onset), to_ticks(note.end)
        while index + 1 < len(grid) and grid[index].end <= start:
            index += 1
        bar = grid[index]
        onset = bar.place(start, swing)
        duration = max(0.05, (bar.place(end, swing) - onset) * LEGATO)
        pitch = note.pitch.midi
        loud = (
            BASE
            + _accent(start - bar.start, bar.unit * bar.per_beat)
            + PER_SEMITONE * (pitch - mean)
            + 4 * dice(seed, _LOUDNESS, start)
            + bar.swell
            + loudness
        )
        events.append(NoteEvent("tune", side, onset, duration, pitch, int(min(max(loud, 40), 112))))
    return tuple(events)


def _accent(place: int, beat: int) -> int:
    return ON_STRONG if place == 0 else ON_BEAT if place % beat == 0 else 0
