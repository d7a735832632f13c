"""The search on the fretboard: every set of frets that holds some pitch classes within the span of a hand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from core.hands.fingers import Frets
from core.hands.fretboard import Fretboard, Limits


@dataclass(frozen=True, slots=True)
class Query:
    """Pitch classes that may sound, must sound, and may sound twice; what must lie lowest (a pitch class) and highest
    (a MIDI number), None where anything may; the fewest and the most voices."""

    allowed: frozenset[int]
    needed: frozenset[int]
    doubled: frozenset[int]
    bass: int | None
    top: int | None
    fewest: int
    most: int


def searched(board: Fretboard, limits: Limits, query: Query) -> Iterator[Frets]:
    """Every answer once, hand position by hand position; who can hold it is asked elsewhere."""
    for lowest in range(1, min(board.highest_fret, limits.highest_position - board.capo) + 1):
        width = limits.high_span if lowest + board.capo > limits.high_fret else limits.span
        under = (0, *range(lowest, min(lowest + width - 1, board.highest_fret) + 1))
        options = [_options(note, under, query) for note in board.open_notes]
        if lowest == 1 or any(fret == lowest for string in options for fret, _, _ in string):
            yield from _Walk(options, limits, query, lowest).answers()


_Option = tuple[int, int, int]
"""A fret that may sound, its note, and its pitch class as a bit."""


def _options(open_note: int, frets: tuple[int, ...], query: Query) -> list[_Option]:
    """What a string offers: the open string, and the frets under the hand."""
    notes = ((fret, open_note + fret) for fret in frets)
    return [
        (fret, note, 1 << note % 12)
        for fret, note in notes
        if note % 12 in query.allowed and (query.top is None or note <= query.top)
    ]


def _mask(pitch_classes: frozenset[int]) -> int:
    return sum(1 << pitch_class for pitch_class in pitch_classes)


class _Walk:
    """One hand position, string by string; what can no longer become an answer is left at once."""

    def __init__(self, options: list[list[_Option]], limits: Limits, query: Query, lowest: int) -> None:
        self._options, self._query, self._lowest = options, query, lowest
        self._muted, self._count = limits.inner_muted, len(options)
        self._needed, self._doubled = _mask(query.needed), _mask(query.doubled)
        self._offered = [_mask(frozenset(note % 12 for string in options[at:] for _, note, _ in string))
                         for at in range(len(options) + 1)]  # fmt: skip
        """Pitch classes that the strings from here on offer."""
        holding = [at for at, string in enumerate(options) if any(fret == lowest for fret, _, _ in string)]
        self._last_low = self._count if lowest == 1 else holding[-1]
        """The last string that offers the lowest fret, which somebody must press; the first position also has what
        needs no finger."""
        self._frets: list[int | None] = [None] * self._count
        self._notes: list[int] = []
        self._found: list[Frets] = []

    def answers(self) -> list[Frets]:
        self._go_on(0, 0, 0, 0, False)
        return self._found

    def _go_on(self, string: int, used: int, silent: int, gap: int, low: bool) -> None:
        """At a string: pitch classes ``used``, ``silent`` inner strings so far, ``gap`` since the last that sounds."""
        missing = self._needed & ~used
        if missing & ~self._offered[string] or (not low and string > self._last_low):
            return
        if string == self._count:
            if self._is_answer():
                self._found.append(tuple(self._frets))
            return
        notes, frets, sounding = self._notes, self._frets, len(self._notes)
        if sounding + self._count - string < self._query.fewest:
            return
        self._go_on(string + 1, used, silent, gap + (sounding > 0), low)
        if (
            silent + gap > self._muted
            or sounding + missing.bit_count() > self._query.most
            or sounding == self._query.most
        ):
            return
        for fret, note, bit in self._options[string]:
            if used & bit & ~self._doubled:
                continue
            frets[string] = fret
            notes.append(note)
            self._go_on(string + 1, used | bit, silent + gap, 0, low or fret == self._lowest)
            notes.pop()
        frets[string] = None

    def _is_answer(self) -> bool:
        notes, query = self._notes, self._query
        if len(notes) < query.fewest or (query.bass is not None and min(notes) % 12 != query.bass):
            return False
        if (query.top is not None and max(notes) != query.top) or len(set(notes)) != len(notes):
            return False
        pressed = [fret for fret in self._frets if fret]
        # A position is that of its lowest pressed fret; what needs no finger belongs to the first.
        return min(pressed, default=1) == self._lowest
