"""The line of a line cliché: one voice that moves by half steps from chord to chord."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise, product

from core.chord import Chord
from core.pitch import chromatic


@lru_cache(maxsize=1024)
def moving_line(chords: tuple[Chord, ...]) -> tuple[int, ...]:
    """A tone of each chord, spelled, that falls by half steps throughout or rises so; () where there is none.

    Of several the falling one, then the one that starts on the first degree named.
    """
    for step in (-1, 1):
        for line in product(*(chord.tones for chord in chords)):
            if all((chromatic(two) - chromatic(one) - step) % 12 == 0 for one, two in pairwise(line)):
                return line
    return ()
