"""The window's process stays light: what renders sound or reads scores is never loaded in it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[3]
HEAVY = ("numpy", "music21", "mido", "miniaudio", "midirenderer", "pretty_midi", "rtmidi", "verovio", "matplotlib")
WALK = """
import json, sys, time
import app.window
assert not any(name.startswith("PySide6") for name in sys.modules), "importing the package loads no Qt"
from app.window.start import make_application
from app.window.main_window import MainWindow
from app.window.settings import Settings
from PySide6.QtCore import QSettings
from tests.app.window.sample import sample_chart
application = make_application([])
class Quiet:
    def __getattr__(self, name): return lambda *a, **k: 0.0
window = MainWindow(sample_chart(), Settings(QSettings(sys.argv[1], QSettings.Format.IniFormat)), None, lambda e: Quiet())
early = []
def painted():
    import PySide6.QtCore
    early.extend(["Qt namespace"] if "Qt" in PySide6.QtCore.__dict__ else [])
    early.extend(name for name in sys.modules if name.startswith(("core.analysis", "core.propose", "core.arrange")))
window.painted.connect(painted)
window.show()
for _ in range(400):
    application.processEvents()
    if window.workings and window.reading.tension and window.panel._answer and window.panel.keyboard._piano.notes:
        break
    time.sleep(0.01)
window.action("whole_takes").trigger()
window.action("compare").trigger()
window.whole.window.wishes.count.setValue(1)
window.whole.start()
for _ in range(2000):
    application.processEvents()
    if len(window.whole.window.board.lines) and all(line.view for line in window.compare.window.board.lines):
        break
    time.sleep(0.01)
window.action("play").trigger()
for _ in range(100):
    application.processEvents()
    time.sleep(0.005)
roots = {name.partition(".")[0] for name in sys.modules}
print(json.dumps({"roots": sorted(roots), "early": early, "read": bool(window.reading.tension),
                  "found": len(window.whole.window.board.lines)}))
window.document.stack.setClean()
window.close()
"""


def test_nothing_heavy_is_loaded(tmp_path: Path) -> None:
    done = subprocess.run([sys.executable, "-c", WALK, str(tmp_path / "s.ini")], cwd=ROOT, capture_output=True, text=True,
                          env=os.environ | {"QT_QPA_PLATFORM": "offscreen"}, timeout=60, check=False)  # fmt: skip
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout.splitlines()[-1])
    assert found["read"], "the chart was analysed, so the harmony book was loaded"
    assert found["found"], "whole takes were found and shown, by a process of their own"
    assert [name for name in HEAVY if name in found["roots"]] == []
    assert found["early"] == [], "the first paint waits for no analysis"
