"""MIDI in: the bytes of a keyboard as keys that go down and come up. Pure; the ports are in ``midi_ports``."""

from __future__ import annotations

from dataclasses import dataclass

NOTE_OFF, NOTE_ON, CONTROL = 0x80, 0x90, 0xB0
SUSTAIN, ALL_SOUND_OFF, ALL_NOTES_OFF = 64, 120, 123
PEDAL_DOWN = 64
"""From this value on a pedal is down (MIDI 1.0, switch controllers)."""


@dataclass(frozen=True, slots=True)
class KeyChange:
    """A key that goes down (velocity 1..127) or is let go (velocity 0)."""

    on: bool
    pitch: int
    velocity: int = 0


class Keys:
    """Which notes of one keyboard sound, on whatever channel: the sustain pedal holds what is let go."""

    def __init__(self) -> None:
        self._down: set[int] = set()
        self._held: set[int] = set()
        self._pedals: set[int] = set()

    @property
    def sounding(self) -> frozenset[int]:
        """Pitches that sound now."""
        return frozenset(self._down | self._held)

    def feed(self, message: bytes) -> list[KeyChange]:
        """What one message changes. A note-on with velocity 0 is a note-off (MIDI 1.0); anything unknown is nothing."""
        if len(message) < 3:
            return []
        kind, channel, first, second = message[0] & 0xF0, message[0] & 0x0F, message[1], message[2]
        if kind == NOTE_ON and second:
            return self._press(first, second)
        if kind in (NOTE_ON, NOTE_OFF):
            return self._release(first)
        if kind != CONTROL:
            return []
        if first == SUSTAIN:
            return self._pedal(channel, second >= PEDAL_DOWN)
        return self.release_all() if first in (ALL_SOUND_OFF, ALL_NOTES_OFF) else []

    def release_all(self) -> list[KeyChange]:
        """Everything up: the keyboard is gone, or says so."""
        ended = sorted(self._down | self._held)
        self._down.clear()
        self._held.clear()
        self._pedals.clear()
        return [KeyChange(False, pitch) for pitch in ended]

    def _press(self, pitch: int, velocity: int) -> list[KeyChange]:
        again = pitch in self._down or pitch in self._held
        self._held.discard(pitch)
        self._down.add(pitch)
        return [KeyChange(False, pitch)] * again + [KeyChange(True, pitch, velocity)]

    def _release(self, pitch: int) -> list[KeyChange]:
        if pitch not in self._down:
            return []
        self._down.discard(pitch)
        if self._pedals:
            self._held.add(pitch)
            return []
        return [KeyChange(False, pitch)]

    def _pedal(self, channel: int, down: bool) -> list[KeyChange]:
        if down:
            self._pedals.add(channel)
            return []
        self._pedals.discard(channel)
        if self._pedals:
            return []
        ended, self._held = sorted(self._held), set()
        return [KeyChange(False, pitch) for pitch in ended]
