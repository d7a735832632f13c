"""A heading that may hold chords: words in the text type, chords in chord type, cut with dots where room ends."""

from __future__ import annotations

from PySide6.QtCore import QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.window.fonts import metrics
from app.window.page.brush import Brush
from app.window.page.chord_painter import chord_width, draw_chord
from app.window.page.chord_text import ChordParts, spoken
from app.window.theme import Theme

SIZE = 19.0


class ChordTitle(QWidget):
    """ "Bar 4 · B♭7 E♭maj7"."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme, self._label = theme, ""
        self._chords: tuple[ChordParts, ...] = ()
        self._following: ChordParts | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        return QSize(200, 30)

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        self.update()

    def set_title(self, label: str, chords: tuple[ChordParts, ...], following: ChordParts | None = None) -> None:
        """Show another heading; ``following`` stands behind an arrow."""
        self._label, self._chords, self._following = label, chords, following
        self.setAccessibleName(f"{label}: {', '.join(spoken(parts.text) for parts in chords)}")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        brush, baseline = Brush(painter, self._theme), 22.0
        words = f"{self._label}  ·  " if self._chords else self._label
        x = brush.text(0, baseline, words, "ink", "serif", SIZE, "strong")
        dots = metrics("serif", SIZE).horizontalAdvance(" …")
        shown = True
        for place, parts in enumerate(self._chords):
            wide = chord_width(parts, SIZE, "strong")
            last = place + 1 == len(self._chords)
            if x + wide + (0 if last else dots) > self.width():
                brush.text(x, baseline, "…", "ink", "serif", SIZE, "strong")
                shown = False
                break
            x += draw_chord(brush, x, baseline, parts, SIZE, "ink", "strong") + SIZE * 0.5
        if shown and self._following:
            wide = chord_width(self._following, SIZE, "strong") + 30
            if x + wide <= self.width():
                x += brush.text(x, baseline, "→", "label", "serif", SIZE) + SIZE * 0.5
                draw_chord(brush, x, baseline, self._following, SIZE, "ink", "strong")
        painter.end()
