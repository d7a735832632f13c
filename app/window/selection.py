"""What is selected: a run of bars, perhaps one chord inside a bar, and which row the keyboard types into. Pure."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from core.form import Form
from core.row import Row

ROWS = ("take", "standard")


class Selection(NamedTuple):
    """Bars from ``anchor`` to ``head`` as indexes, both inclusive and in either order.

    ``slot`` is the index in the active row of a single chord, or None for whole bars; ``row`` is one of :data:`ROWS`.
    """

    anchor: int = 0
    head: int = 0
    slot: int | None = None
    row: str = "take"

    @property
    def first(self) -> int:
        """The first selected bar."""
        return min(self.anchor, self.head)

    @property
    def last(self) -> int:
        """The last selected bar, inclusive."""
        return max(self.anchor, self.head)

    @property
    def bars(self) -> tuple[int, ...]:
        """All selected bar indexes."""
        return tuple(range(self.first, self.last + 1))

    def moved_to(self, bar: int, count: int, extend: bool = False) -> Selection:
        """The head moved to a bar, held inside ``count`` bars; without ``extend`` the anchor comes along."""
        head = max(0, min(count - 1, bar))
        return self._replace(head=head, anchor=self.anchor if extend else head, slot=None)

    def held_in(self, count: int) -> Selection:
        """The selection inside a form of ``count`` bars."""
        if self.last < count:
            return self
        return self._replace(anchor=min(self.anchor, count - 1), head=min(self.head, count - 1), slot=None)

    def time(self, form: Form, row: Row) -> tuple[Fraction, Fraction]:
        """Start and end in quarter notes: of the chord if one is selected, else of the bars."""
        if self.slot is not None and self.slot < len(row):
            return row[self.slot].onset, row[self.slot].end
        return form.bars[self.first].start, form.bars[self.last].end

    def to_slot(self, row: Row, form: Form, step: int) -> Selection:
        """The next (``step`` 1) or previous (−1) chord of a row, from the chord or bar selected now."""
        if self.slot is None:
            start = form.bars[self.head].start
            inside = [index for index, slot in enumerate(row) if slot.end > start]
            index = inside[0] if inside else len(row) - 1
        else:
            index = max(0, min(len(row) - 1, self.slot + step))
        bar = form.bar_at(row[index].onset).index
        return self._replace(anchor=bar, head=bar, slot=index)
