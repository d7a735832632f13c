"""What the ear desk says and shows, as plain values. No Qt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TYPE_CHECKING

from core.ear.progress import Confusions, Progress, answered, confusions
from core.ear.question import Excerpt, Question

if TYPE_CHECKING:
    from core.chart import Chart
    from core.ear.ask import Ask

WORKS = ("row", "technique", "dominant", "stages", "sing")
DRILLS_OF: Mapping[str, tuple[str, ...]] = MappingProxyType({"stages": ("bass", "guides", "chord")})
_NAMES: Mapping[str, str] = MappingProxyType(
    {"standard": "standard", "take": "take", "fifth": "dominant", "tritone": "tritone sub", "altered": "altered",
     "backdoor": "backdoor", "another": "another"}
)  # fmt: skip
HINT = "Answer by number, by pressing an answer, or on the MIDI keyboard."


@dataclass(frozen=True, slots=True)
class EarState:
    """Where one question stands: how often it was heard, whether the singer has checked, what was answered."""

    question: Question
    hearings: int = 0
    checked: bool = False
    given: str = ""

    @property
    def is_answered(self) -> bool:
        """Whether there is an answer."""
        return bool(self.given)

    @property
    def is_right(self) -> bool:
        """Whether it is the right one."""
        return self.given == self.question.right

    @property
    def may_answer(self) -> bool:
        """Whether an answer may be given by hand: what judges itself is checked first."""
        return not self.is_answered and (self.checked or not self.question.checks_itself)

    def heard(self) -> EarState:
        """Played once more."""
        return replace(self, hearings=self.hearings + 1)

    @property
    def other(self) -> tuple[str, Excerpt] | None:
        """What may be heard beside it after the answer, with words: what was answered, or what stood there before."""
        if not self.is_answered:
            return None
        if not self.is_right:
            wrong = self.question.answer(self.given)
            if wrong.excerpt is not None:
                return "Hear what you answered", wrong.excerpt
        if self.question.told is not None and not self.question.checks_itself:
            return "Hear the standard there", self.question.told
        another = next((a for a in self.question.answers if a.id != self.question.right and a.excerpt), None)
        return None if another is None or another.excerpt is None else (f"Hear {another.words}", another.excerpt)

    def verdict(self) -> str:
        """What to say of the answer, "" before it."""
        if self.checked and not self.is_answered:
            return f"{self.question.reveal} Did you have it?"
        if not self.is_answered:
            return ""
        if self.question.checks_itself:
            return f"{'Good.' if self.is_right else 'Next time.'} {self.question.reveal}"
        if self.is_right:
            return f"Right. {self.question.reveal}"
        words = self.question.answer(self.given).words
        return f"Not {words}. {self.question.reveal}"


def place_words(chart: Chart, take_name: str | None, question: Question) -> str:
    """``'bars 14–16 of Lantern Steps'``."""
    bars = chart.form_of(chart.take_named(take_name) if take_name else None).bars
    first, last = bars[question.first].number, bars[min(question.last, len(bars) - 1)].number
    where = f"Bar {first}" if first == last else f"Bars {first}–{last}"
    return f"{where} of {chart.title}"


def read_asks(chart: Chart, take_name: str | None, taught: frozenset[str] | None, work: str) -> tuple[Ask, ...]:
    """Everything a line of work can ask; runs in the background."""
    from core.ear.ask import Ground
    from core.ear.lesson import all_asks

    return all_asks(Ground(chart, chart.take_named(take_name) if take_name else None, taught), work)


def draw_question(asks: tuple[Ask, ...], progress: Progress, today: int, last: Question | None) -> Question | None:
    """The next question; which one follows from how many were answered, so that nothing is random twice."""
    from core.ear.lesson import next_question

    return next_question(asks, progress, today, sum(asked for asked, _ in progress.days.values()), last)


def why_none(work: str) -> str:
    """Why a line of work has nothing to ask, and what to do."""
    from core.ear.lesson import WHY_NONE

    return WHY_NONE[work]


def with_answer(progress: Progress, state: EarState, today: int) -> Progress:
    """The progress after the answer of a state."""
    question = state.question
    return answered(progress, question.drill, question.right, state.given, state.hearings, today)


# --- progress --------------------------------------------------------------------------------------------------------


def name_of(drill: str, identifier: str) -> str:
    """What the table calls an answer: few words."""
    if drill == "technique":
        from core.techniques.catalogue import BY_ID

        return BY_ID[identifier].seam if identifier in BY_ID else identifier.replace("_", " ")
    return _NAMES.get(identifier, identifier)


def table_of(progress: Progress, drill: str) -> Confusions:
    """The table of one drill with names to print."""
    table = most_met(confusions(progress, drill))
    return replace(table, names=tuple(name_of(drill, name) for name in table.names))


def most_met(table: Confusions) -> Confusions:
    """The same with what was met most often first, as what sounded or as an answer."""
    count = len(table.names)
    met = [sum(table.counts[i]) + sum(row[i] for row in table.counts) for i in range(count)]
    order = sorted(range(count), key=lambda i: -met[i])
    return Confusions(tuple(table.names[i] for i in order),
                      tuple(tuple(table.counts[i][j] for j in order) for i in order))  # fmt: skip


def table_words(table: Confusions) -> str:
    """The table in a sentence."""
    if not table.asked:
        return "Nothing was asked here yet."
    said = f"{table.right} of {table.asked} right."
    worst = table.worst()
    if worst is None:
        return f"{said} Nothing was confused."
    sounded, given, count = worst
    return f"{said} Most often “{sounded}” was heard as “{given}”: {count} {'time' if count == 1 else 'times'}."


def due_words(progress: Progress, today: int) -> str:
    """How much waits today."""
    due = sum(card.due <= today for card in progress.cards.values())
    asked, right = progress.days.get(today, (0, 0))
    waits = "Nothing is due" if not due else f"{due} {'sound is' if due == 1 else 'sounds are'} due"
    return f"{waits} today · {right} of {asked} right today"
