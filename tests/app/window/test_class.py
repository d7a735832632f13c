"""The class: a lesson prepared, presented with keys, another key for the singer, assignments marked."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QInputDialog
from pytestqt.qtbot import QtBot

from app.window.class_model import next_way
from app.window.class_window import ClassWindow
from app.window.key_dialog import KeyDialog
from app.window.main_window import MainWindow
from app.window.page.page_hands import tip_of
from app.window.page.page_view import describe_bar
from core.chart import changed_bars
from core.chart_json import chart_from_json
from core.propose import propose
from core.row import same_chords
from core.singer_key import key_choices
from core.techniques.catalogue import TECHNIQUES
from tests.app.window.conftest import FakePlayer
from tests.app.window.sample import sample_chart
from tests.app.window.test_walk import select

TAKE = "Second evening"
pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints", extend=True)  # the offscreen platform has no frames


def settled() -> None:
    for _ in range(6):
        QApplication.processEvents()


def presented(window: MainWindow, qtbot: QtBot) -> ClassWindow:
    qtbot.keyClick(window.page, Qt.Key.Key_F5)
    settled()
    shown = window.lesson.window
    assert shown is not None
    qtbot.waitUntil(lambda: bool(shown.page.visible))
    return shown


def shown_row(window: MainWindow) -> frozenset[int]:
    """Bars in which the class sees the take differ from the standard."""
    chart = window.lesson._chart
    assert chart is not None
    return frozenset(changed_bars(chart, chart.take_named(TAKE)))


def test_techniques_are_revealed_one_by_one_with_their_bars(window: MainWindow, qtbot: QtBot) -> None:
    view = presented(window, qtbot)
    assert "technique by technique" in view.place.text(), "nothing was prepared"
    assert shown_row(window) == frozenset()
    everything = frozenset(changed_bars(window.desk.chart, window.desk.take))  # type: ignore[arg-type]
    seen = frozenset[int]()
    while window.lesson.state is not None and window.lesson.state.at < len(window.lesson.state.stages) - 1:
        qtbot.keyClick(view, Qt.Key.Key_Right)
        settled()
        new = window.lesson.state.stage.new
        assert seen < shown_row(window) | set(new)
        seen = shown_row(window)
        assert new[0] in view.page.bars_in_sight
        assert view.words.text()
    assert seen == everything
    qtbot.keyClick(view, Qt.Key.Key_Left)
    settled()
    assert shown_row(window) < everything
    qtbot.keyClick(view, Qt.Key.Key_W)
    assert "as prepared" in view.place.text() or "bar by bar" in view.place.text()


def test_what_is_covered_is_not_heard_either(window: MainWindow, qtbot: QtBot, players: list[FakePlayer]) -> None:
    window.action("play").trigger()
    settled()
    whole = players[-1].timeline
    view = presented(window, qtbot)
    covered = players[-1].timeline
    assert covered is not None
    assert covered != whole
    qtbot.keyClick(view, Qt.Key.Key_End)
    settled()
    assert players[-1].timeline == whole
    qtbot.keyClick(view, Qt.Key.Key_Home)
    settled()
    assert players[-1].timeline == covered
    qtbot.keyClick(view, Qt.Key.Key_Escape)
    settled()
    assert not window.lesson.is_open
    assert players[-1].timeline == whole, "back at the desk the take is heard as it is"


def test_one_key_plays_and_one_key_switches_rows(window: MainWindow, qtbot: QtBot, players: list[FakePlayer]) -> None:
    view = presented(window, qtbot)
    qtbot.keyClick(view, Qt.Key.Key_Space)
    settled()
    assert window.playback.is_playing
    assert view.side.text() == TAKE
    qtbot.keyClick(view, Qt.Key.Key_S)
    settled()
    assert ("set_side", "standard") in players[-1].calls
    assert view.side.text() == "Standard"
    window.playback.moved.emit(100.0)
    assert window.desk.form.bar_at(sample_chart().form.bars[25].start).index in view.page.bars_in_sight


def test_a_chord_reads_from_the_back_of_the_room(window: MainWindow, qtbot: QtBot) -> None:
    """A letter reads from as many metres as its height on the wall has centimetres times three or so: a chord of a
    twenty-fifth of the screen reads from the back of a classroom (common practice, no source)."""
    view = presented(window, qtbot)
    for width, height in ((1920, 1080), (1366, 768), (1024, 768)):
        view.setWindowState(Qt.WindowState.WindowNoState)
        view.resize(width, height)
        settled()
        assert view.page.chord_pixels >= height / 27
        assert len(view.page.bars_in_sight) >= 8
        boxes = view.page.visible
        assert (boxes[-1].bottom - boxes[0].top) * view.page.zoom <= view.page.height() + 1


def test_sections_are_jumped_to(window: MainWindow, qtbot: QtBot) -> None:
    view = presented(window, qtbot)
    qtbot.keyClick(view, Qt.Key.Key_3)
    settled()
    assert window.desk.selection.first == window.desk.form.sections[2].first
    assert window.desk.selection.first in view.page.bars_in_sight
    qtbot.keyClick(view, Qt.Key.Key_9)
    assert window.desk.selection.first == window.desk.form.sections[2].first, "there is no ninth section"


def test_the_singers_key_in_one_step_with_the_range(window: MainWindow, qtbot: QtBot) -> None:
    view = presented(window, qtbot)
    before = window.desk.chart
    qtbot.keyClick(view, Qt.Key.Key_Plus)
    settled()
    assert str(window.desk.chart.key) == "E major"
    assert view.key.text() == "E major"
    here = next(choice for choice in key_choices(before) if choice.semitones == 0)
    assert here.range_words in view.note.text()
    assert key_choices(window.desk.chart)[6].range_words in view.note.text()
    qtbot.keyClick(view, Qt.Key.Key_Minus)
    settled()
    assert window.desk.chart.key == before.key
    assert same_chords(window.desk.chart.standard, before.standard)
    window.action("undo").trigger()
    window.action("undo").trigger()
    assert window.desk.chart == before


def test_another_key_is_chosen_from_a_sheet(window: MainWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    def use(sheet: KeyDialog) -> int:
        assert sum(sheet.list.item(row).text().count(" to ") for row in range(12)) == 12, "a range for every key"
        qtbot.keyClick(sheet.list, Qt.Key.Key_Up)
        qtbot.keyClick(sheet.list, Qt.Key.Key_Up)
        assert sheet.choice.semitones == 2
        return 1

    monkeypatch.setattr(KeyDialog, "exec", use)
    window.action("another_key").trigger()
    assert str(window.desk.chart.key) == "F major"


def test_a_note_is_written_on_a_bar_and_shown_when_it_sounds(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    view = presented(window, qtbot)
    qtbot.mouseClick(view.page, Qt.MouseButton.LeftButton, pos=view.page.rect().center())
    bar = window.desk.selection.first
    assert bar in view.page.bars_in_sight
    qtbot.keyClick(view, Qt.Key.Key_N)
    qtbot.keyClicks(view.field, "hear the third")
    qtbot.keyClick(view.field, Qt.Key.Key_Return)
    settled()
    assert window.desk.chart.for_class.note_on(bar) == "hear the third"
    assert "hear the third" in view.note.text()
    path = tmp_path / "lesson.changes.json"
    assert window.document.save(path)
    assert chart_from_json(path.read_text(encoding="utf-8")).for_class.note_on(bar) == "hear the third"


def test_words_on_a_bar_are_marked_on_the_page_and_shown(
    window: MainWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(QInputDialog, "getText", lambda *_words, **_more: ("hear the third", True))
    select(window, 7)
    window.action("bar_note").trigger()
    settled()
    assert window.page.model is not None
    bar = window.page.model.bars[6]
    assert bar.remark == "hear the third"
    assert tip_of(bar).endswith("“hear the third”")
    assert describe_bar(bar, True).endswith("written on it: hear the third")
    assert window.page.model.bars[5].remark == ""
    monkeypatch.setattr(QInputDialog, "getText", lambda *_words, **_more: ("", False))
    window.action("bar_note").trigger()
    assert window.desk.chart.for_class.note_on(6) == "hear the third", "leaving the sheet changes nothing"


def test_a_lesson_is_prepared_and_presented_as_prepared(window: MainWindow, qtbot: QtBot) -> None:
    select(window, 2)
    qtbot.keyClick(window.page, Qt.Key.Key_F5, Qt.KeyboardModifier.ControlModifier)
    window.action("prepare").trigger()
    sheet = window.prepare.dialog
    assert sheet is not None
    select(window, 4)
    assert sheet.add_step.text() == "Add bar 4"
    qtbot.keyClicks(sheet.step_words, "Now a tritone away")
    qtbot.keyClick(sheet.step_words, Qt.Key.Key_Return)
    settled()
    assert [step.words for step in window.desk.chart.for_class.steps] == ["Bar 2", "Now a tritone away"]
    assert sheet.steps.count() == 2
    qtbot.keyClick(sheet, Qt.Key.Key_F5)
    settled()
    view = window.lesson.window
    assert view is not None
    assert "as prepared" in view.place.text()
    qtbot.keyClick(view, Qt.Key.Key_Right)
    qtbot.keyClick(view, Qt.Key.Key_Right)
    settled()
    assert view.words.text() == "Now a tritone away"
    assert shown_row(window) == {1, 3}
    window.action("undo").trigger()
    settled()
    assert len(window.desk.chart.for_class.steps) == 1


def test_only_what_was_taught_is_proposed(window: MainWindow, qtbot: QtBot) -> None:
    window.action("prepare").trigger()
    sheet = window.prepare.dialog
    assert sheet is not None
    rows = [sheet.taught.item(row) for row in range(sheet.taught.count())]
    item = next(one for one in rows if one.text() == "Tritone substitution")
    item.setCheckState(Qt.CheckState.Checked)
    settled()
    assert window.desk.chart.for_class.taught == ("tritone_substitution",)
    sheet.only.setChecked(True)
    assert window.action("only_taught").isChecked()
    chart = window.desk.chart
    tritone = tuple(one for one in TECHNIQUES if one.id == "tritone_substitution")
    found = propose(chart, TAKE, chart.form.bars[0].start, chart.form.length, techniques=tritone).proposals
    select(window, chart.form.bar_at(next(p for p in found if not p.taken).start).number)
    settled()
    current = window.panel.current_proposal()
    assert current is not None
    assert {step.technique for step in current.steps} == {"tritone_substitution"}
    select(window, 17)
    settled()
    assert window.panel.current() is None
    window.action("only_taught").trigger()
    select(window, 21)
    settled()
    assert window.panel.current() is not None


def test_an_assignment_is_given_and_marked_as_the_take_grows(window: MainWindow, qtbot: QtBot) -> None:
    window.action("prepare").trigger()
    sheet = window.prepare.dialog
    assert sheet is not None
    qtbot.keyClicks(sheet.assignment_line, "two tritone subsitutions")
    qtbot.keyClick(sheet.assignment_line, Qt.Key.Key_Return)
    assert "tritone substitution" in sheet.fault.text()
    assert sheet.assignment_line.text(), "what cannot be read stays"
    sheet.assignment_line.setText("two tritone substitutions, keep bars 7-8")
    qtbot.keyClick(sheet.assignment_line, Qt.Key.Key_Return)
    settled()
    assert sheet.fault.text() == ""
    marks = [sheet.marks.item(row).text() for row in range(sheet.marks.count())]
    assert marks[0].startswith("●  Tritone substitution: ")
    assert marks[1] == "✕  Changed, though to be kept: bar 8."
    select(window, 8)
    window.action("restore").trigger()
    settled()
    assert sheet.marks.item(1).text().startswith("●  Bars 7-8")


def test_a_tune_without_a_take_is_shown_and_says_so(
    window: MainWindow, qtbot: QtBot, players: list[FakePlayer]
) -> None:
    window.action("remove_take").trigger()
    view = presented(window, qtbot)
    assert "nothing to reveal" in view.note.text()
    assert view.place.text() == ""
    assert view.side.text() == "Standard"
    qtbot.keyClick(view, Qt.Key.Key_Right)
    qtbot.keyClick(view, Qt.Key.Key_Space)
    settled()
    assert window.playback.is_playing
    qtbot.keyClick(view, Qt.Key.Key_2)
    assert window.desk.selection.first == window.desk.form.sections[1].first


def test_ways_go_round() -> None:
    way = "prepared"
    seen = [way := next_way(way) for _ in range(3)]
    assert sorted(seen) == ["bars", "prepared", "techniques"]
