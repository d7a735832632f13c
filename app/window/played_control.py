"""Between the MIDI keyboard and the chart: chords are named and put into a bar, notes are written on the staff one by
one or recorded against the count."""

from __future__ import annotations

import time
from typing import Any

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from app.window.bar_control import BarControl
from app.window.desk import Desk
from app.window.page.page_view import PageView
from app.window.play_control import PlayControl
from app.window.playback import Playback
from app.window.played_model import Hand, Place, Recorder, melody_owner, note_names, place_of, put_slots
from app.window.played_slip import PlayedSlip
from app.window.practice_control import PracticeControl
from app.window.tune_control import TuneControl
from core.arrange.settings import PLAYERS
from core.chord_naming import NamedChord
from core.spelling import printed
from core.take_down import play_in

NOTHING_PLAYED = "Play a chord on the MIDI keyboard first; choose the keyboard under Play, Sound and MIDI."
ONE_NOTE = "one note is no chord"
NOTHING_RECORDED = "Nothing was played, so the tune is as it was."


class PlayedControl(QObject):
    """Follows the ``played`` events of the player."""

    said = Signal(str)
    recording_changed = Signal(bool)

    def __init__(self, desk: Desk, playback: Playback, page: PageView, bars: BarControl, tune: TuneControl,
                 play: PlayControl, practice: PracticeControl, window: QWidget) -> None:  # fmt: skip
        super().__init__(window)
        self._desk, self._playback, self._bars, self._tune = desk, playback, bars, tune
        self._play, self._practice = play, practice
        self.slip = PlayedSlip(page)
        self._hand = Hand()
        self._names: tuple[NamedChord, ...] = ()
        self._at = 0
        self._style = "plain"
        self.is_asleep = False  # someone else listens to the keyboard
        self._recorder: Recorder | None = None
        self._bpm, self._muted, self._begun = 120.0, False, False
        playback.came.connect(self._on_event)
        playback.playing_changed.connect(self._on_playing)
        desk.selected.connect(self._name)
        desk.chart_changed.connect(self._name)
        desk.document.replaced.connect(self._forget)
        self.slip.chosen.connect(lambda button: self._choose(self.slip.index_of(button)))

    # --- what is asked -----------------------------------------------------------------------------------------------

    def put(self) -> None:
        """Put the chosen name into the selected bar, or over the selected chord."""
        if not self._names:
            self.said.emit(NOTHING_PLAYED)
            return
        place, name = self._place(), self._names[self._at]
        if self._bars.put(place.start, place.end, put_slots(place, name)):
            self._show()

    def next_name(self) -> None:
        """The next name for what was played; after the last the first."""
        if not self._names:
            self.said.emit(NOTHING_PLAYED)
            return
        self._choose((self._at + 1) % len(self._names))

    def record(self, on: bool) -> None:
        """Record the tune against the playing count, from the selection if nothing plays yet; or end and write it."""
        if on == (self._recorder is not None):
            return
        if not on:
            self._finish()
            return
        self._recorder = Recorder(PLAYERS[self._practice.state.player][1])
        self._muted = "tune" not in self._practice.state.muted
        if self._muted:  # the old tune would be in the way of the new
            self._practice.set_part("muted", "tune", True)
        self._begun = self._playback.is_playing
        self.recording_changed.emit(True)
        self.said.emit("Recording: play the tune; stop to write it down.")
        if not self._playback.is_playing:
            self._play.play_here()

    def set_style(self, style: str) -> None:
        """A house style of chord symbols."""
        self._style = style
        if not self.slip.isHidden():
            self._show()

    # --- what comes --------------------------------------------------------------------------------------------------

    def _on_event(self, event: dict[str, Any]) -> None:
        if event.get("event") == "position":
            self._bpm = float(event.get("bpm", self._bpm))
        elif event.get("event") == "played" and not self.is_asleep:
            self._on_played(event)

    def _on_played(self, event: dict[str, Any]) -> None:
        on, pitch = bool(event["on"]), int(event["pitch"])
        if self._recorder is not None:
            self._recorder.feed(event)
        elif self._tune.on:
            if on:
                self._tune.play_note(pitch - PLAYERS[self._practice.state.player][1])
        elif self._hand.feed(on, pitch):
            self._name(fresh=True)

    def _on_playing(self, playing: bool) -> None:
        if playing:
            self._begun = True
        elif self._recorder is not None and self._begun:
            self._finish()

    def _forget(self) -> None:
        """Another tune: nothing was played for it."""
        self._recorder_off()
        self._names, self._at = (), 0
        self._hand = Hand()
        self.slip.hide()

    # --- chords ------------------------------------------------------------------------------------------------------

    def _place(self) -> Place:
        desk = self._desk
        chosen = desk.selection
        return place_of(desk.row_form, desk.active_row, desk.chart.key_of(desk.take), chosen.head, chosen.slot)

    def _pitches(self) -> frozenset[int]:
        shift = PLAYERS[self._practice.state.player][1]
        return frozenset(pitch - shift for pitch in self._hand.chord)

    def _name(self, fresh: bool = False) -> None:
        """Name what was played where it would go now; the choice among the names stays unless they are others."""
        if not self._hand.chord or (self.slip.isHidden() and not fresh):
            return
        names = self._place().names(self._pitches())
        if fresh or [name.chord for name in names] != [name.chord for name in self._names]:
            self._at = 0
        self._names = names
        self._show()

    def _choose(self, at: int) -> None:
        self._at = at
        self._show()

    def _show(self) -> None:
        key = self._place().key
        name = self._names[self._at] if self._names else None
        shown = [(printed(one.chord, key, self._style), one.words) for one in self._names]
        bar = self._desk.row_form.bars[self._desk.selection.head]
        where = "the chosen chord" if self._desk.selection.slot is not None else f"bar {bar.number}"
        more = ", Shift+Q takes the next name" if len(shown) > 1 else ""
        words = f"Q puts it in {where}{more}" if shown else ONE_NOTE if len(self._pitches()) == 1 else "no name"
        self.slip.show_names(note_names(self._pitches(), name, key), shown, self._at, words)

    # --- the tune ----------------------------------------------------------------------------------------------------

    def _finish(self) -> None:
        recorder = self._recorder
        self._recorder_off()
        if recorder is None:
            return
        heard = recorder.finish(time.perf_counter(), self._bpm)
        chart, take = self._desk.chart, self._desk.take
        after = play_in(chart, take, heard) if heard else chart
        if after == chart:
            self.said.emit(NOTHING_RECORDED)
        elif self._desk.edit("record the tune", lambda _chart: after):
            self.said.emit(
                f"{len(heard)} notes were written into {melody_owner(chart, take)}; undo takes them all out."
            )

    def _recorder_off(self) -> None:
        if self._recorder is None:
            return
        self._recorder = None
        if self._muted:
            self._practice.set_part("muted", "tune", False)
        self.recording_changed.emit(False)
