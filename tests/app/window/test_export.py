"""Export: what the dialog offers, what it writes, how it is stopped, and that nothing is written over unasked."""

from __future__ import annotations

import threading
import time
from pathlib import Path

import mido
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox
from pytestqt.qtbot import QtBot

from app.window.export import EXPORTS, ExportJob, ExportWish, export_chart
from app.window.export_control import written_words
from app.window.export_dialog import ExportDialog
from app.window.main_window import MainWindow
from core.sound.midi_file import CHORD_TEXTS
from tests.app.window.sample import sample_chart

pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints", extend=True)  # the offscreen platform has no frames

TAKE = "Second evening"


def choose(dialog: ExportDialog, ending: str) -> None:
    dialog.kinds.button(next(n for n, kind in enumerate(EXPORTS) if kind.ending == ending)).setChecked(True)


def test_exports_are_written_by_their_own_process(window: MainWindow, tmp_path: Path) -> None:
    for ending, begins in ((".musicxml", b"<?xml"), (".abc", b"%abc-2.1"), (".mid", b"MThd")):
        target = tmp_path / f"tune{ending}"
        window.exports.write(ExportWish(str(target), (TAKE,)))
        QApplication.processEvents()
        assert target.read_bytes().startswith(begins)
        assert window.message.text == f"Written: {target}"


def test_an_export_that_fails_is_one_sentence(window: MainWindow, tmp_path: Path) -> None:
    target = tmp_path / "no such folder" / "tune.mid"
    window.exports.write(ExportWish(str(target), (TAKE,)))
    QApplication.processEvents()
    assert "no such folder" in window.message.text
    assert "Traceback" not in window.message.text


def test_a_soundfont_that_has_gone_is_one_sentence(tmp_path: Path) -> None:
    said = export_chart(
        sample_chart(), ExportWish(str(tmp_path / "t.wav"), font=str(tmp_path / "gone.sf2")), ExportJob()
    )
    assert "gone.sf2" in said
    assert list(tmp_path.iterdir()) == []


def test_a_stopped_export_writes_nothing(tmp_path: Path) -> None:
    job, target = ExportJob(), tmp_path / "tune.wav"
    job.cancel()
    said = export_chart(sample_chart(), ExportWish(str(target), (TAKE,)), job)
    assert said == "Stopped; tune.wav was not written."
    assert list(tmp_path.iterdir()) == []


def test_an_export_that_is_stopped_half_way_leaves_no_half_file(tmp_path: Path) -> None:
    job = ExportJob()

    def stop() -> None:
        while job.share < 0.35 and (job.process is None or job.process.poll() is None):
            time.sleep(0.005)
        job.cancel()

    stopper = threading.Thread(target=stop)
    stopper.start()
    wish = ExportWish(str(tmp_path / "tune.wav"), ("standard", TAKE), stems=True)
    said = export_chart(sample_chart(), wish, job)
    stopper.join()
    assert said == "Stopped; tune.wav was not written."
    assert job.share >= 0.3, "it had begun to write"
    assert list(tmp_path.iterdir()) == []


def test_the_dialog_keeps_what_belongs_to_each_kind_of_file(qtbot: QtBot) -> None:
    dialog = ExportDialog(sample_chart(), TAKE, ".wav")
    qtbot.addWidget(dialog)
    assert (dialog.kind.ending, dialog.rows, dialog.stems) == (".wav", (TAKE,), False)
    dialog.row.setCurrentIndex(2)
    dialog.sound.setCurrentIndex(1)
    assert (dialog.rows, dialog.stems) == (("standard", TAKE), True)
    assert not dialog.chords.isEnabled()
    choose(dialog, ".mid")
    assert not dialog.stems
    assert dialog.chords.isEnabled()
    dialog.chords.setCurrentIndex(1)
    assert dialog.chord_texts == "lyrics"
    choose(dialog, ".musicxml")
    assert dialog.rows == (TAKE,), "a score has both rows on one page"


def test_the_dialog_names_chords_as_files_do(qtbot: QtBot) -> None:
    dialog = ExportDialog(sample_chart(), None, ".mid")
    qtbot.addWidget(dialog)
    assert tuple(dialog.chords.itemData(n) for n in range(dialog.chords.count())) == CHORD_TEXTS
    assert dialog.rows == ("standard",)
    assert dialog.row.count() == 1


def test_from_the_key_to_the_file_without_a_pointer(
    window: MainWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "tide"), ""))
    window.settings.set("export_kind", ".mid")
    window.action("export").trigger()
    dialog = window.exports.dialog
    assert dialog is not None
    dialog.row.setCurrentIndex(2)
    qtbot.keyClick(dialog, Qt.Key.Key_Return)
    QApplication.processEvents()
    files = sorted(path.name for path in tmp_path.glob("*.mid"))
    assert files == ["tide-second-evening.mid", "tide-standard.mid"]
    assert window.message.text == f"2 files written to {tmp_path}"
    assert mido.MidiFile(tmp_path / files[0]).type == 1
    assert window.exports.dialog is None


def test_files_named_after_the_one_asked_for_are_asked_about(
    window: MainWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    old = tmp_path / "tide-standard.mid"
    old.write_bytes(b"older")
    asked: list[str] = []

    def refuse(_parent: object, _title: str, words: str, *_: object) -> QMessageBox.StandardButton:
        asked.append(words)
        return QMessageBox.StandardButton.Cancel

    monkeypatch.setattr(QMessageBox, "question", refuse)
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "tide.mid"), ""))
    window.settings.set("export_kind", ".mid")
    window.exports.open()
    assert window.exports.dialog is not None
    window.exports.dialog.row.setCurrentIndex(2)
    window.exports.dialog.accept()
    QApplication.processEvents()
    assert asked == ["“tide-standard.mid” stood here before. Replace?"]
    assert old.read_bytes() == b"older"


def test_what_was_written_is_said() -> None:
    assert written_words(["/home/a.mid"]) == "Written: /home/a.mid"
    assert written_words(["/home/a.mid", "/home/b.mid"]) == f"2 files written to {Path('/home')}"
