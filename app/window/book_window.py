"""The technique book in a window: the list by family with its filter, the key, and the page; and who looks it up."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QCloseEvent, QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.window.background import Background
from app.window.book_model import TONICS, BookPage, book_titles, matching, read_book
from app.window.book_page import BookPageView
from app.window.fonts import font
from app.window.playback import Playback
from app.window.theme import Theme
from core.pitch import pretty_name

ID = Qt.ItemDataRole.UserRole
OWN_KEYS = "the book’s keys"


class BookWindow(QDialog):
    """Emits which page is wanted in which key."""

    wanted = Signal(str, object)  # technique, tonic or None
    left = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Technique book")
        self.resize(1080, 720)
        self._titles = book_titles()
        self.filter = QLineEdit()
        self.filter.setPlaceholderText("Find: tritone, minor, bass…")
        self.filter.setAccessibleName("Find a technique")
        self.filter.setClearButtonEnabled(False)
        self.list = QListWidget()
        self.list.setObjectName("book")
        self.list.setAccessibleName("Techniques")
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.keys = QComboBox()
        self.keys.setAccessibleName("Key of the examples")
        self.keys.addItem(OWN_KEYS, None)
        for tonic in TONICS:
            self.keys.addItem(pretty_name(tonic), tonic)
        self.page = BookPageView(theme)
        self._none = QLabel("No technique has these words.")
        self._none.setProperty("quiet", True)
        self._arrange()
        self._fill()
        self._connect()

    def _arrange(self) -> None:
        key_words = QLabel("Examples in")
        key_words.setProperty("quiet", True)
        for part in (self.filter, self.list, self.keys, key_words, self._none):
            part.setFont(font("sans", 14))
        side = QVBoxLayout()
        side.setSpacing(8)
        side.addWidget(self.filter)
        side.addWidget(self._none)
        side.addWidget(self.list, 1)
        key_row = QHBoxLayout()
        key_row.addWidget(key_words)
        key_row.addWidget(self.keys, 1)
        side.addLayout(key_row)
        left = QWidget()
        left.setLayout(side)
        left.setFixedWidth(290)
        side.setContentsMargins(0, 0, 0, 0)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(20, 18, 14, 16)
        layout.setSpacing(22)
        layout.addWidget(left)
        layout.addWidget(self.page, 1)

    def _connect(self) -> None:
        self.filter.textChanged.connect(self._fill)
        self.filter.installEventFilter(self)
        self.list.currentItemChanged.connect(lambda *_: self._ask())
        self.keys.currentIndexChanged.connect(lambda _: self._ask())
        find = QShortcut(QKeySequence.StandardKey.Find, self)
        find.activated.connect(self.filter.setFocus)
        find.activated.connect(self.filter.selectAll)

    def _fill(self) -> None:
        """The techniques that the filter leaves, under their families."""
        held = self.technique()
        self.list.blockSignals(True)
        self.list.clear()
        family = ""
        for title in matching(self._titles, self.filter.text()):
            if title.family != family:
                family = title.family
                heading = QListWidgetItem(family)
                heading.setFont(font("serif", 16, "strong"))
                heading.setFlags(Qt.ItemFlag.NoItemFlags)
                self.list.addItem(heading)
            item = QListWidgetItem(title.title)
            item.setData(ID, title.id)
            self.list.addItem(item)
        self.list.blockSignals(False)
        self._none.setVisible(self.list.count() == 0)
        if not self.choose(held) and self.list.count():
            self.list.setCurrentRow(1)

    def technique(self) -> str:
        """The technique in hand, or "" """
        item = self.list.currentItem()
        return item.data(ID) if item else ""

    def tonic(self) -> int | None:
        """The key that is wanted for the examples."""
        found: int | None = self.keys.currentData()
        return found

    def choose(self, technique: str) -> bool:
        """Put a technique in hand; False where the list does not show it."""
        for row in range(self.list.count()):
            if technique and self.list.item(row).data(ID) == technique:
                self.list.setCurrentRow(row)
                self.list.scrollToItem(self.list.item(row))
                return True
        return False

    def open_at(self, technique: str) -> None:
        """Put a technique in hand whatever the filter says."""
        if technique and not self.choose(technique):
            self.filter.clear()
            self.choose(technique)
        self._ask()

    def _ask(self) -> None:
        if self.technique():
            self.wanted.emit(self.technique(), self.tonic())

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Up and down in the filter move in the list."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent) and event.key() in (
            Qt.Key.Key_Up, Qt.Key.Key_Down,
        ):  # fmt: skip
            step = 1 if event.key() == Qt.Key.Key_Down else -1
            row = self.list.currentRow() + step
            while 0 <= row < self.list.count() and not self.list.item(row).data(ID):
                row += step
            if 0 <= row < self.list.count():
                self.list.setCurrentRow(row)
            return True
        return super().eventFilter(watched, event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            return  # a sheet would close
        super().keyPressEvent(event)

    def done(self, result: int) -> None:
        self.left.emit()
        super().done(result)

    def closeEvent(self, event: QCloseEvent) -> None:
        self.left.emit()
        super().closeEvent(event)


class BookControl(QObject):
    """Makes the window when it is first wanted, works out one page at a time, and lets examples be heard."""

    def __init__(self, background: Background, playback: Playback, theme: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self._background, self._playback, self._theme, self._owner = background, playback, theme, parent
        self._style = "plain"
        self._sounds = False
        self.window: BookWindow | None = None

    def open(self, technique: str = "") -> None:
        """Show the book, at a technique where one is named."""
        if self.window is None:
            self.window = window = BookWindow(self._theme, self._owner)
            window.wanted.connect(self._ask)
            window.left.connect(self._hush)
            window.page.heard.connect(self._hear)
            window.page.hushed.connect(self._hush)
            self._playback.example_moved.connect(window.page.set_playhead)
            self._playback.example_ended.connect(self._on_ended)
        self.window.open_at(technique)
        self.window.show()
        self.window.activateWindow()
        self.window.list.setFocus()

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        if self.window is not None:
            self.window.page.set_theme(theme)

    def set_style(self, style: str) -> None:
        """Print chords in another house style."""
        self._style = style
        if self.window is not None:
            self.window.open_at(self.window.technique())

    def _ask(self, technique: str, tonic: int | None) -> None:
        self._hush()
        self._background.ask("book", self._show, read_book, technique, tonic, self._style)

    def _show(self, page: BookPage) -> None:
        if self.window is not None:
            self.window.page.show_page(page)

    def _hear(self, chart: object, take: str | None) -> None:
        from core.chart import Chart

        assert isinstance(chart, Chart)
        self._sounds = True
        self._playback.hear_example(chart, take)

    def _hush(self) -> None:
        if self._sounds:
            self._sounds = False
            self._playback.stop()

    def _on_ended(self) -> None:
        self._sounds = False
        if self.window is not None:
            self.window.page.silence()
