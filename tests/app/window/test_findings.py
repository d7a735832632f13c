"""From one caution or clash to the next, and messages that do not push a fault away."""

from __future__ import annotations

from pytestqt.qtbot import QtBot

from app.window.main_window import MainWindow
from app.window.reading import list_concerns
from core.bar_text import chart_from_bar_text
from core.edit import add_take


def test_the_next_finding_is_selected_and_said(window: MainWindow, qtbot: QtBot) -> None:
    chart = add_take(chart_from_bar_text("| Cmaj7 | Cmaj7 | G7 | C6 |\nm: E8 | F8 | c8 | z8 |"), "Evening")
    window.document.start(chart)
    qtbot.waitUntil(lambda: window.desk.chart is chart)
    bars = []
    for bar in (1, 2, 1):
        window.message.say("")
        window.action("next_finding").trigger()
        qtbot.waitUntil(lambda: window.message.text != "")
        bars.append((window.desk.selection.first, window.message.text))
        assert bars[-1][0] == bar
    assert bars[0][1] == "Bar 2: clash, F is the 11 of Cmaj7, which the chord cannot carry."


def test_a_tune_that_fits_has_nothing_to_mind(window: MainWindow, qtbot: QtBot) -> None:
    chart = add_take(chart_from_bar_text("| Cmaj7 | C6 |\nm: E8 | G8 |"), "Evening")
    assert list_concerns(chart, "Evening") == list_concerns(chart, None) == ()
    window.document.start(chart)
    window.action("next_finding").trigger()
    qtbot.waitUntil(lambda: window.message.text.startswith("Nothing to mind"))


def test_a_notice_waits_until_a_fault_has_been_read(window: MainWindow) -> None:
    bar = window.message
    bar.say("tune.txt: line 3 cannot be read.")
    bar.note("No sound device was found.")
    assert bar.text == "tune.txt: line 3 cannot be read."
    bar._next()
    assert bar.text == "No sound device was found."
    bar._next()
    assert bar.text == ""


def test_another_tune_begins_without_the_old_loop(window: MainWindow) -> None:
    window.action("loop").trigger()
    assert window.play._loop is not None
    window.document.start(chart_from_bar_text("| Cmaj7 | C6 |"))
    assert window.play._loop is None
    assert not window.action("loop").isChecked()
