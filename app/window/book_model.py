"""A page of the technique book as the window shows it: examples as little charts with both rows. No Qt.

Everything comes from :mod:`core.technique_book`; nothing is written a second time.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from app.window.page.page_model import PageModel, page_model
from app.window.reading import read_chart
from core.chart import Chart, Step, Take
from core.pitch import pretty_name
from core.row import span

if TYPE_CHECKING:
    from core.technique_book import BookEntry, BookExample

AFTER = "after"
TONICS = (0, -5, 2, -3, 4, -1, -6, 1, -4, 3, -2, 5)
"""Keys to read the book in, up the keyboard from C; minor examples stand in the same tonic's minor."""
MOST_FLATS = 6  # a minor key that would need more is written with sharps


class BookTitle(NamedTuple):
    """A line of the list; ``searched`` is what the filter looks through."""

    id: str
    title: str
    family: str
    searched: str


class ExamplePage(NamedTuple):
    """An example to be drawn and heard: ``take`` is None where the technique must not be applied."""

    model: PageModel
    chart: Chart
    take: str | None
    heading: str
    why: str


class BookPage(NamedTuple):
    """A technique on paper; ``boldness`` from 0 (safe) to 100 (bold)."""

    id: str
    title: str
    family: str
    rule: str
    melody: str
    boldness: int
    sources: tuple[str, ...]
    examples: tuple[ExamplePage, ...]
    refused: tuple[ExamplePage, ...]


def book_titles() -> tuple[BookTitle, ...]:
    """Every technique, family by family, both in the order of the catalogue."""
    from core.techniques.catalogue import TECHNIQUES

    families = list(dict.fromkeys(technique.family for technique in TECHNIQUES))
    titles = []
    for technique in sorted(TECHNIQUES, key=lambda one: families.index(one.family)):
        rules = " ".join(rule.title for rule in technique.rules)
        words = f"{technique.title} {technique.seam} {technique.id} {technique.family} {rules} {technique.rule_text}"
        titles.append(BookTitle(technique.id, technique.title, family_name(technique.family), words.lower()))
    return tuple(titles)


def family_name(family: str) -> str:
    """ "Dominants"."""
    return family.replace("_", " ").capitalize()


def matching(titles: tuple[BookTitle, ...], wanted: str) -> tuple[BookTitle, ...]:
    """The lines in which every word that is looked for occurs."""
    words = wanted.lower().split()
    return tuple(title for title in titles if all(word in title.searched for word in words))


def read_book(name: str, tonic: int | None, style: str = "plain") -> BookPage:
    """One technique in a key (None: the book's own keys); raises :class:`core.technique_book.UnknownTechnique`."""
    from core.technique_book import entry_named

    entry = entry_named(name, tonic)
    examples, refused = _readable(entry, tonic)
    return BookPage(entry.id, entry.title, family_name(entry.family), entry.rule, entry.melody,
                    round(100 * entry.boldness), entry.references,
                    tuple(_applied(example, entry, style) for example in examples),
                    tuple(_refused(example, style) for example in refused))  # fmt: skip


def _readable(entry: BookEntry, tonic: int | None) -> tuple[tuple[BookExample, ...], tuple[BookExample, ...]]:
    """The examples, those in minor keys with very many flats written with sharps."""
    from core.technique_book import entry_named

    if tonic is None or all(_few_flats(example) for example in (*entry.examples, *entry.refused)):
        return entry.examples, entry.refused
    sharp = entry_named(entry.id, tonic + 12)
    chosen = [tuple(flat if _few_flats(flat) else other for flat, other in zip(ours, theirs, strict=True))
              for ours, theirs in ((entry.examples, sharp.examples), (entry.refused, sharp.refused))]  # fmt: skip
    return chosen[0], chosen[1]


def _few_flats(example: BookExample) -> bool:
    return example.key.signature >= -MOST_FLATS


def _applied(example: BookExample, entry: BookEntry, style: str) -> ExamplePage:
    assert example.after is not None
    old, new = (span(row, example.start, example.end) for row in (example.before, example.after))
    step = Step(entry.id, example.start, example.end, old, new)
    take = Take(AFTER, example.after, (step,))
    chart = replace(example.chart, takes=(take,))
    heading = _key_words(example) + ("" if example.title == entry.title else f" · {example.title}")
    return ExamplePage(page_model(chart, AFTER, read_chart(chart, AFTER), style), chart, AFTER, heading, example.why)


def _refused(example: BookExample, style: str) -> ExamplePage:
    chart = example.chart
    bar = chart.form.bar_at(example.start).number
    why = example.why or f"In bar {bar} the rule finds no place."
    return ExamplePage(page_model(chart, None, read_chart(chart, None), style), chart, None, _key_words(example), why)


def _key_words(example: BookExample) -> str:
    return f"{pretty_name(example.key.tonic)} {example.key.mode}"
