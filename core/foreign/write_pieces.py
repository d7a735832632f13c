"""The notes and rests of each bar on paper, for every format that is written in bars."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from itertools import pairwise

from core.foreign.notation import Piece, dressed, written_pieces
from core.foreign.write_bars import Content, Page, Sung
from core.form import WrittenBar
from core.key import Key
from core.meter import Meter
from core.row import ZERO

WHOLE_BAR = "whole bar"
"""The type of a rest that fills its bar, whatever the metre."""


def all_pieces(page: Page, home: Key, cut_notes: bool = False) -> list[list[Piece]]:
    """The pieces of each bar; ``cut_notes`` also divides and ties a note where a chord begins inside it."""
    pieces, signature = [], home.signature
    for index, (bar, content) in enumerate(zip(page.bars, page.contents, strict=True)):
        signature = bar.key.signature if bar.key is not None and index else signature
        pieces.append(_bar_pieces(bar, content, signature, cut_notes))
    return pieces


def _bar_pieces(bar: WrittenBar, content: Content, signature: int, cut_notes: bool) -> list[Piece]:
    """Notes and rests that fill the bar; rests are split where a chord begins."""
    starts = sorted({symbol.onset for row in content.rows for symbol in row})
    if not content.melody and bar.length == bar.meter.length and all(start == 0 for start in starts):
        return [Piece(ZERO, bar.length, type=WHOLE_BAR)]
    pieces: list[Piece] = []
    at = ZERO
    for sung in content.melody:
        pieces += _rests(at, sung.onset, starts, bar.meter)
        pieces += _sung(sung, starts if cut_notes else [], bar.meter)
        at = sung.end
    pieces += _rests(at, bar.length, starts, bar.meter)
    return dressed(pieces, bar.meter, signature)


def _sung(sung: Sung, cuts: list[Fraction], meter: Meter) -> Iterable[Piece]:
    places = [sung.onset, *(cut for cut in cuts if sung.onset < cut < sung.end), sung.end]
    for first, after in pairwise(places):
        yield from written_pieces(first, after, meter, sung.pitch, sung.tie_stop or first > sung.onset,
                                  sung.tie_start or after < sung.end)  # fmt: skip


def _rests(start: Fraction, end: Fraction, cuts: list[Fraction], meter: Meter) -> Iterable[Piece]:
    places = [start, *(cut for cut in cuts if start < cut < end), end]
    for first, after in pairwise(places):
        if first < after:
            yield from written_pieces(first, after, meter)
