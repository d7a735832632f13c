"""Saying how far long work has come; whoever listens stops it by raising."""

from __future__ import annotations

from collections.abc import Callable

Progress = Callable[[float], None]
"""Told the share that is done, 0 to 1, many times a second; what it raises goes through and ends the work."""


def unheard(share: float) -> None:
    """Nobody listens."""


def stretch(progress: Progress, low: float, high: float) -> Progress:
    """The progress of a part of the work, as a stretch of the whole's."""
    return lambda share: progress(low + share * (high - low))
