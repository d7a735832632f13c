"""The map window: every cell says what proposing says in its bar, and leads there."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.window.main_window import MainWindow
from app.window.map_model import map_rows, no_place, read_map
from app.window.map_view import MapView
from core.propose import propose
from core.techniques.catalogue import TECHNIQUES
from tests.app.window.sample import sample_chart
from tests.app.window.test_walk import select

TAKE = "Second evening"
pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints", extend=True)  # the offscreen platform has no frames


def opened(window: MainWindow, bar: int) -> MapView:
    select(window, bar)
    window.action("map").trigger()
    for _ in range(12):  # the stretches come one after the other
        QApplication.processEvents()
    assert window.map.window is not None
    return window.map.window.view


def test_rows_are_all_techniques_each_under_its_family() -> None:
    rows = map_rows()
    assert sorted(row.technique for row in rows if row.technique) == sorted(t.id for t in TECHNIQUES)
    families = {t.id: t.family for t in TECHNIQUES}
    heading = ""
    for row in rows:
        heading = row.title if not row.technique else heading
        assert not row.technique or families[row.technique].capitalize() == heading


def test_marks_are_what_proposing_finds() -> None:
    chart = sample_chart()
    marks = read_map(chart, TAKE, 0, 32, "plain")
    for bar in chart.form.bars:
        found = propose(chart, TAKE, bar.start, bar.end)
        applies = {p.technique for p in found.proposals}
        refused = {r.technique for r in found.refused}
        assert {t for t, b in marks if b == bar.index} == applies | refused
        for technique in applies | refused:
            mark = marks[technique, bar.index]
            assert (mark.kind == "refused") == (technique not in applies)
            assert mark.mixed == (technique in applies & refused)
        assert all(r.why in marks[r.technique, bar.index].words for r in found.refused)


def test_an_empty_cell_says_that_there_is_no_place_or_a_lock() -> None:
    assert no_place("Tritone substitution", 5, False) == "Bar 5, tritone substitution: no place for it here."
    assert no_place("Tritone substitution", 17, True) == "Bar 17 is locked; nothing is proposed there."


def test_the_map_opens_where_the_page_is_and_fills(window: MainWindow) -> None:
    view = opened(window, 12)
    assert view.cell[1] == 11
    assert all(view.mark_at(t, b) == mark for (t, b), mark in read_map(window.desk.chart, TAKE, 0, 32, "plain").items())


def test_arrows_move_over_headings_and_enter_leads_to_the_card(window: MainWindow, qtbot: QtBot) -> None:
    view = opened(window, 1)
    refused = next((t, b) for (t, b), mark in sorted(view._marks.items()) if mark.kind == "refused")
    view.set_cell(*refused)
    assert "is refused" in view.accessibleDescription()
    qtbot.keyClick(view, Qt.Key.Key_Return)
    for _ in range(4):
        QApplication.processEvents()
    assert window.desk.selection.first == refused[1]
    current = window.panel.current()
    assert current is not None
    assert current.technique == refused[0]
    assert window.panel.current_proposal() is None, "the refused ones were opened"
    for _ in range(len(map_rows())):
        qtbot.keyClick(view, Qt.Key.Key_Down)
    assert view.cell[0] == map_rows()[-1].technique
    qtbot.keyClick(view, Qt.Key.Key_Home)
    assert view.cell[1] == 0
    for _ in range(len(map_rows())):
        qtbot.keyClick(view, Qt.Key.Key_Up)
    assert view.cell[0] == map_rows()[1].technique


def test_a_click_chooses_and_an_edit_is_seen(window: MainWindow, qtbot: QtBot) -> None:
    view = opened(window, 4)
    technique = next(t for (t, b), mark in view._marks.items() if b == 11 and mark.kind != "refused")
    spot = view.cell_rect(technique, 11).center().toPoint()
    qtbot.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    for _ in range(4):
        QApplication.processEvents()
    assert window.desk.selection.first == 11
    current = window.panel.current_proposal()
    assert current is not None
    assert current.technique == technique
    window.action("lock").trigger()
    for _ in range(12):
        QApplication.processEvents()
    assert not [b for _, b in view._marks if b == 11]
    assert "locked" in view.sentence()


def test_a_form_with_fewer_bars_leaves_no_marks_behind(window: MainWindow) -> None:
    from core.edit import new_chart
    from core.key import parse_key
    from core.meter import parse_meter

    view = opened(window, 30)
    window.document.start(new_chart("Four bars", parse_key("C major"), parse_meter("4/4"), 4))
    for _ in range(12):
        QApplication.processEvents()
    assert view._marks == {}
    assert view.cell[1] <= 3
    assert view.sentence().startswith("Bar ")
