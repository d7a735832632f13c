"""Sound and MIDI: what is chosen reaches the player, is kept, and is said when it fails."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from PySide6.QtWidgets import QApplication, QFileDialog

from app.window.main_window import MainWindow
from app.window.sound_model import AWAY, MidiChoice, port_items, read_numbers, written_numbers
from app.window.start import player_maker
from core.timeline import DEFAULT_MASTER_LEVEL
from tests.app.window.conftest import FakePlayer

pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints", extend=True)  # the offscreen platform has no frames


@pytest.fixture
def player(window: MainWindow, players: list[FakePlayer]) -> FakePlayer:
    window.playback.warm()
    return players[-1]


def tell(player: FakePlayer, event: str, **values: Any) -> None:
    """An event of the player reaches the window."""
    player.on_event({"event": event, **values})
    QApplication.processEvents()


def ports(player: FakePlayer) -> None:
    tell(player, "midi", port=None, wanted=None, sentence="Choose a MIDI port.", ports=["Stage piano"])
    tell(player, "midi_in", port=None, wanted=None, sentence="Choose a MIDI port.", ports=["Small keyboard"])


def choose(window: MainWindow, out: str = "", keyboard: str = "") -> None:
    dialog = window.sound.dialog
    assert dialog is not None
    for box, name in ((dialog.out, out), (dialog.keyboard, keyboard)):
        box.setCurrentIndex(box.findData(name))
        box.activated.emit(box.currentIndex())


def test_a_port_that_is_chosen_is_told_and_kept(window: MainWindow, player: FakePlayer) -> None:
    window.action("output").trigger()
    assert "ask_ports" in player.names()
    ports(player)
    choose(window, "Stage piano", "Small keyboard")
    assert ("set_midi_port", "Stage piano") in player.calls
    assert ("set_midi_input", "Small keyboard") in player.calls
    assert (window.settings.get("midi_out"), window.settings.get("midi_in")) == ("Stage piano", "Small keyboard")
    choose(window)
    assert player.calls.count(("set_midi_port", None)) == 1


def test_channels_programs_and_clock_are_told_the_click_with_the_drums(window: MainWindow, player: FakePlayer) -> None:
    window.sound.open()
    dialog = window.sound.dialog
    assert dialog is not None
    dialog.channels["drums"].setValue(12)
    dialog.programs["bass"].setValue(34)
    dialog.clock.setChecked(True)
    assert player.calls[-1] == ("set_master", DEFAULT_MASTER_LEVEL) or player.calls[-1][0] == "set_midi_setup"
    told = [call for call in player.calls if call[0] == "set_midi_setup"][-1]
    assert told == ("set_midi_setup", {"drums": 11, "click": 11}, {"bass": 33}, True)
    assert window.settings.get("midi_channels") == ("drums=11",)
    dialog.channels["drums"].setValue(10)
    assert window.settings.get("midi_channels") == ()


def test_a_new_player_learns_what_was_chosen_before(window: MainWindow, players: list[FakePlayer]) -> None:
    for key, value in (("midi_out", "Stage piano"), ("midi_clock", True), ("midi_programs", ("piano=4",))):
        window.settings.set(key, value)
    window.settings.set("midi_sound", False)
    window.playback.close()
    window.playback.warm()
    assert ("set_midi_setup", {}, {"piano": 4}, True) in players[-1].calls
    assert ("set_midi_port", "Stage piano") in players[-1].calls
    assert ("set_master", 0.0) in players[-1].calls


def test_sound_of_one_s_own_is_off_only_while_a_port_is_played_to(window: MainWindow, player: FakePlayer) -> None:
    window.sound.open()
    ports(player)
    assert window.sound.dialog is not None
    window.sound.dialog.sound_too.setChecked(False)
    assert player.calls[-1] == ("set_master", DEFAULT_MASTER_LEVEL)
    choose(window, "Stage piano")
    assert ("set_master", 0.0) in player.calls


def test_a_port_lost_and_back_is_said_a_port_in_use_is_not(window: MainWindow, player: FakePlayer) -> None:
    tell(player, "midi", port="Stage piano", wanted="Stage piano", sentence="Notes go to the MIDI port “Stage piano”.")
    assert window.message.text == ""
    lost = "The MIDI port “Stage piano” is gone; it is used again as soon as it is connected."
    tell(player, "midi", port=None, wanted="Stage piano", sentence=lost)
    assert window.message.text == lost
    back = "The MIDI port “Stage piano” is back and is played to again."
    tell(player, "midi", port="Stage piano", wanted="Stage piano", sentence=back)
    assert window.message.text == back


def test_a_missing_port_stays_in_the_list(window: MainWindow, player: FakePlayer) -> None:
    window.settings.set("midi_out", "Attic organ")
    window.sound.open()
    ports(player)
    dialog = window.sound.dialog
    assert dialog is not None
    assert dialog.out.currentText() == AWAY.format("Attic organ")
    assert dialog.choice().out == "Attic organ"


def test_a_port_that_came_back_under_another_address_is_kept_under_it(window: MainWindow, player: FakePlayer) -> None:
    window.settings.set("midi_out", "Attic organ 20:0")
    window.sound.open()
    tell(player, "midi", port="Attic organ 24:0", wanted="Attic organ 20:0", sentence="…", ports=["Attic organ 24:0"])
    assert window.sound.dialog is not None
    assert window.sound.dialog.out.currentText() == "Attic organ 24:0"
    assert window.settings.get("midi_out") == "Attic organ 24:0"


def test_no_midi_at_all_is_calm(window: MainWindow, player: FakePlayer) -> None:
    window.sound.open()
    sentence = "MIDI is not available on this machine; sound from the program itself goes on."
    tell(player, "midi", port=None, wanted=None, sentence=sentence, ports=[])
    assert window.sound.dialog is not None
    assert window.sound.dialog.out_note.text() == sentence
    assert window.message.text == ""


def test_a_font_is_told_and_kept_and_what_it_lacks_is_shown(
    window: MainWindow, player: FakePlayer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: ("/sounds/harbour.sf2", ""))
    window.sound.open()
    dialog = window.sound.dialog
    assert dialog is not None
    assert not dialog.own.isEnabled()
    dialog.choose.click()
    assert ("set_font", Path("/sounds/harbour.sf2")) in player.calls
    assert window.settings.get("font") == "/sounds/harbour.sf2"
    tell(player, "font", path="/sounds/harbour.sf2", own=True, sentence="“Harbour” (2.0 MB) is whole.")
    assert (dialog.font_name.text(), dialog.font_note.text()) == ("harbour.sf2", "“Harbour” (2.0 MB) is whole.")
    dialog.own.click()
    assert player.calls[-1] == ("set_font", None)
    assert window.settings.get("font") == ""


def test_a_font_that_cannot_be_used_is_said_once_and_stays_chosen(window: MainWindow, player: FakePlayer) -> None:
    window.sound.open()
    window.sound.set_font("/sounds/torn.sf2")
    fault = "/sounds/torn.sf2: its end is missing; copy or download it again."
    tell(player, "error", sentence=fault)
    tell(player, "font", path="/own.sf2", own=False, sentence="“Own” (5.7 MB) is whole.")
    assert window.sound.dialog is not None
    assert window.sound.dialog.font_note.text() == f"{fault} The program's own is used meanwhile."
    assert window.message.text == fault


def test_the_player_is_started_on_the_font_that_was_chosen(window: MainWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    started: list[Any] = []
    monkeypatch.setattr("app.player.client.PlayerClient", lambda _on_event, font=None: started.append(font))
    player_maker(window.settings)(print)
    window.settings.set("font", "/sounds/harbour.sf2")
    player_maker(window.settings)(print)
    assert started == [None, Path("/sounds/harbour.sf2")]


def test_keys_that_are_played_are_shown(window: MainWindow, player: FakePlayer) -> None:
    window.sound.open()
    for pitch, on in ((60, True), (63, True), (60, False)):
        tell(player, "played", on=on, pitch=pitch, velocity=80, quarter=0.0, bpm=120.0, time=0.0, playing=False,
             counting_in=False)  # fmt: skip
    assert window.sound.dialog is not None
    assert window.sound.dialog.played.text() == "E♭4"


def test_panic_stops_and_silences(window: MainWindow, player: FakePlayer) -> None:
    window.action("panic").trigger()
    assert player.names()[-2:] == ["stop", "panic"]


def test_numbers_are_read_back_and_nonsense_is_not() -> None:
    numbers = {"piano": 3, "drums": 15}
    assert read_numbers(written_numbers(numbers), 15) == numbers
    assert read_numbers(("", "flute=3", "piano=99", "bass=x", "drums"), 15) == {}
    assert MidiChoice(channels={"piano": 3}).channel_of("bass") == 1
    assert port_items(("A",), "B", "None") == [("None", ""), ("A", "A"), ("B (not connected)", "B")]
