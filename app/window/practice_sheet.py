"""The practice sheet: everything a player sets while practising, on one card over the transport."""

from __future__ import annotations

from collections.abc import Mapping
from typing import cast

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QButtonGroup, QFrame, QGridLayout, QHBoxLayout, QLabel, QMenu, QSlider, QSpinBox, QWidget

from app.window.fonts import font
from app.window.key_button import KeyButton
from app.window.practice_model import (
    BAND_WORDS,
    CLICK_WORDS,
    PLAYER_WORDS,
    SWITCH_WORDS,
    VOICING_WORDS,
    PracticeState,
)
from app.window.transport import level_slider
from core.sound.practice import PARTS_OF_BAND

WIDTH, MARGIN, LEAD = 436, 8, 8
COLUMN, SLIDER = 62, 46


class NumberBox(QSpinBox):
    """A small number; keys that are no part of one belong to the window, so that space plays here too."""

    def __init__(self, low: int, high: int, step: int, name: str) -> None:
        super().__init__()
        self.setRange(low, high)
        self.setSingleStep(step)
        self.setFixedWidth(58)
        self.setFont(font("sans", 14))
        self.setAccessibleName(name)
        self.lineEdit().installEventFilter(self)

    def event(self, event: QEvent) -> bool:
        return _left_to_window(event) or super().event(event)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        return _left_to_window(event) or super().eventFilter(watched, event)


def _left_to_window(event: QEvent) -> bool:
    """Whether a key is no part of a number; it is handed on then."""
    if event.type() != QEvent.Type.ShortcutOverride or not isinstance(event, QKeyEvent):
        return False
    text = event.text()
    foreign = bool(text) and text.isprintable() and not text.isdigit()
    if foreign:
        event.ignore()
    return foreign


class Chooser(KeyButton):
    """A word that opens a menu of words."""

    chosen = Signal(str)

    def __init__(self, words: Mapping[str, str], name: str) -> None:
        super().__init__()
        self._words, self._name = words, name
        self.setStyleSheet("QPushButton { color: palette(window-text); }")
        menu = QMenu(self)
        for value, word in words.items():
            menu.addAction(word).triggered.connect(lambda _on=False, one=value: self.chosen.emit(one))
        self.setMenu(menu)

    def show_value(self, value: str) -> None:
        """Show a value without telling."""
        self.setText(f"{self._words[value]}  ▾")
        self.setAccessibleName(f"{self._name}: {self._words[value]}")


class Switches(QWidget):
    """Words side by side, one of which is on."""

    chosen = Signal(str)

    def __init__(self, words: Mapping[str, str], name: str) -> None:
        super().__init__()
        self._buttons = {value: _switch(word, f"{name}: {word}") for value, word in words.items()}
        group, row = QButtonGroup(self), _row()
        group.setExclusive(True)
        for value, button in self._buttons.items():
            group.addButton(button)
            row.addWidget(button)
            button.clicked.connect(lambda _on=False, one=value: self.chosen.emit(one))
        row.addStretch(1)
        self.setLayout(row)

    def show_value(self, value: str) -> None:
        """Show a value without telling."""
        self._buttons[value].setChecked(True)


class PracticeSheet(QFrame):
    """Emits what is wished; shows a :class:`app.window.practice_model.PracticeState`."""

    changed = Signal(str, object)  # a field of the state and its value
    level_moved = Signal(str, float)
    part_changed = Signal(str, str, bool)  # "muted" or "soloed", part, on
    both_ways_wished = Signal()
    accompaniment_wished = Signal()  # another than this one
    tempo_kept = Signal()
    closed = Signal()

    def __init__(self, over: QWidget) -> None:
        super().__init__(over)
        self.setObjectName("sheet")
        self.setAccessibleName("Practice")
        self.setFixedWidth(WIDTH)
        self.band = Chooser(BAND_WORDS, "Who plays")
        self.voicing = Chooser(VOICING_WORDS, "Voicings of the piano")
        self.player = Chooser(PLAYER_WORDS, "Sounds for")
        self.player.setToolTip("Whoever reads this page on such an instrument, as it stands, is in tune with the band")
        self.click, self.switch = Switches(CLICK_WORDS, "Click"), Switches(SWITCH_WORDS, "Switch rows")
        self.parts = {(name, part): _switch(part, f"{words} the {part}") for name, words in
                      (("muted", "Mute"), ("soloed", "Hear only")) for part in PARTS_OF_BAND}  # fmt: skip
        self.sliders = {part: level_slider(part) for part in PARTS_OF_BAND}
        self.drop, self.ramp = _switch("drop-outs", "The band drops out"), _switch("slow-down", "Slow-down loop")
        self.numbers = {
            "drop_on": NumberBox(1, 64, 1, "Bars with the band"),
            "drop_off": NumberBox(1, 64, 1, "Bars without the band"),
            "ramp_start": NumberBox(20, 100, 5, "Slow-down begins at so many percent"),
            "ramp_step": NumberBox(1, 50, 1, "Slow-down rises by so many percent"),
            "ramp_passes": NumberBox(1, 64, 1, "Passes at each tempo"),
            "ramp_target": NumberBox(20, 150, 5, "Slow-down ends at so many percent"),
        }
        self.number = _quiet("")
        self.another = KeyButton("draw another")
        self.another.setToolTip("The band plays this take otherwise; saved with it, undone like any edit (Shift+P)")
        self.both_ways = KeyButton("Play these bars both ways")
        self.both_ways.setToolTip("Standard, then take, from the bar before to the bar after (Shift+S)")
        self.keep = KeyButton("")
        self._connect()
        self._arrange()
        self.hide()

    def _connect(self) -> None:
        for name, chooser in (("band", self.band), ("voicing", self.voicing), ("player", self.player),
                              ("click", self.click)):  # fmt: skip
            chooser.chosen.connect(lambda value, field=name: self.changed.emit(field, value))
        self.switch.chosen.connect(lambda value: self.changed.emit("at_bar", value == "bar"))
        for name, button in (("drop", self.drop), ("ramp", self.ramp)):
            button.clicked.connect(lambda on, field=name: self.changed.emit(field, on))
        for name, box in self.numbers.items():
            box.valueChanged.connect(lambda value, field=name: self.changed.emit(field, value))
        for (name, part), button in self.parts.items():
            button.clicked.connect(lambda on, field=name, one=part: self.part_changed.emit(field, one, on))
        for part, slider in self.sliders.items():
            slider.valueChanged.connect(lambda value, one=part: self.level_moved.emit(one, value / 100))
        self.another.clicked.connect(self.accompaniment_wished)
        self.both_ways.clicked.connect(self.both_ways_wished)
        self.keep.clicked.connect(self.tempo_kept)

    def _arrange(self) -> None:
        grid = QGridLayout(self)
        grid.setContentsMargins(16, 12, 14, 12)
        grid.setHorizontalSpacing(10)
        grid.setVerticalSpacing(3)
        grid.setColumnStretch(1, 1)
        number = self.numbers
        rows: tuple[tuple[str, tuple[QWidget | str, ...]], ...] = (
            ("Who plays", (self.band,)),
            ("Voicings", (self.voicing,)),
            ("Sounds for", (self.player,)),
            ("Accompaniment", (self.number, self.another)),
            ("Click", (self.click,)),
            ("Mute", tuple(self.parts["muted", part] for part in PARTS_OF_BAND)),
            ("Hear only", tuple(self.parts["soloed", part] for part in PARTS_OF_BAND)),
            ("Levels", tuple(self.sliders[part] for part in PARTS_OF_BAND)),
            ("", (self.drop, number["drop_on"], "bars on,", number["drop_off"], "off")),
            ("", (self.ramp, number["ramp_start"], "% to", number["ramp_target"], "%")),
            ("", ("by", number["ramp_step"], "% every", number["ramp_passes"], "passes")),
            ("Switch rows", (self.switch,)),
            ("", (self.both_ways, self.keep)),
        )
        for widget in (*self.parts.values(), *self.sliders.values()):
            widget.setFixedWidth(COLUMN)  # a part's mute, solo and level stand under one another
        for place, (label, widgets) in enumerate(rows):
            grid.addWidget(_quiet(label), place, 0)
            grid.addLayout(_line(widgets), place, 1)

    def show_state(self, state: PracticeState, tempo: int, accompaniment: int | None) -> None:
        """Show everything without telling; ``tempo`` is the chart's, ``accompaniment`` the take's, if there is one."""
        self.number.setText("of the standard" if accompaniment is None else f"no. {accompaniment}")
        self.another.setVisible(accompaniment is not None)
        for name in ("band", "voicing", "player", "click"):
            getattr(self, name).show_value(getattr(state, name))
        self.switch.show_value("bar" if state.at_bar else "now")
        for (name, part), button in self.parts.items():
            button.setChecked(part in getattr(state, name))
        self.drop.setChecked(state.drop)
        self.ramp.setChecked(state.ramp)
        for name, box in self.numbers.items():
            box.blockSignals(True)
            box.setValue(getattr(state, name))
            box.blockSignals(False)
        other = state.bpm is not None and state.bpm != tempo
        self.keep.setText(f"Write {state.bpm} into the tune" if other else "")
        self.keep.setVisible(other)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
        else:
            super().keyPressEvent(event)


def _row() -> QHBoxLayout:
    row = QHBoxLayout()
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(2)
    return row


def _line(widgets: tuple[QWidget | str, ...]) -> QHBoxLayout:
    row = _row()
    row.setSpacing(5 if any(isinstance(widget, str) for widget in widgets) else 2)
    if isinstance(widgets[0], QSlider):
        row.setSpacing(2 + COLUMN - SLIDER)
        for widget in widgets:
            cast(QSlider, widget).setFixedWidth(SLIDER)
    if isinstance(widgets[0], str | QSlider | QLabel):
        row.addSpacing(LEAD)
    for widget in widgets:
        row.addWidget(_quiet(widget) if isinstance(widget, str) else widget)
    row.addStretch(1)
    return row


def _quiet(text: str) -> QLabel:
    label = QLabel(text)
    label.setFont(font("sans", 13))
    label.setProperty("quiet", True)
    return label


def _switch(text: str, name: str) -> KeyButton:
    button = KeyButton(text)
    button.setCheckable(True)
    button.setAccessibleName(name)
    return button
