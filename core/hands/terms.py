"""What a grip and the way from one to the next cost: every term of the planning in one table.

What a placing costs by itself at the piano stands with its laws in :mod:`core.voicing_shapes`.

Units are those of the table; a cost is their sum, an integer. Source: the nearest shape, fingers kept, little shift,
inner shapes in the middle of the neck: common practice, no source; the weights are ours.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Term:
    """A term of the cost: ``weight`` for each unit that ``words`` name."""

    id: str
    weight: int
    words: str


_TABLE = (
    Term("effort", 2, "point of effort of the hand: fingers, barres, stretches, a silent string in the middle"),
    Term("root_left_out", 10, "root that is left out where nobody else plays it"),
    Term("root_below", 3, "root at the bottom where somebody else plays it"),
    Term("fifth_left_out", 1, "perfect fifth that is left out"),
    Term("tone_left_out", 3, "other written tone that is left out"),
    Term("thin", 8, "voice under four"),
    Term("doubled", 2, "tone that sounds twice"),
    Term("open", 2, "open string, which rings on"),
    Term("open_far", 6, "open string under a hand above the fourth fret, more"),
    Term("off_middle", 1, "fret by which the hand lies outside the middle of the neck"),
    Term("off_register", 1, "semitone by which the top lies outside the middle register"),
    Term("high_bass", 1, "semitone by which the lowest note lies above the bass register where nobody else plays it"),
    Term("rub", 4, "half step under the top voice"),
    Term("shift", 2, "fret by which the hand moves along the neck"),
    Term("lifted", 1, "finger that leaves its string and fret or comes to a new one"),
    Term("motion", 1, "semitone of a voice"),
    Term("leap", 2, "semitone of a voice beyond a major third"),
    Term("top", 1, "semitone of the top voice once more"),
    Term("voice", 6, "voice that appears or disappears"),
    Term("piano_motion", 2, "semitone of a voice at the piano, as the band has it"),
    Term("piano_leap", 6, "semitone of a voice beyond a minor third"),
    Term("piano_top", 1, "semitone of the top voice once more"),
    Term("piano_voice", 8, "voice that appears or disappears"),
)
TERMS: dict[str, Term] = {term.id: term for term in _TABLE}
WEIGHT: dict[str, int] = {term.id: term.weight for term in _TABLE}
MIDDLE = (3, 9)
"""Frets of the neck between which the index finger is at home."""
INNER = (4, 11)
"""Frets on which inner shapes lie."""
REGISTER = (59, 74)
"""MIDI numbers between which a grip's top note is at home; over a bass of its own it may lie as low as ``ALONE``."""
ALONE, HIGHEST_BASS = 56, 50
LARGEST_STEP, PIANO_LARGEST_STEP = 4, 3
OPEN_POSITION = 4
"""Highest place of the index finger at which open strings belong to the shape."""
