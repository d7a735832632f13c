"""A player process with its pipes."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from contextlib import suppress
from pathlib import Path
from queue import SimpleQueue
from typing import Any, BinaryIO, cast

from app.player.protocol import Message, write_message

CLOSE_SECONDS = 2.0
"""How long a player may take to end by itself."""


class Link:
    """One player process with its pipes and the thread that writes to it."""

    def __init__(
        self, device: str, buffer_ms: int, font: Path | None, notes: Path | None = None, *, standby: bool = False
    ) -> None:
        self.process = subprocess.Popen(
            command(device, buffer_ms, font, notes, standby),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            **process_options(),
        )
        self.commands = cast(BinaryIO, self.process.stdin)
        self.events = cast(BinaryIO, self.process.stdout)
        self._queue: SimpleQueue[Message | None] = SimpleQueue()
        self._closing = threading.Lock()
        self._writer = threading.Thread(target=self._write, name="player commands", daemon=True)
        self._writer.start()

    def put(self, message: Message) -> None:
        """Queue a message."""
        self._queue.put(message)

    def close(self) -> None:
        """Ask the process to end, then make it. May be called twice and from any thread."""
        with self._closing:
            if self.process.returncode is not None:
                return
            self._queue.put(({"do": "quit"}, b""))
            self._queue.put(None)
            try:
                self.process.wait(CLOSE_SECONDS)
            except subprocess.TimeoutExpired:
                self.process.kill()
                self.process.wait()
            self._writer.join(CLOSE_SECONDS)

    def drop(self) -> None:
        """As ``close``, for a player whose events nobody reads."""
        self.close()
        self.events.close()

    def _write(self) -> None:
        with suppress(OSError, ValueError):
            while (message := self._queue.get()) is not None:
                write_message(self.commands, *message)
        with suppress(OSError, ValueError):
            self.commands.close()


def process_options() -> dict[str, Any]:
    """How every process of ours is started: from the folder that holds the packages, and without a word on stderr."""
    root = str(Path(__file__).resolve().parents[2])
    return {
        "stderr": subprocess.DEVNULL,
        "cwd": root,
        "env": os.environ | {"PYTHONPATH": root},
        "creationflags": getattr(subprocess, "CREATE_NO_WINDOW", 0),
    }


def player_command(*options: str) -> list[str]:
    """``python -m app.player`` in this environment.

    ``-P`` keeps the working folder off the module path: a file numpy.py that lies there must not be run.
    """
    return [sys.executable, "-P", "-m", "app.player", *options]


def command(device: str, buffer_ms: int, font: Path | None, notes: Path | None, standby: bool) -> list[str]:
    """The words that start a player. ``notes`` is a folder for rendered notes; one on standby waits for ``begin``."""
    words = player_command("--device", device, "--buffer", str(buffer_ms))
    words += [] if font is None else ["--font", str(font)]
    words += [] if notes is None else ["--notes", str(notes)]
    return [*words, "--standby"] if standby else words
