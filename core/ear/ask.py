"""What a drill can ask of a chart: a place and what would be right there. The question is made when it is asked."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from random import Random

from core.chart import Chart, Take
from core.ear.question import Question


@dataclass(frozen=True, slots=True)
class Ground:
    """What is drilled: a chart, the take beside it, and (not None) the only techniques that have been taught."""

    chart: Chart
    take: Take | None = None
    taught: frozenset[str] | None = None

    def knows(self, technique: str) -> bool:
        """Whether a technique may be asked for."""
        return self.taught is None or technique in self.taught


@dataclass(frozen=True, slots=True)
class Ask:
    """A possible question: drill, right answer, the time (quarter notes) it begins, and how a question is made of it.

    ``make`` shuffles with the Random it is given.
    """

    drill: str
    right: str
    at: Fraction
    make: Callable[[Random], Question]

    @property
    def item(self) -> str:
        """What is repeated at intervals."""
        return f"{self.drill}:{self.right}"
