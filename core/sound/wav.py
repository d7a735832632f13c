"""A timeline as a wave file: the mixer read without a device."""

from __future__ import annotations

import wave
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import numpy as np

from core.files import write_atomic
from core.sound.bank import SAMPLE_RATE, Bank
from core.sound.limiter import LOOK_AHEAD
from core.sound.mixer import Mixer
from core.timeline import Side, Timeline

FILE_MASTER = 1.0
"""A file is written at full level; who plays it has a volume control of their own. The limiter stays."""
TAIL_SECONDS = 10.0
"""The longest a last cymbal may ring on."""
BLOCK = SAMPLE_RATE // 2
RENDER_SHARE = 0.3
"""The part of the work that rendering the notes is."""


@dataclass(frozen=True, slots=True)
class Rendered:
    """What was written: length in seconds and the highest peak (full scale 1)."""

    seconds: float
    peak: float


def render_wav(
    timeline: Timeline,
    side: Side,
    path: Path,
    *,
    bank: Bank | None = None,
    levels: Mapping[str, float] | None = None,
    muted: frozenset[str] = frozenset(),
    master: float = FILE_MASTER,
    count_in: bool = False,
    section: tuple[float, float] | None = None,
    passes: int = 1,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Rendered | None:
    """Write 16-bit 48 kHz stereo with all tails; None if ``cancelled`` said so, and then no file is touched.

    ``section`` is a start and end in quarter notes played ``passes`` times without a gap. ``progress`` gets 0..1.
    Raises FileError where the file or the SoundFont cannot be used, TimelineError for an empty section.
    """
    report, stop = progress or (lambda _done: None), cancelled or (lambda: False)
    bank = bank or Bank()
    if not fill(bank, timeline, report, stop):
        return None
    mixer = Mixer(bank, timeline)
    set_desk(mixer, side, levels or {}, muted, master)
    frames = begin(mixer, count_in, section, passes)
    written: list[Rendered] = []
    try:
        write_atomic(path, lambda name: written.append(_write(mixer, frames, name, report, stop)))
    except CancelledError:
        return None
    return written[0]


def fill(bank: Bank, timeline: Timeline, report: Callable[[float], None], stop: Callable[[], bool]) -> bool:
    """Render every note that is missing; False if ``stop`` said so."""
    todo = len(bank.missing(timeline))
    for index, _ in enumerate(bank.pieces(timeline), 1):
        report(RENDER_SHARE * index / todo)
        if stop():
            return False
    return True


def set_desk(mixer: Mixer, side: Side, levels: Mapping[str, float], muted: Iterable[str], master: float) -> None:
    """Levels and mutes of the parts, the master, the side that is heard."""
    for part, level in levels.items():
        mixer.set_level(part, level)
    for part in muted:
        mixer.set_muted(part, True)
    mixer.set_master(master)
    mixer.set_side(side)


def begin(mixer: Mixer, count_in: bool, section: tuple[float, float] | None, passes: int) -> int:
    """Begin to play; returns the frames until the band stops."""
    if passes < 1:
        raise ValueError(f"passes must be 1 or more, not {passes}")
    start, end = section or (0.0, mixer.timeline.length)
    if section or passes > 1:
        mixer.set_loop((start, end))
        start, end = mixer.loop or (start, end)
    mixer.play(start, count_in=count_in)
    lead = mixer.timeline.lead_in if count_in else 0.0
    quarters = Fraction(lead) + passes * (Fraction(end) - Fraction(start))
    frames = round(quarters * Fraction(60 * SAMPLE_RATE) / Fraction(mixer.timeline.bpm))
    # A loop is left just before it would begin again.
    return frames - 2 if mixer.loop else frames


def _write(mixer: Mixer, frames: int, name: str, report: Callable[[float], None], stop: Callable[[], bool]) -> Rendered:
    limit = frames + int(TAIL_SECONDS * SAMPLE_RATE)
    skip, done, peak, heard = LOOK_AHEAD, 0, 0.0, True
    with wave.open(name, "wb") as file:
        file.setnchannels(2)
        file.setsampwidth(2)
        file.setframerate(SAMPLE_RATE)
        while done < frames or (heard and not mixer.silent and done < limit):
            if stop():
                raise CancelledError
            size = min(BLOCK, frames - done) if done < frames else min(BLOCK, limit - done)
            block = mixer.read(size)[skip:]
            skip = max(0, skip - size)
            samples = np.rint(block * 32767.0).astype("<i2")
            heard = bool(samples.any())  # the tails of the other side and of muted parts are not waited for
            file.writeframesraw(samples.tobytes())
            peak = max(peak, float(np.abs(block).max(initial=0.0)))
            done += size
            if done == frames and mixer.playing:
                mixer.finish()
            report(RENDER_SHARE + (1.0 - RENDER_SHARE) * min(1.0, done / max(1, frames)))
    return Rendered(done / SAMPLE_RATE, peak)


class CancelledError(Exception):
    """Leaves the block that would put the file in place."""
