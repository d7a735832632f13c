"""Keeps a device open: one that stops answering is opened again, one that is gone is waited for.

Where nothing can be heard the clock runs on, so playhead and MIDI go on as if nothing had happened.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

from app.player.device import DEFAULT_BUFFER_MS, Output, list_devices, open_output
from app.player.engine import Engine
from app.player.protocol import Header
from core.timeline import TimelineError

STALLED = 1.0
"""A device that has not asked for frames for so many seconds is opened anew."""
SOON = 10.0
"""One that stops again within so many seconds is taken for gone."""
RETRY, RETRY_AT_MOST = 3.0, 60.0
"""Seconds between two looks for a device; doubled each time that one was found and did not last."""
CLOSE_SECONDS = 1.0
SHORTEST_MS, LONGEST_MS = 5, 500


class OutputKeeper:
    """The one owner of the output. ``watch`` is to be called every few hundredths of a second."""

    def __init__(self, engine: Engine, send: Callable[[Header], None], problem: Callable[[str], None]) -> None:
        self._engine, self._send, self._problem = engine, send, problem
        self._lock = threading.Lock()
        self._output: Output | None = None
        self._choice, self._buffer = "null", DEFAULT_BUFFER_MS
        self._opened = 0.0
        self._wait, self._next_look = RETRY, 0.0
        self._looking: threading.Thread | None = None
        self._closed = False

    @property
    def buffer_ms(self) -> int:
        """Milliseconds a block."""
        return self._buffer

    def open(self, choice: str, buffer_ms: int) -> None:
        """Use ``default``, ``null`` or a device by name; where that fails, the clock. Raises TimelineError for a buffer
        outside 5..500 ms."""
        if not SHORTEST_MS <= buffer_ms <= LONGEST_MS:
            raise TimelineError(
                "buffer",
                f"{buffer_ms} ms is not between {SHORTEST_MS} and {LONGEST_MS} ms",
                "choose 20 for most devices",
            )
        self._wait = RETRY
        self._change(choice, buffer_ms, choice)

    def close(self) -> None:
        """Let the device go."""
        self._closed = True
        with self._lock:
            output, self._output = self._output, None
            self._engine.attach(None)
        if output:
            output.close()

    def watch(self) -> None:
        """Open anew what stopped; look for what is missing."""
        now = time.perf_counter()
        if self._engine.idle_seconds(now) > STALLED:
            if now - self._opened < SOON:
                self._wait = min(RETRY_AT_MOST, 2 * self._wait)
                self._change(self._choice, self._buffer, "null")
            else:
                self._problem("The sound device stopped answering; it is opened again.")
                self._change(self._choice, self._buffer, self._choice)
        elif self._is_missing() and now >= self._next_look and not (self._looking and self._looking.is_alive()):
            self._next_look = now + self._wait
            self._looking = threading.Thread(target=self._look, name="looking for a device", daemon=True)
            self._looking.start()

    def _is_missing(self) -> bool:
        output = self._output
        return output is not None and not output.info.audible and self._choice != "null"

    def _look(self) -> None:
        """A device may have come, or come back. Nothing is opened, and nothing said, while there is none."""
        _, names, _ = list_devices()
        wanted = self._choice in names if self._choice != "default" else bool(names)
        if wanted and self._is_missing() and not self._closed:
            self._change(self._choice, self._buffer, self._choice)

    def _change(self, choice: str, buffer_ms: int, opened: str) -> None:
        """Open ``opened`` in the place of ``choice``, which is what the user wants to hear."""
        with self._lock:
            if self._closed:
                return
            old, self._output = self._output, None
            self._engine.attach(None)
            if old:
                # A device that hangs must not take the player with it.
                closing = threading.Thread(target=old.close, name="closing", daemon=True)
                closing.start()
                closing.join(CLOSE_SECONDS)
            output = open_output(opened, buffer_ms)
            try:
                self._engine.attach(output)
            except Exception:  # a device may open and then refuse to start
                output = open_output("null", buffer_ms)
                self._engine.attach(output)
            self._output, self._choice, self._buffer = output, choice, buffer_ms
            self._opened = time.perf_counter()
            self._next_look = self._opened + self._wait
        self._tell(output, lost=choice not in (output.info.choice, "null"))

    def _tell(self, output: Output, *, lost: bool) -> None:
        info = output.info
        sentence = "The sound device is gone; playing goes on in silence until it is back." if lost else info.sentence
        self._send(
            {
                "event": "device",
                "choice": self._choice,
                "backend": info.backend,
                "audible": info.audible,
                "buffer_ms": info.buffer_ms,
                "latency": info.latency,
                "sentence": sentence,
            }
        )
