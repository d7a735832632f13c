"""All MIDI of the player process: the port that is played to, the port that is heard, and a watch over both.

A port that was chosen stays wanted. When it vanishes that is said once, everything else goes on, and when it returns it
is used again and that is said too.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Mapping
from typing import Any

from app.player.engine import Engine, Snapshot
from app.player.midi_clock import MidiClock, Stretch
from app.player.midi_in import KeyChange, Keys
from app.player.midi_port import MidiSender, MidiSetup
from app.player.midi_ports import PortError, Ports, RtMidiPorts, Source, list_ports, same_port
from app.player.protocol import Header

WATCH = 1.0
"""Seconds between two looks at the list of ports."""
NO_OUT, NO_IN = "No MIDI port is in use.", "No MIDI keyboard is in use."


class MidiDesk:
    """Ports by name. ``send`` takes event headers; every method may be called from any thread."""

    def __init__(self, send: Callable[[Header], None], engine: Engine, ports: Ports | None = None) -> None:
        self._send, self._engine = send, engine
        self._ports = ports or RtMidiPorts()
        self.sender = MidiSender(self._on_lost)
        self._stretches, self._clock = Stretches(), MidiClock()
        self._setup = MidiSetup()
        self._out: str | None = None
        self._attached = False
        self._in: str | None = None
        self._source: Source | None = None
        self._keys = Keys()
        self._lock = threading.RLock()
        # Closing a port waits for its thread, so what that thread runs must never wait for the lock above.
        self._key_lock = threading.Lock()
        self._quit = threading.Event()
        self._watcher = threading.Thread(target=self._watch, name="midi watch", daemon=True)
        self._watcher.start()

    # What is asked

    def choose_out(self, name: str | None) -> None:
        """Play to a port, or to none."""
        with self._lock:
            self._out = name
            self._detach()
            if name is None:
                self._tell_out(NO_OUT)
                return
            try:
                self._attach(name)
            except PortError as error:
                self._tell_out(str(error))
            else:
                self._tell_out(f"Notes go to the MIDI port “{name}”.")

    def choose_in(self, name: str | None) -> None:
        """Hear a keyboard, or none."""
        with self._lock:
            self._in = name
            self._close_source()
            if name is None:
                self._tell_in(NO_IN)
                return
            try:
                self._source = self._ports.open_in(name, self._on_message)
            except PortError as error:
                self._tell_in(str(error))
            else:
                self._tell_in(f"The MIDI keyboard “{name}” is heard.")

    def set_up(self, channels: Mapping[str, Any], programs: Mapping[str, Any], clock: bool) -> None:
        """Channels and programs of the parts, and whether the clock is sent. Raises TimelineError."""
        setup = MidiSetup(_numbers(channels), _numbers(programs), clock)
        with self._lock:
            if self._setup.clock and not clock:
                self.sender.schedule_messages(self._clock.stop(time.perf_counter()))
            self._setup = setup
            self.sender.set_setup(setup)
            if self.sender.port:
                self._engine.on_block = self._on_block if clock else None

    def set_programs(self, programs: Mapping[str, int]) -> None:
        """What the timeline plays its parts with."""
        self.sender.set_programs(programs)

    def tell_ports(self) -> None:
        """Say which ports there are."""
        outs, ins, sentence = list_ports(self._ports)
        with self._lock:
            self._tell_out(sentence, {"ports": outs})
            self._tell_in(sentence, {"ports": ins})

    def panic(self) -> None:
        """Silence every channel now."""
        self.sender.panic()

    def close(self) -> None:
        """Silence and let go of both ports."""
        self._quit.set()
        with self._lock:
            self._engine.on_notes = self._engine.on_block = None
            self._close_source()
        self.sender.close()
        if self._watcher is not threading.current_thread():
            self._watcher.join(2.0)

    # Out

    def _attach(self, name: str) -> None:
        sink = self._ports.open_out(name)
        self._clock = MidiClock()
        self.sender.open(sink)
        self.sender.wait()
        self._attached = True
        self._engine.on_notes = self.sender.schedule
        self._engine.on_block = self._on_block if self._setup.clock else None

    def _detach(self) -> None:
        self._attached = False
        self._engine.on_notes = self._engine.on_block = None
        self.sender.schedule_messages(self._clock.stop(0.0))
        self.sender.open(None)
        self.sender.wait()

    def _on_block(self, begun: Snapshot, ended: Snapshot) -> None:
        """On the audio thread: what a block has played becomes clock messages."""
        messages = [
            message for stretch in self._stretches.of(begun, ended) for message in self._clock.messages(stretch)
        ]
        if messages:
            self.sender.schedule_messages(messages)

    def _on_lost(self, name: str) -> None:
        """On the sender's thread: a message could not be sent."""
        if self._attached:  # else it is being given up, or its loss was seen in the list
            self._attached = False
            self._engine.on_notes = self._engine.on_block = None
            self._tell_out(_gone("port", name))

    # In

    def _on_message(self, message: bytes) -> None:
        """On a thread of the system."""
        now = time.perf_counter()
        with self._key_lock:
            changes = self._keys.feed(message)
        self._tell_keys(changes, now)

    def _tell_keys(self, changes: list[KeyChange], now: float) -> None:
        heard = self._engine.snapshot
        quarter = place_at(heard, now)
        for change in changes:
            self._send(
                {"event": "played", "on": change.on, "pitch": change.pitch, "velocity": change.velocity, "time": now,
                 "quarter": quarter, "bpm": heard.timeline.bpm, "playing": heard.playing,
                 "counting_in": heard.counting_in}
            )  # fmt: skip

    def _close_source(self) -> None:
        source, self._source = self._source, None
        if source is not None:
            source.close()
        with self._key_lock:
            changes = self._keys.release_all()
        self._tell_keys(changes, time.perf_counter())

    # The watch

    def _watch(self) -> None:
        while not self._quit.wait(WATCH):
            with self._lock:
                if self._out or self._in:
                    self.look()

    def look(self) -> None:
        """See whether wanted ports have gone or come back."""
        with self._lock:
            try:
                outs, ins = self._ports.outs(), self._ports.ins()
            except PortError:
                return  # no MIDI here at all, which was said when the port was chosen
            self._look_out(outs)
            self._look_in(ins)

    def _look_out(self, names: list[str]) -> None:
        if self._out is None:
            return
        there, port = same_port(self._out, names), self.sender.port
        if port and there is None:
            self._detach()
            self._tell_out(_gone("port", self._out))
        elif there and not port:
            try:
                self._attach(there)
            except PortError:
                return  # it is listed before it can be opened; the next look tries again
            self._tell_out(f"The MIDI port “{there}” is back and is played to again.")

    def _look_in(self, names: list[str]) -> None:
        if self._in is None:
            return
        there = same_port(self._in, names)
        if self._source and there is None:
            self._close_source()
            self._tell_in(_gone("keyboard", self._in))
        elif there and not self._source:
            try:
                self._source = self._ports.open_in(there, self._on_message)
            except PortError:
                return
            self._tell_in(f"The MIDI keyboard “{there}” is back and is heard again.")

    def _tell_out(self, sentence: str, more: Header | None = None) -> None:
        self._send(
            {"event": "midi", "port": self.sender.port, "wanted": self._out, "sentence": sentence, **(more or {})}
        )

    def _tell_in(self, sentence: str, more: Header | None = None) -> None:
        port = self._source.name if self._source else None
        self._send({"event": "midi_in", "port": port, "wanted": self._in, "sentence": sentence, **(more or {})})


class Stretches:
    """Cuts what a block has played at the end of a count-in and where a loop begins again."""

    def __init__(self) -> None:
        self._start: float | None = None

    def of(self, begun: Snapshot, ended: Snapshot) -> list[Stretch]:
        """The stretches of a block that began as ``begun`` and left things as ``ended``."""
        bpm = begun.timeline.bpm
        if not begun.playing:
            self._start = None
            return [Stretch(begun.time, begun.quarter, begun.quarter, bpm, False)]
        end = begun.quarter + (ended.time - begun.time) * bpm / 60.0
        if begun.counting_in:
            return self._count(begun, ended, end)
        self._start = None
        whole = Stretch(begun.time, begun.quarter, end, bpm, True)
        if not ended.playing:
            last = begun.loop[1] if begun.loop else begun.timeline.length
            return [_cut(whole, max(begun.quarter, min(end, last)))]
        if begun.loop and begun.quarter < begun.loop[1] <= end and ended.quarter < begun.quarter:
            first = _cut(whole, begun.loop[1])
            time_there = begun.time + (begun.loop[1] - begun.quarter) * 60.0 / bpm
            return [first, Stretch(time_there, begun.loop[0], ended.quarter, ended.timeline.bpm, True)]
        return [whole]

    def _count(self, begun: Snapshot, ended: Snapshot, end: float) -> list[Stretch]:
        if self._start is None:
            self._start = begun.quarter + begun.timeline.lead_in
        bpm, start = begun.timeline.bpm, self._start
        counting = Stretch(begun.time, begun.quarter, end, bpm, True, True)
        if ended.counting_in or not ended.playing or not begun.quarter <= start <= end:
            return [counting]
        time_there = begun.time + (start - begun.quarter) * 60.0 / bpm
        return [_cut(counting, start), Stretch(time_there, start, end, bpm, True)]


def _cut(stretch: Stretch, end: float) -> Stretch:
    return Stretch(stretch.time, stretch.quarter, end, stretch.bpm, stretch.playing, stretch.counting_in)


def place_at(heard: Snapshot, now: float) -> float:
    """The quarter note that is heard at ``now``, inside the loop."""
    if not heard.playing:
        return heard.quarter
    place = heard.quarter + (now - heard.time) * heard.timeline.bpm / 60.0
    if heard.loop:
        start, end = heard.loop
        if heard.quarter < end <= place:
            place = start + (place - end) % (end - start)
        elif place < start <= heard.quarter and heard.passes and not heard.counting_in:
            place += end - start  # the block ahead has wrapped, the ear has not
    return place


def _gone(what: str, name: str) -> str:
    return f"The MIDI {what} “{name}” is gone; it is used again as soon as it is connected."


def _numbers(chosen: Mapping[str, Any]) -> dict[str, int]:
    return {str(part): int(value) for part, value in chosen.items()}
