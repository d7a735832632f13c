"""``python -m app.sheet``: the sheet maker, a process of its own for the window, which stays free of the engraver.

Reads one JSON document from stdin: ``chart`` (text of our own format), ``folder``, ``sheets`` (options and name of
each); ``line`` asks for the lesson sheet of a line instead of what the options say. Writes a file for each, or, where
``pages`` is true, pickles the pages of each to ``NAME``. Answers with JSON
lines: ``{"done": n}`` after each, at last ``{"fault": sentence or null}``.
"""

from __future__ import annotations

import json
import pickle
import sys
from pathlib import Path
from typing import Any

from app.sheet.batch import Wanted, make_pages, write_one
from app.sheet.line_pages import pages_of_line
from core.chart import Chart
from core.chart_json import chart_from_json
from core.errors import ChangewrightError
from core.sheet.kinds import SheetOptions


def main() -> int:
    """Make what is asked for; returns 0, 1 where the fault is the chart's or the folder's."""
    asked: dict[str, Any] = json.load(sys.stdin)
    chart, place = chart_from_json(asked["chart"]), Path(asked["folder"])
    try:
        for done, sheet in enumerate(asked["sheets"], 1):
            wanted = Wanted(SheetOptions(**sheet["options"]), sheet["name"])
            _make(chart, wanted, place, bool(asked.get("pages")), asked.get("line"))
            _tell({"done": done})
    except ChangewrightError as error:
        _tell({"fault": str(error)})
        return 1
    _tell({"fault": None})
    return 0


def _make(chart: Chart, wanted: Wanted, place: Path, only_pages: bool, line: dict[str, Any] | None) -> None:
    if line is None and not only_pages:
        write_one(chart, wanted, place)
        return
    pages = make_pages(chart, wanted.options) if line is None else pages_of_line(chart, line)
    if only_pages:
        (place / wanted.name).write_bytes(pickle.dumps(pages))
        return
    from app.sheet.files import write_pages

    write_pages(pages, place / wanted.name, chart.title)


def _tell(line: dict[str, Any]) -> None:
    print(json.dumps(line), flush=True)


if __name__ == "__main__":
    sys.exit(main())
