"""Small MIDI files as bytes, written by hand: a test says each event."""

from __future__ import annotations

MINIMAL = bytes.fromhex("4D546864 00000006 0001 0001 01E0 4D54726B 00000013 00FF5103 07A120 00FF5804 04021808 00FF2F00")
"""One track of tempo, metre and end (Standard MIDI Files 1.0; the bytes were once written by another library)."""


def quantity(value: int) -> bytes:
    """A variable-length quantity."""
    groups = [value & 0x7F]
    while value := value >> 7:
        groups.append(value & 0x7F | 0x80)
    return bytes(reversed(groups))


def meta(kind: int, data: bytes, delta: int = 0) -> bytes:
    """A meta event."""
    return quantity(delta) + bytes((0xFF, kind)) + quantity(len(data)) + data


def track(*events: bytes, end: bool = True) -> bytes:
    """A track chunk."""
    body = b"".join(events) + (meta(0x2F, b"") if end else b"")
    return b"MTrk" + len(body).to_bytes(4, "big") + body


def header(tracks: int, form: int = 1, division: int = 480) -> bytes:
    """The header chunk."""
    return b"MThd" + (6).to_bytes(4, "big") + b"".join(part.to_bytes(2, "big") for part in (form, tracks, division))


def notes(*played: tuple[float, float, int], channel: int = 0, division: int = 480) -> bytes:
    """Note-ons and note-offs of (onset, length, pitch) in quarter notes, offs before ons at one tick."""
    events: list[tuple[int, int, int]] = []
    for onset, length, pitch in played:
        events.append((round(onset * division), 1, pitch))
        events.append((round((onset + length) * division), 0, pitch))
    data, at = b"", 0
    for tick, on, pitch in sorted(events):
        data += quantity(tick - at) + bytes(((0x90 if on else 0x80) | channel, pitch, 80 if on else 0))
        at = tick
    return data


def name(text: str) -> bytes:
    """A track name."""
    return meta(3, text.encode())


def meter(numerator: int, power: int, delta: int = 0) -> bytes:
    """A metre meta: the denominator is a power of two."""
    return meta(0x58, bytes((numerator, power, 24, 8)), delta)


def tempo(micros: int, delta: int = 0) -> bytes:
    """A tempo meta in microseconds a quarter note."""
    return meta(0x51, micros.to_bytes(3, "big"), delta)


def key(sharps: int, minor: bool = False) -> bytes:
    """A key meta."""
    return meta(0x59, bytes((sharps % 256, int(minor))))


def midi(*tracks: bytes, form: int = 1, division: int = 480) -> bytes:
    """A whole file."""
    return header(len(tracks), form, division) + b"".join(tracks)
