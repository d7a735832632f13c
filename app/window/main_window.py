"""The window, in two steps: the page with its chart is painted first, then everything round it is put in place.

The first step loads only what the page needs (half the time from start to paint is loading); the second,
:meth:`MainWindow.complete`, runs right after the first paint and hands over to :class:`app.window.workings.Workings`.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QSize, QTimer, Signal
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QApplication, QFrame, QHBoxLayout, QMainWindow, QVBoxLayout, QWidget

from app.window.desk import Desk
from app.window.document import Document
from app.window.header import Header
from app.window.page.page_model import Reading, one_row, page_model
from app.window.page.page_view import PageView
from app.window.page.system_painter import PageOptions
from app.window.settings import VIEW_SWITCHES, Settings
from app.window.style import palette, style_sheet
from app.window.theme import THEMES, Theme
from core.chart import Chart

if TYPE_CHECKING:
    from PySide6.QtGui import QAction, QCloseEvent, QDragEnterEvent, QDropEvent, QShowEvent

    from app.window.background import Background, Pool
    from app.window.bar_control import BarControl
    from app.window.book_window import BookControl
    from app.window.class_control import ClassControl
    from app.window.command_control import CommandControl
    from app.window.compare_control import CompareControl
    from app.window.drag_out import DragOut
    from app.window.ear_control import EarControl
    from app.window.explanation_sheet import ExplanationControl
    from app.window.export_control import ExportControl
    from app.window.file_control import FileControl
    from app.window.finding_control import FindingControl
    from app.window.form_strip import FormStrip
    from app.window.hands_control import HandsControl
    from app.window.line_control import LineControl
    from app.window.map_window import MapControl
    from app.window.menus import Menus
    from app.window.message_bar import MessageBar
    from app.window.play_control import PlayControl
    from app.window.playback import Playback
    from app.window.played_control import PlayedControl
    from app.window.player_port import Player
    from app.window.practice_control import PracticeControl
    from app.window.prepare_control import PrepareControl
    from app.window.proposal_control import ProposalControl
    from app.window.proposals_panel import ProposalsPanel
    from app.window.reference_control import ReferenceControl
    from app.window.session import Session
    from app.window.sheet_control import SheetControl
    from app.window.sound_control import SoundControl
    from app.window.tour import Tour
    from app.window.transport import Transport
    from app.window.tune_control import TuneControl
    from app.window.whole_takes_control import WholeTakesControl
    from app.window.words_control import WordsControl
    from app.window.workings import Workings

    MakePlayer = Callable[[Callable[[dict[str, Any]], None]], Player]

MENU_HEIGHT, FOOT_HEIGHT = 28, 118  # held free until menus and transport are there
LEAST_SIZE, USUAL_SIZE = QSize(760, 520), QSize(1280, 800)
SCREEN_SHARE = 0.88


class MainWindow(QMainWindow):
    """Everything on screen. The parts below are there after :meth:`complete`."""

    painted = Signal()  # once, when the page has been painted with its chart
    completed = Signal()  # once, when everything else is there

    background: Background
    playback: Playback
    panel: ProposalsPanel
    transport: Transport
    strip: FormStrip
    message: MessageBar
    files: FileControl
    sheets: SheetControl
    exports: ExportControl
    sound: SoundControl
    played: PlayedControl
    bars: BarControl
    references: ReferenceControl
    words: WordsControl
    tune: TuneControl
    proposals: ProposalControl
    practice: PracticeControl
    play: PlayControl
    findings: FindingControl
    map: MapControl
    explanation: ExplanationControl
    book: BookControl
    hands: HandsControl
    line: LineControl
    whole: WholeTakesControl
    compare: CompareControl
    commands: CommandControl
    session: Session
    drag_out: DragOut
    tour: Tour
    ear: EarControl
    lesson: ClassControl
    prepare: PrepareControl
    menus: Menus

    def __init__(self, chart: Chart, settings: Settings, pool: Pool | None, make_player: MakePlayer) -> None:
        super().__init__()
        self.settings, self.pool, self.make_player = settings, pool, make_player
        self.workings: Workings | None = None
        self.theme = self._wanted_theme()
        self.document = Document(chart, self)
        self.desk = Desk(self.document, self)
        self.reading = Reading()
        self._shown = False
        self._make_parts()
        self._arrange()
        self._paint_theme()
        self.setMinimumSize(LEAST_SIZE)
        self.resize(self._first_size())
        if self.settings.get("maximized"):
            from PySide6.QtCore import Qt  # its enums are slow to load and wanted here only

            self.setWindowState(Qt.WindowState.WindowMaximized)
        self.side_place.setFixedWidth(self.panel_width())
        self.show_title()
        self.show_page()

    # --- the first step --------------------------------------------------------------------------------------------

    def _make_parts(self) -> None:
        self.header = Header()
        self.page = PageView(self.theme)
        self.page.set_options(self.page_options())
        self.page.set_zoom(self.settings.get("zoom"))
        self.page.setMinimumWidth(400)
        self.page.first_painted.connect(self._on_first_paint)

    def _arrange(self) -> None:
        self.room = room = QWidget()
        room.setObjectName("room")
        self.side_place, self.foot = QWidget(), QFrame()
        self.foot.setObjectName("foot")
        self.foot.setMinimumHeight(FOOT_HEIGHT)
        self.middle = QHBoxLayout()
        self.middle.setContentsMargins(24, 0, 24, 12)
        self.middle.setSpacing(14)
        self.middle.addWidget(self.page, 1)
        self.middle.addWidget(self.side_place)
        layout = QVBoxLayout(room)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.header)
        layout.addLayout(self.middle, 1)
        layout.addWidget(self.foot)
        room.setContentsMargins(0, MENU_HEIGHT, 0, 0)
        self.setCentralWidget(room)

    def _first_size(self) -> QSize:
        """As it was left; the first time a good part of the screen, and never less than is needed."""
        kept = self.settings.get("window_size")
        if len(kept) == 2 and all(side.isdecimal() for side in kept):
            return QSize(int(kept[0]), int(kept[1]))
        there = self.screen().availableSize()
        return USUAL_SIZE.expandedTo(QSize(round(there.width() * SCREEN_SHARE), round(there.height() * SCREEN_SHARE)))

    def panel_width(self) -> int:
        """How wide the proposals are: as they were left, or a share of the window."""
        return self.settings.get("panel_width") or min(430, max(340, self.width() * 27 // 100))

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if not self._shown:
            self._shown = True
            self.side_place.setFixedWidth(self.panel_width())
            self.page.setFocus()

    def _on_first_paint(self) -> None:
        QTimer.singleShot(0, self._after_first_paint)

    def _after_first_paint(self) -> None:
        self.painted.emit()
        self.complete()

    def complete(self) -> None:
        """The second step: panel, transport, menus, controls."""
        if self.workings is not None:
            return
        from app.window.workings import Workings

        self.workings = Workings(self)
        self.workings.start()
        self.completed.emit()

    # --- what is shown ---------------------------------------------------------------------------------------------

    def show_page(self) -> None:
        """Show the chart as it is."""
        chart, name = self.desk.chart, self.desk.take_name
        self.header.show_chart(chart, name)
        only = self.settings.get("rows") if name is not None else "both"
        self.page.only_row = "" if only == "both" else only
        shown = (chart, name, self.reading) if only == "both" else one_row(chart, name, self.reading, only)
        self.page.set_model(page_model(*shown, self.settings.get("chord_style")))

    def show_title(self) -> None:
        """Name the window after the tune and its file, with a star while something is not saved."""
        path = self.document.path
        self.setWindowTitle(f"{self.document.chart.title}[*]" + (f" · {path.name}" if path else "") + " – Changewright")
        self.setWindowModified(self.document.is_dirty)

    def page_options(self) -> PageOptions:
        """What the reader wants to see."""
        switches = (self.settings.get(name) for name in VIEW_SWITCHES)
        return PageOptions(*switches)._replace(per_line=self.settings.get("bars_per_line"))

    def _wanted_theme(self) -> Theme:
        wanted = self.settings.get("theme")
        if wanted == "system":
            wanted = "dark" if self._system_is_dark() else "light"
        return THEMES[wanted]

    def _system_is_dark(self) -> bool:
        """Asked before our own palette is set, and of the system's style hints afterwards."""
        if self.workings is None:
            return QApplication.palette().color(QPalette.ColorRole.Window).lightness() < 128
        return self.workings.system_is_dark()

    def _paint_theme(self) -> None:
        QApplication.setPalette(palette(self.theme))
        self.setStyleSheet(style_sheet(self.theme))

    def apply_theme(self) -> None:
        """Paint everything in the wanted theme."""
        self.theme = self._wanted_theme()
        self._paint_theme()
        for part in (self.page, self.panel, self.transport, self.strip):
            part.set_theme(self.theme)
        self.map.set_theme(self.theme)
        self.book.set_theme(self.theme)
        self.ear.set_theme(self.theme)
        self.hands.set_theme(self.theme)
        self.lesson.set_theme(self.theme)
        self.sheets.set_theme(self.theme)
        self.whole.set_theme(self.theme)
        self.compare.set_theme(self.theme)

    def zoom(self, factor: float | None) -> None:
        """Scale the page by a factor, or (None) to the usual size."""
        self.page.set_zoom(1.0 if factor is None else self.page.zoom * factor)
        self.settings.set("zoom", self.page.zoom)

    def action(self, identifier: str) -> QAction:
        """A command by its id in the table."""
        return self.menus.actions[identifier]

    # --- the system's events ---------------------------------------------------------------------------------------

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if any(url.isLocalFile() for url in event.mimeData().urls()):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        path = next((url.toLocalFile() for url in event.mimeData().urls() if url.isLocalFile()), None)
        if path:
            event.acceptProposedAction()
            QTimer.singleShot(0, lambda: self.files.open(path))

    def closeEvent(self, event: QCloseEvent) -> None:
        if self.workings is not None and not self.workings.may_close():
            event.ignore()
            return
        event.accept()
