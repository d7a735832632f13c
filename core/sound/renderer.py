"""Turns a note into a wave file in memory, with one SoundFont. No numpy: a rendering process needs just this."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from core.errors import FileError
from core.sound.note_file import NoteKey, note_file

Render = Callable[[NoteKey, float, float], bytes]
"""Note, seconds held, seconds after; gives a wave file (48 kHz, 16 bit, stereo)."""


def renderer(path: Path) -> Render:
    """A renderer in this process. It holds the interpreter while it works: about 3 ms and 3 ms a second of sound.

    Raises FileError where the font turns out to be damaged, now or at a note.
    """
    import midirenderer

    font = _read(path)

    def render(key: NoteKey, hold: float, tail: float) -> bytes:
        try:
            return midirenderer.render_wave_from(font, note_file(key, hold, tail))
        except (KeyboardInterrupt, SystemExit):
            raise
        except BaseException as error:  # a fault inside the library arrives as a panic, which is no Exception
            raise damaged(path) from error

    return render


def damaged(path: Path) -> FileError:
    """The error for a font that looks whole and cannot be rendered."""
    return FileError(path, "the SoundFont is damaged inside", "choose another SoundFont, or none for the default")


def _read(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise FileError(path, f"it cannot be read ({error.strerror or error})", "choose another SoundFont") from error
