"""Who runs the window of whole takes: starts and ends the search, shows what comes, puts it on the chart."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtGui import QAction
from PySide6.QtWidgets import QWidget

from app.window.background import Background
from app.window.desk import Desk
from app.window.playback import Playback
from app.window.settings import Settings
from app.window.takes_control import TakesControl, may_merge, restyled, short_name
from app.window.takes_hearing import FIRST
from app.window.theme import Theme
from core.chart import STANDARD, Chart, Take
from core.edit import free_name
from core.errors import ChangewrightError
from core.merge import put_take
from core.sound.practice import Practice

if TYPE_CHECKING:
    from app.chorus.view import TakeView
    from app.window.chorus_desk import ChorusDesk
    from app.window.takes_model import TakeLine
    from app.window.takes_window import TakesWindow
    from app.window.whole_takes_window import WholeTakesWindow

LOOKING = "Looking over the whole form…"
CHANGED = "Your wishes have changed; Enter looks again."
EMPTY_ROW = "The standard has no chords yet; type some, or begin with the tune (under More)."
OUTDATED = "The standard, the form or the tune has changed since; look again."


class WholeTakesControl(TakesControl):
    """Makes the window when it is first wanted."""

    def __init__(self, desk: Desk, background: Background, playback: Playback, settings: Settings, theme: Theme,
                 owner: QWidget, actions: Callable[[str], QAction],
                 practice: Callable[[], Practice]) -> None:  # fmt: skip
        super().__init__(desk, playback, theme, owner, actions, practice)
        self._background, self._settings = background, settings
        self.window: WholeTakesWindow | None = None
        self.search: ChorusDesk | None = None
        self._ground = desk.chart
        self._views: tuple[TakeView, ...] = ()
        self._asked = 0
        desk.chart_changed.connect(self._on_chart)
        desk.document.replaced.connect(self._on_replaced)

    # --- opening and leaving -----------------------------------------------------------------------------------------

    def open(self) -> None:
        """Show the window for the chart as it is."""
        if self.window is None:
            self._make_window()
        assert self.window is not None
        self.window.show()
        self.window.activateWindow()
        self.begin_selection()
        self._on_chart()
        self._show_sound()

    def _make_window(self) -> None:
        from app.window.chorus_desk import ChorusDesk
        from app.window.whole_takes_window import WholeTakesWindow
        from app.window.whole_takes_wishes import WholeTakesWishes

        get = self._settings.get
        wishes = WholeTakesWishes(get("whole_boldness"), get("whole_density"), get("whole_count"))
        self.window = window = WholeTakesWindow(self._theme, wishes, self._owner)
        self.search = search = ChorusDesk("whole takes", self._background, self)
        self.prepare(window)
        wishes.started.connect(self.start)
        wishes.stopped.connect(self.stop)
        wishes.selection_kept.connect(lambda: wishes.add_kept(self._desk.chart.form, self.bars))
        wishes.plan_chosen.connect(self._on_plan)
        wishes.changed.connect(self._on_wishes)
        window.put_wished.connect(self.put)
        window.merge_wished.connect(self.merge_selected)
        window.board.accepted.connect(self.put)
        window.board.chosen.connect(lambda _index: self._on_chosen())
        window.left.connect(self.stop)
        search.progressed.connect(lambda share: wishes.show_busy(True, share))
        search.found.connect(self._on_found)
        search.ended.connect(self._on_ended)
        search.failed.connect(self._on_failed)

    def close(self) -> None:
        """The main window closes."""
        if self.search is not None:
            self.search.close()

    @property
    def shown(self) -> TakesWindow | None:
        return self.window if self.window is not None and self.window.isVisible() else None

    @property
    def ground(self) -> Chart:
        return self._ground if self._views else self._desk.chart

    @property
    def is_outdated(self) -> bool:
        """Whether what the takes stand on is no longer so."""
        one, two = self._ground, self._desk.chart
        return (one.standard, one.form, one.key, one.melody) != (two.standard, two.form, two.key, two.melody)

    # --- the search --------------------------------------------------------------------------------------------------

    def start(self) -> None:
        """Begin to look, with the wishes as they are."""
        if self.window is None or self.search is None:
            return
        wishes, chart = self.window.wishes, self._desk.chart
        try:
            wish = replace(wishes.wish(chart.form), over=self._desk.take_name or "")
        except ChangewrightError as error:
            wishes.status.setText(str(error))
            return
        if not wish.source and all(slot.chord is None for slot in chart.standard):
            wishes.status.setText(EMPTY_ROW)
            return
        if wish.source == "bass" and not wish.over:
            wishes.status.setText("There is no take here whose bass could be meant; write the bass line as a take.")
            return
        for key, value in (("boldness", wish.boldness), ("density", wish.chords_a_bar), ("count", wish.count)):
            self._settings.set(f"whole_{key}", value)
        self.hearing.stop()
        self._ground, self._views, self._asked = chart, (), wish.count
        self.window.board.cards.expect(wish.count)
        self._show_views()
        wishes.status.setText(LOOKING)
        wishes.show_busy(True)
        self.search.search(chart, wish)

    def stop(self) -> None:
        """End the search; what was found stays."""
        if self.search is not None and self.search.is_busy:
            self.search.stop()
            self._end(f"Stopped; {found_words(len(self._views))}.")

    def _on_found(self, view: TakeView) -> None:
        self._views = (*self._views, view)
        self._show_views()
        if self.window is not None:
            self.window.wishes.status.setText(f"{LOOKING} {found_words(len(self._views))}.")
            if len(self._views) == 1 and not self.window.wishes.techniques.hasFocus():
                self.window.board.cards.setFocus()

    def _on_ended(self) -> None:
        found = len(self._views)
        words = f"{found_words(found)[0].upper()}{found_words(found)[1:]}, the best first."
        if found < self._asked:
            words = f"{few_words(found)}; go farther, or let more change."
        self._end(words)

    def _on_failed(self, sentence: str) -> None:
        self._end(sentence)

    def _end(self, words: str) -> None:
        if self.window is not None:
            self.window.wishes.status.setText(words)
            self.window.wishes.show_busy(False)

    def _on_wishes(self) -> None:
        if self._views and self.window is not None and self.search is not None and not self.search.is_busy:
            self.window.wishes.status.setText(CHANGED)

    def _on_plan(self, plan: str) -> None:
        if plan and self.window is not None and not self.window.wishes.bass_bars.text().strip():
            from app.bar_ranges import bars_text

            self.window.wishes.bass_bars.setText(bars_text(self._desk.chart.form, frozenset(self.bars)))

    # --- what is shown -----------------------------------------------------------------------------------------------

    def set_style(self, style: str) -> None:
        """Print chords in another house style."""
        self._style = style
        if self.window is not None and self._views:
            lines = restyled(self.window.board.lines, style)
            self._show_lines(lines)

    def _show_views(self) -> None:
        from app.window.takes_model import TakeLine

        self._show_lines(tuple(TakeLine(self._ground, view.take, self._ground.standard, self._style, view)
                               for view in self._views))  # fmt: skip

    def _show_lines(self, lines: tuple[TakeLine, ...]) -> None:
        from app.window.takes_board import over_lines
        from app.window.takes_model import standard_line

        if self.window is not None:
            over = over_lines(standard_line(self._ground, self._style), lines)
            self.window.board.show_lines(self._ground.form, over, lines)
            self._show_selection()
            self._show_sound()

    def _on_chosen(self) -> None:
        self.show_commands()
        self.hear_in_place()

    def _on_chart(self) -> None:
        if self.shown is not None and self.window is not None:
            if self._views and self.is_outdated:
                self.window.note.setText(OUTDATED)
            elif self.window.note.text() == OUTDATED:
                self.window.note.setText("")
            self.show_commands()

    def _on_replaced(self) -> None:
        self.stop()
        self.hearing.stop()
        self._views, self._ground = (), self._desk.chart
        if self.window is not None:
            self._show_views()
            self._end("")
            self.window.note.setText("")

    def show_commands(self) -> None:
        if self.window is None:
            return
        there, fits = bool(self._views), not self.is_outdated
        target = self._desk.take
        hindered = may_merge(self.ground.form, self._desk.chart, target)
        name = target.name if target is not None else ""
        self.window.merge.setText(f"Merge {self.bars_words()} into “{short_name(name)}”   M".replace("&", "&&")
                                  if target is not None else "Merge   M")  # fmt: skip
        self.window.merge.setToolTip(f"Not now: {hindered}" if hindered else
                                     "Only the selected bars of the take in hand")  # fmt: skip
        self.window.merge.setEnabled(there and fits and not hindered)
        self.window.put.setEnabled(there and fits)
        self.window.hear.setEnabled(there)

    # --- what is done with it ----------------------------------------------------------------------------------------

    def _view(self) -> TakeView | None:
        return self._views[self.window.board.index] if self.window is not None and self._views else None

    def pair(self) -> tuple[Take | None, Take | None]:
        view = self._view()
        return Take(STANDARD, self._ground.standard), view.take if view is not None else None

    def side_words(self, side: str) -> str:
        return "Heard: the standard" if side == FIRST else "Heard: the take"

    def put(self) -> None:
        """Put the take in hand on the chart, as a take of its own."""
        view = self._view()
        if view is not None and not self.is_outdated:
            name = free_name(self._desk.chart, view.take.name)
            self._desk.edit_and_look("whole take", put_take, name, replace(view.take, name=name))
            self.tell(f"“{name}” is on the chart now.")

    def merge_selected(self) -> None:
        """Put the selected bars of the take in hand into the take that is looked at."""
        view = self._view()
        if view is not None and self._desk.take_name is not None and not self.is_outdated:
            self.merge(view.take, self._desk.take_name)


def found_words(count: int) -> str:
    """ "2 takes found"."""
    return f"{count or 'no'} take{'s' if count != 1 else ''} found"


def few_words(count: int) -> str:
    """That there are fewer than asked for."""
    if count == 0:
        return "There is no take to be had"
    return (
        "There is only 1 take that differs enough" if count == 1 else f"There are only {count} takes that differ enough"
    )
