"""The window of the map: the picture, the sentence of the cell in hand, what the marks mean; and who keeps it true."""

from __future__ import annotations

from PySide6.QtCore import QObject, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QShowEvent
from PySide6.QtWidgets import QDialog, QHBoxLayout, QLabel, QSizePolicy, QVBoxLayout, QWidget

from app.window.background import Background
from app.window.desk import Desk
from app.window.fonts import advance, font
from app.window.map_model import STRETCH, MapMark, Marks, map_rows, read_map
from app.window.map_view import MapView, draw_mark
from app.window.page.brush import Brush
from app.window.theme import Theme

LEGEND = (
    (MapMark("good", False, ""), "applies"),
    (MapMark("caution", False, ""), "with a caution"),
    (MapMark("refused", False, ""), "refused"),
    (MapMark("good", True, ""), "one of several refused"),
)
MOST_LINES = 4
LEGEND_SIZE, LEGEND_GAP = 12.5, 22.0


class MapLegend(QWidget):
    """The marks and what they mean."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self.setAccessibleName(", ".join(words for _, words in LEGEND))
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        return QSize(round(sum(24 + advance(words, "sans", LEGEND_SIZE) + LEGEND_GAP for _, words in LEGEND)), 26)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        brush, x = Brush(painter, self.theme), 10.0
        for mark, words in LEGEND:
            draw_mark(brush, x, 13, mark)
            x += 14
            x += brush.text(x, 17.5, words, "label", "sans", LEGEND_SIZE) + LEGEND_GAP
        painter.end()


class MapWindow(QDialog):
    """Stays beside the main window while bars are chosen from it."""

    shown = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Map of techniques")
        self.resize(1180, 640)
        self.heading = QLabel()
        self.heading.setFont(font("serif", 20, "strong"))
        self.view = MapView(theme, self)
        self._sentence = QLabel()
        self._sentence.setFont(font("sans", 14))
        self._sentence.setWordWrap(True)
        self._sentence.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self._sentence.setFixedHeight(78)
        self._legend = MapLegend(theme, self)
        hint = QLabel("Arrows move, Enter or a click shows it on the page, Esc closes")
        hint.setFont(font("sans", LEGEND_SIZE))
        hint.setProperty("quiet", True)
        foot = QHBoxLayout()
        foot.addWidget(self._legend)
        foot.addStretch(1)
        foot.addWidget(hint)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 14, 20, 10)
        layout.setSpacing(8)
        layout.addWidget(self.heading)
        layout.addWidget(self.view, 1)
        layout.addWidget(self._sentence)
        layout.addLayout(foot)
        self.view.said.connect(self._say)
        self.view.setFocus()

    def _say(self, words: str) -> None:
        """As many lines as there is room for; the tip has all of them."""
        lines = words.split("\n")
        more = f"\n… and {len(lines) - MOST_LINES + 1} more of this technique in this bar"
        self._sentence.setText(words if len(lines) <= MOST_LINES else "\n".join(lines[: MOST_LINES - 1]) + more)
        self._sentence.setToolTip(words)

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self.view.set_theme(theme)
        self._legend.theme = theme
        self._legend.update()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.shown.emit()


class MapControl(QObject):
    """Makes the window when it is first wanted; asks for the map stretch by stretch, beginning where the page is."""

    wanted = Signal(str, int)  # a technique and the bar it was chosen in

    def __init__(self, desk: Desk, background: Background, theme: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk, self._background, self._theme, self._owner = desk, background, theme, parent
        self._style = "plain"
        self.window: MapWindow | None = None
        desk.chart_changed.connect(self._ask)
        desk.selected.connect(self._on_selected)

    def open(self) -> None:
        """Show the map with the selected bar in hand."""
        if self.window is None:
            self.window = MapWindow(self._theme, self._owner)
            self.window.view.chosen.connect(self.wanted)
            self.window.shown.connect(self._ask)
        if self.window.isVisible():
            self._ask()
        self.window.show()
        self.window.activateWindow()
        self.window.view.set_cell(self.window.view.cell[0], self._desk.selection.first)

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        if self.window is not None:
            self.window.set_theme(theme)

    def set_style(self, style: str) -> None:
        """Print chords in another house style."""
        self._style = style
        self._ask()

    def _ask(self) -> None:
        if self.window is None or not self.window.isVisible():
            return
        desk, view = self._desk, self.window.view
        view.set_ground(map_rows(), desk.form, desk.take.locked if desk.take else frozenset())
        view.set_selected(desk.selection.first, desk.selection.last)
        self.window.heading.setText(f"Where each technique fits: {desk.take_name or 'the standard row'}")
        count = len(desk.form.bars)
        begin = desk.selection.first // STRETCH * STRETCH
        self._ask_stretch([*range(begin, count, STRETCH), *range(0, begin, STRETCH)])

    def _ask_stretch(self, starts: list[int]) -> None:
        if not starts:
            return
        first, *rest = starts

        def answered(marks: Marks) -> None:
            if self.window is not None:
                self.window.view.set_marks(marks, first, first + STRETCH)
                self._ask_stretch(rest)

        self._background.ask("map", answered, read_map, self._desk.chart, self._desk.take_name, first,
                             first + STRETCH, self._style)  # fmt: skip

    def _on_selected(self) -> None:
        if self.window is not None and self.window.isVisible():
            self.window.view.set_selected(self._desk.selection.first, self._desk.selection.last)
