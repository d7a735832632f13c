"""The lattice of a form: when pieces may begin and end, how they end, and what their meetings cost, in arrays.

A segment has *times*. At every time there are *ends* (how pieces that end there end) and *firsts* (chords that pieces
which begin there begin with). What a meeting costs hangs on an end and a first, and on nothing else.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate, chain, pairwise

import numpy as np
from numpy.typing import NDArray

from core.chord import Chord
from core.chorus.alternatives import Alternative
from core.chorus.cost import NO_TERMS, End, Pricing, Spot, Terms
from core.chorus.progress import Progress, unheard
from core.chorus.segments import Joint, Segment
from core.row import Slot

Costs = NDArray[np.int64]
Indexes = NDArray[np.intp]
FORBIDDEN = 1 << 40
"""Dearer than any take; sums of it stay exact."""
RULED_OUT: Terms = (FORBIDDEN, *NO_TERMS[1:])
"""The terms of a stretch of the standard that a target does not allow: it stays, so that every time has its pieces."""
HOPELESS = FORBIDDEN >> 1
"""What costs as much has something forbidden in it, whatever else it earns."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of the standard (``alternative`` None) or an alternative; ``start`` and ``stop`` index its times."""

    start: int
    stop: int
    first: int
    end: int
    alternative: Alternative | None
    terms: Terms

    @property
    def families(self) -> frozenset[str]:
        """Families of the techniques; none for a stretch of the standard."""
        return frozenset() if self.alternative is None else self.alternative.families


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """All that a segment offers.

    ``meetings[t]`` are the costs of ends × firsts at time t (none at the first and the last); ``incoming[t][end]``
    are the indexes of pieces that end there, and ``arriving[t - 1]`` the same in one array, a group for each end from
    ``groups[t - 1]`` on. With the firsts of all times in one line, from ``first_offsets[t]`` on, ``first_of`` are the
    pieces' firsts.
    """

    segment: Segment
    times: tuple[Fraction, ...]
    ends: tuple[tuple[End, ...], ...]
    firsts: tuple[tuple[Chord | None, ...], ...]
    pieces: tuple[Piece, ...]
    meetings: tuple[Costs | None, ...]
    first_offsets: tuple[int, ...]
    first_of: Indexes
    incoming: tuple[tuple[tuple[int, ...], ...], ...]
    arriving: tuple[Indexes, ...]
    groups: tuple[Indexes, ...]


def layer(pricing: Pricing, segment: Segment, offered: Iterable[Alternative], progress: Progress = unheard) -> Layer:
    """Price the alternatives that lie inside a segment."""
    row = pricing.ground.row
    inside = [one for one in offered if segment.start <= one.start and one.end <= segment.end]
    times = sorted({segment.start, segment.end, *(time for one in inside for time in (one.start, one.end)),
                    *(slot.onset for slot in row if segment.start <= slot.onset < segment.end)})  # fmt: skip
    index = {time: place for place, time in enumerate(times)}
    ends: list[dict[End, int]] = [{} for _ in times]
    firsts: list[dict[Chord | None, int]] = [{} for _ in times]
    pieces = []

    def put(start: int, stop: int, first: Chord | None, end: End, one: Alternative | None, terms: Terms) -> None:
        beginning = firsts[start].setdefault(first, len(firsts[start]))
        pieces.append(Piece(start, stop, beginning, ends[stop].setdefault(end, len(ends[stop])), one, terms))

    for place, (start, stop) in enumerate(pairwise(times)):
        standing = pricing.spot(start).standing
        allowed = pricing.on_target((Slot(start, stop - start, standing),), segment.moved)
        put(place, place + 1, standing, pricing.end_of(stop, None), None, NO_TERMS if allowed else RULED_OUT)
    for number, one in enumerate(inside):
        progress(number / len(inside) / 2)
        terms = pricing.own(one, segment.moved)
        if terms is not None:
            put(index[one.start], index[one.end], one.chords[0].chord, pricing.end_of(one.end, one), one, terms)
    meetings: list[Costs | None] = [None]
    for place, time in enumerate(times[1:-1], start=1):
        progress((1 + place / len(times)) / 2)
        places = tuple((time + moved, moved) for moved in segment.moved)
        meetings.append(_meetings(pricing, tuple(ends[place]), tuple(firsts[place]), places))
    meetings.append(None)
    return _indexed(segment, tuple(times), tuple(map(tuple, ends)), tuple(map(tuple, firsts)), tuple(pieces),
                    tuple(meetings))  # fmt: skip


def _indexed(
    segment: Segment, times: tuple[Fraction, ...], ends: tuple[tuple[End, ...], ...],
    firsts: tuple[tuple[Chord | None, ...], ...], pieces: tuple[Piece, ...], meetings: tuple[Costs | None, ...],
) -> Layer:  # fmt: skip
    incoming: list[list[list[int]]] = [[[] for _ in there] for there in ends]
    for number, piece in enumerate(pieces):
        incoming[piece.stop][piece.end].append(number)
    offsets = (0, *accumulate(len(there) for there in firsts[:-1]))
    first_of = np.array([offsets[piece.start] + piece.first for piece in pieces], dtype=np.intp)
    arriving = tuple(np.array([*chain(*there)], dtype=np.intp) for there in incoming[1:])
    groups = tuple(np.array([0, *accumulate(map(len, there[:-1]))], dtype=np.intp) for there in incoming[1:])
    return Layer(segment, times, ends, firsts, pieces, meetings, offsets, first_of,
                 tuple(tuple(map(tuple, there)) for there in incoming), arriving, groups)  # fmt: skip


def joint_costs(pricing: Pricing, joint: Joint, left: Layer, right: Layer) -> Costs:
    """What the ends of one segment and the firsts of another cost where they meet."""
    return _meetings(pricing, left.ends[-1], right.firsts[0], joint.places)


def _meetings(
    pricing: Pricing, ends: tuple[End, ...], firsts: tuple[Chord | None, ...],
    places: tuple[tuple[Fraction, Fraction], ...],
) -> Costs:  # fmt: skip
    """Ends × firsts, at every (time, moved) of some places."""
    spots = [(pricing.spot(at), moved) for at, moved in places]
    return np.array([[_meeting(pricing, end, first, spots) for first in firsts] for end in ends], dtype=np.int64)


def _meeting(pricing: Pricing, end: End, first: Chord | None, spots: list[tuple[Spot, Fraction]]) -> int:
    total = 0
    for spot, moved in spots:
        terms = pricing.meeting(end, first, spot, moved)
        if terms is None:
            return FORBIDDEN
        total += sum(terms)
    return total
