"""Commands found by a word, keys changed, edits gone back to, bars copied and pasted as text."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QKeySequence
from PySide6.QtWidgets import QApplication, QLabel
from pytestqt.qtbot import QtBot

from app.window.actions import ACTIONS
from app.window.command_dialog import CommandDialog
from app.window.dialogs import KeyboardDialog
from app.window.keys import found, read_changes, why_not, write_changes
from app.window.main_window import MainWindow
from tests.app.window.conftest import FakePlayer, PromptPool
from tests.app.window.sample import sample_chart
from tests.app.window.test_walk import bar_texts, select

pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints", extend=True)  # the offscreen platform has no frames


def opened(window: MainWindow, qtbot: QtBot) -> CommandDialog:
    qtbot.keyClick(window.page, Qt.Key.Key_F, Qt.KeyboardModifier.ControlModifier)
    assert window.commands.dialog is not None
    return window.commands.dialog


def test_no_two_commands_share_a_key() -> None:
    keys = [key for item in ACTIONS for key in item.keys]
    assert len(keys) == len(set(keys))


def test_a_word_finds_commands_by_text_help_and_menu() -> None:
    assert found("ear desk")[0].id == "ear"
    assert "another_key" in {item.id for item in found("singer")}
    assert {item.id for item in found("class")} >= {"present", "prepare"}
    assert found("no such thing at all") == ()
    assert len(found("")) == sum(bool(item.menu) and item.text != "-" for item in ACTIONS)


def test_a_command_is_found_and_run(window: MainWindow, qtbot: QtBot) -> None:
    sheet = opened(window, qtbot)
    qtbot.keyClicks(sheet.line, "duplicate this")
    assert sheet.command() == "copy_take"
    before = len(window.desk.chart.takes)
    qtbot.keyClick(sheet.line, Qt.Key.Key_Return)
    assert len(window.desk.chart.takes) == before + 1


def test_arrows_move_in_the_list_from_the_line(window: MainWindow, qtbot: QtBot) -> None:
    sheet = opened(window, qtbot)
    first = sheet.command()
    qtbot.keyClick(sheet.line, Qt.Key.Key_Down)
    assert sheet.command() != first
    qtbot.keyClick(sheet.line, Qt.Key.Key_Up)
    assert sheet.command() == first


def test_a_key_is_changed_works_and_is_shown_and_kept(window: MainWindow, qtbot: QtBot) -> None:
    sheet = opened(window, qtbot)
    qtbot.keyClicks(sheet.line, "duplicate this")
    sheet.keys.setKeySequence(QKeySequence("Alt+D"))
    qtbot.mouseClick(sheet.give, Qt.MouseButton.LeftButton)
    sheet.reject()
    before = len(window.desk.chart.takes)
    qtbot.keyClick(window.page, Qt.Key.Key_D, Qt.KeyboardModifier.AltModifier)
    assert len(window.desk.chart.takes) == before + 1
    qtbot.keyClick(window.page, Qt.Key.Key_D, Qt.KeyboardModifier.ControlModifier)
    assert len(window.desk.chart.takes) == before + 1, "the old key has gone"
    help_sheet = KeyboardDialog(window, window.commands.changes)
    qtbot.addWidget(help_sheet)
    assert "Alt + D" in {label.text() for label in help_sheet.findChildren(QLabel)}
    again = MainWindow(sample_chart(), window.settings, PromptPool(), lambda on_event: FakePlayer(on_event))
    qtbot.addWidget(again)
    again.complete()
    assert again.action("copy_take").shortcut() == QKeySequence("Alt+D")


@pytest.mark.parametrize(("key", "said"), [("Ctrl+S", "“Save”"), ("A", "typed on the page"), ("", "Choose a command")])
def test_a_key_that_is_taken_is_refused_in_a_sentence(window: MainWindow, qtbot: QtBot, key: str, said: str) -> None:
    sheet = opened(window, qtbot)
    qtbot.keyClicks(sheet.line, "duplicate this")
    sheet.keys.setKeySequence(QKeySequence(key))
    qtbot.mouseClick(sheet.give, Qt.MouseButton.LeftButton)
    assert said in sheet.said.text()
    assert window.action("copy_take").shortcut() == QKeySequence("Ctrl+D")


def test_changes_are_read_back_and_strangers_passed_over() -> None:
    changes = {"copy_take": ("Alt+D",), "save": ()}
    assert read_changes(write_changes(changes)) == changes
    assert read_changes(("gone=Ctrl+X", "nonsense", "-=Q")) == {}
    assert why_not("Ctrl+D", "new_take", {"copy_take": ("Alt+D",)}) == "", "a key given away is free"


def test_the_history_goes_back_to_any_edit(window: MainWindow, qtbot: QtBot) -> None:
    before = window.desk.chart
    for _ in range(3):
        window.action("copy_take").trigger()
    qtbot.keyClick(window.page, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier)
    history = window.commands.history
    assert history is not None
    model = history.view.model()
    assert model is not None
    assert model.rowCount() == 4
    history.view.setCurrentIndex(model.index(0, 0))
    assert window.desk.chart == before
    history.view.setCurrentIndex(model.index(2, 0))
    assert len(window.desk.chart.takes) == len(before.takes) + 2


def test_bars_are_copied_as_text_and_pasted_as_one_edit(window: MainWindow, qtbot: QtBot) -> None:
    desk = window.desk
    desk.select(desk.selection.moved_to(1, 32).moved_to(3, 32, extend=True))
    qtbot.keyClick(window.page, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert QGuiApplication.clipboard().text() == "| Gb7#11 | Fm9 | Bm7 E7#11 |\n"
    assert "3 bars of “Second evening”" in window.message.text
    before = desk.chart
    select(window, 26)
    window.action("paste_bars").trigger()
    assert [bar_texts(window, bar) for bar in (26, 27, 28)] == [["Gb7#11"], ["Fm9"], ["Bm7", "E7#11"]]
    window.action("undo").trigger()
    assert desk.chart == before


@pytest.mark.parametrize(
    ("text", "said"), [("", "no bars on the clipboard"), ("| Fm7 | Bbq7 |", "Bar 7: "), ("| Fm7 |", "")]
)
def test_what_cannot_be_pasted_changes_nothing(window: MainWindow, text: str, said: str) -> None:
    before = window.desk.chart
    select(window, 6)
    QGuiApplication.clipboard().setText(text)
    window.action("paste_bars").trigger()
    QApplication.processEvents()
    if said:
        assert said in window.message.text
        assert window.desk.chart == before
    else:
        assert bar_texts(window, 6) == ["Fm7"]
