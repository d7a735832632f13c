"""What a reader of any foreign format hands on: the notes, chord symbols and signs of one part, bar by bar.

A score is put together from these (:mod:`core.foreign.assemble`), whichever format they were read from.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from core.foreign.harmony_read import Harmony
from core.foreign.signs import Signs
from core.key import Key
from core.meter import Meter
from core.pitch import Pitch

ZERO = Fraction(0)
MAX_BAR = Fraction(400)
MAX_NOTES = 300_000
MINOR_MODES = {"minor": 3, "aeolian": 3, "dorian": 2, "phrygian": 4, "locrian": 5}
"""Fifths from a signature to the tonic of a mode with a minor third."""
MAJOR_MODES = {"major": 0, "ionian": 0, "lydian": -1, "mixolydian": 1}
"""Fifths from a signature to the tonic of a mode with a major third."""


@dataclass(frozen=True, slots=True)
class RawNote:
    """A sounding note at concert pitch; onset from the bar's start."""

    onset: Fraction
    duration: Fraction
    pitch: Pitch
    voice: str
    staff: int
    tie_start: bool
    tie_stop: bool


@dataclass(frozen=True, slots=True)
class RawHarmony:
    """A chord symbol at its place in the bar; ``below`` if it is printed under the staff."""

    onset: Fraction
    harmony: Harmony
    below: bool = False
    alternate: bool = False


@dataclass(slots=True)
class Measure:
    """What one part has in one bar. ``key`` and ``meter`` are set where they change; ``length`` is what is filled."""

    number: str
    implicit: bool | None
    meter: Meter
    length: Fraction = ZERO
    key: Key | None = None
    mode_given: bool = True
    notes: list[RawNote] = field(default_factory=list)
    harmonies: list[RawHarmony] = field(default_factory=list)
    signs: Signs = field(default_factory=Signs)
    has_lyrics: bool = False
    forward: bool = False
    forward_after: bool = False
    backward: int = 0
    backward_before: int = 0
    ending_start: str | None = None
    ending_stop: bool = False
    closes: bool = False
    """Whether a double or final bar line stands at the end."""
