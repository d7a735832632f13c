"""``changewright chorus FILE``: takes for the whole form, the best first, each unlike the ones before it."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path
from typing import Any

from app.asked_chords import AskedError, read_asked
from app.bar_ranges import BarsError, read_bars
from app.cli import UsageError, document
from app.cli.reading import read_chart
from core.chart import Chart
from core.chorus import ChorusTake, as_take, chorus, total
from core.chorus.cost import TERMS
from core.chorus.request import BASS_PLANS, INSTRUMENTS, BassPlan, Request, Target
from core.edit import free_name
from core.files import save_chart
from core.form import Form
from core.row import Row, span
from core.spelling import printed
from core.techniques.catalogue import TECHNIQUES

_TITLES = {technique.id: technique.title for technique in TECHNIQUES}


def add_to(commands: Any) -> None:
    """Add the command's words."""
    parser = commands.add_parser("chorus", help="whole-form takes, the best first")
    parser.add_argument("file", help="a chart, or - for stdin")
    parser.add_argument("--count", type=int, metavar="K", default=3, help="how many takes (3)")
    parser.add_argument("--boldness", type=float, metavar="B", default=0.35, help="0 stays close, 1 goes far (0.35)")
    parser.add_argument("--depth", type=int, metavar="D", default=2, help="techniques on top of each other (2)")
    parser.add_argument("--keep", metavar="BARS", default="", help='played bars that stay, such as "1-4,9"')
    parser.add_argument(
        "--open-cadences", action="store_true", help="the last two bars of every section may change too"
    )
    parser.add_argument("--chords-a-bar", type=int, metavar="N", default=4, help="at most so many new chords a bar (4)")
    parser.add_argument("--varied", action="store_true", help="sections that are alike may be changed differently")
    parser.add_argument("--forbid", action="append", default=[], metavar="ID", help="a technique not to use")
    parser.add_argument(
        "--favour", action="append", default=[], metavar="ID", help="a technique to use where it may be"
    )
    plans = ", ".join(BASS_PLANS)
    parser.add_argument("--bass", action="append", default=[], metavar="PLAN:BARS",
                        help=f"what the bass does over bars, such as descending:1-4; {plans}")  # fmt: skip
    parser.add_argument("--target", action="append", default=[], metavar="BAR:CHORD",
                        help="a chord that begins a bar (5:Ebmaj7), or its colour on any root (5:*7alt)")  # fmt: skip
    parser.add_argument("--playable", choices=INSTRUMENTS, default="", help="new chords lie under the tune on it")
    parser.add_argument("--save", metavar="OUT", help="write the chart with these takes")
    parser.add_argument("--json", action="store_true", help="one JSON document, every term of the cost for every bar")
    parser.set_defaults(command=run)


def run(arguments: argparse.Namespace) -> int:
    """Search, and print or save."""
    chart = read_chart(arguments.file)
    request = Request(
        arguments.count, arguments.boldness, arguments.depth, arguments.chords_a_bar,
        frozenset(index for first, last in _bars(chart.form, arguments.keep) for index in range(first, last)),
        not arguments.open_cadences, not arguments.varied, frozenset(arguments.forbid), frozenset(arguments.favour),
        tuple(_plan(chart.form, text) for text in arguments.bass),
        tuple(_target(chart.form, text) for text in arguments.target),
        arguments.playable,
    )  # fmt: skip
    made = list(chorus(chart, request))
    if arguments.save:
        for take in made:
            chart = replace(chart, takes=(*chart.takes, as_take(chart, free_name(chart, "Chorus"), take)))
        save_chart(chart, Path(arguments.save))
    if arguments.json:
        document.write(_document(chart, request, made))
    else:
        _print(chart, request, made)
    return 0


def _bars(form: Form, text: str) -> tuple[tuple[int, int], ...]:
    try:
        return read_bars(form, text)
    except BarsError as error:
        raise UsageError(str(error)) from error


def _plan(form: Form, text: str) -> BassPlan:
    kind, _, bars = text.partition(":")
    spans = _bars(form, bars)
    if len(spans) != 1:
        raise UsageError(f"--bass takes a plan and its bars, such as descending:1-4, not {text!r}")
    return BassPlan(kind, *spans[0])


def _target(form: Form, text: str) -> Target:
    try:
        return Target(*read_asked(form, text))
    except AskedError as error:
        raise UsageError(str(error)) from error


def _document(chart: Chart, request: Request, made: list[ChorusTake]) -> document.Document:
    return {"title": chart.title, "boldness": request.boldness, "takes": [_take(chart.form, take) for take in made]}


def _take(form: Form, take: ChorusTake) -> document.Document:
    return {
        "cost": take.cost,
        "terms": total(take.terms),
        "bars": [{"bar": bar.number, "printed": bar.printed, "terms": dict(zip(TERMS, terms, strict=True))}
                 for bar, terms in zip(form.bars, take.terms, strict=True)],
        "row": document.slots(form, take.row),
        "steps": [document.step(form, step) for step in take.steps],
    }  # fmt: skip


def bars_of(chart: Chart, row: Row) -> list[str]:
    """A row as lines of four bars."""
    bars = [" ".join("N.C." if slot.chord is None else printed(slot.chord, chart.key)
                     for slot in span(row, bar.start, bar.end)) for bar in chart.form.bars]  # fmt: skip
    return ["   | " + " | ".join(bars[first : first + 4]) + " |" for first in range(0, len(bars), 4)]


def _print(chart: Chart, request: Request, made: list[ChorusTake]) -> None:
    for number, take in enumerate(made, 1):
        terms = ", ".join(f"{name} {value}" for name, value in total(take.terms).items() if value)
        print(f"{number}. cost {take.cost}" + (f": {terms}" if terms else ""))
        print(*bars_of(chart, take.row), sep="\n")
        for step in take.steps:
            print(f"   bar {chart.form.bar_at(step.start).number}: {_TITLES[step.technique]}")
    if len(made) < request.count:
        there = "is only 1 take" if len(made) == 1 else f"are only {len(made)} takes"
        print(f"There {there} that differ enough, not {request.count}; ask for more boldness or depth.")
