"""Exports, written by a process of their own: what renders sound is never loaded beside the window. No Qt."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import tempfile
import threading
import unicodedata
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import asdict, dataclass, field
from pathlib import Path

from core.chart import STANDARD, Chart
from core.chart_json import chart_to_json
from core.sound.file_names import may_be_written

KILL_SECONDS = 5.0
"""How long an export that was stopped may take to end by itself."""
_LONGEST_NAME = 60  # letters; a system takes 255 bytes, and an ending follows
_TAKEN_NAMES = {"con", "prn", "aux", "nul", *(f"{name}{n}" for name in ("com", "lpt") for n in range(1, 10))}
ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, slots=True)
class ExportKind:
    """An ending, what it is called, and whether it is sound (a file a row) or a score."""

    ending: str
    words: str
    sound: bool = False


EXPORTS = (
    ExportKind(".musicxml", "Lead sheet, MusicXML"),
    ExportKind(".mxl", "Lead sheet, compressed MusicXML"),
    ExportKind(".abc", "Lead sheet, ABC text"),
    ExportKind(".mid", "MIDI file", sound=True),
    ExportKind(".wav", "Sound, WAV", sound=True),
)


@dataclass(frozen=True, slots=True)
class ExportWish:
    """What to write: the file, the rows by name, and how; ``chords`` is for MIDI files, ``stems`` for sound.

    MusicXML of a take shows both rows. ``font`` is "" for the default; ``levels`` are gains 0..1 of parts.
    """

    path: str
    rows: tuple[str, ...] = (STANDARD,)
    stems: bool = False
    chords: str = "text"
    font: str = ""
    levels: Mapping[str, float] = field(default_factory=dict)

    def files(self) -> tuple[Path, ...]:
        """Every file that could be written."""
        path = Path(self.path)
        return may_be_written(path, self.rows, self.stems) if kind_of(path).sound else (path,)


@dataclass
class ExportJob:
    """An export that runs: how far it is (0..1), what it has written, and a way to stop it. Shared by two threads."""

    share: float = 0.0
    cancelled: bool = False
    written: list[str] = field(default_factory=list)
    process: subprocess.Popen[str] | None = field(default=None, repr=False)

    def cancel(self) -> None:
        """Stop; no file is touched. The process is asked first, so that it can clear away what it has begun."""
        self.cancelled = True
        process = self.process
        if process is None or process.poll() is not None:
            return
        if process.stdin is not None:
            with suppress(OSError):
                process.stdin.close()
        deadline = threading.Timer(KILL_SECONDS, process.kill)
        deadline.daemon = True
        deadline.start()


def kind_of(path: Path) -> ExportKind:
    """The kind that an ending stands for; raises StopIteration for any other."""
    return next(kind for kind in EXPORTS if kind.ending == path.suffix.lower())


def export_name(title: str) -> str:
    """A title as a file name that every system takes: ``'harbour-lamps'``, letters of any script."""
    words = re.sub(r"[\W_]+", "-", unicodedata.normalize("NFC", title).lower())[:_LONGEST_NAME].strip("-")
    return f"{words}-tune" if words in _TAKEN_NAMES else words or "untitled"


def export_chart(chart: Chart, wish: ExportWish, job: ExportJob) -> str:
    """Write what is wished; returns "" or one sentence on what failed."""
    handle, name = tempfile.mkstemp(suffix=".changes.json")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(chart_to_json(chart))
        return _run(name, wish, job)
    finally:
        Path(name).unlink(missing_ok=True)


def _run(source: str, wish: ExportWish, job: ExportJob) -> str:
    words = json.dumps(asdict(wish) | {"path": str(Path(wish.path).resolve())})
    job.process = subprocess.Popen(
        [sys.executable, "-P", "-m", "app.window.export_worker", source, words],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, encoding="utf-8", cwd=ROOT,
        env=os.environ | {"PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"},
        creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
    )  # fmt: skip
    fault = ""
    with job.process as process:
        assert process.stdout is not None
        if job.cancelled:
            job.cancel()
        for line in process.stdout:
            word, _, rest = line.rstrip("\n").partition(" ")
            if word == "progress":
                job.share = float(rest)
            elif word == "written":
                job.written.append(rest)
            elif word == "fault":
                fault = rest
        process.wait()
    name = Path(wish.path).name
    if job.cancelled and not job.written:
        return f"Stopped; {name} was not written."
    if process.returncode and not fault:
        return f"{name} could not be written (the export stopped with code {process.returncode}); try again."
    return fault
