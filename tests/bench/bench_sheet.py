"""Sheets: a tune of 32 bars to PDF, beside the engraver alone on the same notes, and a process that only starts."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

import verovio

from app.sheet.batch import make_pages
from app.sheet.files import make_ready, write_pages
from core.files import load_chart
from core.places import folder
from core.sheet.content import sheet_of
from core.sheet.kinds import SheetOptions
from core.sheet.lines import lines_of
from core.sheet.mei import mei_of
from tests.bench.bench_core import Row, seconds

HARBOUR = folder("demo_charts") / "harbour_lamps.changes.json"
ALONE = "verovio alone, the same notes to SVG"


def run() -> list[Row]:
    """The figures."""
    make_ready()
    chart, _ = load_chart(HARBOUR)
    sheet = sheet_of(chart, SheetOptions("standard"))
    text = mei_of(sheet, lines_of(sheet))

    def alone() -> None:
        toolkit = verovio.toolkit()
        toolkit.setOptions({"breaks": "encoded"})
        toolkit.loadData(text)
        toolkit.renderToSVG(1)

    with tempfile.TemporaryDirectory() as place:

        def pdf(kind: str, part: str = "C", melody: bool = True) -> float:
            options = SheetOptions(kind, part, melody=melody)
            return seconds(lambda: write_pages(make_pages(chart, options), Path(place) / "a.pdf", chart.title), 3)

        reference = seconds(alone, 3) * 1e3
        rows = [("32 bars to PDF, standard with the tune", pdf("standard") * 1e3, "ms", ALONE, reference),
                ("32 bars to PDF, E♭ part, both rows", pdf("both", "Eb") * 1e3, "ms", ALONE, reference),
                ("32 bars to PDF, answer key of two pages", pdf("answers") * 1e3, "ms", ALONE, reference),
                ("32 bars to PDF, chord chart", pdf("standard", melody=False) * 1e3, "ms", ALONE, reference)]  # fmt: skip
        whole = seconds(lambda: _command("-m", "app.main", "convert", str(HARBOUR), str(Path(place) / "b.pdf")), 3)
    bare = seconds(lambda: _command("-c", "import PySide6.QtGui, verovio"), 3)
    rows.append(
        ("the same by the command line, all in all", whole * 1e3, "ms", "Python, Qt and verovio loaded", bare * 1e3)
    )
    return rows


def _command(*words: str) -> None:
    subprocess.run([sys.executable, *words], check=True, capture_output=True)
