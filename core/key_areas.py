"""What chords cost in keys, from which key areas are found.

What a chord costs in a key (:func:`chord_cost`), what a pair of chords proves (a V that resolves to its tonic, a ii
before its V), and what a change of key costs. All costs are integers, tenths of a "chord out of key"; weights are
judgement, no source. Everything is counted from the first of the keys around home, so that the tables are the same in
every key.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from functools import cache, lru_cache
from typing import NamedTuple

from core.chord import Chord, in_context
from core.form import Form
from core.function import is_dominant
from core.key import Key
from core.pitch import Degree
from core.row import Row

KEY_CHANGE = 34
STEP_ON_CIRCLE = 3
RELATIVE = 6
FOREIGN_START = 10
CADENCE, PREPARED = 14, 7
OUT_OF_KEY = 24
AWAY = 1
"""What every half bar away from the home key costs: a key is left for a reason."""
LINK = 4
"""The most that a link of a chain of dominants speaks against a key: each only leads to the next."""

# Cost of a quality family on a chromatic degree of a key; unlisted chords are out of the key.
_MAJOR_COSTS: dict[tuple[int, str], int] = {
    (0, "major"): 0, (2, "minor"): 0, (4, "minor"): 4, (5, "major"): 2, (7, "dominant"): 0, (7, "suspended"): 0,
    (7, "major"): 2, (9, "minor"): 4, (11, "half_diminished"): 8, (0, "dominant"): 10, (5, "dominant"): 12,
    (2, "dominant"): 12, (9, "dominant"): 12, (4, "dominant"): 13, (11, "dominant"): 16, (10, "dominant"): 13,
    (1, "dominant"): 12, (8, "dominant"): 14, (3, "dominant"): 16, (5, "minor"): 12, (2, "half_diminished"): 10,
    (6, "half_diminished"): 12, (4, "half_diminished"): 14, (8, "major"): 14, (1, "major"): 14, (10, "major"): 14,
    (3, "major"): 14, (7, "minor"): 14, (3, "minor"): 17, (0, "augmented"): 4, (7, "augmented"): 8, (0, "power"): 2,
    (2, "major"): 13, (9, "major"): 13, (4, "major"): 14, (5, "suspended"): 12, (0, "suspended"): 8,
    (2, "suspended"): 10, (9, "suspended"): 12,
}  # fmt: skip
_MINOR_COSTS: dict[tuple[int, str], int] = {
    (0, "minor"): 0, (2, "half_diminished"): 0, (7, "dominant"): 1, (7, "suspended"): 2, (5, "minor"): 3,
    (8, "major"): 6, (10, "dominant"): 9, (3, "major"): 7, (7, "minor"): 8, (2, "minor"): 9, (8, "dominant"): 10,
    (1, "dominant"): 12, (1, "major"): 12, (5, "dominant"): 12, (9, "half_diminished"): 10, (0, "dominant"): 14,
    (2, "dominant"): 13, (10, "major"): 10, (4, "dominant"): 18, (0, "half_diminished"): 16, (3, "augmented"): 10,
    (7, "augmented"): 6, (0, "power"): 2, (11, "dominant"): 18, (6, "half_diminished"): 14, (0, "suspended"): 8,
}  # fmt: skip
_DIMINISHED = 12
STABLE = {"major": ("major", "augmented"), "minor": ("minor",)}
"""Families that a tonic may have."""
MINORS = ("minor", "half_diminished")
_NOTHING = (0,) * 24

Costs = list[int]


class Sound(NamedTuple):
    """What key areas are judged by: root (chromatic number), family, whether it is a dominant, whether it has a ♭7."""

    root: int
    family: str
    dominant: bool
    flat_seven: bool


@lru_cache(maxsize=4096)
def sound(chord: Chord) -> Sound:
    """A chord as key areas hear it."""
    sounding = in_context(chord)
    flat_seven = chord.quality.degree(7) == Degree(7, -1)
    return Sound(sounding.root_pc, sounding.quality.sounding.family, is_dominant(chord), flat_seven)


def chord_cost(root_from_tonic: int, family: str, mode: str) -> int:
    """Cost of a chord in a key, tenths; 0 for the chords that make the key, :data:`OUT_OF_KEY` for strangers."""
    if family == "diminished":
        return _DIMINISHED
    return (_MAJOR_COSTS if mode == "major" else _MINOR_COSTS).get((root_from_tonic, family), OUT_OF_KEY)


@lru_cache(maxsize=128)
def keys_around(home: Key) -> tuple[Key, ...]:
    """24 keys in order of fifths, majors first, spelled as near to the home key as they can be."""
    low = home.signature - 5
    majors = tuple(Key(low + step, "major") for step in range(12))
    return majors + tuple(Key(key.tonic + 3, "minor") for key in majors)


# The 24 keys as (semitones from the first of them, mode); home is the major or the minor one of its signature.
_PLACES = tuple((step * 7 % 12, "major") for step in range(12)) + tuple(
    ((step * 7 + 9) % 12, "minor") for step in range(12)
)


def place_of_home(home: Key) -> int:
    """Index of the home key among the :func:`keys_around` it."""
    return 17 if home.is_minor else 5


@cache
def _chord_costs(root: int, family: str) -> tuple[int, ...]:
    """What a chord costs in each of the 24 keys, its root counted from the first of them."""
    return tuple(chord_cost((root - tonic) % 12, family, mode) for tonic, mode in _PLACES)


def _proofs(before: Sound, here: Sound, first: int) -> tuple[int, ...]:
    """What two successive chords prove for each of the 24 keys, the first of which has its tonic at ``first``."""
    motion = (here.root - before.root) % 12
    if motion not in (2, 5, 11) or not (here.dominant or before.dominant):
        return _NOTHING
    return _pair_proofs((before.root - first) % 12, motion, before[1:], here[1:])


@cache  # 36 motions and a few kinds
def _pair_proofs(
    root: int, motion: int, before: tuple[str, bool, bool], here: tuple[str, bool, bool]
) -> tuple[int, ...]:
    return tuple(
        _proof((root - tonic) % 12, (root + motion - tonic) % 12, before, here, mode) for tonic, mode in _PLACES
    )


def _proof(first: int, second: int, before: tuple[str, bool, bool], here: tuple[str, bool, bool], mode: str) -> int:
    """What two chords on these degrees prove for a key: V to tonic, or ii to V."""
    (was, was_dominant, _), (family, dominant, flat_seven) = before, here
    if second == 0 and family in STABLE[mode] and was_dominant and first in (7, 1, 10):
        # A minor seventh after its dominant is as likely the next ii as a tonic.
        full = CADENCE // 2 if mode == "minor" and flat_seven else CADENCE
        return full if first == 7 else full - 4
    if second == 7 and dominant and first == 2 and was in MINORS:
        return PREPARED if (was == "half_diminished") == (mode == "minor") else 2
    return 0


# --- paths ---------------------------------------------------------------------------------------------------------

_ROUND = tuple(tuple(min((to - place) % 12, (place - to) % 12) for to in range(12)) for place in range(12))
"""Steps on the circle of fifths between any two signatures."""
_NEAREST = KEY_CHANGE - RELATIVE
_WAYS = (
    tuple(tuple(KEY_CHANGE + (STEP_ON_CIRCLE * steps or -RELATIVE) for steps in around) * 2 for around in _ROUND) * 2
)
"""What a change costs from each of the 24 keys to every other; a relative key is nearest."""
_USEFUL = tuple(tuple(STEP_ON_CIRCLE * steps + RELATIVE for steps in around) * 2 for around in _ROUND) * 2
"""From a key that costs this much more than the best one, no key is reached more cheaply than from the best."""


def reached(costs: Costs) -> Costs:
    """The cheapest way into each of the 24 keys from costs in all of them: stay, or change."""
    least = min(costs)
    if max(costs) <= least + _NEAREST:
        return costs
    best = costs.index(least)
    for cost, useful, way in zip(costs.copy(), _USEFUL[best], _WAYS, strict=True):
        if cost < least + useful:
            costs = [stay if stay <= cost + change else cost + change for stay, change in zip(costs, way, strict=True)]
    return costs


def added(one: Iterable[int], other: Iterable[int]) -> Costs:
    """Costs key by key."""
    return [cost + more for cost, more in zip(one, other, strict=True)]


class RowCosts(NamedTuple):
    """A row as its path is sought: what every chord sounds like, how many half bars it weighs, its cost by key."""

    sounds: list[Sound | None]
    weights: list[int]
    costs: list[Costs]


def row_costs(row: Row, form: Form, home: Key) -> RowCosts:
    """What every slot costs in each of the 24 keys around home; being away from home is not in it."""
    sounds = [None if slot.chord is None else sound(slot.chord) for slot in row]
    weights = _weights(row, form, sounds)
    links = _links(sounds)
    first = keys_around(home)[0].tonic_pc
    costs: list[Costs] = []
    before: Sound | None = None
    for here, weight, link in zip(sounds, weights, links, strict=True):
        if here is None:
            costs.append([0] * 24)
        else:
            plain = _chord_costs((here.root - first) % 12, here.family)
            proofs = _NOTHING if before is None else _proofs(before, here, first)
            most = LINK if link else OUT_OF_KEY
            costs.append([weight * min(cost, most) - proof for cost, proof in zip(plain, proofs, strict=True)])
        before = here
    return RowCosts(sounds, weights, costs)


def _weights(row: Row, form: Form, sounds: list[Sound | None]) -> list[int]:
    """Half bars that a chord lasts, 1 to 4: long chords prove more, but a pedal of eight bars is not eight proofs.

    A dominant, however long, only promises a key. Silence weighs nothing.
    """
    found, starts, at = [], form.starts, 0
    for slot, here in zip(row, sounds, strict=True):
        onset = float(slot.onset)
        while at + 1 < len(starts) and starts[at + 1] <= onset:
            at += 1
        halves = _halves(slot.duration, form.bars[at].length)
        found.append(0 if here is None else max(1, min(2 if here.dominant else 4, halves)))
    return found


def _halves(duration: Fraction, length: Fraction) -> int:
    """``round(2 * duration / length)``, in whole numbers because every slot asks."""
    upper, lower = 2 * duration.numerator * length.denominator, duration.denominator * length.numerator
    whole, rest = divmod(upper, lower)
    return whole + (2 * rest > lower or (2 * rest == lower and whole % 2))


def _links(sounds: list[Sound | None]) -> list[bool]:
    """Which chords are links of a chain: a dominant that leads to another one (over that one's ii), and its own ii.

    E7 A7 D7 G7 C makes no key of A, D and G: each dominant takes the place of a goal that would.
    """
    found = [False] * len(sounds)
    for index in range(len(sounds) - 2, -1, -1):
        here, after = sounds[index], sounds[index + 1]
        if here is None or after is None:
            continue
        motion = (after.root - here.root) % 12
        if here.dominant:
            same = motion == 0 and after.dominant
            found[index] = found[index + 1] if same else after.dominant and motion in (5, 11)
            beyond = sounds[index + 2] if index + 2 < len(sounds) else None
            if motion == 0 and after.family in MINORS and beyond is not None:
                found[index] = beyond.dominant and (beyond.root - after.root) % 12 in (5, 11)
        elif here.family in MINORS:
            found[index] = after.dominant and motion == 5 and found[index + 1]
    return found


def blues_tonics(row: Row, mode: str = "major") -> set[int]:
    """Roots that a row could rest on as a blues: a dominant seventh for a fifth of the time, and no plain tonic.

    A plain tonic is a major or augmented chord in a major key, a minor one in a minor key.
    """
    sevenths: dict[int, Fraction] = {}
    plain: set[int] = set()
    for slot in row:
        here = None if slot.chord is None else sound(slot.chord)
        if here is None:
            continue
        if here.family == "dominant":
            sevenths[here.root] = sevenths.get(here.root, Fraction(0)) + slot.duration
        elif here.family in STABLE[mode]:
            plain.add(here.root)
    return {root for root, time in sevenths.items() if root not in plain and 5 * time >= row[-1].end}


def is_blues(row: Row, home: Key) -> bool:
    """Whether the tonic itself is a dominant seventh for at least a fifth of the time and never a plain chord."""
    tonic = home.tonic_pc
    heard = (sound(slot.chord) for slot in row if slot.chord is not None)
    seventh = any(here.root == tonic and here.family == "dominant" for here in heard)
    return seventh and tonic in blues_tonics(row, home.mode)


def settle_blues(found: RowCosts, home: Key, place: int) -> None:
    """In a blues the sevenths on I and IV are at rest: they cost nothing in the home key, whose index is ``place``."""
    for here, costs in zip(found.sounds, found.costs, strict=True):
        if here is not None and (here.root - home.tonic_pc) % 12 in (0, 5):
            costs[place] = min(costs) - 2
