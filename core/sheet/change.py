"""A change as an answer key shows it."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from core.row import Slot


@dataclass(frozen=True, slots=True)
class Voiced:
    """A chord with the keys that a pianist's hand would hold, lowest first, and the degree of each."""

    slot: Slot
    notes: tuple[int, ...]
    degrees: tuple[str, ...]


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
