"""Between the dialog for sheets and those who make, save and print them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtWidgets import QFileDialog, QMessageBox, QProgressDialog, QWidget

from app.sheet.batch import Wanted, wanted_sheets
from app.sheet.drawing import Page
from app.window.desk import Desk
from app.window.settings import Settings
from app.window.sheet_maker import SheetMaker
from app.window.theme import Theme

if TYPE_CHECKING:
    from app.window.sheet_dialog import SheetDialog

SETTLE_MILLISECONDS = 250
STOPPED = "Stopped; no sheet was written."


class SheetControl(QObject):
    """Opens the dialog; one at a time."""

    said = Signal(str)

    def __init__(self, desk: Desk, settings: Settings, theme: Theme, window: QWidget) -> None:
        super().__init__(window)
        self._desk, self._settings, self._theme, self._window = desk, settings, theme, window
        self.dialog: SheetDialog | None = None
        self.previewer, self.writer = SheetMaker(self), SheetMaker(self)
        self._pages: dict[int, tuple[Page, ...]] = {}
        self._progress: QProgressDialog | None = None
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self._preview)
        self.previewer.pages_made.connect(self._on_pages)
        self.previewer.finished.connect(lambda _files: self._show_pages(complete=True))
        self.previewer.failed.connect(self._on_fault)
        self.writer.finished.connect(self._on_written)
        self.writer.failed.connect(self._on_write_fault)

    def set_theme(self, theme: Theme) -> None:
        """Change colours for the next time."""
        self._theme = theme

    def open(self) -> None:
        """Show the dialog for the chart as it is."""
        from app.window.sheet_dialog import SheetDialog  # with the painter of pages, which nothing else needs

        if self.dialog is not None:
            self.dialog.raise_()
            return
        dialog = self.dialog = SheetDialog(self._desk.chart, self._desk.take_name, self._theme, self._window)
        get = self._settings.get
        dialog.choose(get("sheet_kinds"), get("sheet_parts"), get("paper"))
        dialog.changed.connect(self._on_changed)
        dialog.save_wished.connect(self._save)
        dialog.print_wished.connect(self._print)
        dialog.finished.connect(self._on_closed)
        dialog.show()
        self._preview()

    def close(self) -> None:
        """Put everything away: the window closes."""
        self.writer.stop()
        if self.dialog is not None:
            self.dialog.reject()

    def _on_closed(self) -> None:
        self._timer.stop()
        self.previewer.stop()
        if self.dialog is not None:
            self.dialog.deleteLater()
        self.dialog = None
        self._pages.clear()

    # --- the preview -------------------------------------------------------------------------------------------------

    def _on_changed(self) -> None:
        if self.dialog is None:
            return
        self._settings.set("sheet_kinds", self.dialog.chosen_kinds())
        self._settings.set("sheet_parts", self.dialog.chosen_parts())
        self._settings.set("paper", self.dialog.paper.currentText())
        self.dialog.show_pages(self.dialog.preview.pages, complete=False)
        self._timer.start(SETTLE_MILLISECONDS)

    def wanted(self, ending: str = ".pdf") -> tuple[Wanted, ...]:
        """The sheets that are ticked."""
        if self.dialog is None:
            return ()
        options = self.dialog.options(self._settings.get("chord_style"))
        return wanted_sheets(self._desk.chart.title, self.dialog.chosen_kinds(), self.dialog.chosen_parts(), options,
                             ending)  # fmt: skip

    def _preview(self) -> None:
        if self.dialog is None:
            return
        self._pages.clear()
        sheets = self.wanted()
        self.dialog.show_fault("" if sheets else "Tick a sheet, and for whom it is.")
        if sheets:
            self.previewer.preview(self._desk.chart, sheets)
        else:
            self.previewer.stop()
            self.dialog.show_pages((), complete=True)

    def _on_pages(self, sheet: int, pages: tuple[Page, ...]) -> None:
        self._pages[sheet] = pages
        self._show_pages(complete=False)

    def _show_pages(self, complete: bool) -> None:
        if self.dialog is not None:
            pages = tuple(page for sheet in sorted(self._pages) for page in self._pages[sheet])
            self.dialog.show_pages(pages, complete)

    def _on_fault(self, sentence: str) -> None:
        if self.dialog is not None:
            self.dialog.show_fault(sentence)
            self.dialog.show_pages((), complete=True)

    # --- saving ------------------------------------------------------------------------------------------------------

    def _save(self) -> None:
        if self.dialog is None:
            return
        sheets = self.wanted(self.dialog.file_ending)
        if len(sheets) == 1:
            start = str(self._folder() / sheets[0].name)
            name, _ = QFileDialog.getSaveFileName(self.dialog, "Save the sheet", start, f"*{self.dialog.file_ending}")
            if not name:
                return
            path = Path(name) if Path(name).suffix else Path(name + self.dialog.file_ending)
            self.save_to(path.parent, (Wanted(sheets[0].options, path.name),))
        elif sheets:
            folder = QFileDialog.getExistingDirectory(self.dialog, "Save the sheets in", str(self._folder()))
            if folder and self._may_replace(Path(folder), sheets):
                self.save_to(Path(folder), sheets)

    def _folder(self) -> Path:
        path = self._desk.document.path
        return path.parent if path else Path.home()

    def _may_replace(self, folder: Path, sheets: tuple[Wanted, ...]) -> bool:
        there = [sheet.name for sheet in sheets if (folder / sheet.name).exists()]
        if not there:
            return True
        words = f"“{there[0]}”" if len(there) == 1 else f"{len(there)} of these sheets"
        buttons = QMessageBox.StandardButton
        answer = QMessageBox.question(self._window, "Replace", f"{words} stood here before. Replace?",
                                      buttons.Yes | buttons.Cancel, buttons.Cancel)  # fmt: skip
        return answer == buttons.Yes

    def save_to(self, folder: Path, sheets: tuple[Wanted, ...]) -> None:
        """Write sheets into a folder, with progress and a way to stop it."""
        progress = self._progress = QProgressDialog(f"Writing {len(sheets)} sheets…", "Stop", 0, len(sheets),
                                                    self.dialog or self._window)  # fmt: skip
        progress.setMinimumDuration(400)
        progress.setAutoClose(False)
        progress.setValue(0)
        progress.canceled.connect(self.stop)
        self.writer.progressed.connect(progress.setValue)
        self.writer.write(self._desk.chart, sheets, folder)

    def stop(self) -> None:
        """Stop writing; nothing of it stays."""
        self.writer.stop()
        self._close_progress()
        self.said.emit(STOPPED)

    def _on_written(self, files: tuple[Path, ...]) -> None:
        self._close_progress()
        self.said.emit(
            f"Written: {files[0]}" if len(files) == 1 else f"{len(files)} files written to {files[0].parent}"
        )

    def _on_write_fault(self, sentence: str) -> None:
        self._close_progress()
        self.said.emit(sentence)
        if self.dialog is not None:
            self.dialog.show_fault(sentence)

    def _close_progress(self) -> None:
        progress, self._progress = self._progress, None
        if progress is not None:
            progress.blockSignals(True)
            progress.close()
            progress.deleteLater()

    # --- printing ----------------------------------------------------------------------------------------------------

    def _print(self) -> None:
        from app.window.printing import ask_printer, print_pages

        if self.dialog is None:
            return
        printer = ask_printer(self.dialog, self._desk.chart.title, self.dialog.preview.pages)
        if printer is not None:
            printed = print_pages(self.dialog.preview.pages, printer)
            self.said.emit(f"{printed} page{'s' if printed != 1 else ''} sent to the printer." if printed else
                           "The printer did not take the pages; is it switched on?")  # fmt: skip
