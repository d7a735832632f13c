"""Find a SoundFont and look at it before a renderer does.

The default font is the small General MIDI font that the package pretty_midi carries. It is found as a file, without
importing that package: its import costs a quarter of a second and its sound code is not needed.
"""

from __future__ import annotations

import struct
from importlib.util import find_spec
from pathlib import Path
from typing import BinaryIO

from core.errors import FileError

MAX_FONT_BYTES = 512 * 1024 * 1024
_CARRIER = "pretty_midi"
_CHOOSE = "choose another SoundFont (.sf2), or none to use the one that comes with the program"


def default_soundfont() -> Path | None:
    """The font that comes with pretty_midi, or None where the package or its font is missing."""
    spec = find_spec(_CARRIER)
    for folder in (spec.submodule_search_locations or ()) if spec else ():
        fonts = sorted(Path(folder).glob("*.sf2"))
        if fonts:
            return fonts[0]
    return None


def check_soundfont(path: Path) -> int:
    """Size in bytes of a font that looks whole.

    Reads the chunk headers only: ``RIFF``, ``sfbk`` and the three lists INFO, sdta, pdta that SoundFont 2.01
    section 4 asks for, each inside the file. Raises FileError in words for the user.
    """
    try:
        size = path.stat().st_size
        with path.open("rb") as file:
            head = file.read(12)
            lists = _list_names(file, size)
    except OSError as error:
        raise FileError(path, f"it cannot be read ({error.strerror or error})", _CHOOSE) from error
    if len(head) < 12 or head[:4] != b"RIFF" or head[8:12] != b"sfbk":
        raise FileError(path, "this is not a SoundFont 2 file", _CHOOSE)
    if size > MAX_FONT_BYTES:
        limit = MAX_FONT_BYTES // 2**20
        raise FileError(path, f"it is larger than {limit} MB", "choose a smaller SoundFont")
    if struct.unpack("<I", head[4:8])[0] + 8 > size:
        raise FileError(path, "its end is missing", "copy or download it again")
    missing = [name for name in ("INFO", "sdta", "pdta") if name not in lists]
    if missing:
        raise FileError(path, f"its {missing[0]} list is missing", "copy or download it again")
    return size


def find_soundfont(path: Path | None = None) -> Path:
    """The font to use, checked: ``path``, or the default. Raises FileError where there is none or it is damaged."""
    chosen = path or default_soundfont()
    if chosen is None:
        raise FileError("SoundFont", "none was found", f"install the package {_CARRIER} or choose a .sf2 file")
    check_soundfont(chosen)
    return chosen


def _list_names(file: BinaryIO, size: int) -> set[str]:
    """Names of the top-level lists that lie wholly inside the file."""
    names = set()
    place = 12
    while place + 12 <= size:
        file.seek(place)
        kind, length, name = struct.unpack("<4sI4s", file.read(12))
        place += 8 + length + length % 2
        if kind == b"LIST" and place <= size + 1:
            names.add(name.decode("ascii", "replace"))
    return names
