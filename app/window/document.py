"""The open chart: one value, an undo stack that swaps whole charts, a file path and a dirty mark."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoCommand, QUndoStack

from core.chart import Chart
from core.errors import ChangewrightError
from core.file_stamp import FileStamp, stamp_of

if TYPE_CHECKING:
    from core.recovery import RecoveryCopy


class SwapCharts(QUndoCommand):
    """An edit: the chart before and the chart after. Edits with the same merge key become one step of undo."""

    def __init__(self, document: Document, before: Chart, after: Chart, text: str, merge: str = "") -> None:
        super().__init__(text)
        self._document, self.before, self.after, self._merge = document, before, after, merge

    def redo(self) -> None:
        """Show the chart after."""
        self._document.show(self.after)

    def undo(self) -> None:
        """Show the chart before."""
        self._document.show(self.before)

    def id(self) -> int:
        """Qt merges neighbours with equal numbers; −1 never merges."""
        return (hash(self._merge) & 0x7FFFFFFF) if self._merge else -1

    def mergeWith(self, other: QUndoCommand) -> bool:
        """Take over the end of a later edit of the same kind."""
        if not isinstance(other, SwapCharts) or other._merge != self._merge:
            return False
        self.after = other.after
        return True


class Document(QObject):
    """Holds the chart; everything that changes it goes through :meth:`edit` or :meth:`start`."""

    changed = Signal()  # the chart, by an edit, an undo or another file
    replaced = Signal()  # another chart altogether
    path_changed = Signal()
    refused = Signal(str)  # one sentence for the message bar

    def __init__(self, chart: Chart, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._chart, self.version = chart, 0
        self._path: Path | None = None
        self._stamp: FileStamp | None = None
        self.stack = QUndoStack(self)
        self.stack.cleanChanged.connect(self._on_clean)

    @property
    def chart(self) -> Chart:
        """The chart as it is now."""
        return self._chart

    @property
    def path(self) -> Path | None:
        """The file that Save writes, or None."""
        return self._path

    @property
    def stamp(self) -> FileStamp | None:
        """What the file was when the chart was last read from it or written to it."""
        return self._stamp

    @property
    def is_dirty(self) -> bool:
        """Whether there is something to save."""
        return not self.stack.isClean()

    def _on_clean(self) -> None:
        self.path_changed.emit()

    def show(self, chart: Chart) -> None:
        """Put a chart in place, as undo and redo do."""
        self._chart, self.version = chart, self.version + 1
        self.changed.emit()

    def edit(self, text: str, change: Callable[..., Chart], *arguments: object, merge: str = "") -> bool:
        """Apply a pure edit as one step of undo; a refusal goes to the message bar and changes nothing."""
        try:
            after = change(self._chart, *arguments)
        except ChangewrightError as error:
            self.refused.emit(str(error))
            return False
        if after != self._chart:
            self.stack.push(SwapCharts(self, self._chart, after, text, merge))
        return True

    def start(self, chart: Chart, path: Path | None = None, stamp: FileStamp | None = None) -> None:
        """Begin with another chart; the undo stack starts anew."""
        self.stack.clear()
        self._path, self._stamp = path, stamp
        self._chart, self.version = chart, self.version + 1
        self.replaced.emit()
        self.path_changed.emit()
        self.changed.emit()

    def opened(self, chart: Chart, path: Path, stamp: FileStamp | None) -> None:
        """Begin with a chart that was read from a file; ``stamp`` was taken before it was read."""
        self.start(chart, own_path(path), stamp)

    def recovered(self, copy: RecoveryCopy) -> None:
        """Begin with a chart that was not saved, as unsaved as it was."""
        self.start(copy.chart, copy.path, copy.stamp)
        self.stack.resetClean()

    def adopt(self, path: Path, stamp: FileStamp | None) -> None:
        """The chart came from this file."""
        self._path, self._stamp = own_path(path), stamp
        self.path_changed.emit()

    def is_what_is_in(self, path: Path, stamp: FileStamp | None) -> None:
        """The chart as it is now is what the file holds."""
        self._path, self._stamp = path, stamp
        self.stack.setClean()
        self.path_changed.emit()

    def save(self, path: Path) -> bool:
        """Write the chart, all or nothing; False (and a sentence in the message bar) when it cannot be written."""
        from core.files import save_chart

        try:
            save_chart(self._chart, path)
        except ChangewrightError as error:
            self.refused.emit(str(error))
            return False
        self.is_what_is_in(path, stamp_of(path))
        return True


def own_path(path: Path) -> Path | None:
    """The path that Save may write to: a foreign file is never written over, Save asks for a name of our own."""
    from core.files import OWN_ENDING, ending_of

    return path if ending_of(path) in (OWN_ENDING, ".txt") else None
