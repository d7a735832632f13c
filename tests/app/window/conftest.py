"""A window with a pool that runs at once and a player that only remembers what it was told."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.window.fonts import font, load_fonts
from app.window.main_window import MainWindow
from app.window.settings import Settings
from core.timeline import Timeline
from tests.app.window.sample import sample_chart


class PromptPool:
    """Runs work at once, on this thread."""

    def start(self, work: Callable[[], None]) -> None:
        """Run it."""
        work()


class FakePlayer:
    """Remembers calls; ``place`` is where it says it is."""

    def __init__(self, on_event: Callable[[dict[str, Any]], None]) -> None:
        self.on_event, self.calls, self.place = on_event, list[tuple[Any, ...]](), 0.0
        self.timeline: Timeline | None = None

    def load(self, timeline: Timeline, passes: int = 0) -> int:
        if not passes:
            self.timeline = timeline
        self.calls.append(("load", timeline.bpm, passes) if passes else ("load", timeline.bpm))
        return len(self.calls)

    def play(self, start: float = 0.0, *, count_in: bool = False, side: Any = None) -> None:
        self.place = start
        self.calls.append(("play", start, count_in, side))

    def position(self, now: float | None = None) -> float:
        return self.place

    def __getattr__(self, name: str) -> Callable[..., None]:
        if name.startswith("__"):
            raise AttributeError(name)
        return lambda *arguments: self.calls.append((name, *arguments))

    def names(self) -> list[str]:
        """What was called, in order."""
        return [call[0] for call in self.calls]


@pytest.fixture(scope="session", autouse=True)
def _fonts(qapp: QApplication) -> None:
    load_fonts()
    qapp.setStyle("Fusion")
    qapp.setFont(font("sans", 14))


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    store = QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)
    made = Settings(store)
    made.set("theme", "light")
    return made


@pytest.fixture
def players() -> list[FakePlayer]:
    return []


@pytest.fixture
def window(qtbot: QtBot, settings: Settings, players: list[FakePlayer]) -> Iterator[MainWindow]:
    """The window with the sample tune, shown and settled."""

    def make(on_event: Callable[[dict[str, Any]], None]) -> FakePlayer:
        players.append(FakePlayer(on_event))
        return players[-1]

    made = MainWindow(sample_chart(), settings, PromptPool(), make)
    qtbot.addWidget(made, before_close_func=lambda w: w.document.stack.setClean())
    made.show()
    qtbot.waitExposed(made)
    made.complete()
    qtbot.waitUntil(lambda: bool(made.reading.tension))
    yield made
    made.document.stack.setClean()
