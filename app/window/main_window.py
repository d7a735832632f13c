"""The window: puts the parts together and wires them. No musical decisions here."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QEvent, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QAction, QCloseEvent, QDragEnterEvent, QDropEvent, QGuiApplication, QShowEvent
from PySide6.QtWidgets import QApplication, QMainWindow, QSplitter, QVBoxLayout, QWidget

from app.window.background import Background, Pool
from app.window.bar_control import BarControl
from app.window.desk import Desk
from app.window.dialogs import KeyboardDialog
from app.window.document import Document
from app.window.file_control import FileControl
from app.window.form_strip import FormStrip
from app.window.header import Header
from app.window.menus import Menus
from app.window.message_bar import MessageBar
from app.window.page.page_model import Reading, page_model
from app.window.page.page_view import PageView
from app.window.page.system_painter import PageOptions
from app.window.play_control import PlayControl
from app.window.playback import Playback, Player
from app.window.proposal_control import ProposalControl
from app.window.proposals_panel import ProposalsPanel
from app.window.reading import read_chart, summarise
from app.window.settings import Settings
from app.window.style import palette, style_sheet
from app.window.theme import THEMES, Theme
from app.window.transport import Transport
from app.window.tune_control import TuneControl
from core.chart import Chart, changed_bars

MakePlayer = Callable[[Callable[[dict[str, Any]], None]], Player]
WARM_AFTER_MILLISECONDS = 350
VIEW_SWITCHES = ("show_staff", "show_numerals", "show_threads")


class MainWindow(QMainWindow):
    """Everything on screen."""

    painted = Signal()  # once, after the first paint with a chart

    def __init__(self, chart: Chart, settings: Settings, pool: Pool, make_player: MakePlayer) -> None:
        super().__init__()
        self.settings = settings
        self.theme = self._wanted_theme()
        self.document = Document(chart, self)
        self.desk = Desk(self.document, self)
        self.background = Background(pool, self)
        self.playback = Playback(make_player, self.background, self)
        self.reading = Reading()
        self._make_parts()
        self._arrange()
        self._make_controls()
        self.menus = Menus(self)
        self._connect()
        self.apply_theme()
        self.setAcceptDrops(True)
        self.setMinimumSize(QSize(760, 520))
        self.resize(1280, 800)
        self._show_title()
        self._show_page()
        self._first_show = True

    # --- putting together ------------------------------------------------------------------------------------------

    def _make_parts(self) -> None:
        self.header = Header()
        self.page = PageView(self.theme)
        self.panel = ProposalsPanel(self.theme, self.settings.get("boldness"))
        self.transport, self.strip = Transport(self.theme), FormStrip(self.theme)
        self.message = MessageBar()
        self.page.set_options(self._page_options())
        self.page.set_zoom(self.settings.get("zoom"))

    def _arrange(self) -> None:
        room = QWidget()
        room.setObjectName("room")
        self.splitter = QSplitter(Qt.Orientation.Horizontal)
        self.splitter.addWidget(self.page)
        self.splitter.addWidget(self.panel)
        self.splitter.setStretchFactor(0, 1)
        self.splitter.setHandleWidth(14)
        self.splitter.setChildrenCollapsible(False)
        self.panel.setMinimumWidth(300)
        self.page.setMinimumWidth(400)
        middle = QVBoxLayout()
        middle.setContentsMargins(24, 0, 24, 12)
        middle.setSpacing(6)
        middle.addWidget(self.message)
        middle.addWidget(self.splitter, 1)
        foot = QWidget()
        foot.setObjectName("foot")
        foot.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        low = QVBoxLayout(foot)
        low.setContentsMargins(0, 2, 0, 4)
        low.setSpacing(2)
        low.addWidget(self.transport)
        low.addWidget(self.strip)
        layout = QVBoxLayout(room)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.header)
        layout.addLayout(middle, 1)
        layout.addWidget(foot)
        self.setCentralWidget(room)

    def _make_controls(self) -> None:
        self.files = FileControl(self.document, self.desk, self.settings, self.background, self)
        self.bars = BarControl(self.desk, self.page, self)
        self.tune = TuneControl(self.desk, self.page, self)
        self.proposals = ProposalControl(self.desk, self.panel, self.background, self.playback, self)
        self.play = PlayControl(self.desk, self.playback, self.transport, self.page, self.strip, self.settings, self)
        self.proposals.set_style(self.settings.get("chord_style"))

    def _connect(self) -> None:
        self.page.selection_moved.connect(self.desk.select)
        self.strip.bar_chosen.connect(self._on_strip)
        self.desk.chart_changed.connect(self._on_chart)
        self.desk.selected.connect(self._on_selected)
        self.document.path_changed.connect(self._show_title)
        self.document.replaced.connect(self._on_replaced)
        self.header.details_wanted.connect(self.files.details)
        self.header.take_chosen.connect(self.desk.look_at)
        self.header.reference_chosen.connect(self._choose_reference)
        self.panel.boldness_moved.connect(lambda value: self.settings.set("boldness", value))
        self.tune.moved.connect(self._on_tune)
        self.tune.left.connect(lambda: self.menus.set_checked("tune_mode", False))
        self.settings.changed.connect(self._on_setting)
        for source in (self.document.refused, self.background.failed, self.playback.said, self.files.said,
                       self.proposals.said, self.play.said):  # fmt: skip
            source.connect(self.message.say)
        QGuiApplication.styleHints().colorSchemeChanged.connect(lambda _scheme: self.apply_theme())

    # --- what changes ----------------------------------------------------------------------------------------------

    def _on_chart(self) -> None:
        self._show_page()
        self._ask_reading()
        self.proposals.ask()

    def _on_replaced(self) -> None:
        self.reading = Reading()
        self.playback.stop()
        self.page.set_playhead(None)
        self.page.set_selection(self.desk.selection)

    def _on_selected(self) -> None:
        self.page.set_slot_onset(self.bars.selected_slot_onset())
        self.page.set_selection(self.desk.selection)
        self.strip.set_selected(self.desk.selection.first, self.desk.selection.last)
        self.play.seek_selection()
        self.proposals.ask()

    def _on_strip(self, bar: int, extend: bool) -> None:
        self.desk.select(self.desk.selection.moved_to(bar, len(self.desk.form.bars), extend))

    def _show_page(self) -> None:
        chart, name = self.desk.chart, self.desk.take_name
        self.header.show_chart(chart, name)
        self.page.set_model(page_model(chart, name, self.reading, self.settings.get("chord_style")))
        changed = frozenset(changed_bars(chart, self.desk.take)) if self.desk.take else frozenset()
        self.strip.set_form(self.desk.form, self.reading.tension, changed)
        self.strip.set_selected(self.desk.selection.first, self.desk.selection.last)

    def _ask_reading(self) -> None:
        self.background.ask("reading", self._on_reading, read_chart, self.desk.chart, self.desk.take_name)
        self.background.ask("summary", self.transport.summary.setText, summarise, self.desk.chart, self.desk.take_name)

    def _on_reading(self, reading: Reading) -> None:
        self.reading = reading
        self.proposals.set_reading(reading)
        self._show_page()

    def _on_tune(self) -> None:
        self.menus.set_checked("tune_mode", self.tune.on)
        self.menus.show_hint(self.tune.words() if self.tune.on else "")

    def _choose_reference(self, name: str) -> None:
        from core.edit import choose_reference

        self.desk.edit("choose the standard", choose_reference, name)

    def _show_title(self) -> None:
        path = self.document.path
        self.setWindowTitle(f"{self.document.chart.title}[*]" + (f" · {path.name}" if path else "") + " – Changewright")
        self.setWindowModified(self.document.is_dirty)

    # --- looks -----------------------------------------------------------------------------------------------------

    def _wanted_theme(self) -> Theme:
        wanted = self.settings.get("theme")
        if wanted == "system":
            dark = QGuiApplication.styleHints().colorScheme() == Qt.ColorScheme.Dark
            wanted = "dark" if dark else "light"
        return THEMES[wanted]

    def apply_theme(self) -> None:
        """Paint everything in the wanted theme."""
        self.theme = self._wanted_theme()
        application = QApplication.instance()
        assert isinstance(application, QApplication)
        application.setPalette(palette(self.theme))
        self.setStyleSheet(style_sheet(self.theme))
        for part in (self.page, self.panel, self.transport, self.strip):
            part.set_theme(self.theme)

    def _page_options(self) -> PageOptions:
        return PageOptions(*(self.settings.get(name) for name in VIEW_SWITCHES))

    def _on_setting(self, key: str) -> None:
        if key == "theme":
            self.apply_theme()
        elif key in VIEW_SWITCHES:
            self.page.set_options(self._page_options())
        elif key == "chord_style":
            self.proposals.set_style(self.settings.get("chord_style"))
            self._show_page()

    def zoom(self, factor: float | None) -> None:
        """Scale the page by a factor, or (None) to the usual size."""
        self.page.set_zoom(1.0 if factor is None else self.page.zoom * factor)
        self.settings.set("zoom", self.page.zoom)

    def show_keyboard(self) -> None:
        """Every command and its keys."""
        KeyboardDialog(self).open()

    def action(self, identifier: str) -> QAction:
        """A command by its id in the table."""
        return self.menus.actions[identifier]

    # --- the system's events ---------------------------------------------------------------------------------------

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if self._first_show:
            self._first_show = False
            panel = self.settings.get("panel_width") or min(430, max(340, self.width() * 27 // 100))
            self.splitter.setSizes([self.splitter.width() - panel, panel])
            self.page.setFocus(Qt.FocusReason.OtherFocusReason)
            QTimer.singleShot(0, self._after_first_paint)

    def _after_first_paint(self) -> None:
        self.painted.emit()
        self._ask_reading()
        self.proposals.start()
        QTimer.singleShot(WARM_AFTER_MILLISECONDS, self.playback.warm)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if any(url.isLocalFile() for url in event.mimeData().urls()):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        path = next((url.toLocalFile() for url in event.mimeData().urls() if url.isLocalFile()), None)
        if path:
            event.acceptProposedAction()
            QTimer.singleShot(0, lambda: self.files.open(path))

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.WindowStateChange:
            self.page.viewport().update()

    def closeEvent(self, event: QCloseEvent) -> None:
        if not self.files.may_leave():
            event.ignore()
            return
        self.settings.set("panel_width", self.panel.width())
        self.playback.close()
        event.accept()
