"""What an ear has learned: cards, what was heard as what, and the days. Plain data, kept as JSON on this machine."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

from core.ear.repetition import Card, quality, reviewed
from core.errors import ChangewrightError

FORMAT, VERSION = "changewright ear progress", 1
_NO_CARDS: Mapping[str, Card] = MappingProxyType({})
_NO_ANSWERS: Mapping[tuple[str, str, str], int] = MappingProxyType({})
_NO_DAYS: Mapping[int, tuple[int, int]] = MappingProxyType({})


class ProgressError(ChangewrightError):
    """A file that holds no progress we can read."""


@dataclass(frozen=True, slots=True)
class Progress:
    """``answers`` counts (drill, what sounded, what was answered); ``days`` maps a day (ordinal) to asked and right."""

    cards: Mapping[str, Card] = field(default_factory=lambda: _NO_CARDS)
    answers: Mapping[tuple[str, str, str], int] = field(default_factory=lambda: _NO_ANSWERS)
    days: Mapping[int, tuple[int, int]] = field(default_factory=lambda: _NO_DAYS)

    def card(self, item: str) -> Card:
        """The card of an item, a fresh one where it was never asked."""
        return self.cards.get(item) or Card(item)

    def is_due(self, item: str, today: int) -> bool:
        """Whether an item that was asked before wants to be asked again."""
        return item in self.cards and self.cards[item].due <= today


def answered(progress: Progress, drill: str, right: str, given: str, hearings: int, today: int) -> Progress:
    """The progress after an answer.

    Every answer counts in the table. A card moves on only on a day it is due: answering ten times in an evening is not
    remembering for ten days. A wrong answer always brings it back.
    """
    item, known = f"{drill}:{right}", given == right
    key = (drill, right, given)
    asked, good = progress.days.get(today, (0, 0))
    cards = dict(progress.cards)
    if not known or item not in cards or cards[item].due <= today:
        cards[item] = reviewed(progress.card(item), quality(known, hearings), today)
    return replace(
        progress,
        cards=MappingProxyType(cards),
        answers=MappingProxyType({**progress.answers, key: progress.answers.get(key, 0) + 1}),
        days=MappingProxyType({**progress.days, today: (asked + 1, good + known)}),
    )


@dataclass(frozen=True, slots=True)
class Confusions:
    """One drill: what sounded and what was answered, in the same order both ways, and the counts row by row."""

    names: tuple[str, ...]
    counts: tuple[tuple[int, ...], ...]

    @property
    def asked(self) -> int:
        """How many answers there are."""
        return sum(map(sum, self.counts))

    @property
    def right(self) -> int:
        """How many of them were right."""
        return sum(row[index] for index, row in enumerate(self.counts))

    def worst(self) -> tuple[str, str, int] | None:
        """The pair that was confused most often: what sounded, what was answered, how often; None without mistakes."""
        pairs = [
            (count, -i, -j) for i, row in enumerate(self.counts) for j, count in enumerate(row) if i != j and count
        ]
        if not pairs:
            return None
        count, i, j = max(pairs)
        return self.names[-i], self.names[-j], count


def confusions(progress: Progress, drill: str) -> Confusions:
    """The table of a drill, names in the order in which they were first met."""
    found = {key: count for key, count in progress.answers.items() if key[0] == drill}
    names = tuple(dict.fromkeys(name for _, right, given in found for name in (right, given)))
    counts = tuple(tuple(found.get((drill, right, given), 0) for given in names) for right in names)
    return Confusions(names, counts)


# --- as a file -------------------------------------------------------------------------------------------------------


def progress_to_json(progress: Progress) -> str:
    """JSON text, ending in a newline; the same progress always gives the same text."""
    cards = [[c.item, round(c.easiness, 4), c.repetitions, c.interval, c.due] for c in progress.cards.values()]
    answers = [[*key, count] for key, count in progress.answers.items()]
    days = [[day, *counts] for day, counts in sorted(progress.days.items())]
    tables: dict[str, list[list[Any]]] = {"cards": cards, "answers": answers, "days": days}
    parts = [f'"{name}": [{_lines(rows)}]' for name, rows in tables.items()]
    head = f'{{\n "format": {json.dumps(FORMAT)},\n "version": {VERSION},\n '
    return head + ",\n ".join(parts) + "\n}\n"


def _lines(rows: list[list[Any]]) -> str:
    """A row a line, so that differences can be read."""
    return "\n  " + ",\n  ".join(json.dumps(row, ensure_ascii=False) for row in rows) + "\n " if rows else ""


def progress_from_json(text: str) -> Progress:
    """Read it; raises :class:`ProgressError` for anything else."""
    try:
        document = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise ProgressError("The ear progress cannot be read: it is not JSON.") from error
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise ProgressError(f"The ear progress cannot be read: its 'format' is not {FORMAT!r}.")
    if document.get("version") != VERSION:
        raise ProgressError(f"The ear progress is of format {document.get('version')!r}; this program reads {VERSION}.")
    cards = [Card(*row) for row in _rows(document, "cards", (str, (int, float), int, int, int))]
    answers = {(row[0], row[1], row[2]): row[3] for row in _rows(document, "answers", (str, str, str, int))}
    days = {row[0]: (row[1], row[2]) for row in _rows(document, "days", (int, int, int))}
    return Progress(MappingProxyType({card.item: card for card in cards}), MappingProxyType(answers),
                    MappingProxyType(days))  # fmt: skip


def _rows(document: dict[str, Any], name: str, kinds: tuple[Any, ...]) -> list[list[Any]]:
    rows = document.get(name)
    if not isinstance(rows, list):
        raise ProgressError(f"The ear progress cannot be read: {name!r} is missing.")
    for place, row in enumerate(rows):
        fits = isinstance(row, list) and len(row) == len(kinds)
        if not fits or not all(isinstance(v, k) and not isinstance(v, bool) for v, k in zip(row, kinds, strict=True)):
            raise ProgressError(f"The ear progress cannot be read: {name}[{place}] is not what it should be.")
    return rows
