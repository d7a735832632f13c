"""When to ask again: the rule called SM-2.

P. A. Woźniak, *Optimization of learning*, master's thesis, University of Technology in Poznań, 1990, chapter 3.2:
the interval is 1 day after the first good answer, 6 after the second, then the last interval times the easiness,
rounded up; the easiness moves with the quality of the answer (0 to 5) and never falls under 1.3; below quality 3 the
item begins again with its easiness as it was, and what was not good is asked again the same day.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil

FIRST_EASINESS, LEAST_EASINESS = 2.5, 1.3
FIRST_INTERVALS = (1, 6)
PASSED = 3
"""The least quality that counts as known."""


@dataclass(frozen=True, slots=True)
class Card:
    """An item: its easiness, how often it was known in a row, the interval in days, the day (ordinal) it is due."""

    item: str
    easiness: float = FIRST_EASINESS
    repetitions: int = 0
    interval: int = 0
    due: int = 0


def quality(right: bool, hearings: int) -> int:
    """The grade of an answer: 5 at the first hearing, 4 at the second, 3 after more; 1 for a wrong one.

    The thesis leaves grading to the learner; an ear drill can count instead (judgement, no source).
    """
    return max(PASSED, 6 - max(1, hearings)) if right else 1


def reviewed(card: Card, grade: int, today: int) -> Card:
    """The card after an answer of quality 0 to 5 on a day."""
    if grade < PASSED:
        return replace(card, repetitions=0, interval=0, due=today)
    easiness = max(LEAST_EASINESS, card.easiness + 0.1 - (5 - grade) * (0.08 + (5 - grade) * 0.02))
    count = card.repetitions
    interval = FIRST_INTERVALS[count] if count < len(FIRST_INTERVALS) else ceil(round(card.interval * easiness, 6))
    return Card(card.item, easiness, count + 1, interval, today + interval)
