"""Messages come back as they went, and bytes that are none are refused."""

from __future__ import annotations

import dataclasses
import io
import json
import struct

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.player.protocol import ProtocolError, pack_timeline, read_message, unpack_timeline, write_message
from core.timeline import PARTS, SIDES, NoteEvent, Timeline, TimelineError, sort_events
from tests.core.sound.tunes import band

JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**40), 2**40) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=8,
)
NOTES = st.builds(
    NoteEvent,
    st.sampled_from(list(PARTS)),
    st.sampled_from(SIDES),
    st.floats(0.0, 99.0),
    st.floats(1e-6, 50.0),
    st.integers(0, 127),
    st.integers(1, 127),
)


def through(header: dict, block: bytes = b"") -> tuple[dict, bytes] | None:
    stream = io.BytesIO()
    write_message(stream, header, block)
    stream.seek(0)
    return read_message(stream)


@given(st.dictionaries(st.text(max_size=6), JSON, max_size=4), st.binary(max_size=60))
def test_a_message_comes_back(header, block):
    assert through(header, block) == (header, block)


def test_messages_follow_each_other_to_the_end():
    stream = io.BytesIO()
    for number in range(3):
        write_message(stream, {"n": number}, bytes(number))
    stream.seek(0)
    assert [read_message(stream) for _ in range(4)] == [({"n": n}, bytes(n)) for n in range(3)] + [None]


@settings(max_examples=50)
@given(st.lists(NOTES, max_size=30), st.floats(40.0, 320.0))
def test_a_timeline_comes_back_exactly(notes, bpm):
    timeline = Timeline(bpm, 100.0, events=sort_events(notes))
    header, block = pack_timeline(timeline)
    again = unpack_timeline(json.loads(json.dumps(header)), block)
    assert again == timeline
    assert hash(again) == hash(timeline)


def test_a_whole_band_comes_back():
    timeline = dataclasses.replace(band(4), programs=(("piano", 26),), meters=((0.0, 4, 4), (8.0, 3, 4)))
    message = through(*pack_timeline(timeline))
    assert message is not None
    assert unpack_timeline(*message) == timeline


@pytest.mark.parametrize("cut", [1, 11, 12, 20])
def test_a_message_that_breaks_off_is_refused(cut):
    stream = io.BytesIO()
    write_message(stream, {"do": "play", "from": 1.0}, b"12345")
    with pytest.raises(ProtocolError, match="breaks off"):
        read_message(io.BytesIO(stream.getvalue()[:cut]))


@pytest.mark.parametrize(
    "data",
    [
        b"hello, is this the player?",
        struct.pack("!4sII", b"cwp1", 2**31, 0),
        struct.pack("!4sII", b"cwp1", 3, 0) + b"abc",
        struct.pack("!4sII", b"cwp1", 2, 0) + b"[]",
        b"\x80\x04\x95" + bytes(30),  # how a pickle begins
    ],
)
def test_other_bytes_are_refused(data):
    with pytest.raises(ProtocolError):
        read_message(io.BytesIO(data))


def test_what_is_no_timeline_is_refused():
    header, block = pack_timeline(band(1))
    for damaged in (
        ({}, block),
        (header, block[:-1]),
        (header, bytes([99]) + block[1:]),
        (header | {"markers": [1]}, block),
        (header | {"bpm": "fast"}, block),
    ):
        with pytest.raises(ProtocolError, match="no timeline"):
            unpack_timeline(*damaged)
    with pytest.raises(TimelineError, match="tempo"):
        unpack_timeline(header | {"bpm": 4000.0}, block)
