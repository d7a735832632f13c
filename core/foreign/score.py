"""A score as any reader delivers it, and the choices an import leaves to the user."""

from __future__ import annotations

from dataclasses import dataclass, field

from core.foreign.events import Measure
from core.foreign.report import Report
from core.imported import Choices, Option, Question

MAX_PARTS = 120
MAX_BARS = 5000
MAX_OPTIONS = 60


@dataclass(slots=True)
class Score:
    """Parts by their id, bar by bar, and what stands before them.

    ``names`` are the parts' printed names, ``titles`` the candidates for a title by where they stand, ``fields`` our
    own notes. ``harmony_from_notes`` asks for chords to be named from the notes where no symbol is written,
    ``symbol_source`` is what to say where the symbols are used. ``questions`` are the reader's own.
    """

    report: Report = field(default_factory=Report)
    titles: dict[str, str] = field(default_factory=dict)
    composers: list[str] = field(default_factory=list)
    names: dict[str, str] = field(default_factory=dict)
    fields: dict[str, str] = field(default_factory=dict)
    parts: dict[str, list[Measure]] = field(default_factory=dict)
    questions: list[Question] = field(default_factory=list)
    harmony_from_notes: bool = False
    melody_part: str | None = None
    symbol_source: str = ""

    def label(self, at: int) -> str:
        """What a part is called, by its place."""
        name = self.names.get(list(self.parts)[at], "")
        return name[:40] or f"part {at + 1}"


def asked(choices: Choices, question: str, options: tuple[Option, ...], default: str) -> Question:
    """A question with the user's answer, or the default where there is none that fits."""
    shown = options[:MAX_OPTIONS]
    answer = choices.get(question, default)
    known = any(option.value == answer for option in shown)
    return Question(question, QUESTION_TEXTS[question], shown, answer if known else default)


QUESTION_TEXTS = {
    "tune": "Tune",
    "melody": "Melody",
    "chords": "Chords",
    "bars": "Odd bars",
    "mode": "Key",
    "feel": "Feel",
    "rhythm": "Rhythm",
    "names": "Note names",
    "key": "Key",
    "spread": "Chords without bar lines",
}
"""What each question is called; its key is the name of the choice."""

__all__ = ["MAX_BARS", "MAX_OPTIONS", "MAX_PARTS", "Choices", "Option", "Question", "Score", "asked"]
