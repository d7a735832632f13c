"""Foreign files are read in a process of their own, with limits on memory and time, so that none can harm ours."""

from __future__ import annotations

import json
import os
import stat
import subprocess
import sys
from pathlib import Path

import core
from core.chart_json import chart_from_json
from core.errors import ChangewrightError, FileError
from core.foreign import TIME_LIMIT_SECONDS
from core.imported import Choices, Imported, Option, Question

MAX_FILE_BYTES = 40_000_000
MAX_REPLY_BYTES = 12_000_000


def read_foreign(
    path: str | os.PathLike[str], time_limit: float = TIME_LIMIT_SECONDS, choices: Choices | None = None
) -> Imported:
    """Read MusicXML, ABC, MIDI or pasted text by what the file holds; ``time_limit`` in seconds.

    ``choices`` answers questions of an earlier reading of the same file. Raises :class:`FileError`: one sentence
    naming the file, the problem, and what to do.
    """
    _check_readable(Path(path))
    reply = _ask_reader(path, time_limit, choices or {})
    if "problem" in reply:
        raise FileError(path, str(reply["problem"]), str(reply["advice"]))
    try:
        report = reply["report"]
        assert isinstance(report, list)
        return Imported(chart_from_json(str(reply["chart"])), tuple(map(str, report)), _questions(reply["questions"]))
    except (KeyError, TypeError, AssertionError, ChangewrightError) as error:
        raise _broken(path) from error


def _check_readable(path: Path) -> None:
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise FileError(path, "is a folder", "choose a file in it")
        if not stat.S_ISREG(status.st_mode):
            raise FileError(path, "is not an ordinary file", "choose a score, an ABC tune, a MIDI file or text")
        with path.open("rb"):
            pass
    except FileNotFoundError as error:
        raise FileError(path, "does not exist", "check the name and the folder") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise FileError(path, f"cannot be read ({reason.lower()})", "check the name and the rights") from error
    if status.st_size > MAX_FILE_BYTES:
        raise FileError(path, f"is {status.st_size // 1_000_000} MB, more than any lead sheet",
                        f"open a score below {MAX_FILE_BYTES // 1_000_000} MB")  # fmt: skip


def _questions(cells: object) -> tuple[Question, ...]:
    assert isinstance(cells, list)
    return tuple(Question(cell["id"], cell["text"], tuple(Option(**option) for option in cell["options"]),
                          cell["chosen"]) for cell in cells)  # fmt: skip


def _ask_reader(path: str | os.PathLike[str], time_limit: float, choices: Choices) -> dict[str, object]:
    """Run the reader on a file. It sees our package and the standard library, and nothing of the current folder."""
    home = str(Path(core.__file__).resolve().parent.parent)
    command = [sys.executable, "-P", "-S", "-m", "core.foreign", os.path.abspath(path), json.dumps(dict(choices))]
    environment = {**os.environ, "PYTHONPATH": home, "PYTHONIOENCODING": "utf-8"}
    try:
        done = subprocess.run(command, stdin=subprocess.DEVNULL, capture_output=True, timeout=time_limit, check=False,
                              env=environment)  # fmt: skip
    except subprocess.TimeoutExpired as error:
        raise FileError(path, f"was not read within {time_limit:g} seconds", "open a shorter score") from error
    except OSError as error:
        raise FileError(path, f"cannot be read, the reader did not start ({error})", "restart the program") from error
    if len(done.stdout) > MAX_REPLY_BYTES:
        raise FileError(path, "holds more than any lead sheet", "open a shorter score")
    try:
        reply = json.loads(done.stdout)
    except ValueError as error:
        raise _broken(path) from error
    if not isinstance(reply, dict):
        raise _broken(path)
    return reply


def _broken(path: str | os.PathLike[str]) -> FileError:
    return FileError(path, "stopped the reader, so nothing of it was opened", "export the score again")
