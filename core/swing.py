"""Swing: where a written eighth is played, by tempo and by part.

The cymbal's long and short eighth stand in a ratio that falls with the tempo, because the short one stays near
100 ms: about 2.7 to 1 at medium tempo, 2 to 1 at 200, even at 300 quarter notes a minute. A soloist starts the beat
some 30 ms late and meets the cymbal on the off-beat, so the soloist's own ratio is lower and follows from the two.

Sources: Friberg and Sundström, Music Perception 19(3), 2002 (the ratio against tempo, short note near 100 ms, off-beats
together with the cymbal); a study of downbeat delays in the Weimar Jazz Database, Communications Physics 2022 (30 ms
near 150 bpm, from memory which article). The cap of 2.7 and the even rise from 2 at 100 bpm are ours: measured ratios
near 120 bpm reach 3.5, but with an aligned off-beat and a late downbeat that leaves the soloist a dotted rhythm.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import floor
from types import MappingProxyType

SHORT_NOTE_MS = 100.0
RIDE_CAP = 2.7
TRIPLET_RATIO = 2.0
TRIPLET_BPM, CAP_BPM = 100.0, 120.0
SOLOIST_DELAY_MS = 30.0
DELAY_FULL_BPM, DELAY_GONE_BPM = 150.0, 300.0
_THIRD_TOLERANCE = 1e-3


def ride_ratio(bpm: float) -> float:
    """Long to short eighth of the ride cymbal at ``bpm`` quarter notes a minute: 1 to 2.7, without a jump."""
    beat_ms = 60000.0 / bpm
    falling = min(max((beat_ms - SHORT_NOTE_MS) / SHORT_NOTE_MS, 1.0), RIDE_CAP)
    if bpm >= CAP_BPM:
        return falling
    risen = min(max((bpm - TRIPLET_BPM) / (CAP_BPM - TRIPLET_BPM), 0.0), 1.0)
    return TRIPLET_RATIO + (RIDE_CAP - TRIPLET_RATIO) * risen


def soloist_delay(bpm: float) -> float:
    """How late a soloist's downbeat is, in quarter notes: 30 ms up to 150 bpm, none from 300 bpm."""
    left = min(max((DELAY_GONE_BPM - bpm) / (DELAY_GONE_BPM - DELAY_FULL_BPM), 0.0), 1.0)
    return SOLOIST_DELAY_MS * left * bpm / 60000.0


@dataclass(frozen=True, slots=True)
class Swing:
    """Where the beat and its second eighth are played, in quarter notes after the beat."""

    offbeat: float = 0.5
    delay: float = 0.0

    @property
    def ratio(self) -> float:
        """Long to short eighth as played; a soloist's is what the late downbeat and the cymbal's off-beat leave."""
        return (self.offbeat - self.delay) / (1.0 + self.delay - self.offbeat)

    def place(self, position: float, anchor: float = 0.0) -> float:
        """The performed place of a straight place, in quarter notes; ``anchor`` is any beat, such as a bar's start.

        Between beat and off-beat time is stretched evenly; the thirds of a written triplet stay thirds.
        """
        beat = floor(position - anchor + 1e-9)
        within = position - anchor - beat
        if abs(within * 3 - round(within * 3)) < _THIRD_TOLERANCE:
            return anchor + beat + within + self.delay
        if within <= 0.5:
            return anchor + beat + self.delay + (self.offbeat - self.delay) * within * 2
        return anchor + beat + self.offbeat + (1 + self.delay - self.offbeat) * (within - 0.5) * 2


STRAIGHT = Swing()

STYLES: Mapping[str, Callable[[float], float]] = MappingProxyType({
    "cymbal": ride_ratio,
    "triplet": lambda _bpm: TRIPLET_RATIO,
    "straight": lambda _bpm: 1.0,
})  # fmt: skip
"""Long to short eighth of the cymbal by style and tempo."""

DELAYS: Mapping[str, Callable[[float], float]] = MappingProxyType({"tune": soloist_delay})
"""How late a part is on the beat, in quarter notes, by tempo; a part that is not named plays with the cymbal."""


def swing_of(part: str, bpm: float, style: str = "cymbal") -> Swing:
    """The swing of a part of the band at a tempo: all meet on the off-beat, the tune is late on the beat.

    ``style`` names a row of :data:`STYLES`; in even feels every part is straight and on the beat.
    """
    if style == "straight":
        return STRAIGHT
    ratio = STYLES[style](bpm)
    offbeat = ratio / (ratio + 1.0)
    # Late, but never so late that the short eighth becomes the longer one.
    delay = min(DELAYS[part](bpm), max(0.0, 2 * offbeat - 1.0)) if part in DELAYS else 0.0
    return Swing(offbeat, delay)
