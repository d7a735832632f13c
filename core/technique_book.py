"""The technique book: the catalogue as a reader wants it, each example worked out by the engine itself.

Nothing is written here that the catalogue says already: rule, melody condition, sources and boldness are its rows, and
the chords and the reason of an example are what proposing makes of it in its key.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from core.bar_text import chart_from_bar_text
from core.chart import Chart
from core.edit import transposed
from core.errors import ChangewrightError
from core.form import Form
from core.key import Key
from core.propose import Proposal, Proposals, propose
from core.row import Row, sounding, splice
from core.techniques.catalogue import TECHNIQUES
from core.techniques.technique import Example, Technique


@dataclass(frozen=True, slots=True)
class BookExample:
    """One example, ready to be read or played: whole rows before and after, and the span (quarter notes) that changes.

    Where the technique must not be applied, ``after`` is None and ``why`` says what refuses it ("" where nothing is
    offered at all). ``title`` is the rule's own where it has one; ``melody`` is the ABC text of the catalogue and
    ``chart`` holds the notes.
    """

    chart: Chart
    before: Row
    after: Row | None
    start: Fraction
    end: Fraction
    title: str
    melody: str
    why: str

    @property
    def key(self) -> Key:
        """The key the example stands in."""
        return self.chart.key

    @property
    def form(self) -> Form:
        """Its bars."""
        return self.chart.form


@dataclass(frozen=True, slots=True)
class BookEntry:
    """A technique: ``boldness`` from 0 to 1; ``examples`` apply, ``refused`` must not."""

    id: str
    title: str
    family: str
    rule: str
    melody: str
    boldness: float
    references: tuple[str, ...]
    examples: tuple[BookExample, ...]
    refused: tuple[BookExample, ...]


class UnknownTechnique(ChangewrightError):
    """An id that is not in the catalogue."""

    def __init__(self, name: str) -> None:
        super().__init__(f"There is no technique {name!r}; known are {', '.join(item.id for item in TECHNIQUES)}.")


@lru_cache(maxsize=16)
def technique_book(tonic: int | None = None) -> tuple[BookEntry, ...]:
    """Every technique in the order of the catalogue.

    ``tonic`` (a place on the line of fifths) moves all examples there; None leaves them in the catalogue's keys.
    """
    return tuple(book_entry(technique, tonic) for technique in TECHNIQUES)


def entry_named(name: str, tonic: int | None = None) -> BookEntry:
    """One technique by id; raises :class:`UnknownTechnique`."""
    found = next((technique for technique in TECHNIQUES if technique.id == name), None)
    if found is None:
        raise UnknownTechnique(name)
    return book_entry(found, tonic)


def book_entry(technique: Technique, tonic: int | None = None) -> BookEntry:
    """A technique with its examples worked out."""
    return BookEntry(technique.id, technique.title, technique.family, technique.rule_text, technique.melody_text,
                     technique.boldness / 100, technique.references,
                     tuple(_applied(technique, example, tonic) for example in technique.examples),
                     tuple(_refused(technique, example, tonic) for example in technique.counterexamples))  # fmt: skip


def _chart(example: Example, bars: str, tonic: int | None) -> Chart:
    melody = f"m: {example.melody} |\n" if example.melody else ""
    chart = chart_from_bar_text(f"key: {example.key}\n\n| {bars} |\n{melody}")
    if tonic is None or tonic == chart.key.tonic:
        return chart
    fifths = tonic - chart.key.tonic
    semitones = fifths * 7 % 12
    return transposed(chart, fifths, semitones if semitones <= 6 else semitones - 12)


def _offered(chart: Chart, technique: Technique, bar: int) -> Proposals:
    here = chart.form.bar_numbered(bar)
    return propose(chart, None, here.start, here.end, techniques=(technique,))


def _applied(technique: Technique, example: Example, tonic: int | None) -> BookExample:
    """What the engine makes of an example: the proposal whose chords are the example's."""
    chart = _chart(example, example.before, tonic)
    wanted = sounding(_chart(example, example.after, tonic).standard)
    for proposal in _offered(chart, technique, example.bar).proposals:
        row = _result(chart, proposal)
        if sounding(row) == wanted:
            return BookExample(chart, chart.standard, row, proposal.start, proposal.end, proposal.title,
                               example.melody, proposal.why)  # fmt: skip
    raise LookupError(f"the example {example.before} of {technique.id} is not proposed")


def _refused(technique: Technique, example: Example, tonic: int | None) -> BookExample:
    chart = _chart(example, example.before, tonic)
    here = chart.form.bar_numbered(example.bar)
    refusals = _offered(chart, technique, example.bar).refused
    why = refusals[0].why if refusals else ""
    return BookExample(chart, chart.standard, None, here.start, here.end, technique.title, example.melody, why)


def _result(chart: Chart, proposal: Proposal) -> Row:
    return splice(chart.standard, proposal.start, proposal.end, proposal.after)
