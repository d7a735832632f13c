"""Crash recovery: a copy of the chart after every edit, and the offer to go on with what another run left behind.

Each window keeps one copy in the recovery folder and holds a lock on it while it lives. A copy whose lock nobody holds
was left by a window that ended without a word. A copy is taken away when its chart is saved or given up on purpose.
"""

from __future__ import annotations

import time
import uuid
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QLockFile, QObject, QTimer, Signal
from PySide6.QtWidgets import QWidget

from app.window.background import Background, ThreadPool
from app.window.desk import Desk
from app.window.document import Document
from app.window.own_folder import own_folder
from core.errors import ChangewrightError
from core.recovery import ENDING, RecoveryCopy, copies_in, read_copy, write_copy

if TYPE_CHECKING:
    from app.window.recovery_dialog import LeftBehind, RecoveryDialog

FOLDER = "recovery"


class RecoveryControl(QObject):
    """Keeps the copy of this window and offers those of windows that are gone."""

    said = Signal(str)

    def __init__(self, desk: Desk, window: QWidget) -> None:
        super().__init__(window)
        self._desk, self._window = desk, window
        self._document: Document = desk.document
        self._pool = (
            ThreadPool()
        )  # one thread of its own: a copy and its removal keep their order, and wait for nothing
        self._background = Background(self._pool, self)
        self._folder = own_folder() / FOLDER
        self._name = uuid.uuid4().hex[:12]
        self._lock: QLockFile | None = None
        self._kept = self._warned = False
        self.dialog: RecoveryDialog | None = None
        self._wait = QTimer(self)  # an edit is several signals; the copy is asked for once they are over
        self._wait.setSingleShot(True)
        self._wait.timeout.connect(self._keep)
        self._document.stack.indexChanged.connect(self._soon)
        self._document.path_changed.connect(self._soon)

    @property
    def place(self) -> Path:
        """The file of this window's copy, which is there while something is not saved."""
        return self._folder / f"{self._name}{ENDING}"

    # --- keeping ---------------------------------------------------------------------------------------------------

    def _soon(self) -> None:
        self._wait.start(0)

    def _keep(self) -> None:
        if self._document.is_dirty:
            self._kept = True
            self._background.ask("recovery copy", self._on_kept, _written, self.place, self._lock_file(), self._copy())
        elif self._kept:
            self._kept = False
            self._background.ask("recovery copy", self._on_kept, _removed, self.place)

    def _copy(self) -> RecoveryCopy:
        document = self._document
        return RecoveryCopy(document.chart, time.time(), document.path, document.stamp)

    def _lock_file(self) -> QLockFile:
        if self._lock is None:
            self._lock = _lock_of(self.place)
        return self._lock

    def _on_kept(self, fault: str) -> None:
        """A full disk is said once, and once more when it happened again after a copy that could be written."""
        if fault and not self._warned:
            self.said.emit(f"{fault} Until then nothing would be left after a crash; save often.")
        self._warned = bool(fault)

    def close(self) -> None:
        """The window closes, and what was not saved was given up on purpose."""
        self._wait.stop()
        self._background.drop("recovery copy")
        self._pool.finish()
        _removed(self.place)
        if self._lock is not None:
            self._lock.unlock()

    # --- offering --------------------------------------------------------------------------------------------------

    def offer(self) -> None:
        """Show what windows that are gone left behind, if anything; nothing is opened or thrown away unasked."""
        if self.dialog is not None:
            return
        left = tuple(self._left_behind())
        if not left:
            return
        from app.window.recovery_dialog import RecoveryDialog  # hardly ever needed

        dialog = self.dialog = RecoveryDialog(left, self._window)
        dialog.open_wished.connect(self._open)
        dialog.drop_wished.connect(lambda one: _removed(one.place))
        dialog.finished.connect(self._on_closed)
        dialog.open()

    def _left_behind(self) -> Iterable[LeftBehind]:
        from app.window.recovery_dialog import LeftBehind

        for place in copies_in(self._folder):
            lock = _lock_of(place)
            if place == self.place or not lock.tryLock(0):
                continue  # its window is alive
            try:
                yield LeftBehind(place, lock, read_copy(place))
            except ChangewrightError as error:
                self.said.emit(str(error))
                lock.unlock()

    def _open(self, one: LeftBehind) -> None:
        """Go on with a copy: it is as unsaved as it was, and is ours before the other's is taken away."""
        self._document.recovered(one.copy)
        self._desk.select_row("standard" if self._desk.take_name is None else "take")
        fault = _written(self.place, self._lock_file(), self._copy())
        self._kept = True
        if fault:
            self._on_kept(fault)
        else:
            _removed(one.place)

    def _on_closed(self) -> None:
        if self.dialog is not None:
            self.dialog.deleteLater()
        self.dialog = None


def _lock_of(place: Path) -> QLockFile:
    lock = QLockFile(str(place.with_suffix(".lock")))
    lock.setStaleLockTime(0)  # as long as its process lives, however long that is
    return lock


def _written(place: Path, lock: QLockFile, copy: RecoveryCopy) -> str:
    """Write a copy under its lock; "" or the sentence that says why it is not there."""
    try:
        write_copy(place, copy)
    except ChangewrightError as error:
        return str(error)
    if not lock.isLocked():
        lock.tryLock(0)
    return ""


def _removed(place: Path) -> str:
    try:
        place.unlink(missing_ok=True)
    except OSError as error:
        return f"{place}: cannot be taken away ({(error.strerror or str(error)).lower()})."
    return ""
