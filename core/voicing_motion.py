"""What it costs a hand to go from one voicing to another, and whole layers of voicings at once.

Every voice's way counts twice its size and leaps more, the way of the top once more, and a voice that appears or
disappears has its price. Between two layers of placings that is a table of a hundred sums and more: there the costs
from all old placings lie side by side in one integer, :data:`LANE` bits each, so that one addition adds all of them.

Sources: nearest voicing, common tones held: common practice, no source; the costs are ours.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations
from struct import Struct

from core.voicing_choice import Layer

LARGEST_STEP = 3
VOICE_COST = 8
LANE = 32
"""Bits for one cost; costs are never negative and stay far below what fits."""
_KEYS = 128


def _by_note(costs: list[int]) -> tuple[tuple[int, ...], ...]:
    """Costs by distance as a row for each note of the keyboard: what it costs to come to it from each other."""
    return tuple(tuple(costs[abs(note - other)] for other in range(_KEYS)) for note in range(_KEYS))


_WAYS = _by_note([2 * step + 6 * max(0, step - LARGEST_STEP) for step in range(_KEYS)])
_TOP_WAYS = _by_note([3 * step + 6 * max(0, step - LARGEST_STEP) for step in range(_KEYS)])


@lru_cache(maxsize=65536)
def motion(old: tuple[int, ...], new: tuple[int, ...]) -> int:
    """What it costs to go from old notes to new ones, lowest first."""
    if len(old) == len(new):
        return sum([_WAYS[after][before] for before, after in zip(old, new, strict=True)]) + abs(old[-1] - new[-1])
    few, many = (old, new) if len(old) < len(new) else (new, old)
    best = min([sum([_WAYS[one][other] for one, other in zip(few, kept, strict=True)])
                for kept in combinations(many, len(few))])  # fmt: skip
    return best + abs(old[-1] - new[-1]) + VOICE_COST * (len(many) - len(few))


# --- layers -------------------------------------------------------------------------------------------------------


@lru_cache(maxsize=4096)
def motions(old: Layer, new: Layer) -> tuple[int, ...]:
    """For each new shape the costs to come from each old one, packed. Layers are known by identity: a quick key."""
    if len({len(shape.notes) for shape in (*old.shapes, *new.shapes)}) > 1:
        return tuple(pack([motion(before.notes, after.notes) for before in old.shapes]) for after in new.shapes)
    voices = tuple(zip(*(shape.notes for shape in old.shapes), strict=True))
    return tuple(_coming_to(shape.notes, voices) for shape in new.shapes)


def _coming_to(notes: tuple[int, ...], voices: tuple[tuple[int, ...], ...]) -> int:
    total = _way(notes[-1], voices[-1], True)
    for note, before in zip(notes[:-1], voices, strict=False):
        total += _way(note, before, False)
    return total


@lru_cache(maxsize=16384)
def _way(note: int, before: tuple[int, ...], is_top: bool) -> int:
    """The way of one voice to a note from where it was in each of some shapes, packed."""
    row = (_TOP_WAYS if is_top else _WAYS)[note]
    return pack([row[old] for old in before])


_STRUCTS = tuple(Struct(f"<{count}I") for count in range(65))


def pack(costs: list[int] | tuple[int, ...]) -> int:
    """Costs side by side in one integer, at most 64."""
    return int.from_bytes(_STRUCTS[len(costs)].pack(*costs), "little")


def unpack(packed: int, count: int) -> tuple[int, ...]:
    """The costs that were packed, or sums of them."""
    return _STRUCTS[count].unpack(packed.to_bytes(count * LANE // 8, "little"))
