"""The catalogue: every technique, a row each, in families of a module each.

To add a technique: add a row to its family with at least one reference, two examples that apply and one that must not;
the tests try it in all twelve keys. Offsets are in fifths from X, the last chord it replaces: −6 is the root a tritone
away (a diminished fifth up), −5 a half step up, 1 a fifth up, −1 a fourth up, −2 a whole step down, −3 a minor third
up, 7 a half step up by the same letter. Root motions are semitones up to the next root: 5 falls a fifth, 11 falls a
half step, 2 rises a whole step.
"""

from __future__ import annotations

from core.techniques.catalogue import approach, cadences, colour, cycles, diminished, dominants, lines, secondary, tonic
from core.techniques.technique import Technique

TECHNIQUES: tuple[Technique, ...] = (
    *dominants.TECHNIQUES, *secondary.TECHNIQUES,
    *cadences.TECHNIQUES, *approach.TECHNIQUES, *diminished.TECHNIQUES, *tonic.TECHNIQUES,
    *colour.TECHNIQUES, *cycles.TECHNIQUES, *lines.TECHNIQUES,
)  # fmt: skip
"""All techniques, in the order in which equals are listed."""

BY_ID = {technique.id: technique for technique in TECHNIQUES}
