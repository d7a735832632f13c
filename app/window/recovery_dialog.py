"""What windows that ended without a word left behind: open one, throw one away, or decide another day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import QLockFile, Qt, Signal
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.window.fonts import font
from core.file_stamp import stamp_of
from core.recovery import RecoveryCopy

HEADING = "Not saved when the program ended"
HELP = (
    "A copy was kept after each edit. Opening one changes no file; Save does, and asks first where the file was "
    "changed since."
)


@dataclass(frozen=True, slots=True)
class LeftBehind:
    """A copy, where it is, and the lock that keeps other windows from offering it too while it is shown."""

    place: Path
    lock: QLockFile
    copy: RecoveryCopy


def words_of(copy: RecoveryCopy) -> str:
    """Title, time and file of a copy, and whether the file was changed since."""
    when = datetime.fromtimestamp(copy.when).strftime("%d %B, %H:%M")
    if copy.path is None:
        return f"{copy.chart.title}\nlast edit {when} · never saved"
    changed = "" if stamp_of(copy.path, copy.stamp) == copy.stamp else " · changed there since"
    return f"{copy.chart.title}\nlast edit {when} · {copy.path.name} in {copy.path.parent}{changed}"


class RecoveryDialog(QDialog):
    """A list of copies; what is not opened or thrown away is kept."""

    open_wished = Signal(object)  # LeftBehind
    drop_wished = Signal(object)

    def __init__(self, left: tuple[LeftBehind, ...], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Recovered")
        self._left = list(left)
        self.list = QListWidget()
        self.list.setAccessibleName(HEADING)
        self.list.setFont(font("sans", 14))
        self.list.setWordWrap(True)
        self.list.setSpacing(3)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setMinimumSize(520, 150)
        for one in left:
            QListWidgetItem(words_of(one.copy), self.list)
        self.list.setCurrentRow(0)
        self.open_button, self.drop_button = QPushButton("&Open"), QPushButton("&Throw away")
        self.later_button = QPushButton("&Later")
        self.open_button.setDefault(True)
        self.open_button.clicked.connect(self._open)
        self.drop_button.clicked.connect(self._drop)
        self.later_button.clicked.connect(self.reject)
        self.list.itemActivated.connect(lambda _item: self._open())
        self._arrange()
        self.finished.connect(self._release)

    def _arrange(self) -> None:
        layout = QVBoxLayout(self)
        layout.setContentsMargins(22, 18, 22, 18)
        layout.setSpacing(10)
        heading = QLabel(HEADING)
        heading.setFont(font("serif", 18))
        help_text = QLabel(HELP)
        help_text.setWordWrap(True)
        help_text.setProperty("quiet", True)
        help_text.setFont(font("sans", 13))
        buttons = QHBoxLayout()
        buttons.addWidget(self.drop_button)
        buttons.addStretch(1)
        buttons.addWidget(self.later_button)
        buttons.addWidget(self.open_button)
        for part in (heading, help_text, self.list):
            layout.addWidget(part)
        layout.addLayout(buttons)

    def _open(self) -> None:
        at = self.list.currentRow()
        if at >= 0:
            self.open_wished.emit(self._left[at])
            self.accept()

    def _drop(self) -> None:
        at = self.list.currentRow()
        if at < 0:
            return
        self.list.takeItem(at)
        one = self._left.pop(at)
        self.drop_wished.emit(one)
        one.lock.unlock()
        if not self._left:
            self.accept()

    def _release(self) -> None:
        for one in self._left:
            one.lock.unlock()
