"""The pages of a line's lesson sheet, made of what the window sends."""

from __future__ import annotations

from typing import Any

from app.sheet.drawing import Page
from core.chart import Chart


def pages_of_line(chart: Chart, wish: dict[str, Any]) -> tuple[Page, ...]:
    """Pages for ``wish``: the line (``solo``), ``row``, ``against`` (or null), ``at`` (or null), ``shapes``, ``bars``,
    ``paper``. Raises a ChangewrightError that says why there are none."""
    from app.sheet.files import make_ready
    from app.sheet.pages import pages_of
    from core.line.analysis import read_line
    from core.line.wire import solo_from_data
    from core.sheet.lesson import lesson_sheet

    make_ready()
    solo = solo_from_data(wish["solo"])
    reading = read_line(solo, chart, wish["row"], wish["at"])
    other = read_line(solo, chart, wish["against"], wish["at"]) if wish["against"] else None
    return pages_of(lesson_sheet(reading, chart, frozenset(wish["shapes"]), wish["bars"], other, wish["paper"]))
