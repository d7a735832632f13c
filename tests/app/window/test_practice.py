"""Practising: what is set is what the player is told, the tune stays as it is, and everything has a key."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.window.main_window import MainWindow
from app.window.practice_model import (
    BAND_WORDS,
    CLICK_WORDS,
    KEPT,
    PLAYER_WORDS,
    SWITCH_WORDS,
    VOICING_WORDS,
    PracticeState,
    summary,
)
from app.window.settings import SETTINGS, Settings
from core.arrange import PLAYERS
from core.arrange import Settings as BandSettings
from core.sound.practice import CLICKS, PARTS_OF_BAND
from tests.app.window.conftest import FakePlayer
from tests.app.window.sample import sample_chart


@pytest.fixture
def player(window: MainWindow, players: list[FakePlayer], qtbot: QtBot) -> FakePlayer:
    window.playback.warm()
    qtbot.waitUntil(lambda: "load" in players[0].names())
    return players[0]


def select(window: MainWindow, first: int, last: int) -> None:
    window.desk.select(window.desk.selection.moved_to(first, 32).moved_to(last, 32, True))


def ends(player: FakePlayer, qtbot: QtBot, *calls: tuple[object, ...]) -> None:
    """What is arranged in the background arrives a moment later."""
    qtbot.waitUntil(lambda: player.calls[-len(calls) :] == list(calls))


def tell(player: FakePlayer, qtbot: QtBot, window: MainWindow, **event: object) -> None:
    """An event of the player, handed over as from its thread."""
    player.on_event(dict(event))
    qtbot.wait(1)


def test_another_accompaniment_is_drawn_heard_shown_saved_and_undone(
    window: MainWindow, player: FakePlayer, qtbot: QtBot
) -> None:  # fmt: skip
    before = window.desk.chart
    loads = player.names().count("load")
    window.action("practice").trigger()
    assert window.practice.sheet.number.text() == f"no. {window.desk.take.seed}"
    window.action("accompany").trigger()
    seed = before.take_named(window.desk.take_name).seed + 1
    assert window.desk.take.seed == seed
    assert window.practice.sheet.number.text() == f"no. {seed}"
    qtbot.waitUntil(lambda: player.names().count("load") > loads)
    window.practice.sheet.another.click()
    assert window.desk.take.seed == seed + 1
    window.action("undo").trigger()
    window.action("undo").trigger()
    assert window.desk.chart == before
    window.action("remove_take").trigger()
    while window.desk.take is not None:
        window.action("remove_take").trigger()
    window.action("accompany").trigger()
    assert window.desk.take is None
    assert window.practice.sheet.another.isHidden()


def test_a_practice_tempo_is_heard_shown_and_not_written(window: MainWindow, player: FakePlayer, qtbot: QtBot) -> None:
    window.action("slower").trigger()
    ends(player, qtbot, ("load", 128.0))
    assert window.desk.chart == sample_chart()
    assert window.transport.own_tempo.text() == "bpm, not 132"
    window.action("own_tempo").trigger()
    ends(player, qtbot, ("load", 132.0))
    assert window.transport.own_tempo.text() == "bpm"
    assert not window.transport.own_tempo.isEnabled()


def test_the_slow_down_loop_rises_by_itself(window: MainWindow, player: FakePlayer, qtbot: QtBot) -> None:
    select(window, 4, 5)
    window.action("loop").trigger()
    for name, value in (("ramp_start", 80), ("ramp_step", 15), ("ramp_passes", 3)):
        window.practice.change(name, value)
    window.action("ramp").trigger()
    ends(player, qtbot, ("load", 105.6), ("load", pytest.approx(125.4), 3))
    assert window.transport.practice.text() == "80 % = 106 bpm"
    tell(player, qtbot, window, event="stepped", version=1, bpm=125.4)
    ends(player, qtbot, ("load", 132.0, 3))
    assert window.transport.practice.text() == "95 % = 125 bpm"
    tell(player, qtbot, window, event="stepped", version=2, bpm=132.0)
    ends(player, qtbot, ("load", 132.0, 3))
    assert window.transport.practice.text() == "100 % = 132 bpm"
    window.action("ramp").trigger()
    ends(player, qtbot, ("load", 132.0))
    assert window.transport.practice.text() == "practice"


def test_an_edit_in_the_middle_of_a_ramp_is_heard_at_its_tempo(
    window: MainWindow, player: FakePlayer, qtbot: QtBot
) -> None:
    window.action("loop").trigger()
    window.action("ramp").trigger()
    ends(player, qtbot, ("load", 79.2), ("load", pytest.approx(85.8), 2))
    count = player.names().count("load")
    window.desk.select(window.desk.selection.moved_to(3, 32))
    window.bars.restore()
    qtbot.waitUntil(lambda: player.names().count("load") == count + 2)
    ends(player, qtbot, ("load", 79.2), ("load", pytest.approx(85.8), 2))


def test_a_slow_down_without_a_loop_goes_round_the_form_and_ends_with_the_loop(
    window: MainWindow, player: FakePlayer
) -> None:
    window.action("ramp").trigger()
    assert [call for call in player.calls if call[0] == "set_loop"][-1] == ("set_loop", (0.0, 128.0))
    assert window.action("loop").isChecked()
    window.action("loop").trigger()
    assert not window.action("ramp").isChecked()
    assert window.practice.state.ramp_now is None


def test_mutes_and_solos_go_to_the_mixer(window: MainWindow, player: FakePlayer) -> None:
    window.action("mute_piano").trigger()
    assert player.calls[-1] == ("set_muted", "piano", True)
    assert window.transport.practice.text() == "no piano"
    window.action("solo_bass").trigger()
    silent = {call[1]: call[2] for call in player.calls if call[0] == "set_muted"}
    assert silent == {"piano": True, "drums": True, "tune": True}
    assert window.practice.sheet.parts["soloed", "bass"].isChecked()
    window.action("solo_bass").trigger()
    window.action("mute_piano").trigger()
    silent = {call[1]: call[2] for call in player.calls if call[0] == "set_muted"}
    assert not any(silent.values())


def test_levels_are_on_the_sheet_too_and_both_agree(window: MainWindow, player: FakePlayer) -> None:
    window.practice.sheet.sliders["bass"].setValue(35)
    assert player.calls[-1] == ("set_level", "bass", 0.35)
    assert window.transport.sliders["bass"].value() == 35
    window.transport.sliders["bass"].setValue(20)
    assert window.practice.sheet.sliders["bass"].value() == 20
    assert window.settings.get("level_bass") == 0.2
    assert "turn your headphones down" in window.practice.sheet.sliders["bass"].toolTip()


def test_click_band_key_and_voicings_make_another_timeline(
    window: MainWindow, player: FakePlayer, qtbot: QtBot
) -> None:
    def notes(part: str) -> list[tuple[float, int]]:
        assert player.timeline is not None
        return [(event.onset, event.pitch) for event in player.timeline.events if event.part == part]

    window.action("click").trigger()
    qtbot.waitUntil(lambda: [onset for onset, _ in notes("click")[:4]] == [1.0, 3.0, 5.0, 7.0])
    piano = notes("piano")
    window.practice.change("voicing", "shell")
    qtbot.waitUntil(lambda: notes("piano") not in ([], piano))
    window.practice.change("band", "bass only")
    qtbot.waitUntil(lambda: notes("piano") == notes("tune") == [])
    assert notes("bass")
    window.practice.change("band", "whole band")
    window.practice.change("player", "Bb")
    lowered = sorted(note.pitch.midi - 2 for note in sample_chart().melody)
    qtbot.waitUntil(lambda: sorted(pitch for _, pitch in notes("tune")) == lowered)


def test_drop_outs_are_told_and_shown(window: MainWindow, player: FakePlayer, qtbot: QtBot) -> None:
    window.practice.change("drop_on", 2)
    window.action("drop").trigger()
    assert player.calls[-1] == ("set_drop_outs", (2, 4))
    window.play.play_here()
    tell(player, qtbot, window, event="position", side="take", resting=True)
    assert window.transport.practice.text() == "the band drops out"
    window.playback.stop()
    assert window.transport.practice.text() == "2 on, 4 off"


def test_a_switch_may_wait_for_the_bar_line(window: MainWindow, player: FakePlayer, qtbot: QtBot) -> None:
    window.action("at_bar").trigger()
    window.action("side").trigger()
    assert player.calls[-1] == ("set_side", "standard"), "where nothing plays there is no bar line"
    window.play.play_here()
    window.action("side").trigger()
    assert player.calls[-1] == ("set_side", "take", "bar")
    assert window.transport.side._waiting
    tell(player, qtbot, window, event="position", side="standard")
    assert window.transport.side._waiting
    tell(player, qtbot, window, event="position", side="take")
    assert not window.transport.side._waiting
    window.action("side").trigger()
    window.playback.stop()
    assert not window.transport.side._waiting


def test_a_late_report_does_not_turn_the_switch_back(window: MainWindow, player: FakePlayer, qtbot: QtBot) -> None:
    window.play.play_here()
    window.action("side").trigger()
    tell(player, qtbot, window, event="position", side="take")
    assert window.transport.side.side == "standard"


def test_these_bars_both_ways(window: MainWindow, player: FakePlayer, qtbot: QtBot) -> None:
    window.practice.change("drop", True)
    select(window, 5, 5)
    window.action("both_ways").trigger()
    assert player.calls[-4:] == [
        ("set_drop_outs", None),
        ("set_loop", (16.0, 28.0), 2),
        ("play", 16.0, False, "standard"),
        ("set_side", "take", "loop"),
    ]
    tell(player, qtbot, window, event="position", side="standard")
    assert window.transport.side.side == "standard"
    tell(player, qtbot, window, event="position", side="take")
    assert window.transport.side.side == "take"
    tell(player, qtbot, window, event="stopped", reason="end")
    assert player.calls[-3:] == [("set_loop", None), ("set_side", "take"), ("set_drop_outs", (4, 4))]
    assert not window.playback.is_playing


def test_both_ways_at_the_edges_of_the_form(window: MainWindow, player: FakePlayer) -> None:
    select(window, 0, 0)
    window.play.both_ways()
    assert ("set_loop", (0.0, 8.0), 2) in player.calls
    assert player.calls[-2] == ("play", 0.0, True, "standard"), "before the first bar only a count can lead in"
    select(window, 31, 31)
    window.play.both_ways()
    assert ("set_loop", (120.0, 128.0), 2) in player.calls


def test_without_a_take_there_is_nothing_to_compare(window: MainWindow, player: FakePlayer) -> None:
    window.action("remove_take").trigger()
    calls = len(player.calls)
    window.play.both_ways()
    assert "play" not in [call[0] for call in player.calls[calls:]]
    assert "no take yet" in window.message.text


def test_a_count_leads_to_a_bar_line(window: MainWindow, player: FakePlayer, qtbot: QtBot) -> None:
    window.play._on_moved(18.6)
    window.play.toggle()
    assert player.calls[-1] == ("play", 16.0, True, "take")
    window.play.toggle()
    window.play.toggle_count_in(False)
    window.play._on_moved(18.6)
    window.play.toggle()
    assert player.calls[-1] == ("play", 18.6, False, "take")


def test_a_player_that_was_started_again_is_said(window: MainWindow, player: FakePlayer, qtbot: QtBot) -> None:
    window.play.play_here()
    tell(player, qtbot, window, event="restarted", pid=1)
    assert "goes on at the same place" in window.message.text
    assert window.playback.is_playing


def test_a_device_that_goes_and_comes_back_is_said(window: MainWindow, player: FakePlayer, qtbot: QtBot) -> None:
    for audible, sentence in ((True, "Sound goes out."), (False, "Nothing can be heard."), (True, "Sound goes out.")):
        tell(player, qtbot, window, event="device", audible=audible, sentence=sentence)
        if not audible:
            assert window.message.text == "Nothing can be heard."
    assert window.message.text == "Sound is back. Sound goes out."


def test_the_sheet_opens_by_key_takes_the_keyboard_and_gives_it_back(window: MainWindow, qtbot: QtBot) -> None:
    sheet = window.practice.sheet
    window.page.setFocus()
    qtbot.keyClick(window.page, Qt.Key.Key_P)
    assert sheet.isVisible()
    assert sheet.band.hasFocus()
    assert window.room.rect().contains(sheet.geometry())
    qtbot.keyClick(sheet.band, Qt.Key.Key_Escape)
    assert not sheet.isVisible()
    assert window.transport.practice.hasFocus()


def test_space_plays_from_a_number_of_the_sheet(window: MainWindow, player: FakePlayer, qtbot: QtBot) -> None:
    window.practice.toggle_sheet()
    box = window.practice.sheet.numbers["drop_on"]
    box.setFocus()
    qtbot.keyClick(box.lineEdit(), Qt.Key.Key_Space)
    assert "play" in player.names()
    box.selectAll()
    qtbot.keyClicks(box.lineEdit(), "7")
    assert window.practice.state.drop_on == 7


def test_everything_on_the_sheet_changes_the_state(window: MainWindow, player: FakePlayer) -> None:
    sheet, control = window.practice.sheet, window.practice
    for chooser, name in ((sheet.band, "band"), (sheet.voicing, "voicing"), (sheet.player, "player")):
        chooser.menu().actions()[1].trigger()
        assert getattr(control.state, name) != getattr(PracticeState(), name)
    sheet.click._buttons["beats"].click()
    sheet.switch._buttons["bar"].click()
    for button in (sheet.drop, sheet.ramp, *sheet.parts.values()):
        button.click()
    for name, box in sheet.numbers.items():
        box.stepUp()
        assert getattr(control.state, name) == box.value()
    state = control.state
    assert (state.click, state.at_bar, state.drop, state.ramp) == ("beats", True, True, True)
    assert state.muted == state.soloed == set(PARTS_OF_BAND)
    assert not any(call[0] == "said" for call in player.calls)


def test_what_is_kept_is_there_next_time_and_what_would_puzzle_is_not(window: MainWindow, settings: Settings) -> None:
    for name, value in (("player", "Eb"), ("ramp_start", 50), ("drop", True), ("bpm", 90), ("band", "bass only")):
        window.practice.change(name, value)
    from app.window.practice_control import _remembered

    found = _remembered(settings)
    assert (found.player, found.ramp_start) == ("Eb", 50)
    assert (found.drop, found.bpm, found.band) == (False, None, "whole band")


def test_a_stored_value_that_cannot_be_played_is_as_if_never_set(settings: Settings) -> None:
    from app.window.practice_control import _remembered

    for name, value in (("voicing", "kazoo"), ("drop_on", 0), ("ramp_step", -5), ("player", "Q")):
        settings._store.setValue(name, value)
    assert _remembered(settings) == PracticeState()


def test_another_tune_is_played_at_its_own_tempo_by_the_whole_band(window: MainWindow, player: FakePlayer) -> None:
    window.practice.change("bpm", 60)
    window.action("mute_bass").trigger()
    window.document.start(sample_chart())
    assert window.practice.state == PracticeState()
    assert not window.action("mute_bass").isChecked()


def test_the_words_know_every_value_and_settings_hold_what_is_kept() -> None:
    assert set(PLAYER_WORDS) == set(PLAYERS) == set(SETTINGS["player"].choices)
    assert set(CLICK_WORDS) == set(CLICKS) == set(SETTINGS["click"].choices)
    assert set(SWITCH_WORDS) == {"now", "bar"}
    for name in BAND_WORDS:
        BandSettings(band=name)
    for name in VOICING_WORDS:
        BandSettings(voicing=name)
    fresh = PracticeState()
    assert {name: SETTINGS[name].default for name in KEPT} == {name: getattr(fresh, name) for name in KEPT}


def test_the_summary_is_short_whatever_is_on() -> None:
    parts = frozenset(PARTS_OF_BAND)
    everything = PracticeState(
        band="guide tones only", player="Bb", click="backbeat", drop=True, ramp=True, muted=parts
    )
    assert summary(everything, 132, 0, False) == "60 % = 79 bpm · guide tones only …"
    assert summary(PracticeState(), 132, 0, False) == "practice"
    assert summary(PracticeState(player="Eb", click="beats"), 132, 0, False) == "click · for E♭"
