"""Sheets made in a process of their own, so that the engraver is never in the window's; with progress and a stop."""

from __future__ import annotations

import json
import os
import pickle
import shutil
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, QProcess, Signal

from app.sheet.batch import Wanted, publish
from core.chart import Chart
from core.chart_json import chart_to_json
from core.errors import ChangewrightError
from core.sheet.kinds import SheetOptions

FAULT = "The sheets could not be made; the program that makes them ended without a word. Try again."


class SheetMaker(QObject):
    """Makes one batch at a time; a new one stops the old one, and what was stopped leaves nothing behind."""

    progressed = Signal(int)  # sheets that are done
    pages_made = Signal(int, object)  # which sheet, its pages; before ``finished``
    finished = Signal(object)  # the files, or () for pages
    failed = Signal(str)  # one sentence

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._process: QProcess | None = None
        self._place: Path | None = None
        self._folder: Path | None = None
        self._sheets: Sequence[Wanted] = ()
        self._fault: str | None = FAULT

    def write(self, chart: Chart, sheets: Sequence[Wanted], folder: Path) -> None:
        """Write sheets into a folder: all of them or none."""
        self._start(chart, sheets, folder)

    def preview(self, chart: Chart, sheets: Sequence[Wanted]) -> None:
        """Make the pages of sheets, to be shown or printed."""
        self._start(chart, sheets, None)

    def line(self, chart: Chart, wish: dict[str, Any], name: str, folder: Path | None) -> None:
        """Make the lesson sheet of a line: a file of this name in a folder, or (None) its pages."""
        self._start(chart, (Wanted(SheetOptions(), name),), folder, wish)

    def is_busy(self) -> bool:
        """Whether something is being made."""
        return self._process is not None

    def stop(self) -> None:
        """Stop what is being made; nothing of it stays."""
        process, self._process = self._process, None
        if process is not None:
            process.blockSignals(True)
            process.kill()
            process.waitForFinished(2000)
            process.deleteLater()
        self._clear()

    def _start(self, chart: Chart, sheets: Sequence[Wanted], folder: Path | None,
               line: dict[str, Any] | None = None) -> None:  # fmt: skip
        self.stop()
        try:
            self._place = Path(tempfile.mkdtemp(prefix=".sheets-", dir=folder))
        except OSError as error:
            reason = (error.strerror or str(error)).lower()
            self.failed.emit(f"{folder}: cannot write here ({reason}); choose another folder.")
            return
        self._folder, self._sheets, self._fault = folder, sheets, FAULT
        asked = {"chart": chart_to_json(chart), "folder": str(self._place), "pages": folder is None, "line": line,
                 "sheets": [{"options": asdict(sheet.options), "name": sheet.name} for sheet in sheets]}  # fmt: skip
        process = self._process = QProcess(self)
        process.setProcessChannelMode(QProcess.ProcessChannelMode.SeparateChannels)
        process.readyReadStandardOutput.connect(self._on_lines)
        process.finished.connect(self._on_finished)
        process.errorOccurred.connect(self._on_error)
        process.setWorkingDirectory(os.getcwd())
        process.start(sys.executable, ["-m", "app.sheet"])
        process.write(json.dumps(asked).encode())
        process.closeWriteChannel()

    def _on_lines(self) -> None:
        while self._process is not None and self._process.canReadLine():
            line = json.loads(bytes(self._process.readLine().data()))
            if "fault" in line:
                self._fault = line["fault"]
            else:
                self._on_done(line["done"])

    def _on_done(self, done: int) -> None:
        if self._folder is None and self._place is not None:
            pages = pickle.loads((self._place / self._sheets[done - 1].name).read_bytes())
            self.pages_made.emit(done - 1, pages)
        self.progressed.emit(done)

    def _on_error(self, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart:
            self._on_finished()

    def _on_finished(self) -> None:
        self._on_lines()
        process, self._process = self._process, None
        if process is not None:
            process.deleteLater()
        fault, files = self._fault, tuple[Path, ...]()
        if fault is None and self._folder is not None and self._place is not None:
            try:
                files = publish(self._place, self._folder)
            except ChangewrightError as error:
                fault = str(error)
        self._clear()
        if fault is None:
            self.finished.emit(files)
        else:
            self.failed.emit(fault)

    def _clear(self) -> None:
        if self._place is not None:
            shutil.rmtree(self._place, ignore_errors=True)
        self._place = None
