"""Notes rendered in a process beside the player.

The renderer holds its interpreter for 5 to 100 ms a note: in the player that would make the audio callback late. And a
font that brings the renderer down brings down only that process.
"""

from __future__ import annotations

import subprocess
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO, cast

from app.player.link import player_command, process_options
from app.player.protocol import ProtocolError, read_message, write_message
from core.errors import ChangewrightError
from core.sound.note_file import NoteKey
from core.sound.renderer import damaged, renderer


class RenderProcess:
    """A rendering process for one font. One thread at a time may ask it."""

    def __init__(self, font: Path) -> None:
        self._font = font
        self._process: subprocess.Popen[bytes] | None = None

    def render(self, key: NoteKey, hold: float, tail: float) -> bytes:
        """A wave file of one note. Raises FileError where the font is damaged or brings the renderer down."""
        if self._process is None:
            self._start()
        process = cast("subprocess.Popen[bytes]", self._process)
        try:
            header = {"program": key.program, "pitch": key.pitch, "layer": key.layer, "hold": hold, "tail": tail}
            write_message(cast(BinaryIO, process.stdin), header)
            answer = read_message(cast(BinaryIO, process.stdout))
        except (OSError, ValueError, ProtocolError):
            answer = None
        if answer is None:
            self.close()
            raise damaged(self._font)
        return answer[1]

    def close(self) -> None:
        """End the process."""
        process, self._process = self._process, None
        if process is None:
            return
        process.kill()
        process.wait()
        for pipe in (process.stdin, process.stdout):
            with suppress(OSError):
                cast(BinaryIO, pipe).close()

    def _start(self) -> None:
        words = player_command("--render", "--font", str(self._font))
        self._process = subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, **process_options())


def serve_notes(font: Path, requests: BinaryIO, answers: BinaryIO) -> None:
    """Answer each request with a wave file until the pipe is closed, or the font proves to be damaged."""
    with suppress(ChangewrightError, ProtocolError, OSError):
        render = renderer(font)
        while (message := read_message(requests)) is not None:
            asked = message[0]
            key = NoteKey(asked["program"], asked["pitch"], asked["layer"])
            write_message(answers, {}, render(key, asked["hold"], asked["tail"]))
