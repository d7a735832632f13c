"""The page as one wants it: one row or both, bars in a line; and nothing over the page, nothing cut."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, QSettings, QSize, Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.window.main_window import MainWindow
from app.window.page.geometry import MARGIN, bars_per_system
from app.window.settings import Settings
from core.pitch import with_signs
from tests.app.window.conftest import FakePlayer, PromptPool
from tests.app.window.sample import sample_chart
from tests.app.window.test_walk import bar_texts, select, type_into_editor


def settled() -> None:
    for _ in range(4):
        QApplication.processEvents()


def choose(window: MainWindow, key: str, place: int) -> None:
    menu = window.action(key).menu()
    assert menu is not None
    menu.actions()[place].trigger()  # type: ignore[attr-defined]
    settled()


@pytest.mark.parametrize("wished", [2, 3, 4, 5, 6, 8])
def test_bars_in_a_line_are_as_wished_where_they_fit(wished: int) -> None:
    assert bars_per_system(2 * MARGIN + 80 + wished * 100, 80, wished) == wished
    assert bars_per_system(2 * MARGIN + 80 + 150, 80, wished) == 1


def test_bars_in_a_line_are_chosen_in_the_menu(window: MainWindow) -> None:
    choose(window, "bars_per_line", 1)
    assert {len(system.bars) for system in window.page._geometry.systems} == {2}
    choose(window, "bars_per_line", 0)
    assert max(len(system.bars) for system in window.page._geometry.systems) > 2


@pytest.mark.parametrize(("place", "row"), [(1, "standard"), (2, "take")])
def test_a_row_stands_alone_and_is_the_one_that_is_typed_into(
    window: MainWindow, qtbot: QtBot, place: int, row: str
) -> None:
    choose(window, "rows", place)
    model = window.page.model
    assert model is not None
    assert not model.has_take
    wanted = bar_texts(window, 4, "Second evening" if row == "take" else "standard")
    assert len(model.bars[3].standard) == len(wanted)
    before = bar_texts(window, 7, "standard"), bar_texts(window, 7)
    area = window.page.bar_rect(6)
    qtbot.mouseClick(window.page.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(int(area.center().x()), int(
        area.center().y())))  # fmt: skip
    assert window.desk.selection.row == row
    select(window, 6)
    qtbot.keyClick(window.page, Qt.Key.Key_Return)
    type_into_editor(qtbot, window, "C13")
    after = bar_texts(window, 6, "standard"), bar_texts(window, 6)
    assert after[0 if row == "standard" else 1] == ["C13"]
    assert (bar_texts(window, 7, "standard"), bar_texts(window, 7)) == before
    choose(window, "rows", 0)
    assert window.page.model is not None
    assert window.page.model.has_take


def test_names_of_notes_stand_under_the_tune(window: MainWindow) -> None:
    before = window.page._geometry.height
    window.action("show_names").trigger()
    settled()
    assert window.page._geometry.height > before, "there is a lane for them"
    model = window.page.model
    assert model is not None
    names = [mark.name for bar in model.bars[8:14] for mark in bar.notation.notes if mark.name]
    form = window.desk.form
    wanted = [note.pitch for note in window.desk.chart.melody if form.bars[8].start <= note.onset < form.bars[14].start]
    assert names == [with_signs(str(pitch)[: -len(str(pitch.octave))]) for pitch in wanted], "a tied note has one name"


def test_a_message_lies_beside_the_page(window: MainWindow) -> None:
    window.message.say("Bar 17 of “Second evening” is locked; unlock it first.")
    settled()
    assert window.foot.isAncestorOf(window.message)
    assert window.foot.rect().contains(window.message.geometry())
    place = window.message.mapTo(window.room, QPoint(0, 0)).y()
    assert place >= window.page.mapTo(window.room, window.page.rect().bottomLeft()).y()
    assert place >= window.transport.mapTo(window.room, window.transport.play.geometry().bottomLeft()).y()


@pytest.mark.parametrize("width", [1024, 1280, 1366, 1600, 1920])
def test_the_summary_is_never_cut(window: MainWindow, width: int) -> None:
    window.resize(width, 800)
    window.transport.summary.setText("15 of 32 bars changed · melody 3 cautions, 2 clashes")
    settled()
    assert window.transport.summary.width() >= window.transport.summary.wanted


@pytest.mark.parametrize("width", [1280, 1600])
def test_the_practice_sheet_leaves_the_proposals_free(window: MainWindow, width: int) -> None:
    window.resize(width, 800)
    settled()
    window.action("practice").trigger()
    settled()
    sheet = window.practice.sheet
    right = sheet.mapTo(window.room, sheet.rect().topRight()).x()
    assert right <= window.panel.mapTo(window.room, QPoint(0, 0)).x()
    assert sheet.x() >= 0


def test_the_window_is_as_it_was_left(qtbot: QtBot, window: MainWindow) -> None:
    window.resize(1340, 860)
    settled()
    window.close()
    assert window.settings.get("window_size") == ("1340", "860")
    again = MainWindow(sample_chart(), window.settings, PromptPool(), lambda on_event: FakePlayer(on_event))
    qtbot.addWidget(again)
    assert again.size() == QSize(1340, 860)


def test_a_damaged_size_counts_as_never_set(qtbot: QtBot, tmp_path: object) -> None:
    store = QSettings(f"{tmp_path}/other.ini", QSettings.Format.IniFormat)
    store.setValue("window_size", ["wide", "-3"])
    made = MainWindow(sample_chart(), Settings(store), PromptPool(), lambda on_event: FakePlayer(on_event))
    qtbot.addWidget(made)
    assert made.width() >= 1280
