"""The window of lines: its words, its sheet made by the other process, filters, the excerpt, the line as a tune."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.sheet.drawing import Words
from app.window.line_model import PASSES, LineWish, excerpt, sheet_wish, view_of
from app.window.line_window import LineWindow
from app.window.main_window import MainWindow
from core.bar_text import chart_to_bar_text
from core.chart import check_chart
from core.line.solo import Solo, solo_of_melody
from core.line.wire import solo_from_data
from core.meter import Meter
from tests.app.window.conftest import FakePlayer
from tests.app.window.sample import sample_chart
from tests.core.line.hand import marked_lines


def test_a_view_says_what_the_line_does_and_where_two_rows_differ() -> None:
    chart = sample_chart()
    solo = solo_of_melody(chart.title, chart.melody, chart.form)
    view = view_of(solo, chart, LineWish(against=chart.takes[0].name))
    assert view.lines[0].startswith(f"{len(chart.melody)} notes in ")
    assert any(line.startswith("The degrees differ in ") for line in view.lines)
    assert view.lesson is not None
    assert len(view.lesson.melody) == len(chart.melody)


def test_what_cannot_be_read_is_a_sentence_and_no_sheet() -> None:
    view = view_of(Solo("Empty", (), Meter()), sample_chart(), LineWish())
    assert "no notes" in view.fault
    assert view.lesson is None
    assert "no bar 99" in view_of(_solo(), sample_chart(), LineWish(at=99)).fault


def _solo() -> Solo:
    chart = sample_chart()
    return solo_of_melody(chart.title, chart.melody, chart.form)


def test_a_line_survives_the_way_to_the_other_process() -> None:
    for line in marked_lines():
        solo = solo_of_melody("A", line.chart.melody, line.chart.form)
        assert solo_from_data(sheet_wish(solo, LineWish(), "A4")["solo"]) == solo


def test_an_excerpt_goes_round_with_its_chords() -> None:
    line = marked_lines()[0]
    view = view_of(solo_of_melody("A", line.chart.melody, line.chart.form), line.chart, LineWish())
    assert view.lesson is not None
    heard = check_chart(excerpt(view.lesson, 2, 3))
    assert len(heard.form.bars) == 2 * PASSES
    assert [str(slot.chord) for slot in heard.standard[:4]] == ["G7", "Cmaj7"] * 2
    assert [note.pitch for note in heard.melody[:10]] == [note.pitch for note in line.chart.melody[8:18]]


@pytest.fixture
def opened(window: MainWindow, qtbot: QtBot) -> LineWindow:
    window.menus.actions["tune_line"].trigger()
    qtbot.waitUntil(lambda: window.line.view is not None)
    assert window.line.window is not None
    return window.line.window


def test_the_tune_is_read_as_a_line_on_a_sheet_whose_brackets_are_chosen(
    window: MainWindow, opened: LineWindow, qtbot: QtBot
) -> None:
    """One walk, since every sheet is made by a process of its own."""

    def roles() -> list[str]:
        return [item.role for page in opened.pages.pages for item in page.items if isinstance(item, Words)]

    assert opened.isVisible()
    assert opened.summary.text().startswith(f"{len(window.document.chart.melody)} notes in ")
    qtbot.waitUntil(lambda: bool(opened.pages.pages), timeout=30000)
    assert roles().count("degree") >= len(window.document.chart.melody)
    for name, box in opened.shapes.items():
        box.setChecked(name == "arpeggio")
    opened.wished.emit(opened.wish)
    assert window.line.view is not None
    count = dict(window.line.view.counts)["arpeggio"]
    qtbot.waitUntil(lambda: roles().count("shape") == count > 0, timeout=30000)


def test_an_excerpt_is_looped_and_stopped(
    window: MainWindow, opened: LineWindow, players: list[FakePlayer], qtbot: QtBot
) -> None:
    opened.first.setValue(2)
    opened.last.setValue(3)
    opened.hear.click()
    qtbot.waitUntil(lambda: bool(players) and "play" in players[-1].names())
    timeline = players[-1].timeline
    assert timeline is not None
    assert timeline.length == 2 * PASSES * 4
    qtbot.waitUntil(lambda: opened.hear.text() == "Stop")
    opened.hear.click()
    qtbot.waitUntil(lambda: opened.hear.text() != "Stop")


def test_a_line_from_a_file_is_saved_and_made_a_tune(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    path = tmp_path / "solo.txt"
    path.write_text(chart_to_bar_text(replace(window.document.chart, takes=())), encoding="utf-8")
    window.line.open(path)
    qtbot.waitUntil(lambda: window.line.view is not None)
    window.line.save(tmp_path / "sheet.pdf")
    qtbot.waitUntil(lambda: (tmp_path / "sheet.pdf").exists(), timeout=30000)
    assert window.line.window is not None
    window.line.window.tune.click()
    assert window.document.chart.title.endswith(", line")
    window.document.stack.setClean()


def test_a_tune_without_notes_says_what_to_do(window: MainWindow) -> None:
    window.document.start(replace(window.document.chart, melody=(), takes=()))
    said: list[str] = []
    window.line.said.connect(said.append)
    window.line.open_tune()
    assert said == ["The tune has no notes to read as a line; open a line from a file."]
    assert window.line.window is None


def test_lines_to_practise_are_a_small_tune_of_their_own(window: MainWindow) -> None:
    window.document.stack.setClean()
    window.menus.actions["practise_lines"].trigger()
    chart = window.document.chart
    assert "lines for bars 1 and 2" in chart.title
    assert chart.form.sections[0].name == "Upper guide tones"
    assert len(chart.form.bars) >= 4
    window.document.stack.setClean()
