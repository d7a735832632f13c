"""Hearing: the window's one conversation with the player process.

The player is started after the window is on screen, so that the first note need not wait for it. Its events come on
a thread of their own and are handed over by a queued signal.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Protocol

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from app.window.background import Background
from app.window.reading import audition, make_timeline
from core.chart import Chart

if TYPE_CHECKING:
    from core.propose import Proposal, Refusal
    from core.timeline import Timeline

FRAME_MILLISECONDS = 16


class Player(Protocol):
    """What is asked of the player; :class:`app.player.client.PlayerClient` does it."""

    def load(self, timeline: Timeline) -> int: ...
    def play(self, start: float = 0.0, *, count_in: bool = False, side: Any = None) -> None: ...
    def stop(self) -> None: ...
    def seek(self, quarter: float) -> None: ...
    def set_loop(self, loop: tuple[float, float] | None) -> None: ...
    def set_side(self, side: Any) -> None: ...
    def set_level(self, part: str, level: float) -> None: ...
    def set_device(self, device: str, buffer_ms: int | None = None) -> None: ...
    def set_midi_port(self, port: str | None) -> None: ...
    def ask_ports(self) -> None: ...
    def position(self, now: float | None = None) -> float: ...
    def close(self) -> None: ...


class Playback(QObject):
    """Plays the chart, follows its edits while it plays, and plays a proposal in its place."""

    playing_changed = Signal(bool)
    moved = Signal(object)  # quarter note, or None
    example_moved = Signal(float)  # quarter note of an example that is no part of the chart
    example_ended = Signal()
    said = Signal(str)  # one sentence
    noted = Signal(str)  # one that can wait
    ports_known = Signal(list, str)  # MIDI ports, and the one in use ("" for none)
    _came = Signal(object)

    def __init__(self, make_player: Callable[[Callable[[dict[str, Any]], None]], Player], background: Background,
                 parent: QObject | None = None) -> None:  # fmt: skip
        super().__init__(parent)
        self._make_player, self._background = make_player, background
        self._player: Player | None = None
        self._music: tuple[Chart, str | None] | None = None
        self._loaded = self._wanted = False
        self._pending: Callable[[], None] | None = None
        self._audition_end: float | None = None
        self._side = "take"
        self._loop: tuple[float, float] | None = None
        self._levels: dict[str, float] = {}
        self._elsewhere = False
        self.is_playing = self._auditioning = self._audition_begun = self._inaudible_said = False
        self._came.connect(self._on_event, Qt.ConnectionType.QueuedConnection)
        self._timer = QTimer(self)
        self._timer.setInterval(FRAME_MILLISECONDS)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.timeout.connect(self._on_frame)

    # --- what the window asks ----------------------------------------------------------------------------------

    def warm(self) -> None:
        """Start the player, if it does not run, and give it the music."""
        if self._player is None:
            try:
                self._player = self._make_player(self._came.emit)
            except OSError as error:
                self.said.emit(f"Sound could not be started ({error.strerror}); everything but hearing works.")
                return
            self._player.set_side(self._side)
            for part, level in self._levels.items():
                self._player.set_level(part, level)
        self._arrange()

    def set_music(self, chart: Chart, take_name: str | None) -> None:
        """The chart has changed: what is heard follows as soon as it is arranged."""
        if self._music == (chart, take_name):
            return
        self._music, self._loaded = (chart, take_name), False
        if self._player is not None and not self._auditioning:
            self._arrange()

    def play(self, start: float, count_in: bool = False) -> None:
        """Play the chart from a quarter note."""
        self._auditioning, self._audition_end = False, None
        self._set_elsewhere(False)

        def go() -> None:
            assert self._player is not None
            self._player.set_loop(self._loop)
            self._player.play(start, count_in=count_in, side=self._side)
            self._set_playing(True)

        self._when_loaded(go)

    def stop(self) -> None:
        """Be silent; the playhead stays."""
        self._pending = None
        if self._player is not None:
            self._player.stop()
        self._set_playing(False)
        self._end_audition()

    def hear(self, proposal: Proposal | Refusal, start: float, end: float) -> None:
        """Play a proposal in its place, from start to end, as if it were taken."""
        if self._music is not None:
            self._audition("take", start, end, audition, *self._music, proposal)

    def hear_example(self, chart: Chart, take_name: str | None) -> None:
        """Play another chart from its beginning to its end: a take of it, or (None) its standard row.

        The place in it is told by :attr:`example_moved`, since it is no place on the page.
        """
        side = "take" if take_name else "standard"
        self._audition(side, 0.0, float(chart.form.length), make_timeline, chart, take_name, elsewhere=True)

    def _audition(self, side: str, start: float, end: float, make: Callable[..., Timeline], *arguments: object,
                  elsewhere: bool = False) -> None:  # fmt: skip
        """Play something else than the chart for once."""
        if self._player is None:
            self.warm()

        def heard(timeline: Timeline) -> None:
            if self._player is None:
                return
            self._auditioning, self._loaded, self._audition_end, self._audition_begun = True, False, end, False
            self._set_elsewhere(elsewhere)
            self._player.load(timeline)
            self._player.set_loop(None)
            self._player.play(start, side=side)
            self._audition_begun = self._player.position(time.perf_counter()) < end
            self._set_playing(True)

        self._pending = None
        self._background.drop("sound")
        self._background.ask("audition", heard, make, *arguments)

    def set_side(self, side: str) -> None:
        """Hear "standard" or "take", at once."""
        self._side = side
        if self._player is not None:
            self._player.set_side(side)

    def set_loop(self, loop: tuple[float, float] | None) -> None:
        """Loop a stretch, in quarter notes."""
        self._loop = loop
        if self._player is not None and not self._auditioning:
            self._player.set_loop(loop)

    def set_level(self, part: str, level: float) -> None:
        """How loud a part is, 0..1."""
        self._levels[part] = level
        if self._player is not None:
            self._player.set_level(part, level)

    def set_port(self, port: str | None) -> None:
        """Send notes to a MIDI port, or to none."""
        if self._player is not None:
            self._player.set_midi_port(port)

    def ask_ports(self) -> None:
        """Ask which MIDI ports there are; :attr:`ports_known` answers."""
        self.warm()
        if self._player is not None:
            self._player.ask_ports()

    def close(self) -> None:
        """End the player process."""
        self._timer.stop()
        self._background.drop("sound")
        player, self._player = self._player, None
        if player is not None:
            player.close()

    # --- how it gets there -------------------------------------------------------------------------------------

    def _when_loaded(self, go: Callable[[], None]) -> None:
        if self._player is None:
            self._pending = go
            self.warm()
        elif self._loaded:
            go()
        else:
            self._pending = go
            self._arrange()

    def _arrange(self) -> None:
        if self._music is None or self._loaded:
            self._run_pending()
            return
        self._background.ask("sound", self._on_arranged, make_timeline, *self._music)

    def _on_arranged(self, timeline: Timeline) -> None:
        if self._player is None or self._auditioning:
            return  # what is heard for once is heard to its end; the chart is arranged again then
        self._player.load(timeline)
        self._loaded = True
        self._run_pending()

    def _run_pending(self) -> None:
        if self._pending is not None and self._player is not None and self._loaded:
            go, self._pending = self._pending, None
            go()

    def _end_audition(self) -> None:
        if self._auditioning:
            self._auditioning, self._audition_end = False, None
            self._set_elsewhere(False)
            if self._player is not None:
                self._player.set_side(self._side)
            self._arrange()

    def _set_elsewhere(self, elsewhere: bool) -> None:
        if elsewhere != self._elsewhere:
            self._elsewhere = elsewhere
            if not elsewhere:
                self.example_ended.emit()

    def _set_playing(self, playing: bool) -> None:
        if playing != self.is_playing:
            self.is_playing = playing
            self.playing_changed.emit(playing)
        if playing:
            self._timer.start()
        else:
            self._timer.stop()

    def _on_frame(self) -> None:
        if self._player is None:
            return
        place = self._player.position(time.perf_counter())
        (self.example_moved if self._elsewhere else self.moved).emit(place)
        if self._audition_end is None:
            return
        # Until the player has moved there the place is still that of whatever played before.
        self._audition_begun = self._audition_begun or place < self._audition_end
        if self._audition_begun and place >= self._audition_end:
            self.stop()

    def _on_event(self, event: dict[str, Any]) -> None:
        name = event.get("event")
        if name == "stopped" and self.is_playing and event.get("reason") != "command":
            self._set_playing(False)
            self._end_audition()
        elif name in ("error", "gone") and event.get("sentence"):
            self.said.emit(event["sentence"])
            if name == "gone":
                self._set_playing(False)
        elif name == "device" and not event.get("audible", True) and not self._inaudible_said:
            self._inaudible_said = True
            self.noted.emit(event.get("sentence") or "No sound device was found; everything but hearing works.")
        elif name == "midi":
            if "ports" in event:
                self.ports_known.emit(event["ports"], event.get("port") or "")
            elif event.get("sentence"):
                self.said.emit(event["sentence"])
