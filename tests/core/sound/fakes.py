"""Notes made by hand, so that a test knows every sample."""

from __future__ import annotations

import numpy as np

from core.sound.bank import SAMPLE_RATE, Note
from core.sound.note_file import NoteKey

FULL = 16384
RELEASE = 0.02


class Clicks:
    """Every note is one sample high, so that its place can be read off."""

    layers = (127,)

    def get(self, key: NoteKey) -> Note:
        samples = np.zeros((2, 64), dtype=np.int16)
        samples[:, 0] = FULL
        return Note(samples, 1.0, RELEASE, 1.0, 127)


class Tones:
    """Every note is a low sine of thirty seconds that begins at zero; its slope bounds every honest step."""

    layers = (127,)
    hertz = 110.0

    def __init__(self, height: int = 2000) -> None:
        self.height = height
        wave = np.sin(2 * np.pi * self.hertz * np.arange(30 * SAMPLE_RATE) / SAMPLE_RATE)
        self._samples = np.repeat(np.rint(wave * height).astype(np.int16)[None, :], 2, axis=0)

    def get(self, key: NoteKey) -> Note:
        return Note(self._samples, 30.0, RELEASE, 1.0, 127)


class Nothing:
    """A bank that is still empty."""

    layers = (127,)

    def get(self, key: NoteKey) -> None:
        return None
