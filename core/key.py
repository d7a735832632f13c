"""Keys: tonic, mode, signature."""

from __future__ import annotations

import re
from dataclasses import dataclass

from core.errors import ChangewrightError
from core.pitch import PitchError, chromatic, name_of, parse_pitch_class

MODES = ("major", "minor")
_KEY = re.compile(r"\s*([A-Ga-g](?:bb|##|b|#|♭|♯)?)\s*(major|minor|maj|min|m|)\s*$")
_MODE_WORDS = {"": "major", "major": "major", "maj": "major", "minor": "minor", "min": "minor", "m": "minor"}


class KeyTextError(ChangewrightError):
    """Text that is not a key."""

    def __init__(self, text: str) -> None:
        super().__init__(f"Cannot read {text!r} as a key; write it like 'Eb major' or 'C minor'.")


@dataclass(frozen=True, slots=True, order=True)
class Key:
    """Tonic (place on the line of fifths) and mode, "major" or "minor"."""

    tonic: int
    mode: str = "major"

    @property
    def signature(self) -> int:
        """Sharps of the key signature, flats negative: E♭ major and C minor are −3."""
        return self.tonic if self.mode == "major" else self.tonic - 3

    @property
    def tonic_pc(self) -> int:
        """Chromatic number of the tonic."""
        return chromatic(self.tonic)

    @property
    def is_minor(self) -> bool:
        """Whether the mode is minor."""
        return self.mode == "minor"

    def transposed(self, fifths: int) -> Key:
        """The key moved along the line of fifths."""
        return Key(self.tonic + fifths, self.mode)

    def __str__(self) -> str:
        return f"{name_of(self.tonic)} {self.mode}"


def parse_key(text: str) -> Key:
    """``parse_key('Eb major') == Key(-3, 'major')``; raises :class:`KeyTextError`."""
    match = _KEY.match(text)
    if match is None:
        raise KeyTextError(text)
    try:
        return Key(parse_pitch_class(match[1]), _MODE_WORDS[match[2]])
    except PitchError as error:
        raise KeyTextError(text) from error
