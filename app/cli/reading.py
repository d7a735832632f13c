"""Reading a chart for a command: by file ending, or from stdin by what it looks like."""

from __future__ import annotations

import sys

from core.bar_text import chart_from_bar_text
from core.chart import Chart
from core.chart_json import chart_from_json
from core.errors import ChangewrightError, FileError
from core.files import MAX_TEXT_BYTES, READ_HERE_BYTES, import_text, load_chart
from core.json_reader import ChartFileError


def read_chart(path: str) -> Chart:
    """The chart at a path, or on stdin for ``-``; everything guessed while reading is said on stderr."""
    chart, report = _from_stdin() if path == "-" else load_chart(path)
    for line in report:
        print(f"note: {line}", file=sys.stderr)
    return chart


def _from_stdin() -> tuple[Chart, tuple[str, ...]]:
    """Our own JSON and bar text at once; all else by what it holds, behind the limits that foreign files have."""
    data = sys.stdin.buffer.read(MAX_TEXT_BYTES + 1)
    if len(data) <= READ_HERE_BYTES and not data.startswith((b"PK", b"MThd")):
        try:
            text = data.decode("utf-8-sig")
            return (chart_from_json(text) if text.lstrip().startswith("{") else chart_from_bar_text(text)), ()
        except ChartFileError as error:
            raise FileError("-", str(error).rstrip("."), error.remedy) from error
        except (ChangewrightError, UnicodeDecodeError):
            pass  # not ours: whoever can read it says what is wrong
    imported = import_text(data)
    return imported.chart, imported.report
