"""Files: new, open, recent, drop, save, and never losing what is not saved."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

from app.window.background import Background
from app.window.desk import Desk
from app.window.dialogs import ReportDialog, TuneDialog
from app.window.disk_control import ANEW, ELSEWHERE, REPLACE, DiskControl
from app.window.document import Document
from app.window.export import export_name
from app.window.import_control import PASTED, ImportControl
from app.window.recovery_control import RecoveryControl
from app.window.settings import Settings
from core import edit
from core.chart import Chart
from core.file_stamp import FileStamp
from core.files import OWN_ENDING, READABLE
from core.imported import Imported

OPEN_FILTER = f"Charts, scores, ABC, MIDI, text (*{' *'.join(READABLE)});;All files (*)"
SAVE_FILTER = f"Chart (*{OWN_ENDING});;Bar text (*.txt)"


class FileControl(QObject):
    """Asks and tells; the document reads and writes."""

    said = Signal(str)
    recent_changed = Signal()

    def __init__(
        self, document: Document, desk: Desk, settings: Settings, background: Background, window: QWidget
    ) -> None:
        super().__init__(window)
        self._document, self._desk, self._settings = document, desk, settings
        self._background, self._window = background, window
        self._report: tuple[str, tuple[str, ...]] = ("", ())
        self._imports = ImportControl(background, window)
        self._imports.opened.connect(self._on_opened)
        self._imports.said.connect(self.said)
        self.disk = DiskControl(document, window)
        self.disk.said.connect(self.said)
        self.recovery = RecoveryControl(desk, window)
        self.recovery.said.connect(self.said)

    # --- opening -------------------------------------------------------------------------------------------------

    def new(self) -> None:
        """Ask for title, key, metre and length, and begin."""
        if not self.may_leave():
            return
        dialog = TuneDialog(self._window)
        if dialog.exec():
            sheet = dialog.sheet()
            self._document.start(
                edit.new_chart(sheet.title, sheet.key, sheet.meter, sheet.bars, sheet.tempo, sheet.feel)
            )
            self._desk.select_row("standard")

    def details(self) -> None:
        """Change title, tempo and feel."""
        dialog = TuneDialog(self._window, self._document.chart)
        if not dialog.exec():
            return
        sheet = dialog.sheet()

        def change(chart: Chart) -> Chart:
            return edit.set_feel(edit.set_tempo(edit.set_title(chart, sheet.title), sheet.tempo), sheet.feel)

        self._document.edit("tune details", change)

    def ask_open(self) -> None:
        """Ask for a file and open it."""
        name, _ = QFileDialog.getOpenFileName(self._window, "Open", self._folder(), OPEN_FILTER)
        if name:
            self.open(name)

    def open(self, name: str) -> bool:
        """Open a file, after asking about what is not saved; it is read in the background. False if not begun."""
        if not self.may_leave():
            return False
        path = Path(name)
        if not name.endswith((OWN_ENDING, ".txt")):
            self.said.emit(f"Reading {path.name}…")
        self._imports.open(path)
        return True

    def paste(self) -> None:
        """Open the bars on the clipboard as a tune, after asking about what is not saved."""
        if self.may_leave():
            self._imports.paste()

    def show_made(self, chart: Chart) -> None:
        """Show a chart that was made here, after asking about what is not saved."""
        if self.may_leave():
            self._document.start(chart)
            self._desk.select_row("standard")

    def _on_opened(self, imported: Imported, path: Path | None, stamp: FileStamp | None) -> None:
        """Show a chart that was read. Save never writes over what came from elsewhere, nor takes a paste as saved."""
        if path is not None and not imported.report:
            self._document.opened(imported.chart, path, stamp)
        else:
            self._document.start(imported.chart)
        if path is None:
            self._document.stack.resetClean()
            self._desk.select_row("standard")
        else:
            self._settings.add_recent(str(path.resolve()))
            self.recent_changed.emit()
        self._report = (path.name if path else PASTED, imported.report)

    def adopt(self, path: Path, stamp: FileStamp | None) -> None:
        """The chart that is shown already came from this file."""
        self._document.adopt(path, stamp)
        self._settings.add_recent(str(path.resolve()))
        self.recent_changed.emit()

    def show_report(self) -> None:
        """The guesses of the last file that was opened."""
        if not self._report[1]:
            self.said.emit("Nothing was guessed.")
            return
        dialog = ReportDialog(self._window, *self._report)
        dialog.open()

    def _folder(self) -> str:
        if self._document.path:
            return str(self._document.path.parent)
        recent = self._settings.get("recent")
        return str(Path(recent[0]).parent) if recent else str(Path.home())

    # --- saving --------------------------------------------------------------------------------------------------

    def save(self) -> bool:
        """Save where it was, or ask; also where somebody else has changed the file."""
        if self._document.path is None:
            return self.save_as()
        answer = self.disk.ask_before_save()
        if answer == REPLACE:
            return self._document.save(self._document.path)
        if answer == ELSEWHERE:
            return self.save_as()
        if answer == ANEW:
            self.disk.open_anew()
        return False

    def save_as(self) -> bool:
        """Ask for a name and save."""
        start = self._document.path or Path(self._folder()) / (export_name(self._document.chart.title) + OWN_ENDING)
        name, chosen = QFileDialog.getSaveFileName(self._window, "Save as", str(start), SAVE_FILTER)
        if not name:
            return False
        path = Path(name)
        if path.suffix not in (".json", ".txt"):
            path = path.with_name(path.name + (".txt" if ".txt" in chosen else OWN_ENDING))
        if not self._document.save(path):
            return False
        self._settings.add_recent(str(path.resolve()))
        self.recent_changed.emit()
        return True

    def close(self) -> None:
        """The window closes: what was not saved has been asked about, and the file is let go."""
        self.recovery.close()
        self.disk.release()

    def may_leave(self) -> bool:
        """Whether the chart may be left: saved, or thrown away on purpose."""
        if not self._document.is_dirty:
            return True
        buttons = QMessageBox.StandardButton
        answer = QMessageBox.question(
            self._window, "Not saved", f"“{self._document.chart.title}” has changes that are not saved.",
            buttons.Save | buttons.Discard | buttons.Cancel, buttons.Save,
        )  # fmt: skip
        return self.save() if answer == buttons.Save else answer == buttons.Discard
