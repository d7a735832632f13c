"""From nothing to a painted window: the application, the type, the chart, the window, in this order."""

from __future__ import annotations

import signal
import sys
from collections.abc import Callable
from typing import Any

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication, QStyleFactory

from app.window.background import ThreadPool
from app.window.fonts import font, load_fonts
from app.window.main_window import MainWindow
from app.window.playback import Player
from app.window.settings import APPLICATION, ORGANISATION, Settings
from core.chart import Chart
from core.edit import new_chart
from core.key import Key
from core.meter import Meter

WAKE_MILLISECONDS = 200  # Python sees Ctrl+C only when it runs


def make_application(arguments: list[str]) -> QApplication:
    """The one application, in our type and style."""
    QGuiApplication.setHighDpiScaleFactorRoundingPolicy(Qt.HighDpiScaleFactorRoundingPolicy.PassThrough)
    application = QApplication(arguments)
    application.setOrganizationName(ORGANISATION)
    application.setApplicationName(APPLICATION)
    application.setApplicationDisplayName("")
    application.setStyle(QStyleFactory.create("Fusion"))
    load_fonts()
    application.setFont(font("sans", 14))
    return application


def blank_chart() -> Chart:
    """What the window shows when no file is given."""
    return new_chart("Untitled", Key(0), Meter(), 32)


def make_player(on_event: Callable[[dict[str, Any]], None]) -> Player:
    """The player process."""
    from app.player.client import PlayerClient

    return PlayerClient(on_event)


def run(path: str | None) -> int:
    """Show the window until it is closed."""
    application = make_application(sys.argv[:1])
    pool = ThreadPool()
    window = MainWindow(blank_chart(), Settings(), pool, make_player)
    if path is not None:
        window.files.open(path)
    window.show()
    signal.signal(signal.SIGINT, lambda _signal, _frame: window.close())
    wake = QTimer()
    wake.timeout.connect(lambda: None)
    wake.start(WAKE_MILLISECONDS)
    code = application.exec()
    pool.finish()
    return code
