"""**Table** of the chords that a tune of a key is harmonized with, plainest first.

Sevenths of the scale, the dominants that lead to them, and what is usually borrowed from the other mode. Common
practice, no source; prices are judgement.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from core.chord import Chord
from core.key import Key
from core.pitch import chromatic, within_double
from core.quality import QUALITIES

# degree | fifths above the tonic | price | qualities, the plainest first
_MAJOR = """
I | 0 | 1 | maj7 6 maj9 69
ii | 2 | 1 | m7 m9 m11
iii | 4 | 2 | m7
IV | -1 | 1 | maj7 6 maj7#11
V | 1 | 1 | 7 13 9sus 7b9 7alt
vi | 3 | 1 | m7 m9
vii | 5 | 7 | m7b5
V of ii | 3 | 5 | 7 7b9 7alt
V of iii | 5 | 9 | 7b9 7alt
V of IV | 0 | 5 | 7 9 13
V of V | 2 | 5 | 7 9 13
V of vi | 4 | 6 | 7b9 7 7alt
iv | -1 | 8 | m6 m7
bVII | -2 | 8 | 9 7#11 13
bVI | -4 | 11 | maj7
bII | -5 | 12 | maj7
V a tritone away | -5 | 10 | 7 7#11
ii of vi | 5 | 7 | m7b5
ii of minor | 2 | 8 | m7b5
#iv | 6 | 10 | m7b5
#I diminished | 7 | 9 | dim7
bIII diminished | -3 | 11 | dim7
"""
_MINOR = """
i | 0 | 0 | m6 m7 mM7 m69
ii | 2 | 1 | m7b5
bIII | -3 | 4 | maj7 6
iv | -1 | 2 | m7 m6
v | 1 | 8 | m7
V | 1 | 1 | 7b9 7 7alt
bVI | -4 | 4 | maj7 6
bVII | -2 | 4 | 7 9 13
IV | -1 | 8 | 7 9
V of iv | 0 | 6 | 7b9 7
V of V | 2 | 8 | 7 7alt
V a tritone away | -5 | 9 | 7 7#11
bII | -5 | 10 | maj7
vii diminished | 5 | 6 | dim7
vi half-diminished | 3 | 8 | m7b5
"""
COLOUR_PRICE = 1
"""What each place further down among the qualities of a degree adds."""
INVERSION_PRICE = {3: 3, 4: 3, 5: 4, 6: 5, 7: 5}
"""What a chord over one of its other tones adds, by the degree in the bass."""


@dataclass(frozen=True, slots=True)
class Offer:
    """A chord of the vocabulary and what it costs to believe there."""

    chord: Chord
    price: int


@lru_cache(maxsize=64)
def vocabulary(key: Key) -> tuple[Offer, ...]:
    """Every chord of a key, the plainest of each degree first; what stands twice counts once, at its lower price."""
    found: dict[Chord, int] = {}
    for line in (_MINOR if key.is_minor else _MAJOR).strip().splitlines():
        _, fifths, price, qualities = (part.strip() for part in line.split("|"))
        for place, quality in enumerate(qualities.split()):
            chord = Chord(within_double(key.tonic + int(fifths)), QUALITIES[quality])
            cost = int(price) + COLOUR_PRICE * place
            found[chord] = min(cost, found.get(chord, cost))
    return tuple(Offer(chord, price) for chord, price in found.items())


ANYTHING = tuple(Offer(Chord(root, QUALITIES[quality]), 16) for root in range(-6, 6)
                 for quality in ("7", "m7", "maj7", "m7b5", "dim7", "mM7", "maj7#5", "7alt", "9sus"))  # fmt: skip
"""For bars that no chord of the key carries."""


def over_bass(offers: tuple[Offer, ...], bass: int) -> Iterator[Offer]:
    """Chords that can stand over a bass note (a spelled pitch class): on it as their root, or inverted."""
    pitch_class = chromatic(bass)
    for offer in offers:
        if offer.chord.root_pc == pitch_class:
            yield offer
            continue
        for degree in offer.chord.quality.degrees:
            tone = offer.chord.tone(degree)
            if degree.number in INVERSION_PRICE and chromatic(tone) == pitch_class:
                chord = Chord(offer.chord.root, offer.chord.quality, within_double(tone))
                yield Offer(chord, offer.price + INVERSION_PRICE[degree.number])
