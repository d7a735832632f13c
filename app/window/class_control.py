"""Who runs the class view: stages of the lesson, what is shown and heard of them, the singer's key, notes on bars."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QWidget

from app.window.background import Background
from app.window.class_model import (
    NOTHING_PREPARED,
    NOTHING_TO_REVEAL,
    ClassState,
    begin,
    class_page,
    covered,
    first_run,
    key_words,
    moved_words,
    next_way,
    note_words,
)
from app.window.desk import Desk
from app.window.page.page_model import PageModel, Reading
from app.window.page.system_painter import PageOptions
from app.window.play_control import PlayControl
from app.window.playback import Playback
from app.window.settings import VIEW_SWITCHES, Settings
from app.window.theme import Theme
from app.window.transport import SideSwitch
from core import class_edit

if TYPE_CHECKING:
    from app.window.class_window import ClassWindow
    from core.chart import Chart


class ClassControl(QObject):
    """Makes the window when it is first wanted."""

    said = Signal(str)

    def __init__(self, desk: Desk, background: Background, playback: Playback, play: PlayControl, side: SideSwitch,
                 settings: Settings, theme: Theme, owner: QWidget) -> None:  # fmt: skip
        super().__init__(owner)
        self._desk, self._background, self._playback, self._play = desk, background, playback, play
        self._side, self._settings, self._theme, self._owner = side, settings, theme, owner
        self.window: ClassWindow | None = None
        self.state: ClassState | None = None
        self._chart: Chart | None = None
        self._remark = ""
        desk.chart_changed.connect(self._on_chart)
        playback.moved.connect(self._on_moved)
        playback.side_heard.connect(self._show_side)

    @property
    def is_open(self) -> bool:
        """Whether the class view is on screen."""
        return self.window is not None and self.window.isVisible()

    def open(self) -> None:
        """Fill the screen with the lesson, as prepared if it is."""
        if self.window is None:
            from app.window.class_window import ClassWindow

            self.window = ClassWindow(self._theme)
            self.window.wished.connect(self._do)
            self.window.section_wished.connect(self._to_section)
            self.window.note_written.connect(self._write_note)
            self.window.page.bar_pressed.connect(self._press)
            self.window.left.connect(self._on_left)
        self._begin("prepared")
        self.window.setGeometry(self._owner.screen().geometry())
        self.window.setWindowState(Qt.WindowState.WindowFullScreen)
        self.window.show()
        self.window.activateWindow()
        self.window.setFocus()
        self._show()

    def close(self) -> None:
        """Leave the class view."""
        if self.window is not None:
            self.window.close()

    def _on_left(self) -> None:
        """The whole take is heard again, and the page is where the lesson was."""
        self._playback.set_music(self._desk.chart, self._desk.take_name)
        self._background.drop("class")
        self._owner.activateWindow()

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        if self.window is not None:
            self.window.set_theme(theme)

    # --- what is wished --------------------------------------------------------------------------------------------

    def _do(self, wish: str) -> None:
        assert self.state is not None
        if wish in ("next", "back", "first", "last"):
            count = len(self.state.stages)
            self._move({"next": 1, "back": -1, "first": -count, "last": count}[wish])
        elif wish in ("up", "down"):
            self._transpose(1 if wish == "up" else -1)
        elif wish == "way":
            self._begin(next_way(self.state.way))
            self._show()
        elif wish == "tune":
            self._settings.set("show_staff", not self._settings.get("show_staff"))
            self._show()
        elif wish == "note":
            self._ask_note()
        else:
            {"play": self._play.toggle, "side": self._play.flip_side, "both": self._play.both_ways}[wish]()

    def _begin(self, way: str) -> None:
        self.state = begin(self._desk.chart, self._desk.take_name, way)
        self._remark = NOTHING_PREPARED if way == "prepared" and self.state.way != way else ""
        if len(self.state.stages) == 1:
            self._remark = NOTHING_TO_REVEAL

    def _move(self, by: int) -> None:
        assert self.state is not None
        before, self.state = self.state.at, self.state.moved(by)
        self._remark = ""
        if self.state.at != before:
            stage = self.state.stage
            if stage.row != self._side.side and self._desk.take_name is not None:
                self._play.flip_side()
            if stage.new:
                self._select(*first_run(stage.new))
        self._show()

    def _select(self, first: int, last: int) -> None:
        count = len(self._desk.form.bars)
        self._desk.select(self._desk.selection.moved_to(first, count).moved_to(last, count, extend=True))

    def _to_section(self, index: int) -> None:
        sections = self._desk.form.sections
        if index < len(sections):
            self._press(sections[index].first)

    def _press(self, bar: int) -> None:
        assert self.window is not None
        self._remark = ""
        self._select(bar, bar)
        self.window.page.bring(bar)
        self._show()

    def _transpose(self, by: int) -> None:
        """A half step up or down, through the twelve keys."""
        from core.singer_key import in_key, key_choices

        assert self.state is not None
        before = key_choices(self._desk.chart)
        here = next(choice for choice in before if choice.semitones == 0)
        wanted = next(choice for choice in before if choice.semitones == by)
        at, way = self.state.at, self.state.way
        self._desk.edit("another key", in_key, wanted)
        self._remark = moved_words(here, wanted)
        self.state = begin(self._desk.chart, self._desk.take_name, way).moved(at)
        self._show()

    def _ask_note(self) -> None:
        assert self.window is not None
        self.window.ask_note(self._desk.chart.for_class.note_on(self._desk.selection.first))

    def _write_note(self, words: str) -> None:
        self._desk.edit("a note on a bar", class_edit.set_bar_note, self._desk.selection.first, words)
        self._show()

    # --- what is shown ---------------------------------------------------------------------------------------------

    def _on_chart(self) -> None:
        """The chart was edited (or undone) under the lesson: the same stage of it as it is now."""
        if self.is_open and self.state is not None:
            self.state = begin(self._desk.chart, self._desk.take_name, self.state.way).moved(self.state.at)
            self._show()

    def _show(self) -> None:
        if self.window is None or self.state is None:
            return
        window, state, chart = self.window, self.state, self._desk.chart
        self._chart = covered(chart, self._desk.take_name, state.stage)
        self._playback.set_music(self._chart, self._desk.take_name)
        window.words.setText(state.stage.words)
        window.key.setText(key_words(chart))
        window.place.setText(state.place_words)
        self._show_side()
        self._show_note(state.stage.new or self._desk.selection.bars)
        self._background.ask("class", self._on_page, class_page, self._chart, self._desk.take_name,
                             self._settings.get("chord_style"))  # fmt: skip

    def _on_page(self, answer: tuple[PageModel, Reading]) -> None:
        if self.window is None or self.state is None:
            return
        new, get = self.state.stage.new, self._settings.get
        options = PageOptions(*(get(name) for name in VIEW_SWITCHES))
        self.window.page.show_model(answer[0], options, frozenset(new))
        if new:
            self.window.page.bring(new[-1])
            self.window.page.bring(new[0])

    def _show_side(self, _side: str = "") -> None:
        if self.window is not None:
            take = self._desk.take_name
            self.window.side.setText("Standard" if self._side.side == "standard" or take is None else f"{take}")

    def _show_note(self, bars: tuple[int, ...]) -> None:
        if self.window is not None:
            self.window.note.setText(self._remark or note_words(self._desk.chart, bars))

    def _on_moved(self, place: float | None) -> None:
        if self.is_open and self.window is not None:
            shown = None if place is None or place < 0 else place
            self.window.page.set_playhead(shown)
            if shown is not None and not self._remark:
                self._show_note((self._desk.form.bar_at(Fraction(shown)).index,))
