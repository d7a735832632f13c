"""The window's side of the player: start it, tell it, hear from it, and bring it back where it was if it dies.

Standard library only. Nothing here blocks: a thread writes, a thread reads, and ``on_event`` is called from the
latter with one dictionary an event.
"""

from __future__ import annotations

import shutil
import threading
import time
from collections import deque
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

from app.player.link import CLOSE_SECONDS, Link
from app.player.protocol import Header, ProtocolError, read_message
from app.player.remembered import Remembered
from core.timeline import Side, Timeline

NOTES_PREFIX = "changewright-notes-"
RESTARTS, RESTART_WINDOW = 3, 20.0
"""A player that dies more often than this in so many seconds is left alone."""


class PlayerClient:
    """Plays timelines in a process of its own. Every method returns at once; events come to ``on_event``.

    Events are dictionaries with ``event``: started, ready, loaded, stepped, preparing, playing, position, stopped,
    font, device, midi, midi_in, played, stats, pong, error (``sentence``), restarted, gone (``sentence``).
    """

    def __init__(
        self,
        on_event: Callable[[dict[str, Any]], None],
        *,
        device: str = "default",
        buffer_ms: int = 20,
        font: Path | None = None,
    ) -> None:
        self._on_event = on_event
        self._font = font
        self._state = Remembered(device=device, buffer_ms=buffer_ms)
        self._lock = threading.RLock()
        self._notes = Path(mkdtemp(prefix=NOTES_PREFIX))
        self._spare: Link | None = None
        self._deaths: deque[float] = deque(maxlen=RESTARTS + 1)
        self._closed = False
        self._link: Link | None = None
        self._reader: threading.Thread | None = None
        self._open()

    # Commands

    def load(self, timeline: Timeline, passes: int = 0) -> int:
        """Play this from now on, at the same musical place; returns a version that ``loaded`` repeats.

        With ``passes`` it waits for the end of the loop, once so many passes have been played: a step of a tempo ramp.
        ``stepped`` repeats the version then. Any later load takes the place of one that still waits.
        """
        with self._lock:
            self._state.version += 1
            if passes:
                self._state.next = (timeline, passes, self._state.version)
                self._send(*self._state.next_message())
            else:
                self._state.timeline, self._state.next = timeline, None
                self._send(*self._state.load_message())
            return self._state.version

    def play(self, start: float = 0.0, *, count_in: bool = False, side: Side | None = None) -> None:
        """Play from a quarter note, after the count-in if asked."""
        with self._lock:
            self._state.playing, self._state.place = True, (start, 0.0, 0.0)
            if side:
                self._state.side = side
            self._tell("play", **{"from": start}, count_in=count_in, side=self._state.side)

    def stop(self) -> None:
        """Stop; the place is kept."""
        with self._lock:
            self._state.playing = False
            self._tell("stop")

    def seek(self, quarter: float) -> None:
        """Go on from another quarter note."""
        with self._lock:
            self._state.place = (quarter, 0.0, 0.0)
            self._tell("seek", quarter=quarter)

    def set_loop(self, loop: tuple[float, float] | None, passes: int | None = None) -> None:
        """Loop ``[start, end)`` in quarter notes, or None; with ``passes`` stop after so many."""
        with self._lock:
            self._state.loop = loop if loop and loop[1] > loop[0] else None
            self._state.loop_passes = passes
            self._tell("loop", loop=loop, passes=passes)

    def set_side(self, side: Side, when: str = "now") -> None:
        """Hear the standard or the take: ``now``, at the next ``bar``, or when the ``loop`` begins again."""
        with self._lock:
            self._state.side = side
            self._tell("side", side=side, when=when)

    def set_drop_outs(self, bars: tuple[int, int] | None) -> None:
        """Bars with the band and bars without it, in turn; None for no drop-outs."""
        with self._lock:
            self._state.drop_outs = bars
            self._tell("drop_outs", bars=bars)

    def set_level(self, part: str, level: float) -> None:
        """Gain of a part, 0..1."""
        with self._lock:
            self._state.levels[part] = level
            self._tell("levels", levels={part: level})

    def set_muted(self, part: str, muted: bool) -> None:
        """Silence a part, or not."""
        with self._lock:
            self._state.muted[part] = muted
            self._tell("mute", muted={part: muted})

    def set_master(self, level: float) -> None:
        """Gain of all, 0..1."""
        with self._lock:
            self._state.master = level
            self._tell("master", level=level)

    def set_device(self, device: str, buffer_ms: int | None = None) -> None:
        """Use ``default``, ``null`` or a device by name."""
        with self._lock:
            self._state.device = device
            self._state.buffer_ms = buffer_ms or self._state.buffer_ms
            self._tell("device", device=device, buffer_ms=self._state.buffer_ms)

    def set_midi_port(self, port: str | None) -> None:
        """Send the heard side to a MIDI port too, or to none."""
        with self._lock:
            self._state.midi = port
            self._tell("midi", port=port)

    def set_midi_setup(self, channels: Mapping[str, int], programs: Mapping[str, int], clock: bool) -> None:
        """Channels (0..15) and programs (0..127) that stand in for a part's own, and whether the clock is sent."""
        with self._lock:
            self._state.midi_setup = {"channels": dict(channels), "programs": dict(programs), "clock": clock}
            self._tell("midi_setup", **self._state.midi_setup)

    def set_midi_input(self, port: str | None) -> None:
        """Hear a MIDI keyboard, or none: ``played`` events tell its keys."""
        with self._lock:
            self._state.midi_in = port
            self._tell("midi_in", port=port)

    def set_font(self, font: Path | None) -> None:
        """Use another SoundFont: the player starts anew in the same place."""
        with self._lock:
            self._font = font
            self._freeze()
            self._let_go(self._link, self._spare, self._notes)
            self._spare, self._notes = None, Path(mkdtemp(prefix=NOTES_PREFIX))
            self._open()
            self._restore()

    def ask_ports(self) -> None:
        """Ask for ``midi`` and ``midi_in`` events that list the ports."""
        self._tell("ports")

    def ask_stats(self, *, reset: bool = False) -> None:
        """Ask for a ``stats`` event; ``reset`` begins to count anew after it."""
        self._tell("stats", reset=reset)

    def panic(self) -> None:
        """Stop, and silence every MIDI channel."""
        with self._lock:
            self._state.playing = False
            self._tell("panic")

    def ping(self, token: object = None) -> None:
        """Ask for a ``pong`` with the same token."""
        self._tell("ping", token=token)

    def close(self) -> None:
        """End the player process; afterwards nothing is sent and no event comes."""
        with self._lock:
            self._closed = True
            link, self._link = self._link, None
            spare, self._spare = self._spare, None
        if link:
            link.close()
        if spare:
            spare.drop()
        shutil.rmtree(self._notes, ignore_errors=True)
        if self._reader and self._reader is not threading.current_thread():
            self._reader.join(CLOSE_SECONDS)

    # State

    @property
    def pid(self) -> int | None:
        """Process number of the player."""
        link = self._link
        return link.process.pid if link else None

    @property
    def playing(self) -> bool:
        """True from the call of ``play`` until the end of the form or ``stop``."""
        return self._state.playing

    def position(self, now: float | None = None) -> float:
        """The quarter note heard at ``now`` (perf_counter), from the last position event."""
        return self._state.position(time.perf_counter() if now is None else now)

    # The process

    def _open(self) -> None:
        """Take the spare where there is one alive, else start a player."""
        spare, self._spare = self._spare, None
        if spare and spare.process.poll() is None:
            link = spare
            link.put(({"do": "begin", "device": self._state.device, "buffer_ms": self._state.buffer_ms}, b""))
        else:
            link = Link(self._state.device, self._state.buffer_ms, self._font, self._notes)
            self._let_go(None, spare)
        self._link = link
        self._reader = threading.Thread(target=self._read, args=(link,), name="player events", daemon=True)
        self._reader.start()

    def _make_spare(self) -> None:
        """A second player with everything loaded and nothing opened, for the day the first one dies."""
        with self._lock:
            if self._spare is None and not self._closed:
                with suppress(OSError):
                    device, buffer_ms = self._state.device, self._state.buffer_ms
                    self._spare = Link(device, buffer_ms, self._font, self._notes, standby=True)

    @staticmethod
    def _let_go(link: Link | None, spare: Link | None = None, notes: Path | None = None) -> None:
        """Close players and clear their notes away without waiting for it."""

        def work() -> None:
            if link:
                link.close()
            if spare:
                spare.drop()
            if notes:
                shutil.rmtree(notes, ignore_errors=True)

        threading.Thread(target=work, name="player closing", daemon=True).start()

    def _tell(self, do: str, **values: Any) -> None:
        self._send({"do": do, "at": time.perf_counter(), **values})

    def _send(self, header: Header, block: bytes = b"") -> None:
        with self._lock:
            if self._link:
                self._link.put((header, block))

    def _read(self, link: Link) -> None:
        with suppress(ProtocolError, OSError, ValueError):
            while (message := read_message(link.events)) is not None:
                if link is not self._link:
                    break
                self._note(message[0])
                self._on_event(message[0])
        link.close()
        link.events.close()
        self._died(link)

    def _note(self, event: Header) -> None:
        """Keep what is needed to come back to the same place."""
        # As soon as there is sound to lose: before that a second player would only take time from the first.
        name = event.get("event")
        if name == "playing" or (name == "preparing" and event["done"] == event["total"]):
            self._make_spare()
        with self._lock:
            state = self._state
            if name == "position" and state.playing:
                state.place = (event["quarter"], event["time"], event["bpm"])
            elif name == "playing":
                # A stop that was told before this play may have come in between.
                state.playing = True
            elif name == "stopped":
                state.playing = False
                state.place = (event["quarter"], 0.0, 0.0)
            elif name == "stepped" and state.next and state.next[2] == event["version"]:
                state.timeline, state.next = state.next[0], None

    def _died(self, link: Link) -> None:
        with self._lock:
            if self._closed or link is not self._link:
                return
            now = time.monotonic()
            self._deaths.append(now)
            often = len(self._deaths) > RESTARTS and now - self._deaths[0] < RESTART_WINDOW
            self._link = None
            if not often:
                self._freeze()
                self._open()
                self._restore()
        if often:
            self._state.playing = False
            sentence = "Sound stopped working and was not started again; save your work and open the program anew."
            self._on_event({"event": "gone", "sentence": sentence})
        else:
            self._on_event({"event": "restarted", "pid": self.pid})

    def _freeze(self) -> None:
        """Take the place as it is now, since the clock that it runs by is gone."""
        self._state.place = (self._state.position(time.perf_counter()), 0.0, 0.0)

    def _restore(self) -> None:
        for header, block in self._state.restore_messages():
            self._send({"at": time.perf_counter(), **header}, block)
