"""The one table of what is looked for in a line, with the window and the limits of each definition.

Times are quarter notes, distances semitones. Definitions: common practice, no source; anticipation of a quarter of
the harmonic unit and the four-note cells 1 2 3 5 and 7 1 2 3 are described in the literature on improvised lines
(from memory). :data:`DEFINITIONS` is what the command line and the window say about each.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

GAP = Fraction(1, 2)
"""A silence up to this does not break a shape."""
REST_BEATS = 1
"""A rest of so many beats ends a phrase."""
ORNAMENTS = 2
"""Notes that may stand between the two tones of a guide-tone resolution."""
LATE = Fraction(1)
"""How long after the change a guide tone may arrive, and a delayed tone be struck."""
DELAY_RESOLVES = Fraction(2)
"""How long after the change a delayed tone resolves at the latest."""
EARLY_LEAST, EARLY_MOST, EARLY_SHARE = Fraction(1, 2), Fraction(1), Fraction(1, 4)
"""How long before the change a note may anticipate: a share of the chord's time between these two bounds."""
STEP = 2
"""The widest step, and the reach of an enclosure."""
SHORT = Fraction(1)
"""Longest approach note of an enclosure and longest inner note of a run."""
LEAP = 10
RUN_NOTES, SHAPE_NOTES, CHROMATIC_NOTES, MOTIF_NOTES, OUTSIDE_NOTES = 5, 3, 3, 4, 2
MOTIF_BARS, SEQUENCE_BARS = 8, 1
CELL_NOTES = 4
CELL_NUMBERS = (frozenset({1, 2, 3, 5}), frozenset({7, 1, 2, 3}), frozenset({1, 3, 4, 5}))
"""Scale degrees of the four-note cells; third, fifth and seventh are the chord's own, 2 and 4 natural."""
BETTER_PLACE = 15
"""By how many hundredths more chord tones another bar must give as the first one to be mentioned."""


@dataclass(frozen=True, slots=True)
class Definition:
    """A feature: its id, its name in print, and what counts, with window and limits in words."""

    id: str
    title: str
    says: str


DEFINITIONS: tuple[Definition, ...] = (
    Definition("phrase", "phrase", "notes between rests of a beat or more"),
    Definition(
        "guide_tone",
        "guide-tone resolution",
        "7 of a chord to 3 of the next, or 3 to 7, a step down or kept, in any octave, with at most 2 ornaments; it "
        "arrives at the change or up to a beat later, or early as an anticipation",
    ),
    Definition(
        "enclosure",
        "enclosure",
        "the two notes before a chord tone, one above and one below within 2 semitones (a third one within the same "
        "reach where the direction turns), none longer than a beat; the target stands on a beat or lasts one; broken "
        "thirds are none",
    ),
    Definition(
        "double_chromatic",
        "double chromatic",
        "two half steps or more in one direction that end on a chord tone",
    ),
    Definition(
        "anticipation",
        "anticipation",
        "a chord tone of the next chord and not of this one, in the last quarter of the chord's time (half a beat at "
        "least, a beat at most), held over the change or not left by step at it",
    ),
    Definition(
        "delay",
        "delay",
        "a tone of the chord before, foreign to the new chord, held over the change or struck on a beat up to one "
        "after it and not in passing, that moves by step to a chord tone within 2 beats of the change",
    ),
    Definition("arpeggio", "arpeggio", "three or more different tones of the chord in skips"),
    Definition(
        "superimposed",
        "superimposed shape",
        "three or more different notes in skips in which a triad lies that is not in the chord",
    ),
    Definition("scale_run", "scale run", "5 notes or more by step in one direction, inner notes at most a beat long"),
    Definition(
        "cell",
        "four-note cell",
        "four even eighths from a beat over one chord: 1 2 3 5, 7 1 2 3 or 1 3 4 5 in any order, unless they are part "
        "of a scale run",
    ),
    Definition("octave_leap", "wide leap", "10 semitones or more from note to note inside a phrase"),
    Definition(
        "motif",
        "motif",
        "4 notes or more from a beat or a phrase's beginning with the steps and the rhythm of another place: within 8 "
        "bars where the rhythm is no plain row of even notes, or where both begin a phrase; within a bar otherwise; "
        "bare scales are none",
    ),
    Definition(
        "outside",
        "outside",
        "foreign notes in a row of which two or more neither belong nor resolve by step",
    ),
)
TITLES = {definition.id: definition.title for definition in DEFINITIONS}
FEATURES = tuple(TITLES)
USUAL = (
    "guide_tone",
    "enclosure",
    "double_chromatic",
    "anticipation",
    "delay",
    "superimposed",
    "cell",
    "motif",
    "outside",
)
"""Shapes that are bracketed where nothing is asked for: those that a glance at the notes does not tell."""
