"""``changewright harmonize FILE``: chords for a tune that has none, or over a typed bass line, the best first."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path
from typing import Any

from app.cli import document
from app.cli.chorus import bars_of
from app.cli.reading import read_chart
from core.bar_text import chart_from_bar_text
from core.chart import Chart, NamedRow
from core.chorus import ChorusTake, as_take, total
from core.edit import free_name
from core.files import read_text, save_chart
from core.harmonize import Asked, HarmonizeError, harmonize
from core.row import Row


def add_to(commands: Any) -> None:
    """Add the command's words."""
    parser = commands.add_parser("harmonize", help="chords for a tune without any, or over a bass line")
    parser.add_argument("file", help="a chart with a melody, or - for stdin; the chords it has are left aside")
    parser.add_argument("--count", type=int, metavar="K", default=3, help="how many rows (3)")
    parser.add_argument("--bass", metavar="FILE", help="bar text with a note name for each bass note, as | C B | A |")
    parser.add_argument("--varied", action="store_true", help="sections that are alike may have different chords")
    parser.add_argument("--save", metavar="OUT", help="write the chart: an empty standard row becomes the best, "
                        "others are takes")  # fmt: skip
    parser.add_argument("--json", action="store_true", help="one JSON document")
    parser.set_defaults(command=run)


def run(arguments: argparse.Namespace) -> int:
    """Search, and print or save."""
    chart = read_chart(arguments.file)
    bass = _bass(chart, arguments.bass) if arguments.bass else None
    made = list(harmonize(chart, Asked(arguments.count, bass, not arguments.varied)))
    if arguments.save:
        save_chart(_with_rows(chart, made), Path(arguments.save))
    if arguments.json:
        document.write({"title": chart.title, "rows": [
            {"cost": take.cost, "terms": total(take.terms), "row": document.slots(chart.form, take.row)}
            for take in made]})  # fmt: skip
        return 0
    for number, take in enumerate(made, 1):
        print(f"{number}. cost {take.cost}")
        print(*bars_of(chart, take.row), sep="\n")
    return 0


def _bass(chart: Chart, name: str) -> Row:
    """The row of a bass line, as long as the form."""
    line = chart_from_bar_text(read_text(Path(name)))
    if [bar.length for bar in line.form.bars] != [bar.length for bar in chart.form.bars]:
        raise HarmonizeError(f"The bass line has {len(line.form.bars)} bars and the tune {len(chart.form.bars)}; "
                             "write one for every bar, in the same metre.")  # fmt: skip
    return line.standard


def _with_rows(chart: Chart, made: list[ChorusTake]) -> Chart:
    if made and all(slot.chord is None for slot in chart.standard):
        named = tuple(NamedRow(one.name, made[0].row) if one.name == chart.reference else one
                      for one in chart.references)  # fmt: skip
        chart, made = replace(chart, references=named, takes=()), made[1:]
    for take in made:
        chart = replace(chart, takes=(*chart.takes, as_take(chart, free_name(chart, "From the tune"), take)))
    return chart
