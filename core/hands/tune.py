"""The tune over a row, chord by chord."""

from __future__ import annotations

from core.chart import Melody
from core.row import Row


def tops_of(melody: Melody, row: Row) -> tuple[int | None, ...]:
    """For each slot the tune's note (MIDI) that sounds as the chord is struck, else the first over it."""
    tops = []
    first = 0
    for slot in row:
        while first < len(melody) and melody[first].end <= slot.onset:
            first += 1
        over = melody[first] if first < len(melody) and melody[first].onset < slot.end else None
        tops.append(None if over is None else over.pitch.midi)
    return tuple(tops)
