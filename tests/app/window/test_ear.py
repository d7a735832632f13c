"""The ear desk through the real window: questions sound, answers come by key, by click and from the MIDI keyboard."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.window.ear_control import EarControl
from app.window.ear_model import EarState, table_words
from app.window.main_window import MainWindow
from core.ear.progress import confusions, progress_from_json
from tests.app.window.conftest import FakePlayer
from tests.app.window.test_walk import select

pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints", extend=True)  # the offscreen platform has no frames
DAY = 740_000


def settled() -> None:
    for _ in range(4):
        QApplication.processEvents()


def opened(window: MainWindow, qtbot: QtBot, work: int = 1) -> EarControl:
    window.ear.today = lambda: DAY
    qtbot.keyClick(window.page, Qt.Key.Key_F4)
    settled()
    assert window.ear.window is not None
    qtbot.keyClick(window.ear.window, getattr(Qt.Key, f"Key_{work}"), Qt.KeyboardModifier.AltModifier)
    settled()
    return window.ear


def now(ear: EarControl) -> EarState:
    assert ear.state is not None
    return ear.state


def press_answer(qtbot: QtBot, ear: EarControl, identifier: str) -> None:
    place = [answer.id for answer in now(ear).question.answers].index(identifier)
    qtbot.keyClick(ear.window, getattr(Qt.Key, f"Key_{place + 1}"))
    settled()


def wrong_of(ear: EarControl) -> str:
    question = now(ear).question
    return next(answer.id for answer in question.answers if answer.id != question.right)


def test_a_question_sounds_is_answered_by_key_and_kept(
    window: MainWindow, qtbot: QtBot, players: list[FakePlayer]
) -> None:
    ear = opened(window, qtbot, 3)
    question = now(ear).question
    assert question.drill == "dominant"
    played = players[-1].timeline
    assert played is not None
    assert played.length == float(question.excerpt.chart.form.length)
    assert "?" not in ear.window.verdict.text()  # type: ignore[union-attr]
    assert not now(ear).is_answered
    press_answer(qtbot, ear, question.right)
    assert ear.window.verdict.text().startswith("Right. ")  # type: ignore[union-attr]
    kept = progress_from_json(ear.path.read_text(encoding="utf-8"))
    assert kept.answers == {("dominant", question.right, question.right): 1}
    assert kept.cards[question.item].due == DAY + 1
    press_answer(qtbot, ear, question.answers[0].id)
    assert progress_from_json(ear.path.read_text(encoding="utf-8")) == kept, "the first answer counts"
    qtbot.keyClick(ear.window, Qt.Key.Key_Return)
    settled()
    assert now(ear).question != question


def test_a_wrong_answer_is_told_and_both_can_be_heard(
    window: MainWindow, qtbot: QtBot, players: list[FakePlayer]
) -> None:
    ear = opened(window, qtbot, 3)
    wrong, question = wrong_of(ear), now(ear).question
    place = [answer.id for answer in question.answers].index(wrong)
    assert ear.window is not None
    qtbot.mouseClick(ear.window.answers[place], Qt.MouseButton.LeftButton)
    settled()
    assert ear.window.verdict.text().startswith(f"Not {question.answer(wrong).words}.")
    right_sound = players[-1].timeline
    qtbot.keyClick(ear.window, Qt.Key.Key_Y)
    settled()
    assert players[-1].timeline != right_sound
    qtbot.keyClick(ear.window, Qt.Key.Key_Space)
    settled()
    assert players[-1].timeline == right_sound
    table = confusions(progress_from_json(ear.path.read_text(encoding="utf-8")), "dominant")
    assert table.worst() == (question.right, wrong, 1)
    assert "heard as" in ear.window.score.text()


def test_hearing_again_costs_a_grade(window: MainWindow, qtbot: QtBot) -> None:
    ear = opened(window, qtbot, 1)
    for _ in range(2):
        qtbot.keyClick(ear.window, Qt.Key.Key_Space)
        settled()
    assert now(ear).hearings == 3
    question = now(ear).question
    press_answer(qtbot, ear, question.right)
    kept = progress_from_json(ear.path.read_text(encoding="utf-8"))
    assert kept.cards[question.item].easiness == pytest.approx(2.5 - 0.14)


def test_a_chord_on_the_keyboard_answers(window: MainWindow, qtbot: QtBot, players: list[FakePlayer]) -> None:
    ear = opened(window, qtbot, 3)
    question = now(ear).question
    answer = question.answer(question.right)
    assert answer.bass is not None
    for pitch in (36 + answer.bass, *(60 + tone for tone in sorted(answer.tones))):
        players[-1].on_event({"event": "played", "on": True, "pitch": pitch})
    qtbot.waitUntil(lambda: now(ear).is_answered)
    assert now(ear).is_right
    assert window.played.slip.isHidden(), "the page does not listen meanwhile"


def test_bass_guide_tones_all(window: MainWindow, qtbot: QtBot, players: list[FakePlayer]) -> None:
    ear = opened(window, qtbot, 4)
    heard = []
    for _ in range(3):
        timeline = players[-1].timeline
        assert timeline is not None
        heard.append((now(ear).question.drill, {event.part for event in timeline.events} & {"piano", "bass", "tune"}))
        press_answer(qtbot, ear, now(ear).question.right)
        qtbot.keyClick(ear.window, Qt.Key.Key_Return)
        settled()
    assert [drill for drill, _ in heard] == ["bass", "guides", "chord"]
    assert heard[0][1] == {"bass"}
    assert heard[1][1] == {"bass", "piano"}


def test_singing_is_checked_before_it_is_judged(window: MainWindow, qtbot: QtBot, players: list[FakePlayer]) -> None:
    ear = opened(window, qtbot, 5)
    timeline = players[-1].timeline
    assert timeline is not None
    assert {event.part for event in timeline.events} == {"tune"}
    qtbot.keyClick(ear.window, Qt.Key.Key_1)
    assert not now(ear).is_answered, "nothing is judged before it was checked"
    qtbot.keyClick(ear.window, Qt.Key.Key_Return)
    settled()
    assert ear.window is not None
    assert "Did you have it?" in ear.window.verdict.text()
    told = players[-1].timeline
    assert told is not None
    assert {event.part for event in told.events} >= {"piano", "bass"}
    qtbot.keyClick(ear.window, Qt.Key.Key_1)
    assert now(ear).is_right


def test_a_damaged_file_is_put_aside(window: MainWindow, qtbot: QtBot) -> None:
    path = window.ear.path
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("{", encoding="utf-8")
    opened(window, qtbot)
    assert "put aside as ear.damaged.json" in window.message.text
    assert path.with_suffix(".damaged.json").read_text(encoding="utf-8") == "{"


def test_what_a_tune_cannot_ask_is_said(window: MainWindow, qtbot: QtBot) -> None:
    for bar in range(1, 33):
        select(window, bar)
        window.action("restore").trigger()
    if window.desk.take and window.desk.take.locked:
        window.desk.edit("none", lambda chart: chart)
    window.action("remove_take").trigger()
    ear = opened(window, qtbot, 1)
    assert ear.state is None
    assert ear.window is not None
    assert "change some bars" in ear.window.asks.text()
    assert all(button.isHidden() for button in ear.window.answers)


def test_leaving_gives_the_band_back(window: MainWindow, qtbot: QtBot, players: list[FakePlayer]) -> None:
    window.action("play").trigger()
    window.action("mute_piano").trigger()
    ear = opened(window, qtbot)
    assert ("set_muted", "piano", False) in players[-1].calls
    assert ear.window is not None
    qtbot.keyClick(ear.window, Qt.Key.Key_Escape)
    settled()
    assert not ear.is_open
    assert [call[2] for call in players[-1].calls if call[0] == "set_muted"][-2:] == [False, True]
    assert not window.played.is_asleep


def test_the_table_is_said_in_words() -> None:
    progress = progress_from_json(
        '{"format": "changewright ear progress", "version": 1, "cards": [], "days": [], '
        '"answers": [["row", "take", "standard", 2], ["row", "take", "take", 1]]}'
    )
    assert table_words(confusions(progress, "row")) == (
        "1 of 3 right. Most often “take” was heard as “standard”: 2 times."
    )
