"""The import sheet: what was guessed, other answers, opening and leaving it, all by the keyboard."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication, QMessageBox
from pytestqt.qtbot import QtBot

from app.window.import_control import ImportControl
from app.window.import_model import facts, first_bars, heading, must_ask
from app.window.import_sheet import ImportSheet
from app.window.main_window import MainWindow
from core.bar_text import chart_from_bar_text
from core.imported import Imported

pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints", extend=True)  # the offscreen platform has no frames
ABC = 'X:1\nT:Quay\nM:4/4\nL:1/4\nK:Bb\nV:1\n"Bb"B4|"F7"A4|B4|\nV:2\nD4|C4|D4|\n\nX:2\nT:Ebb\nM:3/4\nK:C\nC6|\n'


def control(window: MainWindow) -> ImportControl:
    return window.findChild(ImportControl)


def sheet_of(window: MainWindow, path: Path) -> ImportSheet:
    assert window.files.open(str(path))
    QApplication.processEvents()
    sheet = control(window).sheet
    assert isinstance(sheet, ImportSheet)
    return sheet


@pytest.fixture
def abc(tmp_path: Path) -> Path:
    path = tmp_path / "quay.abc"
    path.write_text(ABC, encoding="utf-8")
    return path


def answer(sheet: ImportSheet, question: str, place: int) -> None:
    """Choose by the keyboard: down to an entry."""
    box = sheet.choosers[question]
    box.setCurrentIndex(place)
    box.activated.emit(place)
    QApplication.processEvents()


# --- words ----------------------------------------------------------------------------------------------------------


def test_what_the_sheet_says_of_a_chart() -> None:
    chart = chart_from_bar_text(
        "key: Eb major\nmeter: 3/4\ntempo: 96\n\n| {pickup} {length 1} N.C. | Ebmaj7 | Fm7 Bb7 | % |"
    )
    assert facts(chart) == "E♭ major · 3/4 · 3 bars and a pickup · no melody · ♩ = 96 · medium swing"
    assert first_bars(chart) == "| E♭maj7 | Fm7 B♭7 | Fm7 B♭7 |"
    assert first_bars(chart_from_bar_text("| N.C. |")) == "No chords"
    assert first_bars(chart_from_bar_text("| " + "C | " * 20)).endswith("| C | …")
    assert heading(1) == "1 thing was guessed or left out:"
    assert not must_ask(Imported(chart))
    assert must_ask(Imported(chart, ("No key.",)))


# --- the sheet ------------------------------------------------------------------------------------------------------


def test_nothing_is_opened_before_the_sheet_is_accepted(window: MainWindow, abc: Path) -> None:
    before = window.desk.chart
    sheet = sheet_of(window, abc)
    assert window.desk.chart is before
    assert sheet.title.text() == "Quay"
    notes = [sheet.notes.item(at).text() for at in range(sheet.notes.count())]
    assert "Of 2 tunes in the file 'Quay' is read." in notes
    assert list(sheet.choosers) == ["tune", "melody", "feel"]
    sheet.reject()
    QApplication.processEvents()
    assert window.desk.chart is before
    assert control(window).sheet is None


def test_enter_opens_what_is_shown(window: MainWindow, qtbot: QtBot, abc: Path) -> None:
    sheet = sheet_of(window, abc)
    qtbot.keyClick(sheet, Qt.Key.Key_Return)
    QApplication.processEvents()
    assert window.desk.chart.title == "Quay"
    assert window.document.path is None, "Save must not write over a foreign file"
    assert window.settings.get("recent") == (str(abc.resolve()),)


def test_another_answer_is_read_and_shown_at_once(window: MainWindow, abc: Path) -> None:
    sheet = sheet_of(window, abc)
    answer(sheet, "melody", 1)
    assert sheet.choosers["melody"].currentText() == "voice 2"
    answer(sheet, "feel", 1)
    chosen = sheet.choosers["feel"].currentText()
    assert chosen in sheet.facts.text()
    sheet.accept()
    QApplication.processEvents()
    assert [str(note.pitch) for note in window.desk.chart.melody] == ["D4", "C4", "D4"]
    assert window.desk.chart.feel == chosen


def test_another_tune_has_its_own_questions(window: MainWindow, abc: Path) -> None:
    sheet = sheet_of(window, abc)
    answer(sheet, "tune", 1)
    assert sheet.title.text() == "Ebb"
    assert list(sheet.choosers) == ["tune", "feel"]
    assert "3/4" in sheet.facts.text()


def test_a_file_that_went_away_is_said_on_the_sheet(window: MainWindow, abc: Path) -> None:
    sheet = sheet_of(window, abc)
    abc.unlink()
    answer(sheet, "feel", 1)
    assert (
        sheet.fault.text() == "Does not exist; check the name and the folder." or "cannot be read" in sheet.fault.text()
    )
    assert not sheet.open_button.isEnabled()


def test_a_bad_file_leaves_the_window_as_it_was(window: MainWindow, tmp_path: Path) -> None:
    before = window.desk.chart
    path = tmp_path / "film.mid"
    path.write_bytes(b"MThd\0\0\0\6\0\1\0\1\xe7\x28MTrk\0\0\0\0")
    window.files.open(str(path))
    QApplication.processEvents()
    assert "SMPTE" in window.message.text
    assert window.desk.chart is before
    assert control(window).sheet is None


# --- pasting --------------------------------------------------------------------------------------------------------


def test_bars_are_pasted(window: MainWindow) -> None:
    QGuiApplication.clipboard().setText("Quay\n| Dm7 - G7 | Cmaj7 |")
    window.action("paste").trigger()
    QApplication.processEvents()
    sheet = control(window).sheet
    assert isinstance(sheet, ImportSheet)
    assert sheet.windowTitle() == "Open what was pasted"
    assert sheet.bars.text() == "| Dm7 G7 | Cmaj7 |"
    sheet.accept()
    QApplication.processEvents()
    assert window.desk.chart.title == "Quay"
    assert window.document.is_dirty, "a pasted tune is in no file yet"


def test_what_is_no_chart_is_one_sentence(window: MainWindow) -> None:
    for text, message in (("", "no text on the clipboard"), ("boats and quays", "There are no chords")):
        QGuiApplication.clipboard().setText(text)
        window.action("paste").trigger()
        QApplication.processEvents()
        assert message in window.message.text
        assert control(window).sheet is None


def test_what_is_not_saved_is_asked_about_before_a_paste(window: MainWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    window.action("new_take").trigger()
    monkeypatch.setattr(QMessageBox, "question", lambda *_: QMessageBox.StandardButton.Cancel)
    QGuiApplication.clipboard().setText("| Dm7 - G7 |")
    window.action("paste").trigger()
    assert control(window).sheet is None


def test_a_text_that_was_mended_is_not_written_over(window: MainWindow, tmp_path: Path) -> None:
    path = tmp_path / "words.txt"
    path.write_text("| Dm7 - G7 |\nboats come in\n| C |", encoding="utf-8")
    sheet_of(window, path).accept()
    QApplication.processEvents()
    assert window.document.path is None
    ours = tmp_path / "ours.txt"
    ours.write_text("key: C major\n\n| Dm7 G7 | C |", encoding="utf-8")
    window.files.open(str(ours))
    QApplication.processEvents()
    assert window.document.path == ours
