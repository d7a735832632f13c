"""**Table** of sheets, and what may be asked of one."""

from __future__ import annotations

from dataclasses import dataclass

from core.errors import ChangewrightError
from core.sheet.part import PARTS
from core.symbol import STYLES


class SheetError(ChangewrightError):
    """A sheet that cannot be made of this chart, or is not known."""


@dataclass(frozen=True, slots=True)
class SheetKind:
    """A sheet: which rows stand on it, whether a line is left to write on, whether changes are named and explained.

    ``words`` are for a list, ``file`` for the name of a file.
    """

    id: str
    words: str
    file: str
    standard: bool = False
    take: bool = False
    line: bool = False
    answers: bool = False


KINDS: dict[str, SheetKind] = {
    kind.id: kind
    for kind in (
        SheetKind("standard", "Standard", "standard", standard=True),
        SheetKind("take", "Take", "take", take=True),
        SheetKind("both", "Standard above take", "both rows", standard=True, take=True),
        SheetKind("blank", "Blank, to write chords on", "blank", line=True),
        SheetKind("exercise", "Standard above a blank line", "exercise", standard=True, line=True),
        SheetKind("answers", "Answer key", "answers", standard=True, take=True, answers=True),
    )
}
PAPERS = {"A4": (595.28, 841.89), "letter": (612.0, 792.0)}
"""Width and height in points (ISO 216; ANSI/ASME Y14.1)."""
BARS_PER_LINE = (1, 8)
PICTURES = ("part", "piano", "guitar")


@dataclass(frozen=True, slots=True)
class SheetOptions:
    """What is asked for.

    ``kind`` of :data:`KINDS`, ``part`` of :data:`core.sheet.part.PARTS`; ``reference`` and ``take`` name rows (None:
    the chosen reference, the first take); ``melody`` engraves the tune where there is one, else the sheet is a chord
    chart; ``style`` is a house style of chord symbols ("plain" prints what was typed); ``bars`` stand on a line;
    ``pictures`` of an answer key are of the "piano" or the "guitar" ("part": the guitar's for a guitarist, else the
    piano's). Raises :class:`SheetError` for a value that is not known.
    """

    kind: str = "standard"
    part: str = "C"
    reference: str | None = None
    take: str | None = None
    melody: bool = True
    style: str = "plain"
    bars: int = 4
    paper: str = "A4"
    pictures: str = "part"

    @property
    def on_guitar(self) -> bool:
        """Whether voicings are drawn on a fretboard."""
        return self.pictures == "guitar" or (self.pictures == "part" and self.part == "guitar")

    def __post_init__(self) -> None:
        for name, value, known in (("sheet", self.kind, KINDS), ("part", self.part, PARTS),
                                   ("symbols", self.style, STYLES), ("paper", self.paper, PAPERS),
                                   ("kind of pictures", self.pictures, PICTURES)):  # fmt: skip
            if value not in known:
                raise SheetError(f"There is no {name} {value!r}; known are {', '.join(known)}.")
        if not BARS_PER_LINE[0] <= self.bars <= BARS_PER_LINE[1]:
            raise SheetError(f"A line holds {BARS_PER_LINE[0]} to {BARS_PER_LINE[1]} bars, not {self.bars}.")
