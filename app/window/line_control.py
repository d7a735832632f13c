"""Who keeps the window of lines true: reads the file and the line in the background, has the sheet made, sounds it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QFileDialog, QWidget

from app.window.background import Background
from app.window.desk import Desk
from app.window.playback import Playback
from app.window.settings import Settings
from core.chart import STANDARD
from core.errors import ChangewrightError

if TYPE_CHECKING:
    from app.sheet.drawing import Page
    from app.window.line_model import LineView, LineWish
    from app.window.line_window import LineWindow
    from app.window.sheet_maker import SheetMaker
    from core.line.solo import Solo

LINE_FILTER = "Lines (*.musicxml *.mxl *.xml *.abc *.mid *.midi *.txt *.changes.json);;All files (*)"
SHEET_FILTER = "PDF (*.pdf);;SVG (*.svg);;PNG (*.png)"


class LineControl(QObject):
    """Makes the window when a line is first opened."""

    said = Signal(str)
    chart_wished = Signal(object)  # the line as a tune of its own

    def __init__(
        self, desk: Desk, background: Background, playback: Playback, settings: Settings, owner: QWidget
    ) -> None:
        super().__init__(owner)
        self._desk, self._background, self._playback, self._settings = desk, background, playback, settings
        self._owner = owner
        self.window: LineWindow | None = None
        self.solo: Solo | None = None
        self.view: LineView | None = None
        self._maker: SheetMaker | None = None
        self._mine = False
        desk.chart_changed.connect(self._on_chart)
        playback.playing_changed.connect(self._on_playing)

    def ask_open(self) -> None:
        """Ask for a file with a line."""
        start = str(self._desk.document.path.parent) if self._desk.document.path else ""
        name, _ = QFileDialog.getOpenFileName(self.window or self._owner, "Open a line", start, LINE_FILTER)
        if name:
            self.open(Path(name))

    def open(self, path: Path) -> None:
        """Read the line in a file; the window opens when it is there."""
        from core.line.files import read_solo

        self.said.emit(f"Reading {path.name}…")
        self._background.ask("line", self._on_solo, read_solo, path)

    def open_tune(self) -> None:
        """Read the chart's own tune as a line."""
        from core.line.solo import solo_of_melody

        chart = self._desk.chart
        if not chart.melody:
            self.said.emit("The tune has no notes to read as a line; open a line from a file.")
            return
        self._on_solo(solo_of_melody(chart.title, chart.melody, chart.form))

    def suggest(self) -> None:
        """Open lines to practise over the selected bar and the next, over the take in hand, as a tune of their own."""
        from core.line.exercises import exercise_chart, exercises

        chart, take = self._desk.chart, self._desk.take
        name = take.name if take is not None else STANDARD
        form = chart.form_of(take)
        number = form.bars[min(self._desk.selection.head, len(form.bars) - 1)].number
        try:
            found = exercises(chart, name, number)
        except ChangewrightError as error:
            self.said.emit(str(error))
            return
        self.chart_wished.emit(exercise_chart(chart, name, number, found))

    def _on_solo(self, solo: Solo) -> None:
        self.solo = solo
        if self.window is None:
            self._make_window()
        assert self.window is not None
        take = self._desk.take
        self.window.set_chart(self._desk.chart, take.name if take and take.form is None else None)
        self.said.emit("")
        self.window.show()
        self.window.activateWindow()
        self._ask(self.window.wish)

    def _make_window(self) -> None:
        from app.window.line_window import LineWindow
        from app.window.sheet_maker import SheetMaker

        self.window = window = LineWindow(self._owner)
        self._maker = maker = SheetMaker(self)
        window.open_wished.connect(self.ask_open)
        window.wished.connect(self._ask)
        window.hear_wished.connect(self.hear)
        window.save_wished.connect(self.ask_save)
        window.tune_wished.connect(self._on_tune)
        window.finished.connect(lambda _code: self._on_closed())
        maker.pages_made.connect(self._on_pages)
        maker.failed.connect(self.said)
        maker.finished.connect(self._on_written)

    # --- reading ------------------------------------------------------------------------------------------------------

    def _on_chart(self) -> None:
        if self.window is not None and self.window.isVisible():
            self._ask(self.window.wish)

    def _ask(self, wish: LineWish) -> None:
        from app.window.line_model import view_of

        if self.solo is not None:
            self._background.ask("line", self._on_view, view_of, self.solo, self._desk.chart, wish)

    def _on_view(self, view: LineView) -> None:
        from app.window.line_model import sheet_wish

        self.view = view
        if self.window is None or self._maker is None or self.solo is None:
            return
        self.window.show_view(view)
        if view.lesson is not None:
            wish = sheet_wish(self.solo, self.window.wish, self._settings.get("paper"))
            self._maker.line(self._desk.chart, wish, "line", None)

    def _on_pages(self, _which: int, pages: tuple[Page, ...]) -> None:
        if self.window is not None:
            self.window.pages.set_pages(pages)

    # --- hearing, saving ----------------------------------------------------------------------------------------------

    def hear(self, first: int, last: int) -> None:
        """Loop bars of the line with their chords, or stop."""
        from app.window.line_model import excerpt

        if self._mine and self._playback.is_playing:
            self._playback.stop()
            return
        if self.view is not None and self.view.lesson is not None:
            self._mine = True
            self._playback.hear_example(excerpt(self.view.lesson, first, last), None)

    def _on_playing(self, on: bool) -> None:
        self._mine = self._mine and on
        if self.window is not None:
            self.window.show_playing(self._mine)

    def ask_save(self) -> None:
        """Ask for a file and write the sheet."""
        name, _ = QFileDialog.getSaveFileName(self.window, "Save the sheet", "line.pdf", SHEET_FILTER)
        if name:
            self.save(Path(name))

    def save(self, path: Path) -> None:
        """Write the sheet as it is shown."""
        from app.window.line_model import sheet_wish

        if self.solo is not None and self.window is not None and self._maker is not None:
            wish = sheet_wish(self.solo, self.window.wish, self._settings.get("paper"))
            self._maker.line(self._desk.chart, wish, path.name, path.parent)

    def _on_written(self, files: tuple[Path, ...]) -> None:
        if files:
            self.said.emit(f"Written: {', '.join(file.name for file in files)}.")

    def _on_tune(self) -> None:
        if self.view is not None and self.view.lesson is not None:
            self.chart_wished.emit(self.view.lesson)

    def close(self) -> None:
        """The program ends."""
        if self._maker is not None:
            self._maker.stop()

    def _on_closed(self) -> None:
        if self._mine:
            self._playback.stop()
        self.close()
