"""The dialog for sheets: what it shows, saves, stops, and where it says that copies may need a licence."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from app.sheet.batch import Wanted
from app.sheet.drawing import Words
from app.window.main_window import MainWindow
from app.window.sheet_control import STOPPED
from app.window.sheet_dialog import SheetDialog
from app.window.sheet_maker import SheetMaker
from core.sheet.kinds import SheetOptions

PATIENCE = 20_000
OUTPUT = Path(__file__).parents[2] / "output" / "sheets"


def opened(window: MainWindow, qtbot: QtBot) -> SheetDialog:
    window.action("sheets").trigger()
    dialog = window.sheets.dialog
    assert dialog is not None
    qtbot.waitUntil(lambda: dialog.print.isEnabled(), timeout=PATIENCE)
    return dialog


def titles(dialog: SheetDialog) -> list[str]:
    return [item.text for page in dialog.preview.pages for item in page.items
            if isinstance(item, Words) and item.role in ("part", "rows")]  # fmt: skip


def test_the_preview_shows_every_page_that_would_be_printed(window: MainWindow, qtbot: QtBot) -> None:
    dialog = opened(window, qtbot)
    assert len(dialog.preview.pages) == 1
    dialog.kinds["take"].setChecked(True)
    dialog.parts["Bb"].setChecked(True)
    assert not dialog.print.isEnabled(), "what is shown is not what would be printed any more"
    qtbot.waitUntil(lambda: dialog.print.isEnabled(), timeout=PATIENCE)
    assert len(dialog.preview.pages) == 4
    assert titles(dialog).count("B♭ instruments") == 2
    assert dialog.words.text() == "page 1 of 4"
    qtbot.keyClick(dialog.preview, Qt.Key.Key_PageDown)
    assert dialog.preview.shown == 1
    OUTPUT.mkdir(parents=True, exist_ok=True)
    assert dialog.grab().save(str(OUTPUT / "dialog.png")), "to be looked at"
    window.sheets.dialog.reject()  # type: ignore[union-attr]
    window.action("sheets").trigger()
    again = window.sheets.dialog
    assert again is not None
    assert again.chosen_kinds() == ("standard", "take"), "what was ticked is remembered"
    assert again.chosen_parts() == ("C", "Bb")


def test_the_licence_is_spoken_of_once_and_nothing_ticked_prints_nothing(window: MainWindow, qtbot: QtBot) -> None:
    window.settings.set("theme", "dark")
    dialog = opened(window, qtbot)
    said = [label.text() for label in dialog.findChildren(QLabel) if "licence" in label.text()]
    assert len(said) == 1
    assert "copyright" in said[0]
    dialog.preview.resize(400, 600)
    image = dialog.preview.grab().toImage()
    assert image.pixelColor(image.width() // 2, image.height() - 50).name() == "#ffffff", "paper is white at night too"
    dialog.kinds["standard"].setChecked(False)
    qtbot.waitUntil(lambda: bool(dialog.fault.text()), timeout=PATIENCE)
    assert not dialog.print.isEnabled()
    assert not dialog.save.isEnabled()


def test_sheets_are_saved_with_progress_and_the_message_says_where(
    window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    dialog = opened(window, qtbot)
    dialog.parts["Eb"].setChecked(True)
    said: list[str] = []
    window.sheets.said.connect(said.append)
    folder = tmp_path / "sheets"
    folder.mkdir()
    window.sheets.save_to(folder, window.sheets.wanted())
    qtbot.waitUntil(lambda: bool(said), timeout=PATIENCE)
    assert sorted(path.name for path in folder.iterdir()) == [
        "Lantern Steps - standard Eb.pdf", "Lantern Steps - standard.pdf",
    ]  # fmt: skip
    assert said == [f"2 files written to {folder}"]


def test_stopping_leaves_no_half_files(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    dialog = opened(window, qtbot)
    for box in (*dialog.kinds.values(), *dialog.parts.values()):
        box.setChecked(True)
    said: list[str] = []
    window.sheets.said.connect(said.append)
    folder = tmp_path / "sheets"
    folder.mkdir()
    with qtbot.waitSignal(window.sheets.writer.progressed, timeout=PATIENCE):
        window.sheets.save_to(folder, window.sheets.wanted(".svg"))
    assert any(folder.iterdir()), "the batch was under way"
    window.sheets.stop()
    assert said == [STOPPED]
    assert list(folder.iterdir()) == []
    assert not window.sheets.writer.is_busy()


def test_what_cannot_be_made_or_written_is_said(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    maker = SheetMaker()
    with qtbot.waitSignal(maker.failed, timeout=PATIENCE) as failed:
        maker.preview(window.desk.chart, (Wanted(SheetOptions("take", take="Not there"), "a.pdf"),))
    assert "Not there" in failed.args[0]
    assert not maker.is_busy()
    with qtbot.waitSignal(maker.failed, timeout=PATIENCE) as failed:
        maker.write(window.desk.chart, (Wanted(SheetOptions(), "a.pdf"),), tmp_path / "nowhere")
    assert "nowhere" in failed.args[0]
