"""Two hands at a keyboard: which hand has which notes, and whether they reach.

Source: an octave and a major second as what most hands hold, a tenth as wide, five notes a hand: common practice, no
source.
"""

from __future__ import annotations

from dataclasses import dataclass

SPAN, WIDE_SPAN = 14, 16
"""Semitones that a hand holds, and what a wide one does."""
MOST_NOTES = 5
ONE_HAND = frozenset({"rootless", "shell", "guide tones"})
"""Styles that leave the other hand free for the tune."""


@dataclass(frozen=True, slots=True)
class Hands:
    """The notes of each hand, lowest first; either may be empty."""

    left: tuple[int, ...]
    right: tuple[int, ...]


def hands_of(notes: tuple[int, ...], span: int = SPAN, one: bool = False) -> Hands | None:
    """Notes shared out to two hands that do not cross, or None where they do not reach.

    ``one`` keeps all in the left hand where it can. Otherwise the gap between the hands is as wide as may be and the
    left hand has no more notes than the right.
    """
    if one and _reaches(notes, span):
        return Hands(notes, ())
    ways = [(notes[:cut], notes[cut:]) for cut in range(1, len(notes))]
    held = [way for way in ways if _reaches(way[0], span) and _reaches(way[1], span)]
    if held:
        return Hands(*max(held, key=lambda way: (len(way[0]) <= len(way[1]), way[1][0] - way[0][-1], len(way[0]))))
    return Hands(notes, ()) if _reaches(notes, span) else None


def _reaches(notes: tuple[int, ...], span: int) -> bool:
    return len(notes) <= MOST_NOTES and (not notes or notes[-1] - notes[0] <= span)
