"""Files from elsewhere: MusicXML and its compressed container in and out; ABC, MIDI and pasted text in.

``read_foreign(path)`` reads in a process of its own; ``write_musicxml(chart)`` writes the text of a file. Both are
fetched when they are called, so that the reading process does not load what it has no use for.
"""

from __future__ import annotations

import os

from core.chart import STANDARD, Chart
from core.imported import Choices, Imported

TIME_LIMIT_SECONDS = 20.0
"""On the clock, for a machine that is very busy; the reader's own limit on processor time is far below."""


def read_foreign(
    path: str | os.PathLike[str], time_limit: float = TIME_LIMIT_SECONDS, choices: Choices | None = None
) -> Imported:
    """See :func:`core.foreign.limits.read_foreign`."""
    from core.foreign import limits

    return limits.read_foreign(path, time_limit, choices)


def write_musicxml(chart: Chart, row: str = STANDARD, take: str | None = None, display: bool = False) -> str:
    """See :func:`core.foreign.musicxml_write.write_musicxml`."""
    from core.foreign import musicxml_write

    return musicxml_write.write_musicxml(chart, row, take, display)


__all__ = ["Imported", "read_foreign", "write_musicxml"]
