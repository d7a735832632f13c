"""Voicings to play: the window follows the selection, steps, locks, sounds; walked with keys and mouse."""

from __future__ import annotations

from fractions import Fraction

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.window.hands_model import (
    HandsLock,
    HandsWish,
    heard_chart,
    heard_timeline,
    read_hands,
    row_in_hand,
    slot_in_hand,
)
from app.window.hands_window import HandsWindow
from app.window.main_window import MainWindow
from app.window.theme import DARK
from core.hands.fretboard import TUNINGS
from tests.app.window.conftest import FakePlayer
from tests.app.window.sample import sample_chart
from tests.core.hands.hand import can_be_held

GUITAR = HandsWish(instrument="guitar")


# --- the model ------------------------------------------------------------------------------------------------------


def test_a_reading_has_the_planned_voicing_first_and_says_where_it_is() -> None:
    chart = sample_chart()
    reading = read_hands(chart, "standard", 2, HandsWish())
    assert (reading.place, reading.parts.text, reading.chord) == ("Bar 3 of the standard", "Fm7", "Fm7")
    assert len(reading.cards) >= 3
    assert len({card.notes for card in reading.cards}) == len(reading.cards)
    assert reading.cards[0].text.split()[0][-1].isdigit()
    scales = [line for line in reading.colours if line.words.startswith("Dorian:  F G A♭ B♭ C D E♭")]
    assert scales[0].first_choice
    assert scales[0].groups[0] == (65,)
    assert any(" over it:" in line.words for line in reading.colours)


def test_grips_can_be_held_and_a_lock_holds_for_its_chord_alone() -> None:
    chart = sample_chart()
    free = read_hands(chart, "standard", 3, GUITAR)
    assert all(can_be_held(card.frets) for card in free.cards)
    other = free.cards[2]
    lock = HandsLock("standard", free.onset, "guitar", free.chord, other.frets)
    kept = read_hands(chart, "standard", 3, GUITAR, (lock,))
    assert kept.locked
    assert [card.frets for card in kept.cards] == [other.frets]
    for elsewhere in (
        HandsLock("standard", free.onset, "guitar", "Abmaj7", other.frets),
        HandsLock("standard", Fraction(99), "guitar", free.chord, other.frets),
        HandsLock("standard", free.onset, "piano", free.chord, other.frets),
    ):
        assert not read_hands(chart, "standard", 3, GUITAR, (elsewhere,)).locked


def test_the_tune_on_top_and_another_tuning() -> None:
    chart = sample_chart()
    reading = read_hands(chart, "standard", 0, HandsWish("guitar", tune="top", tuning="seven strings"))
    assert reading.open_notes == TUNINGS["seven strings"]
    tune = chart.melody[0].pitch.midi
    assert (reading.cards[0].notes[-1] - tune) % 12 == 0


def test_what_is_heard_lies_inside_its_time() -> None:
    chart = heard_chart(sample_chart(), 9)
    scale = tuple((60 + step,) for step in (0, 2, 3, 5, 7, 9, 10, 12))
    for groups in (((52, 58, 62, 65),), scale, ((65, 69, 72), (48, 52, 58, 65, 69, 72))):
        timeline = heard_timeline(chart, groups, on_guitar=True)
        assert sorted(event.pitch for event in timeline.events) == sorted(note for group in groups for note in group)
        assert max(event.end for event in timeline.events) <= float(chart.form.length)
        assert timeline.program_of("piano") == 26  # jazz guitar, General MIDI Level 1 counted from 0
    assert heard_timeline(chart, scale, on_guitar=False).program_of("piano") == 0


def test_which_chord_is_in_hand() -> None:
    chart = sample_chart()
    row, form = chart.standard, chart.form
    assert slot_in_hand(row, form, 0, None) == 0
    assert slot_in_hand(row, form, 5, 12) == 12
    start = form.bars[12].start
    assert row[slot_in_hand(row, form, 12, None)].onset == start
    assert row_in_hand(chart, None, "take") == "standard"
    assert row_in_hand(chart, chart.takes[0], "take") == chart.takes[0].name


# --- the window -------------------------------------------------------------------------------------------------------


@pytest.fixture
def hands(window: MainWindow, qtbot: QtBot) -> HandsWindow:
    window.action("hands").trigger()
    made = window.hands.window
    assert made is not None
    qtbot.waitExposed(made)
    qtbot.waitUntil(lambda: made.cards.card is not None)
    return made


def test_f3_opens_it_and_it_follows_the_page(window: MainWindow, hands: HandsWindow, qtbot: QtBot) -> None:
    assert [key.toString() for key in window.action("hands").shortcuts()] == ["F3"]
    assert window.hands.reading is not None
    assert window.hands.reading.place == "Bar 1"
    window.desk.select(window.desk.selection.moved_to(6, 32))
    qtbot.waitUntil(lambda: window.hands.reading is not None and window.hands.reading.place == "Bar 7")
    QTest.keyClick(hands.cards, Qt.Key.Key_Down)
    qtbot.waitUntil(lambda: window.desk.selection.slot is not None)
    qtbot.waitUntil(
        lambda: window.hands.reading is not None and window.hands.reading.slot == window.desk.selection.slot
    )


def test_arrows_step_and_sound(window: MainWindow, hands: HandsWindow, players: list[FakePlayer], qtbot: QtBot) -> None:
    first = hands.cards.card
    QTest.keyClick(hands.cards, Qt.Key.Key_Right)
    second = hands.cards.card
    assert second is not None
    assert second != first
    qtbot.waitUntil(lambda: bool(players) and "play" in players[-1].names())
    timeline = players[-1].timeline
    assert timeline is not None
    assert sorted(event.pitch for event in timeline.events) == sorted(second.notes)
    QTest.keyClick(hands.cards, Qt.Key.Key_Left)
    assert hands.cards.card == first
    assert "1 of" in hands.cards.accessibleDescription()


def test_a_click_takes_a_card_and_enter_locks_it(window: MainWindow, hands: HandsWindow, qtbot: QtBot) -> None:
    place = hands.cards.area(1).center().toPoint()
    QTest.mouseClick(hands.cards, Qt.MouseButton.LeftButton, pos=place)
    assert hands.cards.at == 1
    wanted = hands.cards.card
    assert wanted is not None
    QTest.keyClick(hands.cards, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: hands.cards.locked)
    assert hands.cards.card is not None
    assert hands.cards.card.notes == wanted.notes
    assert hands.lock.text() == "Unlock"
    QTest.mouseClick(hands.lock, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not hands.cards.locked)
    assert window.hands.locks == ()


def test_the_guitar_is_remembered_and_has_a_tuning(window: MainWindow, hands: HandsWindow, qtbot: QtBot) -> None:
    assert not hands.tuning.isVisible()
    hands.instrument.setCurrentIndex(hands.instrument.findData("guitar"))
    qtbot.waitUntil(lambda: hands.cards.card is not None and bool(hands.cards.card.frets))
    assert hands.tuning.isVisible()
    assert window.settings.get("hands_instrument") == "guitar"
    hands.style_box.setCurrentIndex(hands.style_box.findData("drop 2"))
    assert window.settings.get("hands_guitar") == "drop 2"
    hands.tuning.setCurrentIndex(hands.tuning.findData("seven strings"))
    qtbot.waitUntil(lambda: hands.cards.card is not None and len(hands.cards.card.frets) == 7)


def test_scales_and_triads_are_heard(
    window: MainWindow, hands: HandsWindow, players: list[FakePlayer], qtbot: QtBot
) -> None:
    assert hands.colours.count() >= 3
    hands.colours.setCurrentRow(0)
    QTest.keyClick(hands.colours, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: bool(players) and players[-1].timeline is not None)
    timeline = players[-1].timeline
    assert timeline is not None
    assert timeline.events[0].pitch + 12 == timeline.events[-1].pitch


def test_pictures_have_degrees_or_notes(window: MainWindow, hands: HandsWindow, qtbot: QtBot) -> None:
    assert hands.cards.card is not None
    assert {tone.label for tone in hands.cards.card.tones} <= {"1", "3", "5", "7", "9", "13"}
    hands.labels.setCurrentIndex(hands.labels.findData("notes"))
    qtbot.waitUntil(lambda: hands.cards.card is not None and hands.cards.card.tones[0].label[0] in "ABCDEFG")
    assert window.settings.get("hands_labels") == "notes"
    assert hands.cards.card.text.startswith(hands.cards.card.tones[0].label)


def test_both_themes_and_a_small_window(window: MainWindow, hands: HandsWindow) -> None:
    hands.resize(620, 520)
    light = hands.grab().toImage()
    hands.set_theme(DARK)
    dark = hands.grab().toImage()
    assert light != dark
    assert hands.cards.area(0).right() <= hands.cards.width() + 1
