"""The window's side, with real player processes."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys

import pytest

from app.player import link
from app.player.client import PlayerClient
from app.player.remembered import Remembered
from tests.app.player.helpers import Events, until
from tests.core.sound.tunes import band


@pytest.fixture
def events() -> Events:
    return Events()


@pytest.fixture
def client(events):
    made = PlayerClient(events, device="null", buffer_ms=10)
    yield made
    made.close()


def gone(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return True
    return False


def test_the_window_loads_none_of_the_sound_libraries():
    code = (
        "import sys, app.player.client;"
        "print([m for m in ('numpy', 'miniaudio', 'mido', 'midirenderer', 'rtmidi') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_tune_is_loaded_played_and_stopped(client, events):
    version = client.load(band(4))
    client.play(4.0, side="take")
    assert client.playing
    assert events.wait("loaded")["version"] == version
    position = events.wait("position", 2)
    assert position["side"] == "take"
    assert 4.0 <= client.position() < 16.0
    client.stop()
    assert events.wait("stopped")["reason"] == "command"
    assert client.position() == events.last("stopped")["quarter"]
    assert not client.playing
    assert not events.of("error")


def test_a_killed_player_is_back_in_the_same_place(client, events):
    client.set_level("drums", 0.25)
    client.set_muted("tune", True)
    client.set_side("take")
    client.load(band(8))
    client.set_loop((8.0, 12.0))
    client.play(8.0)
    before = events.wait("position", 3)
    first = client.pid
    os.kill(first, signal.SIGKILL)
    events.wait("restarted")
    count = len(events.of("position"))
    after = events.wait("position", count + 2)
    assert client.pid != first
    assert gone(first)
    assert after["side"] == "take"
    assert after["loop"] == before["loop"] == [8.0, 12.0]
    assert 8.0 <= after["quarter"] < 12.0
    assert client.playing
    assert not events.of("error")


def test_a_second_player_waits_and_takes_over_with_every_note_at_hand(client, events):
    client.load(band(2))
    client.play(2.0)
    until(lambda: client._spare)
    spare = client._spare.process.pid
    places = []
    for _ in range(2):
        count = len(events.of("playing"))
        place = client.position()
        os.kill(client.pid, signal.SIGKILL)
        playing = events.wait("playing", count + 1)
        assert playing["quarter"] >= place
        places.append(playing["quarter"] - place)
        client.ask_stats()
        assert events.wait("stats", len(places))["notes"] > 0
        if len(places) == 1:
            assert client.pid == spare, "the one that waited plays"
            until(lambda: client._spare)
    assert client.pid != spare
    assert max(places) < 2.0, "within a second of music at this tempo"
    assert not events.of("error")


def test_a_spare_is_there_as_soon_as_there_is_sound_to_lose(client, events):
    client.load(band(32))
    client.play(4.0)
    events.wait("playing")
    until(lambda: client._spare)
    spare = client._spare.process.pid
    client._link.process.kill()
    events.wait("playing", 2)
    assert client.pid == spare
    assert events.last("playing")["quarter"] >= 4.0


def test_a_spare_that_has_died_too_is_not_counted_on(client, events):
    client.load(band(2))
    client.play()
    until(lambda: client._spare)
    client._spare.process.kill()
    client._spare.process.wait()
    os.kill(client.pid, signal.SIGKILL)
    events.wait("restarted")
    count = len(events.of("position"))
    events.wait("position", count + 1)


def test_no_note_stays_on_the_disk(events):
    client = PlayerClient(events, device="null", buffer_ms=10)
    client.load(band(1))
    client.play()
    folder = client._notes
    until(lambda: list(folder.glob("*.note")))
    until(lambda: client._spare)
    spare = client._spare.process.pid
    client.close()
    assert not folder.exists()
    assert gone(spare)


def test_a_window_that_vanishes_leaves_nothing_behind(tmp_path):
    folder = tmp_path / "notes"
    folder.mkdir()
    (folder / "0_60_127.note").write_bytes(b"")
    subprocess.run(
        [sys.executable, "-m", "app.player", "--device", "null", "--standby", "--notes", str(folder)],
        input=b"", capture_output=True, check=True,
    )  # fmt: skip
    assert not folder.exists()


def test_a_ramp_s_next_step_survives_the_player(client, events):
    client.load(band(4, 300.0))
    client.set_loop((0.0, 4.0))
    client.set_drop_outs((1, 1))
    client.play()
    events.wait("position")
    version = client.load(band(4, 310.0), 1)
    os.kill(client.pid, signal.SIGKILL)
    events.wait("restarted")
    assert events.wait("stepped")["version"] == version
    until(lambda: events.last("position")["bpm"] == 310.0)
    until(lambda: events.last("position")["resting"])
    assert client._state.timeline.bpm == 310.0


def test_a_stopped_player_that_is_killed_stays_stopped_at_its_place(client, events):
    client.load(band(8))
    client.seek(6.0)
    client.ping(1)
    events.wait("pong")
    os.kill(client.pid, signal.SIGKILL)
    events.wait("restarted")
    events.wait("loaded", 2)
    client.ping(2)
    events.wait("pong", 2)
    assert client.position() == 6.0
    assert not events.of("playing")
    client.play(client.position())
    assert events.wait("position")["quarter"] >= 6.0


def test_another_font_starts_a_new_player_in_the_same_place(client, events, tmp_path):
    client.load(band(8))
    client.play(4.0)
    events.wait("position")
    first = client.pid
    client.set_font(tmp_path / "missing.sf2")
    assert "missing.sf2" in events.wait("error")["sentence"]
    count = len(events.of("position"))
    assert events.wait("position", count + 1)["quarter"] >= 4.0
    assert client.pid != first
    until(lambda: gone(first))
    assert not events.of("restarted")


def test_closing_ends_the_child_and_the_events(client, events):
    client.load(band(2))
    client.play()
    events.wait("playing")
    pid = client.pid
    client.close()
    assert gone(pid)
    count = len(events.all)
    client.play()
    client.close()
    assert len(events.all) == count
    assert client.pid is None


def test_a_player_that_hangs_is_ended_all_the_same(client, events, monkeypatch):
    monkeypatch.setattr(link, "CLOSE_SECONDS", 0.2)
    events.wait("ready")
    pid = client.pid
    os.kill(pid, signal.SIGSTOP)
    client.close()
    assert gone(pid)


def test_a_player_that_cannot_live_is_not_started_for_ever(events, monkeypatch):
    monkeypatch.setattr(link, "command", lambda *_: [sys.executable, "-c", "pass"])
    client = PlayerClient(events, device="null")
    client.load(band(1))
    client.play()
    assert events.wait("gone")["sentence"].endswith(".")
    assert len(events.of("restarted")) == 3
    assert not client.playing
    client.close()


def test_files_in_the_working_folder_are_not_run(events, monkeypatch, tmp_path):
    for name in ("numpy", "json", "app"):
        (tmp_path / f"{name}.py").write_text("raise SystemExit(9)")
    monkeypatch.chdir(tmp_path)
    client = PlayerClient(events, device="null")
    events.wait("ready")
    client.close()
    assert not events.of("restarted")


def test_this_machine_s_own_device_is_a_calm_sentence(events):
    client = PlayerClient(events)
    device = events.wait("device")
    assert device["choice"] == "default"
    assert device["sentence"].endswith(".")
    client.load(band(1, 300.0))
    client.play()
    events.wait("stopped")
    client.ask_ports()
    assert events.wait("midi")["sentence"].endswith(".")
    client.close()
    assert not events.of("error")


def test_the_player_ends_when_its_input_ends_and_prints_nothing_else():
    done = subprocess.run(
        [sys.executable, "-m", "app.player", "--device", "default"], input=b"", capture_output=True, check=True
    )
    assert done.stdout[:4] == b"cwp1"
    assert done.stderr == b""
    garbage = subprocess.run(
        [sys.executable, "-m", "app.player", "--device", "null"], input=b"x" * 40, capture_output=True
    )
    assert garbage.returncode == 3


def test_the_probe_is_one_json_document():
    done = subprocess.run([sys.executable, "-m", "app.player", "--probe"], capture_output=True, text=True, check=True)
    found = json.loads(done.stdout)
    assert set(found) == {"packages", "audio", "midi", "soundfont"}
    assert all(found[name]["sentence"].endswith(".") for name in ("audio", "midi", "soundfont"))
    assert found["soundfont"]["path"].endswith(".sf2")
    assert done.stderr == ""


@pytest.mark.parametrize(
    ("loop", "seconds", "expected"),
    [(None, 1.0, 12.0), (None, 60.0, 16.0), ((8.0, 12.0), 1.5, 9.0), ((8.0, 12.0), 5.0, 8.0), ((0.0, 4.0), 1.0, 12.0)],
)
def test_the_place_runs_on_between_two_reports(loop, seconds, expected):
    state = Remembered("null", 20)
    state.timeline, state.playing, state.loop = band(4), True, loop
    state.place = (10.0, 100.0, 120.0)
    assert state.position(100.0 + seconds) == pytest.approx(expected)
