"""Song position, start, continue, stop and clock for a port, from what each block plays. Pure but for its memory.

MIDI 1.0 Detailed Specification, System Common and System Real Time messages: F8 is sent 24 times a quarter note; F2
carries the position in sixteenth notes as two bytes of seven bits, the low one first, and is sent while stopped; FA
starts at the beginning, FB goes on from the position, FC stops; the first F8 after either is the first moment played.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

CLOCK, START, CONTINUE, STOP = (bytes((status,)) for status in (0xF8, 0xFA, 0xFB, 0xFC))
SONG_POSITION = 0xF2
CLOCKS = 24
"""A quarter note."""
SIXTEENTHS = 4
LAST_POSITION = 2**14 - 1
LEAD = 0.001
"""Seconds between start and the first clock, which receivers want for getting ready. From memory."""
_EDGE = 1e-6

TimedMessage = tuple[float, bytes]


@dataclass(frozen=True, slots=True)
class Stretch:
    """What was played without a jump: from ``quarter`` to ``end`` in quarter notes, ``time`` when its start is heard.

    While ``playing`` is False nothing moves. In a count-in the place runs towards the start.
    """

    time: float
    quarter: float
    end: float
    bpm: float
    playing: bool
    counting_in: bool = False


class MidiClock:
    """Turns stretches, in order, into messages. A jump is a stop, a new position and a continue."""

    def __init__(self) -> None:
        self._expected: float | None = None
        self._from = 0.0

    def messages(self, stretch: Stretch) -> list[TimedMessage]:
        """What is to be sent for a stretch."""
        if not stretch.playing:
            return self._stop(stretch.time)
        found: list[TimedMessage] = []
        if stretch.counting_in:
            found += self._stop(stretch.time)
            return found + _clocks(stretch, stretch.quarter)
        if self._expected is None or abs(stretch.quarter - self._expected) > 1 / CLOCKS / 4:
            found += self._stop(stretch.time)
            # No clock of what was played before may fall between position and start.
            found += self._begin(stretch, stretch.time if found else stretch.time - LEAD)
        self._expected = stretch.end
        return found + _clocks(stretch, max(stretch.quarter, self._from))

    def stop(self, time: float) -> list[TimedMessage]:
        """The port is given up or the clock switched off."""
        return self._stop(time)

    def _stop(self, time: float) -> list[TimedMessage]:
        running, self._expected = self._expected is not None, None
        return [(time, STOP)] if running else []

    def _begin(self, stretch: Stretch, time: float) -> list[TimedMessage]:
        """Position and start. Off a sixteenth, the instrument comes in at the next one."""
        position = min(LAST_POSITION, math.ceil(stretch.quarter * SIXTEENTHS - _EDGE))
        self._from = position / SIXTEENTHS
        if position == 0:
            return [(time, START)]
        return [(time, song_position(position)), (time, CONTINUE)]


def song_position(sixteenths: int) -> bytes:
    """Song position pointer: ``song_position(200).hex() == 'f24801'``."""
    return bytes((SONG_POSITION, sixteenths & 0x7F, sixteenths >> 7))


def _clocks(stretch: Stretch, start: float) -> list[TimedMessage]:
    found = []
    index = math.ceil(start * CLOCKS - _EDGE)
    while index / CLOCKS < stretch.end - _EDGE:
        seconds = max(0.0, index / CLOCKS - stretch.quarter) * 60.0 / stretch.bpm
        found.append((stretch.time + seconds, CLOCK))
        index += 1
    return found
