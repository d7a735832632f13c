"""The window of voicings: the chord in hand, how it is wanted, its voicings as cards, what else fits it."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QHBoxLayout,
    QLabel,
    QLayout,
    QListWidget,
    QListWidgetItem,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.window.fonts import font
from app.window.hands_model import HandsReading, HandsWish
from app.window.hands_view import HandCards
from app.window.key_button import KeyButton
from app.window.page.title_label import ChordTitle
from app.window.theme import Theme

INSTRUMENTS = {"piano": "Piano", "guitar": "Guitar"}
TUNES = {"below": "below the tune", "top": "the tune on top", "off": "the tune left out"}
BASS = {True: "with a bass player", False: "alone, root below"}
LABELS = ("degrees", "notes")
HINT = "Arrows step through voicings and chords, Enter locks one, Space sounds it, Esc closes"


class HandsWindow(QDialog):
    """Stays beside the main window and follows what is selected there; emits wishes."""

    wished = Signal()  # another instrument, style, tuning or place of the tune
    heard = Signal(object)  # groups of notes
    lock_wished = Signal()
    chord_wished = Signal(int)
    shown = Signal()

    def __init__(self, theme: Theme, tunings: tuple[str, ...], styles: dict[str, tuple[str, ...]],
                 parent: QWidget | None = None) -> None:  # fmt: skip
        super().__init__(parent)
        self.setWindowTitle("Voicings to play")
        self.setMinimumSize(560, 480)
        self.resize(980, 700)
        self._styles = styles
        self.title = ChordTitle(theme, self)
        self.instrument, self.style_box, self.tune, self.tuning, self.bass, self.labels = (
            QComboBox() for _ in range(6)
        )
        self._boxes = (self.instrument, self.style_box, self.tune, self.labels, self.bass, self.tuning)
        self.lock = KeyButton("Lock", pixels=14)
        self.lock.setToolTip("Keep this voicing and plan the others around it (Enter)")
        self.cards = HandCards(theme)
        self.said = QLabel()
        self.said.setWordWrap(True)
        self.colours = QListWidget()
        self._hint = QLabel(HINT)
        self._fill(tunings)
        self._arrange()
        self._connect()

    def _fill(self, tunings: tuple[str, ...]) -> None:
        for name, words in INSTRUMENTS.items():
            self.instrument.addItem(words, name)
        for name, words in TUNES.items():
            self.tune.addItem(words, name)
        for name in tunings:
            self.tuning.addItem(name, name)
        for on, words in BASS.items():
            self.bass.addItem(words, on)
        for name in LABELS:
            self.labels.addItem(name, name)
        names = ("Instrument", "Style", "The tune", "In the pictures", "The bass", "Tuning")
        for box, words in zip(self._boxes, names, strict=True):
            box.setAccessibleName(words)
            box.setFont(font("sans", 14))
        self.colours.setObjectName("book")  # a list without a frame
        self.colours.setAccessibleName("Scales and triads over this chord")
        self.colours.setFont(font("sans", 14))
        self.colours.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.colours.setWordWrap(True)
        self.colours.setMinimumHeight(120)
        self.said.setFont(font("sans", 14))
        self._hint.setFont(font("sans", 12.5))
        self._hint.setProperty("quiet", True)

    def _arrange(self) -> None:
        head = QHBoxLayout()
        head.setSpacing(8)
        head.addWidget(self.title, 1)
        head.addWidget(self.lock)
        wishes = QHBoxLayout()
        wishes.setSpacing(8)
        for box in self._boxes:
            wishes.addWidget(box)
        wishes.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidget(self.cards)
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QScrollArea.Shape.NoFrame)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._scroll = scroll
        fits = QLabel("What else fits")
        fits.setFont(font("serif", 16, "strong"))
        layout = QVBoxLayout(self)
        layout.setSizeConstraint(QLayout.SizeConstraint.SetNoConstraint)
        layout.setContentsMargins(20, 14, 20, 10)
        layout.setSpacing(8)
        layout.addLayout(head)
        layout.addLayout(wishes)
        layout.addWidget(scroll, 3)
        layout.addWidget(self.said)
        layout.addWidget(fits)
        layout.addWidget(self.colours, 2)
        layout.addWidget(self._hint, 0, Qt.AlignmentFlag.AlignRight)

    def _connect(self) -> None:
        self.instrument.currentIndexChanged.connect(self._on_instrument)
        for box in self._boxes[1:]:
            box.currentIndexChanged.connect(lambda _index: self.wished.emit())
        self.cards.chosen.connect(self._on_card)
        self.cards.lock_wished.connect(self.lock_wished)
        self.cards.chord_wished.connect(self.chord_wished)
        self.lock.clicked.connect(self.lock_wished)
        self.colours.itemActivated.connect(self._on_line)
        self.colours.itemClicked.connect(self._on_line)
        self.colours.installEventFilter(self)

    # --- what is wished ----------------------------------------------------------------------------------------------

    def show_wish(self, wish: HandsWish) -> None:
        """Set the choosers without telling."""
        for box in self._boxes:
            box.blockSignals(True)
        self.instrument.setCurrentIndex(self.instrument.findData(wish.instrument))
        self._fill_styles(wish.guitar_style if wish.on_guitar else wish.piano_style)
        self.tune.setCurrentIndex(self.tune.findData(wish.tune))
        self.tuning.setCurrentIndex(self.tuning.findData(wish.tuning))
        self.bass.setCurrentIndex(self.bass.findData(wish.bass))
        self.labels.setCurrentIndex(self.labels.findData(wish.labels))
        for box in (self.tuning, self.bass):
            box.setVisible(wish.on_guitar)
        for box in self._boxes:
            box.blockSignals(False)

    def _fill_styles(self, chosen: str) -> None:
        self.style_box.clear()
        for name in self._styles[str(self.instrument.currentData())]:
            self.style_box.addItem(name, name)
        self.style_box.setCurrentIndex(max(0, self.style_box.findData(chosen)))

    def _on_instrument(self) -> None:
        self.style_box.blockSignals(True)
        self._fill_styles("")
        self.style_box.blockSignals(False)
        self.wished.emit()

    # --- what is shown -----------------------------------------------------------------------------------------------

    def show_reading(self, reading: HandsReading) -> None:
        """Show another chord."""
        self.title.set_title(reading.place, (reading.parts,))
        self.cards.set_cards(reading.cards, reading.open_notes, reading.locked)
        self._scroll.setMaximumHeight(self.cards.height() + 4)
        self._scroll.verticalScrollBar().setValue(0)
        self.said.setText(" ".join(reading.said))
        self.lock.setEnabled(bool(reading.cards))
        self._show_lock()
        self.colours.clear()
        for line in reading.colours:
            item = QListWidgetItem(line.words)
            item.setData(Qt.ItemDataRole.UserRole, line.groups)
            item.setFont(font("sans", 14, "strong" if line.first_choice else "regular"))
            item.setToolTip("Click or Enter to hear it")
            self.colours.addItem(item)

    def _show_lock(self) -> None:
        self.lock.setText("Unlock" if self.cards.locked and self.cards.at == 0 else "Lock")

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self.title.set_theme(theme)
        self.cards.set_theme(theme)

    def _on_card(self, _index: int) -> None:
        self._show_lock()
        self._scroll.ensureVisible(0, round(self.cards.area(self.cards.at).center().y()), 0, 90)
        if self.cards.card is not None:
            self.heard.emit((self.cards.card.notes,))

    def _on_line(self, item: QListWidgetItem) -> None:
        self.heard.emit(item.data(Qt.ItemDataRole.UserRole))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Space sounds the line in hand."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Space:
            item = self.colours.currentItem()
            if item is not None:
                self._on_line(item)
            return True
        return super().eventFilter(watched, event)

    def showEvent(self, event: object) -> None:
        self.shown.emit()
