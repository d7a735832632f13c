"""The dialog for sheets: which, for whom, how; a preview of every page; print and save."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLayout,
    QPushButton,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from app.sheet.drawing import Page
from app.window.fonts import font
from app.window.page_preview import PagePreview
from app.window.theme import Theme
from core.chart import Chart
from core.sheet.kinds import BARS_PER_LINE, KINDS, PAPERS, SheetOptions
from core.sheet.part import PARTS

LICENCE = "A tune may be under copyright; copies that you make for others may need a licence."
ENDINGS = (".pdf", ".svg", ".png")
PICTURE_WORDS = {"part": "the part’s instrument", "piano": "the piano", "guitar": "the guitar"}
"""Words for :data:`core.sheet.kinds.PICTURES`."""
_SIDE = 292


class SheetDialog(QDialog):
    """Emits what is wished; shows pages."""

    changed = Signal()
    save_wished = Signal()
    print_wished = Signal()

    def __init__(self, chart: Chart, take: str | None, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Sheets")
        self.setMinimumSize(760, 640)
        self.resize(980, 760)
        self.kinds = {kind.id: QCheckBox(kind.words) for kind in KINDS.values()}
        self.parts = {part.id: QCheckBox(part.words) for part in PARTS.values()}
        self.take, self.paper, self.ending, self.pictures = QComboBox(), QComboBox(), QComboBox(), QComboBox()
        self.melody = QCheckBox("Engrave the tune (off: a chord chart)")
        self.bars = QSpinBox()
        self.preview = PagePreview(theme)
        self.words, self.fault = QLabel(), QLabel()
        self.back, self.forward = QPushButton("‹"), QPushButton("›")
        self.print, self.save = QPushButton("&Print…"), QPushButton("&Save…")
        self._fill(chart, take)
        self._arrange()
        self._connect()

    def _fill(self, chart: Chart, take: str | None) -> None:
        for named in chart.takes:
            self.take.addItem(named.name)
        self.take.setCurrentText(take or "")
        self.take.setEnabled(bool(chart.takes))
        for name, box in self.kinds.items():
            box.setEnabled(bool(chart.takes) or not KINDS[name].take)
        self.melody.setChecked(bool(chart.melody))
        self.melody.setEnabled(bool(chart.melody))
        self.paper.addItems(list(PAPERS))
        for name, words in PICTURE_WORDS.items():
            self.pictures.addItem(words, name)
        self.ending.addItems([ending[1:].upper() for ending in ENDINGS])
        self.bars.setRange(*BARS_PER_LINE)
        self.bars.setValue(4)
        names = ((self.take, "Take"), (self.paper, "Paper"), (self.ending, "File format"),
                 (self.pictures, "Voicings of an answer key"),
                 (self.bars, "Bars on a line"), (self.back, "Page before"), (self.forward, "Next page"))  # fmt: skip
        for widget, name in names:
            widget.setAccessibleName(name)

    def _arrange(self) -> None:
        side = QVBoxLayout()
        side.setSpacing(5)
        side.addWidget(_heading("Sheets"))
        for box in self.kinds.values():
            side.addWidget(box)
        side.addSpacing(8)
        side.addWidget(_heading("For instruments in"))
        for box in self.parts.values():
            side.addWidget(box)
        side.addSpacing(8)
        side.addWidget(_heading("How"))
        side.addWidget(self.melody)
        grid = QGridLayout()
        grid.setColumnStretch(1, 1)
        for row, (words, widget) in enumerate(
            (
                ("Take", self.take),
                ("Answers on", self.pictures),
                ("Bars on a line", self.bars),
                ("Paper", self.paper),
                ("Save as", self.ending),
            )
        ):
            grid.addWidget(_quiet(words), row, 0)
            grid.addWidget(widget, row, 1)
        side.addLayout(grid)
        side.addStretch(1)
        self.fault.setWordWrap(True)
        side.addWidget(self.fault)
        licence = _quiet(LICENCE)
        licence.setWordWrap(True)
        side.addWidget(licence)
        left = QWidget()
        left.setFixedWidth(_SIDE)
        left.setLayout(side)
        layout = QHBoxLayout(self)
        layout.setSizeConstraint(QLayout.SizeConstraint.SetNoConstraint)
        layout.setContentsMargins(20, 18, 18, 16)
        layout.setSpacing(16)
        layout.addWidget(left)
        layout.addLayout(self._right(), 1)

    def _right(self) -> QVBoxLayout:
        close = QPushButton("&Close")
        close.clicked.connect(self.reject)
        foot = QHBoxLayout()
        for button in (self.back, self.forward):
            button.setFixedWidth(34)
        for widget in (self.back, self.words, self.forward):
            foot.addWidget(widget)
        foot.addStretch(1)
        for button in (close, self.print, self.save):
            button.setAutoDefault(False)
            foot.addWidget(button)
        self.save.setDefault(True)
        self.show_pages((), complete=False)
        right = QVBoxLayout()
        right.addWidget(self.preview, 1)
        right.addLayout(foot)
        return right

    def _connect(self) -> None:
        for box in (*self.kinds.values(), *self.parts.values(), self.melody):
            box.toggled.connect(self.changed)
        for chooser in (self.take, self.paper, self.pictures):
            chooser.currentIndexChanged.connect(self.changed)
        self.bars.valueChanged.connect(self.changed)
        self.back.clicked.connect(lambda: self.preview.turn_to(self.preview.shown - 1))
        self.forward.clicked.connect(lambda: self.preview.turn_to(self.preview.shown + 1))
        self.preview.turned.connect(self._show_place)
        self.print.clicked.connect(self.print_wished)
        self.save.clicked.connect(self.save_wished)

    # --- what is chosen ----------------------------------------------------------------------------------------------

    def choose(self, kinds: tuple[str, ...], parts: tuple[str, ...], paper: str) -> None:
        """Tick sheets and parts without telling; at least one of each."""
        self.blockSignals(True)
        for name, box in self.kinds.items():
            box.setChecked(name in kinds and box.isEnabled())
        for name, box in self.parts.items():
            box.setChecked(name in parts)
        if not self.chosen_kinds():
            self.kinds["standard"].setChecked(True)
        if not self.chosen_parts():
            self.parts["C"].setChecked(True)
        self.paper.setCurrentText(paper)
        self.blockSignals(False)

    def chosen_kinds(self) -> tuple[str, ...]:
        """The sheets that are ticked."""
        return tuple(name for name, box in self.kinds.items() if box.isChecked())

    def chosen_parts(self) -> tuple[str, ...]:
        """The parts that are ticked."""
        return tuple(name for name, box in self.parts.items() if box.isChecked())

    def options(self, style: str) -> SheetOptions:
        """What holds for every sheet."""
        return SheetOptions(take=self.take.currentText() or None, melody=self.melody.isChecked(), style=style,
                            bars=self.bars.value(), paper=self.paper.currentText(),
                            pictures=str(self.pictures.currentData()))  # fmt: skip

    @property
    def file_ending(self) -> str:
        """The ending that is chosen."""
        return ENDINGS[self.ending.currentIndex()]

    # --- what is shown -----------------------------------------------------------------------------------------------

    def show_pages(self, pages: tuple[Page, ...], complete: bool) -> None:
        """Show pages; printing waits until all are there."""
        self.preview.set_pages(pages)
        self.print.setEnabled(complete and bool(pages))
        self.save.setEnabled(complete and bool(pages))

    def show_fault(self, sentence: str) -> None:
        """Say what is wrong, or nothing."""
        self.fault.setText(sentence)

    def _show_place(self) -> None:
        count = len(self.preview.pages)
        self.words.setText(f"page {self.preview.shown + 1} of {count}" if count else "preparing…")
        self.back.setEnabled(self.preview.shown > 0)
        self.forward.setEnabled(self.preview.shown + 1 < count)


def _heading(words: str) -> QLabel:
    label = QLabel(words)
    label.setFont(font("serif", 16, "strong"))
    label.setTextFormat(Qt.TextFormat.PlainText)
    return label


def _quiet(words: str) -> QLabel:
    label = QLabel(words)
    label.setProperty("quiet", True)
    label.setFont(font("sans", 13))
    return label
