"""Two rows of the chart side by side: what they cost, where they differ, bars merged both ways and undone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel
from pytestqt.qtbot import QtBot

from app.chorus.__main__ import priced
from app.chorus.wish import Wish
from app.window.compare_control import differing_words
from app.window.compare_window import CompareWindow
from app.window.main_window import MainWindow
from core.chart import STANDARD, Chart, Take, changed_bars
from core.edit import add_take, restore_bars
from core.form import plain_form
from core.meter import Meter
from core.row import span
from tests.app.window.conftest import FakePlayer
from tests.app.window.sample import sample_chart
from tests.app.window.test_whole_takes import PATIENCE, TAKE, named, settle

OTHER = "Other"
pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints", extend=True)  # the offscreen platform has no frames


def two_takes() -> Chart:
    """The sample tune with a second take that differs from the first in bars 2 and 4."""
    return restore_bars(add_take(sample_chart(), OTHER, TAKE), OTHER, (1, 3))


@pytest.fixture
def opened(window: MainWindow, qtbot: QtBot) -> Iterator[CompareWindow]:
    window.document.start(two_takes())
    settle()
    qtbot.keyClick(window, Qt.Key.Key_D, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier)
    made = window.compare.window
    assert made is not None
    qtbot.waitExposed(made)
    settle()
    yield made
    window.compare.close()
    made.close()


def choose(window: CompareWindow, left: str, right: str) -> None:
    for box, name in zip(window.choosers, (left, right), strict=True):
        box.setCurrentIndex(box.findData(name))
    settle()


def test_the_take_on_the_page_stands_beside_the_standard(window: MainWindow, opened: CompareWindow) -> None:
    assert [box.currentData() for box in opened.choosers] == [STANDARD, TAKE]
    changed = changed_bars(window.desk.chart, window.desk.chart.take_named(TAKE))
    assert opened.differs.text() == differing_words(window.desk.chart, changed)
    assert [line.name for line in opened.board.lines] == ["Standard", TAKE]
    assert not opened.to_left.isEnabled(), "the standard is changed on the page"
    assert opened.to_right.text() == f"Put bar 1 into “{TAKE}”   M"


def test_both_are_priced_by_the_same_cost(window: MainWindow, opened: CompareWindow, qtbot: QtBot) -> None:
    choose(opened, TAKE, OTHER)
    qtbot.waitUntil(lambda: all(line.view is not None for line in opened.board.lines), timeout=PATIENCE)
    wish = Wish(boldness=window.settings.get("whole_boldness"))
    assert [line.view for line in opened.board.lines] == list(priced(window.desk.chart, wish, (TAKE, OTHER)))
    assert "cost" in opened.board.sentence.text()
    opened.board.cards.setFocus()
    qtbot.keyClick(opened.board.cards, Qt.Key.Key_Left)
    assert opened.board.index == 0
    named(opened)
    for theme in ("light", "dark"):
        window.settings.set("theme", theme)
        assert not opened.grab().isNull()


def test_differences_are_walked_and_merged_both_ways(window: MainWindow, opened: CompareWindow, qtbot: QtBot) -> None:
    choose(opened, TAKE, OTHER)
    assert opened.differs.text() == "2 of 32 bars differ: 2, 4"
    places = []
    for _ in range(3):
        qtbot.keyClick(opened, Qt.Key.Key_N)
        places.append(window.desk.selection.first)
    assert places == [1, 3, 1], "round and round"
    before = window.desk.chart
    qtbot.keyClick(opened, Qt.Key.Key_M)
    settle()
    assert opened.differs.text() == "1 of 32 bars differs: 4"
    bar = before.form.bars[1]
    after = window.desk.chart
    assert span(after.row_named(OTHER), bar.start, bar.end) == span(before.row_named(TAKE), bar.start, bar.end)
    assert after.take_named(TAKE) == before.take_named(TAKE)
    assert opened.note.text().startswith(f"Bar 2 is now in “{OTHER}”.")
    qtbot.keyClick(opened, Qt.Key.Key_N)
    qtbot.keyClick(opened, Qt.Key.Key_M, Qt.KeyboardModifier.ShiftModifier)
    settle()
    bar = before.form.bars[3]
    chart = window.desk.chart
    assert span(chart.row_named(TAKE), bar.start, bar.end) == span(chart.standard, bar.start, bar.end)
    assert opened.differs.text() == "no bar differs"
    for _ in range(2):
        qtbot.keyClick(opened, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert window.desk.chart == before


def test_the_same_row_twice_changes_places_instead(window: MainWindow, opened: CompareWindow) -> None:
    choose(opened, TAKE, OTHER)
    opened.choosers[0].setCurrentIndex(opened.choosers[0].findData(OTHER))
    settle()
    assert [box.currentData() for box in opened.choosers] == [OTHER, TAKE]


def test_the_two_are_heard_in_step(
    window: MainWindow, opened: CompareWindow, qtbot: QtBot, players: list[FakePlayer]
) -> None:
    window.playback.warm()
    settle()
    choose(opened, TAKE, OTHER)
    player = players[0]
    player.calls.clear()
    qtbot.keyClick(opened, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: "play" in player.names())
    assert opened.side.text() == f"Heard: “{OTHER}”   S"
    timeline = player.timeline
    assert timeline is not None
    player.place = 5.0
    qtbot.waitUntil(lambda: window.compare.hearing.place == 5.0)
    qtbot.keyClick(opened.board.cards, Qt.Key.Key_Left)
    assert player.calls[-1] == ("set_side", "standard"), "the other row is the other side of the same timeline"
    assert opened.side.text() == f"Heard: “{TAKE}”   S"
    qtbot.keyClick(opened, Qt.Key.Key_S)
    assert player.calls[-1] == ("set_side", "take")
    opened.close()
    assert not window.playback.is_playing


def test_a_take_with_bars_of_its_own_is_shown_and_not_merged(window: MainWindow, opened: CompareWindow) -> None:
    chart = window.desk.chart
    form = plain_form(2, Meter())
    short = Take("Short", span(chart.standard, Fraction(0), form.length), form=form, alignment=(0, 4))
    window.document.start(replace(chart, takes=(*chart.takes, short)))
    settle()
    choose(opened, TAKE, "Short")
    assert opened.board.lines[1].chords(4)
    assert not opened.to_left.isEnabled()
    assert not opened.to_right.isEnabled()
    assert "bars" in opened.to_right.toolTip()
    assert not opened.side.isEnabled()


def test_a_take_that_goes_leaves_the_window(window: MainWindow, opened: CompareWindow, qtbot: QtBot) -> None:
    choose(opened, TAKE, OTHER)
    for name in (OTHER, TAKE):
        window.desk.look_at(name)
        window.action("remove_take").trigger()
        settle()
    assert opened.board.lines == ()
    assert not opened.hear.isEnabled()
    assert not opened.to_right.isEnabled()
    qtbot.keyClick(opened, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    settle()
    assert [line.name for line in opened.board.lines] == ["Standard", TAKE]


def test_no_words_are_cut_at_the_least_size(window: MainWindow, opened: CompareWindow) -> None:
    choose(opened, TAKE, OTHER)
    opened.resize(1024, 700)
    window.desk.select(window.desk.selection.moved_to(18, 32).moved_to(26, 32, True))
    settle()
    assert (opened.width(), opened.height()) == (1024, 700), "the layout asks for no more"
    for button in opened.findChildren(QAbstractButton):
        if button.isVisibleTo(opened) and button.text():
            assert button.width() >= button.minimumSizeHint().width(), button.text()
    assert all(label.text() is not None for label in opened.findChildren(QLabel))
    QApplication.processEvents()
