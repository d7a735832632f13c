"""The player without a process around it: commands in, events out."""

from __future__ import annotations

import random
import time

import pytest

from app.player import keeper
from app.player.device import DeviceInfo, open_output
from app.player.process import Player
from app.player.protocol import pack_timeline
from core.timeline import HEARD_SIDES, PARTS
from tests.app.player.helpers import Events, FakePorts, RecordingSink, unended, until
from tests.core.sound.fonts import Sound, font_bytes
from tests.core.sound.tunes import band, note, timeline

SHORT = timeline(
    note("piano", 0, 60, 1.0, side="standard"), note("piano", 0, 63, 1.0, side="take"), note("bass", 1, 40), bpm=320.0
)


@pytest.fixture
def events() -> Events:
    return Events()


@pytest.fixture
def sink() -> RecordingSink:
    return RecordingSink()


@pytest.fixture
def player(events, sink):
    made = Player(events, ports=FakePorts(sink))
    made.start("null", 5)
    yield made
    made.close()


def load(player: Player, tune, version: int = 1) -> None:
    header, block = pack_timeline(tune)
    player.handle({"do": "load", "version": version, "timeline": header}, block)


def do(player: Player, name: str, **values) -> None:
    player.handle({"do": name, **values}, b"")


def test_it_says_what_it_opened_and_that_it_is_ready(player, events):
    assert events.of("device")[0]["sentence"] == "Sound is switched off; the clock runs on."
    assert events.wait("ready")["notes"] == 0


def test_a_tune_is_played_to_its_end(player, events):
    load(player, SHORT, 5)
    assert events.wait("loaded")["version"] == 5
    do(player, "play", **{"from": 0.0})
    events.wait("playing")
    stopped = events.wait("stopped")
    assert stopped["reason"] == "end"
    assert stopped["quarter"] == pytest.approx(SHORT.length, abs=0.01)
    places = [event["quarter"] for event in events.of("position")]
    assert places == sorted(places)


def test_stop_keeps_the_place(player, events):
    load(player, band(8))
    do(player, "play", **{"from": 4.0}, side="take")
    position = events.wait("position", 3)
    assert position["side"] == "take"
    assert position["quarter"] > 4.0
    do(player, "stop")
    stopped = events.wait("stopped")
    assert stopped["reason"] == "command"
    assert 4.0 < stopped["quarter"] < 8.0


def test_the_count_in_is_reported(player, events):
    load(player, band(2, 300.0))
    do(player, "play", count_in=True)
    assert events.wait("playing")["counting_in"]
    until(lambda: events.last("position") and not events.last("position")["counting_in"])


def test_stats_tell_how_long_things_took(player, events):
    load(player, SHORT)
    do(player, "play", at=1.0)
    events.wait("stopped")
    do(player, "stats")
    stats = events.wait("stats")
    assert stats["notes"] == 3
    assert stats["bank_bytes"] > 0
    assert {"play"} <= set(stats["latencies_ms"])
    assert stats["missed"] <= 1  # the side that is not heard need not be there for the first notes


@pytest.mark.parametrize(
    ("command", "named"),
    [
        ({"do": "sing"}, "no command 'sing'"),
        ({"do": "seek"}, "'quarter'"),
        ({"do": "play", "from": "here"}, "could not convert"),
        ({"do": "side", "side": "both"}, "choose standard or take"),
        ({"do": "levels", "levels": {"kazoo": 1.0}}, "no such part"),
        ({"do": "loop", "loop": [0.0, 0.001]}, "make it longer"),
        ({"do": "load", "timeline": {}}, "no timeline"),
        ({"do": "side", "side": "take", "when": "tomorrow"}, "choose now, bar or loop"),
        ({"do": "drop_outs", "bars": [0, 4]}, "choose 1 to 64"),
        ({"do": "drop_outs", "bars": [4]}, "index out of range"),
        ({"do": "device", "device": "null", "buffer_ms": 2}, "2 ms is not between 5 and 500 ms"),
    ],
)
def test_what_cannot_be_done_is_one_sentence_and_playing_goes_on(player, events, command, named):
    player.handle(command, b"")
    sentence = events.wait("error")["sentence"]
    assert named in sentence
    assert sentence.endswith(".")
    do(player, "ping", token=9)
    assert events.wait("pong")["token"] == 9


def test_the_heard_side_goes_to_a_midi_port_and_nothing_hangs(player, events, sink):
    do(player, "midi", port=sink.name)
    assert events.wait("midi")["port"] == sink.name
    load(player, SHORT)
    do(player, "play", side="take")
    events.wait("stopped")
    until(lambda: sink.notes().count(("off", 1, 40)) == 1)
    assert sink.notes() == [("on", 0, 63), ("off", 0, 63), ("on", 1, 40), ("off", 1, 40)]
    programs = {message.hex() for message in sink.messages if message[0] >> 4 == 0xC}
    assert programs == {"c000", "c120", "c20b", "c900"}


def test_an_unknown_port_and_a_vanished_one_are_said(player, events, sink):
    do(player, "midi", port="Nowhere")
    assert events.wait("midi")["port"] is None
    assert "no MIDI port “Nowhere”" in events.of("midi")[-1]["sentence"]
    do(player, "midi", port=sink.name)
    events.wait("midi", 2)
    sink.gone = True
    load(player, SHORT)
    do(player, "play")
    assert "is gone" in events.wait("midi", 3)["sentence"]
    assert events.wait("stopped")["reason"] == "end"


def test_panic_stops_and_silences(player, events, sink):
    do(player, "midi", port=sink.name)
    load(player, band(4))
    do(player, "play")
    until(lambda: sink.notes())
    do(player, "panic")
    events.wait("stopped")
    until(lambda: bytes((0xBF, 120, 0)) in sink.messages)
    assert unended(sink.messages) == {}


def test_a_stop_between_two_looks_of_the_ticker_is_told(player, events, sink, monkeypatch):
    do(player, "midi", port=sink.name)
    load(player, band(4))
    events.wait("loaded")
    # A ticker that comes late, as on a busy machine: by the time it looks all is over.
    monkeypatch.setattr(player._engine.moved, "wait", lambda _seconds: time.sleep(0.5))
    time.sleep(0.1)
    do(player, "play")
    until(lambda: sink.notes())
    do(player, "stop")
    assert events.wait("stopped")["reason"] == "command"
    assert len(events.of("playing")) == 1


def test_both_ways_plays_the_standard_then_the_take_and_stops(player, events, sink):
    do(player, "midi", port=sink.name)
    load(player, SHORT)
    do(player, "loop", loop=[0.0, 2.0], passes=2)
    do(player, "play", side="standard")
    do(player, "side", side="take", when="loop")
    stopped = events.wait("stopped")
    assert stopped["quarter"] == 0.0
    until(lambda: sink.notes().count(("off", 1, 40)) == 2)
    assert [note for note in sink.notes() if note[0] == "on"] == [
        ("on", 0, 60),
        ("on", 1, 40),
        ("on", 0, 63),
        ("on", 1, 40),
    ]
    assert events.of("position")[-1]["side"] == "take"


def test_a_timeline_for_a_later_pass_is_told_when_its_turn_has_come(player, events):
    load(player, SHORT, 1)
    do(player, "loop", loop=[0.0, 1.0])
    do(player, "play")
    header, block = pack_timeline(SHORT.at_tempo(300.0))
    player.handle({"do": "load", "version": 2, "passes": 1, "timeline": header}, block)
    stepped = events.wait("stepped")
    assert (stepped["version"], stepped["bpm"]) == (2, 300.0)
    until(lambda: events.last("position")["bpm"] == 300.0)
    assert events.last("position")["loop"] == (0.0, 1.0)
    assert len(events.of("loaded")) == 1


def test_a_bar_without_the_band_is_told(player, events):
    load(player, band(8, 320.0))
    do(player, "drop_outs", bars=[1, 1])
    do(player, "play")
    until(lambda: {event["resting"] for event in events.of("position")} == {True, False})


@pytest.mark.parametrize("seed", range(3))
def test_a_walk_of_commands_leaves_no_note_hanging(player, events, sink, seed):
    chance = random.Random(seed)
    tunes = (band(2), band(2, 210.0), SHORT)
    do(player, "midi", port=sink.name)
    load(player, tunes[0])
    do(player, "play")
    until(lambda: sink.notes())
    for _ in range(40):
        chance.choice(
            (
                lambda: do(player, "play", **{"from": chance.random() * 8}, count_in=chance.random() < 0.3),
                lambda: do(player, "stop"),
                lambda: do(player, "seek", quarter=chance.random() * 9),
                lambda: do(player, "loop", loop=[0.5, 1.0 + chance.random() * 3]),
                lambda: do(player, "loop", loop=None),
                lambda: do(player, "side", side=chance.choice(HEARD_SIDES), when=chance.choice(("now", "bar", "loop"))),
                lambda: do(player, "drop_outs", bars=chance.choice((None, [1, 1], [1, 2]))),
                lambda: do(player, "mute", muted={chance.choice(list(PARTS)): chance.random() < 0.5}),
                lambda: load(player, chance.choice(tunes)),
            )
        )()
        seen = player._engine.blocks
        until(lambda before=seen: player._engine.blocks > before + 1)
    do(player, "stop")
    until(lambda: not player._engine.snapshot.playing and player._engine._mixer.silent)
    until(lambda: not player._midi.sender._queue)
    assert player._midi.sender.wait()
    assert unended(sink.messages) == {}
    assert not events.of("error")


def test_a_stalled_device_is_opened_again(player, events, monkeypatch):
    class Stalled:
        info = DeviceInfo("default", "ALSA", True, 5, 0.01, "Sound goes to the default device through ALSA.")

        def start(self, fill) -> None:
            fill(240)

        def close(self) -> None:
            pass

    outputs = [Stalled(), open_output("null", 5)]
    monkeypatch.setattr(keeper, "STALLED", 0.05)
    monkeypatch.setattr(keeper, "SOON", 0.0)
    monkeypatch.setattr(keeper, "open_output", lambda choice, buffer_ms: outputs.pop(0))
    do(player, "device", device="default")
    assert "stopped answering" in events.wait("error")["sentence"]
    assert not events.wait("device", 3)["audible"]
    load(player, SHORT)
    do(player, "play")
    events.wait("stopped")


def test_a_device_that_refuses_to_start_leaves_the_clock(player, events, monkeypatch):
    class Refusing:
        info = DeviceInfo("default", "ALSA", True, 5, 0.01, "Sound goes to the default device through ALSA.")

        def start(self, fill) -> None:
            raise RuntimeError("busy")

        def close(self) -> None:
            pass

    monkeypatch.setattr(
        keeper, "open_output", lambda choice, ms: Refusing() if choice == "default" else open_output(choice, ms)
    )
    do(player, "device", device="default")
    assert not events.wait("device", 2)["audible"]
    load(player, SHORT)
    do(player, "play")
    events.wait("stopped")


def test_a_damaged_font_is_said_and_the_default_is_used(tmp_path, events):
    path = tmp_path / "torn.sf2"
    path.write_bytes(b"RIFF")
    player = Player(events, font=path)
    player.start("null", 5)
    assert "torn.sf2" in events.wait("error")["sentence"]
    load(player, SHORT)
    do(player, "play")
    events.wait("stopped")
    player.close()


def test_without_any_font_time_and_midi_go_on(monkeypatch, events, sink):
    monkeypatch.setattr("core.sound.soundfont.default_soundfont", lambda: None)
    player = Player(events, ports=FakePorts(sink))
    player.start("null", 5)
    assert "install the package pretty_midi" in events.wait("error")["sentence"]
    do(player, "midi", port=sink.name)
    load(player, SHORT)
    do(player, "play")
    events.wait("stopped")
    until(lambda: len(sink.notes()) == 4)
    player.close()


def test_a_font_of_one_s_own_is_said_with_what_it_lacks(tmp_path, events):
    path = tmp_path / "small.sf2"
    path.write_bytes(font_bytes(Sound("Upright", 0)))
    player = Player(events, font=path)
    said = events.wait("font")
    assert (said["path"], said["own"]) == (str(path), True)
    assert "no drum kit" in said["sentence"]
    player.start("null", 5)
    load(player, SHORT)
    do(player, "play")
    events.wait("stopped")
    player.close()
    assert not events.of("error")
