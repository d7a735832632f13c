"""Every command by a word of it: found, run with Enter, given another key."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QKeySequenceEdit,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.window.actions import plain_text
from app.window.fonts import font
from app.window.keys import found, keys_of, why_not

ID = Qt.ItemDataRole.UserRole


class CommandDialog(QDialog):
    """``run`` is the command to run when the sheet has gone."""

    key_changed = Signal(str, object)  # action, keys (None: those of the table)

    def __init__(self, actions: Mapping[str, QAction], changes: Mapping[str, tuple[str, ...]], parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle("Find a command")
        self.resize(620, 520)
        self._actions, self._changes = actions, dict(changes)
        self.run = ""
        self.line = QLineEdit()
        self.line.setPlaceholderText("What do you want to do? take, loop, key, export…")
        self.line.setAccessibleName("Find a command")
        self.list = QListWidget()
        self.list.setObjectName("book")
        self.list.setAccessibleName("Commands")
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.keys = QKeySequenceEdit()
        self.keys.setMaximumSequenceLength(1)
        for line in self.keys.findChildren(QLineEdit):
            line.setPlaceholderText("another key for it")
        self.keys.setAccessibleName("Another key for this command")
        self.give, self.own = QPushButton("Give this key"), QPushButton("Its own key")
        self.said = QLabel("Enter runs it. To change its key, go to the field below, press the key and give it.")
        self.said.setWordWrap(True)
        self.said.setProperty("quiet", True)
        self._arrange()
        self._fill()

    def _arrange(self) -> None:
        for part in (self.line, self.list):
            part.setFont(font("sans", 15))
        for small in (self.keys, self.give, self.own, self.said):
            small.setFont(font("sans", 14))
        foot = QHBoxLayout()
        for widget in (self.keys, self.give, self.own):
            foot.addWidget(widget)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(18, 16, 18, 14)
        layout.setSpacing(10)
        layout.addWidget(self.line)
        layout.addWidget(self.list, 1)
        layout.addLayout(foot)
        layout.addWidget(self.said)
        for button in (self.give, self.own):
            button.setAutoDefault(False)
        self.line.textChanged.connect(lambda _words: self._fill())
        self.line.installEventFilter(self)
        self.list.itemActivated.connect(lambda _item: self._run())
        self.give.clicked.connect(self._give)
        self.own.clicked.connect(lambda: self._set(None))

    def _fill(self, held: str = "") -> None:
        self.list.clear()
        for item in found(self.line.text()):
            keys = " or ".join(keys_of(item, self._changes)) or item.shown
            listed = QListWidgetItem(f"{plain_text(item)}{f'      {keys}' if keys else ''}")
            listed.setData(ID, item.id)
            listed.setToolTip(item.help)
            if not self._actions[item.id].isEnabled():
                listed.setForeground(self.palette().placeholderText())
            self.list.addItem(listed)
            if item.id == held:
                self.list.setCurrentItem(listed)
        if self.list.currentRow() < 0:
            self.list.setCurrentRow(0)

    def command(self) -> str:
        """The command in hand, or "" """
        item = self.list.currentItem()
        return str(item.data(ID)) if item else ""

    def _run(self) -> None:
        if self.command() and self._actions[self.command()].isEnabled():
            self.run = self.command()
            self.accept()
        elif self.command():
            self.said.setText("There is nothing for this command to do just now.")

    def _give(self) -> None:
        key = self.keys.keySequence().toString(QKeySequence.SequenceFormat.PortableText)
        if not key or not self.command():
            self.said.setText("Choose a command, then press the key in the field.")
            return
        reason = why_not(key, self.command(), self._changes)
        if reason:
            self.said.setText(reason)
            return
        self._set((key,))

    def _set(self, keys: tuple[str, ...] | None) -> None:
        name = self.command()
        if not name:
            return
        if keys is None:
            self._changes.pop(name, None)
        else:
            self._changes[name] = keys
        self.key_changed.emit(name, keys)
        self.keys.clear()
        self.said.setText("Kept.")
        self._fill(name)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Up, down and Enter in the line belong to the list."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            step = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1}.get(Qt.Key(event.key()))
            if step is not None:
                self.list.setCurrentRow(max(0, min(self.list.count() - 1, self.list.currentRow() + step)))
                return True
            if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                self._run()
                return True
        return super().eventFilter(watched, event)
