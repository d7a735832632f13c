"""Find a SoundFont, look at it before a renderer does, and say what it lacks.

The default font is the small General MIDI font that the package pretty_midi carries. It is found as a file, without
importing that package: its import costs a quarter of a second and its sound code is not needed.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path

from core.errors import FileError
from core.sound.font_file import FontFile, open_font
from core.sound.font_notes import preset_for, velocity_steps
from core.sound.note_file import KIT, NoteKey
from core.timeline import PARTS

MOST_LAYERS = 4
"""Velocity layers that are rendered of a font at most: each costs a rendering of every note."""
_CARRIER = "pretty_midi"
# What the band plays on by itself (General MIDI Level 1) and a note in the middle of its part.
_WANTED = {"piano": ("grand piano", 60), "bass": ("acoustic bass", 40), "tune": ("vibraphone", 67)}
_DRUMS = (36, 38, 42, 51)


@dataclass(frozen=True, slots=True)
class FontReport:
    """A font that can be used: its own name, size in bytes, velocity layers worth rendering, and what it lacks."""

    path: Path
    name: str
    size: int
    layers: int
    lacks: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """For the user: ``'“Harbour Keys” (5.7 MB) is whole.'``, and a sentence for each thing that is replaced."""
        return " ".join((f"“{self.name}” ({self.size / 2**20:.1f} MB) is whole.", *self.lacks))


def default_soundfont() -> Path | None:
    """The font that comes with pretty_midi, or None where the package or its font is missing."""
    spec = find_spec(_CARRIER)
    for folder in (spec.submodule_search_locations or ()) if spec else ():
        fonts = sorted(Path(folder).glob("*.sf2"))
        if fonts:
            return fonts[0]
    return None


def check_soundfont(path: Path) -> FontReport:
    """What a font holds. Raises FileError in words for the user where it is damaged or none at all."""
    font = load_font(path)
    keys = [NoteKey(PARTS[part].program, pitch) for part, (_, pitch) in _WANTED.items()]
    keys += [NoteKey(KIT, pitch) for pitch in _DRUMS]
    layers = min(MOST_LAYERS, velocity_steps(font, keys))
    return FontReport(path, font.name, font.size, layers, _lacks(font))


def find_soundfont(path: Path | None = None) -> Path:
    """The font to use, checked: ``path``, or the default. Raises FileError where there is none or it is damaged."""
    chosen = path or default_soundfont()
    if chosen is None:
        raise FileError("SoundFont", "none was found", f"install the package {_CARRIER} or choose a .sf2 file")
    load_font(chosen)
    return chosen


def load_font(path: Path) -> FontFile:
    """A checked font; one that has been looked at and has not changed is not looked at again. Raises FileError."""
    try:
        found = path.stat()
    except OSError:
        return open_font(path)  # which says why
    return _loaded(path, found.st_mtime_ns, found.st_size)


@lru_cache(maxsize=2)
def _loaded(path: Path, _changed: int, _size: int) -> FontFile:
    return open_font(path)


def _lacks(font: FontFile) -> tuple[str, ...]:
    said = []
    for part, (instrument, _) in _WANTED.items():
        program = PARTS[part].program
        preset = preset_for(font, NoteKey(program, 60))
        if preset is None:
            said.append(f"It has no {instrument}, so the {part} is silent.")
        elif preset.program != program:
            said.append(f"It has no {instrument}, so its “{preset.name}” plays the {part}.")
    if preset_for(font, NoteKey(KIT, 36)) is None:
        said.append("It has no drum kit, so the drums are silent.")
    return tuple(said)
