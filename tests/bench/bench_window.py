"""The window's cost: ``python -m tests.bench.bench_window``. Every figure has its reference from the same run.

From process start to a painted window with a chart, against a bare Qt window started the same way; painting one
system of the page; building the page's model. Memory is weighed by :mod:`tests.bench.bench_whole`.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
CHART = ROOT / "demo_charts" / "harbour_lamps.changes.json"
ROUNDS = 12
Result = tuple[str, float, str, str, float]

BARE = """
import sys
from PySide6.QtWidgets import QApplication, QWidget
application = QApplication([])
class Bare(QWidget):
    def paintEvent(self, event):
        print("painted", flush=True)
        import os; os._exit(0)
window = Bare(); window.resize(1280, 800); window.show()
application.exec()
"""
WORDS = BARE.replace(
    "    def paintEvent(self, event):\n",
    "    def paintEvent(self, event):\n"
    "        from PySide6.QtGui import QColor, QPainter\n"
    "        painter = QPainter(self); painter.setPen(QColor('#123456')); painter.drawText(40, 40, 'words'); painter.end()\n",
)
OURS = """
import sys
from app.window.start import first_chart, make_application, player_maker
from app.window.main_window import MainWindow
from app.window.settings import Settings
from PySide6.QtCore import QSettings
application = make_application([])
settings = Settings(QSettings(sys.argv[2], QSettings.Format.IniFormat))
window = MainWindow(first_chart(sys.argv[1])[0], settings, None, player_maker(settings))
paint = window.page.paintEvent
def painted(event):
    paint(event)
    print("painted", flush=True)
    import os; os._exit(0)
window.page.paintEvent = painted
window.show()
application.exec()
"""


def seconds_to_paint(code: str, arguments: list[str]) -> float:
    """From starting the interpreter to the word of the first paint."""
    environment = os.environ | {
        "PYTHONPATH": str(ROOT),
        "QT_QPA_PLATFORM": os.environ.get("QT_QPA_PLATFORM", "offscreen"),
    }
    environment.pop("PYTHONDONTWRITEBYTECODE", None)  # an installed program has its bytecode; the first round writes it
    start = time.perf_counter()
    with subprocess.Popen([sys.executable, "-c", code, *arguments], cwd=ROOT, env=environment, stdout=subprocess.PIPE,
                          stderr=subprocess.DEVNULL) as process:  # fmt: skip
        assert process.stdout is not None
        word = process.stdout.readline()
        taken = time.perf_counter() - start
    if word.strip() != b"painted":
        raise RuntimeError("the window did not paint")
    return taken


def start_times() -> list[Result]:
    """Best of alternating starts: what else the machine does can only add to a start."""
    times: dict[str, list[float]] = {"ours": [], "bare": [], "words": []}
    with tempfile.TemporaryDirectory() as folder:
        arguments = [str(CHART), f"{folder}/settings.ini"]
        for _ in range(ROUNDS + 1):
            for name, code, given in (("ours", OURS, arguments), ("bare", BARE, []), ("words", WORDS, [])):
                times[name].append(seconds_to_paint(code, given))
    best = {name: min(values[1:]) * 1000 for name, values in times.items()}
    name = "process start to painted window with a chart"
    return [(name, best["ours"], "ms", "bare PySide6 window", best["bare"]),
            (name, best["ours"], "ms", "bare window that writes one word", best["words"])]  # fmt: skip


def painting() -> list[Result]:
    """One system afresh, the whole page from its pictures, and the model of the page."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from PySide6.QtCore import QSettings

    from app.window.background import ThreadPool
    from app.window.main_window import MainWindow
    from app.window.page.page_model import page_model
    from app.window.page.system_painter import system_content
    from app.window.settings import Settings
    from app.window.start import make_application
    from core.files import load_chart

    application = make_application([])
    chart, pool = load_chart(CHART)[0], ThreadPool()
    with tempfile.TemporaryDirectory() as folder:
        settings = Settings(QSettings(f"{folder}/s.ini", QSettings.Format.IniFormat))
        window: Any = MainWindow(chart, settings, pool, lambda _on_event: _Silent())
        window.show()
        until = time.monotonic() + 20
        while not (window.workings and window.reading.tension) and time.monotonic() < until:
            application.processEvents()
        page, name = window.page, chart.takes[0].name
        content = system_content(page.model, page.geometry_now, 1, window.page_options())
        one = best_ms(lambda: page.draw_picture(content))
        whole = best_ms(page.grab)
        model = best_ms(lambda: page_model(chart, name, window.reading))
        window.document.stack.setClean()
        window.close()
    pool.finish()
    return [
        ("one system painted afresh", one, "ms", "wanted at most", 10.0),
        ("the page from its pictures", whole, "ms", "a frame at 60 Hz", 1000 / 60),
        ("the model of a 32-bar page", model, "ms", "a frame at 60 Hz", 1000 / 60),
    ]


class _Silent:
    def __getattr__(self, name: str) -> Any:
        return lambda *_arguments, **_words: 0.0


def best_ms(work: Any, rounds: int = 15) -> float:
    """Lower quartile of the milliseconds of a piece of work."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.quantiles(times, n=4)[0] * 1000


def run() -> list[Result]:
    """All figures: (name, value, unit, name of the reference, value of the reference)."""
    return [*start_times(), *painting()]


if __name__ == "__main__":
    for name, value, unit, reference, other in run():
        print(f"{name:52} {value:8.1f} {unit:3}  {reference}: {other:.1f} {unit}  ({value / other:.2f} ×)")
