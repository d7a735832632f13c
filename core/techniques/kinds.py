"""Chords and rows without their colour: root, kind and foreign bass, which is what a derivation must arrive at."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from core.chord import Chord, in_context
from core.row import Row

Kind = tuple[int, str, int]
"""A chord without its colour: root, family, bass."""
SILENCE: Kind = (-1, "silence", -1)
Shape = tuple[tuple[Fraction, int, str, int], ...]


@lru_cache(maxsize=8192)
def kind_of(chord: Chord | None) -> Kind:
    """A chord without its colour: root, family with sus and augmented folded in, and a bass that is no chord tone."""
    if chord is None:
        return SILENCE
    sounding = in_context(chord)
    family = sounding.quality.sounding.family
    folded = {
        "suspended": "dominant" if sounding.quality.degree(7) else "major",
        "augmented": "major",
        "power": "major",
    }
    if sounding.quality.id == "aug":
        folded = {"augmented": "dominant"}
    tones = {(sounding.root_pc + semitones) % 12 for semitones in sounding.quality.semitones}
    if family == "major":  # C/B is C over its own seventh
        tones.add((sounding.root_pc + 11) % 12)
    bass = sounding.bass_pc if sounding.bass is not None and sounding.bass_pc not in tones else sounding.root_pc
    return sounding.root_pc, folded.get(family, family), bass


def shape(row: Row) -> Shape:
    """A row without colour: times, roots, kinds and foreign basses, neighbours that are alike joined."""
    result: list[tuple[Fraction, int, str, int]] = []
    last: Kind | None = None
    for slot in row:
        kind = kind_of(slot.chord)
        if kind != last:
            result.append((slot.onset, *kind))
            last = kind
    return tuple(result)
