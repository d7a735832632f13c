"""A keyboard is heard, a port that vanishes is said and used again when it returns, the clock runs with the sound."""

from __future__ import annotations

import pytest

from app.player import midi_desk
from app.player.midi_clock import CLOCK, START, STOP
from app.player.midi_in import KeyChange, Keys
from app.player.process import Player
from tests.app.player.helpers import Events, FakePorts, RecordingSink, unended, until
from tests.app.player.test_process import do, load
from tests.core.sound.tunes import band


@pytest.fixture
def events() -> Events:
    return Events()


@pytest.fixture
def ports() -> FakePorts:
    return FakePorts(RecordingSink("Stage piano 20:0"))


@pytest.fixture
def player(events, ports, monkeypatch):
    monkeypatch.setattr(midi_desk, "WATCH", 0.01)
    made = Player(events, ports=ports)
    made.start("null", 5)
    yield made
    made.close()


def last(events: Events, name: str) -> str:
    found = events.last(name)
    return found["sentence"] if found else ""


def test_a_port_that_vanishes_mid_chorus_is_said_and_used_again_when_it_returns(player, events, ports):
    do(player, "midi", port="Stage piano 20:0")
    load(player, band(16, 120.0))
    do(player, "play")
    until(lambda: ports.sink.notes())
    ports.plugged, ports.sink.gone = False, True
    until(lambda: "is gone" in last(events, "midi"))
    assert events.last("midi")["port"] is None
    place = events.wait("position")["quarter"]
    until(lambda: events.last("position")["quarter"] > place)
    ports.sink = RecordingSink("Stage piano 24:0")
    ports.plugged = True
    until(lambda: "is back" in last(events, "midi"))
    assert events.last("midi")["port"] == "Stage piano 24:0"
    until(lambda: ports.sink.notes())
    do(player, "stop")
    until(lambda: player._engine._mixer.silent and not player._midi.sender._queue)
    assert player._midi.sender.wait()
    assert unended(ports.sink.messages) == {}
    assert len([event for event in events.of("midi") if "is gone" in event["sentence"]]) == 1


def test_a_port_that_goes_without_an_error_is_missed_by_the_watch(player, events, ports):
    do(player, "midi", port="Stage piano 20:0")
    ports.plugged = False
    until(lambda: "is gone" in last(events, "midi"))
    assert ports.sink.closed


def test_a_port_is_found_under_another_address(player, events, ports):
    do(player, "midi", port="Stage piano 16:0")
    told = events.wait("midi")
    assert (told["port"], told["wanted"]) == ("Stage piano 20:0", "Stage piano 16:0")


def test_a_port_that_is_given_up_does_not_come_back(player, events, ports):
    do(player, "midi", port="Stage piano 20:0")
    do(player, "midi", port=None)
    said = len(events.of("midi"))
    player._midi.look()
    assert len(events.of("midi")) == said
    assert events.last("midi")["port"] is None


def test_keys_are_told_with_their_place(player, events, ports):
    do(player, "midi_in", port="Small keyboard")
    assert "is heard" in events.wait("midi_in")["sentence"]
    ports.source.press(bytes((0x90, 60, 90)))
    ports.source.press(bytes((0x90, 60, 0)))
    down, up = events.of("played")
    assert (down["on"], down["pitch"], down["velocity"], down["playing"]) == (True, 60, 90, False)
    assert (up["on"], up["pitch"]) == (False, 60)
    load(player, band(8))
    do(player, "play", **{"from": 4.0})
    until(lambda: events.of("position"))
    ports.source.press(bytes((0x91, 64, 70)))
    heard = events.wait("played", 3)
    assert heard["playing"]
    assert heard["quarter"] == pytest.approx(events.last("position")["quarter"], abs=0.5)


def test_a_keyboard_that_vanishes_lets_its_keys_go_and_comes_back(player, events, ports):
    do(player, "midi_in", port="Small keyboard")
    ports.source.press(bytes((0x90, 60, 90)))
    ports.plugged = False
    until(lambda: "is gone" in last(events, "midi_in"))
    assert not events.wait("played", 2)["on"]
    ports.plugged = True
    until(lambda: "is back" in last(events, "midi_in"))
    ports.source.press(bytes((0x90, 62, 90)))
    assert events.wait("played", 3)["pitch"] == 62


def test_a_keyboard_that_is_not_there_is_a_sentence(player, events):
    do(player, "midi_in", port="Nowhere")
    assert "no MIDI port “Nowhere”" in events.wait("midi_in")["sentence"]


def test_ports_of_both_kinds_are_listed(player, events):
    do(player, "ports")
    assert events.wait("midi")["ports"] == ["Stage piano 20:0"]
    assert events.wait("midi_in")["ports"] == ["Small keyboard"]


def test_the_clock_runs_with_the_sound_when_it_is_wanted(player, events, ports):
    do(player, "midi_setup", channels={"piano": 3}, programs={"piano": 4}, clock=True)
    do(player, "midi", port="Stage piano 20:0")
    load(player, band(1, 320.0))
    do(player, "play")
    events.wait("stopped")
    until(lambda: STOP in ports.sink.messages)
    system = [message for message in ports.sink.messages if message[0] >= 0xF0]
    # 24 clocks a quarter note, four quarters: MIDI 1.0, System Real Time Messages.
    assert system == [START, *[CLOCK] * 96, STOP]
    assert {channel for kind, channel, _ in ports.sink.notes() if kind == "on"} >= {3, 9}
    assert bytes((0xC3, 4)) in ports.sink.messages


def test_no_clock_is_sent_unasked(player, events, ports):
    do(player, "midi", port="Stage piano 20:0")
    load(player, band(1, 320.0))
    do(player, "play")
    events.wait("stopped")
    until(lambda: not player._midi.sender._queue)
    assert not [message for message in ports.sink.messages if message[0] >= 0xF0]


def test_a_wrong_channel_is_one_sentence(player, events):
    do(player, "midi_setup", channels={"piano": 99}, programs={}, clock=False)
    assert "MIDI channel of piano" in events.wait("error")["sentence"]


def test_velocity_zero_is_a_note_off_and_the_pedal_holds():
    # MIDI 1.0: a note-on with velocity 0 is a note-off; controller 64, 0..63 up and 64..127 down.
    keys = Keys()
    assert keys.feed(bytes((0x90, 60, 1))) == [KeyChange(True, 60, 1)]
    assert keys.feed(bytes((0xB0, 64, 64))) == []
    assert keys.feed(bytes((0x90, 60, 0))) == []
    assert keys.sounding == {60}
    assert keys.feed(bytes((0x90, 60, 9))) == [KeyChange(False, 60), KeyChange(True, 60, 9)]
    assert keys.feed(bytes((0x80, 60, 64))) == []
    assert keys.feed(bytes((0xB0, 64, 63))) == [KeyChange(False, 60)]
    assert keys.sounding == frozenset()


@pytest.mark.parametrize("message", ["f8", "fe", "c005", "d040", "e00040", "b00740", "803c40", "90", ""])
def test_what_is_no_key_changes_nothing(message):
    assert Keys().feed(bytes.fromhex(message)) == []


@pytest.mark.parametrize("number", [120, 123])
def test_all_off_lets_everything_go(number):
    keys = Keys()
    for pitch in (60, 64):
        keys.feed(bytes((0x90, pitch, 80)))
    assert keys.feed(bytes((0xB0, number, 0))) == [KeyChange(False, 60), KeyChange(False, 64)]
