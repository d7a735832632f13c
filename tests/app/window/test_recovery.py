"""Nothing lost: recovery copies and their offer, two windows on one file, a file that was changed on disk."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication, QMessageBox, QWidget
from pytestqt.qtbot import QtBot

from app.window.desk import Desk
from app.window.disk_control import DiskControl
from app.window.document import Document
from app.window.export import export_name
from app.window.main_window import MainWindow
from app.window.own_folder import own_folder
from app.window.recovery_control import RecoveryControl
from core.edit import set_tempo, set_title
from core.errors import FileError
from core.file_stamp import stamp_of
from core.files import load_chart, save_chart
from core.recovery import RecoveryCopy, copies_in, read_copy, write_copy
from tests.app.window.sample import sample_chart

pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints", extend=True)  # the offscreen platform has no frames
ROOT = Path(__file__).parents[3]


def copies() -> tuple[Path, ...]:
    return copies_in(own_folder() / "recovery")


def settled(qtbot: QtBot, tempo: int) -> None:
    """Wait until the one copy holds a tempo."""
    qtbot.waitUntil(lambda: len(copies()) == 1 and read_copy(copies()[0]).chart.tempo == tempo)


# --- recovery copies -----------------------------------------------------------------------------------------------


def test_each_edit_is_kept_and_a_saved_chart_needs_no_copy(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    assert copies() == ()
    window.document.edit("tempo", set_tempo, 101)
    settled(qtbot, 101)
    window.document.edit("tempo", set_tempo, 102)
    settled(qtbot, 102)
    window.document.save(tmp_path / "tune.changes.json")
    qtbot.waitUntil(lambda: copies() == ())
    window.document.edit("tempo", set_tempo, 103)
    settled(qtbot, 103)
    assert read_copy(copies()[0]).path == tmp_path / "tune.changes.json"
    window.document.stack.undo()
    qtbot.waitUntil(lambda: copies() == ())


def test_a_copy_of_a_living_window_is_not_offered(window: MainWindow, qtbot: QtBot) -> None:
    window.document.edit("tempo", set_tempo, 101)
    settled(qtbot, 101)
    document = Document(sample_chart())
    other = RecoveryControl(Desk(document), window)
    other.offer()
    assert other.dialog is None
    other.close()
    assert len(copies()) == 1


CRASH = """
import os, signal, sys
from pathlib import Path
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QWidget
from app.window.desk import Desk
from app.window.document import Document
from app.window.recovery_control import RecoveryControl
from core.edit import set_tempo
from core.file_stamp import stamp_of
from core.files import load_chart
from core.recovery import read_copy
application = QApplication([])
path, room = Path(sys.argv[1]), QWidget()
document = Document(load_chart(path)[0])
document.opened(document.chart, path, stamp_of(path))
control = RecoveryControl(Desk(document), room)
for tempo in (61, 62, 63):
    document.edit("tempo", set_tempo, tempo)
def kill():
    if control.place.exists() and control._lock.isLocked() and read_copy(control.place).chart.tempo == 63:
        os.kill(os.getpid(), signal.SIGKILL)
timer = QTimer()
timer.timeout.connect(kill)
timer.start(5)
application.exec()
"""


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs a kill that cannot be caught")
def test_what_a_killed_window_had_is_offered_and_goes_on_as_unsaved(
    window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    path = tmp_path / "Möwe 灯台.changes.json"
    save_chart(sample_chart(), path)
    before = path.read_bytes()
    done = subprocess.run([sys.executable, "-c", CRASH, str(path)], cwd=ROOT, timeout=60, check=False,
                          env=os.environ | {"QT_QPA_PLATFORM": "offscreen"}, capture_output=True)  # fmt: skip
    assert done.returncode == -signal.SIGKILL, done.stderr
    window.files.recovery.offer()
    dialog = window.files.recovery.dialog
    assert dialog is not None
    assert "Lantern Steps" in dialog.list.item(0).text()
    assert path.name in dialog.list.item(0).text()
    dialog.open_button.click()
    assert (window.document.chart.tempo, window.document.path, window.document.is_dirty) == (63, path, True)
    settled(qtbot, 63)
    assert copies() == (window.files.recovery.place,)
    assert path.read_bytes() == before, "opening a copy changes no file"
    assert window.files.save()
    assert load_chart(path)[0].tempo == 63
    qtbot.waitUntil(lambda: copies() == ())


def test_copies_are_kept_for_later_or_thrown_away_by_name(window: MainWindow) -> None:
    folder = own_folder() / "recovery"
    for name in ("one", "two"):
        write_copy(folder / f"{name}.recovery.json", RecoveryCopy(set_title(sample_chart(), name), 0.0))
    recovery = window.files.recovery
    recovery.offer()
    assert recovery.dialog is not None
    recovery.dialog.later_button.click()
    assert len(copies()) == 2
    recovery.offer()
    assert recovery.dialog is not None
    titles = [recovery.dialog.list.item(at).text().split("\n")[0] for at in range(2)]
    recovery.dialog.drop_button.click()
    assert [read_copy(place).chart.title for place in copies()] == titles[1:]
    recovery.dialog.later_button.click()
    assert window.document.chart == sample_chart()


@pytest.mark.parametrize(
    "damage", ["", "{}", "[1]", '{"format": "changewright recovery copy", "version": 99}', "{" * 50_000]
)
def test_a_damaged_copy_is_said_and_kept(window: MainWindow, damage: str) -> None:
    place = own_folder() / "recovery" / "x.recovery.json"
    place.parent.mkdir(parents=True)
    place.write_text(damage, encoding="utf-8")
    window.files.recovery.offer()
    assert window.files.recovery.dialog is None
    assert "kept" in window.message.text
    assert place.read_text(encoding="utf-8") == damage


def test_where_no_copy_can_be_kept_it_is_said_once(window: MainWindow, qtbot: QtBot) -> None:
    own_folder().mkdir(parents=True, exist_ok=True)
    (own_folder() / "recovery").write_text("in the way", encoding="utf-8")
    window.document.edit("tempo", set_tempo, 101)
    qtbot.waitUntil(lambda: "save often" in window.message.text)
    window.message.say("")
    window.document.edit("tempo", set_tempo, 102)
    qtbot.wait(100)
    assert window.message.text == ""


def test_a_window_that_closes_leaves_no_copy(qtbot: QtBot) -> None:
    document, room = Document(sample_chart()), QWidget()
    qtbot.addWidget(room)
    recovery = RecoveryControl(Desk(document), room)
    document.edit("tempo", set_tempo, 101)
    settled(qtbot, 101)
    document.edit("tempo", set_tempo, 102)
    recovery.close()  # Discard was answered
    assert copies() == ()
    assert list((own_folder() / "recovery").iterdir()) == []


# --- the file as others see it -------------------------------------------------------------------------------------


def opened(window: MainWindow, path: Path) -> None:
    save_chart(sample_chart(), path)
    window.document.opened(sample_chart(), path, stamp_of(path))


def answer(monkeypatch: pytest.MonkeyPatch, words: str) -> None:
    """Let the next question be answered by the button with these words."""

    def exec_(box: QMessageBox) -> int:
        next(button for button in box.buttons() if button.text().replace("&", "") == words).click()
        return 0

    monkeypatch.setattr(QMessageBox, "exec", exec_)


def test_a_stamp_tells_content_not_time(tmp_path: Path) -> None:
    path = tmp_path / "x"
    path.write_text("a", encoding="utf-8")
    before = stamp_of(path)
    os.utime(path, (1, 1))
    assert stamp_of(path) == before
    path.write_text("b", encoding="utf-8")
    assert stamp_of(path, before) != before
    path.unlink()
    assert stamp_of(path, before) is None


def test_nobodys_work_is_written_over_unasked(
    window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "tune.changes.json"
    opened(window, path)
    window.document.edit("tempo", set_tempo, 101)
    assert window.files.save(), "nothing stands against it"
    save_chart(set_tempo(sample_chart(), 222), path)
    window.document.edit("tempo", set_tempo, 102)
    answer(monkeypatch, "Cancel")
    assert not window.files.save()
    assert load_chart(path)[0].tempo == 222
    answer(monkeypatch, "Replace it")
    assert window.files.save()
    assert load_chart(path)[0].tempo == 102
    assert not window.document.is_dirty


def test_what_is_there_now_can_be_opened_and_undone(
    window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "tune.changes.json"
    opened(window, path)
    window.document.edit("tempo", set_tempo, 101)
    save_chart(set_tempo(sample_chart(), 222), path)
    answer(monkeypatch, "Open it anew")
    assert not window.files.save()
    assert (window.document.chart.tempo, window.document.is_dirty) == (222, False)
    window.document.stack.undo()
    assert (window.document.chart.tempo, window.document.is_dirty) == (101, True)
    assert window.files.save(), "the file is known as it is now"


def test_a_change_on_disk_is_told_once(window: MainWindow, tmp_path: Path) -> None:
    path, disk = tmp_path / "tune.changes.json", window.files.disk
    opened(window, path)
    disk.look()
    assert disk.box is None
    save_chart(set_tempo(sample_chart(), 222), path)
    disk.look()
    assert disk.box is not None
    assert path.name in disk.box.text()
    disk.box.reject()
    QApplication.processEvents()
    disk.look()
    assert disk.box is None, "it was answered"
    assert window.document.chart.tempo == 132
    save_chart(set_tempo(sample_chart(), 223), path)
    disk.look()
    assert disk.box is not None
    next(button for button in disk.box.buttons() if "anew" in button.text()).click()
    QApplication.processEvents()
    assert window.document.chart.tempo == 223
    path.unlink()
    disk.look()
    assert "no longer in its place" in window.message.text
    assert window.files.save()
    assert path.exists()


def test_two_windows_on_one_file_notice_each_other(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    path = tmp_path / "tune.changes.json"
    opened(window, path)
    assert window.message.text == ""
    document, room = Document(sample_chart()), QWidget()
    qtbot.addWidget(room)
    other = DiskControl(document, room)
    with qtbot.waitSignal(other.said) as told:
        document.opened(sample_chart(), path, stamp_of(path))
    assert "open in another window" in told.args[0]
    other.release()
    window.files.disk.release()
    with qtbot.assertNotEmitted(other.said):
        document.start(sample_chart())
        document.opened(sample_chart(), path, stamp_of(path))
    other.release()


@pytest.mark.parametrize(("title", "name"), [
    ("Harbour Lamps", "harbour-lamps"), ("Möwe über 灯台", "möwe-über-灯台"), ("///", "untitled"), ("CON", "con-tune"),
    ("x" * 300, "x" * 60), ("Żółć: a_b", "żółć-a-b"),
])  # fmt: skip
def test_titles_of_any_script_make_file_names(title: str, name: str) -> None:
    assert export_name(title) == name


def test_a_copy_of_a_newer_program_is_refused(tmp_path: Path) -> None:
    place = tmp_path / "x.recovery.json"
    write_copy(place, RecoveryCopy(sample_chart(), 5.0, tmp_path / "y", stamp_of(__file__)))
    assert read_copy(place) == RecoveryCopy(sample_chart(), 5.0, tmp_path / "y", stamp_of(__file__))
    place.write_text(place.read_text(encoding="utf-8").replace('"version": 1', '"version": 2'), encoding="utf-8")
    with pytest.raises(FileError, match="newer program"):
        read_copy(place)
