"""The player process beside what disturbs it: killed, held up, a window that paints and searches; half a minute.

``python -m tests.bench player`` prints it.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import tempfile
import threading
import time

import numpy as np

from app.player.client import RESTARTS, PlayerClient
from core.arrange import arrange
from tests.app.player.helpers import Events, until
from tests.bench.bench_sound import BUFFER_MS, DEMO, TUNE, Row, demo, stats, timed


def run() -> list[Row]:
    """Name, value, unit, name and value of the reference it is held against."""
    return [*_killed(), *_held(), *_midi_process()]


def _killed() -> list[Row]:
    """The player is killed in the middle of a chorus: from then to the first sound of the next one."""
    chart, events = demo(), Events()
    client = PlayerClient(events, device="null", buffer_ms=BUFFER_MS)
    client.load(arrange(chart, chart.takes[0].name))
    client.play(8.0)
    taken = []
    for _ in range(RESTARTS):
        until(lambda: client._spare, 30)
        time.sleep(1.5)
        count = len(events.of("playing"))
        begun = time.perf_counter()
        client._link.process.kill()
        events.wait("playing", count + 1)
        taken.append(1000 * (time.perf_counter() - begun))
    client.close()
    return [("killed player to sound at the same place, worst of 3", max(taken), "ms", "limit", 300.0)]


def _held() -> list[Row]:
    """Late periods of a player while this process holds its interpreter for 30 ms at a time."""
    events = Events()
    client = PlayerClient(events, device="null", buffer_ms=BUFFER_MS)
    client.load(TUNE)
    client.play()
    until(lambda: (last := events.last("preparing")) and last["done"] == last["total"], 30)
    count = 1_000_000
    count = round(count * 30.0 / timed(lambda: sum(range(count)), 3))
    client.ask_stats(reset=True)
    held, end = [], time.perf_counter() + 6
    while time.perf_counter() < end:
        held.append(timed(lambda: sum(range(count))))
    found = stats(client, events)
    client.close()
    title = f"late periods while the window's process holds its lock {statistics.median(held):.0f} ms at a time"
    return [(title, float(found["late"]), f"of {found['blocks']}", "none", 0.0)]


def _midi_process() -> list[Row]:
    """Notes at a port in a process of its own while a window repaints and a search runs here, beside a sleeping loop."""
    seconds = 20.0
    player = _beside("-m", "tests.bench.midi_player", str(DEMO), str(seconds))
    sleeper = _beside("-c", SLEEPER, str(seconds))
    _repaint_and_search(seconds + 3)
    late, slept = (1000 * np.array(json.loads(process.communicate()[0])) for process in (player, sleeper))
    reference = float(np.percentile(slept, 99))
    title = f"MIDI at a port in the player, window repainting and searching ({len(late)} notes), "
    return [
        (title + "99th percentile", float(np.percentile(late, 99)), "ms", "limit", 1.0),
        (title + "99th percentile", float(np.percentile(late, 99)), "ms", "a sleeping loop beside", reference),
        (title + "median", float(np.median(late)), "ms", "a sleeping loop beside", float(np.median(slept))),
    ]


SLEEPER = """
import json, sys, time
late, end = [], time.perf_counter() + float(sys.argv[1])
due = time.perf_counter()
while due < end:
    due += 0.02
    time.sleep(max(0.0, due - time.perf_counter()))
    late.append(time.perf_counter() - due)
print(json.dumps(late))
"""


def _beside(*words: str) -> subprocess.Popen[str]:
    return subprocess.Popen([sys.executable, *words], stdout=subprocess.PIPE, text=True)


def _repaint_and_search(seconds: float) -> None:
    """What a busy window does: its page painted over and over, proposals looked for on a thread."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from PySide6.QtCore import QSettings
    from PySide6.QtWidgets import QApplication

    from app.window.main_window import MainWindow
    from app.window.reading import find_proposals
    from app.window.settings import Settings
    from app.window.start import make_application
    from tests.tools.screenshots import SilentPlayer

    application = QApplication.instance() or make_application([])
    chart, stop = demo(), threading.Event()

    def search() -> None:
        bars = chart.form.bars
        while not stop.is_set():
            for bar in bars:
                find_proposals(chart, chart.takes[0].name, bar.start, bar.end)
                if stop.is_set():
                    return

    with tempfile.TemporaryDirectory() as folder:
        settings = Settings(QSettings(f"{folder}/bench.ini", QSettings.Format.IniFormat))
        window = MainWindow(chart, settings, None, lambda _on_event: SilentPlayer())
        window.show()
        window.complete()
        searching = threading.Thread(target=search)
        searching.start()
        end = time.perf_counter() + seconds
        while time.perf_counter() < end:
            window.page.viewport().repaint()
            application.processEvents()
        stop.set()
        searching.join()
        window.close()
