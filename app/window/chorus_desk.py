"""The search for whole takes as the window has it: a process that is started, listened to, and killed at will.

What is long for a big tune, writing the chart for the pipe and reading takes from it, is done in the background.
"""

from __future__ import annotations

import base64
import json
import os
import pickle
import sys
from functools import partial

from PySide6.QtCore import QObject, QProcess, Signal

from app.chorus.view import TakeView
from app.chorus.wish import Wish, wish_to_json
from app.window.background import Background
from core.chart import Chart
from core.chart_json import chart_to_json

FAULT = "The search for whole takes ended without a word; your chart is unchanged. Try again."


class ChorusDesk(QObject):
    """One job at a time; a new one stops the old one, of which nothing more is heard."""

    progressed = Signal(float)  # 0 to 1
    found = Signal(object)  # a TakeView, as soon as it is there
    ended = Signal()  # all that can be had was found
    failed = Signal(str)  # one sentence

    def __init__(self, kind: str, background: Background, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._kind, self._background = kind, background
        self._process: QProcess | None = None
        self._job = self._taken = self._shown = 0
        self._busy = self._at_end = False
        self._fault = ""

    @property
    def is_busy(self) -> bool:
        """Whether a job is under way."""
        return self._busy

    def search(self, chart: Chart, wish: Wish) -> None:
        """Look for whole takes."""
        self._begin("search", chart, wish, ())

    def price(self, chart: Chart, wish: Wish, rows: tuple[str, ...]) -> None:
        """Price rows that are in the chart."""
        self._begin("price", chart, wish, rows)

    def stop(self) -> None:
        """End the job now; what was found stays with whoever heard of it."""
        self._job += 1
        self._busy = False
        self._background.drop(self._kind)
        process, self._process = self._process, None
        if process is not None:
            process.kill()  # it goes when it has ended; nobody waits for it

    def close(self) -> None:
        """End the job and wait for it: the window closes."""
        process = self._process
        self.stop()
        if process is not None:
            process.waitForFinished(2000)

    # --- the process -------------------------------------------------------------------------------------------------

    def _begin(self, job: str, chart: Chart, wish: Wish, rows: tuple[str, ...]) -> None:
        self.stop()
        self._busy, self._at_end, self._taken, self._shown, self._fault = True, False, 0, 0, FAULT
        self._background.ask(self._kind, partial(self._launch, self._job), asked_text, job, chart, wish, rows)

    def _launch(self, job: int, asked: bytes) -> None:
        if job != self._job:
            return
        process = self._process = QProcess(self)
        process.setProcessChannelMode(QProcess.ProcessChannelMode.SeparateChannels)
        process.readyReadStandardOutput.connect(partial(self._on_lines, process))
        process.finished.connect(partial(self._on_finished, process))
        process.errorOccurred.connect(partial(self._on_error, process))
        process.setWorkingDirectory(os.getcwd())
        process.start(sys.executable, ["-m", "app.chorus"])
        process.write(asked)
        process.closeWriteChannel()

    def _on_lines(self, process: QProcess) -> None:
        while process is self._process and process.canReadLine():
            word, _, rest = bytes(process.readLine().data()).strip().partition(b" ")
            if word == b"progress":
                self.progressed.emit(float(rest))
            elif word == b"take":
                self._taken += 1
                self._background.ask(f"{self._kind} {self._taken}", partial(self._on_view, self._job), read_view, rest)
            elif word == b"end":
                self._at_end = True
            elif word == b"fault":
                self._fault = rest.decode("utf-8", "replace")

    def _on_view(self, job: int, view: TakeView) -> None:
        if job == self._job:
            self._shown += 1
            self.found.emit(view)
            self._settle()

    def _on_error(self, process: QProcess, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart:
            self._on_finished(process)

    def _on_finished(self, process: QProcess, *_how: object) -> None:
        self._on_lines(process)
        process.deleteLater()
        if process is self._process:
            self._process = None
            self._settle()

    def _settle(self) -> None:
        """The job is done when the process is gone and every take of it has been read."""
        if self._process is not None or not self._busy or self._shown < self._taken:
            return
        self._busy = False
        if self._at_end:
            self.ended.emit()
        else:
            self.failed.emit(self._fault)


def asked_text(job: str, chart: Chart, wish: Wish, rows: tuple[str, ...]) -> bytes:
    """A job as the process reads it."""
    return json.dumps({"job": job, "chart": chart_to_json(chart), "wish": wish_to_json(wish), "rows": rows}).encode()


def read_view(packed: bytes) -> TakeView:
    """A take as the process writes it."""
    view = pickle.loads(base64.b64decode(packed))
    assert isinstance(view, TakeView)
    return view
