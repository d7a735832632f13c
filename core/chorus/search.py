"""The exact search: the k cheapest takes of a lattice, each different row of chords once.

Segments are planned in the order in which they are first played. Where a segment meets one that was planned before it
(a chorus comes round, a section comes again), the first chord of that one is *fixed* beforehand and every fixing is
tried, cheapest bound first, until no other can be better. With everything fixed, costs hang on neighbours alone: a
forward pass finds what the cheapest way to every end costs, and a best-first search from the back, which knows those
costs exactly, hands out whole takes in the order of their cost.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import count, product
from typing import NamedTuple

import numpy as np

from core.chord import Chord
from core.chorus.cost import Pricing
from core.chorus.lattice import FORBIDDEN, HOPELESS, Costs, Layer, Piece, joint_costs
from core.chorus.segments import Joint

Content = tuple[tuple[int, Fraction, Chord | None], ...]
Fixed = tuple[int, ...]
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


def cheapest(built: Lattice, extra: tuple[Costs, ...], wanted: int) -> list[Found]:
    """The ``wanted`` cheapest takes that sound different; ``extra`` is added to the costs of each layer's pieces."""
    costs = tuple(np.array([sum(piece.terms) for piece in layer.pieces], dtype=np.int64) + more
                  for layer, more in zip(built.layers, extra, strict=True))  # fmt: skip
    best: list[Found] = []
    for bound, entries, exits in _fixings(built, costs):
        if len(best) >= wanted and bound > best[wanted - 1].cost:
            break
        limit = best[wanted - 1].cost if len(best) >= wanted else HOPELESS - 1
        best = _distinct(built, [*best, *_Pass(built, costs, entries, exits).takes(wanted, limit)])
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


def _fixings(built: Lattice, costs: tuple[Costs, ...]) -> Iterator[tuple[int, dict[int, int], dict[int, int]]]:
    """Every fixing of entries and exits with a lower bound on what a take costs under it, lowest first."""
    firsts = [range(len(built.layers[index].firsts[0])) for index in built.entries]
    ends = [range(len(built.layers[index].ends[-1])) for index in built.exits]
    bounded = []
    for entry in product(*firsts):
        entries = dict(zip(built.entries, entry, strict=True))
        relaxed = _Pass(built, costs, entries, None)
        bounded.append((relaxed.least, next(_ORDER), entries))
    bounded.sort(key=lambda one: one[:2])
    if not ends:
        yield from ((bound, entries, {}) for bound, _, entries in bounded if bound < HOPELESS)
        return
    queue: list[tuple[int, int, dict[int, int], dict[int, int] | None]] = [
        (bound, order, entries, None) for bound, order, entries in bounded if bound < HOPELESS
    ]
    heapq.heapify(queue)
    while queue:
        bound, _, entries, exits = heapq.heappop(queue)
        if exits is not None:
            yield bound, entries, exits
            continue
        for chosen in product(*ends):
            fixed = dict(zip(built.exits, chosen, strict=True))
            least = _Pass(built, costs, entries, fixed).least
            if least < HOPELESS:
                heapq.heappush(queue, (least, next(_ORDER), entries, fixed))


_ORDER = count()


class _Path(NamedTuple):
    """Pieces from somewhere to the end of the form, the earliest first."""

    segment: int
    piece: Piece
    later: _Path | None


class _Pass:
    """A forward pass under a fixing. ``exits`` None leaves the ends free and what hangs on them at its least."""

    def __init__(self, built: Lattice, costs: tuple[Costs, ...], entries: dict[int, int], exits: dict[int, int] | None):
        self._built, self._costs, self._entries, self._exits = built, costs, entries, exits
        self._into: list[list[Costs | None]] = []
        self._reached: list[list[Costs]] = []
        arriving: Costs | None = None
        for index, layer in enumerate(built.layers):
            arriving = self._through(index, layer, arriving)
        assert arriving is not None
        self.least = int(arriving.min())

    def _entry(self, index: int, arriving: Costs | None) -> Costs:
        """What it costs to begin a segment with each of its firsts."""
        layer = self._built.layers[index]
        joint = self._built.joints.get((index - 1, index))
        if arriving is None:
            entry = np.zeros(len(layer.firsts[0]), dtype=np.int64)
        elif joint is None:
            entry = np.full(len(layer.firsts[0]), arriving.min(), dtype=np.int64)
        else:
            entry = (arriving[:, None] + joint).min(0)
        for (left, right), cost in self._built.joints.items():
            if right == index and left + 1 < index:
                entry = entry + (cost.min(0) if self._exits is None else cost[self._exits[left]])
        if index in self._entries:
            allowed = np.full(len(entry), FORBIDDEN, dtype=np.int64)
            allowed[self._entries[index]] = 0
            entry = entry + allowed
        return entry

    def _leave(self, index: int, reached: Costs) -> Costs:
        """What it costs to have ended a segment in each of its ends."""
        for (left, right), cost in self._built.joints.items():
            if left == index and right <= index:
                reached = reached + cost[:, self._entries[right]]
        if self._exits is not None and index in self._exits:
            allowed = np.full(len(reached), FORBIDDEN, dtype=np.int64)
            allowed[self._exits[index]] = 0
            reached = reached + allowed
        return np.minimum(reached, FORBIDDEN)

    def _through(self, index: int, layer: Layer, arriving: Costs | None) -> Costs:
        flat = np.full(layer.offsets[-1] + len(layer.ends[-1]), FORBIDDEN, dtype=np.int64)
        into: list[Costs | None] = []
        for place, begin in enumerate(layer.begin):
            if place + 1 == len(layer.times):
                break
            if place == 0:
                best = self._entry(index, arriving)
            else:
                here = flat[layer.offsets[place] : layer.offsets[place] + len(layer.ends[place])]
                meeting = layer.meetings[place]
                assert meeting is not None
                best = (here[:, None] + meeting).min(0)
            into.append(best)
            np.minimum.at(flat, layer.targets[begin], best[layer.first_of[begin]] + self._costs[index][begin])
        reached = [flat[offset : offset + len(ends)] for offset, ends in zip(layer.offsets, layer.ends, strict=True)]
        self._into.append(into)
        self._reached.append(reached)
        return self._leave(index, reached[-1])

    # --- whole takes, cheapest first ------------------------------------------------------------------------------

    def takes(self, wanted: int, limit: int) -> list[Found]:
        """The cheapest takes under this fixing, none dearer than ``limit``; some more that cost as much as the last."""
        found: list[Found] = []
        last = len(self._built.layers) - 1
        order = count()
        closing = self._leave(last, self._reached[last][-1])
        queue: list[tuple[int, int, int, int, int, int, _Path | None, Content]] = []
        latest = len(self._built.layers[last].times) - 1
        for end, cost in enumerate(closing.tolist()):
            if cost <= limit:
                after = cost - int(self._reached[last][-1][end])
                heapq.heappush(queue, (cost, next(order), last, latest, end, after, None, ()))
        seen = set()
        sounds: set[Content] = set()
        while queue:
            total, _, index, place, end, after, path, told = heapq.heappop(queue)
            if total > limit or (index, place, end, told) in seen:
                continue
            seen.add((index, place, end, told))
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
                    heapq.heappush(queue, (step[0], next(order), *step[1:]))
        return found

    def _before(
        self, index: int, place: int, end: int, after: int, path: _Path | None, told: Content
    ) -> Iterator[tuple[int, int, int, int, int, _Path | None, Content]]:
        """Every way a take may have come to an end: the piece before it, and what that one met."""
        layer = self._built.layers[index]
        for number in layer.incoming[place][end]:
            piece = layer.pieces[number]
            cost = after + int(self._costs[index][number])
            said = _joined(_content(layer, index, (piece,)), told)
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
        self, index: int, piece: Piece, cost: int, path: _Path | None, said: Content
    ) -> Iterator[tuple[int, int, int, int, int, _Path | None, Content]]:
        if index in self._entries and self._entries[index] != piece.first:
            return
        for (left, right), joint in self._built.joints.items():
            if right == index and left + 1 < index:
                assert self._exits is not None
                cost += int(joint[self._exits[left], piece.first])
        if index == 0:
            if cost < HOPELESS:
                yield cost, -1, 0, 0, 0, path, said
            return
        ends = self._built.layers[index - 1].ends[-1]
        flow = self._built.joints.get((index - 1, index))
        column = np.zeros(len(ends), dtype=np.int64) if flow is None else flow[:, piece.first]
        reached = self._reached[index - 1][-1]
        leaving = self._leave(index - 1, reached) - reached
        totals = cost + column + leaving + reached
        for before in np.flatnonzero(totals < HOPELESS).tolist():
            more = cost + int(column[before]) + int(leaving[before])
            yield int(totals[before]), index - 1, len(self._built.layers[index - 1].times) - 1, before, more, path, said


def _joined(piece: Content, told: Content) -> Content:
    """The chords of a piece before what was told already; a chord that goes on is one."""
    if told and piece[-1][2] == told[0][2] and piece[-1][0] == told[0][0]:
        return piece + told[1:]
    return piece + told


def _unrolled(path: _Path | None, layers: int) -> tuple[tuple[Piece, ...], ...]:
    parts: list[list[Piece]] = [[] for _ in range(layers)]
    while path is not None:
        parts[path.segment].append(path.piece)
        path = path.later
    return tuple(map(tuple, parts))
