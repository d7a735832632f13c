"""MIDI out: a sink for bytes, and a sender that hands it each note at its time.

The mixer says which notes begin and end at which frame, the audio clock says when a frame is heard, and a thread
sleeps until then. A port that vanishes is closed and said; nothing else stops.
"""

from __future__ import annotations

import heapq
import threading
import time
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from itertools import count
from queue import Empty, SimpleQueue
from typing import Any, Protocol

from app.player.quiet import quiet_stderr
from core.timeline import DRUM_CHANNEL, PARTS

NOTE_OFF, NOTE_ON, CONTROL, PROGRAM = 0x80, 0x90, 0xB0, 0xC0
SUSTAIN, ALL_SOUND_OFF, ALL_NOTES_OFF = 64, 120, 123
CHANNELS = 16
TimedNote = tuple[float, bool, str, int, int]
"""Time, begins or ends, part, pitch, velocity."""
CLIENT_NAME = "Changewright"
NO_SEQUENCER = "MIDI output is not available on this machine; sound from the program itself goes on."


class Sink(Protocol):
    """An open port."""

    name: str

    def send(self, message: bytes) -> None:
        """Send one message. Raises OSError when the port is gone."""

    def close(self) -> None:
        """Let the port go."""


class PortError(Exception):
    """A port cannot be opened; the text is a sentence for the user."""


class RtMidiSink:
    """A port of the system through python-rtmidi. One client is kept for one port."""

    def __init__(self, name: str) -> None:
        self._out = _open_client()
        ports = self._out.get_ports()
        if name not in ports:
            self._out.delete()
            raise PortError(f"There is no MIDI port “{name}”; choose one of those listed.")
        try:
            with quiet_stderr():
                self._out.open_port(ports.index(name), name=CLIENT_NAME)
        except Exception as error:  # rtmidi raises classes of its own
            self._out.delete()
            raise PortError(f"The MIDI port “{name}” cannot be opened; another program may hold it.") from error
        self.name = name

    def send(self, message: bytes) -> None:
        """Send one message. Raises OSError when the port is gone."""
        try:
            self._out.send_message(message)
        except Exception as error:  # as above
            raise OSError(str(error)) from error

    def close(self) -> None:
        """Close the port and its client."""
        self._out.close_port()
        self._out.delete()


def _open_client() -> Any:
    try:
        import rtmidi

        with quiet_stderr():
            return rtmidi.MidiOut(name=CLIENT_NAME)
    except ImportError as error:
        raise PortError("The package python-rtmidi is missing; install it to use MIDI ports.") from error
    except Exception as error:  # no sequencer: rtmidi raises a class of its own
        raise PortError(NO_SEQUENCER) from error


def list_ports() -> tuple[list[str], str]:
    """Names of the output ports and a sentence about them."""
    try:
        client = _open_client()
    except PortError as error:
        return [], str(error)
    try:
        with quiet_stderr():
            names = [str(name) for name in client.get_ports()]
    finally:
        client.delete()
    return names, "Choose a MIDI port." if names else "No MIDI instrument is connected."


def panic_messages(sounding: Iterable[tuple[int, int]]) -> list[bytes]:
    """Note-offs for what sounds, then pedal up, all notes off and all sound off on every channel.

    Order and controllers: MIDI 1.0 channel mode messages; the sequence itself is common practice.
    """
    offs = [bytes((NOTE_OFF | channel, pitch, 64)) for channel, pitch in sorted(sounding)]
    controls = (SUSTAIN, ALL_NOTES_OFF, ALL_SOUND_OFF)
    return offs + [bytes((CONTROL | channel, control, 0)) for channel in range(CHANNELS) for control in controls]


class MidiSender:
    """Sends notes to a sink at their times. Only its own thread touches the port; every call here returns at once.

    ``clock`` is the clock of the times; ``on_lost`` gets a sentence, from that thread, when the port is gone.
    """

    def __init__(self, on_lost: Callable[[str], None], clock: Callable[[], float] = time.perf_counter) -> None:
        self._on_lost = on_lost
        self._clock = clock
        self._sink: Sink | None = None
        self._queue: list[tuple[float, int, bytes]] = []
        self._order = count()
        self._sounding: dict[tuple[int, int], int] = {}
        self._programs: dict[str, int] = {}
        self._inbox: SimpleQueue[Callable[[], None] | None] = SimpleQueue()
        self._thread = threading.Thread(target=self._run, name="midi", daemon=True)
        self._thread.start()

    @property
    def port(self) -> str | None:
        """Name of the open port."""
        sink = self._sink
        return sink.name if sink else None

    def open(self, sink: Sink | None) -> None:
        """Change the port (None: no port); the old one is silenced first, the new one gets its programs."""
        self._inbox.put(lambda: self._change(sink))

    def set_programs(self, programs: Mapping[str, int]) -> None:
        """General MIDI program (from 0) of each part; sent when they change and to each port that is opened."""
        chosen = dict(programs)
        self._inbox.put(lambda: self._change_programs(chosen))

    def schedule(self, notes: Iterable[TimedNote]) -> None:
        """Queue notes; at one time, note-offs go first among those of one call, and calls keep their order."""
        taken = tuple(notes)
        self._inbox.put(lambda: self._push(taken))

    def panic(self) -> None:
        """Drop what is queued and silence every channel now."""
        self._inbox.put(self._silence)

    def wait(self, seconds: float = 1.0) -> bool:
        """True once all that was asked before has been done (notes may still wait for their time)."""
        done = threading.Event()
        self._inbox.put(done.set)
        return done.wait(seconds)

    def close(self) -> None:
        """Silence and close the port and end the thread."""
        self.open(None)
        self._inbox.put(None)
        self._thread.join(1.0)

    def _run(self) -> None:
        while True:
            try:
                ahead = max(0.0, self._queue[0][0] - self._clock()) if self._queue else None
                task = self._inbox.get(timeout=ahead)
            except Empty:
                self._play(heapq.heappop(self._queue)[2])
                continue
            if task is None:
                return
            task()

    def _push(self, notes: tuple[TimedNote, ...]) -> None:
        if self._sink is None:
            return
        for due, on, part, pitch, velocity in sorted(notes, key=lambda note: note[:2]):
            status = (NOTE_ON if on else NOTE_OFF) | PARTS[part].channel
            message = bytes((status, pitch, velocity if on else 64))
            heapq.heappush(self._queue, (due, next(self._order), message))

    def _change(self, sink: Sink | None) -> None:
        self._silence()
        old, self._sink = self._sink, sink
        if old is not None:
            with suppress(OSError):
                old.close()
        self._send_programs()

    def _change_programs(self, programs: dict[str, int]) -> None:
        if programs != self._programs:
            self._programs = programs
            self._send_programs()

    def _silence(self) -> None:
        self._queue.clear()
        messages = panic_messages(self._sounding)
        self._sounding.clear()
        for message in messages:
            self._put(message)

    def _play(self, message: bytes) -> None:
        """Send a note; a pitch struck again is ended first, one still held by another note is not ended."""
        key = (message[0] & 0x0F, message[1])
        held = self._sounding.get(key, 0)
        if message[0] & 0xF0 == NOTE_ON:
            if held:
                self._put(bytes((NOTE_OFF | key[0], key[1], 64)))
            self._sounding[key] = held + 1
            self._put(message)
        elif held > 1:
            self._sounding[key] = held - 1
        elif held == 1:
            del self._sounding[key]
            self._put(message)

    def _send_programs(self) -> None:
        for part, program in self._programs.items():
            channel = PARTS[part].channel
            if channel != DRUM_CHANNEL:
                self._put(bytes((PROGRAM | channel, program)))

    def _put(self, message: bytes) -> None:
        sink = self._sink
        if sink is None:
            return
        try:
            sink.send(message)
        except OSError:
            self._sink = None
            self._queue.clear()
            self._sounding.clear()
            self._on_lost(f"The MIDI port “{sink.name}” is gone; connect it and choose it again.")
