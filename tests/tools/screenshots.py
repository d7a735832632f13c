"""Pictures of the real window, for looking at: ``python -m tests.tools.screenshots [CHART]`` fills tests/output/.

Both themes at 1280×800 and 1920×1080: a proposal selected, why it is first, how a change came about, a bar being typed
in, an unreadable chord, the refused ones opened, the tune being written, the map, the book, whole takes, compared takes,
the keyboard help, the tour, the ear desk, the class and what prepares it, commands, preferences. Nothing is asserted
here; the eye decides.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
os.environ["XDG_CONFIG_HOME"] = tempfile.mkdtemp()  # nothing of the user is read or written

from PySide6.QtCore import QSettings, Qt
from PySide6.QtWidgets import QApplication, QWidget

from app.window.background import ThreadPool
from app.window.dialogs import KeyboardDialog, TuneDialog
from app.window.main_window import MainWindow
from app.window.preferences import PreferencesDialog
from app.window.settings import Settings
from app.window.start import make_application
from core.files import load_chart

ROOT = Path(__file__).parents[2]
OUTPUT = ROOT / "tests" / "output"
SIZES = ((1280, 800), (1920, 1080))
BAR = 3


class SilentPlayer:
    """Takes every command and plays nothing."""

    def __getattr__(self, name: str) -> Callable[..., float]:
        return lambda *_arguments, **_words: 0.0


def settle(seconds: float = 0.5) -> None:
    """Let timers and background answers come in."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        QApplication.processEvents()
        time.sleep(0.01)


def save(widget: QWidget, name: str) -> None:
    """Write one picture."""
    OUTPUT.mkdir(exist_ok=True)
    widget.grab().save(str(OUTPUT / f"{name}.png"))


def pictures(window: MainWindow, name: str) -> None:
    """One window in one theme and size, in several states."""
    page, desk = window.page, window.desk
    desk.select(desk.selection.moved_to(BAR, len(desk.form.bars)))
    settle(0.8)
    save(window, f"{name}-proposal")
    window.panel.toggle_refused()
    settle(0.2)
    save(window, f"{name}-refused")
    window.panel.toggle_refused()
    for action in ("why", "how"):  # one closes the other
        window.action(action).trigger()
        settle(0.8)
        save(window, f"{name}-{action}")
    window.action("how").trigger()
    window.bars.type_chords("take", "Bm7 E7")
    settle(0.2)
    save(window, f"{name}-typing")
    window.bars.editor.line.setText("Bm7 E7q")
    settle(0.2)
    save(window, f"{name}-fault")
    window.bars.editor.close_quietly()
    page.set_playhead(float(desk.form.bars[1].start) + 1.5)
    window.strip.set_playhead(float(desk.form.bars[1].start) + 1.5)
    desk.select(desk.selection.moved_to(1, len(desk.form.bars)).moved_to(4, len(desk.form.bars), True))
    window.play.set_loop(True)
    window.settings.set("show_numerals", True)
    window.message.say("Bar 17 of “Second evening” is locked; unlock it first.")
    settle(0.4)
    page.set_playhead(float(desk.form.bars[1].start) + 1.5)
    save(window, f"{name}-playing")
    window.message.hide()
    window.play.set_loop(False)
    window.settings.set("show_numerals", False)
    page.set_playhead(None)


def takes_pictures(window: MainWindow, name: str) -> None:
    """Whole takes before and after a search, with everything open, and two rows compared."""
    window.action("whole_takes").trigger()
    whole = window.whole.window
    assert whole is not None
    settle()
    save(whole, f"{name}-whole-empty")
    window.whole.start()
    until = time.monotonic() + 60
    while not whole.wishes.start.isEnabled() and time.monotonic() < until:
        settle(0.1)
    whole.board.choose(1)
    whole.wishes.more.click()
    settle()
    save(whole, f"{name}-whole")
    window.action("compare").trigger()
    settle(4.0)
    assert window.compare.window is not None
    save(window.compare.window, f"{name}-compare")
    for other in (whole, window.compare.window):
        other.close()


def room_pictures(window: MainWindow, name: str) -> None:
    """A stop of the tour, the ear desk after an answer, the class view, what prepares it, commands, preferences."""
    window.tour.begin()
    window.tour.go(2)
    settle(0.2)
    save(window, f"{name}-tour")
    window.tour.leave()
    window.ear.open()
    window.ear.choose("dominant")
    settle(0.8)
    if window.ear.state is not None and window.ear.window is not None:
        window.ear.answer(window.ear.state.question.answers[0].id)
        settle(0.2)
        save(window.ear.window, f"{name}-ear")
        window.ear.window.close()
    window.lesson.open()
    view = window.lesson.window
    assert view is not None
    view.setWindowState(Qt.WindowState.WindowNoState)
    view.resize(window.size())
    for _ in range(3):
        view.wished.emit("next")
    settle(0.8)
    save(view, f"{name}-class")
    view.close()
    for action in ("prepare", "find_command"):
        window.action(action).trigger()
        settle(0.4)
        sheet = window.prepare.dialog if action == "prepare" else window.commands.dialog
        assert sheet is not None
        save(sheet, f"{name}-{action}")
        sheet.close()
    preferences = PreferencesDialog(window.settings, window)
    preferences.show()
    settle(0.2)
    save(preferences, f"{name}-preferences")
    preferences.close()


def main(arguments: list[str]) -> int:
    """All pictures."""
    chart, _ = load_chart(arguments[0] if arguments else ROOT / "demo_charts" / "harbour_lamps.changes.json")
    make_application([])
    pool: Any = ThreadPool()
    with tempfile.TemporaryDirectory() as folder:
        for theme in ("light", "dark"):
            for width, height in SIZES:
                settings = Settings(QSettings(f"{folder}/{theme}{width}.ini", QSettings.Format.IniFormat))
                settings.set("theme", theme)
                window = MainWindow(chart, settings, pool, lambda _on_event: SilentPlayer())
                window.resize(width, height)
                window.show()
                settle()
                window.complete()
                pictures(window, f"{theme}-{width}x{height}")
                window.action("tune_mode").trigger()
                settle(0.2)
                save(window, f"{theme}-{width}x{height}-tune")
                window.action("tune_mode").trigger()
                for sheet, name in ((KeyboardDialog(window), "keyboard"), (TuneDialog(window), "new")):
                    sheet.show()
                    settle(0.2)
                    save(sheet, f"{theme}-{width}x{height}-{name}")
                    sheet.close()
                for action in ("map", "book"):
                    window.action(action).trigger()
                settle(2.0)
                for other, name in ((window.map.window, "map"), (window.book.window, "book")):
                    if other is not None:
                        save(other, f"{theme}-{width}x{height}-{name}")
                takes_pictures(window, f"{theme}-{width}x{height}")
                room_pictures(window, f"{theme}-{width}x{height}")
                window.document.stack.setClean()
                window.close()
    pool.finish()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
