"""Why the proposal in hand stands where it stands: a sentence over a small table of points, painted on a card."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.window.fonts import advance, elided, font, metrics
from app.window.page.brush import Brush
from app.window.page.chord_painter import chord_width, draw_chord
from app.window.page.chord_text import ChordParts, spoken
from app.window.ranking import Ranking, RankRow
from app.window.theme import Theme

PAD, LINE, GAP = 14.0, 18.0, 18.0
SENTENCE_SIZE, SIZE, CHORD_SIZE = 14, 13, 15.0
CAPTION = "points against it"
Chords = tuple[ChordParts, ...]


class RankingSheet(QWidget):
    """Shows a :class:`app.window.ranking.Ranking`."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme, self._ranking = theme, Ranking("", (), None)
        self._heads: tuple[Chords, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    @property
    def sentence(self) -> str:
        """What it says."""
        return self._ranking.sentence

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        self.update()

    def show_ranking(self, ranking: Ranking, mine: Chords, other: Chords) -> None:
        """Show why; ``mine`` and ``other`` are the chords at the heads of the columns."""
        self._ranking = ranking
        self._heads = (mine, other) if ranking.against is not None else (mine,)
        against = spoken(" ".join(parts.text for parts in other))
        told = "; ".join(_told(row, against) for row in ranking.rows)
        self.setAccessibleName(f"{ranking.sentence} {CAPTION.capitalize()}: {told}.")
        self._fit()
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(250, 150)

    def _fit(self) -> None:
        self.setFixedHeight(round(9 + self._sentence_height() + 4 + LINE * (len(self._ranking.rows) + 1) + 9))

    def _sentence_height(self) -> float:
        room = QRectF(0, 0, self.width() - 2 * PAD, 4000)
        words = metrics("sans", SENTENCE_SIZE)
        return words.boundingRect(room, int(Qt.TextFlag.TextWordWrap), self.sentence).height()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self._fit()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        brush = Brush(painter, self._theme)
        area = QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5)
        brush.outline(area, 6, "edge", 1.0, "card")
        painter.setPen(brush.colour("ink"))
        painter.setFont(font("sans", SENTENCE_SIZE))
        tall = self._sentence_height()
        place = QRectF(PAD, 8, self.width() - 2 * PAD, tall + 4)
        painter.drawText(place, Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft, self.sentence)
        self._paint_table(brush, 9 + tall + 4 + 13)
        painter.end()

    def _paint_table(self, brush: Brush, y: float) -> None:
        ends = self._paint_heads(brush, y)
        brush.text(PAD, y, elided(CAPTION, self._room(ends), "sans", SIZE, "regular", True), "label", "sans", SIZE,
                   italic=True)  # fmt: skip
        for line, row in enumerate(self._ranking.rows, 1):
            at, weight = y + line * LINE, "strong" if row.decides else "regular"
            brush.text(PAD, at, row.name, "ink", "sans", SIZE, weight)
            for end, points in zip(ends, (row.mine, row.other), strict=False):
                brush.text(
                    end - advance(str(points), "sans", SIZE, weight), at, str(points), "ink", "sans", SIZE, weight
                )

    def _paint_heads(self, brush: Brush, y: float) -> list[float]:
        """The chords over the columns, as wide as they may be; returns the right edge of each column."""
        ends: list[float] = []
        x = self.width() - PAD
        most = (self.width() - 2 * PAD) * 0.62 / len(self._heads) - GAP
        for chords in reversed(self._heads):
            size = min(CHORD_SIZE, CHORD_SIZE * most / _wide(chords, CHORD_SIZE))
            ends.insert(0, x)
            at = x - _wide(chords, size)
            x = min(at, x - 30) - GAP
            for parts in chords:
                at += draw_chord(brush, at, y, parts, size, "second", "strong") + size * 0.4
        return ends

    def _room(self, ends: list[float]) -> float:
        widest = max((_wide(chords, CHORD_SIZE) for chords in self._heads), default=0.0)
        return ends[0] - min(widest, (self.width() - 2 * PAD) * 0.62 / len(self._heads) - GAP) - PAD - 10


def _wide(chords: Chords, size: float) -> float:
    return sum(chord_width(parts, size, "strong") for parts in chords) + size * 0.4 * (len(chords) - 1)


def _told(row: RankRow, other: str) -> str:
    return f"{row.name} {row.mine}" + ("" if row.other is None else f" against {row.other} of {other}")
