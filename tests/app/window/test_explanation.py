"""What was typed is read in named steps; a reading can be kept and written beside."""

from __future__ import annotations

from fractions import Fraction

from PySide6.QtWidgets import QApplication

from app.window.explanation_model import BY_HAND, trace
from app.window.main_window import MainWindow
from core.chart import step_states
from core.edit import set_steps
from core.explain import explain_rows
from tests.app.window.sample import sample_chart
from tests.app.window.test_walk import TAKE, select


def settled() -> None:
    for _ in range(4):
        QApplication.processEvents()


def test_every_reading_kept_leaves_the_row_and_replays_to_it() -> None:
    chart = sample_chart()
    seen = 0
    for bar in chart.form.bars:
        found = trace(chart, TAKE, bar.start, bar.end, "plain")
        if found is None:
            continue
        assert found.readings[-1].steps[0].technique == BY_HAND
        for reading in found.readings:
            told = set_steps(chart, TAKE, found.start, found.end, reading.steps)
            take = told.take_named(TAKE)
            assert take.row == chart.take_named(TAKE).row
            assert not any(state.edited or state.stale for state in step_states(told, take))
            seen += 1
    assert seen > 10


def test_where_the_rows_agree_there_is_nothing_to_trace() -> None:
    chart = sample_chart()
    assert trace(chart, TAKE, chart.form.bars[0].start, chart.form.bars[0].end, "plain") is None
    assert trace(chart, None, Fraction(0), Fraction(4), "plain") is None


def test_a_reading_is_kept_with_own_words(window: MainWindow) -> None:
    select(window, 14)
    sheet = window.panel.how_sheet
    assert not sheet.isVisible()
    window.action("how").trigger()
    settled()
    assert sheet.isVisible()
    assert sheet.words.startswith("Tritone substitution: B♭7 → E7. ")
    row = window.desk.take.row if window.desk.take else ()
    sheet.keep.click()
    settled()
    assert window.desk.take is not None
    assert window.desk.take.row == row
    assert window.desk.take.steps[-1].technique == "tritone_substitution"
    assert window.panel.words.isVisible(), "and now it can be written beside"
    window.action("undo").trigger()
    assert window.desk.take.steps == ()


def test_another_reading_is_by_hand_in_the_end(window: MainWindow) -> None:
    select(window, 14)
    window.action("how").trigger()
    settled()
    sheet = window.panel.how_sheet
    first = sheet.words
    while not sheet.words.startswith("By hand"):
        sheet.other.click()
        assert sheet.words != first
    sheet.keep.click()
    settled()
    assert window.desk.take is not None
    assert window.desk.take.steps[-1].technique == BY_HAND


def test_no_known_derivation_is_said_plainly(window: MainWindow) -> None:
    select(window, 1)
    window.action("how").trigger()
    assert "nothing to explain" in window.message.text
    select(window, 12)
    window.action("how").trigger()  # a substitute dominant that goes nowhere: E7♯11 before Gm7
    settled()
    assert window.panel.how_sheet.words.startswith("No derivation is known")
    window.panel.how_sheet.keep.click()
    settled()
    assert window.panel.words.isVisible()


def test_reading_what_is_near_says_what_reading_all_says() -> None:
    chart = sample_chart()
    whole = explain_rows(chart.standard, chart.take_named(TAKE).row, chart.form, chart.key)
    for item in whole:
        found = trace(chart, TAKE, item.start, item.end, "plain")
        assert found is not None
        assert (found.start, found.end) == (item.start, item.end)
        assert found.known or not item.explained
        if item.steps:
            titles = [words.split(":")[0] for words in found.readings[0].words]
            assert titles == [step.title for step in item.steps]


def test_one_sheet_makes_room_for_the_other(window: MainWindow) -> None:
    select(window, 14)
    window.action("why").trigger()
    settled()
    assert window.panel.why_sheet.isVisible()
    window.action("how").trigger()
    settled()
    assert window.panel.how_sheet.isVisible()
    assert not window.panel.why_sheet.isVisible()
    window.action("why").trigger()
    settled()
    assert window.panel.why_sheet.isVisible()
    assert not window.panel.how_sheet.isVisible()
