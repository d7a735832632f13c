"""Looking for whole takes from the window: is it ever held up, and how soon is a search that is stopped gone?

``python -m tests.bench takes``. A timer without delay ticks in the window's event loop; the longest pause between two
ticks is how long the window was held up, by itself or by what else the machine does; the second figure, the processor
time that the window's thread used in one pause, is its own share. The reference is a frame at 60 Hz, and for the first
also the same loop with nothing to do.
"""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from core.chart import Chart, NamedRow
from core.form import plain_form
from core.meter import Meter

ROOT = Path(__file__).parents[2]
CHART = ROOT / "demo_charts" / "harbour_lamps.changes.json"
FRAME = 1000 / 60
Result = tuple[str, float, str, str, float]
PATIENCE = 120.0


def long_chart(chart: Chart, bars: int) -> Chart:
    """A tune of many bars: the standard row of another, again and again, in sections of eight bars."""
    form = plain_form(bars, Meter(), tuple((bar, "A") for bar in range(0, bars, 8)))
    length, row, at = chart.form.length, list(chart.standard), chart.form.length
    while at < form.length:
        row += [replace(slot, onset=slot.onset + at) for slot in chart.standard if slot.onset + at < form.length]
        at += length
    last = row[-1]
    row[-1] = replace(last, duration=form.length - last.onset)
    return replace(chart, form=form, references=(NamedRow("standard", tuple(row)),), takes=(), melody=())


class _Loop:
    """The event loop, and the longest pause in it."""

    def __init__(self, application: Any) -> None:
        from PySide6.QtCore import QTimer

        self._application, self._last, self.longest = application, 0.0, 0.0
        self._used, self.most_used = 0.0, 0.0
        self._timer = QTimer()
        self._timer.setInterval(0)
        self._timer.timeout.connect(self._tick)

    def _tick(self) -> None:
        now, used = time.perf_counter(), time.thread_time()
        self.longest = max(self.longest, now - self._last)
        self.most_used = max(self.most_used, used - self._used)
        self._last, self._used = now, used

    def until(self, done: Callable[[], bool], most: float = PATIENCE) -> float:
        """Run until something is so; the longest pause in milliseconds."""
        self._last, self.longest, self._used, self.most_used = time.perf_counter(), 0.0, time.thread_time(), 0.0
        self._timer.start()
        end = self._last + most
        while not done() and time.perf_counter() < end:
            self._application.processEvents()
            time.sleep(0.0005)
        self._timer.stop()
        return self.longest * 1000


def _measured(chart: Chart, bars: str, application: Any, pool: Any, folder: str) -> list[Result]:
    from PySide6.QtCore import QSettings

    from app.window.main_window import MainWindow
    from app.window.settings import Settings

    settings = Settings(QSettings(f"{folder}/{bars}.ini", QSettings.Format.IniFormat))
    window: Any = MainWindow(chart, settings, pool, lambda _on_event: _Silent())
    window.show()
    loop = _Loop(application)
    loop.until(lambda: bool(window.workings and window.reading.tension))
    window.action("whole_takes").trigger()
    loop.until(lambda: False, 1.0)
    idle = loop.until(lambda: False, 1.5)
    window.whole.window.wishes.count.setValue(3 if bars == "32" else 2)  # a long tune takes its time
    whole, start = window.whole, time.perf_counter()
    whole.start()
    pause = loop.until(lambda: not whole.search.is_busy)
    own = loop.most_used * 1000
    taken = (time.perf_counter() - start) * 1000
    found = len(whole.window.board.lines)
    whole.start()
    loop.until(lambda: whole.search._process is not None and whole.window.wishes.progress.value() > 0)
    process, ended = whole.search._process, []
    process.finished.connect(lambda *_: ended.append(time.perf_counter()))
    start = time.perf_counter()
    whole.stop()
    told = (time.perf_counter() - start) * 1000
    loop.until(lambda: bool(ended), 5.0)
    gone = (ended[0] - start) * 1000 if ended else float("nan")
    whole.close()
    window.document.stack.setClean()
    window.close()
    return [
        (f"{bars} bars: longest pause of the window in a search", pause, "ms", "a frame at 60 Hz", FRAME),
        (f"{bars} bars: the window's own work in a pause, at most", own, "ms", "a frame at 60 Hz", FRAME),
        (f"{bars} bars: longest pause, again", pause, "ms", "the same loop, idle", idle),
        (f"{bars} bars: {found} takes, from Enter to the last", taken, "ms", "wanted of the search, 32 bars", 1500.0),
        (f"{bars} bars: stopping a search, for the window", told, "ms", "a frame at 60 Hz", FRAME),
        (f"{bars} bars: stopping a search, until it is gone", gone, "ms", "wanted at most", 100.0),
    ]


class _Silent:
    def __getattr__(self, name: str) -> Any:
        return lambda *_arguments, **_words: 0.0


def run() -> list[Result]:
    """All figures: (name, value, unit, name of the reference, value of the reference)."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from PySide6.QtWidgets import QApplication

    from app.window.background import ThreadPool
    from app.window.start import make_application
    from core.files import load_chart

    application, pool, chart = QApplication.instance() or make_application([]), ThreadPool(), load_chart(CHART)[0]
    with tempfile.TemporaryDirectory() as folder:
        results = _measured(chart, "32", application, pool, folder)
        results += _measured(long_chart(chart, 1000), "1000", application, pool, folder)
    pool.finish()
    return results


if __name__ == "__main__":
    for name, value, unit, reference, other in run():
        print(f"{name:62} {value:8.1f} {unit:3}  {reference}: {other:.1f} {unit}  ({value / other:.2f} ×)")
