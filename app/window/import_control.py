"""Files and texts from elsewhere: read in the background behind limits, shown on the import sheet, then opened.

Until the sheet is accepted the window shows what it showed; a file that cannot be read is one sentence.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QWidget

from app.window.background import Background
from app.window.import_model import must_ask
from core.errors import ChangewrightError, FileError
from core.file_stamp import FileStamp, stamp_of
from core.files import import_chart, import_text
from core.imported import Choices, Imported

Read = Callable[[Choices | None], Imported]
PASTED = "what was pasted"


class ImportControl(QObject):
    """Emits the chart that was opened, with the file it came from (None for a text) and what was guessed."""

    opened = Signal(object, object, object)  # Imported, Path or None, the file's stamp or None
    said = Signal(str)

    def __init__(self, background: Background, window: QWidget) -> None:
        super().__init__(window)
        self._background, self._window = background, window
        self._choices: dict[str, str] = {}
        self._stamp: FileStamp | None = None
        self.sheet: QWidget | None = None

    def open(self, path: Path) -> None:
        """Read a file; what is ours or leaves nothing open is opened at once."""
        self._begin(partial(import_chart, path), path.name, path)

    def paste(self) -> None:
        """Read the text on the clipboard."""
        text = QGuiApplication.clipboard().text()
        if not text.strip():
            self.said.emit("There is no text on the clipboard; copy bars, ABC or MusicXML first.")
            return
        self._begin(partial(import_text, text), PASTED, None)

    def _begin(self, read: Read, name: str, path: Path | None) -> None:
        self._choices = {}
        self._stamp = None if path is None else stamp_of(path)  # before it is read: what comes later is not ours
        self._background.ask("chart", partial(self._on_read, read, name, path), read, None)

    def _on_read(self, read: Read, name: str, path: Path | None, imported: Imported) -> None:
        self.said.emit("")
        if not must_ask(imported):
            self.opened.emit(imported, path, self._stamp)
            return
        from app.window.import_sheet import ImportSheet  # not needed for a file of ours

        sheet = ImportSheet(self._window, name, imported)
        self.sheet, self._imported = sheet, imported

        def choose(question: str, answer: str) -> None:
            self._choices[question] = answer
            sheet.wait()
            self._background.ask("import", show, _read_quietly, read, dict(self._choices))

        def show(answer: Imported | str) -> None:
            if isinstance(answer, str):
                sheet.show_fault(answer)
            else:
                self._imported = answer
                sheet.show_reading(answer)

        sheet.chosen.connect(choose)
        sheet.accepted.connect(lambda: self.opened.emit(self._imported, path, self._stamp))
        sheet.finished.connect(self._close)
        sheet.open()

    def _close(self) -> None:
        self._background.drop("import")
        if self.sheet is not None:
            self.sheet.deleteLater()
            self.sheet = None


def _read_quietly(read: Read, choices: Choices) -> Imported | str:
    """A reading, or the sentence that says why there is none; it belongs on the sheet, not under it."""
    try:
        return read(choices)
    except FileError as error:
        return f"{error.problem[0].upper()}{error.problem[1:]}; {error.advice}."
    except ChangewrightError as error:
        return str(error)
