"""Chord typography: a large root, a smaller quality on the same line, its alterations raised a little."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple

from app.window.fonts import advance
from app.window.page.brush import FUNCTION_COLOURS, Brush
from app.window.page.chord_text import ChordParts

QUALITY_SHARE = 0.70
SMALLEST_SHARE = 0.46
RAISED = 0.10  # of the root's size
_FIRST_ALTERATION = re.compile(r"(?<=\d)(?=[♭♯(])|(?=\()")


class Run(NamedTuple):
    """A stretch of one size: offset from the chord's left edge and baseline, text, size in pixels."""

    x: float
    y: float
    text: str
    pixels: float


@lru_cache(maxsize=4096)
def chord_runs(parts: ChordParts, pixels: float, weight: str = "regular") -> tuple[tuple[Run, ...], float]:
    """The runs of a chord and its whole width."""
    runs: list[Run] = []
    x = 0.0

    def add(text: str, size: float, lift: float = 0.0) -> None:
        nonlocal x
        if text:
            runs.append(Run(x, -lift, text, size))
            x += advance(text, "serif", size, weight)

    small = pixels * QUALITY_SHARE
    add(parts.root, pixels)
    if parts.root and parts.quality:
        x += pixels * 0.03
    head, *rest = _FIRST_ALTERATION.split(parts.quality, maxsplit=1) if parts.root else [parts.quality]
    add(head, small)
    for text in rest:
        add(text, small * 0.92, pixels * RAISED)
    add(parts.bass, pixels * 0.82)
    return tuple(runs), x


def chord_width(parts: ChordParts, pixels: float, weight: str = "regular") -> float:
    """How wide a chord is printed."""
    return chord_runs(parts, pixels, weight)[1]


def fitting_size(parts: ChordParts, pixels: float, room: float, weight: str = "regular") -> float:
    """The size at which a chord fits into a width, not below :data:`SMALLEST_SHARE` of the wished size."""
    wide = chord_width(parts, pixels, weight)
    return pixels if wide <= room else max(pixels * SMALLEST_SHARE, pixels * room / wide)


def draw_chord(brush: Brush, x: float, baseline: float, parts: ChordParts, pixels: float, ink: str,
               weight: str = "regular") -> float:  # fmt: skip
    """Print a chord; returns its width."""
    runs, width = chord_runs(parts, pixels, weight)
    for run in runs:
        brush.text(x + run.x, baseline + run.y, run.text, ink, "serif", run.pixels, weight)
    return width


def draw_function(brush: Brush, x: float, y: float, function: str, width: float, faint: bool = False) -> None:
    """The function under a chord: a line in its hue whose form says it too.

    Tonic: one line. Subdominant: two lines. Dominant: a line with a head that leans to its target. Neutral: dots.
    """
    if function not in FUNCTION_COLOURS:
        return
    brush.painter.setOpacity(0.55 if faint else 1.0)
    ink, thick = FUNCTION_COLOURS[function], 2.0
    if function == "S":
        brush.line(x, y - 1, x + width, y - 1, ink, 1.2)
        brush.line(x, y + 1.8, x + width, y + 1.8, ink, 1.2)
    elif function == "N":
        for dot in range(int(width // 4.6) + 1):
            brush.line(x + dot * 4.6, y, x + dot * 4.6 + 0.4, y, ink, thick)
    else:
        brush.line(x, y, x + width, y, ink, thick)
    if function == "D":
        brush.line(x + width - 3.6, y - 3.6, x + width, y, ink, 1.6)
        brush.line(x + width - 3.6, y + 3.6, x + width, y, ink, 1.6)
    brush.painter.setOpacity(1.0)
