"""What a teacher keeps with a chart: words on bars, prepared steps, techniques taught so far, assignments.

Bars are indexes of the played form. Everything here is kept in the chart's file and changes no chord.
Named tuples, since they are loaded before the first paint, where a frozen dataclass costs a millisecond to make.
"""

from __future__ import annotations

from typing import NamedTuple

SHOWN_ROWS = ("standard", "take")
LONGEST_TEXT = 400


class BarNote(NamedTuple):
    """Words on a bar."""

    bar: int
    text: str


class PreparedStep(NamedTuple):
    """A step of a lesson: what to say, the bars it is about (inclusive) and the row that is shown and heard in them."""

    words: str
    first: int
    last: int
    row: str = "take"


class Assignment(NamedTuple):
    """What a student is to do with a take.

    ``wants`` are (technique id, at least how many times); ``keep`` are bars that stay as the standard has them;
    ``most`` is how many bars may change at most and ``least`` how many must (0: no matter); ``clean`` asks for a tune
    without clashes.
    """

    wants: tuple[tuple[str, int], ...] = ()
    keep: tuple[int, ...] = ()
    least: int = 0
    most: int = 0
    clean: bool = False


class ClassNotes(NamedTuple):
    """All of it. ``taught`` are technique ids in the order in which they were taught."""

    notes: tuple[BarNote, ...] = ()
    steps: tuple[PreparedStep, ...] = ()
    taught: tuple[str, ...] = ()
    assignments: tuple[Assignment, ...] = ()

    def note_on(self, bar: int) -> str:
        """The words on a bar, "" where there are none."""
        return next((note.text for note in self.notes if note.bar == bar), "")

    @property
    def bars(self) -> tuple[int, ...]:
        """Every bar that is named anywhere: they must all be there."""
        named = [note.bar for note in self.notes] + [bar for step in self.steps for bar in (step.first, step.last)]
        return tuple(named + [bar for assignment in self.assignments for bar in assignment.keep])


NOTHING = ClassNotes()
