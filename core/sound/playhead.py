"""Where playing is: an integer frame, a count-in gate, and a loop that never drifts."""

from __future__ import annotations

from bisect import bisect_left
from enum import Enum
from fractions import Fraction

from core.sound.placement import Placed, Placement
from core.timeline import TimelineError

MIN_LOOP_SECONDS = 0.1


class Edge(Enum):
    """What the playhead has come to."""

    NONE = "none"
    START = "start"
    BAR = "bar"
    WRAP = "wrap"
    END = "end"


class Playhead:
    """The moving place in a placement, and which event comes next.

    A loop's exact length is rarely a whole number of frames: the remainder is carried and a pass is one frame longer
    when it has grown to one, so that pass k begins within a frame of where it should, however large k is.
    """

    def __init__(self, placement: Placement) -> None:
        self.placement = placement
        self.frame = 0
        self.next = 0
        self.gate: int | None = None
        self.loop: tuple[float, float] | None = None
        self.stops_at_bars = False
        """Whether bar lines are edges too."""
        self._gate_quarter = 0.0
        self._counted = 0
        self._first = self._whole = self._end = self._stop = 0
        self._pass = self._carry = Fraction(0)

    @property
    def quarter(self) -> float:
        """The place in quarter notes; before the start during a count-in."""
        return self.placement.quarter(self.frame)

    @property
    def in_loop(self) -> bool:
        """True while going on leads to the loop's end. Beyond it the form is played to its end."""
        return self.loop is not None and self.gate is None and self.frame < self._end

    def go(self, frame: int) -> None:
        """Be at a frame."""
        self.frame, self.gate = frame, None
        self.next = self.placement.index(frame)
        self._begin_pass(Fraction(0))

    def count_in(self, quarter: float, lead_in: float) -> None:
        """Be ``lead_in`` quarter notes before ``quarter``, with only the count-in to be heard until there."""
        self._gate_quarter, self.gate = quarter, self.placement.frame(quarter)
        self.frame = self.gate - self.placement.frame(lead_in)
        self._counted = 0
        self._begin_pass(Fraction(0))

    def set_loop(self, loop: tuple[float, float] | None) -> None:
        """Loop ``[start, end)`` quarter notes, cut to the timeline. Raises TimelineError where nothing is left."""
        if loop is None:
            self.loop = None
            return
        timeline = self.placement.timeline
        start, end = max(0.0, loop[0]), min(loop[1], timeline.length)
        if not timeline.seconds_at(end - start) >= MIN_LOOP_SECONDS:
            raise TimelineError(
                f"loop {loop[0]:g} to {loop[1]:g}",
                "it holds less than a tenth of a second of this tune",
                "make it longer",
            )
        self.loop = (start, end)
        self._first = self.placement.frame(start)
        self._pass = (Fraction(end) - Fraction(start)) * self.placement.per_quarter
        self._whole = int(self._pass)
        self._begin_pass(Fraction(0))
        self._stop = bisect_left(self.placement.onsets, end)

    def swap(self, new: Placement) -> None:
        """Be at the same musical place in another placement; no event comes twice or is left out."""
        old, self.placement = self.placement, new
        self.next = new.index_like(old, self.frame)
        ratio = new.per_quarter / old.per_quarter
        if self.gate is None:
            self.frame = min(round(self.frame * ratio), new.length)
        else:
            gate = new.frame(min(self._gate_quarter, new.timeline.length))
            lead = round((self.frame - self.gate) * ratio)
            self.gate, self.frame = gate, gate + lead
            self._counted = sum(item.frame < lead for item in new.count_in)
        loop, self.loop = self.loop, None
        if loop and new.timeline.seconds_at(min(loop[1], new.timeline.length) - loop[0]) >= MIN_LOOP_SECONDS:
            self.set_loop(loop)

    def until_edge(self) -> int:
        """Frames (at least one) to where something else than going on happens."""
        if self.gate is not None:
            return max(1, self.gate - self.frame)
        edge = self._end if self.in_loop else self.placement.length
        if self.stops_at_bars:
            edge = min(edge, self.placement.next_bar(self.frame))
        return max(1, edge - self.frame)

    def advance(self, size: int) -> list[tuple[Placed, int]]:
        """Move on; the events that begin on the way, each with its offset in frames."""
        if self.gate is not None:
            start, events = self.frame - self.gate, self.placement.count_in
            index, stop = self._counted, len(self.placement.count_in)
        else:
            start, events = self.frame, self.placement.placed
            index, stop = self.next, self._stop if self.in_loop else len(self.placement.placed)
        found = []
        while index < stop and events[index].frame < start + size:
            found.append((events[index], max(0, events[index].frame - start)))
            index += 1
        if self.gate is not None:
            self._counted = index
        else:
            self.next = index
        self.frame += size
        return found

    def cross(self) -> Edge:
        """Do what the edge just reached asks for."""
        if self.gate is not None:
            if self.frame < self.gate:
                return Edge.NONE
            self.go(self.gate)
            return Edge.START
        if self.loop is not None and self.frame == self._end:
            carry = self._carry + self._pass - (self.frame - self._first)
            self.go(self._first)
            self._begin_pass(carry)
            return Edge.WRAP
        if self.frame >= self.placement.length and not self.in_loop:
            return Edge.END
        return Edge.BAR if self.stops_at_bars and self.placement.is_bar(self.frame) else Edge.NONE

    def _begin_pass(self, carry: Fraction) -> None:
        self._carry = carry
        self._end = self._first + self._whole + (carry + self._pass >= self._whole + 1)
