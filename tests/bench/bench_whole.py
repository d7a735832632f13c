"""The whole program as it is used: window and player as processes of their own, memory after playing both rows."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

Row = tuple[str, float, str, str, float]
ROOT = Path(__file__).parents[2]
CHART = ROOT / "demo_charts" / "harbour_lamps.changes.json"

# The window with the null device: shown, read, played from the top on both rows, then weighed with its children.
SESSION = """
import json, sys
import psutil
from PySide6.QtCore import QSettings, QTimer
from app.player.client import PlayerClient
from app.window.main_window import MainWindow
from app.window.settings import Settings
from app.window.start import first_chart, make_application

application = make_application([])
settings = Settings(QSettings(sys.argv[2], QSettings.Format.IniFormat))
window = MainWindow(first_chart(sys.argv[1])[0], settings, None, lambda on_event: PlayerClient(on_event, device="null"))

def weigh():
    own = psutil.Process()
    children = own.children(recursive=True)
    playing = window.playback.is_playing
    print(json.dumps({"window": own.memory_info().rss / 1e6, "playing": playing,
                      "all": sum(p.memory_info().rss for p in (own, *children)) / 1e6, "processes": 1 + len(children)}), flush=True)
    window.document.stack.setClean()
    window.close()
    application.quit()

def begin():
    QTimer.singleShot(2500, lambda: window.playback.play(0.0))
    QTimer.singleShot(6000, lambda: window.playback.set_side("standard"))
    QTimer.singleShot(8000, lambda: window.playback.set_side("take"))
    QTimer.singleShot(10000, weigh)

window.completed.connect(begin)
window.show()
application.exec()
"""


def run() -> list[Row]:
    """All figures as (what, value, unit, reference, its value)."""
    with tempfile.TemporaryDirectory() as folder:
        environment = os.environ | {
            "PYTHONPATH": str(ROOT),
            "QT_QPA_PLATFORM": os.environ.get("QT_QPA_PLATFORM", "offscreen"),
        }
        words = [sys.executable, "-c", SESSION, str(CHART), f"{folder}/s.ini"]
        done = subprocess.run(words, cwd=ROOT, env=environment, capture_output=True, text=True, timeout=60, check=True)
    found = json.loads(done.stdout.splitlines()[-1])
    if not found["playing"]:
        raise RuntimeError("the program did not play")
    return [
        ("memory of the window's process while playing", found["window"], "MB", "wanted at most", 130.0),
        (f"memory of all {found['processes']} processes after both rows", found["all"], "MB", "wanted at most", 350.0),
    ]  # fmt: skip


if __name__ == "__main__":
    for row in run():
        print(row)
