"""What waits for a bar line or for the end of a pass: the other side, another tempo, bars without the band.

Bars and passes are counted from where playing began; a count-in counts as neither.
"""

from __future__ import annotations

from typing import Literal

from core.sound.placement import Placement
from core.sound.playhead import Edge
from core.timeline import Side, TimelineError

When = Literal["now", "bar", "loop"]
"""At once, at the next bar line, or when the loop begins again."""
MAX_BARS = 64
ALWAYS_HEARD = frozenset(("click",))
"""Parts that play on while the band drops out: whoever wants no click there switches it off."""
_BAR_EDGES = (Edge.BAR, Edge.WRAP, Edge.START)


class Rehearsal:
    """The waiting wishes of a mixer. ``resting`` is True in bars in which the band drops out."""

    def __init__(self) -> None:
        self.resting = False
        self.passes = 0
        self._bars = 0
        self._drop_outs: tuple[int, int] | None = None
        self._side: tuple[Side, When] | None = None
        self._next: tuple[Placement, int] | None = None
        self._last: int | None = None

    @property
    def watches_bars(self) -> bool:
        """True while a bar line in the middle of a pass means anything."""
        return self._drop_outs is not None or (self._side is not None and self._side[1] == "bar")

    def begin(self, *, pickup: bool = False) -> None:
        """Playing begins here, or goes on from another place: bars and passes are counted anew."""
        if self._last is not None:
            self._last -= self.passes
        self.resting, self.passes = False, 0
        self._bars = -1 if pickup else 0

    def wish_side(self, side: Side, when: When) -> None:
        """Another side at its time."""
        self._side = (side, when)

    def forget_side(self) -> Side | None:
        """The side that is still waited for, which is waited for no more."""
        side, self._side = self._side, None
        return side[0] if side else None

    def wish_timeline(self, placement: Placement | None, passes: int = 1) -> None:
        """Go on with ``placement`` at the first loop end at which ``passes`` passes or more have been played."""
        self._next = (placement, passes) if placement else None

    def end_after(self, passes: int | None) -> None:
        """Stop at the end of so many passes from here, or (None) never."""
        self._last = None if passes is None else self.passes + max(1, passes)

    def set_drop_outs(self, bars: tuple[int, int] | None) -> None:
        """So many bars with the band and so many without, counted from this bar; None for no drop-outs.

        Raises TimelineError for anything but two numbers from 1 to 64.
        """
        if bars is not None and not all(1 <= count <= MAX_BARS for count in bars):
            raise TimelineError(
                "drop-outs", f"{bars[0]} bars on and {bars[1]} off cannot be counted", f"choose 1 to {MAX_BARS} of each"
            )
        self._drop_outs, self._bars, self.resting = bars, 0, False

    def side_at(self, edge: Edge) -> Side | None:
        """The side that was wished for this edge; it is wished no more."""
        if self._side is None or edge not in _BAR_EDGES or (self._side[1] == "loop" and edge is not Edge.WRAP):
            return None
        return self.forget_side()

    def end_pass(self) -> bool:
        """Count a pass; True if it was the last one."""
        self.passes += 1
        return self._last is not None and self.passes >= self._last

    def next_timeline(self) -> Placement | None:
        """The timeline whose turn it is at this loop end; passes are counted anew with it."""
        # A counted number of passes is played at one tempo.
        if self._next is None or self.passes < self._next[1] or self._last is not None:
            return None
        placement, self._next = self._next[0], None
        self.passes = 0
        return placement

    def count_bar(self, edge: Edge) -> None:
        """A bar line was crossed: say in ``resting`` whether the band plays in the bar that begins."""
        if edge not in (Edge.BAR, Edge.WRAP):
            return
        self._bars += 1
        if self._drop_outs:
            on, off = self._drop_outs
            self.resting = max(0, self._bars) % (on + off) >= on
