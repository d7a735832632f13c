"""The form: bars as written, and the order in which they are played.

Rows and melody live on played time. The written bars keep repeats, endings and jumps; ``order`` maps every played
bar to the written bar it is a pass of, so that printing can fold what agrees and an import can be written back.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from fractions import Fraction

from core.errors import ChangewrightError
from core.key import Key
from core.meter import Meter
from core.row import ZERO

JUMPS = (
    "da capo",
    "da capo al fine",
    "da capo al coda",
    "dal segno",
    "dal segno al fine",
    "dal segno al coda",
)
MARKS = ("segno", "coda", "fine", "to coda")


class FormError(ChangewrightError):
    """Repeats or jumps that cannot be played."""


@dataclass(frozen=True, slots=True)
class WrittenBar:
    """A bar on paper.

    ``length`` is its real length in quarter notes (a pickup or an overfull bar differs from the metre);
    ``section`` names a section that begins here; ``key`` a signature that begins here; ``repeat_end`` is how often the
    repeated stretch is played in all (0: no repeat ends here); ``endings`` are the passes of a numbered ending that
    this bar is in; ``marks`` and ``jump`` come from :data:`MARKS` and :data:`JUMPS`.
    """

    number: str
    meter: Meter
    length: Fraction
    section: str | None = None
    key: Key | None = None
    repeat_start: bool = False
    repeat_end: int = 0
    endings: tuple[int, ...] = ()
    marks: tuple[str, ...] = ()
    jump: str | None = None


@dataclass(frozen=True, slots=True)
class Bar:
    """A played bar: index from 0, start and length in quarter notes, and the written bar it is a pass of."""

    index: int
    start: Fraction
    length: Fraction
    written: int
    meter: Meter
    number: int
    printed: str
    section: str | None
    key: Key | None

    @property
    def end(self) -> Fraction:
        """Exclusive end."""
        return self.start + self.length


@dataclass(frozen=True, slots=True)
class Section:
    """A named stretch of played bars, ``first`` to ``last`` as indexes, end exclusive."""

    name: str
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class Form:
    """Written bars, the played order as indexes of them, and whether the first bar is a pickup (bar 0)."""

    written: tuple[WrittenBar, ...]
    order: tuple[int, ...]
    pickup: bool = False
    bars: tuple[Bar, ...] = field(init=False, compare=False, repr=False)
    sections: tuple[Section, ...] = field(init=False, compare=False, repr=False)
    # Bar starts as floats for a fast search: a fraction rounds to one float, so equal times stay equal.
    starts: tuple[float, ...] = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "bars", self._played())
        object.__setattr__(self, "sections", self._sections())
        object.__setattr__(self, "starts", tuple(float(bar.start) for bar in self.bars))

    def _played(self) -> tuple[Bar, ...]:
        bars, at = [], ZERO
        for index, written_index in enumerate(self.order):
            written = self.written[written_index]
            number = index if self.pickup else index + 1
            bars.append(Bar(index, at, written.length, written_index, written.meter, number, written.number,
                            written.section, written.key))  # fmt: skip
            at += written.length
        return tuple(bars)

    def _sections(self) -> tuple[Section, ...]:
        starts = [bar.index for bar in self.bars if bar.section is not None]
        if not starts or starts[0] > (1 if self.pickup else 0):
            starts.insert(0, 0)
        if starts and self.pickup and starts[0] == 1:
            starts[0] = 0
        ends = [*starts[1:], len(self.bars)]
        second = self.bars[min(1, len(self.bars) - 1)].section if self.bars and self.pickup else None
        names = [self.bars[start].section or (second if start == 0 else None) or "" for start in starts]
        return tuple(Section(name, first, last) for name, first, last in zip(names, starts, ends, strict=True))

    @property
    def section_starts(self) -> frozenset[Fraction]:
        """Where sections begin, the first left out: a chord that goes on there is struck, and heard, anew."""
        return frozenset(self.bars[section.first].start for section in self.sections[1:])

    @property
    def length(self) -> Fraction:
        """Quarter notes of the whole played form."""
        return self.bars[-1].end if self.bars else ZERO

    def bar_at(self, onset: Fraction) -> Bar:
        """The played bar in which a time lies (the last one for a time at or beyond the end)."""
        return self.bars[max(0, bisect_right(self.starts, float(onset)) - 1)]

    def bar_numbered(self, number: int) -> Bar:
        """The played bar with a number (1 for the first full bar, 0 for a pickup); raises :class:`FormError`."""
        index = number if self.pickup else number - 1
        if not 0 <= index < len(self.bars):
            first = 0 if self.pickup else 1
            raise FormError(f"There is no bar {number}; the tune's bars go from {first} to {self.bars[-1].number}.")
        return self.bars[index]

    def passes_of(self, bar_index: int) -> tuple[int, ...]:
        """All played bars that are passes of the same written bar."""
        written = self.order[bar_index]
        return tuple(index for index, other in enumerate(self.order) if other == written)

    def key_at(self, bar_index: int, home: Key) -> Key:
        """The key signature in force at a played bar."""
        written = self.order[bar_index]
        return next((bar.key for bar in reversed(self.written[: written + 1]) if bar.key is not None), home)


def plain_form(bar_count: int, meter: Meter, sections: tuple[tuple[int, str], ...] = ()) -> Form:
    """A form without repeats: ``plain_form(12, Meter())``. ``sections`` are (bar index, name)."""
    names = dict(sections)
    written = tuple(WrittenBar(str(index + 1), meter, meter.length, names.get(index)) for index in range(bar_count))
    return Form(written, tuple(range(bar_count)))


def played_order(written: tuple[WrittenBar, ...], limit: int = 5000) -> tuple[int, ...]:
    """The order in which written bars are played: repeats, numbered endings, then one jump to its fine or coda.

    On the way from a jump to its fine or coda repeats are not taken again and the last ending is played; the coda's own
    repeats are. A bare da capo or dal segno ends at a fine, or leaves for the coda, where the tune has one. The repeat
    of an ending counts only if another ending follows it (a lone bracket is skipped the last time). Common practice,
    no source. Raises :class:`FormError` when a mark is missing or the form does not end within ``limit`` bars.
    """
    order: list[int] = []
    index, start, round_, jumped, again, stop_at = 0, 0, 1, False, False, None
    counts: dict[int, int] = {}
    while index < len(written):
        bar = written[index]
        if bar.repeat_start and index != start:
            start, round_ = index, 1
        if bar.endings and not _plays(written, bar, round_, again, index):
            if not _next_is_ending(written, index):
                start, round_ = index + 1, 1
            index += 1
            continue
        order.append(index)
        if len(order) > limit:
            raise FormError(f"The repeats do not come to an end within {limit} bars; check bar {bar.number}.")
        if again and stop_at == "fine" and "fine" in bar.marks:
            return tuple(order)
        if again and stop_at == "coda" and "to coda" in bar.marks:
            index, stop_at, again = _find(written, "coda", bar), None, False
            start, round_ = index, 1
            continue
        if not again and counts.get(index, 1) < _repeat_total(written, index):
            counts[index] = counts.get(index, 1) + 1
            index, round_ = start, round_ + 1
            continue
        if bar.jump and not jumped:
            jumped, again, stop_at = True, True, _stop_of(written, bar.jump)
            index = 0 if bar.jump.startswith("da capo") else _find(written, "segno", bar)
            continue
        if bar.repeat_end or (bar.endings and not _next_is_ending(written, index)):
            start, round_ = index + 1, 1
        index += 1
    return tuple(order)


def _stop_of(written: tuple[WrittenBar, ...], jump: str) -> str | None:
    """Where a jump leaves off: as it says, or as the tune's marks say where it says nothing."""
    if "al" in jump.split():
        return jump.split()[-1]
    marks = {mark for bar in written for mark in bar.marks}
    return "fine" if "fine" in marks else "coda" if "to coda" in marks else None


def _repeat_total(written: tuple[WrittenBar, ...], index: int) -> int:
    """How often the stretch that ends here is played; in an ending, once more for each pass with a successor."""
    bar = written[index]
    if not bar.repeat_end or not bar.endings:
        return bar.repeat_end
    group = _ending_group(written, index)
    if len(set(group)) == 1:  # a lone bracket: the last time it is skipped
        return len(bar.endings) + 1
    passes = {number for endings in group for number in endings}
    return 1 + sum(number + 1 in passes for number in bar.endings)


def _ending_group(written: tuple[WrittenBar, ...], index: int) -> list[tuple[int, ...]]:
    """Passes of every bar in the run of bars under ending brackets around a bar."""
    first = last = index
    while first > 0 and written[first - 1].endings:
        first -= 1
    while last + 1 < len(written) and written[last + 1].endings:
        last += 1
    return [bar.endings for bar in written[first : last + 1]]


def _next_is_ending(written: tuple[WrittenBar, ...], index: int) -> bool:
    return index + 1 < len(written) and bool(written[index + 1].endings)


def _plays(written: tuple[WrittenBar, ...], bar: WrittenBar, round_: int, again: bool, index: int) -> bool:
    if not again:
        return round_ in bar.endings
    later = index
    while later < len(written) and written[later].endings == bar.endings:
        later += 1
    if later < len(written) and written[later].endings:
        return False
    lone_first = len(set(_ending_group(written, index))) == 1 and any(b.repeat_end for b in written[index:later])
    return not lone_first


def _find(written: tuple[WrittenBar, ...], mark: str, bar: WrittenBar) -> int:
    for index, other in enumerate(written):
        if mark in other.marks:
            return index
    raise FormError(f"Bar {bar.number} jumps to a {mark} that is not in the tune; mark the bar with {mark!r}.")
