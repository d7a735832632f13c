"""Turns a note into a wave file in memory, with one SoundFont. No numpy: a rendering process needs just this."""

from __future__ import annotations

import io
import wave
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path

from core.errors import FileError
from core.sound.font_notes import MAX_NOTE_BYTES, NoteTooLargeError, note_font
from core.sound.note_file import NoteKey, note_file
from core.sound.soundfont import load_font

Render = Callable[[NoteKey, float, float], bytes]
"""Note, seconds held, seconds after; gives a wave file (48 kHz, 16 bit, stereo)."""


def renderer(path: Path) -> Render:
    """A renderer in this process. It holds the interpreter while it works: about 3 ms and 3 ms a second of sound.

    Raises FileError where the font turns out to be damaged, now or at a note. A note that the font has no sound for is
    silence.
    """
    import midirenderer

    font = load_font(path)

    @lru_cache(maxsize=4)
    def part(key: NoteKey) -> bytes | None:
        return note_font(font, key)

    def render(key: NoteKey, hold: float, tail: float) -> bytes:
        try:
            small = part(key)
            if small is None:
                return _silence(hold + tail)
            return midirenderer.render_wave_from(small, note_file(key, hold, tail))
        except NoteTooLargeError as error:
            limit = MAX_NOTE_BYTES // 2**20
            raise FileError(path, f"a single note needs more than {limit} MB", "choose a smaller SoundFont") from error
        except (KeyboardInterrupt, SystemExit, FileError):
            raise
        except BaseException as error:  # a fault inside the library arrives as a panic, which is no Exception
            raise damaged(path) from error

    return render


def damaged(path: Path) -> FileError:
    """The error for a font that looks whole and cannot be rendered."""
    return FileError(path, "the SoundFont is damaged inside", "choose another SoundFont, or none for the default")


def _silence(seconds: float) -> bytes:
    buffer = io.BytesIO()
    with wave.open(buffer, "wb") as file:
        file.setparams((2, 2, 48_000, 0, "NONE", ""))
        file.writeframes(bytes(4 * round(seconds * 48_000)))
    return buffer.getvalue()
