"""What the player process does with each command. Imported by that process only, after it has said that it lives."""

from __future__ import annotations

import gc
import threading
from collections.abc import Callable
from pathlib import Path
from typing import get_args

from app.player.device import load_device_library
from app.player.engine import Command, Engine
from app.player.keeper import OutputKeeper
from app.player.loader import EmptyBank, Loader
from app.player.midi_desk import MidiDesk
from app.player.midi_ports import Ports
from app.player.protocol import Header, ProtocolError, unpack_timeline
from app.player.rendering import RenderProcess
from core.errors import ChangewrightError
from core.sound.bank import Bank
from core.sound.mixer import Mixer
from core.sound.placement import place
from core.sound.rehearsal import When
from core.sound.renderer import Render
from core.sound.soundfont import check_soundfont, find_soundfont
from core.sound.spool import Spool
from core.timeline import HEARD_SIDES, PARTS, Side, Timeline, TimelineError

TICK = 0.04
"""Seconds between two position events while playing."""


class Player:
    """Carries out commands. ``send`` takes event headers and may be called from any thread.

    A command is a dictionary whose ``do`` names a method below; ``at`` is when it was given (perf_counter), so that
    the time until it is heard can be told.
    """

    def __init__(
        self,
        send: Callable[[Header], None],
        *,
        font: Path | None = None,
        notes: Path | None = None,
        standby: bool = False,
        ports: Ports | None = None,
    ) -> None:
        self._send = send
        self._rendering: RenderProcess | None = None
        self._spool = Spool(notes) if notes else None
        self._bank = self._open_bank(font)
        self._mixer = Mixer(self._bank)
        self._engine = Engine(self._mixer)
        self._loader = Loader(self._bank, self._engine.do, self._progress, self._problem, warm=not standby)
        self._midi = MidiDesk(send, self._engine, ports)
        self._keeper = OutputKeeper(self._engine, send, self._problem)
        self._next: tuple[Timeline, int] | None = None
        self._quit = threading.Event()
        self._asked_to_stop = False
        self._commands: dict[str, Callable[[Header, bytes], None]] = {
            name.removeprefix("_do_"): getattr(self, name) for name in dir(self) if name.startswith("_do_")
        }
        self._ticker = threading.Thread(target=self._tick, name="ticker", daemon=True)
        if standby:
            load_device_library()

    def start(self, choice: str, buffer_ms: int) -> None:
        """Open the device and begin to report."""
        self._keeper.open(choice, buffer_ms)
        # What is loaded by now stays: the collector need not look through it while sound runs.
        gc.collect()
        gc.freeze()
        self._ticker.start()
        self._send({"event": "ready", "notes": len(self._bank)})

    def handle(self, header: Header, block: bytes) -> None:
        """Carry out one command; what is wrong with it becomes an error event."""
        try:
            command = self._commands.get(str(header.get("do")))
            if command is None:
                raise ProtocolError(f"there is no command {header.get('do')!r}")
            command(header, block)
        except ChangewrightError as error:
            self._problem(str(error))
        except (ProtocolError, LookupError, TypeError, ValueError) as error:
            self._problem(f"The player was given something it cannot do ({error}).")

    def close(self) -> None:
        """Silence everything and let go of device and port."""
        self._quit.set()
        self._engine.moved.set()
        self._loader.close()
        if self._rendering:
            self._rendering.close()
        self._midi.close()
        self._keeper.close()

    # Commands

    def _do_begin(self, header: Header, _block: bytes) -> None:
        """The end of a standby."""
        self.start(str(header["device"]), int(header["buffer_ms"]))

    def _do_load(self, header: Header, block: bytes) -> None:
        timeline = unpack_timeline(header["timeline"], block)
        placement = place(timeline, self._bank.layers)
        passes = int(header.get("passes", 0))
        if passes > 0:
            self._next = (timeline, int(header.get("version", 0)))
            self._loader.prepare(placement)
            self._engine.do(lambda mixer: mixer.set_next(placement, passes))
            return
        now = self._engine.snapshot
        self._next = None
        self._engine.do(lambda mixer: mixer.set_next(None))
        self._loader.load(placement, now.quarter, _asked(header), playing=now.playing)
        self._midi.set_programs({name: timeline.program_of(name) for name in PARTS})
        self._send({"event": "loaded", "version": header.get("version", 0), "length": timeline.length})

    def _do_play(self, header: Header, _block: bytes) -> None:
        start, count_in = float(header.get("from", 0.0)), bool(header.get("count_in", False))
        if "side" in header:
            self._do_side(header, _block)
        self._asked_to_stop = False
        self._loader.play(
            lambda mixer: mixer.play(start, count_in=count_in), start, count_in=count_in, asked=_asked(header)
        )

    def _do_stop(self, header: Header, _block: bytes) -> None:
        self._asked_to_stop = True
        if self._loader.cancel_plays() and not self._engine.snapshot.playing:
            self._send({"event": "stopped", "quarter": self._engine.snapshot.quarter, "reason": "command"})
        self._engine.do(lambda mixer: mixer.stop(), "stop", _asked(header))

    def _do_seek(self, header: Header, _block: bytes) -> None:
        quarter = float(header["quarter"])
        self._loader.after_load(lambda mixer: mixer.seek(quarter), "seek", _asked(header))

    def _do_loop(self, header: Header, _block: bytes) -> None:
        loop = None if header["loop"] is None else (float(header["loop"][0]), float(header["loop"][1]))
        passes = header.get("passes")
        self._loader.after_load(lambda mixer: mixer.set_loop(loop, None if passes is None else int(passes)))

    def _do_drop_outs(self, header: Header, _block: bytes) -> None:
        bars = None if header["bars"] is None else (int(header["bars"][0]), int(header["bars"][1]))
        self._engine.do(lambda mixer: mixer.set_drop_outs(bars))

    def _do_levels(self, header: Header, _block: bytes) -> None:
        for part, level in header["levels"].items():
            self._engine.do(_level(part, float(level)))

    def _do_master(self, header: Header, _block: bytes) -> None:
        level = float(header["level"])
        self._engine.do(lambda mixer: mixer.set_master(level))

    def _do_mute(self, header: Header, _block: bytes) -> None:
        for part, muted in header["muted"].items():
            self._engine.do(_mute(part, bool(muted)))

    def _do_side(self, header: Header, _block: bytes) -> None:
        side: Side = header["side"]
        if side not in HEARD_SIDES:
            raise TimelineError("side", f"“{side}” cannot be heard by itself", "choose standard or take")
        when: When = header.get("when", "now")
        if when not in get_args(When):
            raise TimelineError("side", f"“{when}” is no time to change it", "choose now, bar or loop")
        if when == "now":
            self._loader.set_side(side)
            self._engine.do(lambda mixer: mixer.set_side(side), "side", _asked(header))
        else:
            # A play that still waits for its notes comes first.
            self._loader.after_load(lambda mixer: mixer.set_side(side, when))

    def _do_device(self, header: Header, _block: bytes) -> None:
        self._keeper.open(str(header["device"]), int(header.get("buffer_ms", self._keeper.buffer_ms)))

    def _do_midi(self, header: Header, _block: bytes) -> None:
        self._midi.choose_out(_name(header["port"]))

    def _do_midi_in(self, header: Header, _block: bytes) -> None:
        self._midi.choose_in(_name(header["port"]))

    def _do_midi_setup(self, header: Header, _block: bytes) -> None:
        self._midi.set_up(dict(header["channels"]), dict(header["programs"]), bool(header["clock"]))

    def _do_ports(self, _header: Header, _block: bytes) -> None:
        self._midi.tell_ports()

    def _do_panic(self, header: Header, block: bytes) -> None:
        self._do_stop(header, block)
        self._midi.panic()

    def _do_ping(self, header: Header, _block: bytes) -> None:
        self._send({"event": "pong", "token": header.get("token")})

    def _do_stats(self, header: Header, _block: bytes) -> None:
        engine = self._engine
        latencies = {name: round(1000 * seconds, 3) for name, seconds in engine.latencies.items()}
        self._send(
            {
                "event": "stats",
                "blocks": engine.blocks,
                "late": engine.late,
                "longest_ms": round(1000 * engine.longest, 3),
                "latencies_ms": latencies,
                "notes": len(self._bank),
                "bank_bytes": self._bank.size,
                "missed": self._mixer.missed,
            }
        )
        if header.get("reset"):
            engine.forget()

    # Events

    def _tick(self) -> None:
        """Report what the engine does, from a thread that may wait on a full pipe."""
        was_playing, seen = False, 0
        while not self._quit.is_set():
            self._engine.moved.wait(TICK)
            self._engine.moved.clear()
            begun = self._engine.begun
            now = self._engine.snapshot
            # Played and stopped since the last look: whoever waits for the end of it must hear of it.
            missed = begun != seen and not was_playing and not now.playing
            seen = begun
            waiting = self._next
            if waiting and now.timeline is waiting[0]:
                self._next = None if self._next is waiting else self._next
                self._send({"event": "stepped", "version": waiting[1], "bpm": now.timeline.bpm})
            if missed or (now.playing and not was_playing):
                self._send({"event": "playing", "quarter": now.quarter, "counting_in": now.counting_in})
            if now.playing:
                self._send(
                    {
                        "event": "position",
                        "quarter": now.quarter,
                        "time": now.time,
                        "bpm": now.timeline.bpm,
                        "counting_in": now.counting_in,
                        "resting": now.resting,
                        "side": now.side,
                        "loop": now.loop,
                        "passes": now.passes,
                    }
                )
            elif was_playing or missed:
                reason = "command" if self._asked_to_stop else "end"
                self._send({"event": "stopped", "quarter": now.quarter, "reason": reason})
            was_playing = now.playing
            while self._engine.problems:
                self._problem(self._engine.problems.popleft())
            self._keeper.watch()

    def _progress(self, done: int, total: int) -> None:
        if total:
            self._send({"event": "preparing", "done": done, "total": total})

    def _problem(self, sentence: str) -> None:
        self._send({"event": "error", "sentence": sentence})

    def _renderer(self, font: Path) -> Render:
        self._rendering = RenderProcess(font)
        return self._rendering.render

    def _open_bank(self, font: Path | None) -> Bank | EmptyBank:
        for path in dict.fromkeys((font, None)):
            try:
                chosen = find_soundfont(path)
                report = check_soundfont(chosen)
                bank = Bank(chosen, layers=report.layers, render_with=self._renderer, spool=self._spool)
            except ChangewrightError as error:
                self._problem(str(error))
                continue
            self._send({"event": "font", "path": str(chosen), "own": path is not None, "sentence": report.sentence})
            return bank
        return EmptyBank()


def _asked(header: Header) -> float:
    return float(header.get("at", 0.0))


def _name(value: object) -> str | None:
    return None if value is None else str(value)


def _level(part: str, level: float) -> Command:
    return lambda mixer: mixer.set_level(part, level)


def _mute(part: str, muted: bool) -> Command:
    return lambda mixer: mixer.set_muted(part, muted)
