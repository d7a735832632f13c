"""The note bank: single notes of a SoundFont, each rendered once and kept.

A note is rendered by itself at velocity 127 with reverb and chorus sends at zero, and stored as the renderer's own
16-bit stereo samples: that is exact and half the size of floats, and costs the mixer one microsecond more a note.
Velocity is a gain (a square law in this renderer), release an exponential fade whose time constant is measured once
per program. Notes are only rendered as long as a timeline holds them; all of it stays under a budget in bytes.
"""

from __future__ import annotations

import io
import math
import wave
from collections import OrderedDict
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

import numpy as np
import numpy.typing as npt

from core.errors import FileError
from core.sound.note_file import FULL_VELOCITY, KIT, NoteKey, kit_program
from core.sound.renderer import Render, renderer
from core.sound.soundfont import find_soundfont
from core.sound.spool import Spool
from core.timeline import PARTS, NoteEvent, Side, Timeline

SAMPLE_RATE = 48_000
DEFAULT_BUDGET = 192 * 2**20
"""Bytes the bank may hold; a tune takes 20 to 40 MB."""

# A few lengths only, so that an edited duration seldom asks for a new rendering. Seconds.
LENGTHS = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0)
CYMBAL_SECONDS, DRUM_SECONDS = 6.0, 1.5
"""A crash in the default font needs 4 to 5.5 s to fall by 60 dB, its drums and a shut hi-hat at most 0.2 s."""
USUAL_RELEASE = 0.15
RELEASES_KEPT = 6.9
"""Time constants of its release that a note is kept after the longest note-off: it has fallen by 60 dB by then."""

REFERENCE_PITCH, REFERENCE_BASS = 60, 40
BASS_PROGRAMS = range(32, 40)
REFERENCE_LEVEL = 0.03
"""Root mean square, full scale 1, of the first half second at velocity 127 that every program is brought to."""
# Peak at velocity 127 that each cymbal is brought to: in small fonts they are far behind the drums.
# Common practice, no source: a ride at velocity 80 about 10 dB under a walking bass at 90.
SHUT = frozenset((42, 44))
CYMBAL_PEAKS = {42: 0.12, 44: 0.12, 46: 0.12, 49: 0.2, 51: 0.15, 52: 0.2, 53: 0.15, 55: 0.2, 57: 0.2, 59: 0.15}

URGENT_QUARTERS = 1.5

_END_FADE = 960
_SILENT = 10 ** (-72 / 20)
_BEGUN = 10 ** (-50 / 20)
"""A note has begun where it comes within 50 dB of its peak; common practice, no source."""
_ATTACK = 12
"""Frames kept before that."""
LONGEST_WAIT = 480
"""Frames that may be cut before an attack: a sound that swells by itself keeps its swell."""
Samples = npt.NDArray[np.int16]
Floats = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Note:
    """A rendered note: samples (2, n), the seconds asked for, release time constant in seconds, and a trim."""

    samples: Samples
    seconds: float
    release: float
    trim: float
    layer: int

    def gain(self, velocity: int) -> float:
        """Factor from 16-bit samples to the float amplitude of ``velocity``."""
        return (velocity / self.layer) ** 2 * self.trim / 32768.0


class NoteSource(Protocol):
    """Where rendered notes come from (the bank, or what stands in for it)."""

    layers: tuple[int, ...]

    def get(self, key: NoteKey) -> Note | None:
        """A note at hand, or None."""


@dataclass(frozen=True, slots=True)
class Character:
    """What is measured once per program: release time constant in seconds, and a gain that evens out programs."""

    release: float
    trim: float


def velocity_layers(count: int) -> tuple[int, ...]:
    """``count`` velocities to render, the loudest 127. One is enough for a font without velocity layers."""
    if not 1 <= count <= 8:
        raise ValueError(f"layers must be 1..8, not {count}")
    return tuple(round(FULL_VELOCITY * (index + 1) / count) for index in range(count))


class Bank:
    """Rendered notes of one font, oldest use first out when ``budget`` bytes are passed."""

    def __init__(
        self,
        font: Path | None = None,
        *,
        layers: int = 1,
        budget: int = DEFAULT_BUDGET,
        render_with: Callable[[Path], Render] = renderer,
        spool: Spool | None = None,
    ) -> None:
        self.path = find_soundfont(font)
        self._render = render_with(self.path)
        self._spool = spool
        self.layers = velocity_layers(layers)
        self.budget = budget
        self.size = 0
        self._notes: OrderedDict[NoteKey, Note] = OrderedDict()
        self._characters: dict[int, Character] = {}

    def __len__(self) -> int:
        return len(self._notes)

    def key_of(self, timeline: Timeline, event: NoteEvent) -> NoteKey:
        """The note an event needs."""
        program = timeline.program_of(event.part)
        return NoteKey(
            kit_program(program) if PARTS[event.part].is_drums else program, event.pitch, self.layer_of(event.velocity)
        )

    def layer_of(self, velocity: int) -> int:
        """The softest layer that is at least as loud as ``velocity``."""
        return next(layer for layer in self.layers if velocity <= layer)

    def get(self, key: NoteKey) -> Note | None:
        """A note at hand, or None; never renders."""
        return self._notes.get(key)

    def plan(self, timeline: Timeline) -> dict[NoteKey, float]:
        """Every note a timeline needs with its seconds, in order of first use, within the budget."""
        longest: dict[NoteKey, float] = {}
        for event in (*timeline.count_in, *timeline.events):
            key = self.key_of(timeline, event)
            longest[key] = max(longest.get(key, 0.0), timeline.seconds_at(event.duration))
        cap = LENGTHS[-1]
        while True:
            plan = {key: min(cap, self._length(key, held)) for key, held in longest.items()}
            if sum(plan.values()) * SAMPLE_RATE * 4 <= self.budget or cap <= 0.25:
                return plan
            cap /= 2

    def missing(self, timeline: Timeline, first: Iterable[NoteKey] = ()) -> dict[NoteKey, float]:
        """The part of the plan that is not at hand or too short, beginning with ``first``."""
        plan = self.plan(timeline)
        found = {}
        for key in (*(key for key in first if key in plan), *plan):
            note = self._notes.get(key)
            if note is None or note.seconds < plan[key]:
                found[key] = plan[key]
            else:
                self._notes.move_to_end(key)
        return found

    def urgent(self, timeline: Timeline, side: Side, start: float, count_in: bool = False) -> list[NoteKey]:
        """What must be at hand before ``side`` is played from a quarter note: the next bar or so."""
        soon = [e for e in timeline.events if e.onset < start + URGENT_QUARTERS and e.end > start]
        heard = [event for event in soon if event.side in ("both", side)]
        events = (*timeline.count_in, *heard) if count_in else heard
        return list(dict.fromkeys(self.key_of(timeline, event) for event in events))

    def render(self, key: NoteKey, seconds: float) -> Note:
        """Render one note and keep it (5 to 40 ms). Raises FileError where the font is damaged.

        A note that an earlier player of this session left in the spool is taken from there (under 1 ms).
        """
        found = self._spool.read(key, seconds) if self._spool else None
        if found:
            samples, seconds, release, trim = found
            if not key.is_drum:
                self._characters.setdefault(key.program, Character(release, trim))
            return self._keep(key, Note(samples, seconds, release, trim, key.layer))
        samples = self._trim(_samples(self._render(key, seconds, 0.0), seconds))
        if key.is_drum:
            release, trim = 0.05, drum_trim(key.pitch, samples)
        else:
            character = self._character(key.program)
            release, trim = character.release, character.trim
        if self._spool:
            self._spool.write(key, samples, seconds, release, trim)
        return self._keep(key, Note(samples, seconds, release, trim, key.layer))

    def _keep(self, key: NoteKey, note: Note) -> Note:
        old = self._notes.get(key)
        self.size += note.samples.nbytes - (old.samples.nbytes if old else 0)
        # The audio thread may look the note up at any moment: it is replaced, never absent.
        self._notes[key] = note
        self._notes.move_to_end(key)
        while self.size > self.budget and len(self._notes) > 1:
            _, dropped = self._notes.popitem(last=False)
            self.size -= dropped.samples.nbytes
        return note

    def fill(self, timeline: Timeline, progress: Callable[[float], None] | None = None) -> int:
        """Render all that is missing; returns how many notes. ``progress`` gets 0..1."""
        todo = self.missing(timeline)
        for index, (key, seconds) in enumerate(todo.items(), 1):
            self.render(key, seconds)
            if progress:
                progress(index / len(todo))
        return len(todo)

    def pieces(self, timeline: Timeline, first: Iterable[NoteKey] = ()) -> Iterator[NoteKey]:
        """As ``fill``, one note at a time, so that a caller may do something else between two."""
        for key, seconds in self.missing(timeline, first).items():
            self.render(key, seconds)
            yield key

    def _length(self, key: NoteKey, held: float) -> float:
        if key.is_drum:
            return CYMBAL_SECONDS if key.pitch in CYMBAL_PEAKS and key.pitch not in SHUT else DRUM_SECONDS
        needed = held + RELEASES_KEPT * self._release_of(key.program)
        return next((length for length in LENGTHS if length >= needed), LENGTHS[-1])

    def _release_of(self, program: int) -> float:
        """The release of a program; a damaged font is said when a note is wanted of it, not here."""
        with suppress(FileError):
            return self._character(program).release
        return USUAL_RELEASE

    def warm(self, program: int) -> None:
        """Measure a program ahead of its first note (20 to 60 ms), so that the first chord need not wait for it."""
        if program > KIT:
            self._character(program)

    def _character(self, program: int) -> Character:
        if program not in self._characters:
            self._characters[program] = measure(self._render, program)
        return self._characters[program]

    @staticmethod
    def _trim(samples: Samples) -> Samples:
        """Cut the wait before the attack and what has died away; end in silence so that the last sample cannot click.

        Fonts leave up to 2 ms of nothing before a note, each note another length: cut at one level, all onsets agree.
        """
        sizes = np.abs(samples.astype(np.int32)).max(axis=0)
        loud = np.flatnonzero(sizes > max(1.0, _SILENT * float(sizes.max(initial=0))))
        end = int(loud[-1]) + 1 if loud.size else 1
        begun = np.flatnonzero(sizes > max(1.0, _BEGUN * float(sizes.max(initial=0))))
        start = min(LONGEST_WAIT, max(0, int(begun[0]) - _ATTACK)) if begun.size else 0
        kept = np.array(samples[:, start : end + _END_FADE], dtype=np.int16)
        fade = min(_END_FADE, kept.shape[1])
        kept[:, -fade:] = np.rint(kept[:, -fade:] * np.linspace(1.0, 0.0, fade))
        return kept


def measure(render: Render, program: int) -> Character:
    """Release and trim of a program, from one held and one released note in its middle.

    The release is the slope of the ratio between the two after the note-off. Fonts differ by 10 dB between their
    programs; the trim brings the first half second to one mean level, within 10 dB.
    """
    hold, tail = 0.5, 0.6
    key = NoteKey(program, REFERENCE_BASS if program in BASS_PROGRAMS else REFERENCE_PITCH)
    held = _samples(render(key, hold + tail, 0.0), hold + tail).astype(np.float64)
    let_go = _samples(render(key, hold, tail), hold + tail).astype(np.float64)
    size = int(hold * SAMPLE_RATE)
    level = _rms(held[:, :size]) / 32768.0
    trim = min(3.0, max(1 / 3, REFERENCE_LEVEL / max(level, 1e-4)))
    return Character(_release_time(held[:, size:], let_go[:, size:]), trim)


def drum_trim(pitch: int, samples: Samples) -> float:
    """Gain that lifts a cymbal to its place in the kit; other drums stay as the font has them."""
    target = CYMBAL_PEAKS.get(pitch)
    peak = float(np.abs(samples.astype(np.int32)).max()) / 32768.0
    return 1.0 if target is None else min(4.0, max(0.5, target / max(peak, 1e-3)))


def _release_time(held: npt.NDArray[np.float64], let_go: npt.NDArray[np.float64]) -> float:
    step = SAMPLE_RATE // 100
    times, logs = [], []
    for place in range(2 * step, min(held.shape[1], let_go.shape[1]) - step, step):
        before, after = _rms(held[:, place : place + step]), _rms(let_go[:, place : place + step])
        if before >= 20 and 4 <= after <= before:
            times.append(place / SAMPLE_RATE)
            logs.append(math.log(after / before))
    if len(times) < 3:
        return 0.02
    slope = float(np.polyfit(times, logs, 1)[0])
    return min(1.0, max(0.005, -1.0 / slope if slope < -1.0 else 1.0))


def _rms(values: npt.NDArray[np.float64]) -> float:
    return math.sqrt(float(np.mean(values**2))) if values.size else 0.0


def _samples(data: bytes, seconds: float) -> Samples:
    """Samples (2, n) of a wave file, cut to ``seconds``."""
    with wave.open(io.BytesIO(data)) as file:
        if (file.getframerate(), file.getsampwidth(), file.getnchannels()) != (SAMPLE_RATE, 2, 2):
            raise RuntimeError("midirenderer no longer writes 48 kHz 16-bit stereo")
        frames = np.frombuffer(file.readframes(file.getnframes()), dtype="<i2")
    return np.ascontiguousarray(frames.reshape(-1, 2).T[:, : int(seconds * SAMPLE_RATE)])
