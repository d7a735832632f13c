"""Pictures of the ear desk: the bars that sound with the place that is asked about, and what was heard as what."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize
from PySide6.QtGui import QPainter, QPainterPath, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.window.fonts import advance, elided
from app.window.page.brush import Brush
from app.window.theme import Theme
from core.ear.progress import Confusions
from core.ear.question import Excerpt
from core.row import span
from core.spelling import printed

BARS_HEIGHT = 92
ROW_HEIGHT, NAME_WIDTH, HEAD_HEIGHT, MOST_ROWS = 26, 118, 92, 8
HEAD_ROOM = 52  # the slanting names of the columns lean so far to the right
NAME_SIZE = 12.5


class BarsPicture(QWidget):
    """The bars of an excerpt; its chords are covered until the answer is given."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._excerpt: Excerpt | None = None
        self._playhead: float | None = None
        self._open = False
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("The bars that sound")

    def sizeHint(self) -> QSize:
        return QSize(520, BARS_HEIGHT)

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        self.update()

    def show_excerpt(self, excerpt: Excerpt | None, *, opened: bool) -> None:
        """Show other bars, with their chords where ``opened``."""
        self._excerpt, self._open = excerpt, opened
        chords = "" if excerpt is None or not opened else ", ".join(s.text for s in excerpt.chart.standard)
        self.setAccessibleDescription(chords or "covered")
        self.update()

    def set_playhead(self, place: float | None) -> None:
        """Where it sounds, in quarter notes of the excerpt."""
        if place != self._playhead:
            self._playhead = place
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._excerpt is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        brush = Brush(painter, self._theme)
        chart = self._excerpt.chart
        scale = (self.width() - 2) / float(chart.form.length)
        tall = self.height() - 2.0
        asked = QRectF(1 + float(self._excerpt.start) * scale, 1,
                       float(self._excerpt.end - self._excerpt.start) * scale, tall)  # fmt: skip
        for bar in chart.form.bars:
            box = QRectF(1 + float(bar.start) * scale, 1, float(bar.length) * scale, tall)
            brush.outline(box, 5, "edge", 1.0, "card")
        brush.outline(asked, 5, "second", 1.6, "second_wash")
        for bar in chart.form.bars:
            brush.text(9 + float(bar.start) * scale, 18, bar.printed, "label", "sans", 12)
        self._words(brush, scale, asked)
        if self._playhead is not None and 0 <= self._playhead <= float(chart.form.length):
            brush.patch(QRectF(self._playhead * scale, 1, 2, tall), 1, "playhead")
        painter.end()

    def _words(self, brush: Brush, scale: float, asked: QRectF) -> None:
        assert self._excerpt is not None
        chart = self._excerpt.chart
        if not self._open:
            brush.text(asked.center().x() - advance("?", "serif", 34, "strong") / 2, 62, "?", "second", "serif", 34,
                       "strong")  # fmt: skip
            return
        for slot in span(chart.standard, chart.form.bars[0].start, chart.form.length):
            inside = self._excerpt.start <= slot.onset < self._excerpt.end
            words = elided(printed(slot.chord, chart.key), float(slot.duration) * scale - 10, "serif", 22, "strong")
            ink = "second" if inside else "ink"
            brush.text(9 + float(slot.onset) * scale, 60, words, ink, "serif", 22, "strong")


class ConfusionPicture(QWidget):
    """What sounded (rows) and what was answered (columns): a disc for each pair, as large as it was frequent."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._table = Confusions((), ())
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("What was heard as what")

    def sizeHint(self) -> QSize:
        return QSize(NAME_WIDTH + 6 * ROW_HEIGHT, HEAD_HEIGHT + ROW_HEIGHT * max(1, min(MOST_ROWS, self._count)) + 6)

    @property
    def _count(self) -> int:
        return len(self._table.names)

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        self.update()

    def show_table(self, table: Confusions, words: str) -> None:
        """Show another table; ``words`` say it in a sentence."""
        self._table = table
        self.setAccessibleDescription(words)
        self.setVisible(bool(table.names))
        self.updateGeometry()
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self._table.names:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        brush = Brush(painter, self._theme)
        shown = min(MOST_ROWS, self._count)
        cell = min(float(ROW_HEIGHT), (self.width() - NAME_WIDTH - HEAD_ROOM) / shown)
        most = max(1, max(max(row) for row in self._table.counts))
        for place, name in enumerate(self._table.names[:shown]):
            self._name(brush, place, name, cell)
        for i, row in enumerate(self._table.counts[:shown]):
            for j, count in enumerate(row[:shown]):
                self._cell(brush, i, j, count / most, count, cell)
        painter.end()

    def _name(self, brush: Brush, place: int, name: str, cell: float) -> None:
        y = HEAD_HEIGHT + (place + 0.5) * ROW_HEIGHT
        words = elided(name, NAME_WIDTH - 12, "sans", NAME_SIZE)
        brush.text(NAME_WIDTH - 8 - advance(words, "sans", NAME_SIZE), y + 4, words, "ink", "sans", NAME_SIZE)
        brush.painter.save()
        brush.painter.translate(NAME_WIDTH + (place + 0.5) * cell + 4, HEAD_HEIGHT - 6)
        brush.painter.rotate(-60)
        brush.text(0, 0, elided(name, HEAD_HEIGHT, "sans", NAME_SIZE), "label", "sans", NAME_SIZE)
        brush.painter.restore()

    def _cell(self, brush: Brush, i: int, j: int, share: float, count: int, cell: float) -> None:
        area = QRectF(NAME_WIDTH + j * cell, HEAD_HEIGHT + i * ROW_HEIGHT, cell, ROW_HEIGHT)
        brush.patch(area.adjusted(1, 1, -1, -1), 3, "second_wash" if i == j else "card")
        if not count:
            return
        disc = QPainterPath()
        radius = (0.3 + 0.62 * share**0.5) * min(cell, ROW_HEIGHT) / 2
        disc.addEllipse(QPointF(area.center()), radius, radius)
        if i == j:
            brush.fill(disc, "second")
        else:  # a ring: colour is not the only sign
            brush.stroke(disc, "clash", 2.2)
        if count > 1:
            text = str(count)
            ink = "on_second" if i == j and radius > 7 else "ink"
            brush.text(area.center().x() - advance(text, "sans", 10.5) / 2, area.center().y() + 3.8, text, ink, "sans",
                       10.5)  # fmt: skip
