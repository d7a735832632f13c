"""What passes between the window and the player: a JSON header and a block of bytes, each with its length before it.

JSON and flat columns instead of pickles: the columns of a timeline are four bytes and two floats a note, are read in
a few milliseconds, and nothing that arrives can be made to run. Both ends are one machine, so byte order is native.
"""

from __future__ import annotations

import json
import struct
from array import array
from collections.abc import Sequence
from typing import Any, BinaryIO

from core.timeline import PARTS, SIDES, Marker, NoteEvent, Timeline

MAX_MESSAGE = 64 * 2**20
_LENGTHS = struct.Struct("!4sII")
_MAGIC = b"cwp1"
_NAMES = tuple(PARTS)

Header = dict[str, Any]
Message = tuple[Header, bytes]


class ProtocolError(Exception):
    """The bytes that came are no message; the connection is of no more use."""


def write_message(stream: BinaryIO, header: Header, block: bytes = b"") -> None:
    """Write and flush one message."""
    text = json.dumps(header, separators=(",", ":")).encode()
    stream.write(_LENGTHS.pack(_MAGIC, len(text), len(block)) + text + block)
    stream.flush()


def read_message(stream: BinaryIO) -> Message | None:
    """The next message, or None at the end of the stream. Raises ProtocolError for anything else."""
    head = stream.read(_LENGTHS.size)
    if not head:
        return None
    if len(head) < _LENGTHS.size:
        raise ProtocolError("a message breaks off in its lengths")
    magic, size, block_size = _LENGTHS.unpack(head)
    if magic != _MAGIC or size + block_size > MAX_MESSAGE:
        raise ProtocolError("these bytes begin no message")
    text, block = stream.read(size), stream.read(block_size)
    if len(text) < size or len(block) < block_size:
        raise ProtocolError("a message breaks off")
    try:
        header = json.loads(text)
    except ValueError as error:
        raise ProtocolError("a header is not JSON") from error
    if not isinstance(header, dict):
        raise ProtocolError("a header is not an object")
    return header, block


def pack_timeline(timeline: Timeline) -> Message:
    """A timeline as header and block."""
    header = {
        "bpm": timeline.bpm,
        "length": timeline.length,
        "lead_in": timeline.lead_in,
        "events": len(timeline.events),
        "bars": timeline.bars,
        "meters": timeline.meters,
        "markers": [(marker.onset, marker.text, marker.kind) for marker in timeline.markers],
        "title": timeline.title,
        "programs": timeline.programs,
    }
    return header, _pack_events((*timeline.events, *timeline.count_in))


def unpack_timeline(header: Header, block: bytes) -> Timeline:
    """The inverse of ``pack_timeline``. Raises TimelineError or ProtocolError for what is no timeline."""
    try:
        events, count = _unpack_events(block), int(header["events"])
        return Timeline(
            float(header["bpm"]),
            float(header["length"]),
            float(header["lead_in"]),
            events[:count],
            events[count:],
            tuple(header["bars"]),
            tuple((onset, numerator, denominator) for onset, numerator, denominator in header["meters"]),
            tuple(Marker(onset, text, kind) for onset, text, kind in header["markers"]),
            str(header["title"]),
            tuple((part, program) for part, program in header["programs"]),
        )
    except (KeyError, IndexError, TypeError, ValueError) as error:
        raise ProtocolError(f"this is no timeline ({error})") from error


def _pack_events(events: Sequence[NoteEvent]) -> bytes:
    names = {name: index for index, name in enumerate(_NAMES)}
    sides = {side: index for index, side in enumerate(SIDES)}
    small = bytes(
        value for event in events for value in (names[event.part], sides[event.side], event.pitch, event.velocity)
    )
    places = array("d", (value for event in events for value in (event.onset, event.duration)))
    return small + places.tobytes()


def _unpack_events(block: bytes) -> tuple[NoteEvent, ...]:
    count, rest = divmod(len(block), 20)
    if rest:
        raise ValueError("a block of notes has an odd length")
    places = array("d")
    places.frombytes(block[4 * count :])
    return tuple(
        NoteEvent(
            _NAMES[block[4 * i]],
            SIDES[block[4 * i + 1]],
            places[2 * i],
            places[2 * i + 1],
            block[4 * i + 2],
            block[4 * i + 3],
        )
        for i in range(count)
    )
