"""Reasons: claims computed from the pitches at hand, each true of the chords it names or not made at all.

A claim is a function of a :class:`Case` that returns a :class:`Claim` or None. Its ``facts`` are what it was computed
from, so that a test can prove the sentence again by other means.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from itertools import islice

from core.techniques.claims import dominants, motion, tones
from core.techniques.claims.case import Case, Claim

__all__ = ["CLAIMS", "Case", "Claim", "reasons", "sentence"]

CLAIMS: dict[str, Callable[[Case], Claim | None]] = {
    claim.__name__: claim
    for claim in (
        dominants.shared_tritone, dominants.seventh_resolves, dominants.ii_of, dominants.guide_tone_step,
        dominants.aims_at, dominants.fourth_for_third, dominants.third_arrives,
        dominants.leads_as_ii, dominants.ii_slides,
        tones.common_tones, tones.holds_through, tones.natural_fifth, tones.holds_the_tonic, tones.minor_subdominant,
        tones.altered_tones, tones.parallel_minor, tones.leading_tone, tones.rootless_flat_nine, tones.keeps_a_root,
        tones.same_area, tones.mirrored, tones.triad_tensions, tones.stacked_fourths, tones.held_back, tones.left_out,
        tones.flat_six_falls, tones.adds_colour, tones.recoloured,
        motion.bass_into_target, motion.bass_line, motion.chromatic_into, motion.roots_by_fifths,
        motion.constant_kind, motion.moving_voice, motion.held_bass, motion.steps_aside, motion.thirds_cycle,
        motion.arrives_elsewhere,
    )
}  # fmt: skip
"""Every claim a technique may make, by name."""


@lru_cache(maxsize=8192)  # a tune says the same things again in its next section
def reasons(names: tuple[str, ...], case: Case, most: int = 3) -> tuple[Claim, ...]:
    """The claims of a technique that are true here, in order, at most ``most``."""
    made = (CLAIMS[name](case) for name in names)
    said = {claim.text: claim for claim in made if claim is not None}  # two names may come down to one clause
    return tuple(islice(said.values(), most))


def sentence(claims: tuple[Claim, ...]) -> str:
    """Claims joined into one plain sentence."""
    if not claims:
        return ""
    text = "; ".join(claim.text for claim in claims)
    return text[0].upper() + text[1:] + "."
