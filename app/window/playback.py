"""Hearing: the window's one conversation with the player process.

The player is started after the window is on screen, so that the first note need not wait for it. Its events come on
a thread of their own and are handed over by a queued signal.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from app.window.background import Background
from app.window.player_port import RESTARTED, RESTARTED_SILENT, Player, device_words
from app.window.reading import audition, make_timeline
from core.chart import Chart
from core.sound.practice import AS_WRITTEN, Practice, Ramp

if TYPE_CHECKING:
    from core.propose import Proposal, Refusal
    from core.timeline import Timeline

FRAME_MILLISECONDS = 16


class Playback(QObject):
    """Plays the chart, follows its edits while it plays, and plays a proposal in its place."""

    playing_changed = Signal(bool)
    moved = Signal(object)  # quarter note, or None
    example_moved = Signal(float)  # quarter note of an example that is no part of the chart
    example_ended = Signal()
    said = Signal(str)  # one sentence
    noted = Signal(str)  # one that can wait
    started = Signal()  # a player is there to be told things
    came = Signal(object)  # every event of the player, a dictionary
    side_heard = Signal(str)  # which row sounds now
    band_rests = Signal(bool)  # a bar in which the band drops out
    ramp_stepped = Signal()  # the slow-down loop has gone on to its next tempo
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
        self._silent: frozenset[str] = frozenset()
        self._drop_outs: tuple[int, int] | None = None
        self._practice: Practice = AS_WRITTEN
        self._ramp: Ramp | None = None
        self._from_bar_line = self._elsewhere = self._comparing = self._side_waits = self._rests = False
        self._heard_side = ""
        self._audible: bool | None = None
        self.ramp_index = 0
        self.is_playing = self._auditioning = self._audition_begun = False
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
            for part in sorted(self._silent):
                self._player.set_muted(part, True)
            if self._drop_outs:
                self._player.set_drop_outs(self._drop_outs)
            self.started.emit()
        self._arrange()

    def tell(self, do: Callable[[Player], object]) -> None:
        """Tell the player something that does not concern what is played; nothing where there is none yet."""
        if self._player is not None:
            do(self._player)

    def set_music(self, chart: Chart, take_name: str | None) -> None:
        """The chart has changed: what is heard follows as soon as it is arranged."""
        if self._music == (chart, take_name):
            return
        self._music = (chart, take_name)
        self._hear_anew()

    def set_practice(self, practice: Practice) -> None:
        """How the chart is to be heard from now on: tempo, band, click. The chart stays as it is."""
        if practice != self._practice:
            self._practice = practice
            self._hear_anew()

    def _hear_anew(self) -> None:
        self._loaded = False
        if self._player is not None and not self._auditioning:
            self._arrange()

    def set_ramp(self, ramp: Ramp | None) -> None:
        """Begin a slow-down loop at its first tempo, or (None) play at the tempo of the practice again."""
        if ramp != self._ramp:
            self._ramp, self.ramp_index = ramp, 0
            self._hear_anew()
            self.ramp_stepped.emit()

    def play(self, start: float, count_in: bool = False) -> None:
        """Play the chart from a quarter note."""
        self._begin(start, count_in)

        def go() -> None:
            assert self._player is not None
            self._player.set_loop(self._loop)
            self._player.play(start, count_in=count_in, side=self._side)
            self._set_playing(True)

        self._when_loaded(go)

    def play_both_ways(self, start: float, end: float, count_in: bool = False) -> None:
        """Play from start to end on the standard, then on the take, and stop."""
        self._begin(start, count_in)

        def go() -> None:
            assert self._player is not None
            self._comparing = True
            self._player.set_drop_outs(None)
            self._player.set_loop((start, end), 2)
            self._player.play(start, count_in=count_in, side="standard")
            self._player.set_side("take", "loop")
            self._set_playing(True)

        self._when_loaded(go)

    def _end_comparing(self) -> None:
        """What holds for the chart holds again: loop, side, drop-outs."""
        if self._comparing and self._player is not None:
            self._comparing = False
            self._player.set_loop(self._loop)
            self._player.set_side(self._side)
            self._player.set_drop_outs(self._drop_outs)
            self._hear_side(self._side)

    def _begin(self, start: float, count_in: bool) -> None:
        """Leave what was heard for once. A tune with a pickup has two counts-in: to its own beat, and to a bar line."""
        self._leave_audition()
        self._end_comparing()
        elsewhere = count_in and start > 0
        if elsewhere != self._from_bar_line and self._music and self._music[0].form.pickup:
            self._loaded = False
        self._from_bar_line = elsewhere

    def stop(self) -> None:
        """Be silent; the playhead stays."""
        self._pending = None
        if self._player is not None:
            self._player.stop()
        self._set_playing(False)
        self._end_comparing()
        self._end_audition()

    def hear(self, proposal: Proposal | Refusal, start: float, end: float) -> None:
        """Play a proposal in its place, from start to end, as if it were taken."""
        if self._music is not None:
            self._audition("take", start, end, audition, *self._music, proposal, self._practice_now())

    def hear_example(self, chart: Chart, take_name: str | None, make: Callable[..., Timeline] = make_timeline,
                     start: float = 0.0, side: str = "") -> None:  # fmt: skip
        """Play another chart to its end: a take of it, or (None) its standard row; ``side`` where both can be heard.

        The place in it is told by :attr:`example_moved`, since it is no place on the page.
        """
        side = side or ("take" if take_name else "standard")
        self._audition(side, start, float(chart.form.length), make, chart, take_name, elsewhere=True)

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
            if self._drop_outs:
                self._player.set_drop_outs(None)
            self._player.load(timeline)
            self._player.set_loop(None)
            self._player.play(start, side=side)
            self._audition_begun = self._player.position(time.perf_counter()) < end
            self._set_playing(True)

        self._pending = None
        self._end_comparing()
        self._background.drop("sound")
        self._background.drop("next tempo")
        self._background.ask("audition", heard, make, *arguments)

    def set_side(self, side: str, at_bar: bool = False) -> None:
        """Hear "standard" or "take", at once or from the next bar on."""
        self._side = side
        if self._comparing:
            return  # both are being heard in turn; the one that was chosen comes after
        self._side_waits = at_bar and self.is_playing and self._player is not None
        if self._player is not None:
            self._player.set_side(side, *(("bar",) if self._side_waits else ()))
        if not self._side_waits:
            self._hear_side(side)

    def set_silent(self, parts: frozenset[str]) -> None:
        """Parts that are not to be heard."""
        changed, self._silent = parts ^ self._silent, parts
        if self._player is not None:
            for part in sorted(changed):
                self._player.set_muted(part, part in parts)

    def set_drop_outs(self, bars: tuple[int, int] | None) -> None:
        """Bars with the band and bars without it in turn, or None."""
        if bars != self._drop_outs:
            self._drop_outs = bars
            if self._player is not None and not self._comparing:
                self._player.set_drop_outs(bars)

    def set_loop(self, loop: tuple[float, float] | None) -> None:
        """Loop a stretch, in quarter notes."""
        self._loop = loop
        if self._player is not None and not self._auditioning and not self._comparing:
            self._player.set_loop(loop)

    def set_level(self, part: str, level: float) -> None:
        """How loud a part is, 0..1."""
        self._levels[part] = level
        if self._player is not None:
            self._player.set_level(part, level)

    def close(self) -> None:
        """End the player process."""
        self._timer.stop()
        self._background.drop("sound")
        self._background.drop("next tempo")
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
        self._background.ask("sound", self._on_arranged, make_timeline, *self._music, self._practice_now(),
                             self._from_bar_line)  # fmt: skip

    def _practice_now(self, steps_on: int = 0) -> Practice:
        """What the band is told: the practice, at the tempo that the slow-down loop stands at."""
        tempo = self._music[0].tempo if self._music else 0
        return (
            self._practice if self._ramp is None else self._ramp.of(self._practice, tempo, self.ramp_index + steps_on)
        )

    def _ask_next_tempo(self) -> None:
        """Have the next step of the slow-down loop ready long before its pass begins."""
        if self._ramp is None or self._music is None or self.ramp_index + 1 >= self._ramp.count:
            return
        self._background.ask("next tempo", self._on_next_tempo, make_timeline, *self._music, self._practice_now(1),
                             self._from_bar_line)  # fmt: skip

    def _on_next_tempo(self, timeline: Timeline) -> None:
        if self._player is not None and self._ramp is not None and self._loaded:
            self._player.load(timeline, self._ramp.passes)

    def _on_arranged(self, timeline: Timeline) -> None:
        if self._player is None or self._auditioning:
            return  # what is heard for once is heard to its end; the chart is arranged again then
        self._player.load(timeline)
        self._loaded = True
        self._ask_next_tempo()
        self._run_pending()

    def _run_pending(self) -> None:
        if self._pending is not None and self._player is not None and self._loaded:
            go, self._pending = self._pending, None
            go()

    def _end_audition(self) -> None:
        if self._auditioning:
            self._leave_audition()
            if self._player is not None:
                self._player.set_side(self._side)
            self._arrange()

    def _leave_audition(self) -> None:
        if self._auditioning and self._drop_outs and self._player is not None:
            self._player.set_drop_outs(self._drop_outs)
        self._auditioning, self._audition_end = False, None
        self._set_elsewhere(False)

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
            self._rest(False)
            if self._side_waits:  # no bar line will come; the player has switched too
                self._side_waits = False
                self._hear_side(self._side)

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
        self.came.emit(event)
        if name == "stopped" and self.is_playing and event.get("reason") != "command":
            self._set_playing(False)
            self._end_comparing()
            self._end_audition()
        elif name == "position":
            self._on_position(event)
        elif name == "stepped" and self._ramp is not None and self._loaded:
            self.ramp_index += 1
            self.ramp_stepped.emit()
            self._ask_next_tempo()
        elif name == "restarted":
            self.said.emit(RESTARTED if self.is_playing else RESTARTED_SILENT)
        elif name in ("error", "gone") and event.get("sentence"):
            self.said.emit(event["sentence"])
            if name == "gone":
                self._set_playing(False)
        elif name == "device":
            before, self._audible = self._audible, bool(event.get("audible", True))
            if words := device_words(before, self._audible, event.get("sentence", "")):
                (self.noted if before is None else self.said).emit(words)

    def _on_position(self, event: dict[str, Any]) -> None:
        """What is heard may change by itself: the side at a bar line, a bar without the band."""
        if not self.is_playing or self._elsewhere:
            return
        side = event.get("side", "")
        # Reports from before a switch at once may still be under way: only what was waited for is believed.
        if self._comparing or (self._side_waits and side == self._side):
            self._side_waits = False
            self._hear_side(side)
        self._rest(bool(event.get("resting")))

    def _hear_side(self, side: str) -> None:
        before, self._heard_side = self._heard_side, side
        if side != before:
            self.side_heard.emit(side)

    def _rest(self, rests: bool) -> None:
        before, self._rests = self._rests, rests
        if rests != before:
            self.band_rests.emit(rests)
