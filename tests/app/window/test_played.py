"""What is played on the keyboard: named where it would go, put there with one key, stepped in, recorded in time."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.window.main_window import MainWindow
from app.window.played_model import Hand, Recorder
from core.row import span
from tests.app.window.conftest import FakePlayer

TAKE = "Second evening"


@pytest.fixture
def player(window: MainWindow, players: list[FakePlayer]) -> FakePlayer:
    window.playback.warm()
    return players[-1]


def key(player: FakePlayer, pitch: int, on: bool = True, quarter: float = 0.0, **values: Any) -> None:
    event = {"event": "played", "on": on, "pitch": pitch, "velocity": 80 * on, "quarter": quarter, "time": quarter / 2,
             "bpm": 120.0, "playing": False, "counting_in": False}  # fmt: skip
    player.on_event(event | values)
    QApplication.processEvents()


def chord(player: FakePlayer, *pitches: int) -> None:
    for pitch in pitches:
        key(player, pitch)
    for pitch in pitches:
        key(player, pitch, on=False)


def bar_texts(window: MainWindow, number: int, row: str) -> list[str]:
    bar = window.desk.chart.form.bars[number - 1]
    return [slot.text for slot in span(window.desk.chart.row_named(row), bar.start, bar.end)]


def select(window: MainWindow, number: int) -> None:
    window.desk.select(window.desk.selection.moved_to(number - 1, len(window.desk.form.bars)))


def shown(window: MainWindow) -> list[str]:
    return [button.text() for button in window.played.slip.names if not button.isHidden()]


def test_a_chord_is_named_with_alternatives_and_put_into_the_take_with_one_key(
    window: MainWindow, player: FakePlayer, qtbot: QtBot
) -> None:
    select(window, 2)
    chord(player, 36, 52, 58, 63, 68)  # C E B♭ E♭ A♭
    slip = window.played.slip
    assert not slip.isHidden()
    assert slip.notes.text() == "C  E  B♭  D♯  G♯"
    assert shown(window)[:2] == ["C7♯9♯5", "C7♯9♭13"]
    assert slip.hint.text() == "Q puts it in bar 2, Shift+Q takes the next name"
    window.page.setFocus()
    qtbot.keyClick(window, Qt.Key.Key_Q)
    assert bar_texts(window, 2, TAKE) == ["C7#9#5"]
    assert bar_texts(window, 2, "standard") == ["Cm7"]
    window.document.stack.undo()
    assert bar_texts(window, 2, TAKE) == ["Gb7#11"]


def test_the_next_name_is_a_key_away(window: MainWindow, player: FakePlayer, qtbot: QtBot) -> None:
    select(window, 2)
    chord(player, 60, 63, 67, 69)
    assert shown(window)[:2] == ["Cm6", "Am7♭5/C"]
    qtbot.keyClick(window, Qt.Key.Key_Q, Qt.KeyboardModifier.ShiftModifier)
    window.action("put_played").trigger()
    assert bar_texts(window, 2, TAKE) == ["Am7b5/C"]


def test_a_name_can_be_pressed(window: MainWindow, player: FakePlayer) -> None:
    select(window, 2)
    chord(player, 60, 63, 67, 69)
    window.played.slip.names[1].click()
    window.action("put_played").trigger()
    assert bar_texts(window, 2, TAKE) == ["Am7b5/C"]


def test_a_rootless_hand_is_named_over_the_bass_of_the_bar(window: MainWindow, player: FakePlayer) -> None:
    select(window, 3)  # Fm9 in the take
    chord(player, 56, 60, 63, 67)
    assert shown(window)[0] == "Fm9"
    select(window, 1)  # E♭maj7: the same keys are an A♭ chord there
    assert shown(window)[0] == "A♭maj7"


def test_a_single_chosen_chord_is_replaced_and_the_rest_of_the_bar_stays(
    window: MainWindow, player: FakePlayer, qtbot: QtBot
) -> None:
    select(window, 4)
    qtbot.keyClick(window.page, Qt.Key.Key_Right, Qt.KeyboardModifier.ControlModifier)
    qtbot.keyClick(window.page, Qt.Key.Key_Right, Qt.KeyboardModifier.ControlModifier)
    assert bar_texts(window, 4, TAKE) == ["Bm7", "E7#11"]
    chord(player, 46, 56, 62, 65)
    window.action("put_played").trigger()
    assert bar_texts(window, 4, TAKE) == ["Bm7", "Bb7"]


def test_a_locked_bar_refuses(window: MainWindow, player: FakePlayer) -> None:
    select(window, 17)
    before = bar_texts(window, 17, TAKE)
    chord(player, 48, 52, 55)
    window.action("put_played").trigger()
    assert bar_texts(window, 17, TAKE) == before
    assert "locked" in window.message.text


def test_in_the_standard_s_row_takes_that_agree_follow(window: MainWindow, player: FakePlayer) -> None:
    select(window, 1)
    window.desk.select_row("standard")
    chord(player, 51, 55, 58, 60)
    window.action("put_played").trigger()
    assert bar_texts(window, 1, "standard") == bar_texts(window, 1, TAKE) == ["Eb6"]


def test_without_a_chord_the_key_says_what_to_do(window: MainWindow, player: FakePlayer) -> None:
    window.action("put_played").trigger()
    assert "Play a chord on the MIDI keyboard first" in window.message.text
    key(player, 60)
    assert window.played.slip.hint.text() == "one note is no chord"


def test_another_hand_begins_another_chord() -> None:
    hand = Hand()
    for pitch in (60, 64):
        hand.feed(True, pitch)
    hand.feed(False, 60)
    assert hand.chord == {60, 64}
    hand.feed(True, 67)
    assert hand.chord == {60, 64, 67}, "a rolled chord is one chord"
    hand.feed(False, 64)
    hand.feed(False, 67)
    hand.feed(True, 62)
    assert hand.chord == {62}


def test_notes_are_stepped_in_on_the_staff_then_lengthened(
    window: MainWindow, player: FakePlayer, qtbot: QtBot
) -> None:
    select(window, 17)  # A♭maj7, c4 e4
    window.action("tune_mode").trigger()
    for pitch, value in ((68, Qt.Key.Key_2), (71, Qt.Key.Key_4)):
        key(player, pitch)
        key(player, pitch, on=False)
        qtbot.keyClick(window.page, value)
    start = window.desk.chart.form.bars[16].start
    written = [(str(n.pitch), n.onset - start, n.duration) for n in window.desk.chart.melody if n.onset >= start][:2]
    assert written == [("Ab4", 0, 2), ("Cb5", 2, 1)]
    assert window.played.slip.isHidden()


def record(window: MainWindow, player: FakePlayer, *notes: tuple[float, float, int]) -> None:
    window.action("record").trigger()
    player.on_event({"event": "position", "quarter": 0.0, "bpm": 120.0, "side": "take"})
    moments = sorted([(on, True, pitch) for on, _, pitch in notes] + [(off, False, pitch) for _, off, pitch in notes])
    for quarter, on, pitch in moments:
        key(player, pitch, on, quarter, playing=True)


def test_a_tune_is_recorded_against_the_count_as_one_edit(window: MainWindow, player: FakePlayer) -> None:
    select(window, 1)
    before, edits = window.desk.chart.melody, window.document.stack.count()
    record(window, player, (0.03, 0.9, 67), (1.02, 1.4, 70), (1.69, 1.95, 72), (1.98, 4.0, 75))
    assert ("set_muted", "tune", True) in player.calls
    player.on_event({"event": "stopped", "quarter": 4.0, "reason": "end"})
    QApplication.processEvents()
    notes = [(str(n.pitch), n.onset, n.duration) for n in window.desk.chart.melody if n.onset < 4]
    half = Fraction(1, 2)
    assert notes == [("G4", 0, 1), ("Bb4", 1, half), ("C5", 1 + half, half), ("Eb5", 2, 2)]
    assert window.document.stack.count() == edits + 1
    assert window.message.text.startswith("4 notes were written into the tune")
    assert ("set_muted", "tune", False) in player.calls
    assert not window.action("record").isChecked()
    window.document.stack.undo()
    assert window.desk.chart.melody == before


def test_recording_starts_the_count_from_the_selection(window: MainWindow, player: FakePlayer) -> None:
    select(window, 9)
    window.action("record").trigger()
    assert ("play", 32.0, True, "take") in player.calls
    window.action("record").trigger()
    assert "as it was" in window.message.text


def test_keys_let_go_in_the_count_in_are_warming_up_and_one_held_over_it_counts() -> None:
    recorder = Recorder()

    def feed(pitch: int, on: bool, quarter: float, counting: bool) -> None:
        recorder.feed({"pitch": pitch, "on": on, "quarter": quarter, "time": quarter / 2, "bpm": 120.0,
                       "playing": True, "counting_in": counting})  # fmt: skip

    feed(60, True, -3.0, True)
    feed(60, False, -2.5, True)
    feed(62, True, -0.1, True)
    feed(62, False, 0.9, False)
    (heard,) = recorder.finish(1.0, 120.0)
    assert (heard.pitch, heard.onset) == (62, -0.1)
    assert heard.end == pytest.approx(0.9)


def test_each_pass_of_a_loop_is_told_apart_and_a_note_over_the_end_keeps_its_length() -> None:
    recorder = Recorder(shift=2)
    for pitch, on, quarter, time in ((62, True, 3.5, 1.75), (62, False, 0.5, 2.25), (64, True, 1.0, 2.5)):
        recorder.feed({"pitch": pitch, "on": on, "quarter": quarter, "time": time, "bpm": 120.0, "playing": True,
                       "counting_in": False})  # fmt: skip
    first, second = recorder.finish(3.0, 120.0)
    assert (first.pitch, first.onset, first.end, first.passes) == (60, 3.5, 4.5, 0)
    assert (second.pitch, second.passes, second.end) == (62, 1, 2.0)
