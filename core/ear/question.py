"""A question for the ear: what is heard, what may be answered, what was right. Plain data.

Nothing needs to be read to answer: an answer has a number, a word, and notes that can be played instead.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from core.chart import Chart

WHITE_KEYS = (0, 2, 4, 5, 7, 9, 11)
"""Pitch classes of the white keys from C: played, they stand for the answers in their order."""
LEAST_CHORD = 3
"""Notes that must be played to mean a chord."""


@dataclass(frozen=True, slots=True)
class Drill:
    """A kind of ear work: identifier, name, what is asked in one sentence."""

    id: str
    title: str
    asks: str


DRILLS: Mapping[str, Drill] = MappingProxyType(
    {
        drill.id: drill
        for drill in (
            Drill("row", "Which row", "Is this the standard or the take?"),
            Drill("technique", "Which technique", "Which technique was used here?"),
            Drill("dominant", "Which dominant", "Which dominant leads back home?"),
            Drill("bass", "Bass", "Which step of the key is in the bass?"),
            Drill("guides", "Guide tones", "Which kind of chord do the guide tones make?"),
            Drill("chord", "Whole chord", "Which chord is it?"),
            Drill("sing", "Sing first", "Sing the tone that is asked for, then check yourself."),
        )
    }
)
STAGES = ("bass", "guides", "chord")
"""One chord heard in three steps, in the order that players report: the bass, the guide tones, everything."""


@dataclass(frozen=True, slots=True)
class Excerpt:
    """Music to be heard: a stretch cut out as a chart of its own, the parts that sound and how the piano voices.

    ``start`` and ``end`` are quarter notes of the excerpt between which the question lies.
    """

    chart: Chart
    parts: frozenset[str]
    start: Fraction
    end: Fraction
    guides: bool = False


@dataclass(frozen=True, slots=True)
class Answer:
    """What may be answered: identifier (what is confused with what), words, the notes that mean it, how it sounds.

    ``tones`` are chromatic pitch classes, ``bass`` the lowest of them; without tones a white key means it.
    """

    id: str
    words: str
    detail: str = ""
    tones: frozenset[int] = frozenset()
    bass: int | None = None
    excerpt: Excerpt | None = None


@dataclass(frozen=True, slots=True)
class Question:
    """One question.

    ``at`` is the time it begins in the chart, ``first`` and ``last`` are the bars it was cut from, ``reveal`` is what
    to say after it, ``told`` what to hear beside it. ``checks_itself``: the singer judges; "check" plays ``told`` and
    shows ``reveal`` before the answer.
    """

    drill: str
    asks: str
    at: Fraction
    first: int
    last: int
    excerpt: Excerpt
    answers: tuple[Answer, ...]
    right: str
    reveal: str
    told: Excerpt | None = None
    checks_itself: bool = False

    @property
    def item(self) -> str:
        """What is repeated at intervals: the skill, not the bar."""
        return f"{self.drill}:{self.right}"

    def answer(self, identifier: str) -> Answer:
        """An answer by its identifier; raises KeyError."""
        return {answer.id: answer for answer in self.answers}[identifier]


def played_answer(question: Question, pitches: frozenset[int]) -> str | None:
    """The answer that notes played on a keyboard (MIDI numbers) mean, or None while they mean none or several.

    A single note is the bass or the sung tone where that is asked, or a white key that counts the answers; a chord is
    the answer that shares most with it.
    """
    if not pitches:
        return None
    classes = frozenset(pitch % 12 for pitch in pitches)
    if question.checks_itself:
        other = next(answer.id for answer in question.answers if answer.id != question.right)
        return question.right if classes == question.answer(question.right).tones else other
    if any(len(answer.tones) >= LEAST_CHORD for answer in question.answers):
        return _played_chord(question, classes, min(pitches) % 12) if len(classes) >= LEAST_CHORD else None
    if any(answer.tones for answer in question.answers):
        found = [answer.id for answer in question.answers if answer.tones == classes]
        return found[0] if len(found) == 1 else None
    place = WHITE_KEYS.index(min(pitches) % 12) if min(pitches) % 12 in WHITE_KEYS else len(WHITE_KEYS)
    return question.answers[place].id if place < len(question.answers) else None


def _played_chord(question: Question, classes: frozenset[int], bass: int) -> str | None:
    """The chord whose tones are nearest, the lowest note counting as much as three others."""
    scores = sorted(
        (2 * len(classes & answer.tones) - len(classes | answer.tones) + 3 * (bass == answer.bass), answer.id)
        for answer in question.answers
        if answer.tones
    )
    if len(scores) > 1 and scores[-1][0] == scores[-2][0]:
        return None
    return scores[-1][1]
