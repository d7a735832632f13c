"""Preferences made from the table, the session of yesterday, the first day with its tour, a quiet playhead."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QMimeData, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication, QCheckBox, QComboBox, QWidget
from pytestqt.qtbot import QtBot

from app.window import start
from app.window.choice_words import CHOICE_WORDS
from app.window.main_window import MainWindow
from app.window.preferences import PreferencesDialog, groups
from app.window.session import demo_path, last_path
from app.window.settings import SETTINGS, Settings
from app.window.tour import STOPS
from core.chart_json import chart_to_json
from tests.app.window.conftest import FakePlayer, PromptPool
from tests.app.window.sample import sample_chart
from tests.app.window.test_walk import select

pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints", extend=True)  # the offscreen platform has no frames


def settled() -> None:
    for _ in range(4):
        QApplication.processEvents()


@pytest.fixture
def sheet(window: MainWindow, qtbot: QtBot) -> PreferencesDialog:
    made = PreferencesDialog(window.settings, window)
    qtbot.addWidget(made)
    made.show()
    return made


# --- preferences -----------------------------------------------------------------------------------------------------


def test_every_setting_with_words_is_a_yes_or_no_or_has_named_choices() -> None:
    assert len(groups()) >= 3
    for setting in SETTINGS.values():
        assert bool(setting.words) == bool(setting.group)
        if setting.words and not isinstance(setting.default, bool):
            assert set(CHOICE_WORDS[setting.key]) == set(setting.choices)


@pytest.mark.parametrize("key", [key for key, setting in SETTINGS.items() if setting.words and key != "theme"])
def test_what_is_changed_in_the_sheet_holds_at_once_and_menus_follow(
    window: MainWindow, sheet: PreferencesDialog, qtbot: QtBot, key: str
) -> None:
    field, before = sheet.fields[key], window.settings.get(key)
    if isinstance(field, QCheckBox):
        field.click()
        assert window.settings.get(key) is not before
    else:
        field.setCurrentIndex(1 - min(1, field.currentIndex()))
        field.activated.emit(field.currentIndex())
        assert window.settings.get(key) == field.currentData() != before
    action = window.menus.actions.get(key)
    if action is not None and action.isCheckable():
        assert action.isChecked() == window.settings.get(key)
    if action is not None and action.menu() is not None:
        chosen = [choice.data() for choice in action.menu().actions() if choice.isChecked()]  # type: ignore[attr-defined]
        assert chosen == [window.settings.get(key)]
    sheet.as_new.click()
    assert window.settings.get(key) == SETTINGS[key].default


def test_the_sheet_follows_the_menu(window: MainWindow, sheet: PreferencesDialog) -> None:
    field = sheet.fields["show_numerals"]
    assert isinstance(field, QCheckBox)
    window.action("show_numerals").trigger()
    assert field.isChecked()
    style = sheet.fields["chord_style"]
    assert isinstance(style, QComboBox)
    window.settings.set("chord_style", "signs")
    assert style.currentData() == "signs"


def test_a_quiet_playhead_moves_beat_by_beat(window: MainWindow) -> None:
    places: list[object] = []
    window.page.set_playhead = places.append  # type: ignore[method-assign, assignment]
    window.playback.moved.emit(5.6)
    window.settings.set("reduced_motion", True)
    window.playback.moved.emit(5.7)
    assert places == [5.6, 5.0]


# --- the session -----------------------------------------------------------------------------------------------------


def test_the_last_tune_is_begun_with_where_it_was_left(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    path = tmp_path / "evening.changes.json"
    window.action("copy_take").trigger()
    assert window.document.save(path)
    window.settings.add_recent(str(path))
    wanted = window.desk.take_name
    select(window, 21)
    window.close()
    assert last_path(window.settings) == str(path)
    first = start.first_chart(str(path))
    assert first is not None
    again = MainWindow(first[0], window.settings, PromptPool(), lambda on_event: FakePlayer(on_event))
    qtbot.addWidget(again)
    again.complete()
    again.files.adopt(path, first[1])
    assert again.desk.take_name == wanted
    assert again.desk.selection.first == 20
    again.close()


def test_a_tune_that_is_gone_or_not_wanted_is_not_begun_with(settings: Settings, tmp_path: Path) -> None:
    settings.add_recent(str(tmp_path / "gone.changes.json"))
    assert last_path(settings) is None
    path = tmp_path / "there.changes.json"
    path.write_text(chart_to_json(sample_chart()), encoding="utf-8")
    settings.add_recent(str(path))
    assert last_path(settings) == str(path)
    settings.set("reopen", False)
    assert last_path(settings) is None


# --- dragging out ----------------------------------------------------------------------------------------------------


def test_the_title_is_dragged_out_as_a_midi_file_and_clicked_as_ever(window: MainWindow, qtbot: QtBot) -> None:
    given: list[bytes] = []

    def give(_source: object, data: QMimeData) -> None:
        path = Path(data.urls()[0].toLocalFile())
        assert path.name == "lantern-steps-second-evening.mid"
        given.append(path.read_bytes())

    window.drag_out.give = give
    title, middle = window.header.title, window.header.title.rect().center()
    clicked: list[bool] = []
    title.clicked.disconnect()
    title.clicked.connect(lambda: clicked.append(True))
    qtbot.mousePress(title, Qt.MouseButton.LeftButton, pos=middle)
    qtbot.mouseMove(title, middle + QPoint(2, 0))
    assert not given, "a hand that trembles drags nothing"
    QApplication.sendEvent(title, moved_to(title, middle + QPoint(60, 40)))
    assert given
    assert given[0].startswith(b"MThd")
    qtbot.mouseRelease(title, Qt.MouseButton.LeftButton, pos=middle + QPoint(300, 300))
    assert not clicked
    qtbot.mouseClick(title, Qt.MouseButton.LeftButton)
    assert len(clicked) == 1


def moved_to(widget: QWidget, place: QPoint) -> QMouseEvent:
    """The pointer moved with its button down, which qtbot leaves to the real pointer."""
    return QMouseEvent(QEvent.Type.MouseMove, QPointF(place), QPointF(widget.mapToGlobal(place)),
                       Qt.MouseButton.NoButton, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier)  # fmt: skip


# --- the first day ---------------------------------------------------------------------------------------------------


def test_the_first_day_has_a_tune_and_a_tour_the_second_has_not(
    qtbot: QtBot, settings: Settings, players: list[FakePlayer]
) -> None:
    path = demo_path(settings)
    assert path is not None
    first = start.first_chart(path)
    assert first is not None
    window = MainWindow(first[0], settings, PromptPool(), lambda on_event: FakePlayer(on_event))
    qtbot.addWidget(window)
    window.show()
    window.complete()
    start._after_start(window, None, first, is_first_day=True)
    assert not window.tour.isHidden()
    assert window.document.path is None, "the demo's own file is never written over"
    assert not window.document.is_dirty
    assert demo_path(settings) is None
    window.close()


def test_the_tour_goes_round_and_rings_what_it_tells_of(window: MainWindow, qtbot: QtBot) -> None:
    window.action("tour").trigger()
    tour = window.tour
    for number in range(len(STOPS)):
        settled()
        assert tour.count.text() == f"{number + 1} of {len(STOPS)}"
        assert window.rect().contains(tour.geometry())
        assert not tour.ring.hole.isEmpty()
        assert tour.words.heightForWidth(tour.words.width()) <= tour.words.height() + 1, "nothing is cut"
        qtbot.keyClick(tour.next, Qt.Key.Key_Return)
    assert tour.isHidden()
    assert tour.ring.isHidden()


def test_the_tour_is_two_minutes_of_reading() -> None:
    """About 200 words a minute aloud (common practice, no source)."""
    words = sum(len(f"{stop.heading} {stop.words}".split()) for stop in STOPS)
    assert words <= 2 * 200


def test_the_tour_is_left_with_escape_and_lets_the_pointer_through(window: MainWindow, qtbot: QtBot) -> None:
    window.action("tour").trigger()
    settled()
    area = window.page.bar_rect(1)
    under = window.page.viewport().mapTo(window, QPoint(int(area.center().x()), int(area.center().y())))
    assert window.tour.ring.testAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
    assert window.childAt(under) is not window.tour.ring
    qtbot.keyClick(window.tour.next, Qt.Key.Key_Escape)
    assert window.tour.isHidden()
