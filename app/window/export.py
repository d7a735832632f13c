"""Exports, written by a process of their own: what renders sound is never loaded beside the window. No Qt."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
from dataclasses import dataclass, field
from pathlib import Path

from core.chart import Chart
from core.chart_json import chart_to_json

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, slots=True)
class ExportKind:
    """An ending and what it is called."""

    ending: str
    words: str


EXPORTS = (
    ExportKind(".musicxml", "Lead sheet with both rows, MusicXML"),
    ExportKind(".mxl", "Lead sheet, compressed MusicXML"),
    ExportKind(".mid", "MIDI file"),
    ExportKind(".wav", "Sound, WAV"),
)


@dataclass
class ExportJob:
    """An export that runs: how far it is (0..1), and a way to stop it. Shared between two threads."""

    share: float = 0.0
    cancelled: bool = False
    process: subprocess.Popen[str] | None = field(default=None, repr=False)

    def cancel(self) -> None:
        """Stop; no file is touched."""
        self.cancelled = True
        if self.process is not None and self.process.poll() is None:
            self.process.kill()


def export_name(title: str) -> str:
    """A title as a file name that every system takes: ``'harbour-lamps'``."""
    return re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-") or "untitled"


def export_chart(chart: Chart, take_name: str | None, path: Path, job: ExportJob) -> str:
    """Write one side (the take's if there is one) by the ending; returns "" or one sentence on what failed."""
    handle, name = tempfile.mkstemp(suffix=".changes.json")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(chart_to_json(chart))
        return _run(name, take_name, path, job)
    finally:
        Path(name).unlink(missing_ok=True)


def _run(source: str, take_name: str | None, path: Path, job: ExportJob) -> str:
    command = [sys.executable, "-P", "-m", "app.window.export_worker", source, str(path.resolve()), take_name or ""]
    job.process = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, encoding="utf-8", cwd=ROOT,
        env=os.environ | {"PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"},
        creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
    )  # fmt: skip
    fault = ""
    with job.process as process:
        assert process.stdout is not None
        if job.cancelled:
            process.kill()
        for line in process.stdout:
            word, _, rest = line.strip().partition(" ")
            if word == "progress":
                job.share = float(rest)
            elif word == "fault":
                fault = rest
        process.communicate()
    if job.cancelled:
        return f"Stopped; {path.name} was not written."
    if process.returncode and not fault:
        return f"{path.name} could not be written (the export stopped with code {process.returncode}); try again."
    return fault
