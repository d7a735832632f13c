"""Reading a chart for a command: by file ending, or from stdin by what it looks like."""

from __future__ import annotations

import os
import sys
import tempfile

from core.bar_text import chart_from_bar_text
from core.chart import Chart
from core.chart_json import chart_from_json
from core.errors import ChangewrightError, FileError
from core.files import MAX_TEXT_BYTES, load_chart


def read_chart(path: str) -> Chart:
    """The chart at a path, or on stdin for ``-``; everything guessed while reading is said on stderr."""
    chart, report = _from_stdin() if path == "-" else load_chart(path)
    for line in report:
        print(f"note: {line}", file=sys.stderr)
    return chart


def _from_stdin() -> tuple[Chart, tuple[str, ...]]:
    data = sys.stdin.buffer.read(MAX_TEXT_BYTES + 1)
    if len(data) > MAX_TEXT_BYTES:
        raise FileError("-", f"is over {MAX_TEXT_BYTES // 1_000_000} MB", "charts are smaller")
    if data.startswith(b"PK") or data.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<"):
        return _foreign(data, ".mxl" if data.startswith(b"PK") else ".musicxml")
    try:
        text = data.decode("utf-8-sig")
        return (chart_from_json(text) if text.lstrip().startswith("{") else chart_from_bar_text(text)), ()
    except UnicodeDecodeError as error:
        raise FileError("-", f"is not text (byte {error.start} is not UTF-8)", "send UTF-8 text") from error
    except ChangewrightError as error:
        raise FileError("-", str(error).rstrip("."), error.remedy) from error


def _foreign(data: bytes, ending: str) -> tuple[Chart, tuple[str, ...]]:
    handle, name = tempfile.mkstemp(suffix=ending)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        return load_chart(name)
    finally:
        os.unlink(name)
