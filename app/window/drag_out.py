"""The title is dragged out of the window as a MIDI file of what is looked at: the take, or the standard."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QEvent, QMimeData, QObject, QPoint, Qt, QUrl, Signal
from PySide6.QtGui import QDrag, QGuiApplication, QMouseEvent
from PySide6.QtWidgets import QApplication, QPushButton

from app.window.desk import Desk
from app.window.export import ExportJob, ExportWish, export_chart, export_name
from core.chart import STANDARD

TIP = "Tune details (Ctrl+I). Drag it out of the window for a MIDI file."


def drag(source: QObject, data: QMimeData) -> None:
    """Hand data to whatever it is dropped on; returns when it was."""
    moved = QDrag(source)
    moved.setMimeData(data)
    moved.exec(Qt.DropAction.CopyAction)


class DragOut(QObject):
    """Watches a button; a press that moves away from it drags the file, one that does not is a click as ever."""

    said = Signal(str)

    def __init__(self, desk: Desk, handle: QPushButton, parent: QObject,
                 give: Callable[[QObject, QMimeData], None] = drag) -> None:  # fmt: skip
        super().__init__(parent)
        self._desk, self._handle = desk, handle
        self.give = give
        self._pressed: QPoint | None = None
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        handle.setToolTip(TIP)
        handle.installEventFilter(self)

    def close(self) -> None:
        """Take away what was written for dragging."""
        if self._folder is not None:
            self._folder.cleanup()
            self._folder = None

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if isinstance(event, QMouseEvent):
            if event.type() == QEvent.Type.MouseButtonPress and event.button() == Qt.MouseButton.LeftButton:
                self._pressed = event.position().toPoint()
            elif event.type() == QEvent.Type.MouseButtonRelease:
                self._pressed = None
            elif event.type() == QEvent.Type.MouseMove and self._pressed is not None:
                far = (event.position().toPoint() - self._pressed).manhattanLength()
                if far >= QApplication.startDragDistance():
                    self._pressed = None
                    self._handle.setDown(False)
                    self._drag()
                    return True
        return super().eventFilter(watched, event)

    def _drag(self) -> None:
        path = self._written()
        if path is None:
            return
        data = QMimeData()
        data.setUrls([QUrl.fromLocalFile(str(path))])
        self.give(self._handle, data)

    def _written(self) -> Path | None:
        """The file, which must be there before it can be dropped; it takes about a second."""
        if self._folder is None:
            self._folder = tempfile.TemporaryDirectory(prefix="changewright-")
        row = self._desk.take_name or STANDARD
        name = export_name(self._desk.chart.title if row == STANDARD else f"{self._desk.chart.title} {row}")
        job = ExportJob()
        QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
        try:
            fault = export_chart(
                self._desk.chart, ExportWish(str(Path(self._folder.name) / f"{name}.mid"), (row,)), job
            )
        finally:
            QGuiApplication.restoreOverrideCursor()
        if fault or not job.written:
            self.said.emit(fault or "The MIDI file could not be written.")
            return None
        return Path(job.written[0])
