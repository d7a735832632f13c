"""What is wished of whole takes: how bold, how dense, what the bass does, what stays; the rest behind a disclosure."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QProgressBar,
    QPushButton,
    QSizePolicy,
    QSlider,
    QVBoxLayout,
    QWidget,
)

from app.asked_chords import read_asked
from app.bar_ranges import bars_text, read_bars
from app.chorus.wish import BASS_WORDS, DENSITY_WORDS, MOST_FOUND, PLAYABLE_WORDS, SOURCE_WORDS, Wish
from app.window.fonts import font
from app.window.key_button import KeyButton
from app.window.practice_sheet import Chooser, NumberBox, Switches
from app.window.technique_wishes import TechniqueWishes
from core.errors import ChangewrightError
from core.form import Form

WIDTH, STEPS = 256, 20
SHOWN_DENSITY = {str(count): words.removesuffix(" a bar") for count, words in DENSITY_WORDS.items()}
MORE, LESS = "More ▸", "More ▾"


class WholeTakesWishes(QWidget):
    """Holds the wish; emits that a search should begin or end, and that the selection should be kept."""

    started = Signal()
    stopped = Signal()
    selection_kept = Signal()
    changed = Signal()
    plan_chosen = Signal(str)

    def __init__(self, boldness: float, density: int, count: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("panel")
        self.setFixedWidth(WIDTH)
        self.boldness = QSlider(Qt.Orientation.Horizontal)
        self.boldness.setObjectName("boldness")
        self.boldness.setRange(0, STEPS)
        self.boldness.setValue(round(boldness * STEPS))
        self.boldness.setAccessibleName("Boldness, from close to the standard to far from it")
        self.density = Switches(SHOWN_DENSITY, "New chords a bar, at most")
        self.bass = Chooser(BASS_WORDS, "Bass")
        self.bass_bars = bars_line("Bars of the bass plan", "such as 1–8")
        self.keep = bars_line("Bars to keep", "such as 7–8, 15")
        self.keep_selection = KeyButton("add the selection", 13.5)
        self.cadences = Either("cadences stay", "cadences may change", "The last two bars of every section")
        self.alike = Either("like sections stay alike", "like sections may differ", "Sections with the same chords")
        self.count = NumberBox(1, MOST_FOUND, 1, "How many takes")
        self.count.setValue(count)
        self.asked = bars_line("Chords asked for, each with its bar", "such as 5:Ebmaj7, 9:*7alt")
        self.asked.setToolTip("A bar and the chord that begins it; * is any root")
        self.playable = Switches(PLAYABLE_WORDS, "Playable, with the tune on top, on")
        self.source = Switches(SOURCE_WORDS, "What to begin with")
        self.source.setToolTip("From the tune or a bass line alone, chords are found as if none were there")
        self.more = KeyButton(MORE, 14)
        self.more.setCheckable(True)
        self.techniques = TechniqueWishes()
        self.further = QWidget()
        self.start, self.stop = QPushButton("Look for takes"), QPushButton("Stop")
        self.progress = QProgressBar()
        self.status = QLabel()
        self._density, self._plan, self._playable, self._source = density, "", "", ""
        self._style()
        self._arrange()
        self._connect()
        self.density.show_value(str(density))
        self.playable.show_value("")
        self.source.show_value("")
        self.bass.show_value("")
        self._show_more()
        self.show_busy(False)

    def _style(self) -> None:
        for button in (self.start, self.stop):
            button.setFont(font("sans", 15))
        self.start.setDefault(True)
        self.start.setToolTip("Enter")
        self.stop.setAutoDefault(False)
        self.stop.setToolTip("Esc")
        self.progress.setRange(0, 100)
        self.progress.setTextVisible(False)
        self.progress.setFixedHeight(8)
        self.progress.setAccessibleName("How far the search is")
        self.status.setFont(font("sans", 13.5))
        self.status.setWordWrap(True)
        self.status.setProperty("quiet", True)
        self.status.setTextFormat(Qt.TextFormat.PlainText)
        self.status.setMinimumHeight(40)
        self.status.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.cadences.setChecked(True)
        self.alike.setChecked(True)
        self.bass_bars.setEnabled(False)
        for button in (self.keep_selection, self.cadences, self.alike, self.more):
            button.setAutoDefault(False)
        self.bass.setAutoDefault(False)
        for switches in (self.density, self.playable, self.source):
            for one in switches.findChildren(QPushButton):
                one.setAutoDefault(False)

    def _arrange(self) -> None:
        body = QVBoxLayout()
        body.setSpacing(3)
        body.addWidget(caption("How far from the standard"))
        body.addLayout(row(quiet("close"), self.boldness, quiet("far")))
        body.addSpacing(8)
        body.addWidget(caption("New chords a bar, at most"))
        body.addWidget(self.density)
        body.addSpacing(8)
        body.addWidget(caption("Bass"))
        body.addLayout(row(self.bass, quiet("over bars"), self.bass_bars))
        body.addSpacing(8)
        body.addWidget(caption("Keep"))
        body.addLayout(row(quiet("bars"), self.keep))
        body.addLayout(row(self.keep_selection, None))
        body.addLayout(row(self.cadences, None))
        body.addLayout(row(self.alike, None))
        body.addSpacing(8)
        body.addLayout(row(caption("Takes"), self.count, None))
        body.addSpacing(4)
        body.addLayout(row(self.more, None))
        further = QVBoxLayout(self.further)
        further.setContentsMargins(0, 0, 0, 0)
        further.setSpacing(3)
        further.addLayout(row(quiet("from"), self.source))
        further.addLayout(row(quiet("ask for"), self.asked))
        further.addLayout(row(quiet("for"), self.playable))
        further.addWidget(self.techniques, 1)
        body.addWidget(self.further, 1)
        body.addStretch(0)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(8)
        layout.addLayout(body, 1)
        layout.addLayout(row(self.start, self.stop))
        layout.addWidget(self.progress)
        layout.addWidget(self.status)

    def _connect(self) -> None:
        self.start.clicked.connect(self.started)
        self.stop.clicked.connect(self.stopped)
        self.keep_selection.clicked.connect(self.selection_kept)
        self.density.chosen.connect(self._on_density)
        self.bass.chosen.connect(self._on_plan)
        self.playable.chosen.connect(self._on_playable)
        self.source.chosen.connect(self._on_source)
        self.more.toggled.connect(lambda _on: self._show_more())
        self.techniques.changed.connect(self._show_more)
        lines, switches = (self.bass_bars, self.asked, self.keep), (self.cadences, self.alike)
        for signal in (self.boldness.valueChanged, self.count.valueChanged, *(line.textEdited for line in lines),
                       *(switch.toggled for switch in switches)):  # fmt: skip
            signal.connect(lambda *_: self.changed.emit())
        self.techniques.changed.connect(self.changed)

    def _on_density(self, value: str) -> None:
        self._density = int(value)
        self.changed.emit()

    def _on_playable(self, instrument: str) -> None:
        self._playable = instrument
        self.changed.emit()

    def _on_source(self, source: str) -> None:
        self._source = source
        self.changed.emit()

    def _on_plan(self, plan: str) -> None:
        self._plan = plan
        self.bass.show_value(plan)
        self.bass_bars.setEnabled(bool(plan))
        self.plan_chosen.emit(plan)
        self.changed.emit()

    def _show_more(self) -> None:
        counts = [(self.techniques.of(state), state) for state in ("favoured", "forbidden")]
        said = ", ".join(f"{len(names)} {state}" for names, state in counts if names)
        self.more.setText((LESS if self.more.isChecked() else MORE) + (f"   {said}" if said else ""))
        self.further.setVisible(self.more.isChecked())

    # --- the wish ----------------------------------------------------------------------------------------------------

    def wish(self, form: Form) -> Wish:
        """What is wished; raises a :class:`core.errors.ChangewrightError` for bars that are not there."""
        kept = tuple(sorted({bar for first, last in read_bars(form, self.keep.text()) for bar in range(first, last)}))
        plan_bars = read_bars(form, self.bass_bars.text()) if self._plan else ()
        if self._plan and not plan_bars:
            plan_bars = ((0, len(form.bars)),)
        asked = tuple(part.strip() for part in self.asked.text().split(",") if part.strip())
        for text in asked:
            read_asked(form, text)
        return Wish(self.count.value(), self.boldness.value() / STEPS, self._density, kept, self.cadences.isChecked(),
                    self.alike.isChecked(), self.techniques.of("forbidden"), self.techniques.of("favoured"),
                    self._plan, plan_bars, asked, self._playable, self._source)  # fmt: skip

    def add_kept(self, form: Form, bars: tuple[int, ...]) -> None:
        """Keep some more bars."""
        try:
            there = {bar for first, last in read_bars(form, self.keep.text()) for bar in range(first, last)}
        except ChangewrightError:
            there = set()
        self.keep.setText(bars_text(form, frozenset(there | set(bars))))
        self.changed.emit()

    def show_busy(self, busy: bool, share: float = 0.0) -> None:
        """Show whether a search is under way and how far it is."""
        self.start.setEnabled(not busy)
        self.stop.setEnabled(busy)
        self.progress.setVisible(True)
        self.progress.setValue(round(100 * share))


def caption(text: str) -> QLabel:
    """The name of a control."""
    label = QLabel(text)
    label.setFont(font("sans", 14, "strong"))
    return label


def quiet(text: str) -> QLabel:
    """Words beside a control."""
    label = QLabel(text)
    label.setFont(font("sans", 13))
    label.setProperty("quiet", True)
    return label


def bars_line(name: str, example: str) -> QLineEdit:
    """A line for numbers of bars."""
    line = QLineEdit()
    line.setFont(font("sans", 14))
    line.setAccessibleName(name)
    line.setPlaceholderText(example)
    line.setMinimumWidth(60)
    return line


class Either(KeyButton):
    """One of two sentences: the words say which, not only the colour."""

    def __init__(self, on: str, off: str, about: str) -> None:
        super().__init__(on, 13.5)
        self._words, self._about = (off, on), about
        self.setCheckable(True)
        self.setToolTip(about)
        self.toggled.connect(self._show)
        self._show(False)

    def _show(self, on: bool) -> None:
        self.setText(self._words[on])
        self.setAccessibleName(f"{self._about}: {self._words[on]}")


def row(*parts: QWidget | None) -> QHBoxLayout:
    """Controls beside one another; None takes what is left."""
    line = QHBoxLayout()
    line.setContentsMargins(0, 0, 0, 0)
    line.setSpacing(6)
    for part in parts:
        if part is None:
            line.addStretch(1)
        else:
            grows = part.sizePolicy().horizontalPolicy() == QSizePolicy.Policy.Expanding
            line.addWidget(part, 1 if grows else 0)
    return line
