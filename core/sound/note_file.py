"""A single note as a Standard MIDI File in memory: what a renderer is given. Standard library only."""

from __future__ import annotations

from dataclasses import dataclass

from core.timeline import DRUM_CHANNEL

FULL_VELOCITY = 127
KIT = -1
"""Stands for the standard drum kit where a program is asked for; ``kit_program`` gives the others."""
_REVERB_SEND, _CHORUS_SEND = 91, 93


@dataclass(frozen=True, slots=True)
class NoteKey:
    """Which note: program (General MIDI from 0, ``KIT`` and below for drums), pitch, and layer (a velocity)."""

    program: int
    pitch: int
    layer: int = FULL_VELOCITY

    @property
    def is_drum(self) -> bool:
        """True for a note of a kit."""
        return self.program <= KIT


def kit_program(program: int) -> int:
    """What stands for the kit that ``program`` (from 0) chooses on the drum channel."""
    return KIT - program


def note_file(key: NoteKey, hold: float, tail: float) -> bytes:
    """One note held for ``hold`` seconds with ``tail`` seconds after it, dry, a thousand ticks a second."""
    channel = DRUM_CHANNEL if key.is_drum else 0
    program = KIT - key.program if key.is_drum else key.program
    track = b"\x00\xff\x51\x03\x0f\x42\x40"
    for send in (_REVERB_SEND, _CHORUS_SEND):
        track += bytes((0, 0xB0 | channel, send, 0))
    track += bytes((0, 0xC0 | channel, program, 0, 0x90 | channel, key.pitch, key.layer))
    track += _variable(round(hold * 1000)) + bytes((0x80 | channel, key.pitch, 0))
    track += _variable(round(tail * 1000)) + b"\xff\x2f\x00"
    head = b"MThd\x00\x00\x00\x06\x00\x00\x00\x01\x03\xe8"
    return head + b"MTrk" + len(track).to_bytes(4, "big") + track


def _variable(value: int) -> bytes:
    """A variable-length quantity (Standard MIDI Files 1.0)."""
    out = [value & 0x7F]
    while value := value >> 7:
        out.append(0x80 | (value & 0x7F))
    return bytes(reversed(out))
