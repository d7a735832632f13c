"""What makes the window work: the parts round the page and the controls, wired. No musical decisions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, QTimer
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QSplitter, QVBoxLayout

from app.window.background import Background, ThreadPool
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
from app.window.page.page_hands import PageHands
from app.window.page.page_model import Reading
from app.window.play_control import PlayControl
from app.window.playback import Playback
from app.window.played_control import PlayedControl
from app.window.practice_control import PracticeControl
from app.window.prepare_control import PrepareControl
from app.window.proposal_control import ProposalControl
from app.window.proposals_panel import ProposalsPanel
from app.window.reading import read_chart, summarise
from app.window.reference_control import ReferenceControl
from app.window.session import Session
from app.window.settings import VIEW_SWITCHES
from app.window.sheet_control import SheetControl
from app.window.sound_control import SoundControl
from app.window.tour import Tour
from app.window.transport import Transport
from app.window.tune_control import TuneControl
from app.window.whole_takes_control import WholeTakesControl
from app.window.words_control import WordsControl

if TYPE_CHECKING:
    from app.window.main_window import MainWindow

WARM_AFTER_MILLISECONDS = 250


class Workings(QObject):
    """Made once, after the first paint."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        self._own_pool = ThreadPool()  # its thread is made when it is asked something
        window.background = Background(window.pool or self._own_pool, window)
        window.playback = Playback(window.make_player, window.background, window)
        self._make_parts(window)
        self._arrange(window)
        self._make_controls(window)
        window.menus = Menus(window)
        window.commands.adopt(window.menus.actions)
        window.room.setContentsMargins(0, 0, 0, 0)
        window.setAcceptDrops(True)
        self._connect(window)

    def _make_parts(self, w: MainWindow) -> None:
        w.panel = ProposalsPanel(w.theme, w.settings.get("boldness"))
        w.transport, w.strip = Transport(w.theme), FormStrip(w.theme)
        w.message = MessageBar(w.foot)
        self._hands = PageHands(w.page)
        w.panel.setMinimumWidth(300)
        w.header.title.setFocusPolicy(Qt.FocusPolicy.TabFocus)  # the page has the keyboard when the window opens

    def _arrange(self, w: MainWindow) -> None:
        width = w.panel_width()
        w.middle.removeWidget(w.side_place)
        w.side_place.deleteLater()
        splitter = QSplitter(Qt.Orientation.Horizontal)
        splitter.setHandleWidth(14)
        splitter.setChildrenCollapsible(False)
        w.middle.addWidget(splitter, 1)
        splitter.addWidget(w.page)
        splitter.addWidget(w.panel)
        splitter.setStretchFactor(0, 1)
        splitter.setSizes([max(400, w.width() - 62 - width), width])
        low = QVBoxLayout(w.foot)
        low.setContentsMargins(0, 2, 0, 4)
        low.setSpacing(2)
        low.addWidget(w.transport)
        low.addWidget(w.strip)
        w.page.setFocus(Qt.FocusReason.OtherFocusReason)

    def _make_controls(self, w: MainWindow) -> None:
        w.files = FileControl(w.document, w.desk, w.settings, w.background, w)
        w.sheets = SheetControl(w.desk, w.settings, w.theme, w)
        w.exports = ExportControl(w.desk, w.settings, w.pool, w)
        w.sound = SoundControl(w.playback, w.settings, w)
        w.bars = BarControl(w.desk, w.page, w)
        w.references = ReferenceControl(w.desk, w)
        w.words = WordsControl(w.desk, w.panel.words, w.page, w)
        w.words.shown.connect(w.panel.set_step)
        w.tune = TuneControl(w.desk, w.page, w)
        w.proposals = ProposalControl(w.desk, w.panel, w.background, w.playback, w)
        w.findings = FindingControl(w.desk, w.background, w)
        w.practice = PracticeControl(w.desk, w.playback, w.transport, w.settings, w.room)
        w.practice.right_edge = lambda: w.page.mapTo(w.room, w.page.rect().topRight()).x()
        w.play = PlayControl(w.desk, w.playback, w.transport, w.page, w.strip, w.settings, w.practice, w)
        w.played = PlayedControl(w.desk, w.playback, w.page, w.bars, w.tune, w.play, w.practice, w)
        w.map = MapControl(w.desk, w.background, w.theme, w)
        w.explanation = ExplanationControl(w.desk, w.panel.how, w.panel.how_sheet, w.background, w)
        # One of the two sheets at a time: a small window has no room for both beside the cards.
        w.explanation.opened.connect(w.panel.close_why)
        w.panel.why_opened.connect(w.explanation.close)
        w.drag_out = DragOut(w.desk, w.header.title, w)
        w.session, w.tour = Session(w.desk, w.settings, w), Tour(w)
        w.commands = CommandControl(w.desk, w.settings, w)
        w.prepare = PrepareControl(w.desk, w.background, w.settings, w)
        w.prepare.present_wished.connect(lambda: w.lesson.open())
        w.proposals.taught = lambda: w.prepare.taught
        w.lesson = ClassControl(w.desk, w.background, w.playback, w.play, w.transport.side, w.settings, w.theme, w)
        w.ear = EarControl(w.desk, w.background, w.playback, w.settings, w.theme, w, lambda: w.practice.state.silent)
        w.ear.taught = lambda: w.prepare.taught
        w.book = BookControl(w.background, w.playback, w.theme, w)
        w.hands = HandsControl(w.desk, w.background, w.playback, w.settings, w.theme, w)
        w.line = LineControl(w.desk, w.background, w.playback, w.settings, w)
        w.line.chart_wished.connect(w.files.show_made)
        w.whole = WholeTakesControl(w.desk, w.background, w.playback, w.settings, w.theme, w, w.action,
                                    lambda: w.practice.state.practice)  # fmt: skip
        w.compare = CompareControl(w.desk, w.background, w.playback, w.settings, w.theme, w, w.action,
                                   lambda: w.practice.state.practice)  # fmt: skip
        for part in (w.map, w.book, w.explanation, w.proposals, w.played, w.whole, w.compare):
            part.set_style(w.settings.get("chord_style"))
        w.map.wanted.connect(self._on_map)
        w.panel.about_wished.connect(w.book.open)
        w.ear.opened.connect(lambda on: setattr(w.played, "is_asleep", on))

    def _connect(self, w: MainWindow) -> None:
        w.page.selection_moved.connect(w.desk.select)
        w.proposals.previewed.connect(w.page.set_preview)
        w.page.zoom_wished.connect(w.zoom)
        w.strip.bar_chosen.connect(self._on_strip)
        w.desk.chart_changed.connect(self._on_chart)
        w.desk.selected.connect(self._on_selected)
        w.document.path_changed.connect(w.show_title)
        w.document.replaced.connect(self._on_replaced)
        w.header.details_wanted.connect(w.files.details)
        w.header.take_chosen.connect(w.desk.look_at)
        w.header.reference_chosen.connect(self._choose_reference)
        w.panel.boldness_moved.connect(lambda value: w.settings.set("boldness", value))
        w.tune.moved.connect(self._on_tune)
        w.tune.left.connect(lambda: w.menus.set_checked("tune_mode", False))
        w.settings.changed.connect(self._on_setting)
        for source in (
            w.document.refused,
            w.background.failed,
            w.playback.said,
            w.files.said,
            w.sheets.said,
            w.exports.said,
            w.sound.said,
            w.played.said,
            w.references.said,
            w.words.said,
            w.explanation.said,
            w.proposals.said,
            w.findings.said,
            w.play.said,
            w.practice.said,
            w.ear.said,
            w.line.said,
            w.commands.said,
            w.drag_out.said,
            w.lesson.said,
            w.prepare.said,
        ):
            source.connect(w.message.say)
        w.playback.noted.connect(w.message.note)
        QGuiApplication.styleHints().colorSchemeChanged.connect(self._on_scheme)

    def start(self) -> None:
        """Ask the first questions and start the player."""
        self._show_strip()
        self._ask_reading()
        self._window.words.show()
        self._window.proposals.start()
        QTimer.singleShot(WARM_AFTER_MILLISECONDS, self._window.playback, self._window.playback.warm)

    # --- what follows what -----------------------------------------------------------------------------------------

    def _on_chart(self) -> None:
        self._window.show_page()
        self._show_strip()
        self._ask_reading()
        self._window.proposals.ask()

    def _on_replaced(self) -> None:
        w = self._window
        w.reading = Reading()
        w.playback.stop()
        w.page.set_playhead(None)
        self._keep_row()
        w.page.set_selection(w.desk.selection)

    def _on_selected(self) -> None:
        w = self._window
        w.page.set_slot_onset(w.bars.selected_slot_onset())
        w.page.set_selection(w.desk.selection)
        w.strip.set_selected(w.desk.selection.first, w.desk.selection.last)
        w.play.seek_selection()
        w.proposals.ask()

    def _on_strip(self, bar: int, extend: bool) -> None:
        desk = self._window.desk
        desk.select(desk.selection.moved_to(bar, len(desk.form.bars), extend))

    def _on_map(self, technique: str, bar: int) -> None:
        desk = self._window.desk
        desk.select(desk.selection.moved_to(bar, len(desk.form.bars)))
        self._window.proposals.show_technique(technique)

    def _show_strip(self) -> None:
        w = self._window
        changed = frozenset(bar.index for bar in w.page.model.bars if bar.changed) if w.page.model else frozenset()
        w.strip.set_form(w.desk.form, w.reading.tension, changed)
        w.strip.set_selected(w.desk.selection.first, w.desk.selection.last)

    def _ask_reading(self) -> None:
        w = self._window
        w.background.ask("reading", self._on_reading, read_chart, w.desk.chart, w.desk.take_name)
        w.background.ask("summary", w.transport.summary.setText, summarise, w.desk.chart, w.desk.take_name)

    def _on_reading(self, reading: Reading) -> None:
        w = self._window
        w.reading = reading
        w.proposals.set_reading(reading)
        w.show_page()
        self._show_strip()

    def _on_tune(self) -> None:
        w = self._window
        w.menus.set_checked("tune_mode", w.tune.on)
        w.menus.show_hint(w.tune.words() if w.tune.on else "")

    def _choose_reference(self, name: str) -> None:
        from core.edit import choose_reference

        self._window.desk.edit("choose the standard", choose_reference, name)

    def _keep_row(self) -> None:
        """What is typed goes into the row that is seen."""
        if self._window.settings.get("rows") != "both":
            self._window.desk.select_row(self._window.settings.get("rows"))

    def system_is_dark(self) -> bool:
        """Whether the system wants dark windows."""
        return QGuiApplication.styleHints().colorScheme() == Qt.ColorScheme.Dark

    def _on_scheme(self, _scheme: object) -> None:
        self._window.apply_theme()

    def _on_setting(self, key: str) -> None:
        w = self._window
        w.menus.show_setting(key)
        if key == "theme":
            w.apply_theme()
        elif key == "rows":
            self._keep_row()
            w.show_page()
        elif key in (*VIEW_SWITCHES, "bars_per_line"):
            w.page.set_options(w.page_options())
        elif key == "only_taught":
            w.proposals.ask()
        elif key == "chord_style":
            for part in (w.map, w.book, w.explanation, w.proposals, w.played, w.whole, w.compare):
                part.set_style(w.settings.get("chord_style"))
            w.show_page()

    def may_close(self) -> bool:
        """Ask about what is not saved, keep what is to be kept, end the player."""
        w = self._window
        if not w.files.may_leave():
            return False
        w.settings.set("panel_width", w.panel.width())
        w.settings.set("maximized", w.isMaximized())
        if not w.isMaximized() and not w.isFullScreen():
            w.settings.set("window_size", (str(w.width()), str(w.height())))
        w.session.keep()
        w.drag_out.close()
        w.lesson.close()
        w.files.close()
        w.sheets.close()
        w.line.close()
        w.exports.close()
        w.whole.close()
        w.compare.close()
        w.playback.close()
        self._own_pool.finish()
        return True
