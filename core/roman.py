"""Roman numerals: a chord's name in a key.

Degrees are measured on the major scale of the tonic, in minor too (♭III, ♭VI, ♭VII):
capitals for chords with a major third or none, small letters for a minor third. Common practice, no source.
"""

from __future__ import annotations

import re

from core.chord import Chord, in_context
from core.key import Key
from core.pitch import with_signs
from core.quality import Quality

# Chromatic distance from the tonic → degree; a diminished chord that rises is named after the degree below it.
_DEGREES = ("I", "bII", "II", "bIII", "III", "IV", "#IV", "V", "bVI", "VI", "bVII", "VII")
_RAISED = {1: "#I", 3: "#II", 8: "#V"}
_SMALL_FAMILIES = frozenset({"minor", "half_diminished", "diminished"})


def degree_name(semitones: int, small: bool = False, raised: bool = False) -> str:
    """``degree_name(10) == 'bVII'``; ``raised`` prefers #I, #II, #V."""
    name = _RAISED.get(semitones % 12, "") if raised else ""
    name = name or _DEGREES[semitones % 12]
    return "".join(c.lower() if c in "IV" else c for c in name) if small else name


def numeral(chord: Chord, key: Key, raised: bool = False) -> str:
    """``numeral(Dm7, C major) == 'ii7'``, Bø in C ``'viiø7'``, B♭7 ``'bVII7'``; ``raised``: see :func:`degree_name`."""
    sounding = in_context(chord)
    quality = sounding.quality.sounding
    small = quality.family in _SMALL_FAMILIES
    semitones = (sounding.root_pc - key.tonic_pc) % 12
    return degree_name(semitones, small, raised) + numeral_suffix(quality)


def numeral_suffix(quality: Quality) -> str:
    """What stands after the degree: 7, maj7, ø7, o7, 6…; extensions are left to the symbol."""
    family, seventh = quality.family, quality.degree(7)
    if family == "half_diminished":
        return "ø7"
    if family == "diminished":
        return "o7" if seventh and seventh.alteration == -2 else "o"
    if family == "suspended":
        return "7sus" if seventh else "sus"
    if family == "augmented":
        return "+maj7" if seventh else "+"
    if seventh:
        return "7" if seventh.alteration else ("M7" if family == "minor" else "maj7")
    sixth = quality.degree(6)
    return "" if sixth is None else "b6" if sixth.alteration else "6"


def pretty_numeral(name: str) -> str:
    """A numeral with ♭ and ♯ for sentences: ``'bVII7'`` → ``'♭VII7'``."""
    return re.sub(r"([b#])(?=[IViv])", lambda match: with_signs(match[1]), name)
