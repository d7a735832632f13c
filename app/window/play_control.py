"""Between the transport, the desk and the playback: where playing starts, what is looped, which row is heard."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from app.window.desk import Desk
from app.window.form_strip import FormStrip
from app.window.page.page_view import PageView
from app.window.playback import Playback
from app.window.practice_control import PracticeControl
from app.window.settings import Settings
from app.window.transport import PARTS, Transport, show_levels
from core.timeline import LISTENING_ADVICE

TEMPO_STEP = 4


class PlayControl(QObject):
    """Keeps page, strip and transport in step with what is heard."""

    said = Signal(str)
    loop_changed = Signal(bool)

    def __init__(self, desk: Desk, playback: Playback, transport: Transport, page: PageView, strip: FormStrip,
                 settings: Settings, practice: PracticeControl, window: QWidget) -> None:  # fmt: skip
        super().__init__(window)
        self._practice = practice
        self._desk, self._playback, self._transport = desk, playback, transport
        self._page, self._strip, self._settings = page, strip, settings
        self._loop: tuple[int, int] | None = None  # bar indexes, inclusive
        self._place: float | None = None
        self._connect()
        self._show_settings()

    def _connect(self) -> None:
        self._transport.play_pressed.connect(self.toggle)
        self._transport.side_moved.connect(self._on_side)
        self._transport.tempo_moved.connect(self._practice.set_tempo)
        self._practice.both_ways_wished.connect(self.both_ways)
        self._practice.loop_wished.connect(self._loop_all)
        self.loop_changed.connect(self._practice.loop_changed)
        self._transport.loop_pressed.connect(self.set_loop)
        self._transport.count_in_pressed.connect(lambda on: self._settings.set("count_in", on))
        self._transport.level_moved.connect(self._on_level)
        self._practice.sheet.level_moved.connect(self._on_level)
        self._strip.played_from.connect(self.play_bar)
        self._playback.playing_changed.connect(self._transport.play.set_playing)
        self._playback.moved.connect(self._on_moved)
        self._playback.side_heard.connect(self._transport.side.set_side)
        self._desk.chart_changed.connect(self._on_chart)
        self._desk.document.replaced.connect(self._on_replaced)

    def _show_settings(self) -> None:
        self._transport.count_in.setChecked(self._settings.get("count_in"))
        levels = {part: self._settings.get(f"level_{part}") for part, _ in PARTS}
        self._show_levels(levels)
        for part, level in levels.items():
            self._playback.set_level(part, level)
        self._on_chart()

    # --- what is asked ---------------------------------------------------------------------------------------------

    def toggle(self) -> None:
        """Play from where it stopped (or the selection), or stop."""
        if self._playback.is_playing:
            self._playback.stop()
            return
        form = self._desk.form
        start = self._place if self._place is not None and self._place < float(form.length) - 0.01 else None
        self._play(start if start is not None else self._selected_start())

    def play_here(self) -> None:
        """Play from the selection."""
        self._play(self._selected_start())

    def play_bar(self, bar_index: int) -> None:
        """Play from a bar."""
        self._play(float(self._desk.form.bars[bar_index].start))

    def _selected_start(self) -> float:
        first = self._loop[0] if self._loop else self._desk.selection.first
        return float(self._desk.form.bars[first].start)

    def _play(self, start: float) -> None:
        self._advise()
        loop = self._loop_time()
        if loop and not loop[0] <= start < loop[1]:
            start = loop[0]
        count_in = self._settings.get("count_in")
        if count_in:
            start = self._bar_line(start)
        self._playback.play(start, count_in=count_in)

    def _bar_line(self, place: float) -> float:
        """Where the bar begins that holds a place: a count leads to a bar line."""
        starts = [float(bar.start) for bar in self._desk.form.bars]
        return max((start for start in starts if start <= place + 1e-6), default=0.0)

    def both_ways(self) -> None:
        """Hear the selected bars on the standard and then on the take, from the bar before to the bar after."""
        if self._desk.take_name is None:
            self.said.emit("There is no take yet to hear beside the standard; make one with Ctrl+T.")
            return
        if self._desk.take is not None and self._desk.take.form is not None:
            self.said.emit("This take has bars of its own, so it cannot be heard in step with the standard.")
            return
        self._advise()
        bars, chosen = self._desk.form.bars, self._desk.selection
        first, last = bars[max(0, chosen.first - 1)], bars[min(len(bars) - 1, chosen.last + 1)]
        leads = chosen.first > 0  # the bar before leads in; before the first bar only a count can
        self._playback.play_both_ways(float(first.start), float(last.end),
                                      count_in=not leads and self._settings.get("count_in"))  # fmt: skip

    def _advise(self) -> None:
        """Once, before the first note: how loud it will be, and what to do."""
        if not self._settings.get("advice_seen"):
            self._transport.show_advice(LISTENING_ADVICE)
            self._settings.set("advice_seen", True)

    def seek_selection(self) -> None:
        """While nothing plays, the next start is the selection."""
        if not self._playback.is_playing:
            self._place = None
            self._page.set_playhead(None)
            self._strip.set_playhead(None)

    def flip_side(self) -> None:
        """Hear the other row."""
        self._transport.side.flip()

    def _on_side(self, side: str) -> None:
        at_bar = self._practice.state.at_bar and self._playback.is_playing
        if at_bar:
            self._transport.side.wait()
        self._playback.set_side(side, at_bar)

    def set_loop(self, on: bool) -> None:
        """Loop the selected bars, or nothing; a loop that stands is left as it is."""
        if on == (self._loop is not None):
            return
        self._loop = (self._desk.selection.first, self._desk.selection.last) if on else None
        self._show_loop()

    def _loop_all(self) -> None:
        """A loop of the whole form, where there is none."""
        if self._loop is None:
            self._loop = (0, len(self._desk.form.bars) - 1)
            self._show_loop()

    def toggle_count_in(self, on: bool) -> None:
        """Two bars before the first, or none."""
        self._settings.set("count_in", on)
        self._transport.count_in.setChecked(on)

    def step_tempo(self, direction: int) -> None:
        """A little faster or slower; the tune keeps its own tempo."""
        self._practice.set_tempo(self._practice.tempo + direction * TEMPO_STEP)

    # --- what is shown ---------------------------------------------------------------------------------------------

    def _loop_time(self) -> tuple[float, float] | None:
        if self._loop is None:
            return None
        bars = self._desk.form.bars
        return float(bars[self._loop[0]].start), float(bars[self._loop[1]].end)

    def _show_loop(self) -> None:
        loop = self._loop_time()
        bars = self._desk.form.bars
        words = "no loop"
        if self._loop:
            first, last = bars[self._loop[0]].number, bars[self._loop[1]].number
            words = f"loop bar {first}" if first == last else f"loop bars {first}–{last}"
        self._transport.set_loop(words, self._loop is not None)
        self._page.set_loop(loop)
        self._strip.set_loop(loop)
        self._playback.set_loop(loop)
        self.loop_changed.emit(self._loop is not None)

    def _on_chart(self) -> None:
        if self._loop and self._loop[1] >= len(self._desk.form.bars):
            self._loop = None
        self._show_loop()
        self._transport.side.setEnabled(self._desk.take_name is not None)
        self._transport.side.update()
        self._playback.set_music(self._desk.chart, self._desk.take_name)

    def _on_replaced(self) -> None:
        """Another tune: no loop, and the take is heard."""
        self._loop = None
        self._transport.side.set_side("take")
        self._playback.set_side("take")

    def _on_level(self, part: str, level: float) -> None:
        self._settings.set(f"level_{part}", level)
        self._show_levels({part: level})
        self._playback.set_level(part, level)

    def _show_levels(self, levels: dict[str, float]) -> None:
        """On the transport and on the sheet, which has them where the window is narrow."""
        self._transport.set_levels(levels)
        show_levels(self._practice.sheet.sliders, levels)

    def _on_moved(self, place: float) -> None:
        self._place = place
        if self._settings.get("reduced_motion"):
            place = float(int(place))  # a beat at a time
        shown = place if place >= 0 else None
        self._page.set_playhead(shown)
        self._strip.set_playhead(shown)
