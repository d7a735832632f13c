"""Late answers, failing answers, undo by swapping."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.window.background import Background, ThreadPool
from app.window.document import Document
from core.chart import ChartError
from core.edit import set_tempo, set_title
from tests.app.window.sample import sample_chart


class WaitingPool:
    """Keeps work until it is told to run it."""

    def __init__(self) -> None:
        self.work: list[Callable[[], None]] = []

    def start(self, work: Callable[[], None]) -> None:
        self.work.append(work)


def test_only_the_newest_answer_of_a_kind_arrives(qapp: QApplication) -> None:
    pool, heard, asked = WaitingPool(), list[str](), list[str]()
    background = Background(pool)

    def answer(word: str) -> str:
        asked.append(word)
        return word

    background.ask("proposals", heard.append, answer, "old")
    background.ask("reading", heard.append, answer, "other kind")
    pool.work[0]()  # the old answer is ready before the new question comes
    background.ask("proposals", heard.append, answer, "new")
    for work in pool.work[1:]:
        work()
    qapp.processEvents()
    assert heard == ["other kind", "new"]
    background.ask("proposals", heard.append, answer, "never started")
    background.drop("proposals")
    pool.work[-1]()
    qapp.processEvents()
    assert "never started" not in asked


def test_faults_become_one_sentence(qapp: QApplication, qtbot: QtBot, caplog: pytest.LogCaptureFixture) -> None:
    pool = WaitingPool()
    background = Background(pool)

    def user_fault() -> None:
        raise ChartError("There is no take named 'x'.")

    def own_fault() -> None:
        raise ZeroDivisionError

    said: list[str] = []
    background.failed.connect(said.append)
    background.ask("one", said.append, user_fault)
    background.ask("two", said.append, own_fault)
    for work in pool.work:
        work()
    qapp.processEvents()
    assert said[0] == "There is no take named 'x'."
    assert "your chart is unchanged" in said[1]
    assert "a background answer of kind two failed" in caplog.text
    caplog.clear()  # it was expected
    caplog.clear()


def test_the_thread_pool_answers_on_this_thread(qapp: QApplication, qtbot: QtBot) -> None:
    import threading

    pool, answers = ThreadPool(), list[tuple[int, int]]()
    background = Background(pool)
    background.ask("where", lambda worker: answers.append((worker, threading.get_ident())), threading.get_ident)
    qtbot.waitUntil(lambda: bool(answers))
    assert answers[0][1] == threading.get_ident() != answers[0][0]
    pool.finish()


def test_undo_swaps_charts_and_keeps_the_star(qapp: QApplication, qtbot: QtBot) -> None:
    chart = sample_chart()
    document = Document(chart)
    with qtbot.waitSignal(document.changed):
        assert document.edit("title", set_title, "Other")
    assert document.is_dirty
    document.stack.undo()
    assert document.chart is chart
    assert not document.is_dirty
    with qtbot.assertNotEmitted(document.changed):
        document.edit("title", set_title, chart.title)
    assert not document.stack.canUndo() or document.stack.canRedo()


def test_a_refused_edit_changes_nothing(qapp: QApplication, qtbot: QtBot) -> None:
    document = Document(sample_chart())
    with qtbot.waitSignal(document.refused) as told:
        assert not document.edit("tempo", set_tempo, 9999)
    assert "30 to 360" in told.args[0]
    assert document.chart == sample_chart()


def test_a_run_of_tempo_changes_is_one_step_of_undo(qapp: QApplication) -> None:
    document = Document(sample_chart())
    for tempo in (140, 150, 160):
        document.edit("tempo", set_tempo, tempo, merge="tempo")
    assert document.chart.tempo == 160
    document.stack.undo()
    assert document.chart.tempo == 132
