"""Audio out: a miniaudio device, or a clock that plays into nothing where there is none.

Whatever opens here asks for frames from a thread of its own and can take no exception: ``Output.fill`` answers with
silence when something goes wrong, and says so once.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Generator
from contextlib import suppress
from dataclasses import dataclass
from typing import Any, Protocol

from app.player.quiet import quiet_stderr
from app.player.urgent import hurry_thread

SAMPLE_RATE = 48_000
DEFAULT_BUFFER_MS = 20
PERIODS = 2
BYTES_PER_FRAME = 8
_ALSA_NOWHERE = "Discard all samples"
"""ALSA lists its own nowhere as a device, under this name."""

Fill = Callable[[int], bytes]
"""Frames wanted to interleaved stereo float32; never raises."""


@dataclass(frozen=True, slots=True)
class DeviceInfo:
    """What was opened. ``audible`` is False where nothing can be heard; ``sentence`` is for the user."""

    choice: str
    backend: str
    audible: bool
    buffer_ms: int
    latency: float
    sentence: str


class Output(Protocol):
    """An open device."""

    info: DeviceInfo

    def start(self, fill: Fill) -> None:
        """Begin to ask for frames."""

    def close(self) -> None:
        """Stop asking and let the device go. May be called twice."""


class ClockOutput:
    """Asks for a period of frames in real time and throws them away."""

    def __init__(self, info: DeviceInfo) -> None:
        self.info = info
        self._closed = threading.Event()
        self._thread: threading.Thread | None = None

    def start(self, fill: Fill) -> None:
        """Begin to ask for frames."""
        self._thread = threading.Thread(target=self._run, args=(fill,), name="clock", daemon=True)
        self._thread.start()

    def close(self) -> None:
        """Stop asking."""
        self._closed.set()
        if self._thread and self._thread is not threading.current_thread():
            self._thread.join(1.0)

    def _run(self, fill: Fill) -> None:
        hurry_thread()
        frames = SAMPLE_RATE * self.info.buffer_ms // 1000
        period = frames / SAMPLE_RATE
        due = time.perf_counter()
        while not self._closed.wait(max(0.0, due - time.perf_counter())):
            fill(frames)
            due = max(due + period, time.perf_counter() - 10 * period)


class MiniaudioOutput:
    """A playback device of miniaudio."""

    def __init__(self, choice: str, buffer_ms: int) -> None:
        import miniaudio

        with quiet_stderr():
            self._device = miniaudio.PlaybackDevice(
                output_format=miniaudio.SampleFormat.FLOAT32,
                nchannels=2,
                sample_rate=SAMPLE_RATE,
                buffersize_msec=buffer_ms,
                callback_periods=PERIODS,
                device_id=_device_id(miniaudio, choice),
                app_name="Changewright",
            )
        backend = str(self._device.backend)
        # miniaudio falls back to its null back end without being asked.
        audible = backend.lower() != "null"
        sentence = (
            f"Sound goes to {choice if choice != 'default' else 'the default device'} through {backend}."
            if audible
            else "No sound device was found; everything works, but nothing can be heard."
        )
        self.info = DeviceInfo(choice, backend, audible, buffer_ms, PERIODS * buffer_ms / 1000, sentence)

    def start(self, fill: Fill) -> None:
        """Begin to ask for frames."""
        generator = _generator(fill)
        next(generator)
        with quiet_stderr():
            self._device.start(generator)

    def close(self) -> None:
        """Stop and close the device."""
        self._device.close()


def _generator(fill: Fill) -> Generator[bytes, int, None]:
    """What miniaudio pulls from. One exception here would mean silence for ever, so there is none."""
    wanted = yield b""
    while True:
        try:
            block = fill(wanted)
        except Exception:
            block = b""
        wanted = yield block if len(block) == wanted * BYTES_PER_FRAME else bytes(wanted * BYTES_PER_FRAME)


def open_output(choice: str, buffer_ms: int = DEFAULT_BUFFER_MS) -> Output:
    """Open ``default``, ``null`` or a device by name. Where that fails the clock is opened, and its info says why."""
    if choice == "null":
        return ClockOutput(_silent(choice, buffer_ms, "Sound is switched off; the clock runs on."))
    try:
        return MiniaudioOutput(choice, buffer_ms)
    except LookupError:
        reason = f"There is no sound device “{choice}”; choose another. Nothing can be heard until then."
    except ImportError:
        reason = "The package miniaudio is missing; install it to hear sound."
    except Exception:  # miniaudio raises its own class for every failure of a back end
        reason = "No sound device was found; everything works, but nothing can be heard."
    return ClockOutput(_silent(choice, buffer_ms, reason))


def load_device_library() -> None:
    """Import miniaudio (some 80 ms) ahead of the first device."""
    with suppress(ImportError):
        import miniaudio  # noqa: F401


def _silent(choice: str, buffer_ms: int, sentence: str) -> DeviceInfo:
    return DeviceInfo(choice, "none", False, buffer_ms, buffer_ms / 1000, sentence)


def _device_id(miniaudio: Any, choice: str) -> Any:
    if choice == "default":
        return None
    for device in miniaudio.Devices().get_playbacks():
        if device["name"] == choice:
            return device["id"]
    raise LookupError(choice)


def list_devices() -> tuple[str, list[str], str]:
    """Back end, names of the playback devices, and a sentence."""
    try:
        import miniaudio

        with quiet_stderr():
            devices = miniaudio.Devices()
            names = [str(device["name"]) for device in devices.get_playbacks()]
            names = [name for name in names if not name.startswith(_ALSA_NOWHERE)]
            backend = str(devices.backend)
    except ImportError:
        return "none", [], "The package miniaudio is missing; install it to hear sound."
    except Exception:  # as above
        return "none", [], "No sound device was found."
    if backend.lower() == "null" or not names:
        return backend, [], "No sound device was found."
    return backend, names, f"Sound goes through {backend}."
