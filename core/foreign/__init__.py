"""Files from elsewhere: MusicXML and its compressed container in and out; ABC, MIDI and pasted text in.

``read_foreign(path)`` reads in a process of its own; ``write_musicxml(chart)`` writes the text of a file.
"""

from __future__ import annotations

from core.foreign.limits import read_foreign
from core.foreign.musicxml_write import write_musicxml
from core.imported import Imported

__all__ = ["Imported", "read_foreign", "write_musicxml"]
