"""Hearing rows that are not on the page: a take against the standard, or one take against another, in step."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from PySide6.QtCore import QObject, Signal

from app.window.playback import Playback
from app.window.reading import make_timeline
from core.chart import STANDARD, Chart, NamedRow, Take
from core.sound.practice import Practice

FIRST, SECOND = "standard", "take"  # the player's two sides
HEARD = "heard"


class TakesHearing(QObject):
    """Plays two rows over one form and switches between them at the same moment."""

    changed = Signal()  # whether it sounds, or which of the two does
    moved = Signal(object)  # quarter note, or None

    def __init__(self, playback: Playback, practice: Callable[[], Practice], parent: QObject | None = None) -> None:
        """``practice`` tells how the chart is heard now: tempo, band, voicings."""
        super().__init__(parent)
        self._playback, self._practice = playback, practice
        self.sounds = False
        self.side = self._told = SECOND
        self.place: float | None = None
        playback.example_moved.connect(self._on_moved)
        playback.example_ended.connect(self._on_ended)

    def hear(self, chart: Chart, first: Take | None, second: Take, start: float, side: str = SECOND) -> None:
        """Play from a quarter note on; ``first`` is the row on the other side of the switch, None for no other."""
        if self.sounds:
            self.stop()
        both = first is not None and first.form is None and second.form is None
        self.sounds, self.side = True, side if both else SECOND
        self._told = self.side
        make = partial(make_timeline, practice=self._practice())
        self._playback.hear_example(heard_chart(chart, first if both else None, second), HEARD, make, start, self.side)
        self.changed.emit()

    def flip(self) -> None:
        """Hear the other row at the same moment."""
        self.side = FIRST if self.side == SECOND else SECOND
        if self.place is not None:
            self._tell()
        self.changed.emit()

    def _tell(self) -> None:
        self._told = side = self.side
        self._playback.tell(lambda player: player.set_side(side))

    def stop(self) -> None:
        """Be silent."""
        if self.sounds:
            self.sounds = False
            self._playback.stop()
            self._on_ended()

    def _on_moved(self, place: float) -> None:
        if self.sounds:
            self.place = place
            if self._told != self.side:  # it was switched while the band was getting ready
                self._tell()
            self.moved.emit(place)

    def _on_ended(self) -> None:
        if self.sounds or self.place is not None:
            self.sounds, self.place = False, None
            self.moved.emit(None)
            self.changed.emit()


def heard_chart(chart: Chart, first: Take | None, second: Take) -> Chart:
    """A chart to be heard: one row as its standard, the other as its only take."""
    references = (NamedRow(STANDARD, first.row if first is not None else chart.standard),)
    heard = replace(second, name=HEARD, locked=frozenset())
    return replace(chart, references=references, reference=STANDARD, takes=(heard,))
