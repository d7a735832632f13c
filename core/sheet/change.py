"""A change as an answer key shows it."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from core.hands.fretboard import Fretboard
from core.hands.grips import Grip
from core.hands.marks import Mark
from core.row import Slot


@dataclass(frozen=True, slots=True)
class Voiced:
    """A chord with the notes that a hand would hold, lowest first, the degree of each and how it is marked.

    ``grip`` is how a guitarist holds it on ``board``; None for the piano.
    """

    slot: Slot
    notes: tuple[int, ...]
    degrees: tuple[str, ...]
    marks: tuple[Mark, ...]
    grip: Grip | None = None
    board: Fretboard | None = None


@dataclass(frozen=True, slots=True)
class Change:
    """A stretch that differs: ``onset`` is where the first differing chord begins, ``bar`` its printed bar number.

    ``title`` names the techniques, ``short`` says the same in the few words that stand between the rows, ``why`` is the
    reason, ``words`` what the arranger wrote.
    """

    onset: Fraction
    bar: str
    title: str
    short: str
    why: str
    words: str
    voiced: tuple[Voiced, ...]
