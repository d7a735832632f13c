"""Walks through what changes the whole tune: reference rows, another key, the user's own words."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.window.dialogs import NameDialog
from app.window.main_window import MainWindow
from app.window.page.page_hands import tip_of
from app.window.tune_dialogs import ReferenceDialog
from tests.app.window.sample import sample_chart
from tests.app.window.test_walk import TAKE, bar_texts, select, type_into_editor


def chooser_words(window: MainWindow) -> list[str]:
    """What the header's list of reference rows offers."""
    return [action.text().replace("&", "") for action in window.header.reference.menu().actions() if action.text()]


def answer(monkeypatch: pytest.MonkeyPatch, name: str, *, from_take: bool = False) -> None:
    """Fill the sheet for a reference row as a user would."""

    def exec_(dialog: ReferenceDialog) -> int:
        dialog._line.setText(name)
        dialog._source.setCurrentIndex(int(from_take))
        return 1

    monkeypatch.setattr(ReferenceDialog, "exec", exec_)


def test_a_reference_row_is_added_from_the_standard_and_typed_over(
    window: MainWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    answer(monkeypatch, "the record")
    window.action("add_reference").trigger()
    assert window.desk.chart.reference == "the record"
    assert window.header.reference.text().startswith("the record")
    assert chooser_words(window)[:2] == ["standard", "the record"]
    select(window, 7)
    window.bars.type_chords("standard", "")
    type_into_editor(qtbot, window, "Fm9")
    assert bar_texts(window, 7, "standard") == ["Fm9"]
    assert [slot.text for slot in window.desk.chart.reference_named("standard").row] == [
        slot.text for slot in sample_chart().standard
    ]
    window.action("undo").trigger()
    window.action("undo").trigger()
    assert window.desk.chart == sample_chart(), "adding and choosing is one step"


def test_a_reference_row_is_added_from_the_take(window: MainWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    answer(monkeypatch, "our evening", from_take=True)
    window.action("add_reference").trigger()
    chart = window.desk.chart
    assert chart.reference == "standard", "the take goes on being compared with what it was made from"
    assert chart.reference_named("our evening").row == chart.take_named(TAKE).row
    assert "“our evening” is a reference row now" in window.message.text


def test_a_name_in_use_is_refused_in_one_sentence(window: MainWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    answer(monkeypatch, TAKE)
    window.action("add_reference").trigger()
    assert window.desk.chart == sample_chart()
    assert "unique" in window.message.text


def test_the_reference_row_is_renamed_and_removed_but_not_the_last(
    window: MainWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    window.action("remove_reference").trigger()
    assert "only reference row" in window.message.text
    assert window.desk.chart == sample_chart()
    window.references.add_named("the record", from_take=False)
    monkeypatch.setattr(NameDialog, "exec", lambda dialog: dialog._line.setText("the session") or 1)
    window.action("rename_reference").trigger()
    assert window.desk.chart.reference == "the session"
    window.action("remove_reference").trigger()
    QApplication.processEvents()
    assert window.desk.chart == sample_chart()
    assert "as printed" in window.header.reference.text()


def test_own_words_are_kept_beside_the_change(window: MainWindow, qtbot: QtBot) -> None:
    select(window, 12)
    assert not window.panel.words.isVisible(), "nothing was changed by a technique here"
    window.action("words").trigger()
    assert "take a proposal" in window.message.text
    window.action("take_proposal").trigger()
    field = window.panel.words
    assert field.isVisible()
    window.action("words").trigger()
    qtbot.keyClicks(field, "for the class: hear the bass")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert window.desk.take is not None
    assert window.desk.take.steps[-1].note == "for the class: hear the bass"
    QApplication.processEvents()
    assert window.page.model is not None
    assert "“for the class: hear the bass”" in tip_of(window.page.model.bars[11])
    cards = [window.panel._model.card(row) for row in range(window.panel._model.rowCount())]
    noted = [card for card in cards if card and card.note]
    assert [card.note for card in noted] == ["for the class: hear the bass"]
    assert "Your words: for the class" in noted[0].spoken
    assert not field.isVisible(), "the card says it already"
    window.action("undo").trigger()
    assert window.desk.take.steps[-1].note == ""
    assert field.isVisible()
    assert field.text() == ""


def test_leaving_the_field_keeps_the_words_and_escape_does_not(window: MainWindow, qtbot: QtBot) -> None:
    select(window, 12)
    window.action("take_proposal").trigger()
    field = window.panel.words
    window.action("words").trigger()
    qtbot.keyClicks(field, "no")
    qtbot.keyClick(field, Qt.Key.Key_Escape)
    assert window.desk.take is not None
    assert window.desk.take.steps[-1].note == ""
    window.action("words").trigger()
    qtbot.keyClicks(field, "mine")
    select(window, 3)
    assert window.desk.take.steps[-1].note == "mine", "going elsewhere keeps them"
    assert not field.isVisible()
