"""Files from elsewhere: MusicXML and its compressed container, and ABC, in and out; MIDI and pasted text in.

``read_foreign(path)`` reads in a process of its own; ``write_musicxml(chart)`` and ``write_abc(chart)`` write the
text of a file. They are fetched when they are called, so that the reading process does not load what it has no use for.
"""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from core.chart import STANDARD, Chart
from core.imported import Choices, Imported

if TYPE_CHECKING:
    from core.foreign.write_bars import WrittenFor

TIME_LIMIT_SECONDS = 20.0
"""On the clock, for a machine that is very busy; the reader's own limit on processor time is far below."""


def read_foreign(
    path: str | os.PathLike[str], time_limit: float = TIME_LIMIT_SECONDS, choices: Choices | None = None
) -> Imported:
    """See :func:`core.foreign.limits.read_foreign`."""
    from core.foreign import limits

    return limits.read_foreign(path, time_limit, choices)


def write_musicxml(chart: Chart, row: str = STANDARD, take: str | None = None, display: bool = False,
                   written_for: WrittenFor | None = None) -> str:  # fmt: skip
    """See :func:`core.foreign.musicxml_write.write_musicxml`."""
    from core.foreign import musicxml_write

    return musicxml_write.write_musicxml(chart, row, take, display, written_for)


def write_abc(chart: Chart, row: str = STANDARD, written_for: WrittenFor | None = None) -> str:
    """See :func:`core.foreign.abc_write.write_abc`."""
    from core.foreign import abc_write

    return abc_write.write_abc(chart, row, written_for)


__all__ = ["Imported", "read_foreign", "write_abc", "write_musicxml"]
