"""Devices: nothing that goes wrong in a callback reaches them, and no device is a normal state."""

from __future__ import annotations

import os
import sys
import types

import pytest

from app.player.device import (
    BYTES_PER_FRAME,
    ClockOutput,
    DeviceInfo,
    MiniaudioOutput,
    _generator,
    list_devices,
    open_output,
)
from app.player.quiet import quiet_stderr
from tests.app.player.helpers import until


def fake_miniaudio(backend: str = "ALSA", problem: Exception | None = None) -> types.SimpleNamespace:
    """The few names of the package that are used, with a device that does what a test wants."""

    class PlaybackDevice:
        def __init__(self, **options) -> None:
            if problem:
                raise problem
            self.backend, self.options, self.closed = backend, options, False

        def start(self, generator) -> None:
            self.blocks = [bytes(generator.send(frames)) for frames in (10, 20)]

        def close(self) -> None:
            self.closed = True

    devices = types.SimpleNamespace(backend=backend, get_playbacks=lambda: [{"name": "Loft monitors", "id": 7}])
    return types.SimpleNamespace(
        PlaybackDevice=PlaybackDevice,
        SampleFormat=types.SimpleNamespace(FLOAT32=5),
        Devices=lambda: devices,
    )


def test_an_exception_in_the_callback_is_silence_and_the_next_block_sounds():
    answers = iter([RuntimeError("once"), b"\x01" * 80, b"too short", b"\x02" * 80])

    def fill(_frames: int) -> bytes:
        answer = next(answers)
        if isinstance(answer, Exception):
            raise answer
        return answer

    generator = _generator(fill)
    next(generator)
    assert [generator.send(10) for _ in range(4)] == [bytes(80), b"\x01" * 80, bytes(80), b"\x02" * 80]


def test_a_fall_back_to_null_that_nobody_asked_for_is_noticed(monkeypatch):
    monkeypatch.setitem(sys.modules, "miniaudio", fake_miniaudio("Null"))
    info = open_output("default").info
    assert not info.audible
    assert info.backend == "Null"
    assert info.sentence.startswith("No sound device was found")


def test_a_real_device_is_named(monkeypatch):
    monkeypatch.setitem(sys.modules, "miniaudio", fake_miniaudio("PulseAudio"))
    output = open_output("Loft monitors", 10)
    assert isinstance(output, MiniaudioOutput)
    assert output.info.audible
    assert output.info.sentence == "Sound goes to Loft monitors through PulseAudio."
    assert output.info.latency == pytest.approx(0.02)
    assert output._device.options["device_id"] == 7
    output.start(lambda frames: bytes(BYTES_PER_FRAME * frames))
    assert [len(block) for block in output._device.blocks] == [80, 160]
    output.close()
    assert output._device.closed


def test_the_library_itself_pulls_our_bytes(monkeypatch):
    # The real library on its null back end: what it asks for and takes, without any sound card.
    import miniaudio

    real = miniaudio.PlaybackDevice
    monkeypatch.setattr(
        miniaudio, "PlaybackDevice", lambda **options: real(backends=[miniaudio.Backend.NULL], **options)
    )
    output = MiniaudioOutput("default", 10)
    assert not output.info.audible
    assert "nothing can be heard" in output.info.sentence
    calls: list[int] = []

    def fill(frames: int) -> bytes:
        calls.append(frames)
        if len(calls) == 2:
            raise RuntimeError("one bad block")
        return bytes(BYTES_PER_FRAME * frames)

    output.start(fill)
    until(lambda: len(calls) >= 6)
    output.close()
    count = len(calls)
    assert set(calls) == {480}
    assert len(calls) == count


def test_every_failure_ends_in_a_clock_and_a_sentence(monkeypatch):
    for module, named in (
        (fake_miniaudio(problem=RuntimeError("failed to init device")), "No sound device was found"),
        (None, "miniaudio is missing"),
    ):
        monkeypatch.setitem(sys.modules, "miniaudio", module)
        output = open_output("default")
        assert isinstance(output, ClockOutput)
        assert not output.info.audible
        assert named in output.info.sentence
    monkeypatch.setitem(sys.modules, "miniaudio", fake_miniaudio())
    assert "no sound device “Cellar”" in open_output("Cellar").info.sentence


def test_this_machine_s_default_opens_whatever_it_is():
    output = open_output("default")
    calls: list[int] = []
    output.start(lambda frames: calls.append(frames) or bytes(BYTES_PER_FRAME * frames))
    until(lambda: len(calls) >= 3)
    output.close()
    assert output.info.sentence.endswith(".")
    assert all(frames > 0 for frames in calls)


def test_listing_devices_never_raises(monkeypatch):
    _, names, sentence = list_devices()
    assert sentence.endswith(".")
    assert not [name for name in names if name.startswith("Discard")]
    monkeypatch.setitem(sys.modules, "miniaudio", None)
    assert list_devices()[1:] == ([], "The package miniaudio is missing; install it to hear sound.")


def test_a_closed_clock_asks_no_more():
    clock = ClockOutput(DeviceInfo("null", "none", False, 5, 0.005, "."))
    calls: list[int] = []
    clock.start(lambda frames: calls.append(frames) or b"")
    until(lambda: len(calls) >= 3)
    clock.close()
    count = len(calls)
    clock.close()
    assert not clock._thread.is_alive()
    assert len(calls) == count
    assert set(calls) == {240}


def test_what_a_library_prints_on_stderr_goes_nowhere(capfd):
    with quiet_stderr():
        os.write(2, b"ALSA lib: cannot find card\n")
    os.write(2, b"ours\n")
    assert capfd.readouterr().err == "ours\n"
