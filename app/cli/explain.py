"""``changewright explain FILE``: each difference between the rows, and the techniques that produce it."""

from __future__ import annotations

import argparse
from typing import Any

from app.cli import UsageError, document
from app.cli.analyse import row_of_bars
from app.cli.lines import Fields, LineError, answer_lines, key_of, meter_of, text_of
from app.cli.reading import read_chart
from core.chart import Chart, ChartError, Take
from core.explain import ExplainedStep, Explanation, explain_rows, explain_take
from core.form import Form
from core.home_key import home_key
from core.row import Row
from core.spelling import printed


def add_to(commands: Any) -> None:
    """Add the command's words."""
    parser = commands.add_parser("explain", help="each difference between the rows, and what produces it")
    parser.add_argument("file", nargs="?", help="a chart, or - for stdin")
    parser.add_argument("--take", metavar="NAME", help="the take to explain (the only one, or the first)")
    parser.add_argument("--json", action="store_true", help="one JSON document")
    parser.add_argument("--lines", action="store_true", help="JSON lines from stdin to stdout")
    parser.set_defaults(command=run)


def run(arguments: argparse.Namespace) -> int:
    """Explain, and print."""
    if arguments.lines == (arguments.file is not None):
        raise UsageError("give either a file or --lines")
    if arguments.lines:
        return answer_lines(_answer)
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


# --- lines ---------------------------------------------------------------------------------------------------------


def _answer(fields: Fields) -> document.Document:
    """Both rows of a line with their surroundings; places count from the first bar of ``standard``."""
    key, meter = key_of(fields), meter_of(fields)
    texts = {name: _bars(text_of(fields, name, "Dm7 | G7 | Cmaj7 | %")) for name in ("standard", "substitute")}
    around = {name: _bars(text_of(fields, name, "Cmaj7")) if fields.get(name) else "" for name in ("before", "after")}
    rows = {name: row_of_bars(" | ".join(filter(None, (around["before"], text, around["after"]))), meter, name)
            for name, text in texts.items()}  # fmt: skip
    (standard, form), (substitute, other) = rows["standard"], rows["substitute"]
    if form.length != other.length:
        raise LineError(f"standard has {len(form.bars)} bars with its surroundings and substitute {len(other.bars)}; "
                        "write as many bars in both.")  # fmt: skip
    found = explain_rows(standard, substitute, form, key or home_key(standard, form))
    shift = len(row_of_bars(around["before"], meter, "before")[1].bars) if around["before"] else 0
    return {
        "explained": all(item.explained for item in found),
        "cost": sum(item.cost for item in found),
        "steps": [_line_step(form, shift, step) for item in found for step in item.steps],
    }


def _bars(text: str) -> str:
    return text.strip().strip("|").strip()


def _line_step(form: Form, shift: int, step: ExplainedStep) -> document.Document:
    where = document.place(form, step.start)
    return {"technique": step.technique, "from": _canonical(step.before), "to": _canonical(step.after),
            "where": {"bar": where["bar"] - shift, "beat": where["beat"]}, "why": step.why}  # fmt: skip


def _canonical(row: Row) -> list[str | None]:
    return [slot.chord.canonical if slot.chord else None for slot in row]
