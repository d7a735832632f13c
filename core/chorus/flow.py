"""What the cheapest way through a lattice costs, worked out from the front: min-plus products of small arrays.

A segment is worked through once, from each of its firsts to each of its ends. What a whole take costs at the least,
with some of its joints fixed, is then a short chain of products.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from core.chorus.lattice import FORBIDDEN, Costs, Layer

Joints = Mapping[tuple[int, int], Costs]


@dataclass(frozen=True, slots=True)
class Fixing:
    """First chords of segments that something planned later leads into, and ends of those that lead far ahead.

    What is not fixed yet is at its least: a bound.
    """

    entries: Mapping[int, int]
    exits: Mapping[int, int]


def through(layer: Layer, costs: Costs) -> list[Costs]:
    """For every time of a segment, ends × firsts of the segment: the least that pieces and inner meetings cost."""
    firsts = len(layer.firsts[0])
    best = np.full((layer.first_offsets[-1] + len(layer.firsts[-1]), firsts), FORBIDDEN, dtype=np.int64)
    best[np.arange(firsts), np.arange(firsts)] = 0
    reached = [np.full((0, firsts), FORBIDDEN, dtype=np.int64)]
    for place, (arriving, groups) in enumerate(zip(layer.arriving, layer.groups, strict=True), start=1):
        ways = best[layer.first_of[arriving]] + costs[arriving][:, None]
        here = np.minimum.reduceat(ways, groups, axis=0)
        np.minimum(here, FORBIDDEN, out=here)
        reached.append(here)
        meeting = layer.meetings[place]
        if meeting is not None:
            offset = layer.first_offsets[place]
            best[offset : offset + meeting.shape[1]] = (here[:, None, :] + meeting[:, :, None]).min(0)
    return reached


@dataclass(frozen=True, slots=True, eq=False)
class Flow:
    """The segments worked through (``reached`` as :func:`through` gives it) and the joints between them."""

    reached: tuple[list[Costs], ...]
    joints: Joints

    def least(self, fixing: Fixing) -> int:
        """What a take costs at the least under a fixing."""
        entry = self._entry(0, fixing, None)
        for index in range(len(self.reached)):
            ends = self.leaving(index, fixing) + (self.reached[index][-1] + entry).min(1)
            if index + 1 < len(self.reached):
                entry = self._entry(index + 1, fixing, ends)
        return int(ends.min())

    def arrivals(self, fixing: Fixing) -> list[list[Costs]]:
        """For every segment, time and end, what the cheapest way there costs under a fixing."""
        found = []
        entry = self._entry(0, fixing, None)
        for index, reached in enumerate(self.reached):
            found.append([(there + entry).min(1) if len(there) else there[:, 0] for there in reached])
            if index + 1 < len(self.reached):
                entry = self._entry(index + 1, fixing, found[-1][-1] + self.leaving(index, fixing))
        return found

    def _entry(self, index: int, fixing: Fixing, arriving: Costs | None) -> Costs:
        """What it costs to begin a segment with each of its firsts."""
        firsts = self.reached[index][-1].shape[1]
        joint = self.joints.get((index - 1, index))
        if arriving is None:
            entry = np.zeros(firsts, dtype=np.int64)
        elif joint is None:
            entry = np.full(firsts, arriving.min(), dtype=np.int64)
        else:
            entry = (arriving[:, None] + joint).min(0)
        for (left, right), cost in self.joints.items():
            if right == index and left + 1 < index:
                entry = entry + (cost[fixing.exits[left]] if left in fixing.exits else cost.min(0))
        return _only(entry, fixing.entries.get(index))

    def leaving(self, index: int, fixing: Fixing) -> Costs:
        """What it costs further to have ended a segment in each of its ends: joints that lead back, and the fixing."""
        leave = np.zeros(len(self.reached[index][-1]), dtype=np.int64)
        for (left, right), cost in self.joints.items():
            if left == index and right <= index:
                leave = leave + (cost[:, fixing.entries[right]] if right in fixing.entries else cost.min(1))
        return np.minimum(_only(leave, fixing.exits.get(index)), FORBIDDEN)


def _only(costs: Costs, chosen: int | None) -> Costs:
    if chosen is None:
        return costs
    allowed = np.full(len(costs), FORBIDDEN, dtype=np.int64)
    allowed[chosen] = costs[chosen]
    return allowed
