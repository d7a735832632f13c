"""No device, a device lost, a device back: the clock runs on, and each change is said once."""

from __future__ import annotations

import pytest

from app.player import keeper
from app.player.device import ClockOutput, DeviceInfo
from app.player.engine import Engine
from app.player.keeper import OutputKeeper
from core.sound.mixer import Mixer
from tests.app.player.helpers import Events, until
from tests.core.sound.fakes import Tones
from tests.core.sound.tunes import note, timeline


class Device:
    """A sound device that asks for frames while it is plugged in."""

    def __init__(self, choice: str = "default") -> None:
        self.info = DeviceInfo(choice, "test", True, 20, 0.04, "Sound goes out.")
        self.closed = False

    def start(self, fill) -> None:
        self.fill = fill
        fill(480)

    def close(self) -> None:
        self.closed = True


class Room:
    """What is plugged in."""

    def __init__(self) -> None:
        self.devices: list[Device] = []
        self.names: list[str] = []

    def open(self, choice: str, buffer_ms: int):
        if choice == "null" or not self.names:
            why = "Sound is switched off." if choice == "null" else "No sound device was found."
            return ClockOutput(DeviceInfo(choice, "none", False, buffer_ms, 0.0, why))
        self.devices.append(Device(choice))
        return self.devices[-1]


@pytest.fixture
def room(monkeypatch) -> Room:
    made = Room()
    monkeypatch.setattr(keeper, "open_output", made.open)
    monkeypatch.setattr(keeper, "list_devices", lambda: ("test", made.names, "."))
    monkeypatch.setattr(keeper, "STALLED", 0.05)
    monkeypatch.setattr(keeper, "SOON", 0.0)
    monkeypatch.setattr(keeper, "RETRY", 0.01)
    return made


@pytest.fixture
def engine() -> Engine:
    return Engine(Mixer(Tones(), timeline(note("piano", 0, 60, 600.0))))


@pytest.fixture
def events() -> Events:
    return Events()


@pytest.fixture
def kept(room, engine, events):
    made = OutputKeeper(engine, events, lambda sentence: events({"event": "error", "sentence": sentence}))
    yield made
    made.close()


def watch_until(kept: OutputKeeper, condition) -> None:
    until(lambda: kept.watch() or condition())


def test_a_device_that_comes_later_is_taken(kept, room, events, engine):
    kept.open("default", 20)
    assert not events.last("device")["audible"]
    for _ in range(5):
        kept.watch()
    assert len(events.of("device")) == 1, "nothing is said while there is nothing new"
    room.names = ["Desk speakers"]
    watch_until(kept, lambda: events.last("device")["audible"])
    assert len(events.of("device")) == 2
    assert not events.of("error")


def test_a_device_by_name_is_waited_for_by_its_name(kept, room, events):
    kept.open("Stage box", 20)
    room.names = ["Desk speakers"]
    watch_until(kept, lambda: kept._looking and not kept._looking.is_alive())
    assert not events.last("device")["audible"]
    room.names = ["Desk speakers", "Stage box"]
    watch_until(kept, lambda: events.last("device")["audible"])
    assert room.devices[-1].info.choice == "Stage box"


def test_a_lost_device_is_said_the_music_goes_on_and_its_return_is_taken(kept, room, events, engine):
    room.names = ["Desk speakers"]
    kept.open("default", 20)
    engine.do(lambda mixer: mixer.play(4.0))
    room.devices[-1].fill(960)
    place = engine.snapshot.quarter
    room.names = []  # the plug is pulled: no frame is asked for any more
    watch_until(kept, lambda: not events.last("device")["audible"])
    assert "stopped answering" in events.last("error")["sentence"]
    assert room.devices[-1].closed
    until(lambda: engine.snapshot.quarter > place)
    assert engine.snapshot.quarter < place + 4, "no bar was skipped"
    room.names = ["Desk speakers"]
    watch_until(kept, lambda: events.last("device")["audible"])
    assert engine.snapshot.playing


def test_a_device_that_will_not_stay_is_gone_until_it_is_back(kept, room, events, monkeypatch):
    monkeypatch.setattr(keeper, "SOON", 60.0)
    room.names = ["Loose plug"]
    kept.open("default", 20)
    watch_until(kept, lambda: not events.last("device")["audible"])
    assert events.last("device")["sentence"] == (
        "The sound device is gone; playing goes on in silence until it is back."
    )
    assert events.last("device")["choice"] == "default"
    first = kept._wait
    watch_until(kept, lambda: events.last("device")["audible"])
    watch_until(kept, lambda: not events.last("device")["audible"])
    assert kept._wait == 2 * first > keeper.RETRY, "it is tried more and more seldom"


def test_a_device_that_never_begins_is_a_stalled_one(kept, room, engine, events, monkeypatch):
    monkeypatch.setattr("app.player.engine.START_GRACE", 0.02)
    monkeypatch.setattr(Device, "start", lambda self, fill: None)
    room.names = ["Mute box"]
    kept.open("default", 20)
    watch_until(kept, lambda: events.of("error"))


def test_switched_off_is_not_missing(kept, room, events):
    kept.open("null", 20)
    room.names = ["Desk speakers"]
    for _ in range(5):
        kept.watch()
    assert kept._looking is None
    assert len(events.of("device")) == 1


def test_after_closing_nothing_is_opened(kept, room, events):
    kept.open("default", 20)
    kept.close()
    room.names = ["Desk speakers"]
    kept._look()
    assert not room.devices
