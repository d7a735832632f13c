"""Two readings of the same line, against the standard and against a take: where they disagree, bar by bar."""

from __future__ import annotations

from dataclasses import dataclass

from core.line.analysis import LineReading
from core.line.reading import CHORD_TONE, OUTSIDE, TENSION
from core.line.solo import Place

_BELONGS = (CHORD_TONE, TENSION)


@dataclass(frozen=True, slots=True)
class BarDifference:
    """A bar in which two readings name notes differently: how many notes, and how many fit each row."""

    place: Place
    notes: tuple[int, ...]
    count: int
    fits_one: int
    fits_other: int

    @property
    def better(self) -> int:
        """0 where the first reading fits more notes, 1 where the second does, −1 where neither."""
        return -1 if self.fits_one == self.fits_other else int(self.fits_other > self.fits_one)


def disagreements(one: LineReading, other: LineReading) -> tuple[BarDifference, ...]:
    """The bars in which degree or kind of a note differs between two readings of one line."""
    bars: dict[tuple[int, int], list[int]] = {}
    for index in range(len(one.heard)):
        place = one.place(index)
        bars.setdefault((place.chorus, place.bar.index), []).append(index)
    found = []
    for indexes in bars.values():
        differ = tuple(index for index in indexes if _named(one, index) != _named(other, index))
        if differ:
            fits = [sum(reading.kinds[index] in _BELONGS for index in indexes) for reading in (one, other)]
            found.append(BarDifference(one.place(indexes[0]), differ, len(indexes), *fits))
    return tuple(found)


def _named(reading: LineReading, index: int) -> tuple[str, str]:
    heard = reading.heard[index]
    return str(heard.degree), reading.kinds[index]


def follows(one: LineReading, other: LineReading) -> str:
    """One sentence: which row the line follows."""
    shares = [_share(reading) for reading in (one, other)]
    outside = [sum(kind == OUTSIDE for kind in reading.kinds) for reading in (one, other)]
    if abs(shares[0] - shares[1]) < 3 and outside[0] == outside[1]:
        return f"The line fits {one.row_name} and {other.row_name} alike ({shares[0]} % chord tones and tensions)."
    first, second = (0, 1) if shares[0] >= shares[1] else (1, 0)
    names = (one.row_name, other.row_name)
    return (f"The line fits {names[first]} better than {names[second]}: {shares[first]} % of its notes are chord tones "
            f"or tensions there, {shares[second]} % over the other.")  # fmt: skip


def _share(reading: LineReading) -> int:
    kinds = [kind for kind in reading.kinds if kind != "no chord"]
    return round(100 * sum(kind in _BELONGS for kind in kinds) / len(kinds)) if kinds else 0
