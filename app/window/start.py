"""From nothing to a painted window: the application, the type, the chart, the window, in this order."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

from app.window.fonts import font, load_fonts
from app.window.main_window import MainWindow
from app.window.session import demo_path, last_path
from app.window.settings import APPLICATION, ORGANISATION, Settings

if TYPE_CHECKING:
    from app.window.player_port import Player
    from core.chart import Chart
    from core.file_stamp import FileStamp

WAKE_MILLISECONDS = 200  # Python sees Ctrl+C only when it runs


def make_application(arguments: list[str]) -> QApplication:
    """The one application, in our type and style."""
    QApplication.setStyle("fusion")  # named before there is an application, it is made only once
    application = QApplication(arguments)
    application.setOrganizationName(ORGANISATION)
    application.setApplicationName(APPLICATION)
    application.setApplicationDisplayName("")
    load_fonts()
    application.setFont(font("sans", 14))
    return application


def blank_chart() -> Chart:
    """What the window shows when no file is given."""
    from core.edit import new_chart
    from core.key import Key
    from core.meter import Meter

    return new_chart("Untitled", Key(0), Meter(), 32)


def first_chart(path: str | None) -> tuple[Chart, FileStamp | None] | None:
    """The chart of one of our own files, to be painted first; None for any other, which is opened by the window."""
    if path is None or not path.endswith(".json"):
        return None
    from core.chart_json import chart_from_json
    from core.errors import ChangewrightError
    from core.file_stamp import stamp_of

    try:
        stamp = stamp_of(path)
        return chart_from_json(Path(path).read_text(encoding="utf-8-sig")), stamp
    except (ChangewrightError, OSError, ValueError):
        return None  # the window opens it again and says what is wrong


def player_maker(settings: Settings) -> Callable[[Callable[[dict[str, Any]], None]], Player]:
    """What starts the player process, on the SoundFont that was chosen."""

    def make_player(on_event: Callable[[dict[str, Any]], None]) -> Player:
        from app.player.client import PlayerClient

        font = settings.get("font")
        return PlayerClient(on_event, font=Path(font) if font else None)

    return make_player


def run(path: str | None) -> int:
    """Show the window until it is closed."""
    application = make_application(sys.argv[:1])
    settings = Settings()
    path = path or last_path(settings)
    demo = demo_path(settings) if path is None else None
    first = first_chart(path or demo)
    window = MainWindow(first[0] if first else blank_chart(), settings, None, player_maker(settings))
    window.completed.connect(lambda: _after_start(window, path, first, is_first_day=demo is not None))
    window.show()
    return application.exec()


def _after_start(
    window: MainWindow, path: str | None, first: tuple[Chart, FileStamp | None] | None, is_first_day: bool = False
) -> None:
    """Heed Ctrl+C; name the file that is shown already, or open the one that is not; offer what a crash left."""
    import signal

    signal.signal(signal.SIGINT, lambda _signal, _frame: window.close())
    wake = QTimer(window)
    wake.timeout.connect(lambda: None)
    wake.start(WAKE_MILLISECONDS)
    if path is None and first is not None:
        window.page.setFocus()  # the tune of the first day is nobody's file: Save asks for a name
    elif path is None:
        window.desk.select_row("standard")
    elif path is not None and first is not None:
        window.files.adopt(Path(path), first[1])
    elif path is not None:
        window.files.open(path)
    window.files.recovery.offer()
    if is_first_day:
        window.settings.set("started", True)
        window.tour.begin()
