"""The export dialog: which file, which row, how. It says what will be written; the name is asked for afterwards."""

from __future__ import annotations

from PySide6.QtWidgets import (
    QButtonGroup,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QLabel,
    QRadioButton,
    QVBoxLayout,
    QWidget,
)

from app.window.dialogs import buttons
from app.window.export import EXPORTS, ExportKind
from app.window.fonts import font
from core.chart import STANDARD, Chart

CHORD_WORDS = {"text": "Text events", "lyrics": "Lyrics, which most players show", "marker": "Markers"}
HELP = {
    ".musicxml": "Tune and chords for a notation program; beside a take its standard is written too.",
    ".mxl": "The same, compressed.",
    ".abc": "Tune and chords as text that programs and people read; one row a file.",
    ".mid": "Tempo, metres, key, a marker at each section, chord names, and a track for each part.",
    ".wav": "48 kHz, as the band plays it here, with its levels; parts are written with 24 bits and add up to the mix.",
}


class ExportDialog(QDialog):
    """Shows what can be written and keeps what is chosen."""

    def __init__(self, chart: Chart, take: str | None, ending: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Export")
        self.kinds = QButtonGroup(self)
        self.row, self.sound, self.chords = QComboBox(), QComboBox(), QComboBox()
        self.help = QLabel()
        self._labels: dict[QWidget, QLabel] = {}
        self._fill(chart, take)
        self._arrange()
        self.kinds.idToggled.connect(lambda _number, _on: self._show())
        chosen = self.kinds.button(next((n for n, kind in enumerate(EXPORTS) if kind.ending == ending), 0))
        chosen.setChecked(True)
        chosen.setFocus()
        self._show()

    def _fill(self, chart: Chart, take: str | None) -> None:
        if take is not None:
            self.row.addItem(f"The take “{take}”", (take,))
        self.row.addItem("The standard", (STANDARD,))
        if take is not None:
            self.row.addItem("Both, a file each", (STANDARD, take))
        self.sound.addItem("One mix", False)
        self.sound.addItem("A file for each part", True)
        for kind, words in CHORD_WORDS.items():
            self.chords.addItem(words, kind)
        for box, name in ((self.row, "Row"), (self.sound, "Sound as"), (self.chords, "Chord names as")):
            box.setAccessibleName(name)

    def _arrange(self) -> None:
        layout = QVBoxLayout(self)
        layout.setContentsMargins(22, 18, 22, 18)
        layout.setSpacing(7)
        for number, kind in enumerate(EXPORTS):
            button = QRadioButton(kind.words)
            button.setFont(font("sans", 14))
            self.kinds.addButton(button, number)
            layout.addWidget(button)
        self.help.setWordWrap(True)
        self.help.setProperty("quiet", True)
        self.help.setFont(font("sans", 13))
        self.help.setMinimumSize(400, 40)
        layout.addWidget(self.help)
        form = QFormLayout()
        form.setSpacing(9)
        rows = ((self.row, "&Row"), (self.sound, "&Sound as"), (self.chords, "&Chord names as"))
        for box, words in rows:
            label = QLabel(words)
            label.setBuddy(box)
            box.setMinimumWidth(250)
            form.addRow(label, box)
            self._labels[box] = label
        layout.addLayout(form)
        layout.addSpacing(8)
        self.box: QDialogButtonBox = buttons(self, "Choose a name…")
        layout.addWidget(self.box)

    def _show(self) -> None:
        """What does not belong to the chosen file is greyed, so that nothing moves."""
        kind = self.kind
        self.help.setText(HELP[kind.ending])
        for box, on in ((self.sound, kind.ending == ".wav"), (self.chords, kind.ending == ".mid")):
            box.setEnabled(on)
            self._labels[box].setEnabled(on)
        both = self.row.count() - 1
        if both == 2:  # a score shows both rows on one page
            item = self.row.model().item(both)  # type: ignore[attr-defined]
            item.setEnabled(kind.sound)
            if not kind.sound and self.row.currentIndex() == both:
                self.row.setCurrentIndex(0)

    @property
    def kind(self) -> ExportKind:
        """The kind of file."""
        return EXPORTS[max(0, self.kinds.checkedId())]

    @property
    def rows(self) -> tuple[str, ...]:
        """The rows to write."""
        return tuple(self.row.currentData())

    @property
    def stems(self) -> bool:
        """Whether each part is a file."""
        return bool(self.sound.currentData()) and self.kind.ending == ".wav"

    @property
    def chord_texts(self) -> str:
        """As what a MIDI file names chords."""
        return str(self.chords.currentData())
