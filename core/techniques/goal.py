"""What a search for steps must arrive at: chords without their colour, and what the last step can be.

A rule's parts are chords of a known kind at a known distance from the chords it reads. So it is known before a rule is
tried whether all that it puts down is wanted (:meth:`Goal.put`), and before a search begins from which roots one more
step could finish it, and at what price (:class:`Goal`): an admissible bound, since no other last step exists.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from functools import cache, lru_cache
from itertools import product
from typing import NamedTuple

from core.chord import Chord
from core.quality import QUALITIES
from core.row import Row
from core.techniques.ground import Ground
from core.techniques.kinds import SILENCE, Kind, Shape, kind_of
from core.techniques.technique import Part, Rule, Technique, kinds_of

ANY_ROOT = (1 << 12) - 1
NEVER = 1000
"""More than any derivation may cost."""


# --- what a rule puts down -------------------------------------------------------------------------------------------


class _Put(NamedTuple):
    """A part: the slot it is measured from (counted from the first replaced), semitones up, the family it will have.

    No family: the one of the slot it is measured from. Over a bass: the bass is measured so, ``part`` says the rest.
    """

    place: int
    origin: str
    semitones: int
    family: str
    part: Part | None = None


@lru_cache(maxsize=1024)
def _puts(rule: Rule) -> tuple[_Put, ...]:
    return tuple(_put(part, len(rule.replaces) - 1) for part in rule.parts)


def _put(part: Part, last: int) -> _Put:
    place = {"first": 0, "following": last + 1}.get(part.of, last)
    if part.bass_offset is not None:
        return _Put(place, part.of, part.bass_offset * 7 % 12, "", part)
    if part.kept is not None:
        return _Put(part.kept, "kept", 0, "")
    family = kind_of(Chord(0, QUALITIES[part.qualities[0]]))[1] if part.qualities else ""
    return _Put(place, part.of, part.offset * 7 % 12, family)


def _over_bass(part: Part, kept: Chord | None, bass: int) -> Kind:
    """A part over a bass (C = 0)."""
    if part.kept is None:
        offset = part.offset - (part.bass_offset or 0)
        return kind_of(Chord(7 * bass + offset, QUALITIES[part.qualities[0]], 7 * bass))
    if kept is None or kept.bass is not None or kept.root_pc == bass:
        return kind_of(kept)
    return kind_of(Chord(kept.root, kept.quality, 7 * bass))


def _origin_root(here: Ground, root: int, last: int, origin: str) -> int:
    if origin == "tonic":
        following = (last + 1) % len(here.row)
        return here.analysis[following if following else last].key.tonic_pc
    return 2 * here.analysis[last].key.tonic_pc - root if origin == "mirror" else root


# --- what is wanted --------------------------------------------------------------------------------------------------


class Chords(NamedTuple):
    """Chords without colour, and which of a goal's chords are among them, as bits; ``strange``: others are too."""

    kinds: list[Kind]
    wanted: int
    strange: bool = False


Chances = dict[tuple[int, str], tuple[tuple[int, int, int], ...]]
"""For the root and family of X what a last step may put down, as bits of the goal's chords, in place of how many
chords, and its price."""


class Goal(NamedTuple):
    """The wanted shape, a bit for each of its chords, all bits, the last steps that may reach it, the least price."""

    shape: Shape
    bits: dict[Kind, int]
    whole: int
    chances: Chances
    cheapest: int

    def chords(self, kinds: list[Kind]) -> Chords:
        """Chords of a row."""
        wanted = 0
        for kind in kinds:
            wanted |= self.bits.get(kind, 0)
        return Chords(kinds, wanted)

    def put(self, here: Ground, kinds: Sequence[Kind], rule: Rule, index: int) -> Chords:
        """What a rule puts down at a slot; ``kinds`` are the chords of the ground's row without their colour."""
        last = index + len(rule.replaces) - 1
        found = []
        wanted, strange = 0, False
        for place, origin, semitones, family, part in _puts(rule):
            kind = kinds[(index + place) % len(kinds)]
            if kind is SILENCE:  # nothing to measure from
                return Chords([], 0, True)
            if origin != "kept":
                root = (_origin_root(here, kind[0], last, origin) + semitones) % 12
                kind = root, family or kind[1], root
            if part is not None:
                kind = _over_bass(part, None if part.kept is None else here.row[index + part.kept].chord, root)
            bit = self.bits.get(kind, 0)
            found.append(kind)
            wanted |= bit
            strange = strange or not bit
        return Chords(found, wanted, strange)

    def least(self, kinds: Iterable[Kind], missing: int, length: int) -> int:
        """The least that a last step costs that replaces one of some chords, and as many as ``length`` together.

        ``missing`` are the goal's chords that it must put down, as bits.
        """
        return min((price for root, family, _ in kinds for put, most, price in self.chances.get((root, family), ())
                    if length <= most and not missing & ~put), default=NEVER)  # fmt: skip

    def differing(self, row: Row, kinds: Sequence[Kind], inner: range) -> list[int]:
        """The slots of a row that are not as wanted; ``inner`` are those of the stretch, ``kinds`` the row's chords."""
        onsets = [onset for onset, *_ in self.shape]
        differ = []
        for slot in inner:
            at = bisect_right(onsets, row[slot].onset)
            stays = at == len(onsets) or onsets[at] >= row[slot].end
            if not stays or self.shape[at - 1][1:] != kinds[slot]:
                differ.append(slot)
        return differ


def goal_of(wanted: Shape, following: Kind, techniques: tuple[Technique, ...]) -> Goal:
    """A goal before a chord that follows; ``techniques`` are those that a last step after others may be of."""
    kinds = tuple(dict.fromkeys((root, family, bass) for _, root, family, bass in wanted))
    stays = _roots(root for root, _, _ in (*kinds, following))
    chances, cheapest = _chances(kinds, stays, techniques)
    bits = {kind: 1 << place for place, kind in enumerate(kinds)}
    return Goal(wanted, bits, (1 << len(kinds)) - 1, chances, cheapest)


# --- the last step ---------------------------------------------------------------------------------------------------


class _Last(NamedTuple):
    """What a last step puts down: (semitones above X, family), the same above another root, ``origin``.

    ``kind`` is the kind of X, the last of so many ``replaced`` chords, ``basses`` are semitones
    above X of basses that it puts under chords, None for any; ``follows`` is the motion from X to the chord that
    follows, None for any.
    """

    price: int
    kind: str
    replaced: int
    above: tuple[tuple[int, str], ...]
    origin: str
    elsewhere: tuple[tuple[int, str], ...]
    basses: tuple[int | None, ...]
    follows: int | None


@lru_cache(maxsize=8)
def _last_steps(techniques: tuple[Technique, ...]) -> tuple[_Last, ...]:
    """All of them, cheapest first; those that put down the same once."""
    found = {_last(technique.cost + rule.cost, rule) for technique in techniques for rule in technique.rules}
    cheapest: dict[tuple[object, ...], _Last] = {}
    for one in sorted(found, key=lambda last: last.price):
        cheapest.setdefault(one[1:], one)
    return tuple(cheapest.values())


def _last(price: int, rule: Rule) -> _Last:
    parts: dict[str, list[tuple[int, str]]] = {"X": []}
    basses: list[int | None] = []
    for place, origin, semitones, family, part in _puts(rule):
        distance = None if origin in ("tonic", "mirror") else _from_last(rule, place)
        if part is not None:
            basses.append(None if distance is None else (distance + semitones) % 12)
        elif distance is None:
            parts.setdefault(origin, []).append((semitones, family))
        else:
            parts["X"].append(((distance + semitones) % 12, family))
    above = tuple(parts.pop("X"))
    if len(parts) > 1:
        raise AssertionError(f"the parts of {rule} are measured from more roots than a search can follow")
    origin, elsewhere = next(iter(parts.items()), ("", []))
    return _Last(price, rule.replaces[-1], len(rule.replaces), above, origin, tuple(elsewhere), tuple(basses),
                 rule.motions[-1])  # fmt: skip


def _from_last(rule: Rule, place: int) -> int | None:
    """Semitones from the root of X up to the root of another chord that a rule reads; None where it may be any."""
    last = len(rule.replaces) - 1
    between = rule.motions[place:last] if place <= last else rule.motions[last:place]
    if any(motion is None for motion in between):
        return None
    total = sum(motion for motion in between if motion is not None)
    return total if place > last else -total


@cache
def _families(kind: str) -> frozenset[str]:
    """The families that chords of a kind have; a plain major triad may act as a dominant seventh."""
    chords = [Chord(0, quality) for quality in QUALITIES.values()]
    found = {kind_of(chord)[1] for chord in chords if kind in kinds_of(chord)}
    return frozenset(found | {"major"} if kind == "dominant seventh" else found)


@lru_cache(maxsize=4096)
def _chances(kinds: tuple[Kind, ...], stays: int, techniques: tuple[Technique, ...]) -> tuple[Chances, int]:
    """The last steps that may put down some of these chords and no others, and the least price among them.

    ``stays`` are the roots, as bits, that the chord which follows may have.
    """
    roots, bits = _indexed(kinds)
    found: dict[tuple[int, str], dict[tuple[int, int], int]] = {}
    for price, kind, replaced, above, origin, elsewhere, basses, follows in _last_steps(techniques):  # cheapest first
        places = _below(roots, above, ANY_ROOT if follows is None else _down(stays, follows))
        others = _below(roots, elsewhere, stays if origin == "following" else ANY_ROOT) if places else 0
        for root, other in product(_roots_of(places), _roots_of(others) if elsewhere else (0,)):
            put = 0
            for semitones, family in above:
                put |= bits[(root + semitones) % 12, family]
            for semitones, family in elsewhere:
                put |= bits[(other + semitones) % 12, family]
            for bass in basses:
                put |= bits.get((-1 if bass is None else (root + bass) % 12, "bass"), 0)
            for family in _families(kind) if put else ():
                found.setdefault((root, family), {}).setdefault((put, replaced), price)
    prices = [price for each in found.values() for price in each.values()]
    chances = {place: tuple((*put, price) for put, price in each.items()) for place, each in found.items()}
    return chances, min(prices, default=NEVER)


def _indexed(kinds: tuple[Kind, ...]) -> tuple[dict[str, int], dict[tuple[int, str], int]]:
    """The roots of chords by family, and the chords by root and family, as bits; any family is "".

    "bass" are those that may be another chord over a bass (−1: any): slash chords, and the dominants they stand for.
    """
    roots: dict[str, int] = {}
    bits: dict[tuple[int, str], int] = {}
    for place, (root, family, bass) in enumerate(kinds):
        if root < 0:
            continue
        over = [(bass, "bass"), (-1, "bass")] if bass != root or family == "dominant" else []
        for key in ((root, ""), (root, family), *over):
            bits[key] = bits.get(key, 0) | 1 << place
        for name in ("", family):
            roots[name] = roots.get(name, 0) | 1 << root
    return roots, bits


def _below(families: dict[str, int], parts: tuple[tuple[int, str], ...], roots: int) -> int:
    """Those of some roots above which all these parts are wanted, as bits."""
    for semitones, family in parts:
        roots &= _down(families.get(family, 0), semitones)
        if not roots:
            break
    return roots


def _down(roots: int, semitones: int) -> int:
    """Roots so many semitones lower."""
    return (roots >> semitones | roots << (12 - semitones)) & ANY_ROOT


def _roots(roots: Iterable[int]) -> int:
    return sum(1 << root for root in set(roots) if root >= 0)


@lru_cache(maxsize=4096)
def _roots_of(bits: int) -> tuple[int, ...]:
    return tuple(root for root in range(12) if bits >> root & 1)
