"""What windows with takes side by side have in common: bars chosen with the page, rows heard, edits to be undone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QWidget

from app.bar_ranges import bars_text
from app.window.desk import Desk
from app.window.playback import Playback
from app.window.selection import Selection
from app.window.takes_hearing import SECOND, TakesHearing
from app.window.theme import Theme
from core.chart import Chart, Take
from core.form import Form
from core.merge import left_behind, merge_bars
from core.sound.practice import Practice

if TYPE_CHECKING:
    from app.window.takes_model import TakeLine
    from app.window.takes_window import TakesWindow

SHARED = ("undo", "redo", "save")
"""Commands of the main window whose keys hold in these windows too."""


class TakesControl(QObject):
    """Base of the two; ``actions`` gives the main window's commands by id, ``practice`` how the chart is heard now."""

    said = Signal(str)

    def __init__(self, desk: Desk, playback: Playback, theme: Theme, owner: QWidget,
                 actions: Callable[[str], QAction], practice: Callable[[], Practice]) -> None:  # fmt: skip
        super().__init__(owner)
        self._desk, self._theme, self._owner, self._actions = desk, theme, owner, actions
        self._style = "plain"
        self._selection = Selection()
        self.hearing = TakesHearing(playback, practice, self)
        self.hearing.changed.connect(self._show_sound)
        self.hearing.moved.connect(self._on_moved)
        desk.selected.connect(self._on_selected)
        desk.document.refused.connect(self.tell)

    # --- what each has in its own way --------------------------------------------------------------------------------

    @property
    def shown(self) -> TakesWindow | None:
        """The window, where it is on screen."""
        raise NotImplementedError

    @property
    def ground(self) -> Chart:
        """The chart that the rows stand in."""
        raise NotImplementedError

    def pair(self) -> tuple[Take | None, Take | None]:
        """The row on the other side of the switch, and the one in hand."""
        raise NotImplementedError

    def side_words(self, side: str) -> str:
        """Which row is heard, in words."""
        raise NotImplementedError

    # --- common ------------------------------------------------------------------------------------------------------

    def prepare(self, window: TakesWindow) -> None:
        """Connect a window that was made."""
        window.hear_wished.connect(self.toggle_sound)
        window.side_wished.connect(self.hearing.flip)
        window.left.connect(self.hearing.stop)
        window.board.bar_chosen.connect(self._choose_bar)
        window.share_actions(tuple(self._actions(name) for name in SHARED))

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        if self.shown is not None:
            self.shown.set_theme(theme)

    def tell(self, words: str) -> None:
        """Say something where it is read: in the window while it is open."""
        if self.shown is not None:
            self.shown.note.setText(words)

    @property
    def bars(self) -> tuple[int, ...]:
        """The selected bars, as indexes."""
        return self._selection.held_in(len(self.ground.form.bars)).bars

    def bars_words(self) -> str:
        """ "bars 5–8", "bar 3"."""
        return ("bar " if len(self.bars) == 1 else "bars ") + bars_text(self.ground.form, frozenset(self.bars))

    def _choose_bar(self, bar: int, extend: bool) -> None:
        count = len(self.ground.form.bars)
        self._selection = self._selection.moved_to(bar, count, extend)
        if self._desk.form == self.ground.form:
            self._desk.select(self._desk.selection._replace(slot=None, anchor=self._selection.anchor,
                                                            head=self._selection.head))  # fmt: skip
        self._show_selection()

    def _on_selected(self) -> None:
        if self.shown is not None and self._desk.form == self.ground.form:
            self._selection = self._desk.selection
            self._show_selection()

    def begin_selection(self) -> None:
        """Start with what is selected on the page."""
        self._selection = self._desk.selection.held_in(len(self.ground.form.bars))
        self._show_selection()

    def _show_selection(self) -> None:
        if self.shown is not None:
            self.shown.board.rows.set_selected(self.bars[0], self.bars[-1])
        self.show_commands()

    def show_commands(self) -> None:
        """Say on the buttons what they would do; for each in its own way."""

    # --- hearing -----------------------------------------------------------------------------------------------------

    def toggle_sound(self) -> None:
        """Hear the take in hand from the selected bar, or be silent."""
        if self.hearing.sounds:
            self.hearing.stop()
            return
        self._hear(float(self.ground.form.bars[self.bars[0]].start), SECOND)

    def hear_in_place(self) -> None:
        """Another take is in hand: go on with it where the last one was."""
        if self.hearing.sounds:
            self._hear(self.hearing.place or 0.0, self.hearing.side)

    def _hear(self, start: float, side: str) -> None:
        first, second = self.pair()
        if second is None:
            return
        if second.form is not None:
            start = 0.0
        self.hearing.hear(self.ground, first, second, start, side)

    def _show_sound(self) -> None:
        if self.shown is not None:
            first, second = self.pair()
            two = first is not None and second is not None and first.form is None and second.form is None
            self.shown.show_sound(self.hearing.sounds, self.side_words(self.hearing.side), two)

    def _on_moved(self, place: float | None) -> None:
        if self.shown is not None:
            self.shown.board.rows.set_playhead(place)

    # --- edits -------------------------------------------------------------------------------------------------------

    def merge(self, source: Take, target: str) -> None:
        """Put the selected bars of a row into a take, as one step of undo."""
        words, form = self.bars_words(), self.ground.form
        if self._desk.edit(f"merge {words}", merge_bars, target, source, self.bars):
            behind = left_behind(form, source, self.bars)
            self.tell(merged_words(words, target, len(behind)))


def merged_words(bars: str, target: str, behind: int) -> str:
    """What was merged, and that a change over the edge came without its name."""
    text = f"{bars[0].upper()}{bars[1:]} {'is' if bars.startswith('bar ') else 'are'} now in “{target}”."
    if behind == 1:
        text += " One change reaches over their edge: its chords came along, its name did not."
    elif behind:
        text += f" {behind} changes reach over their edge: their chords came along, their names did not."
    return text


def restyled(lines: tuple[TakeLine, ...], style: str) -> tuple[TakeLine, ...]:
    """Lines in another house style."""
    return tuple(replace(line, style=style, _known={}) for line in lines)


def may_merge(form: Form, chart: Chart, target: Take | None) -> str:
    """Why bars cannot be merged into a take; "" where they can."""
    if target is None:
        return "there is no take to merge into"
    if chart.form_of(target) != form:
        return f"“{target.name}” has bars of its own"
    return ""


def short_name(name: str) -> str:
    """A row's name on a button: a small window must hold it."""
    return name if len(name) <= 16 else name[:15] + "…"
