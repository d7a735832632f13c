"""Work that must not hold up the window: pure functions of values, run in a pool, answered on the GUI thread.

Every question has a kind, and a newer question of the same kind makes the older one's answer worthless: it is not
started if it still waits and dropped if it arrives.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import Any, Protocol

from PySide6.QtCore import QObject, QRunnable, Qt, QThreadPool, Signal

from core.errors import ChangewrightError

LOG = logging.getLogger(__name__)


class Pool(Protocol):
    """What a pool must do: run a piece of work some time."""

    def start(self, work: Callable[[], None]) -> None:
        """Run it."""


class ThreadPool:
    """One worker thread: answers come in the order of the questions."""

    def __init__(self, threads: int = 1) -> None:
        self._pool = QThreadPool()
        self._pool.setMaxThreadCount(threads)
        self._pool.setExpiryTimeout(-1)

    def start(self, work: Callable[[], None]) -> None:
        """Queue a piece of work."""
        self._pool.start(_Work(work))

    def finish(self) -> None:
        """Forget what waits and wait for what runs."""
        self._pool.clear()
        self._pool.waitForDone(5000)


class _Work(QRunnable):
    def __init__(self, work: Callable[[], None]) -> None:
        super().__init__()
        self._work = work

    def run(self) -> None:
        self._work()


class Background(QObject):
    """Asks questions of a pool and hands answers to the GUI thread while they are still wanted."""

    failed = Signal(str)  # one sentence
    _answered = Signal(str, int, object, object)

    def __init__(self, pool: Pool, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool, self._versions = pool, dict[str, int]()
        self._answered.connect(self._on_answered, Qt.ConnectionType.QueuedConnection)

    def ask(self, kind: str, then: Callable[[Any], None], function: Callable[..., Any], *arguments: object) -> int:
        """Run ``function(*arguments)`` and call ``then`` with its answer, unless a newer question comes first."""
        version = self.drop(kind)

        def work() -> None:
            if self._versions[kind] != version:
                return
            try:
                answer: object = function(*arguments)
            except ChangewrightError as error:
                answer = error
            except Exception as error:
                LOG.exception("a background answer of kind %s failed", kind)
                answer = error
            self._answered.emit(kind, version, answer, then)

        self._pool.start(work)
        return version

    def drop(self, kind: str) -> int:
        """Make every answer of a kind worthless that has not arrived; returns the new version."""
        self._versions[kind] = self._versions.get(kind, 0) + 1
        return self._versions[kind]

    def _on_answered(self, kind: str, version: int, answer: object, then: Callable[[Any], None]) -> None:
        if self._versions[kind] != version:
            return
        if isinstance(answer, ChangewrightError):
            self.failed.emit(str(answer))
        elif isinstance(answer, Exception):
            self.failed.emit(f"The {kind} could not be worked out ({type(answer).__name__}); your chart is unchanged.")
        else:
            then(answer)
