"""``changewright check FILE``: every finding for a take against the standard row."""

from __future__ import annotations

import argparse
from typing import Any

from app.cli import document
from app.cli.reading import read_chart
from core.chart import Chart, ChartError, Take, changed_bars
from core.spelling import printed
from core.take_check import TakeReport, check_take, summary


def add_to(commands: Any) -> None:
    """Add the command's words."""
    parser = commands.add_parser("check", help="every finding for a take")
    parser.add_argument("file", help="a chart, or - for stdin")
    parser.add_argument("--take", metavar="NAME", help="the take to check (the only one, or the first)")
    parser.add_argument("--json", action="store_true", help="one JSON document")
    parser.set_defaults(command=run)


def run(arguments: argparse.Namespace) -> int:
    """Check, and print."""
    chart = read_chart(arguments.file)
    take = _take(chart, arguments.take)
    report = check_take(chart, take)
    if arguments.json:
        document.write(_document(chart, take, report))
    else:
        _print(chart, take, report)
    return 0


def _take(chart: Chart, name: str | None) -> Take:
    """The named take; the standard row itself when the chart has no take, so that its melody is still checked."""
    if name is not None:
        return chart.take_named(name)
    if not chart.references:
        raise ChartError("The chart has no rows to check.")
    return chart.takes[0] if chart.takes else Take("standard", chart.standard)


def _document(chart: Chart, take: Take, report: TakeReport) -> document.Document:
    form = chart.form_of(take)
    return {
        "title": chart.title,
        "take": take.name,
        "reference": chart.reference,
        "bars_changed": len(changed_bars(chart, take)),
        "bars": len(form.bars),
        "verdicts": {name: report.verdict(name) for name in ("melody", "voice_leading", "function")},
        "changes": [
            {
                "span": document.span_of(form, change.start, change.end),
                "before": document.slots(form, change.before),
                "after": document.slots(form, change.after),
                "checks": document.checks(form, change.checks),
            }
            for change in report.changes
        ],
        "findings": [document.finding(form, found) for found in report.findings],
    }


def _print(chart: Chart, take: Take, report: TakeReport) -> None:
    form = chart.form_of(take)
    print(f"{chart.title}, {take.name}: {summary(chart, take, report, len(changed_bars(chart, take)))}")
    for change in report.changes:
        where = document.place(form, change.start)
        before, after = (
            " ".join(printed(slot.chord, chart.key) for slot in row) for row in (change.before, change.after)
        )
        print(f"bar {where['bar']}, beat {where['beat']}: {before} → {after}")
        for check in change.checks:
            print(f"   {check.name.replace('_', ' ')}: {check.verdict} ({check.summary})")
    for found in report.findings:
        if found.verdict != "good":
            where = document.place(form, found.where)
            print(f"{found.verdict} in bar {where['bar']}, beat {where['beat']}: {found.text}")
