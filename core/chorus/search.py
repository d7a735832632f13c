"""The exact search: the k cheapest takes of a lattice, each different row of chords once.

Segments are planned in the order in which they are first played. Where a segment meets one that was planned before it
(a chorus comes round, a section comes again), the first chord of that one is *fixed* beforehand; fixings are tried
cheapest bound first, until no other can be better. With everything fixed, costs hang on neighbours alone:
:mod:`core.chorus.flow` finds what the cheapest way to every end costs, and a best-first search from the back, which
knows those costs exactly, hands out whole takes in the order of their cost.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import count
from typing import NamedTuple

import numpy as np

from core.chord import Chord
from core.chorus.cost import Pricing
from core.chorus.flow import Fixing, Flow, through
from core.chorus.lattice import HOPELESS, Costs, Layer, Piece, joint_costs
from core.chorus.progress import Progress, unheard
from core.chorus.segments import Joint

Content = tuple[tuple[int, Fraction, Chord | None], ...]
TIES = 64
"""How many takes that cost as much as the last one wanted are looked at, so that ties are broken by derivation."""


@dataclass(frozen=True, slots=True)
class Found:
    """A take of the lattice: its cost and its pieces, segment by segment."""

    cost: int
    pieces: tuple[tuple[Piece, ...], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Lattice:
    """Layers in the order of planning, and the costs of the joints between them by (left, right)."""

    layers: tuple[Layer, ...]
    joints: dict[tuple[int, int], Costs]

    @property
    def entries(self) -> tuple[int, ...]:
        """Segments whose first chord is fixed: something planned later leads into them."""
        return tuple(sorted({right for left, right in self.joints if right <= left}))

    @property
    def exits(self) -> tuple[int, ...]:
        """Segments whose end is fixed: they lead into one that is planned later than the next."""
        return tuple(sorted({left for left, right in self.joints if right > left + 1}))


def lattice(pricing: Pricing, layers: tuple[Layer, ...], found: tuple[Joint, ...]) -> Lattice:
    """Join layers."""
    costs = [joint_costs(pricing, joint, layers[joint.left], layers[joint.right]) for joint in found]
    return Lattice(layers, {(joint.left, joint.right): cost for joint, cost in zip(found, costs, strict=True)})


def cheapest(built: Lattice, extra: tuple[Costs, ...], wanted: int, progress: Progress = unheard) -> list[Found]:
    """The ``wanted`` cheapest takes that sound different; ``extra`` is added to the costs of each layer's pieces."""
    costs = tuple(np.array([sum(piece.terms) for piece in layer.pieces], dtype=np.int64) + more
                  for layer, more in zip(built.layers, extra, strict=True))  # fmt: skip
    flow = Flow(tuple(map(through, built.layers, costs)), built.joints)
    best: list[Found] = []
    for bound, fixing in _fixings(built, flow):
        if len(best) >= wanted and bound > best[wanted - 1].cost:
            break
        limit = best[wanted - 1].cost if len(best) >= wanted else HOPELESS - 1
        best = _distinct(built, [*best, *_Takes(built, costs, flow, fixing).takes(wanted, limit, progress)])
    return best[:wanted]


def _distinct(built: Lattice, found: list[Found]) -> list[Found]:
    kept: dict[Content, Found] = {}
    for one in sorted(found, key=_rank):
        kept.setdefault(content(built, one), one)
    return list(kept.values())


def _rank(found: Found) -> tuple[int, list[tuple[int, list[str]]]]:
    """Cost, then derivation: fewer and alphabetically earlier techniques."""
    names = [[step.technique.id for piece in part if piece.alternative for step in piece.alternative.applied]
             for part in found.pieces]  # fmt: skip
    return found.cost, [(len(part), part) for part in names]


def content(built: Lattice, found: Found) -> Content:
    """The chords of a take, with the segment they stand in, so that equal ones can be told."""
    parts = enumerate(found.pieces)
    return tuple(entry for index, part in parts for entry in _content(built.layers[index], index, part))


def _content(layer: Layer, index: int, part: tuple[Piece, ...]) -> Content:
    result: list[tuple[int, Fraction, Chord | None]] = []
    for piece in part:
        slots = ([(layer.times[piece.start], layer.firsts[piece.start][piece.first])] if piece.alternative is None
                 else [(slot.onset, slot.chord) for slot in piece.alternative.chords])  # fmt: skip
        for onset, chord in slots:
            if not result or result[-1][2] != chord:
                result.append((index, onset, chord))
    return tuple(result)


def _fixings(built: Lattice, flow: Flow) -> Iterator[tuple[int, Fixing]]:
    """Every whole fixing with what a take costs at the least under it, lowest first: one joint after another is fixed,
    and only where the bound says that it may still be the best."""
    order = count()
    sizes = [(index, len(built.layers[index].firsts[0]), True) for index in built.entries]
    sizes += [(index, len(built.layers[index].ends[-1]), False) for index in built.exits]
    nothing = Fixing({}, {})
    queue = [(flow.least(nothing), next(order), 0, nothing)]
    while queue:
        bound, _, fixed, fixing = heapq.heappop(queue)
        if bound >= HOPELESS:
            return
        if fixed == len(sizes):
            yield bound, fixing
            continue
        index, size, entry = sizes[fixed]
        for choice in range(size):
            further = (Fixing({**fixing.entries, index: choice}, fixing.exits) if entry
                       else Fixing(fixing.entries, {**fixing.exits, index: choice}))  # fmt: skip
            heapq.heappush(queue, (flow.least(further), next(order), fixed + 1, further))


class _Path(NamedTuple):
    """Pieces from somewhere to the end of the form, the earliest first."""

    segment: int
    piece: Piece
    later: _Path | None


class _Takes:
    """Whole takes under a fixing, cheapest first: from the back, knowing what the cheapest way to every end costs."""

    def __init__(self, built: Lattice, costs: tuple[Costs, ...], flow: Flow, fixing: Fixing):
        self._built, self._costs, self._fixing = built, costs, fixing
        self._reached = flow.arrivals(fixing)
        self._leaving = [flow.leaving(index, fixing) for index in range(len(built.layers))]
        self._heard = _Heard(built)

    def takes(self, wanted: int, limit: int, progress: Progress) -> list[Found]:
        """The cheapest takes under this fixing, none dearer than ``limit``; some more that cost as much as the last."""
        found: list[Found] = []
        last = len(self._built.layers) - 1
        latest_first = count(0, -1)  # of ways that cost the same the one that is further on, or none would ever arrive
        closing = self._reached[last][-1] + self._leaving[last]
        queue: list[tuple[int, int, int, int, int, int, _Path | None, int]] = []
        latest = len(self._built.layers[last].times) - 1
        for end, cost in enumerate(closing.tolist()):
            if cost <= limit:
                after = cost - int(self._reached[last][-1][end])
                heapq.heappush(queue, (cost, next(latest_first), last, latest, end, after, None, 0))
        seen = set()
        sounds: set[int] = set()
        while queue:
            total, _, index, place, end, after, path, told = heapq.heappop(queue)
            if total > limit or (index, place, end, told) in seen:
                continue
            seen.add((index, place, end, told))
            progress(0)  # how long it takes is not known
            if index < 0:
                if told in sounds:
                    continue
                sounds.add(told)
                found.append(Found(total, _unrolled(path, len(self._built.layers))))
                if len(found) == wanted:
                    limit = min(limit, total)
                if len(found) >= wanted + TIES:
                    break
                continue
            for step in self._before(index, place, end, after, path, told):
                if step[0] <= limit:
                    heapq.heappush(queue, (step[0], next(latest_first), *step[1:]))
        return found

    def _before(
        self, index: int, place: int, end: int, after: int, path: _Path | None, told: int
    ) -> Iterator[tuple[int, int, int, int, int, _Path | None, int]]:
        """Every way a take may have come to an end: the piece before it, and what that one met."""
        layer = self._built.layers[index]
        for number in layer.incoming[place][end]:
            piece = layer.pieces[number]
            cost = after + int(self._costs[index][number])
            said = self._heard.before(index, number, told)
            here = _Path(index, piece, path)
            if piece.start > 0:
                meeting = layer.meetings[piece.start]
                assert meeting is not None
                column = meeting[:, piece.first]
                totals = cost + column + self._reached[index][piece.start]
                for before in np.flatnonzero(totals < HOPELESS).tolist():
                    yield int(totals[before]), index, piece.start, before, cost + int(column[before]), here, said
                continue
            yield from self._over_a_joint(index, piece, cost, here, said)

    def _over_a_joint(
        self, index: int, piece: Piece, cost: int, path: _Path | None, said: int
    ) -> Iterator[tuple[int, int, int, int, int, _Path | None, int]]:
        if index in self._fixing.entries and self._fixing.entries[index] != piece.first:
            return
        for (left, right), joint in self._built.joints.items():
            if right == index and left + 1 < index:
                cost += int(joint[self._fixing.exits[left], piece.first])
        if index == 0:
            if cost < HOPELESS:
                yield cost, -1, 0, 0, 0, path, said
            return
        ends = self._built.layers[index - 1].ends[-1]
        flow = self._built.joints.get((index - 1, index))
        column = np.zeros(len(ends), dtype=np.int64) if flow is None else flow[:, piece.first]
        reached = self._reached[index - 1][-1]
        leaving = self._leaving[index - 1]
        totals = cost + column + leaving + reached
        for before in np.flatnonzero(totals < HOPELESS).tolist():
            more = cost + int(column[before]) + int(leaving[before])
            yield int(totals[before]), index - 1, len(self._built.layers[index - 1].times) - 1, before, more, path, said


class _Heard:
    """The chords from somewhere to the end of the form as a number: the same number, the same chords.

    A number stands for a chord and the number of what follows; 0 is the end.
    """

    def __init__(self, built: Lattice):
        self._layers = built.layers
        self._chains: list[tuple[Content, int]] = [((), 0)]
        self._numbers: dict[tuple[Content, int], int] = {}

    def before(self, index: int, piece: int, told: int) -> int:
        """The chords of a piece before what was told already; a chord that goes on is one."""
        layer = self._layers[index]
        chords = _content(layer, index, (layer.pieces[piece],))
        first, rest = self._chains[told]
        if first and first[0][0] == index and first[0][2] == chords[-1][2]:
            told = rest
        for chord in reversed(chords):
            link = ((chord,), told)
            if link not in self._numbers:
                self._numbers[link] = len(self._chains)
                self._chains.append(link)
            told = self._numbers[link]
        return told


def _unrolled(path: _Path | None, layers: int) -> tuple[tuple[Piece, ...], ...]:
    parts: list[list[Piece]] = [[] for _ in range(layers)]
    while path is not None:
        parts[path.segment].append(path.piece)
        path = path.later
    return tuple(map(tuple, parts))
