"""Proposals as the panel shows them: order by boldness, chord texts, three checks with mark and word. No Qt."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from app.window.page.chord_text import ChordParts, printed_slot, spoken
from core.form import Form
from core.pitch import with_signs
from core.row import Row, merged

if TYPE_CHECKING:
    from core.propose import Proposal, Refusal

_NUMERAL_SIGN = re.compile(r"(?<![a-z])[b#](?=[IVXivx\d])|[b#](?=\d)")
MARKS = {"good": "●", "caution": "◐", "clash": "✕"}
CHECK_WORDS = (("melody", "melody"), ("leading", "leading"), ("function", "function"))


@dataclass(frozen=True, slots=True)
class CheckLine:
    """One check on a card: its word, its verdict with mark, and what it found in a few words."""

    word: str
    verdict: str
    mark: str
    text: str


@dataclass(frozen=True, slots=True)
class Card:
    """A proposal or a refusal as text. ``refused`` cards cannot be taken, but they can be heard.

    ``note`` is what the user wrote beside the step that made it. ``place`` says where it begins ("bar 4, beat 3"),
    "" where the heading of the panel says it already.
    """

    chords: tuple[ChordParts, ...]
    title: str
    why: str
    checks: tuple[CheckLine, ...] = ()
    refused: bool = False
    place: str = ""
    note: str = ""

    @property
    def heading(self) -> str:
        """Where it begins and what it is."""
        return f"{self.place} · {self.title}" if self.place else self.title

    @property
    def spoken(self) -> str:
        """The card for a screen reader."""
        chords = ", ".join(spoken(parts.text) for parts in self.chords)
        checks = "; ".join(f"{line.word} {line.verdict}, {line.text}" for line in self.checks)
        refused = "Refused: " if self.refused else ""
        note = f"Your words: {self.note} " if self.note else ""
        return f"{refused}{chords}, {self.heading}. {self.why} {note}{checks}"


def proposal_card(proposal: Proposal, signature: int, style: str = "plain", place: str = "", note: str = "") -> Card:
    """A proposal as a card; ``note`` are the user's own words on it."""
    lines = []
    for field, word in CHECK_WORDS:
        check = getattr(proposal, field)
        lines.append(CheckLine(word, check.verdict, MARKS[check.verdict], check.summary))
    title = f"{proposal.title}, in the take" if proposal.taken else proposal.title
    return Card(
        chord_texts(proposal.after, signature, style), title, proposal.why, tuple(lines), place=place, note=note
    )


def refusal_card(refusal: Refusal, signature: int, style: str = "plain", place: str = "") -> Card:
    """A refusal as a card."""
    return Card(chord_texts(refusal.after, signature, style), refusal.title, refusal.why, refused=True, place=place)


def chord_texts(row: Row, signature: int, style: str = "plain") -> tuple[ChordParts, ...]:
    """The chords of a stretch as printed, repetitions once."""
    return tuple(printed_slot(slot, signature, style) for slot in merged(row))


def numeral_text(numeral: str) -> str:
    """A numeral with real signs, words left alone: ``numeral_text('subV7/bIII') == 'subV7/♭III'``."""
    return _NUMERAL_SIGN.sub(lambda found: with_signs(found[0]), numeral)


def place_words(form: Form, start: Fraction, first: int, last: int) -> str:
    """Where a proposal begins, as far as a heading that names bars ``first`` to ``last`` leaves it open.

    ``'bar 4, beat 3'``, ``'beat 3'`` in a single bar, "" at the start of a single bar.
    """
    bar = form.bar_at(start)
    beat = (start - bar.start) / bar.meter.beat + 1
    words = [f"bar {bar.number}"] if first != last or bar.index != first else []
    if beat != 1:
        whole, rest = divmod(beat, 1)
        words.append(f"beat {whole}" + (f" {rest.numerator}/{rest.denominator}" if rest else ""))
    return ", ".join(words)
