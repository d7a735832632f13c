"""``changewright techniques``: the technique book, generated from the catalogue."""

from __future__ import annotations

import argparse
import textwrap
from typing import Any

from app.cli import document
from core.key import parse_key
from core.row import Row
from core.spelling import printed
from core.technique_book import BookEntry, BookExample, entry_named, technique_book

WIDTH = 80


def add_to(commands: Any) -> None:
    """Add the command's words."""
    parser = commands.add_parser("techniques", help="the technique book")
    parser.add_argument("id", nargs="?", help="only this technique, such as tritone_substitution")
    parser.add_argument("--key", metavar="KEY", help="move the examples to this tonic, such as Eb")
    parser.add_argument("--json", action="store_true", help="one JSON document")
    parser.set_defaults(command=run)


def run(arguments: argparse.Namespace) -> int:
    """Work the examples out, and print."""
    tonic = None if arguments.key is None else parse_key(arguments.key).tonic
    book = technique_book(tonic) if arguments.id is None else (entry_named(arguments.id, tonic),)
    if arguments.json:
        document.write({"techniques": [_document(entry) for entry in book]})
    else:
        print("\n\n".join(_text(entry) for entry in book))
    return 0


def _document(entry: BookEntry) -> document.Document:
    return {
        "id": entry.id,
        "title": entry.title,
        "family": entry.family,
        "rule": entry.rule,
        "melody": entry.melody,
        "boldness": entry.boldness,
        "references": list(entry.references),
        "examples": [_example(example) for example in entry.examples],
        "refused": [_example(example) for example in entry.refused],
    }


def _example(example: BookExample) -> document.Document:
    form = example.form
    found: document.Document = {
        "key": str(example.key),
        "title": example.title,
        "span": document.span_of(form, example.start, example.end),
        "before": document.slots(form, example.before),
        "melody": [[str(note.onset), note.pitch.midi, str(note.duration)] for note in example.chart.melody],
        "why": example.why,
    }
    if example.after is not None:
        found["after"] = document.slots(form, example.after)
    return found


def _text(entry: BookEntry) -> str:
    lines = [f"{entry.title}  ({entry.family}, boldness {entry.boldness:.2f})", "=" * min(WIDTH, len(entry.title))]
    lines += _wrapped(entry.rule) + _wrapped("Melody: " + entry.melody)
    for example in entry.examples:
        assert example.after is not None
        lines += _wrapped(f"In {example.key}: {_bars(example, example.before)}", "  ")
        lines += _wrapped(f"becomes {_bars(example, example.after)}{_under(example)}", "    ")
        lines += _wrapped(example.why, "    ")
    for example in entry.refused:
        reason = example.why or "it does not apply."
        lines += _wrapped(f"Not in {example.key}: {_bars(example, example.before)}{_under(example)}: {reason}", "  ")
    return "\n".join(lines + _wrapped("Sources: " + "; ".join(entry.references) + "."))


def _wrapped(text: str, indent: str = "") -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  ", break_on_hyphens=False)


def _under(example: BookExample) -> str:
    names = dict.fromkeys(str(note.pitch)[:-1].replace("b", "♭").replace("#", "♯") for note in example.chart.melody)
    return f" under the melody note {', '.join(names)}" if names else ""


def _bars(example: BookExample, row: Row) -> str:
    """The row as bar text; a chord held over a bar line is not written again."""
    bars = []
    for bar in example.form.bars:
        here = [printed(slot.chord, example.key) for slot in row if bar.start <= slot.onset < bar.end]
        bars.append(" ".join(here) or "%")
    return " | ".join(bars)
