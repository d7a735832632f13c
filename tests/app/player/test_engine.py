"""The engine feeds a device: commands first, then frames, and silence rather than an exception."""

from __future__ import annotations

import numpy as np
import pytest

from app.player.device import DeviceInfo
from app.player.engine import AudioClock, Engine
from core.sound.mixer import Mixer
from core.timeline import TimelineError
from tests.core.sound.fakes import Tones
from tests.core.sound.tunes import note, timeline

TUNE = timeline(note("piano", 0, 60, 4.0, side="standard"), note("bass", 0, 40, 4.0, side="take"), length=8.0)


class HandOutput:
    """A device that asks for frames when a test says so."""

    def __init__(self) -> None:
        self.info = DeviceInfo("hand", "hand", False, 20, 0.04, ".")

    def start(self, fill) -> None:
        self.fill = fill

    def close(self) -> None:
        pass

    def pull(self, frames: int = 960) -> np.ndarray:
        return np.frombuffer(self.fill(frames), np.float32).reshape(-1, 2)


@pytest.fixture
def engine() -> Engine:
    return Engine(Mixer(Tones(), TUNE))


@pytest.fixture
def output(engine) -> HandOutput:
    made = HandOutput()
    engine.attach(made)
    return made


def test_a_command_is_in_the_next_block(engine, output):
    assert not output.pull().any()
    engine.do(lambda mixer: mixer.play(), "play", 1.0)
    assert output.pull().any()
    assert engine.snapshot.playing
    assert engine.moved.is_set()
    assert engine.latencies["play"] > 0


def test_the_time_to_sound_waits_for_sound(engine, output):
    engine.do(lambda mixer: mixer.play(6.0), "play", 1.0)
    output.pull()
    assert "play" not in engine.latencies
    engine.do(lambda mixer: mixer.seek(0.0), "seek", 1.0)
    output.pull()
    assert set(engine.latencies) == {"play", "seek"}


def test_a_refused_command_is_a_sentence_and_the_rest_goes_on(engine, output):
    engine.do(lambda mixer: mixer.set_loop((3.0, 3.0)))
    engine.do(lambda mixer: mixer.play())
    assert output.pull().any()
    assert [problem[-1] for problem in engine.problems] == ["."]
    with pytest.raises(TimelineError):
        engine._mixer.set_loop((3.0, 3.0))


def test_a_mixer_that_breaks_is_silence_and_said(engine, output, monkeypatch):
    engine.do(lambda mixer: mixer.play())
    output.pull()
    monkeypatch.setattr(Mixer, "read", lambda self, frames: 1 / 0)
    assert not output.pull().any()
    assert "ZeroDivisionError" in engine.problems.popleft()
    monkeypatch.undo()
    assert output.pull().shape == (960, 2)
    assert not engine.snapshot.playing


def test_a_device_that_was_replaced_gets_silence(engine, output):
    engine.do(lambda mixer: mixer.play())
    second = HandOutput()
    engine.attach(second)
    assert not output.pull().any()
    assert second.pull().any()
    engine.attach(None)
    assert not second.pull().any()


def test_notes_are_told_with_the_time_they_are_heard(engine, output):
    told: list[tuple] = []
    engine.on_notes = told.extend
    engine.do(lambda mixer: mixer.play())
    output.pull()
    engine.do(lambda mixer: mixer.set_side("take"))
    output.pull()
    engine.do(lambda mixer: mixer.stop())
    output.pull()
    assert [(on, part) for _, on, part, _, _ in told] == [
        (True, "piano"),
        (False, "piano"),
        (True, "bass"),
        (False, "bass"),
    ]
    times = [item[0] for item in told]
    assert times == sorted(times)
    assert times[-1] - times[0] == pytest.approx(2 * 960 / 48_000, abs=0.005)


def test_a_clock_that_steps_back_never_turns_notes_around(engine, output, monkeypatch):
    told: list[tuple] = []
    engine.on_notes = told.extend
    engine.do(lambda mixer: mixer.play())
    times = iter((50.0, 49.0))
    monkeypatch.setattr(AudioClock, "heard", lambda clock, frame: now)
    now = next(times)
    output.pull()
    now = next(times)
    engine.do(lambda mixer: mixer.stop())
    output.pull()
    assert [item[1] for item in told] == [True, False]
    assert told[0][0] == pytest.approx(50.0)
    assert told[0][0] < told[1][0] < 50.001


def test_counting_begins_anew(engine, output):
    output.pull()
    engine.forget()
    output.pull()
    assert (engine.blocks, engine.late) == (1, 0)


def test_the_clock_smooths_the_jitter_of_callbacks():
    clock = AudioClock()
    clock.reset(0.04)
    for block in range(300):
        jitter = 0.008 if block % 3 == 0 else 0.0
        clock.tick(block * 960, 100.0 + block * 0.02 + jitter)
    wanted = 100.0 + 300 * 0.02 + 0.04
    assert clock.heard(300 * 960) == pytest.approx(wanted + 0.0027, abs=0.001)


def test_the_clock_begins_again_after_a_pause():
    clock = AudioClock()
    clock.reset(0.0)
    clock.tick(0, 10.0)
    clock.tick(960, 99.0)
    assert clock.heard(960) == pytest.approx(99.0)
