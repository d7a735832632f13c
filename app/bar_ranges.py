"""Bars in words, as they are typed and printed: "1-4, 9"."""

from __future__ import annotations

import re
from itertools import pairwise

from core.errors import ChangewrightError
from core.form import Form

_STRETCH = re.compile(r"(\d{1,4})(?:\s*[-–]\s*(\d{1,4}))?", re.ASCII)


class BarsError(ChangewrightError):
    """Text that does not name bars of the tune."""


def read_bars(form: Form, text: str) -> tuple[tuple[int, int], ...]:
    """Stretches of bars (index of the first, index after the last) from their numbers, in the order typed.

    Raises :class:`BarsError`, or :class:`core.form.FormError` for a bar that is not there.
    """
    found = []
    for part in filter(None, (part.strip() for part in text.split(","))):
        match = _STRETCH.fullmatch(part)
        if match is None:
            raise BarsError(f"{part!r} names no bars; type numbers such as 1-4,9.")
        first = form.bar_numbered(int(match[1])).index
        last = form.bar_numbered(int(match[2] or match[1])).index
        if last < first:
            raise BarsError(f"Bars {part} go backwards; type the lower number first.")
        found.append((first, last + 1))
    return tuple(found)


def bars_text(form: Form, indexes: frozenset[int]) -> str:
    """Numbers of bars as text: ``"1–4, 9"``; "" for none."""
    bars = sorted(indexes)
    starts = [bar for before, bar in pairwise([-2, *bars]) if bar != before + 1]
    ends = [bar for bar, after in pairwise([*bars, -2]) if after != bar + 1]
    numbers = [(form.bars[first].number, form.bars[last].number) for first, last in zip(starts, ends, strict=True)]
    return ", ".join(f"{first}–{last}" if first != last else str(first) for first, last in numbers)
