"""Who runs the ear desk: draws questions from the open chart, lets them be heard, keeps the score on this machine."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtWidgets import QWidget

from app.window.background import Background
from app.window.desk import Desk
from app.window.ear_model import (
    EarState,
    draw_question,
    due_words,
    place_words,
    read_asks,
    table_of,
    table_words,
    why_none,
    with_answer,
)
from app.window.own_folder import own_folder
from app.window.playback import Playback
from app.window.played_model import Hand
from app.window.settings import Settings
from app.window.theme import Theme
from core.errors import ChangewrightError

if TYPE_CHECKING:
    from app.window.ear_window import EarWindow
    from core.chart import Chart
    from core.ear.ask import Ask
    from core.ear.progress import Progress
    from core.ear.question import Excerpt, Question
    from core.timeline import Timeline

FILE_NAME = "ear.json"
CHORD_MILLISECONDS = 350  # a chord goes down within this


def today_number() -> int:
    """Today as an ordinal day."""
    return date.today().toordinal()


class EarControl(QObject):
    """Makes the window when it is first wanted."""

    said = Signal(str)
    opened = Signal(bool)  # the desk was opened or left

    def __init__(self, desk: Desk, background: Background, playback: Playback, settings: Settings, theme: Theme,
                 owner: QWidget, silent: Callable[[], frozenset[str]]) -> None:  # fmt: skip
        super().__init__(owner)
        self._desk, self._background, self._playback = desk, background, playback
        self._settings, self._theme, self._owner, self._silent = settings, theme, owner, silent
        self.window: EarWindow | None = None
        self.state: EarState | None = None
        self.today: Callable[[], int] = today_number
        self.taught: Callable[[], frozenset[str] | None] = lambda: None
        self._progress: Progress | None = None
        self._asks: tuple[Ask, ...] = ()
        self._ground: tuple[Chart, str | None, str, frozenset[str] | None] | None = None
        self._last: Question | None = None
        self._hand = Hand()
        self._settle = QTimer(self)
        self._settle.setSingleShot(True)
        self._settle.setInterval(CHORD_MILLISECONDS)
        self._settle.timeout.connect(self._on_hand)
        playback.came.connect(self._on_event)
        playback.example_moved.connect(self._on_moved)
        playback.example_ended.connect(lambda: self._on_moved(None))

    @property
    def is_open(self) -> bool:
        """Whether the desk is on screen."""
        return self.window is not None and self.window.isVisible()

    @property
    def path(self) -> Path:
        """Where the progress is kept."""
        return own_folder() / FILE_NAME

    # --- opening and leaving ---------------------------------------------------------------------------------------

    def open(self) -> None:
        """Show the desk with a question."""
        if self.window is None:
            self._make_window()
        if self._progress is None:
            self._progress = self._read()
        assert self.window is not None
        was_open = self.is_open
        self.window.show()
        self.window.activateWindow()
        if not was_open:
            self._playback.stop()
            self._playback.set_silent(frozenset())
            self.opened.emit(True)
            self.choose(self._settings.get("ear_work"))

    def _make_window(self) -> None:
        from app.window.ear_window import EarWindow

        self.window = window = EarWindow(self._theme, self._owner)
        window.work_chosen.connect(self.choose)
        window.play_wished.connect(self.hear)
        window.other_wished.connect(self._hear_other)
        window.check_wished.connect(self.check)
        window.next_wished.connect(self.next)
        window.answered.connect(self.answer)
        window.left.connect(self._on_left)

    def _on_left(self) -> None:
        if self.state is not None:
            self._playback.stop()
        self.state = None
        self._background.drop("ear")
        self._playback.set_silent(self._silent())
        self.opened.emit(False)

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        if self.window is not None:
            self.window.set_theme(theme)

    # --- questions -------------------------------------------------------------------------------------------------

    def choose(self, work: str) -> None:
        """Do another work."""
        self._settings.set("ear_work", work)
        self._last = None
        assert self.window is not None
        self.window.show_work(work)
        self.next()

    def next(self) -> None:
        """Another question, of the chart as it is now."""
        work = self._settings.get("ear_work")
        ground = (self._desk.chart, self._desk.take_name, work, self.taught())
        if self._ground != ground:
            self._last = None

            def read(asks: tuple[Ask, ...]) -> None:
                self._ground, self._asks = ground, asks
                self._draw(work)

            self._background.ask("ear", read, read_asks, *ground[:2], ground[3], work)
        else:
            self._draw(work)

    def _draw(self, work: str) -> None:
        assert self._progress is not None
        question = draw_question(self._asks, self._progress, self.today(), self._last)
        if not self.is_open or self.window is None:
            return
        self.state = None if question is None else EarState(question)
        self._show_progress()
        if question is None:
            self.window.show_nothing(why_none(work))
            return
        self._last = question
        self._show()
        self.hear()

    def hear(self) -> None:
        """Play the question; again, for less."""
        if self.state is None:
            return
        if not self.state.is_answered:
            self.state = self.state.heard()
        told = self.state.question.told if self.state.question.checks_itself and self.state.checked else None
        self._play(told or self.state.question.excerpt)

    def _hear_other(self) -> None:
        if self.state is not None and self.state.other is not None:
            self._play(self.state.other[1])

    def _play(self, excerpt: Excerpt) -> None:
        def make(_chart: Chart, _take: str | None) -> Timeline:
            from core.ear.sounding import excerpt_timeline

            return excerpt_timeline(excerpt)

        self._playback.hear_example(excerpt.chart, None, make)

    def check(self) -> None:
        """The singer has sung: hear what it was."""
        if self.state is None or not self.state.question.checks_itself or self.state.is_answered:
            return
        self.state = replace(self.state, checked=True)
        self._show()
        self.hear()

    def answer(self, identifier: str) -> None:
        """An answer, from wherever it came; the first one counts."""
        if self.state is None or self.state.is_answered:
            return
        assert self._progress is not None
        self.state = replace(self.state, given=identifier)
        self._progress = with_answer(self._progress, self.state, self.today())
        self._write()
        self._show()
        self._show_progress()

    # --- what is shown ---------------------------------------------------------------------------------------------

    def _show(self) -> None:
        if self.window is not None and self.state is not None:
            where = place_words(self._desk.chart, self._desk.take_name, self.state.question)
            self.window.show_state(self.state, where)

    def _show_progress(self) -> None:
        if self.window is None or self._progress is None:
            return
        drill = self.state.question.drill if self.state else self._settings.get("ear_work")
        table = table_of(self._progress, drill)
        self.window.show_progress(table, table_words(table), due_words(self._progress, self.today()))

    def _on_moved(self, place: float | None) -> None:
        if self.is_open and self.window is not None:
            self.window.bars.set_playhead(place)

    # --- the keyboard ----------------------------------------------------------------------------------------------

    def _on_event(self, event: dict[str, Any]) -> None:
        if event.get("event") == "played" and self.is_open and self._hand.feed(bool(event["on"]), int(event["pitch"])):
            self._settle.start()

    def _on_hand(self) -> None:
        from core.ear.question import played_answer

        if self.state is None or self.state.is_answered or not self.is_open:
            return
        found = played_answer(self.state.question, frozenset(self._hand.chord))
        if found is not None:
            self.answer(found)

    # --- the file --------------------------------------------------------------------------------------------------

    def _read(self) -> Progress:
        from core.ear.progress import Progress, progress_from_json
        from core.files import read_text

        if not self.path.exists():
            return Progress()
        try:
            return progress_from_json(read_text(self.path))
        except ChangewrightError as error:
            aside = self.path.with_suffix(".damaged.json")
            with suppress(OSError):
                self.path.replace(aside)
            self.said.emit(f"{error} It was put aside as {aside.name}, and a new one begins.")
            return Progress()

    def _write(self) -> None:
        from core.ear.progress import progress_to_json
        from core.files import write_text_atomic

        assert self._progress is not None
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            write_text_atomic(self.path, progress_to_json(self._progress))
        except (ChangewrightError, OSError) as error:
            self.said.emit(f"The ear progress could not be kept: {error}")
