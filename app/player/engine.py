"""The one place where the mixer is touched: commands queue up, and the audio thread applies them before it reads."""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass

from app.player.device import SAMPLE_RATE, Output
from core.errors import ChangewrightError
from core.sound.mixer import Mixer
from core.sound.voices import NoteChange
from core.timeline import Timeline

Command = Callable[[Mixer], None]
START_GRACE = 4.0
"""Seconds a device may take before it first asks for frames."""
_FAR = 0.1
_FOLLOW = 0.02
_APART = 1e-6


@dataclass(frozen=True, slots=True)
class Snapshot:
    """What the mixer was doing after a block. ``time`` is when ``quarter`` is heard, by ``time.perf_counter``."""

    quarter: float
    time: float
    playing: bool
    counting_in: bool
    side: str
    loop: tuple[float, float] | None
    timeline: Timeline
    resting: bool = False
    passes: int = 0


def _news(snapshot: Snapshot) -> tuple[object, ...]:
    """What the window should hear of at once. A timeline is compared by being the same object, which costs nothing."""
    return snapshot.playing, snapshot.counting_in, snapshot.side, snapshot.resting, id(snapshot.timeline)


class AudioClock:
    """When a frame is heard, from when blocks are asked for: the jitter of single callbacks is smoothed away."""

    def __init__(self) -> None:
        self._zero: float | None = None
        self.latency = 0.0

    def reset(self, latency: float) -> None:
        """A new device: begin again."""
        self._zero, self.latency = None, latency

    def tick(self, frame: int, now: float) -> None:
        """A block that begins at ``frame`` was asked for at ``now``."""
        zero = now - frame / SAMPLE_RATE
        if self._zero is None or abs(zero - self._zero) > _FAR:
            self._zero = zero
        else:
            self._zero += _FOLLOW * (zero - self._zero)

    def heard(self, frame: int) -> float:
        """When ``frame`` is heard."""
        return (self._zero or 0.0) + self.latency + frame / SAMPLE_RATE


class Engine:
    """Feeds a device from a mixer. Everything public may be called from any thread."""

    def __init__(self, mixer: Mixer) -> None:
        self._mixer = mixer
        self._commands: deque[tuple[Command, str, float]] = deque()
        self._measuring: list[tuple[str, float]] = []
        self._awaiting_sound: tuple[str, float] | None = None
        self._clock = AudioClock()
        self._lock = threading.Lock()
        self._output: Output | None = None
        self._last_call = self._attached = self._told = 0.0
        self.on_notes: Callable[[list[tuple[float, bool, str, int, int]]], None] | None = None
        self.on_block: Callable[[Snapshot, Snapshot], None] | None = None
        """Gets how things stood at the start of each block, once its commands were carried out, and at its end."""
        self.problems: deque[str] = deque(maxlen=8)
        self.moved = threading.Event()
        self.latencies: dict[str, float] = {}
        self.blocks = self.late = 0
        self.begun = 0
        """How many times playing has begun, for those who look too seldom to see it."""
        self.longest = 0.0
        self.snapshot = self._look()

    def do(self, command: Command, name: str = "", asked: float = 0.0) -> None:
        """Queue a command for the next block; ``name`` and ``asked`` measure how long its block took to come."""
        self._commands.append((command, name, asked))

    def attach(self, output: Output | None) -> None:
        """Feed another device; the old one gets silence from now on."""
        self._output = output
        self._last_call, self._attached = 0.0, time.perf_counter()
        if output is None:
            return
        self._clock.reset(output.info.latency)
        output.start(lambda frames: self._fill(output, frames))

    def idle_seconds(self, now: float) -> float:
        """How long ago the device last asked for frames; one that has just been opened has a few seconds to begin."""
        if self._output is None:
            return 0.0
        return now - self._last_call if self._last_call else max(0.0, now - self._attached - START_GRACE)

    def forget(self) -> None:
        """Begin to count anew."""
        self.latencies.clear()
        self.blocks = self.late = 0
        self.longest = 0.0

    def _fill(self, output: Output, frames: int) -> bytes:
        """Frames for a device. Never raises; a device that is no longer attached gets silence."""
        frames = max(0, frames)
        if output is not self._output or not self._lock.acquire(blocking=False):
            return bytes(8 * frames)
        try:
            return self._block(frames, output.info.buffer_ms / 1000)
        except Exception as error:  # whatever it is, sound must go on
            self.problems.append(f"The mixer stumbled ({type(error).__name__}: {error}); it goes on in silence.")
            self._mixer.stop()
            return bytes(8 * frames)
        finally:
            self._lock.release()

    def _block(self, frames: int, period: float) -> bytes:
        now = time.perf_counter()
        if self._last_call and now - self._last_call > 2 * max(period, frames / SAMPLE_RATE):
            self.late += 1
        self._last_call = now
        self.blocks += 1
        mixer = self._mixer
        self._clock.tick(mixer.clock, now)
        mixer.changes = [] if self.on_notes else None
        self._apply(mixer)
        tell_block = self.on_block
        begun = self._look() if tell_block else None
        sound = mixer.read(frames)
        self._tell_notes(mixer.changes)
        self._measure(bool(sound.any()))
        before, self.snapshot = self.snapshot, self._look()
        self.begun += self.snapshot.playing and not before.playing
        if _news(before) != _news(self.snapshot):
            self.moved.set()
        if tell_block and begun:
            tell_block(begun, self.snapshot)
        self.longest = max(self.longest, time.perf_counter() - now)
        return sound.tobytes()

    def _apply(self, mixer: Mixer) -> None:
        while self._commands:
            command, name, asked = self._commands.popleft()
            try:
                command(mixer)
            except ChangewrightError as error:
                self.problems.append(str(error))
            if asked and name == "play":
                self._awaiting_sound = (name, asked)
            elif asked:
                self._measuring.append((name, asked))

    def _measure(self, audible: bool) -> None:
        now = time.perf_counter()
        for name, asked in self._measuring:
            self.latencies[name] = now - asked
        self._measuring.clear()
        if audible and self._awaiting_sound:
            name, asked = self._awaiting_sound
            self.latencies[name] = now - asked
            self._awaiting_sound = None

    def _tell_notes(self, changes: list[NoteChange] | None) -> None:
        if not changes or not self.on_notes:
            return
        notes, frame = [], -1
        # At one frame what ends goes before what begins. The clock may step back a little between two blocks: times
        # stay in the order of their frames all the same, or a note-off would overtake its note-on.
        for change in sorted(changes, key=lambda change: (change.frame, change.on)):
            if change.frame != frame:
                frame, self._told = change.frame, max(self._told + _APART, self._clock.heard(change.frame))
            notes.append((self._told, change.on, change.part, change.pitch, change.velocity))
        self.on_notes(notes)

    def _look(self) -> Snapshot:
        mixer = self._mixer
        return Snapshot(
            mixer.position,
            self._clock.heard(mixer.clock),
            mixer.playing,
            mixer.counting_in,
            mixer.side,
            mixer.loop,
            mixer.timeline,
            mixer.resting,
            mixer.passes,
        )
