"""One bar of chords as text: what is typed over a bar, and what stands between two bar lines of bar text."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

from core.errors import ChangewrightError
from core.meter import Meter
from core.row import Row, Slot, exact, later
from core.symbol import SymbolError, parse_symbol

_NOT_HOLDS = frozenset({"-", "–", "—", "_"})
"""Signs that stand for a hold in some charts and for minor in others."""


class BarError(ChangewrightError):
    """A bar that cannot be read; ``position`` is a character of the text counted from 0."""

    def __init__(self, position: int, problem: str) -> None:
        self.position, self.problem = position, problem
        super().__init__(problem)


def parse_bar(
    text: str, start: Fraction, length: Fraction, meter: Meter, previous: Row = (), names: str = "english"
) -> Row:
    """The slots of one bar. ``previous`` is the bar before, for ``%`` and ``~``. Raises :class:`BarError`.

    A leading ``~`` gives a slot with the chord held; joining it to the slot before is the caller's affair.
    """
    words = [(match[0], match.start()) for match in re.finditer(r"\S+", text)]
    if not words:
        raise BarError(0, "The bar is empty; write a chord, N.C. for silence or % for the bar before.")
    if [word for word, _ in words] in (["%"], ["./."], ["sim."]):
        return _repeated(words[0][1], start, length, previous)
    beats = _durations(words, length, meter)
    slots: list[Slot] = []
    at = start
    for (word, position), duration in zip(words, beats, strict=True):
        if word == "/" and slots:
            slots[-1] = replace(slots[-1], duration=slots[-1].duration + duration)
        elif word == "/":
            raise BarError(position, "A slash holds a chord, and there is none before it in this bar; write ~ to hold"
                                     " the chord before the bar line.")  # fmt: skip
        elif word in _NOT_HOLDS:
            raise BarError(
                position, f"{word!r} is not read in a bar; write / to hold a chord for a beat, ~ over a bar line."
            )
        else:
            slots.append(
                parse_slot(word.partition("*")[0], position, at, duration, previous if not slots else (), names)
            )
        at += duration
    return tuple(slots)


def _repeated(position: int, start: Fraction, length: Fraction, previous: Row) -> Row:
    if not previous or previous[-1].end - previous[0].onset != length:
        raise BarError(position, "% repeats the bar before, and there is none of the same length.")
    return later(previous, start - previous[0].onset)


def _durations(words: list[tuple[str, int]], length: Fraction, meter: Meter) -> list[Fraction]:
    starred = [word for word, _ in words if "*" in word]
    if starred:
        return _starred(words, length)
    if not any(word == "/" for word, _ in words):
        return [length / len(words)] * len(words)
    for unit in (meter.beat, meter.pulse):
        if unit * len(words) == length:
            return [unit] * len(words)
    needed = length / meter.beat
    raise BarError(
        words[-1][1], f"The bar has {len(words)} beats and needs {needed}; give every chord and slash one beat."
    )


def _starred(words: list[tuple[str, int]], length: Fraction) -> list[Fraction]:
    durations = []
    for word, position in words:
        try:
            durations.append(exact(word.partition("*")[2]))
        except (ValueError, ZeroDivisionError):
            raise BarError(position, f"{word!r} needs a length like C7*3/2; with * every chord has one.") from None
    if sum(durations) != length or min(durations) <= 0:
        raise BarError(words[-1][1], f"The lengths add up to {sum(durations)} quarter notes and the bar has {length}.")
    return durations


def parse_slot(word: str, position: int, at: Fraction, duration: Fraction, previous: Row, names: str) -> Slot:
    """One chord word as a slot; ``position`` is its place in the text for the error."""
    if word == "~":
        if not previous:
            raise BarError(position, "~ holds the chord before the bar line, and there is none.")
        return replace(previous[-1], onset=at, duration=duration, typed="~")
    optional = word.startswith("(") and word.endswith(")") and len(word) > 2
    text = word[1:-1] if optional else word
    try:
        chord = parse_symbol(text, names)
    except SymbolError as error:
        raise BarError(position + error.position + int(optional), str(error)) from error
    canonical = chord.canonical if chord else "N.C."
    return Slot(at, duration, chord, None if text == canonical else text, optional)
