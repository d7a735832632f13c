"""A picture of a piano keyboard with a voicing on it, the degree on every key that is held."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.window.fonts import font
from app.window.page.brush import Brush
from app.window.reading import PianoNotes
from app.window.theme import Theme

LOW, HIGH = 48, 77  # C3 to F5
BLACK = frozenset({1, 3, 6, 8, 10})


def white_keys(low: int, high: int) -> tuple[int, ...]:
    """MIDI numbers of the white keys from low to high."""
    return tuple(note for note in range(low, high + 1) if note % 12 not in BLACK)


class KeyboardPicture(QWidget):
    """Shows :class:`PianoNotes`; widens its range where a voicing leaves it."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme, self._piano = theme, PianoNotes("")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Voicing on the piano")

    def sizeHint(self) -> QSize:
        return QSize(330, 62)

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        self.update()

    def set_notes(self, piano: PianoNotes) -> None:
        """Show another voicing."""
        self._piano = piano
        self.setAccessibleDescription(f"{piano.title}: degrees {' '.join(piano.degrees)} from below")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        brush = Brush(painter, self._theme)
        held = dict(zip(self._piano.notes, self._piano.degrees, strict=False))
        low = min([LOW, *(note - note % 12 for note in held)])
        high = max([HIGH, *(note + 1 for note in held)])
        white = white_keys(low, high)
        wide, tall = (self.width() - 1) / len(white), self.height() - 1.0
        for place, note in enumerate(white):
            self._key(brush, QRectF(place * wide, 0.5, wide, tall), note, held, "key_white")
        for place, note in enumerate(white):
            if (note + 1) % 12 in BLACK and note + 1 <= high and place + 1 < len(white):
                middle = (place + 1) * wide
                self._key(
                    brush, QRectF(middle - wide * 0.31, 0.5, wide * 0.62, tall * 0.62), note + 1, held, "key_black"
                )
        painter.end()

    def _key(self, brush: Brush, area: QRectF, note: int, held: dict[int, str], ink: str) -> None:
        brush.painter.setPen(brush.pen("edge" if ink == "key_white" else "key_black", 1.0))
        brush.painter.setBrush(brush.colour("second" if note in held else ink))
        brush.painter.drawRect(area)
        if note not in held:
            return
        black = ink == "key_black"
        brush.painter.setPen(brush.colour("on_second"))
        brush.painter.setFont(font("sans", 8 if len(held[note]) > 2 else 9 if black else 10.5, "strong"))
        place = QRectF(area.left() - 4, area.bottom() - 16, area.width() + 8, 14)
        brush.painter.drawText(place, Qt.AlignmentFlag.AlignCenter, held[note])
