"""A row: chord slots that cover a stretch of time without gap or overlap.

Times are quarter notes from the start of the form as played.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from dataclasses import dataclass, field, replace
from fractions import Fraction
from operator import attrgetter

from core.chord import Chord

ZERO = Fraction(0)


_EXACT = re.compile(r"-?\d{1,9}(?:/\d{1,9})?")


def exact(text: str) -> Fraction:
    """Quarter notes from text such as "3/2"; raises ValueError on anything else.

    ``Fraction`` alone would take "1e999999999" and work at it for hours.
    """
    if not text.isascii() or _EXACT.fullmatch(text) is None or int(text.partition("/")[2] or 1) == 0:
        raise ValueError(f"{text[:20]!r} is not a length such as 4 or 3/2")
    return Fraction(text)


@dataclass(frozen=True, slots=True)
class Slot:
    """A chord (None is N.C.) from ``onset`` for ``duration``; ``typed`` is the text as written, if it was typed.

    ``optional`` marks a chord in brackets, one that a player may leave out.
    """

    onset: Fraction
    duration: Fraction
    chord: Chord | None
    typed: str | None = None
    optional: bool = False
    end: Fraction = field(init=False, compare=False, repr=False)
    """Exclusive end; kept, since it is asked for more often than anything else."""
    place: float = field(init=False, compare=False, repr=False)
    """The onset for a fast search: a fraction rounds to one float, so equal times stay equal."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "end", self.onset + self.duration)
        object.__setattr__(self, "place", float(self.onset))

    @property
    def text(self) -> str:
        """What was typed, or the canonical symbol."""
        return self.typed or (self.chord.canonical if self.chord else "N.C.")


Row = tuple[Slot, ...]
_PLACE = attrgetter("place")


def check_row(row: Row, length: Fraction) -> None:
    """Raise ValueError unless the row covers 0 … length without gap, overlap or empty slot."""
    at = ZERO
    for slot in row:
        if slot.onset != at or slot.duration <= 0:
            raise ValueError(f"slot {slot.text} at {slot.onset} lasting {slot.duration}, expected at {at}")
        at = slot.end
    if at != length:
        raise ValueError(f"row ends at {at}, the form at {length}")


def slot_index(row: Row, onset: Fraction) -> int:
    """Index of the slot that sounds at a time; the last one for a time beyond the end."""
    return max(0, bisect_right(row, float(onset), key=_PLACE) - 1)


def span(row: Row, start: Fraction, end: Fraction) -> Row:
    """The part of a row between two times, slots at the edges cut to fit."""
    if start >= end or not row:
        return ()
    cut = row[slot_index(row, start) : bisect_left(row, float(end), key=_PLACE)]
    if cut and cut[0].end <= start:
        cut = cut[1:]
    if not cut:
        return ()
    first, last = cut[0], cut[-1]
    if first.onset >= start and last.end <= end:
        return cut
    if first is last:
        onset = max(first.onset, start)
        return (replace(first, onset=onset, duration=min(first.end, end) - onset),)
    if first.onset < start:
        first = replace(first, onset=start, duration=first.end - start)
    if last.end > end:
        last = replace(last, duration=end - last.onset)
    return first, *cut[1:-1], last


def splice(row: Row, start: Fraction, end: Fraction, new: Row) -> Row:
    """The row with the time from start to end replaced by ``new``, which must cover exactly that time."""
    total = row[-1].end if row else ZERO
    return span(row, ZERO, start) + new + span(row, end, total)


def later(row: Row, by: Fraction) -> Row:
    """The slots so many quarter notes later."""
    return tuple(replace(slot, onset=slot.onset + by) for slot in row) if by else row


def merged(row: Row, breaks: frozenset[Fraction] = frozenset()) -> Row:
    """Neighbours with the same chord joined into one slot, for comparing by sound; none over ``breaks``."""
    result: list[Slot] = []
    for slot in row:
        last = result[-1] if result else None
        if last and last.chord == slot.chord and last.optional == slot.optional and slot.onset not in breaks:
            result[-1] = replace(last, duration=last.duration + slot.duration)
        else:
            result.append(slot)
    return tuple(result)


def same_chords(one: Row, other: Row) -> bool:
    """Whether two rows sound the same chords at the same times, whatever was typed."""

    def content(row: Row) -> list[tuple[Fraction, Chord | None]]:
        return [(slot.onset, slot.chord) for slot in merged(row)]

    return content(one) == content(other)


def sounding(row: Row) -> list[tuple[Fraction, tuple[int, str, int] | None]]:
    """What sounds when, however it is spelled, neighbours that are alike joined."""
    result: list[tuple[Fraction, tuple[int, str, int] | None]] = []
    for slot in row:
        sound = None if slot.chord is None else slot.chord.sound
        if not result or result[-1][1] != sound:
            result.append((slot.onset, sound))
    return result
