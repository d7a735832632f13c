"""MIDI out: a sender that hands each message to a sink at its time.

The mixer says which notes begin and end at which frame, the audio clock says when a frame is heard, and a thread
sleeps until then. A port that vanishes is closed and said; nothing else stops.
"""

from __future__ import annotations

import heapq
import threading
import time
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from itertools import count
from queue import Empty, SimpleQueue
from types import MappingProxyType

from app.player.midi_ports import Sink
from app.player.urgent import hurry_thread
from core.timeline import PARTS, TimelineError

NOTE_OFF, NOTE_ON, CONTROL, PROGRAM, SYSTEM = 0x80, 0x90, 0xB0, 0xC0, 0xF0
SUSTAIN, ALL_SOUND_OFF, RESET_CONTROLLERS, ALL_NOTES_OFF = 64, 120, 121, 123
CHANNELS = 16
RELEASE = 64
"""Velocity of a note-off where none is meant (MIDI 1.0)."""
EARLY, NAP = 0.002, 0.0002
"""Seconds before a note's time at which its thread is awake, and how long it sleeps at a time until then: a system that
wakes it late has lost nothing yet."""
TimedNote = tuple[float, bool, str, int, int]
"""Time, begins or ends, part, pitch, velocity."""
TimedMessage = tuple[float, bytes]


@dataclass(frozen=True, slots=True)
class MidiSetup:
    """How the band is spread over a port.

    ``channels`` 0..15 as on the wire and ``programs`` 0..127 stand in for those of a part; a part without one keeps its
    own, and a program of its own follows the timeline. ``clock``: song position, start, stop and clock are sent too.
    Raises TimelineError for what does not fit.
    """

    channels: Mapping[str, int] = field(default_factory=dict)
    programs: Mapping[str, int] = field(default_factory=dict)
    clock: bool = False

    def __post_init__(self) -> None:
        for name, chosen, limit in (("channel", self.channels, CHANNELS - 1), ("program", self.programs, 127)):
            for part, value in chosen.items():
                if part not in PARTS or not 0 <= value <= limit:
                    raise TimelineError(f"MIDI {name} of {part}", f"{value} does not fit", f"use 0 to {limit}")
            object.__setattr__(self, f"{name}s", MappingProxyType(dict(chosen)))

    def channel_of(self, part: str) -> int:
        """Where a part plays."""
        return self.channels.get(part, PARTS[part].channel)

    @property
    def used(self) -> frozenset[int]:
        """Every channel that a part plays on."""
        return frozenset(self.channel_of(part) for part in PARTS)


def panic_messages(
    sounding: Iterable[tuple[int, int]], used: Iterable[int], *, everywhere: bool = False
) -> list[bytes]:
    """Note-offs for what sounds; then on each channel used pedal up, all notes off, all sound off, controllers reset.

    With ``everywhere`` the other channels get all notes off and all sound off, for a note that somebody else left.
    Numbers: MIDI 1.0, channel mode messages; the sequence itself is common practice, no source.
    """
    offs = [bytes((NOTE_OFF | channel, pitch, RELEASE)) for channel, pitch in sorted(sounding)]
    own, others = (SUSTAIN, ALL_NOTES_OFF, ALL_SOUND_OFF, RESET_CONTROLLERS), (ALL_NOTES_OFF, ALL_SOUND_OFF)
    channels = set(used)
    for channel in range(CHANNELS) if everywhere else sorted(channels):
        offs += [bytes((CONTROL | channel, number, 0)) for number in (own if channel in channels else others)]
    return offs


class MidiSender:
    """Sends notes to a sink at their times. Only its own thread touches the port; every call here returns at once.

    ``clock`` is the clock of the times; ``on_lost`` gets the name of the port, from that thread, when it is gone.
    """

    def __init__(self, on_lost: Callable[[str], None], clock: Callable[[], float] = time.perf_counter) -> None:
        self._on_lost = on_lost
        self._clock = clock
        self._sink: Sink | None = None
        self._queue: list[tuple[float, int, bytes]] = []
        self._order = count()
        self._sounding: dict[tuple[int, int], int] = {}
        self._programs: dict[str, int] = {}
        self._setup = MidiSetup()
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

    def set_setup(self, setup: MidiSetup) -> None:
        """Spread the band over other channels and programs; what sounds is ended on the old ones first."""
        self._inbox.put(lambda: self._change_setup(setup))

    def schedule(self, notes: Iterable[TimedNote]) -> None:
        """Queue notes; at one time, note-offs go first among those of one call, and calls keep their order."""
        taken = tuple(notes)
        self._inbox.put(lambda: self._push(taken))

    def schedule_messages(self, messages: Iterable[TimedMessage]) -> None:
        """Queue messages of the whole system: start, stop, clock."""
        taken = tuple(messages)
        self._inbox.put(lambda: self._push_messages(taken))

    def panic(self) -> None:
        """Drop what is queued and silence every channel now."""
        self._inbox.put(lambda: self._silence(everywhere=True))

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
        hurry_thread()
        while True:
            try:
                task = self._next_task()
            except Empty:
                self._play(heapq.heappop(self._queue)[2])
                continue
            if task is None:
                return
            task()

    def _next_task(self) -> Callable[[], None] | None:
        """The next task; Empty once the first message of the queue is due."""
        while self._queue:
            ahead = self._queue[0][0] - self._clock()
            if ahead > EARLY:
                with suppress(Empty):
                    return self._inbox.get(timeout=ahead - EARLY)
            elif ahead <= 0 or not self._inbox.empty():
                return self._inbox.get_nowait()
            else:
                time.sleep(NAP if ahead > 2 * NAP else 0)
        return self._inbox.get()

    def _push(self, notes: tuple[TimedNote, ...]) -> None:
        if self._sink is None:
            return
        for due, on, part, pitch, velocity in sorted(notes, key=lambda note: note[:2]):
            status = (NOTE_ON if on else NOTE_OFF) | self._setup.channel_of(part)
            message = bytes((status, pitch, velocity if on else RELEASE))
            heapq.heappush(self._queue, (due, next(self._order), message))

    def _push_messages(self, messages: tuple[TimedMessage, ...]) -> None:
        if self._sink is not None:
            for due, message in messages:
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

    def _change_setup(self, setup: MidiSetup) -> None:
        if setup != self._setup:
            self._silence()
            self._setup = setup
            self._send_programs()

    def _silence(self, *, everywhere: bool = False) -> None:
        self._queue.clear()
        messages = panic_messages(self._sounding, self._setup.used, everywhere=everywhere)
        self._sounding.clear()
        for message in messages:
            self._put(message)

    def _play(self, message: bytes) -> None:
        """Send a note; a pitch struck again is ended first, one still held by another note is not ended."""
        if message[0] >= SYSTEM:
            self._put(message)
            return
        key = (message[0] & 0x0F, message[1])
        held = self._sounding.get(key, 0)
        if message[0] & 0xF0 == NOTE_ON:
            if held:
                self._put(bytes((NOTE_OFF | key[0], key[1], RELEASE)))
            self._sounding[key] = held + 1
            self._put(message)
        elif held > 1:
            self._sounding[key] = held - 1
        elif held == 1:
            del self._sounding[key]
            self._put(message)

    def _send_programs(self) -> None:
        """A program for each part, the kit too: 0 is the standard kit. The click shares the kit of the drums."""
        for part, program in self._programs.items():
            chosen = self._setup.programs.get(part, program)
            channel = self._setup.channel_of(part)
            if part == "click" and channel == self._setup.channel_of("drums"):
                continue
            self._put(bytes((PROGRAM | channel, chosen)))

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
            with suppress(OSError):
                sink.close()
            self._on_lost(sink.name)
