"""Sound and MIDI: which SoundFont plays, where notes go, which keyboard is heard. Everything takes effect at once."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from app.window.dialogs import without_icons
from app.window.fonts import font
from app.window.sound_model import BAND, NO_IN, NO_OUT, MidiChoice, font_words, port_items
from core.timeline import PARTS

WIDTH, LABEL_WIDTH = 520, 66
OWN_PROGRAM = "its own"


class SoundDialog(QDialog):
    """Emits what is wished; shows what it is told."""

    font_wished = Signal()
    own_font_wished = Signal()
    changed = Signal()
    ports_wished = Signal()
    panic_wished = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Sound and MIDI")
        self.setMinimumWidth(WIDTH)
        self.font_name, self.font_note, self.out_note, self.in_note = QLabel(), _note(), _note(), _note()
        self.choose, self.own = QPushButton("&Choose a SoundFont…"), QPushButton("Use the program's &own")
        self.out, self.keyboard = QComboBox(), QComboBox()
        self.sound_too = QCheckBox("&Sound from this computer as well")
        self.clock = QCheckBox("Send song &position, start, stop and clock")
        self.channels = {part: QSpinBox() for part in BAND}
        self.programs = {part: QSpinBox() for part in BAND}
        self.panic, self.again = QPushButton("Silence &everything"), QPushButton("&Look for ports again")
        self.played = QLabel()
        self._arrange()
        self._connect()

    def _arrange(self) -> None:
        layout = QVBoxLayout(self)
        layout.setContentsMargins(24, 18, 24, 16)
        layout.setSpacing(7)
        layout.addWidget(_heading("SoundFont"))
        layout.addWidget(self.font_name)
        layout.addWidget(self.font_note)
        layout.addLayout(_row(self.choose, self.own))
        layout.addSpacing(10)
        layout.addWidget(_heading("MIDI out"))
        layout.addLayout(_labelled("&Port", self.out))
        layout.addWidget(self.out_note)
        layout.addWidget(self.sound_too)
        layout.addWidget(self.clock)
        layout.addLayout(self._parts())
        layout.addLayout(_row(self.panic, self.again))
        layout.addSpacing(10)
        layout.addWidget(_heading("MIDI in"))
        layout.addLayout(_labelled("&Keyboard", self.keyboard))
        layout.addWidget(self.in_note)
        layout.addWidget(self.played)
        layout.addSpacing(4)
        box = without_icons(QDialogButtonBox(QDialogButtonBox.StandardButton.Close))
        box.rejected.connect(self.reject)
        layout.addWidget(box)
        for button in (self.choose, self.own, self.panic, self.again):
            button.setAutoDefault(False)
        self.played.setFont(font("sans", 14, "strong"))
        self.show_played("")

    def _parts(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(14)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(3, 1)
        for column, words in ((1, "channel"), (2, "program")):
            grid.addWidget(_quiet(words), 0, column)
        for row, part in enumerate(BAND, 1):
            channel, program = self.channels[part], self.programs[part]
            channel.setRange(1, 16)
            program.setRange(0, 128)
            program.setSpecialValueText(OWN_PROGRAM)
            channel.setAccessibleName(f"MIDI channel of the {part}")
            program.setAccessibleName(f"MIDI program of the {part}, 1 to 128")
            for column, widget in enumerate((QLabel(part), channel, program)):
                grid.addWidget(widget, row, column)
        return grid

    def _connect(self) -> None:
        self.choose.clicked.connect(self.font_wished)
        self.own.clicked.connect(self.own_font_wished)
        self.panic.clicked.connect(self.panic_wished)
        self.again.clicked.connect(self.ports_wished)
        for box in (self.out, self.keyboard):
            box.activated.connect(self.changed)
        for switch in (self.sound_too, self.clock):
            switch.toggled.connect(self.changed)
        for number in (*self.channels.values(), *self.programs.values()):
            number.valueChanged.connect(self.changed)

    # --- what is chosen ----------------------------------------------------------------------------------------------

    def choice(self) -> MidiChoice:
        """What is chosen of MIDI; a part that is left as it is has no entry."""
        channels = {part: box.value() - 1 for part, box in self.channels.items()}
        programs = {part: box.value() - 1 for part, box in self.programs.items() if box.value()}
        own = {part: PARTS[part].channel for part in BAND}
        return MidiChoice(str(self.out.currentData() or ""), str(self.keyboard.currentData() or ""),
                          {part: value for part, value in channels.items() if value != own[part]}, programs,
                          self.clock.isChecked())  # fmt: skip

    # --- what is shown -----------------------------------------------------------------------------------------------

    def show_choice(self, choice: MidiChoice, sound_too: bool) -> None:
        """Show what is remembered, without telling."""
        self.blockSignals(True)
        self.sound_too.setChecked(sound_too)
        self.clock.setChecked(choice.clock)
        for part in BAND:
            self.channels[part].setValue(choice.channel_of(part) + 1)
            self.programs[part].setValue(choice.programs.get(part, -1) + 1)
        self.show_ports(self.out, (), choice.out, NO_OUT)
        self.show_ports(self.keyboard, (), choice.keyboard, NO_IN)
        self.blockSignals(False)

    @staticmethod
    def show_ports(box: QComboBox, ports: tuple[str, ...], wanted: str, none: str) -> None:
        """Fill a list of ports and choose the one that is wanted."""
        box.clear()
        for words, name in port_items(ports, wanted, none):
            box.addItem(words, name)
        box.setCurrentIndex(max(0, box.findData(wanted)))

    def show_font(self, chosen: str, sentence: str) -> None:
        """What is played on, and what is to be said about it."""
        self.font_name.setText(font_words(chosen))
        self.own.setEnabled(bool(chosen))
        self.font_note.setText(sentence)

    def show_played(self, notes: str) -> None:
        """What is being played, so that one sees that the keyboard is heard."""
        self.played.setText(notes or " ")


def _heading(words: str) -> QLabel:
    label = QLabel(words)
    label.setFont(font("serif", 17, "strong"))
    return label


def _quiet(words: str) -> QLabel:
    label = QLabel(words)
    label.setProperty("quiet", True)
    label.setFont(font("sans", 13))
    return label


def _note() -> QLabel:
    label = _quiet("")
    label.setWordWrap(True)
    label.setMinimumHeight(18)
    return label


def _row(*buttons: QPushButton) -> QHBoxLayout:
    row = QHBoxLayout()
    for button in buttons:
        row.addWidget(button)
    row.addStretch(1)
    return row


def _labelled(words: str, box: QComboBox) -> QHBoxLayout:
    label = QLabel(words)
    label.setBuddy(box)
    label.setMinimumWidth(LABEL_WIDTH)
    box.setAccessibleName(words.replace("&", ""))
    row = QHBoxLayout()
    row.addWidget(label)
    row.addWidget(box, 1)
    return row
