"""Triads over a chord: which of the twenty-four gives which tensions, and which are played as upper structures.

Over every chord a major or minor triad on each of twelve roots is read against its root. It is *avoided* if it holds
a note that rubs (see :mod:`core.chord_scales`), *plain* if it only says what the chord says anyway, an *upper
structure* if it adds a colour: over a dominant an altered tension, elsewhere any.

Source: all twenty-four over C7 computed; the usable nine are those of a published list (M. Levine, *The Jazz Piano
Book*, ch. 14, as quoted in a piano lesson).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from core.chord import Chord, chord
from core.chord_scales import SCALES, Scale, ScaleFit, fits_scale
from core.pitch import Degree, parse_degree
from core.quality import Quality

TriadUse = Literal["upper structure", "plain", "avoid"]
# What each semitone above the root is called in a triad over it, over a dominant and elsewhere.
_OVER_DOMINANT = tuple(map(parse_degree, ["1", "b9", "9", "#9", "3", "11", "#11", "5", "b13", "13", "b7", "7"]))
_OVER_MINOR = tuple(map(parse_degree, ["1", "b9", "9", "b3", "3", "11", "b5", "5", "b13", "13", "b7", "7"]))
_RELATIVE_ROOTS = (0, -5, 2, -3, 4, -1, 6, 1, -4, 3, -2, 5)
"""Roots on the line of fifths above the chord's, by semitone: D♭ D E♭ E F F♯ G A♭ A B♭ B over C."""


@dataclass(frozen=True, slots=True)
class UpperTriad:
    """A triad over a chord: itself, the degrees of its root, third and fifth, and how it is used.

    ``tensions`` are those of its degrees that the plain seventh chord does not hold.
    """

    triad: Chord
    degrees: tuple[Degree, ...]
    tensions: tuple[Degree, ...]
    use: TriadUse


@lru_cache(maxsize=1024)
def triads_over(lower: Chord) -> tuple[UpperTriad, ...]:
    """All twenty-four triads over a chord, by root upwards, major before minor."""
    return tuple(_read(lower, above, minor) for above in range(12) for minor in (False, True))


def upper_structures(lower: Chord, fits: tuple[ScaleFit, ...]) -> tuple[tuple[UpperTriad, ScaleFit], ...]:
    """The upper structures that lie in a scale which fits the chord, each with the first such scale, in its order."""
    found = []
    for upper in triads_over(lower):
        if upper.use == "upper structure" and is_with(upper, lower.quality):
            number = next((number for number, fit in enumerate(fits) if _is_inside(upper, fit.scale)), None)
            if number is not None:
                found.append((number, upper))
    return tuple((upper, fits[number]) for number, upper in sorted(found, key=lambda item: item[0]))


def _is_inside(upper: UpperTriad, scale: Scale) -> bool:
    return all(scale.mask >> degree.semitones % 12 & 1 for degree in upper.degrees)


def is_with(upper: UpperTriad, quality: Quality) -> bool:
    """Whether a triad and the guide tones say everything that is altered in the symbol, and contradict none of it."""
    sounding = quality.sounding
    if sounding.id == "7alt":
        return all(d in sounding.degrees or d.semitones % 12 in sounding.semitones for d in upper.degrees)
    own_fifth = sounding.family in ("half_diminished", "diminished")
    written = {d.semitones % 12 for d in sounding.degrees
               if d.alteration and d.number not in (3, 7) and not (own_fifth and d.number == 5)}  # fmt: skip
    held = {d.semitones % 12 for d in upper.degrees}
    rivals = {twin for d in sounding.degrees for twin in _RIVALS.get((d.number, d.alteration), ())}
    return written <= held and not (rivals - set(sounding.semitones)) & held


# What a written degree shuts out, in semitones above the root.
_RIVALS: dict[tuple[int, int], tuple[int, ...]] = {
    (9, -1): (2,), (9, 1): (2,), (9, 0): (1, 3), (13, -1): (9,), (13, 0): (8,), (5, 1): (7, 9), (5, -1): (7,),
    (11, 1): (5,),
}  # fmt: skip


def _read(lower: Chord, above: int, minor: bool) -> UpperTriad:
    quality = lower.quality.sounding
    root = lower.root + _RELATIVE_ROOTS[above]
    triad = chord(root, "m" if minor else "maj")
    notes = (above, (above + (3 if minor else 4)) % 12, (above + 7) % 12)
    degrees = tuple(_named(note, quality) for note in notes)
    body = {d.semitones % 12 for d in quality.degrees if d.number <= 7} | {7, 0}
    tensions = tuple(d for d, note in zip(degrees, notes, strict=True) if note not in body)
    return UpperTriad(triad, degrees, tensions, _use(notes, tensions, quality))


def _named(note: int, quality: Quality) -> Degree:
    written = next((d for d in quality.degrees if d.semitones % 12 == note), None)
    third = quality.degree(3)
    names = _OVER_MINOR if third is not None and third.alteration else _OVER_DOMINANT
    return written or names[note]


def _use(notes: tuple[int, ...], tensions: tuple[Degree, ...], quality: Quality) -> TriadUse:
    if any(_rubs(note, quality) for note in notes):
        return "avoid"
    if quality.family == "dominant":
        return "upper structure" if any(d.alteration for d in tensions) else "plain"
    return "upper structure" if tensions else "plain"


def _rubs(note: int, quality: Quality) -> bool:
    """Whether a note of a triad rubs: the 11 and the 7 over a dominant, the 3 over sus, elsewhere a half step above a
    chord tone; a 3 and a 7 that are not the chord's."""
    if note in {degree.semitones % 12 for degree in quality.degrees}:
        return False
    if quality.family == "dominant":
        return note in (5, 11)
    if quality.family == "suspended":
        return note in (4, 11)
    guides = quality.guide_degrees
    tones = {degree.semitones % 12 for degree in quality.degrees if degree.number <= 7}
    strange_third = guides is not None and note in (3, 4) and quality.family != "diminished"
    strange_seventh = quality.degree(7) is not None and note in (10, 11) and quality.family != "diminished"
    return strange_third or strange_seventh or (note - 1) % 12 in tones


def structures_for(lower: Chord, scale_names: tuple[str, ...]) -> tuple[UpperTriad, ...]:
    """The upper structures inside one of some scales (by name) that hold the chord, in the order of the scales."""
    by_name = {scale.name: scale for scale in SCALES}
    fitting = [by_name[name] for name in scale_names if fits_scale(by_name[name], lower.quality)]
    found: dict[str, UpperTriad] = {}
    for scale in fitting:
        for upper in triads_over(lower):
            if upper.use == "upper structure" and _is_inside(upper, scale) and is_with(upper, lower.quality):
                found.setdefault(upper.triad.canonical, upper)
    return tuple(found.values())
