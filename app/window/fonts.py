"""The window's type: two families from font packages and our own few signs (♭ ♯ ♮ ● ◐ ✕ ▾) behind both.

Files are found without importing the packages. When a package is missing the system's own serif or sans stands in.
"""

from __future__ import annotations

from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path

from PySide6.QtGui import QFont, QFontDatabase, QFontMetricsF

from core.places import folder

SIGNS_FILE = folder("resources") / "fonts" / "ChangewrightSigns.ttf"
_FILES = {
    "font_source_serif_pro": ("SourceSerifPro-Regular.ttf", "SourceSerifPro-Semibold.ttf", "SourceSerifPro-It.ttf"),
    "font_source_sans_pro": ("SourceSansPro-Regular.ttf", "SourceSansPro-Semibold.ttf", "SourceSansPro-It.ttf"),
}
FAMILIES = {
    "serif": ("Source Serif Pro", "Changewright Signs", "serif"),
    "sans": ("Source Sans Pro", "Changewright Signs", "sans-serif"),
}
WEIGHTS = {"regular": QFont.Weight.Normal, "strong": QFont.Weight.DemiBold}


def font_files() -> tuple[Path, ...]:
    """Every font file that is there."""
    found = [SIGNS_FILE]
    for package, names in _FILES.items():
        spec = find_spec(package)
        if spec and spec.submodule_search_locations:
            folder = Path(next(iter(spec.submodule_search_locations))) / "files"
            found.extend(folder / name for name in names)
    return tuple(path for path in found if path.is_file())


def load_fonts() -> tuple[Path, ...]:
    """Give the files to Qt; returns those it could not use."""
    return tuple(path for path in font_files() if QFontDatabase.addApplicationFont(str(path)) < 0)


@lru_cache(maxsize=256)
def font(family: str, pixels: float, weight: str = "regular", italic: bool = False) -> QFont:
    """A font by role: family "serif" or "sans", size in pixels, weight "regular" or "strong"."""
    made = QFont()
    made.setFamilies(list(FAMILIES[family]))
    made.setPixelSize(max(1, round(pixels)))
    made.setWeight(WEIGHTS[weight])
    made.setItalic(italic)
    made.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    return made


@lru_cache(maxsize=256)
def metrics(family: str, pixels: float, weight: str = "regular", italic: bool = False) -> QFontMetricsF:
    """Metrics of :func:`font`."""
    return QFontMetricsF(font(family, pixels, weight, italic))


@lru_cache(maxsize=8192)
def advance(words: str, family: str, pixels: float, weight: str = "regular", italic: bool = False) -> float:
    """Width of words in pixels."""
    return metrics(family, pixels, weight, italic).horizontalAdvance(words)


def elided(words: str, room: float, family: str, pixels: float, weight: str = "regular", italic: bool = False) -> str:
    """The words, cut with dots where they are wider than the room."""
    if advance(words, family, pixels, weight, italic) <= room:
        return words
    kept = len(words)
    while kept and advance(words[:kept].rstrip() + "…", family, pixels, weight, italic) > room:
        kept -= 1
    return words[:kept].rstrip() + "…"
