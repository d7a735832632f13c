"""The window of lines: the line on its sheet over its chords, a summary, shapes to choose, an excerpt to hear."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, QTimer, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QScrollArea,
    QSizePolicy,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from app.sheet.drawing import PAPER, Page
from app.sheet.paint import paint_page
from app.window.fonts import font
from app.window.key_button import KeyButton
from app.window.line_model import SHAPES, LineView, LineWish
from app.window.page.brush import colour
from core.chart import STANDARD, Chart
from core.line.limits import USUAL

WAITING = "The sheet is being engraved…"
SETTLES_MS = 250
GAP, SIDE = 10, 330


class LinePages(QWidget):
    """All pages of the sheet under each other, as wide as there is room."""

    def __init__(self) -> None:
        super().__init__()
        self.pages: tuple[Page, ...] = ()
        self.waiting = WAITING
        self.setAccessibleName("The line over its chords")
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def set_pages(self, pages: tuple[Page, ...]) -> None:
        """Show other pages."""
        self.pages = pages
        self.setMinimumHeight(self.heightForWidth(self.width()))
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(640, self.heightForWidth(640))

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        return int(sum(page.height * width / page.width + GAP for page in self.pages)) or 400

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        if not self.pages:
            painter.setFont(font("sans", 14))
            painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, self.waiting)
        top = 0.0
        for page in self.pages:
            scale = self.width() / page.width
            painter.save()
            painter.translate(0.0, top)
            painter.fillRect(0, 0, self.width(), int(page.height * scale), colour(PAPER))
            paint_page(painter, page, scale)
            painter.restore()
            top += page.height * scale + GAP
        painter.end()


class LineWindow(QDialog):
    """Stays beside the main window; emits wishes."""

    open_wished = Signal()
    wished = Signal(object)  # a LineWish
    hear_wished = Signal(int, int)  # first and last bar of the sheet, from 1
    save_wished = Signal()
    tune_wished = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("A line over the changes")
        self.setMinimumSize(820, 560)
        self.resize(1000, 680)
        self.title, self.summary, self.told = QLabel(), QLabel(), QLabel()
        self.row, self.against = QComboBox(), QComboBox()
        self.at, self.first, self.last = QSpinBox(), QSpinBox(), QSpinBox()
        self.shapes = {one.id: QCheckBox(one.title.capitalize()) for one in SHAPES}
        self.other, self.hear = KeyButton("Open a line…", pixels=14), KeyButton("Loop with its chords", pixels=14)
        self.save, self.tune = KeyButton("Save the sheet…", pixels=14), KeyButton("Open as a tune", pixels=14)
        self.pages = LinePages()
        self._settle = QTimer(self)
        self._settle.setSingleShot(True)
        self._settle.setInterval(SETTLES_MS)
        self._arrange()
        self._connect()

    def _arrange(self) -> None:
        self.title.setFont(font("serif", 20, "strong"))
        self.title.setWordWrap(True)
        for label in (self.summary, self.told):
            label.setFont(font("sans", 14))
            label.setWordWrap(True)
            label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.told.setProperty("quiet", True)
        side = QVBoxLayout()
        side.setSpacing(9)
        side.addWidget(self.title)
        side.addLayout(self._rows())
        side.addWidget(self.summary)
        side.addWidget(self.told)
        side.addLayout(self._shape_boxes())
        side.addStretch(1)
        panel = QWidget()
        panel.setLayout(side)
        sheet, beside = _scrolled(self.pages), _scrolled(panel)
        beside.setFixedWidth(SIDE)
        buttons = QHBoxLayout()
        for button in (self.other, self.tune, self.save):
            buttons.addWidget(button)
        buttons.addStretch(1)
        for words, box in (("Bars", self.first), ("to", self.last)):
            buttons.addWidget(QLabel(words))
            buttons.addWidget(box)
        buttons.addWidget(self.hear)
        middle = QHBoxLayout()
        middle.addWidget(sheet, 1)
        middle.addWidget(beside)
        layout = QVBoxLayout(self)
        layout.addLayout(middle, 1)
        layout.addLayout(buttons)

    def _rows(self) -> QGridLayout:
        grid = QGridLayout()
        self.at.setMinimum(0)
        names = (("Read against", self.row), ("Beside it", self.against), ("Begins on bar", self.at))
        for line, (words, box) in enumerate(names):
            label = QLabel(words)
            label.setFont(font("sans", 14))
            box.setFont(font("sans", 14))
            box.setAccessibleName(words)
            grid.addWidget(label, line, 0)
            grid.addWidget(box, line, 1)
        self.first.setAccessibleName("First bar of the excerpt")
        self.last.setAccessibleName("Last bar of the excerpt")
        grid.setColumnStretch(1, 1)
        return grid

    def _shape_boxes(self) -> QVBoxLayout:
        boxes = QVBoxLayout()
        boxes.setSpacing(2)
        head = QLabel("Brackets over")
        head.setFont(font("serif", 16, "strong"))
        boxes.addWidget(head)
        for one in SHAPES:
            box = self.shapes[one.id]
            box.setFont(font("sans", 14))
            box.setToolTip(f"{one.says[0].upper()}{one.says[1:]}.")
            box.setChecked(one.id in USUAL)
            boxes.addWidget(box)
        return boxes

    def _connect(self) -> None:
        self._settle.timeout.connect(lambda: self.wished.emit(self.wish))
        for combo in (self.row, self.against):
            combo.activated.connect(lambda _at: self._settle.start())
        self.at.valueChanged.connect(lambda _at: self._settle.start())
        for box in self.shapes.values():
            box.clicked.connect(lambda _on: self._settle.start())
        self.other.clicked.connect(self.open_wished)
        self.save.clicked.connect(self.save_wished)
        self.tune.clicked.connect(self.tune_wished)
        self.hear.clicked.connect(lambda: self.hear_wished.emit(self.first.value(), self.last.value()))
        self.first.valueChanged.connect(self.last.setMinimum)

    @property
    def wish(self) -> LineWish:
        """What is chosen."""
        shapes = tuple(name for name, box in self.shapes.items() if box.isChecked())
        return LineWish(
            str(self.row.currentData()), str(self.against.currentData() or ""), self.at.value() or None, shapes
        )

    def set_chart(self, chart: Chart, take: str | None) -> None:
        """Offer the rows and bars of a chart; the take in hand stands beside the standard."""
        names = [STANDARD, *(one.name for one in chart.references if one.name != chart.reference),
                 *(one.name for one in chart.takes)]  # fmt: skip
        for combo in (self.row, self.against):
            combo.clear()
        self.against.addItem("nothing", "")
        for name in dict.fromkeys(names):
            self.row.addItem(name, name)
            self.against.addItem(name, name)
        self.against.setCurrentIndex(max(0, self.against.findData(take or "")))
        self.at.blockSignals(True)
        self.at.setRange(0, chart.form.bars[-1].number)
        self.at.setSpecialValueText("the first")
        self.at.setValue(0)
        self.at.blockSignals(False)

    def show_view(self, view: LineView) -> None:
        """Show a reading's words; the pages come by themselves."""
        self.title.setText(view.title)
        self.summary.setText(view.fault or "\n".join(view.lines))
        self.told.setText("\n".join(view.told))
        self.told.setVisible(bool(view.told))
        for name, count in view.counts:
            box = self.shapes[name]
            box.setText(f"{next(one.title for one in SHAPES if one.id == name).capitalize()} ({count})")
        there = view.lesson is not None
        for button in (self.hear, self.save, self.tune):
            button.setEnabled(there)
        if view.lesson is not None:
            bars = len(view.lesson.form.bars)
            self.first.setRange(1, bars)
            self.last.setRange(self.first.value(), bars)
            if self.last.value() <= self.first.value():
                self.last.setValue(min(bars, self.first.value() + 3))
            self.pages.waiting = WAITING
        else:
            self.pages.waiting = ""
            self.pages.set_pages(())

    def show_playing(self, on: bool) -> None:
        """The button stops what it began."""
        self.hear.setText("Stop" if on else "Loop with its chords")


def _scrolled(widget: QWidget) -> QScrollArea:
    area = QScrollArea()
    area.setWidget(widget)
    area.setWidgetResizable(True)
    area.setFrameShape(QScrollArea.Shape.NoFrame)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    return area
