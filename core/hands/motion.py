"""What the voices' ways cost from one set of notes to the next, on either instrument."""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations

from core.hands.terms import LARGEST_STEP, PIANO_LARGEST_STEP, WEIGHT


def _ways(prefix: str, largest: int) -> tuple[int, ...]:
    motion, leap = WEIGHT[f"{prefix}motion"], WEIGHT[f"{prefix}leap"]
    return tuple(motion * size + leap * max(0, size - largest) for size in range(128))


_GUITAR, _PIANO = _ways("", LARGEST_STEP), _ways("piano_", PIANO_LARGEST_STEP)


@lru_cache(maxsize=1 << 16)
def guitar_motion(old: tuple[int, ...], new: tuple[int, ...]) -> int:
    """The ways of all voices, lowest first, from one grip to the next."""
    return _motion(old, new, _GUITAR, WEIGHT["top"], WEIGHT["voice"])


@lru_cache(maxsize=1 << 16)
def piano_motion(old: tuple[int, ...], new: tuple[int, ...]) -> int:
    """The ways of all voices, lowest first, from one voicing to the next."""
    return _motion(old, new, _PIANO, WEIGHT["piano_top"], WEIGHT["piano_voice"])


def _motion(old: tuple[int, ...], new: tuple[int, ...], ways: tuple[int, ...], top: int, voice: int) -> int:
    """Of the fuller set those voices are taken to be new or gone that leave the shortest ways."""
    few, many = (old, new) if len(old) <= len(new) else (new, old)
    if len(few) == len(many):
        least = sum([ways[abs(one - other)] for one, other in zip(few, many, strict=True)])
    else:
        least = min([sum([ways[abs(one - other)] for one, other in zip(few, kept, strict=True)])
                     for kept in combinations(many, len(few))])  # fmt: skip
    return least + top * abs(old[-1] - new[-1]) + voice * (len(many) - len(few))
