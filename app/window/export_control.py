"""Export: the dialog, the name, what would be written over, and the work with progress and a way to stop it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtWidgets import QFileDialog, QMessageBox, QProgressDialog, QWidget

from app.window.background import Background, Pool, ThreadPool
from app.window.desk import Desk
from app.window.export import ExportJob, ExportWish, export_chart, export_name
from app.window.export_dialog import ExportDialog
from app.window.settings import Settings
from app.window.transport import PARTS

PROGRESS_MILLISECONDS = 100


class ExportControl(QObject):
    """One export at a time."""

    said = Signal(str)

    def __init__(self, desk: Desk, settings: Settings, pool: Pool | None, window: QWidget) -> None:
        super().__init__(window)
        self._desk, self._settings, self._window = desk, settings, window
        # A thread of its own: the window's answers do not wait while a tune is rendered.
        self._own_pool = ThreadPool()
        self._background = Background(pool or self._own_pool, self)
        self._background.failed.connect(lambda sentence: self._finish(sentence))
        self.dialog: ExportDialog | None = None
        self._job: ExportJob | None = None
        self.progress: QProgressDialog | None = None

    def open(self) -> None:
        """Ask what is to be written."""
        if self._job is not None:
            self.said.emit("One export is still being written; stop it first, or wait.")
            return
        dialog = ExportDialog(self._desk.chart, self._desk.take_name, self._settings.get("export_kind"), self._window)
        self.dialog = dialog
        dialog.accepted.connect(self._ask_name)
        dialog.finished.connect(self._on_closed)
        dialog.open()

    def _on_closed(self) -> None:
        if self.dialog is not None:
            self.dialog.deleteLater()
        self.dialog = None

    def _ask_name(self) -> None:
        if self.dialog is None:
            return
        kind = self.dialog.kind
        self._settings.set("export_kind", kind.ending)
        start = self._folder() / (export_name(self._desk.chart.title) + kind.ending)
        name, _ = QFileDialog.getSaveFileName(self._window, "Export", str(start), f"{kind.words} (*{kind.ending})")
        if not name:
            return
        path = Path(name) if name.lower().endswith(kind.ending) else Path(name + kind.ending)
        levels = {part: self._settings.get(f"level_{part}") for part, _ in PARTS}
        wish = ExportWish(str(path), self.dialog.rows, self.dialog.stems, self.dialog.chord_texts,
                          self._settings.get("font"), levels)  # fmt: skip
        if self._may_replace(wish, path):
            self.write(wish)

    def _folder(self) -> Path:
        path = self._desk.document.path
        recent = self._settings.get("recent")
        return path.parent if path else Path(recent[0]).parent if recent else Path.home()

    def _may_replace(self, wish: ExportWish, asked: Path) -> bool:
        """The file dialog has asked about the name itself; files named after it are asked about here."""
        there = [path for path in wish.files() if path != asked and path.exists()]
        if not there:
            return True
        words = f"“{there[0].name}” stood" if len(there) == 1 else f"{len(there)} of these files stood"
        buttons = QMessageBox.StandardButton
        answer = QMessageBox.question(self._window, "Replace", f"{words} here before. Replace?",
                                      buttons.Yes | buttons.Cancel, buttons.Cancel)  # fmt: skip
        return answer == buttons.Yes

    def write(self, wish: ExportWish) -> None:
        """Write in the background."""
        job = self._job = ExportJob()
        progress = QProgressDialog(f"Writing {Path(wish.path).name}…", "Stop", 0, 100, self._window)
        progress.setWindowTitle("Export")
        progress.setMinimumDuration(400)
        progress.setAutoClose(False)
        progress.setAutoReset(False)
        progress.canceled.connect(job.cancel)
        timer = QTimer(progress)
        timer.timeout.connect(lambda: progress.setValue(round(job.share * 100)))
        timer.start(PROGRESS_MILLISECONDS)
        self.progress = progress
        self._background.ask("export", self._done(job), export_chart, self._desk.chart, wish, job)

    def close(self) -> None:
        """Stop what is being written: the window closes."""
        if self._job is not None:
            self._job.cancel()
        self._own_pool.finish()

    def _done(self, job: ExportJob) -> Callable[[object], None]:
        def done(fault: object) -> None:
            self._finish(str(fault) if fault else written_words(job.written))

        return done

    def _finish(self, sentence: str) -> None:
        self._job = None
        progress, self.progress = self.progress, None
        if progress is not None:
            progress.canceled.disconnect()
            progress.close()
            progress.deleteLater()
        self.said.emit(sentence)


def written_words(paths: list[str]) -> str:
    """What was written: the file, or how many and where."""
    if len(paths) == 1:
        return f"Written: {paths[0]}"
    return f"{len(paths)} files written to {Path(paths[0]).parent}" if paths else "Nothing was written."
