"""Waiting without guessing how long, and sinks that write down what they get."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

from app.player.midi_ports import OnMessage, no_such_port, same_port


def until(condition: Callable[[], object], seconds: float = 10.0) -> None:
    """Wait for something another thread or process does; fails the test if it never comes."""
    end = time.monotonic() + seconds
    while not condition():
        assert time.monotonic() < end, "it never happened"
        time.sleep(0.002)


class Events:
    """Collects event dictionaries from any thread."""

    def __init__(self) -> None:
        self.all: list[dict] = []
        self._lock = threading.Lock()

    def __call__(self, event: dict) -> None:
        with self._lock:
            self.all.append(event)

    def of(self, name: str) -> list[dict]:
        """All events of one name so far."""
        with self._lock:
            return [event for event in self.all if event["event"] == name]

    def wait(self, name: str, count: int = 1, seconds: float = 10.0) -> dict:
        """The last event of a name, once there are ``count``."""
        until(lambda: len(self.of(name)) >= count, seconds)
        return self.of(name)[-1]

    def last(self, name: str) -> dict | None:
        """The last event of a name, or None."""
        found = self.of(name)
        return found[-1] if found else None


class RecordingSink:
    """A MIDI port that keeps its messages and can be pulled out."""

    def __init__(self, name: str = "Stage piano") -> None:
        self.name = name
        self.messages: list[bytes] = []
        self.gone = False
        self.closed = False

    def send(self, message: bytes) -> None:
        if self.gone:
            raise OSError("unplugged")
        self.messages.append(message)

    def close(self) -> None:
        self.closed = True
        if self.gone:
            raise OSError("unplugged")

    def notes(self) -> list[tuple[str, int, int]]:
        """(on or off, channel, pitch) of each note message."""
        names = {0x90: "on", 0x80: "off"}
        return [(names[m[0] & 0xF0], m[0] & 15, m[1]) for m in self.messages if m[0] & 0xF0 in names]


class PlayedSource:
    """A MIDI keyboard that a test plays."""

    def __init__(self, name: str, on_message: OnMessage) -> None:
        self.name, self.press, self.closed = name, on_message, False

    def close(self) -> None:
        self.closed = True


class FakePorts:
    """The ports of a machine: one instrument and one keyboard, which can be pulled out and come back renamed."""

    def __init__(self, sink: RecordingSink, keyboard: str = "Small keyboard") -> None:
        self.sink, self.keyboard = sink, keyboard
        self.plugged = True
        self.source: PlayedSource | None = None

    def outs(self) -> list[str]:
        return [self.sink.name] if self.plugged else []

    def ins(self) -> list[str]:
        return [self.keyboard] if self.plugged else []

    def open_out(self, name: str) -> RecordingSink:
        if same_port(name, self.outs()) is None:
            raise no_such_port(name)
        return self.sink

    def open_in(self, name: str, on_message: OnMessage) -> PlayedSource:
        if same_port(name, self.ins()) is None:
            raise no_such_port(name)
        self.source = PlayedSource(self.keyboard, on_message)
        return self.source


def unended(messages: list[bytes]) -> dict[tuple[int, int], int]:
    """Notes still on after a list of messages; fails on a note-off for a note that is not on."""
    on: dict[tuple[int, int], int] = {}
    for message in messages:
        kind, key = message[0] & 0xF0, (message[0] & 15, message[1])
        if kind == 0x90:
            assert key not in on, "a note began twice"
            on[key] = message[2]
        elif kind == 0x80:
            assert key in on, "a note ended that had not begun"
            del on[key]
    return on
