"""Who keeps the window of voicings true: it follows the selection, plans in the background, keeps what is locked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from app.window.background import Background
from app.window.desk import Desk
from app.window.hands_model import (
    HandsLock,
    HandsReading,
    HandsWish,
    heard_chart,
    heard_timeline,
    read_hands,
    row_in_hand,
    slot_in_hand,
)
from app.window.playback import Playback
from app.window.settings import Settings
from app.window.theme import Theme

if TYPE_CHECKING:
    from app.window.hands_window import HandsWindow
    from core.chart import Chart
    from core.timeline import Timeline

RING = 3
"""Quarter notes that a single chord rings."""


class HandsControl(QObject):
    """Makes the window when it is first wanted. Locks are kept while the program runs."""

    said = Signal(str)

    def __init__(self, desk: Desk, background: Background, playback: Playback, settings: Settings, theme: Theme,
                 owner: QWidget) -> None:  # fmt: skip
        super().__init__(owner)
        self._desk, self._background, self._playback = desk, background, playback
        self._settings, self._theme, self._owner = settings, theme, owner
        self.window: HandsWindow | None = None
        self.reading: HandsReading | None = None
        self.locks: tuple[HandsLock, ...] = ()
        desk.chart_changed.connect(self._ask)
        desk.selected.connect(self._ask)
        settings.changed.connect(self._on_setting)

    @property
    def wish(self) -> HandsWish:
        """How voicings are wanted."""
        get = self._settings.get
        return HandsWish(get("hands_instrument"), get("hands_piano"), get("hands_guitar"), get("hands_tune"),
                         get("hands_tuning"), get("hands_bass"), get("hands_labels"))  # fmt: skip

    @property
    def is_open(self) -> bool:
        """Whether the window is on screen."""
        return self.window is not None and self.window.isVisible()

    def open(self) -> None:
        """Show the voicings of the selected chord."""
        if self.window is None:
            self._make_window()
        assert self.window is not None
        self.window.show_wish(self.wish)
        self.window.show()
        self.window.activateWindow()
        self.window.cards.setFocus()

    def _make_window(self) -> None:
        from app.window.hands_window import HandsWindow
        from core.hands.fretboard import TUNINGS
        from core.hands.tones import GUITAR_STYLES
        from core.voicing_shapes import PIANO_STYLES

        styles: dict[str, tuple[str, ...]] = {"piano": tuple(PIANO_STYLES), "guitar": tuple(GUITAR_STYLES)}
        self.window = window = HandsWindow(self._theme, tuple(TUNINGS), styles, self._owner)
        window.wished.connect(self._on_wish)
        window.heard.connect(self.hear)
        window.lock_wished.connect(self.toggle_lock)
        window.chord_wished.connect(self.step)
        window.shown.connect(self._ask)

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        if self.window is not None:
            self.window.set_theme(theme)

    def _on_setting(self, key: str) -> None:
        if key == "chord_style":
            self._ask()

    def _on_wish(self) -> None:
        assert self.window is not None
        instrument = str(self.window.instrument.currentData())
        self._settings.set("hands_instrument", instrument)
        self._settings.set(f"hands_{instrument}", str(self.window.style_box.currentData()))
        self._settings.set("hands_tune", str(self.window.tune.currentData()))
        self._settings.set("hands_tuning", str(self.window.tuning.currentData()))
        self._settings.set("hands_labels", str(self.window.labels.currentData()))
        self._settings.set("hands_bass", bool(self.window.bass.currentData()))
        self.window.show_wish(self.wish)
        self._ask()

    # --- asking ------------------------------------------------------------------------------------------------------

    def _ask(self) -> None:
        if not self.is_open:
            return
        desk = self._desk
        name = row_in_hand(desk.chart, desk.take, desk.selection.row)
        slot = slot_in_hand(desk.active_row, desk.row_form, min(desk.selection.head, len(desk.row_form.bars) - 1),
                            desk.selection.slot)  # fmt: skip
        self._background.ask("hands", self._show, read_hands, desk.chart, name, slot, self.wish, self.locks,
                             self._settings.get("chord_style"))  # fmt: skip

    def _show(self, reading: HandsReading) -> None:
        self.reading = reading
        if self.window is not None:
            self.window.show_reading(reading)

    def step(self, way: int) -> None:
        """Go to the next chord or the one before, on the page too."""
        desk = self._desk
        place = self.reading.slot if self.reading is not None else 0
        here = desk.selection._replace(slot=place)
        desk.select(here.to_slot(desk.active_row, desk.row_form, way))

    def toggle_lock(self) -> None:
        """Keep the voicing in hand, or let it go if it is the one that is kept."""
        if self.reading is None or self.window is None or self.window.cards.card is None:
            return
        reading, card, wish = self.reading, self.window.cards.card, self.wish
        here = (reading.row, reading.onset, wish.instrument)
        others = tuple(lock for lock in self.locks if (lock.row, lock.onset, lock.instrument) != here)
        let_go = reading.locked and self.window.cards.at == 0
        mine = HandsLock(reading.row, reading.onset, wish.instrument, reading.chord, card.voicing)
        self.locks = others if let_go else (*others, mine)
        self._ask()

    # --- hearing -----------------------------------------------------------------------------------------------------

    def hear(self, groups: tuple[tuple[int, ...], ...]) -> None:
        """Sound groups of notes one after the other."""
        on_guitar = self.wish.on_guitar
        beats = RING if len(groups) < 2 else 2 * len(groups) + 1 if len(groups) == 2 else len(groups) // 2 + 3

        def make(chart: Chart, _take: str | None) -> Timeline:
            return heard_timeline(chart, groups, on_guitar)

        self._playback.hear_example(heard_chart(self._desk.chart, beats), None, make)
