"""The band under the page: play, which row is heard, tempo, loop, count-in, levels, and what the chart stands at."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPolygonF, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QSizePolicy, QSlider, QVBoxLayout, QWidget

from app.window.elided_label import ElidedLabel
from app.window.fonts import font
from app.window.key_button import KeyButton
from app.window.page.brush import Brush
from app.window.theme import Theme
from core.timeline import LISTENING_ADVICE, MAX_BPM, MIN_BPM

ADVICE_MILLISECONDS = 20_000
SPARE, LEAST_SUMMARY = 100, 60
"""Pixels for margins and gaps of the row beside what stands in it."""
PARTS = (("piano", "piano"), ("bass", "bass"), ("drums", "drums"), ("tune", "tune"))


class PlayButton(KeyButton):
    """A triangle that becomes a square while sound runs."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.theme, self._playing = theme, False
        self.setFixedSize(30, 28)
        self.setToolTip("Play or stop (Space)")
        self.set_playing(False)

    def set_playing(self, playing: bool) -> None:
        """Show what a press would do."""
        self._playing = playing
        self.setAccessibleName("Stop" if playing else "Play")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        brush = Brush(painter, self.theme)
        if self.hasFocus():
            painter.setPen(brush.pen("second", 1.2))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 4, 4)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(brush.colour("second"))
        if self._playing:
            painter.drawRoundedRect(QRectF(8, 7, 14, 14), 1.5, 1.5)
        else:
            painter.drawPolygon(QPolygonF([QPointF(7, 5), QPointF(24, 14), QPointF(7, 23)]))
        painter.end()


class SideSwitch(QWidget):
    """Standard | Take: a knob that slides between two words. Click, Enter or the arrow keys move it."""

    moved = Signal(str)  # "standard" or "take"

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.theme, self._side, self._waiting = theme, "take", False
        self.setFixedSize(166, 28)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setToolTip("Which row is heard (S)")
        self.set_side("take")

    @property
    def side(self) -> str:
        """Which row is heard."""
        return self._side

    def set_side(self, side: str) -> None:
        """Show a side without telling."""
        self._side, self._waiting = side, False
        self.setAccessibleName(f"Heard row: {side}")
        self.update()

    def wait(self) -> None:
        """The side will be heard from the next bar on: until then the knob stands between the two."""
        self._waiting = True
        self.setAccessibleName(f"Heard row: {self._side}, from the next bar")
        self.update()

    def flip(self) -> None:
        """The other side, and tell; without a take there is no other."""
        if not self.isEnabled():
            return
        self.set_side("standard" if self._side == "take" else "take")
        self.moved.emit(self._side)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        brush, take = Brush(painter, self.theme), self._side == "take" and self.isEnabled()
        brush.text(0, 19, "Standard", "label" if take else "ink", "sans", 14, "regular" if take else "strong")
        painter.setPen(brush.pen("second" if take or self.hasFocus() else "label", 1.4))
        painter.setBrush(brush.colour("second" if take else "foot"))
        painter.drawRoundedRect(QRectF(70, 5, 40, 19), 9.5, 9.5)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(brush.colour("on_second" if take else "label"))
        painter.drawEllipse(QRectF(83 if self._waiting else 93 if take else 73, 7.5, 14, 14))
        brush.text(119, 19, "Take", "second" if take else "label", "sans", 14, "strong" if take else "regular")
        if self.hasFocus():
            painter.setPen(brush.dashed("second", 1.0, (2.0, 2.0)))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(66, 2, 48, 25), 12, 12)
        painter.end()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.flip()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        side = {Qt.Key.Key_Left: "standard", Qt.Key.Key_Right: "take"}.get(Qt.Key(event.key()))
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) or (side and side != self._side):
            self.flip()
        else:
            super().keyPressEvent(event)


class TempoField(QLineEdit):
    """A number that is typed, or moved by the arrow keys and the wheel."""

    moved = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        self._tempo = 0
        self.setObjectName("tempo")
        self.setFont(font("sans", 17, "strong"))
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.setFixedWidth(46)
        self.setMaxLength(3)
        self.setAccessibleName("Tempo, quarter notes a minute")
        self.setToolTip("Tempo to play at: type it, or Ctrl+Up and Ctrl+Down anywhere; the tune keeps its own")
        self.editingFinished.connect(self._on_typed)

    def show_tempo(self, tempo: int) -> None:
        """Show a tempo without telling."""
        self._tempo = tempo
        self.setText(str(tempo))

    def _on_typed(self) -> None:
        self._move(int(self.text()) if self.text().isdigit() else self._tempo)

    def _move(self, tempo: int) -> None:
        held = max(round(MIN_BPM), min(round(MAX_BPM), tempo))
        changed = held != self._tempo
        self.show_tempo(held)
        if changed:
            self.moved.emit(held)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = {Qt.Key.Key_Up: 1, Qt.Key.Key_Down: -1, Qt.Key.Key_PageUp: 10, Qt.Key.Key_PageDown: -10}.get(
            Qt.Key(event.key())
        )
        if step is None:
            super().keyPressEvent(event)
        else:
            self._move(self._tempo + step)

    def wheelEvent(self, event: QWheelEvent) -> None:
        self._move(self._tempo + (1 if event.angleDelta().y() > 0 else -1))
        event.accept()


class Transport(QWidget):
    """Emits intents; shows what it is told."""

    play_pressed = Signal()
    side_moved = Signal(str)
    tempo_moved = Signal(int)
    loop_pressed = Signal(bool)
    count_in_pressed = Signal(bool)
    tempo_reset = Signal()
    level_moved = Signal(str, float)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.play, self.side = PlayButton(theme), SideSwitch(theme)
        self.tempo = TempoField()
        self.own_tempo = KeyButton("bpm", 13)
        self.loop, self.count_in = _word_button("no loop"), _word_button("count-in")
        self.practice = _word_button("practice")
        self.practice.setToolTip("Click, drop-outs, slow-down, who plays (P)")
        self.sliders = {part: level_slider(label) for part, label in PARTS}
        self.summary = ElidedLabel(theme)
        self.summary.words_changed.connect(self._fit)
        self.advice = QLabel()
        self.advice.setFont(font("sans", 12))
        self.advice.setProperty("quiet", True)
        self._keep_room(self.advice)
        self.advice.hide()
        self._connect()
        self._arrange()

    def _connect(self) -> None:
        self.play.clicked.connect(self.play_pressed)
        self.side.moved.connect(self.side_moved)
        self.tempo.moved.connect(self.tempo_moved)
        self.own_tempo.clicked.connect(self.tempo_reset)
        self.loop.clicked.connect(self.loop_pressed)
        self.count_in.clicked.connect(self.count_in_pressed)
        for part, slider in self.sliders.items():
            slider.valueChanged.connect(lambda value, name=part: self.level_moved.emit(name, value / 100))

    def _arrange(self) -> None:
        self.own_tempo.setEnabled(False)
        self._row = row = QHBoxLayout()
        self._words = (self.play, self.side, self.tempo, self.own_tempo, self.loop, self.count_in, self.practice)
        row.setContentsMargins(30, 8, 36, 0)
        row.setSpacing(8)
        for widget, gap in ((self.play, 2), (self.side, 6), (self.tempo, 0), (self.own_tempo, 2), (self.loop, 0),
                            (self.count_in, 0), (self.practice, 8)):  # fmt: skip
            row.addWidget(widget)
            row.addSpacing(gap)
        self._levels = QWidget()
        levels = QHBoxLayout(self._levels)
        levels.setContentsMargins(0, 0, 0, 0)
        levels.setSpacing(8)
        for part, label in PARTS:
            levels.addWidget(_small(label))
            levels.addWidget(self.sliders[part])
            levels.addSpacing(6)
        row.addWidget(self._levels)
        row.addWidget(self.summary, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addLayout(row)
        layout.addWidget(self.advice)
        self.advice.setContentsMargins(36, 2, 0, 0)

    @staticmethod
    def _keep_room(widget: QWidget) -> None:
        """Nothing moves when the widget comes or goes."""
        policy = widget.sizePolicy()
        policy.setRetainSizeWhenHidden(True)
        widget.setSizePolicy(policy)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Levels stand here where there is room for all of the summary too; the practice sheet has them as well."""
        others = sum(widget.sizeHint().width() + self._row.spacing() for widget in self._words)
        room = self.width() - others - self.summary.wanted - self._levels.minimumSizeHint().width() - SPARE
        self._levels.setVisible(room >= 0)
        self.summary.setMinimumWidth(self.summary.wanted if room >= 0 else LEAST_SUMMARY)

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self.play.theme = self.side.theme = self.summary.theme = theme
        self.update()

    def set_tempo(self, tempo: int, own: int) -> None:
        """Show the tempo that is played, and the tune's own where that is another."""
        self.tempo.show_tempo(tempo)
        same = tempo == own
        self.own_tempo.setText("bpm" if same else f"bpm, not {own}")
        self.own_tempo.setEnabled(not same)
        self.own_tempo.setToolTip("" if same else f"The tune is at {own}: play it so again")
        self.own_tempo.setAccessibleName("quarter notes a minute" if same else f"Back to the tune's own tempo, {own}")

    def set_practice(self, words: str, is_open: bool) -> None:
        """Say what is practised; the word is lit while anything is, or the sheet is open."""
        self.practice.setText(words)
        self.practice.setChecked(is_open or words != "practice")

    def set_loop(self, words: str, on: bool) -> None:
        """Say what is looped."""
        self.loop.setText(words)
        self.loop.setChecked(on)
        self.loop.setProperty("second", on)

    def set_levels(self, levels: dict[str, float]) -> None:
        """Show levels 0..1 without telling."""
        show_levels(self.sliders, levels)

    def show_advice(self, words: str) -> None:
        """One line about hearing, for as long as it takes to read it."""
        self.advice.setText(words)
        self.advice.setVisible(bool(words))
        QTimer.singleShot(ADVICE_MILLISECONDS, self.advice, self.advice.hide)


def _small(text: str) -> QLabel:
    label = QLabel(text)
    label.setFont(font("sans", 13))
    label.setProperty("quiet", True)
    return label


def _word_button(text: str) -> KeyButton:
    button = KeyButton(text)
    button.setCheckable(True)
    return button


def show_levels(sliders: dict[str, QSlider], levels: dict[str, float]) -> None:
    """Show levels 0..1 without telling."""
    for part, level in levels.items():
        sliders[part].blockSignals(True)
        sliders[part].setValue(round(level * 100))
        sliders[part].blockSignals(False)


def level_slider(label: str) -> QSlider:
    """How loud a part is, 0..100."""
    slider = QSlider(Qt.Orientation.Horizontal)
    slider.setRange(0, 100)
    slider.setMinimumSize(QSize(34, 18))
    slider.setMaximumWidth(64)
    slider.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
    slider.setAccessibleName(f"Level of the {label}")
    slider.setToolTip(f"How loud the {label} is; all the way down is silent. {LISTENING_ADVICE}")
    return slider
