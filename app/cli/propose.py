"""``changewright propose FILE --bar N``: substitutions for a place, best first, and what was refused there."""

from __future__ import annotations

import argparse
from fractions import Fraction
from typing import Any

from app.cli import UsageError, document
from app.cli.reading import read_chart
from core.chart import Chart, ChartError
from core.form import Form
from core.propose import Proposal, Proposals, Refusal, propose
from core.row import Row
from core.spelling import printed
from core.technique_map import MapCell, technique_map
from core.techniques.catalogue import TECHNIQUES


def add_to(commands: Any) -> None:
    """Add the command's words."""
    parser = commands.add_parser("propose", help="substitutions for a bar, checked and explained")
    parser.add_argument("file", help="a chart, or - for stdin")
    parser.add_argument("--bar", type=int, metavar="N", help="played bar, counted from 1 (a pickup is bar 0)")
    parser.add_argument("--beat", metavar="B", default="1", help="quarter note in the bar, from 1, such as 3 or 5/2")
    parser.add_argument("--bars", type=int, metavar="K", default=1, help="how many bars the window has (1)")
    parser.add_argument("--take", metavar="NAME", help="change this take instead of the standard row")
    parser.add_argument(
        "--depth", type=int, metavar="D", default=1, choices=range(1, 5), help="techniques on top of each other (1)"
    )
    parser.add_argument("--count", type=int, metavar="C", help="at most so many proposals")
    parser.add_argument("--map", action="store_true", help="the whole form: a cell for each technique and bar")
    parser.add_argument("--json", action="store_true", help="one JSON document")
    parser.set_defaults(command=run)


def run(arguments: argparse.Namespace) -> int:
    """Propose, and print."""
    if arguments.map == (arguments.bar is not None):
        raise UsageError("give either --bar N or --map")
    chart = read_chart(arguments.file)
    take = None if arguments.take is None else chart.take_named(arguments.take)
    form = chart.form_of(take)
    if arguments.map:
        return _map(chart, arguments.take, form, arguments.json)
    start, end = _window(form, arguments.bar, arguments.beat, arguments.bars)
    found = propose(chart, arguments.take, start, end, arguments.depth)
    if arguments.count is not None:
        found = Proposals(found.proposals[: max(0, arguments.count)], found.refused)
    if arguments.json:
        document.write(_document(chart, arguments.take, form, start, end, found))
    else:
        _print(chart, form, found)
    return 0


def _window(form: Form, number: int, beat: str, bars: int) -> tuple[Fraction, Fraction]:
    if bars < 1:
        raise UsageError("--bars is at least 1")
    first = form.bar_numbered(number)
    try:
        start = first.start + Fraction(beat) - 1
    except (ValueError, ZeroDivisionError):
        raise UsageError(f"--beat takes a quarter note such as 3 or 5/2, not {beat!r}") from None
    if not first.start <= start < first.end:
        raise ChartError(f"Bar {number} has beats from 1 to below {1 + first.length}, not {beat}.")
    last = form.bars[min(first.index + bars, len(form.bars)) - 1]
    return start, last.end


def _document(
    chart: Chart, take: str | None, form: Form, start: Fraction, end: Fraction, found: Proposals
) -> document.Document:
    return {
        "title": chart.title,
        "row": take or "standard",
        "window": document.span_of(form, start, end),
        "proposals": [_proposal(form, proposal) for proposal in found.proposals],
        "refused": [_refusal(form, refusal) for refusal in found.refused],
    }


def _proposal(form: Form, proposal: Proposal) -> document.Document:
    return {
        "technique": proposal.technique,
        "title": proposal.title,
        "span": document.span_of(form, proposal.start, proposal.end),
        "before": document.slots(form, proposal.before),
        "after": document.slots(form, proposal.after),
        "steps": [document.step(form, step) for step in proposal.steps],
        "why": proposal.why,
        "checks": document.checks(form, proposal.checks),
        "cost": proposal.cost,
        "terms": dict(proposal.terms),
        "boldness": proposal.boldness,
        "restores": [form.bars[index].number for index in proposal.restores],
        "taken": proposal.taken,
    }


def _refusal(form: Form, refusal: Refusal) -> document.Document:
    return {
        "technique": refusal.technique,
        "title": refusal.title,
        "span": document.span_of(form, refusal.start, refusal.end),
        "before": document.slots(form, refusal.before),
        "after": document.slots(form, refusal.after),
        "why": refusal.why,
        "findings": [document.finding(form, found) for found in refusal.findings],
    }


_MARKS = {"good": "●", "caution": "◐", "clash": "✕"}


def _print(chart: Chart, form: Form, found: Proposals) -> None:
    if not found.proposals:
        print("Nothing to propose here.")
    for number, proposal in enumerate(found.proposals, 1):
        where = document.place(form, proposal.start)
        title = proposal.title + (", in the take" if proposal.taken else "")
        change = f"{_chords(chart, proposal.before)} → {_chords(chart, proposal.after)}"
        print(f"{number}. bar {where['bar']}, beat {where['beat']}: {change}   {title}")
        print(f"   {proposal.why}")
        print(
            "   "
            + "   ".join(
                f"{_MARKS[c.verdict]} {c.name.replace('_', ' ')} {c.verdict}: {c.summary}" for c in proposal.checks
            )
        )
    for refusal in found.refused:
        where = document.place(form, refusal.start)
        print(f"✕ refused at bar {where['bar']}: {refusal.title} ({_chords(chart, refusal.after)}). {refusal.why}")


def _chords(chart: Chart, row: Row) -> str:
    return " ".join(printed(slot.chord, chart.key) for slot in row)


def _map(chart: Chart, take: str | None, form: Form, as_json: bool) -> int:
    cells = technique_map(chart, take)
    if as_json:
        document.write(
            {"title": chart.title, "row": take or "standard", "cells": [_cell(form, cell) for cell in cells]}
        )
        return 0
    width = max(len(technique.title) for technique in TECHNIQUES)
    print(f"{'':{width}} {_ruler(form)}")
    for technique in TECHNIQUES:
        print(
            f"{technique.title:{width}} {''.join(_map_mark(cell) for cell in cells if cell.technique == technique.id)}"
        )
    print("● applies   ◐ applies with a caution   ✕ refused")
    return 0


def _ruler(form: Form) -> str:
    """Bar numbers over their columns, every four bars."""
    line = [" "] * (len(form.bars) + 4)
    for bar in form.bars[::4]:
        line[bar.index : bar.index + len(str(bar.number))] = str(bar.number)
    return "".join(line).rstrip()


def _map_mark(cell: MapCell) -> str:
    if cell.best is None:
        return "✕" if cell.refused else "·"
    return "●" if cell.best == "good" else "◐"


def _cell(form: Form, cell: MapCell) -> document.Document:
    bar = form.bars[cell.bar]
    return {
        "bar": bar.number,
        "printed": bar.printed,
        "technique": cell.technique,
        "applies": [proposal.title for proposal in cell.proposals],
        "best": cell.best,
        "refused": [{"title": refusal.title, "why": refusal.why} for refusal in cell.refused],
    }
