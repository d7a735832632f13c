"""Which techniques a search should favour or must not use: a list in which each is passed over, favoured, forbidden."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

from app.window.book_model import book_titles
from app.window.fonts import font

ID = Qt.ItemDataRole.UserRole
STATES = ("", "favoured", "forbidden")
MARKS = {"": "    ", "favoured": "●  ", "forbidden": "✕  "}


class TechniqueWishes(QListWidget):
    """Enter or a click goes on to the next of the three."""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("book")
        self.setFont(font("sans", 13.5))
        self.setAccessibleName("Techniques to favour or forbid")
        self.setToolTip("Enter or a click: favour it, forbid it, leave it to the search")
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._states: dict[str, str] = {}
        for title in book_titles():
            item = QListWidgetItem()
            item.setData(ID, title.id)
            item.setToolTip(title.title)
            self.addItem(item)
            self._states[title.id] = ""
        self._titles = {title.id: title.title for title in book_titles()}
        self._show()
        self.clicked.connect(self._on_clicked)

    def _on_clicked(self, index: QModelIndex) -> None:
        self.turn(index.data(ID))

    def wish_for(self, technique: str) -> str:
        """One of :data:`STATES`."""
        return self._states[technique]

    def of(self, state: str) -> tuple[str, ...]:
        """The techniques in a state, in the order of the list."""
        return tuple(name for name, there in self._states.items() if there == state)

    def turn(self, technique: str) -> None:
        """Go on to the next state of a technique."""
        self._states[technique] = STATES[(STATES.index(self._states[technique]) + 1) % len(STATES)]
        self._show()
        self.changed.emit()

    def clear_states(self) -> None:
        """Leave everything to the search."""
        self._states = dict.fromkeys(self._states, "")
        self._show()
        self.changed.emit()

    def _show(self) -> None:
        for row in range(self.count()):
            item = self.item(row)
            name = item.data(ID)
            state = self._states[name]
            item.setText(MARKS[state] + self._titles[name])
            item.setData(Qt.ItemDataRole.AccessibleTextRole, f"{self._titles[name]}, {state or 'as it falls'}")

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            item = self.currentItem()
            if item is not None:
                self.turn(item.data(ID))
        else:
            super().keyPressEvent(event)
