"""Rendered notes on disk, for the length of a session: a player that is started anew need not render them again.

One file a note: how it was made and its samples. A file is put in place whole, so a process that dies while it writes
leaves nothing that is half a note.
"""

from __future__ import annotations

import os
import struct
from contextlib import suppress
from pathlib import Path

import numpy as np
import numpy.typing as npt

from core.sound.note_file import NoteKey

Samples = npt.NDArray[np.int16]
_HEAD = struct.Struct("=4sdddI")
_MAGIC = b"cwn1"


class Spool:
    """A folder of notes. What cannot be read or written is as if it were not there."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def read(self, key: NoteKey, seconds: float) -> tuple[Samples, float, float, float] | None:
        """Samples (2, n), seconds, release and trim of a note of at least ``seconds``, or None."""
        try:
            data = self._path(key).read_bytes()
            magic, length, release, trim, frames = _HEAD.unpack_from(data)
        except (OSError, struct.error):
            return None
        if magic != _MAGIC or length < seconds or len(data) != _HEAD.size + 4 * frames:
            return None
        return np.frombuffer(data, np.int16, offset=_HEAD.size).reshape(2, frames), length, release, trim

    def write(self, key: NoteKey, samples: Samples, seconds: float, release: float, trim: float) -> None:
        """Keep a note."""
        path = self._path(key)
        draft = path.with_suffix(f".{os.getpid()}")
        with suppress(OSError):
            draft.write_bytes(_HEAD.pack(_MAGIC, seconds, release, trim, samples.shape[1]) + samples.tobytes())
            draft.replace(path)

    def _path(self, key: NoteKey) -> Path:
        return self._folder / f"{key.program}_{key.pitch}_{key.layer}.note"
