"""Recovery copies: the chart of a window as it was after its last edit, beside what it takes to go on with it.

A copy is one JSON file of its own, written whole or not at all. It holds the chart in our own format, the file that it
was opened from and what that file was then, so that nobody's later work there is written over.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from core.chart import Chart
from core.chart_json import chart_from_json, chart_to_json
from core.errors import ChangewrightError, FileError
from core.file_stamp import FileStamp
from core.files import read_text, write_text_atomic

FORMAT, VERSION = "changewright recovery copy", 1
ENDING = ".recovery.json"


@dataclass(frozen=True, slots=True)
class RecoveryCopy:
    """A chart that was not saved; ``path`` is the file that Save would write, ``when`` is in seconds since 1970."""

    chart: Chart
    when: float
    path: Path | None = None
    stamp: FileStamp | None = None


def write_copy(place: Path, copy: RecoveryCopy) -> None:
    """Write a copy, making its folder where it is missing. Raises :class:`FileError`."""
    stamp = copy.stamp
    document: dict[str, Any] = {
        "format": FORMAT, "version": VERSION, "when": copy.when, "path": None if copy.path is None else str(copy.path),
        "stamp": None if stamp is None else [stamp.digest, stamp.size, stamp.modified_ns, stamp.inode],
        "chart": chart_to_json(copy.chart),
    }  # fmt: skip
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise FileError(place.parent, f"cannot be made ({reason})", "save more often, or free that place") from error
    write_text_atomic(place, json.dumps(document, ensure_ascii=False))


def read_copy(place: Path) -> RecoveryCopy:
    """Read a copy back. Raises :class:`FileError` where it is damaged or comes from a newer program."""
    try:
        document = json.loads(read_text(place))
        if document["format"] != FORMAT or document["version"] > VERSION:
            raise FileError(place, "was written by a newer program", "open it with that one; it is kept")
        stamp = document["stamp"]
        path = document["path"]
        return RecoveryCopy(
            chart_from_json(document["chart"]), float(document["when"]), None if path is None else Path(path),
            None if stamp is None else FileStamp(str(stamp[0]), *map(int, stamp[1:4])),
        )  # fmt: skip
    except FileError:
        raise
    except (ValueError, KeyError, TypeError, IndexError, RecursionError, ChangewrightError) as error:
        raise FileError(
            place, "is a recovery copy that cannot be read", "it is kept there, in case you need it"
        ) from error


def copies_in(folder: Path) -> tuple[Path, ...]:
    """All copies in a folder, the newest first; none where there is no such folder."""
    try:
        found = [(place.stat().st_mtime_ns, place) for place in folder.glob(f"*{ENDING}")]
    except OSError:
        return ()
    return tuple(place for _, place in sorted(found, reverse=True))
