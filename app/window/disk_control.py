"""The file of the open chart as others see it: two windows on one file, and changes by another program.

Nobody's work is written over unasked: a file that is not what it was when it was opened here is asked about before Save
replaces it. What is read anew is an edit, so Undo brings back what was here.
"""

from __future__ import annotations

import hashlib
from pathlib import Path

from PySide6.QtCore import QLockFile, QObject, Qt, QTimer, Signal
from PySide6.QtWidgets import QApplication, QMessageBox, QPushButton, QWidget

from app.window.document import Document
from app.window.own_folder import own_folder
from core.chart import Chart
from core.errors import ChangewrightError
from core.file_stamp import FileStamp, stamp_of
from core.files import load_chart

LOOK_MILLISECONDS = 3000
FOLDER = "open files"
REPLACE, ANEW, ELSEWHERE, CANCEL = "replace", "anew", "elsewhere", "cancel"


class DiskControl(QObject):
    """Looks at the file now and then, says what happened to it, and asks before it is replaced."""

    said = Signal(str)

    def __init__(self, document: Document, window: QWidget) -> None:
        super().__init__(window)
        self._document, self._window = document, window
        self._seen: FileStamp | None = None  # what was said and answered last
        self._lock: QLockFile | None = None
        self._claimed: Path | None = None
        self.box: QMessageBox | None = None
        document.path_changed.connect(self._claim)
        self._timer = QTimer(self)
        self._timer.timeout.connect(self._look_if_free)
        self._timer.start(LOOK_MILLISECONDS)

    # --- two windows on one file -----------------------------------------------------------------------------------

    def _claim(self) -> None:
        """Hold a lock for the file that is open; where another window holds it, say so."""
        path = self._document.path
        if path == self._claimed:
            return
        self.release()
        self._claimed, self._seen = path, self._document.stamp
        if path is None:
            return
        folder = own_folder() / FOLDER
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError:
            return  # no lock, and the file is looked at all the same
        name = hashlib.sha256(str(path.resolve()).encode("utf-8", "surrogateescape")).hexdigest()[:24]
        self._lock = QLockFile(str(folder / f"{name}.lock"))
        self._lock.setStaleLockTime(0)
        if not self._lock.tryLock(0) and self._lock.error() == QLockFile.LockError.LockFailedError:
            self.said.emit(f"“{path.name}” is open in another window too; whoever saves second is asked first.")

    def release(self) -> None:
        """Let the file go."""
        if self._lock is not None:
            self._lock.unlock()
            self._lock = None

    # --- changed on disk -------------------------------------------------------------------------------------------

    def _look_if_free(self) -> None:
        if QApplication.activeModalWidget() is None and self._window.isVisible():
            self.look()

    def look(self) -> None:
        """Tell, once, that the file was changed or has gone since it was opened or saved here."""
        path, stamp = self._document.path, self._document.stamp
        if path is None or self.box is not None:
            return
        now = stamp_of(path, self._seen or stamp)
        if now == stamp:
            self._seen = stamp
            return
        if now == self._seen:
            return
        self._seen = now
        if now is None:
            self.said.emit(f"“{path.name}” is no longer in its place; Save writes it there again.")
        else:
            self._tell(path)

    def _tell(self, path: Path) -> None:
        words = "Undo brings back what you have here." if self._document.is_dirty else "You have changed nothing here."
        box = self.box = self._question(path, f"Open what is there now? {words}")
        anew = box.addButton("&Open it anew", QMessageBox.ButtonRole.AcceptRole)
        keep = box.addButton("&Keep mine", QMessageBox.ButtonRole.RejectRole)
        box.setDefaultButton(keep)
        box.setEscapeButton(keep)
        box.finished.connect(lambda _code: self._on_told(box.clickedButton() is anew))
        box.open()

    def _on_told(self, anew: bool) -> None:
        box, self.box = self.box, None
        if box is not None:
            box.deleteLater()
        if anew:
            self.open_anew()

    def _question(self, path: Path, words: str) -> QMessageBox:
        box = QMessageBox(QMessageBox.Icon.NoIcon, "Changed on disk",
                          f"“{path.name}” was changed since it was opened here, by another window or program.",
                          QMessageBox.StandardButton.NoButton, self._window)  # fmt: skip
        box.setTextFormat(Qt.TextFormat.PlainText)
        box.setInformativeText(words)
        return box

    # --- before Save -----------------------------------------------------------------------------------------------

    def ask_before_save(self) -> str:
        """What Save is to do: :data:`REPLACE` where nothing stands against it, else as the user says."""
        path, stamp = self._document.path, self._document.stamp
        if path is None or stamp_of(path, stamp) in (stamp, None):
            return REPLACE
        box = self._question(path, "Save yours under another name, replace what is there, or open it and drop nothing: "
                             "Undo brings back what you have here.")  # fmt: skip
        answers: dict[QPushButton, str] = {
            box.addButton("Save &as…", QMessageBox.ButtonRole.AcceptRole): ELSEWHERE,
            box.addButton("&Replace it", QMessageBox.ButtonRole.DestructiveRole): REPLACE,
            box.addButton("&Open it anew", QMessageBox.ButtonRole.ActionRole): ANEW,
            (cancel := box.addButton(QMessageBox.StandardButton.Cancel)): CANCEL,
        }
        box.setDefaultButton(next(iter(answers)))
        box.setEscapeButton(cancel)
        box.exec()
        clicked = box.clickedButton()
        return next((answer for button, answer in answers.items() if button is clicked), CANCEL)

    def open_anew(self) -> bool:
        """Show what is in the file now, as an edit; False where it cannot be read."""
        path = self._document.path
        if path is None:
            return False
        stamp = stamp_of(path)
        try:
            chart, _ = load_chart(path)
        except ChangewrightError as error:
            self.said.emit(str(error))
            return False

        def there(_mine: Chart) -> Chart:
            return chart

        self._document.edit("open anew", there)
        self._document.is_what_is_in(path, stamp)
        self._seen = stamp
        return True
