"""``changewright explain FILE``: each difference between the rows, and the techniques that produce it."""

from __future__ import annotations

import argparse
from typing import Any

from app.cli import document
from app.cli.reading import read_chart
from core.chart import Chart, ChartError, Take
from core.explain import ExplainedStep, Explanation, explain_take
from core.form import Form
from core.row import Row
from core.spelling import printed


def add_to(commands: Any) -> None:
    """Add the command's words."""
    parser = commands.add_parser("explain", help="each difference between the rows, and what produces it")
    parser.add_argument("file", help="a chart, or - for stdin")
    parser.add_argument("--take", metavar="NAME", help="the take to explain (the only one, or the first)")
    parser.add_argument("--json", action="store_true", help="one JSON document")
    parser.set_defaults(command=run)


def run(arguments: argparse.Namespace) -> int:
    """Explain, and print."""
    chart = read_chart(arguments.file)
    if arguments.take is None and not chart.takes:
        raise ChartError("The chart has no take to explain; enter one beside the standard row.")
    take = chart.takes[0] if arguments.take is None else chart.take_named(arguments.take)
    if take.form is not None:
        raise ChartError(f"The take {take.name!r} has bars of its own; only takes on the tune's form can be explained.")
    found = explain_take(chart, take)
    if arguments.json:
        document.write(_document(chart, take, found))
    else:
        _print(chart, found)
    return 0


def _document(chart: Chart, take: Take, found: tuple[Explanation, ...]) -> document.Document:
    form = chart.form
    return {
        "title": chart.title,
        "take": take.name,
        "reference": chart.reference,
        "differences": [
            {
                "span": document.span_of(form, item.start, item.end),
                "before": document.slots(form, item.before),
                "after": document.slots(form, item.after),
                "explained": item.explained,
                "cost": item.cost,
                "steps": [_step(form, step) for step in item.steps],
            }
            for item in found
        ],
    }


def _step(form: Form, step: ExplainedStep) -> document.Document:
    return {
        "technique": step.technique,
        "title": step.title,
        "span": document.span_of(form, step.start, step.end),
        "before": document.slots(form, step.before),
        "after": document.slots(form, step.after),
        "why": step.why,
    }


def _print(chart: Chart, found: tuple[Explanation, ...]) -> None:
    if not found:
        print("The rows agree.")
    for item in found:
        where = document.place(chart.form, item.start)
        print(f"bar {where['bar']}, beat {where['beat']}: {_chords(chart, item.before)} → {_chords(chart, item.after)}")
        if not item.explained:
            print("   no derivation known")
        for step in item.steps:
            print(f"   {step.title}: {_chords(chart, step.before)} → {_chords(chart, step.after)}. {step.why}")


def _chords(chart: Chart, row: Row) -> str:
    return " ".join(printed(slot.chord, chart.key) for slot in row)
