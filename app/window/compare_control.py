"""Who runs the window that compares two rows: what they cost, where they differ, bars merged from one to the other."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QWidget

from app.bar_ranges import bars_text
from app.window.background import Background
from app.window.desk import Desk
from app.window.playback import Playback
from app.window.settings import Settings
from app.window.takes_control import TakesControl, may_merge, restyled, short_name
from app.window.takes_hearing import FIRST, SECOND
from app.window.theme import Theme
from core.chart import STANDARD, Chart, Take
from core.sound.practice import Practice

if TYPE_CHECKING:
    from app.chorus.view import TakeView
    from app.window.chorus_desk import ChorusDesk
    from app.window.compare_window import CompareWindow
    from app.window.takes_model import TakeLine
    from app.window.takes_window import TakesWindow

SETTLE_MILLISECONDS = 150
STANDARD_STAYS = "the standard is changed on the page"


class CompareControl(TakesControl):
    """Makes the window when it is first wanted."""

    def __init__(self, desk: Desk, background: Background, playback: Playback, settings: Settings, theme: Theme,
                 owner: QWidget, actions: Callable[[str], QAction],
                 practice: Callable[[], Practice]) -> None:  # fmt: skip
        super().__init__(desk, playback, theme, owner, actions, practice)
        self._background, self._settings = background, settings
        self.window: CompareWindow | None = None
        self.pricing: ChorusDesk | None = None
        self._names = (STANDARD, STANDARD)
        self._differing: tuple[int, ...] = ()
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(SETTLE_MILLISECONDS)
        self._timer.timeout.connect(self._price)
        desk.chart_changed.connect(self._on_chart)

    # --- opening and leaving -----------------------------------------------------------------------------------------

    def open(self) -> None:
        """Show the window: the take that is looked at beside the standard, or beside what it stood by last."""
        if self.window is None:
            self._make_window()
        assert self.window is not None
        self._names = self._held(self._names[0], self._desk.take_name or STANDARD)
        self.window.show()
        self.window.activateWindow()
        self.begin_selection()
        self._show()
        self.window.board.choose(1)
        self.window.board.cards.setFocus()

    def _make_window(self) -> None:
        from app.window.chorus_desk import ChorusDesk
        from app.window.compare_window import CompareWindow

        self.window = window = CompareWindow(self._theme, self._owner)
        self.pricing = pricing = ChorusDesk("compared", self._background, self)
        self.prepare(window)
        window.rows_chosen.connect(self._on_rows)
        window.right_wished.connect(lambda: self._merge(0, 1))
        window.left_wished.connect(lambda: self._merge(1, 0))
        window.next_wished.connect(self.next_difference)
        window.board.chosen.connect(lambda _index: self._on_chosen())
        window.left.connect(pricing.stop)
        pricing.found.connect(self._on_view)
        pricing.failed.connect(self.tell)

    def close(self) -> None:
        """The main window closes."""
        self._timer.stop()
        if self.pricing is not None:
            self.pricing.close()

    @property
    def shown(self) -> TakesWindow | None:
        return self.window if self.window is not None and self.window.isVisible() else None

    @property
    def ground(self) -> Chart:
        return self._desk.chart

    def _take(self, name: str) -> Take:
        chart = self._desk.chart
        return Take(STANDARD, chart.standard) if name == STANDARD else chart.take_named(name)

    def _held(self, left: str, right: str) -> tuple[str, str]:
        """Two rows that are there, and not the same one twice if it can be helped."""
        there = (STANDARD, *(take.name for take in self._desk.chart.takes))
        right = right if right in there else there[-1]
        left = left if left in there else STANDARD
        if left == right:
            left, right = STANDARD, right if right != STANDARD else there[-1]
        return left, right

    # --- what is shown -----------------------------------------------------------------------------------------------

    def _on_rows(self, left: str, right: str) -> None:
        self.hearing.stop()
        if left == right:  # the other one steps aside
            before = self._names
            left, right = (before[1], right) if left == before[0] else (left, before[0])
        self._names = self._held(left, right)
        self._show()

    def _on_chart(self) -> None:
        if self.shown is not None:
            self.hearing.stop()
            self._names = self._held(*self._names)
            self._show()

    def _show(self) -> None:
        """The rows at once, without their pictures; those come when they are priced."""
        from app.window.takes_board import over_lines
        from app.window.takes_model import TakeLine, differing_bars, standard_line

        window, chart = self.window, self._desk.chart
        if window is None:
            return
        names = ((STANDARD, "Standard"), *((take.name, take.name) for take in chart.takes))
        window.show_rows(names, *self._names)
        lines: tuple[TakeLine, ...] = ()
        if chart.takes:
            left, right = (self._take(name) for name in self._names)
            lines = (TakeLine(chart, left, right.row, self._style), TakeLine(chart, right, left.row, self._style))
            for line, before in zip(lines, window.board.lines, strict=False):
                line.view = before.view if _is_same(line, before) else None
        self._lines(lines, over_lines(standard_line(chart, self._style), lines))
        if not lines:
            self._differing = ()
            window.differs.setText("")
        else:
            self._background.ask("differing", self._on_differing, differing_bars, *lines)
            self._timer.start()

    def _lines(self, lines: tuple[TakeLine, ...], over: tuple[TakeLine, ...]) -> None:
        if self.window is not None:
            self.window.board.show_lines(self._desk.chart.form, over, lines)
            self._show_selection()
            self._show_sound()

    def _price(self) -> None:
        from app.chorus.wish import Wish

        if self.shown is not None and self.pricing is not None:
            wish = Wish(boldness=self._settings.get("whole_boldness"))
            self.pricing.price(self._desk.chart, wish, tuple(dict.fromkeys(self._names)))

    def _on_view(self, view: TakeView) -> None:
        from app.window.takes_board import over_lines
        from app.window.takes_model import standard_line

        if self.window is None:
            return
        lines = self.window.board.lines
        for line in lines:
            if line.take.name == view.take.name:
                line.view = view
        self._lines(lines, over_lines(standard_line(self._desk.chart, self._style), lines))

    def _on_differing(self, bars: tuple[int, ...]) -> None:
        self._differing = bars
        if self.window is not None:
            self.window.differs.setText(differing_words(self._desk.chart, bars))
            self.window.next.setEnabled(bool(bars))

    def next_difference(self) -> None:
        """Put the next bar in which the two differ in hand, the first one after the last."""
        here = self.bars[-1]
        following = [bar for bar in self._differing if bar > here] or list(self._differing[:1])
        if following:
            self._choose_bar(following[0], False)

    def set_style(self, style: str) -> None:
        """Print chords in another house style."""
        from app.window.takes_board import over_lines
        from app.window.takes_model import standard_line

        self._style = style
        if self.window is not None and self.window.board.lines:
            lines = restyled(self.window.board.lines, style)
            self._lines(lines, over_lines(standard_line(self._desk.chart, style), lines))

    def _on_chosen(self) -> None:
        """The other card is in hand: that row is heard, at the same moment."""
        if self.window is not None and self.hearing.sounds:
            wanted = SECOND if self.window.board.index == 1 else FIRST
            if wanted != self.hearing.side:
                self.hearing.flip()
        self._show_sound()

    def show_commands(self) -> None:
        window = self.window
        if window is None:
            return
        chart, bars = self._desk.chart, self.bars_words()
        for button, key, source, target in ((window.to_right, "M", 0, 1), (window.to_left, "Shift+M", 1, 0)):
            hindered = self._hindered(source, target) if chart.takes else "there is no take yet"
            button.setText(f"Put {bars} into {quoted(self._names[target])}   {key}".replace("&", "&&"))
            button.setEnabled(not hindered)
            into = f"Put {bars} of {quoted(self._names[source])} into {quoted(self._names[target])}"
            button.setToolTip(f"Not now: {hindered}" if hindered else into)
            button.setAccessibleName(into)
        window.hear.setEnabled(bool(chart.takes))

    def _hindered(self, source: int, target: int) -> str:
        if self._names[target] == STANDARD:
            return STANDARD_STAYS
        chart = self._desk.chart
        return may_merge(chart.form_of(self._take(self._names[source])), chart, self._take(self._names[target]))

    # --- what is done with it ----------------------------------------------------------------------------------------

    def pair(self) -> tuple[Take | None, Take | None]:
        if not self._desk.chart.takes:
            return None, None
        first, second = (self._take(name) for name in self._names)
        if first.form is not None or second.form is not None:  # they cannot be heard in step: the one in hand alone
            return None, first if self.window is not None and self.window.board.index == 0 else second
        return first, second

    def side_words(self, side: str) -> str:
        name = self._names[0] if side == FIRST else self._names[1]
        return f"Heard: {quoted(name)}".replace("&", "&&")

    def toggle_sound(self) -> None:
        """Hear the row in hand; the switch goes to the other."""
        super().toggle_sound()
        if self.hearing.sounds and self.window is not None and self.window.board.index == 0:
            self._on_chosen()

    def _merge(self, source: int, target: int) -> None:
        if self._desk.chart.takes and not self._hindered(source, target):
            name = self._names[target]
            self.merge(self._take(self._names[source]), name)


def _is_same(line: TakeLine, before: TakeLine) -> bool:
    """Whether what is known of a line still holds."""
    same_row = line.take.name == before.take.name and line.take.row is before.take.row
    return same_row and line.chart.standard is before.chart.standard and line.chart.melody is before.chart.melody


def quoted(name: str) -> str:
    """The name of a row inside a sentence."""
    return "the standard" if name == STANDARD else f"“{short_name(name)}”"


def differing_words(chart: Chart, bars: tuple[int, ...]) -> str:
    """ "9 of 32 bars differ: 2–4, 9"."""
    count = len(chart.form.bars)
    if not bars:
        return "no bar differs"
    return (
        f"{len(bars)} of {count} bars differ{'s' if len(bars) == 1 else ''}: {bars_text(chart.form, frozenset(bars))}"
    )
