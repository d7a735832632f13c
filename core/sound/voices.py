"""Sounding notes and smooth gains: the moving parts of the mixer."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from core.sound.bank import SAMPLE_RATE
from core.sound.placement import Placed

Floats = npt.NDArray[np.float32]
Samples = npt.NDArray[np.int16]

NOTHING: Samples = np.zeros((2, 0), dtype=np.int16)

FADE_FRAMES = 240
"""A note cut off by a seek fades over 5 ms, and one taken up in its middle rises as long."""
CHOKE_SECONDS = 0.012
_FALL = 1.0 / 2000.0


@lru_cache(maxsize=64)
def release_curve(seconds: float) -> Floats:
    """Exponential fade with time constant ``seconds``, bent to end at exactly zero."""
    size = max(2, round(-np.log(_FALL) * seconds * SAMPLE_RATE))
    fall = np.exp(np.arange(size) / (-seconds * SAMPLE_RATE))
    curve: Floats = ((fall - fall[-1]) / (1.0 - fall[-1])).astype(np.float32)
    return curve


@lru_cache(maxsize=8)
def fade_curve(frames: int) -> Floats:
    """Straight fade from one to zero."""
    return np.linspace(1.0, 0.0, frames, dtype=np.float32)


@dataclass(frozen=True, slots=True)
class NoteChange:
    """A note that begins or ends on the heard side, at a frame of the mixer's clock."""

    frame: int
    on: bool
    part: str
    pitch: int
    velocity: int


class Voice:
    """One sounding note. All counts are frames from the start of the next segment.

    ``wait`` until it begins (only in its first segment), ``off`` until its note-off; ``curve`` is the fade it
    follows after that (None for a drum, which rings on), ``faded`` how far along it is, -1 before. ``told`` is
    the note-on that a MIDI port was given.
    """

    __slots__ = ("at", "curve", "faded", "gain", "off", "placed", "rise", "samples", "told", "wait")

    def __init__(
        self, placed: Placed, samples: Samples, gain: float, curve: Floats | None, *, wait: int, off: int
    ) -> None:
        self.placed = placed
        self.samples = samples
        self.gain = np.float32(gain)
        self.curve = curve
        self.wait = wait
        self.off = off
        self.at = 0
        self.faded = -1
        self.rise = FADE_FRAMES
        self.told: NoteChange | None = None

    @property
    def held(self) -> bool:
        """True until its note-off."""
        return self.off > 0

    def start_inside(self, frames: int) -> None:
        """Take the note up ``frames`` after its onset, rising from silence."""
        self.at = frames
        self.off -= frames
        self.rise = 0

    def supply(self, samples: Samples, gain: float, release: float) -> None:
        """Give a silent note its samples, as far along as it would be."""
        self.samples, self.gain, self.curve = samples, np.float32(gain), release_curve(release)
        self.at = max(0, self.placed.end - self.placed.frame - self.off)
        self.rise = 0

    def fade(self, frames: int = FADE_FRAMES) -> None:
        """Fade out from here, whatever it was doing."""
        self._bend(fade_curve(frames))

    def choke(self, offset: int) -> None:
        """End the ring of a drum ``offset`` frames from here."""
        if self.curve is None:
            self.curve = release_curve(CHOKE_SECONDS)
            self.off = offset

    def let_go(self) -> None:
        """Note-off now, with the natural release."""
        self.off = min(self.off, 0)

    def _bend(self, curve: Floats) -> None:
        if self.faded >= 0 and self.curve is not None:
            self.gain *= self.curve[min(self.faded, self.curve.size - 1)]
        if self.rise < FADE_FRAMES:
            self.gain *= np.float32(self.rise / FADE_FRAMES)
            self.rise = FADE_FRAMES
        self.curve = curve
        self.faded = 0
        self.off = 0

    def add(self, bus: Floats, scratch: Floats) -> bool:
        """Add ``bus.shape[1]`` frames to a bus; False once nothing more will come."""
        size = bus.shape[1]
        begin, self.wait = self.wait, 0
        left = self.samples.shape[1] - self.at
        count = min(size - begin, left)
        if count > 0:
            piece = np.multiply(self.samples[:, self.at : self.at + count], self.gain, out=scratch[:, :count])
            count = self._shape(piece, begin)
            target = bus[:, begin : begin + count]
            np.add(target, piece[:, :count], out=target)
            self.at += count
        self.off -= size
        return self._lives()

    def _shape(self, piece: Floats, begin: int) -> int:
        """Apply rise and fade to a piece that begins ``begin`` frames from here; returns how much of it sounds."""
        count: int = piece.shape[1]
        if self.rise < FADE_FRAMES:
            rising = min(count, FADE_FRAMES - self.rise)
            piece[:, :rising] *= np.arange(self.rise, self.rise + rising, dtype=np.float32) / FADE_FRAMES
            self.rise += rising
        if self.curve is None:
            return count
        start = 0 if self.faded >= 0 else self.off - begin
        if start >= count:
            return count
        start, done = max(0, start), max(0, self.faded)
        falling = min(count - start, int(self.curve.size) - done)
        piece[:, start : start + falling] *= self.curve[done : done + falling]
        self.faded = done + falling
        return start + falling

    def _lives(self) -> bool:
        over = self.curve is not None and self.faded >= self.curve.size
        more = self.at < self.samples.shape[1] and not over
        return bool(more or (self.off > 0 and not over))


class Ramp:
    """A gain that moves to its target along a straight line of ``frames`` frames."""

    __slots__ = ("_done", "_frames", "_from", "target")

    def __init__(self, value: float) -> None:
        self.target = value
        self._from = value
        self._frames = self._done = 0

    @property
    def value(self) -> float:
        """The gain at this frame."""
        if self._done >= self._frames:
            return self.target
        return self._from + (self.target - self._from) * self._done / self._frames

    def to(self, target: float, frames: int) -> None:
        """Begin to move."""
        self._from, self.target, self._frames, self._done = self.value, target, frames, 0

    def jump(self) -> None:
        """Arrive."""
        self._done = self._frames

    def next(self, count: int) -> float | Floats:
        """Gain of the next ``count`` frames: a number while it rests, else one gain a frame."""
        if self._done >= self._frames:
            return self.target
        steps = np.minimum(np.arange(self._done, self._done + count), self._frames)
        self._done += count
        return (self._from + (self.target - self._from) * (steps / self._frames)).astype(np.float32)
