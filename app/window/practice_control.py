"""Between the practice sheet, the actions and the playback: what is set, what is remembered, what is said."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from functools import partial
from typing import Any

from PySide6.QtCore import QEvent, QObject, QPoint, Qt, Signal
from PySide6.QtWidgets import QWidget

from app.window.desk import Desk
from app.window.playback import Playback
from app.window.practice_model import KEPT, PracticeState, summary
from app.window.practice_sheet import MARGIN, PracticeSheet
from app.window.settings import Settings
from app.window.transport import Transport
from core import edit
from core.chart import TEMPO_RANGE
from core.errors import ChangewrightError
from core.sound.practice import PARTS_OF_BAND
from core.timeline import MAX_BPM, MIN_BPM


class PracticeControl(QObject):
    """Keeps one :class:`PracticeState`; whatever changes it goes through :meth:`change`."""

    said = Signal(str)
    changed = Signal(object)  # the state
    both_ways_wished = Signal()
    loop_wished = Signal()  # a slow-down needs something to go round

    def __init__(self, desk: Desk, playback: Playback, transport: Transport, settings: Settings,
                 room: QWidget) -> None:  # fmt: skip
        super().__init__(room)
        self._desk, self._playback, self._transport, self._settings, self._room = (
            desk, playback, transport, settings, room)  # fmt: skip
        self._rests = False
        self.right_edge: Callable[[], int] | None = None
        self.state = _remembered(settings)
        self.sheet = PracticeSheet(room)
        self._connect()
        room.installEventFilter(self)
        self._apply(PracticeState())

    def _connect(self) -> None:
        self.sheet.changed.connect(self.change)
        self.sheet.part_changed.connect(self.set_part)
        self.sheet.accompaniment_wished.connect(self.accompany)
        self.sheet.both_ways_wished.connect(self.both_ways_wished)
        self.sheet.tempo_kept.connect(self.keep_tempo)
        self.sheet.closed.connect(self.close)
        self._transport.practice.clicked.connect(self.toggle_sheet)
        self._transport.tempo_reset.connect(lambda: self.set_tempo(None))
        self._playback.band_rests.connect(self._on_rest)
        self._playback.ramp_stepped.connect(self._show)
        self._desk.chart_changed.connect(self._show)
        self._desk.document.replaced.connect(self._on_replaced)

    # --- what is asked ---------------------------------------------------------------------------------------------

    def change(self, name: str, value: object) -> None:
        """Set a field of the state."""
        changed: dict[str, Any] = {name: value}
        self._take(replace(self.state, **changed))
        if name in KEPT:
            self._settings.set(name, value)

    def toggle(self, name: str, on: bool) -> None:
        """A switch of the menu."""
        if getattr(self.state, name) != on:
            self.change(name, on)

    def set_click(self, on: bool) -> None:
        """The click on 2 and 4, or none; a click on every beat stays one."""
        if (self.state.click != "off") != on:
            self.change("click", "backbeat" if on else "off")

    def set_part(self, name: str, part: str, on: bool) -> None:
        """Mute (``muted``) or solo (``soloed``) a part."""
        self._take(self.state.with_part(name, part, on))

    @property
    def tempo(self) -> int:
        """The tempo that is practised: quarter notes a minute."""
        return self.state.bpm or self._desk.chart.tempo

    def set_tempo(self, tempo: int | None) -> None:
        """Practise at a tempo, None for the chart's own; the chart is not changed."""
        held = None if tempo is None else max(round(MIN_BPM), min(round(MAX_BPM), tempo))
        self.change("bpm", None if held == self._desk.chart.tempo else held)

    def keep_tempo(self) -> None:
        """Write the tempo into the chart: an edit like any other."""
        if self.state.bpm is None:
            self.said.emit(f"The tune is at {self.tempo} already; choose another tempo first.")
            return
        tempo = max(TEMPO_RANGE[0], min(TEMPO_RANGE[1], self.state.bpm))
        self.change("bpm", None)
        self._desk.edit("tempo", edit.set_tempo, tempo, merge="tempo")

    def accompany(self) -> None:
        """Have the band play the take otherwise: an edit like any other, kept in the file."""
        take = self._desk.take
        if take is None:
            self.said.emit("The standard alone is always played the same; make a take first, then draw another.")
            return
        seed = take.seed + 1
        if self._desk.edit("accompaniment", edit.set_seed, take.name, seed):
            self.said.emit(f"The band plays accompaniment {seed} of this take; undo brings the last one back.")

    def loop_changed(self, looping: bool) -> None:
        """Without a loop there are no passes to slow down for."""
        if not looping and self.state.ramp:
            self.change("ramp", False)

    # --- what follows ----------------------------------------------------------------------------------------------

    def _take(self, state: PracticeState) -> None:
        before, self.state = self.state, state
        self._apply(before)

    def _apply(self, before: PracticeState) -> None:
        state = self.state
        if state.ramp and not before.ramp:
            self.loop_wished.emit()
        # Each of these does nothing where nothing has changed, so a tempo and a ramp cost one new timeline, not two.
        self._playback.set_practice(state.practice)
        self._playback.set_ramp(state.ramp_now)
        self._playback.set_drop_outs(state.drop_outs)
        self._playback.set_silent(state.silent)
        self._show()
        self.changed.emit(state)

    def _show(self) -> None:
        tempo = self._desk.chart.tempo
        self._transport.set_tempo(self.tempo, tempo)
        words = summary(self.state, tempo, self._playback.ramp_index, self._rests)
        self._transport.set_practice(words, not self.sheet.isHidden())
        self.sheet.show_state(self.state, tempo, self._desk.take.seed if self._desk.take else None)
        if not self.sheet.isHidden():
            self._place()

    def _on_rest(self, rests: bool) -> None:
        self._rests = rests
        self._show()

    def _on_replaced(self) -> None:
        """Another tune is played at its own tempo, by everyone."""
        fresh: dict[str, Any] = {name: getattr(self.state, name) for name in KEPT}
        self._take(PracticeState(**fresh))

    # --- the sheet -------------------------------------------------------------------------------------------------

    def toggle_sheet(self) -> None:
        """Open the sheet, or close it."""
        if not self.sheet.isHidden():
            self.close()
            return
        self.sheet.show()
        self.sheet.raise_()
        self._show()
        self.sheet.band.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def close(self) -> None:
        """Put the sheet away; the keyboard goes back to the word that opened it."""
        self.sheet.hide()
        self._show()
        self._transport.practice.setFocus(Qt.FocusReason.OtherFocusReason)

    def _place(self) -> None:
        self.sheet.adjustSize()
        button = self._transport.practice
        corner = button.mapTo(self._room, QPoint(0, 0))
        edge = self.right_edge() if self.right_edge is not None else self._room.width() - MARGIN
        x = min(corner.x(), edge - self.sheet.width())  # over the page, not over the proposals
        y = max(MARGIN, corner.y() - self.sheet.height() - MARGIN)
        self.sheet.move(max(MARGIN, x), y)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize and not self.sheet.isHidden():
            self._place()
        return super().eventFilter(watched, event)


def _remembered(settings: Settings) -> PracticeState:
    """What was set last time; a stored value that is none any more counts as never set."""
    state = PracticeState()
    for name in KEPT:
        value: dict[str, Any] = {name: settings.get(name)}
        with suppress(ChangewrightError):
            tried = replace(state, **value)
            if tried.is_playable():
                state = tried
    return state


def part_handlers(control: PracticeControl) -> dict[str, Any]:
    """The switches of the menu that mute or solo a part, by the id of their action."""
    return {f"{verb}_{part}": partial(control.set_part, name, part)
            for verb, name in (("mute", "muted"), ("solo", "soloed")) for part in PARTS_OF_BAND}  # fmt: skip
