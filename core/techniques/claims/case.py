"""What a claim is made of: the chords of a change in their place, and what was computed from them."""

from __future__ import annotations

from dataclasses import dataclass

from core.chord import Chord, in_context
from core.key import Key
from core.pitch import Degree
from core.quality import QUALITIES
from core.spelling import printed, tone_name


@dataclass(frozen=True, slots=True)
class Case:
    """A replacement in its place: the chords before, replaced, new and following.

    ``key`` is the key that is arrived in, ``here`` the key of the replaced chord (None: the same).
    """

    before: Chord | None
    old: tuple[Chord, ...]
    new: tuple[Chord, ...]
    following: Chord | None
    key: Key
    here: Key | None = None

    @property
    def home(self) -> Key:
        """The key in which the replaced chord stood."""
        return self.here or self.key


@dataclass(frozen=True, slots=True)
class Claim:
    """A clause, and what was computed: ``facts`` are (name, value) pairs of chords and pitch classes."""

    kind: str
    text: str
    facts: tuple[tuple[str, object], ...]


ORDINALS = {
    1: "root",
    2: "second",
    3: "third",
    4: "fourth",
    5: "fifth",
    6: "sixth",
    7: "seventh",
    9: "ninth",
    13: "thirteenth",
}


def third_and_seventh(chord: Chord) -> tuple[int, int] | None:
    """Pitch classes of the tritone in a dominant seventh, third first; None where there is none."""
    quality = in_context(chord).quality
    third, seventh = quality.degree(3), quality.degree(7)
    if third != Degree(3) or seventh != Degree(7, -1):
        return None
    root = in_context(chord).root
    return root + third.fifths, root + seventh.fifths


def plain(chord: Chord, key: Key) -> str:
    """A chord by root and bare kind, as one says it: E7 for E7♯11; whole where it is not that kind (D♭mM7)."""
    sounding = in_context(chord)
    for bare in ("7", "m7", "m7b5"):
        if set(QUALITIES[bare].degrees) <= set(sounding.quality.degrees):
            return printed(sounding.with_quality(bare), key)
    return printed(sounding, key)


def listed(tones: list[int], key: Key) -> str:
    """Tones by name: "C", "C and E", "C, E and G"."""
    *some, last = (tone_name(tone, key) for tone in tones)
    return f"{', '.join(some)} and {last}" if some else last
