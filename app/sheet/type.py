"""Sizes of everything set in type, and how wide words are. All in points."""

from __future__ import annotations

from dataclasses import dataclass

from app.sheet.drawing import INK, Item, Words
from app.window import fonts
from app.window.page.chord_painter import chord_runs
from app.window.page.chord_text import ChordParts

PIXELS = 20
"""Type is measured and drawn at so many pixels to a point, since a font's size is a whole number of pixels."""
SMALLEST_CHORD = 0.66
"""Of the usual size: what a chord shrinks to where many stand close together."""


@dataclass(frozen=True, slots=True)
class Sizes:
    """Everything at a scale; 1 is a staff of 7 mm. On a ``chart`` without a staff chords are the larger."""

    scale: float = 1.0
    chart: bool = False

    @property
    def space(self) -> float:
        """Between two lines of the staff."""
        return 5.0 * self.scale

    @property
    def chord(self) -> float:
        """Chords of the standard."""
        return (19.0 if self.chart else 15.0) * self.scale

    @property
    def take(self) -> float:
        """Chords of a take beside the standard."""
        return (20.0 if self.chart else 16.0) * self.scale

    @property
    def small(self) -> float:
        """Words between the rows, degrees, bar numbers."""
        return max(7.0, 8.4 * self.scale)


def width(words: str, size: float, family: str = "serif", weight: str = "regular", italic: bool = False) -> float:
    """How wide words are."""
    return fonts.advance(words, family, round(size * PIXELS), weight, italic) / PIXELS


def elided(words: str, room: float, size: float, family: str, italic: bool = False, weight: str = "regular") -> str:
    """Words cut with dots where the room ends."""
    return fonts.elided(words, room * PIXELS, family, round(size * PIXELS), weight, italic)


def wrapped(words: str, room: float, size: float, family: str = "sans", italic: bool = False, weight: str = "regular"
            ) -> list[str]:  # fmt: skip
    """Words on lines no wider than the room (a longer word stands alone)."""
    lines: list[str] = []
    for word in words.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width(longer, size, family, weight, italic) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def chord_width(parts: ChordParts, size: float, weight: str = "regular") -> float:
    """How wide a chord is."""
    return chord_runs(parts, size * PIXELS, weight)[1] / PIXELS


def chord_size(parts: ChordParts, size: float, room: float, weight: str = "regular") -> float:
    """The size at which a chord fits, no smaller than :data:`SMALLEST_CHORD` allows."""
    wide = chord_width(parts, size, weight)
    return size if wide <= room else max(size * SMALLEST_CHORD, size * room / wide)


def chord_items(x: float, baseline: float, parts: ChordParts, size: float, ink: str = INK, weight: str = "regular",
                role: str = "chord") -> list[Item]:  # fmt: skip
    """A chord: large root, smaller quality, alterations raised a little. The first item has the role."""
    runs, _ = chord_runs(parts, size * PIXELS, weight)
    return [Words(x + run.x / PIXELS, baseline + run.y / PIXELS, run.text, run.pixels / PIXELS, ink, "serif", weight,
                  role=role if place == 0 else f"{role} more") for place, run in enumerate(runs)]  # fmt: skip


def centred(x: float, baseline: float, words: str, size: float, ink: str = INK, family: str = "sans",
            weight: str = "regular", role: str = "", italic: bool = False) -> Words:  # fmt: skip
    """Words with their middle at a place."""
    return Words(x - width(words, size, family, weight, italic) / 2, baseline, words, size, ink, family, weight, italic,
                 role)  # fmt: skip


def to_the_left(x: float, baseline: float, words: str, size: float, ink: str = INK, family: str = "sans",
                weight: str = "regular", role: str = "", italic: bool = False) -> Words:  # fmt: skip
    """Words that end at a place."""
    return Words(x - width(words, size, family, weight, italic), baseline, words, size, ink, family, weight, italic,
                 role)  # fmt: skip
