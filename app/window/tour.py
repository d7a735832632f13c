"""The tour: two minutes round the window, a card and a ring at a time; it can be left at any moment."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import QEvent, QObject, QPoint, QRect, QRectF, Qt
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app.window.fonts import font
from app.window.key_button import KeyButton
from app.window.page.brush import Brush

if TYPE_CHECKING:
    from app.window.main_window import MainWindow

CARD_WIDTH, GAP = 380, 14


class Stop(NamedTuple):
    """A stop of the tour: a part of the window by its name there, a heading and two or three short sentences."""

    place: str
    heading: str
    words: str


STOPS = (
    Stop(
        "page",
        "The page",
        "The standard is printed; your take is written over it in a second ink. Between the rows stands, small, how "
        "one became the other. The two lines below are the guide tones.",
    ),
    Stop(
        "page",
        "A bar in hand",
        "Click a bar or go there with the arrows. Type a chord and it stands in the take; Enter accepts, Tab goes on "
        "to the next bar. Ctrl+Z takes anything back.",
    ),
    Stop(
        "panel",
        "Proposals",
        "For the bar in hand: what could stand there, checked against the tune, the voice leading and the function, "
        "with a reason. H plays it in its place, T takes it.",
    ),
    Stop(
        "panel",
        "Safe to bold",
        "The slider asks for the safe or for the bold first. What the tune forbids is under “Refused here”, with the "
        "note that refuses it.",
    ),
    Stop(
        "transport",
        "Hearing both",
        "Space plays and stops, S switches between standard and take at the same moment. Shift+S plays the bars in "
        "hand both ways. Mind your ears: begin softly.",
    ),
    Stop(
        "strip",
        "The whole form",
        "Tension over the form, with the bars that you changed. Click to go there, double-click to play from there.",
    ),
    Stop(
        "header",
        "Rows and takes",
        "A tune keeps several takes and several standards. Choose them here; Ctrl+T begins a new take, Ctrl+I changes "
        "title, tempo and feel.",
    ),
    Stop(
        "menu",
        "Ear and class",
        "F4 drills your ear on this tune. F5 shows it to a class, step by step. Shift+F5 prepares the lesson.",
    ),
    Stop(
        "menu",
        "Whatever you look for",
        "Ctrl+F finds every command by a word, F1 lists all keys, Ctrl+B opens the book of techniques. This tour is "
        "in the Help menu.",
    ),
)


class Ring(QWidget):
    """Darkens everything but one place; the pointer goes through it."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        self.hole = QRect()
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        brush = Brush(painter, self._window.theme)
        painter.setOpacity(0.35)
        for area in (
            QRect(0, 0, self.width(), self.hole.top()),
            QRect(0, self.hole.bottom() + 1, self.width(), self.height()),
            QRect(0, self.hole.top(), self.hole.left(), self.hole.height()),
            QRect(self.hole.right() + 1, self.hole.top(), self.width(), self.hole.height()),
        ):
            brush.patch(QRectF(area), 0, "key_black")
        painter.setOpacity(1.0)
        brush.outline(QRectF(self.hole).adjusted(1, 1, -1, -1), 6, "second", 2.5)
        painter.end()


class Tour(QFrame):
    """The card; Enter goes on, Backspace back, Esc leaves."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.setObjectName("sheet")
        self._window, self.at = window, 0
        self.ring = Ring(window)
        self.heading, self.words, self.count = QLabel(), QLabel(), QLabel()
        self.heading.setFont(font("serif", 20, "strong"))
        self.words.setFont(font("sans", 15))
        self.words.setWordWrap(True)
        self.count.setProperty("quiet", True)
        self.next, self.back, self.skip = KeyButton("Next", 15), KeyButton("Back", 15), KeyButton("Leave the tour", 15)
        self.next.clicked.connect(lambda: self.go(1))
        self.back.clicked.connect(lambda: self.go(-1))
        self.skip.clicked.connect(self.leave)
        foot = QHBoxLayout()
        foot.addWidget(self.count)
        foot.addStretch(1)
        for button in (self.skip, self.back, self.next):
            foot.addWidget(button)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 16, 14, 12)
        layout.setSpacing(8)
        for part in (self.heading, self.words):
            layout.addWidget(part)
        layout.addLayout(foot)
        self.setFixedWidth(CARD_WIDTH)
        self.setAccessibleName("Tour")
        window.installEventFilter(self)
        self.hide()
        self.ring.hide()

    def begin(self) -> None:
        """Start at the first stop."""
        self.at = 0
        self.ring.show()
        self.show()
        self._show()

    def go(self, by: int) -> None:
        """On or back; after the last stop the tour is over."""
        if self.at + by >= len(STOPS):
            self.leave()
            return
        self.at = max(0, self.at + by)
        self._show()

    def leave(self) -> None:
        """The tour is over; the keyboard goes back to the page."""
        self.hide()
        self.ring.hide()
        self._window.page.setFocus(Qt.FocusReason.OtherFocusReason)

    def _show(self) -> None:
        stop = STOPS[self.at]
        self.heading.setText(stop.heading)
        self.words.setText(stop.words)
        self.setAccessibleDescription(f"{stop.heading}. {stop.words}")
        self.count.setText(f"{self.at + 1} of {len(STOPS)}")
        self.back.setVisible(self.at > 0)
        self.next.setText("Next" if self.at + 1 < len(STOPS) else "Begin")
        self._place()
        self.next.setFocus(Qt.FocusReason.OtherFocusReason)

    def _target(self) -> QWidget:
        name = STOPS[self.at].place
        found: QWidget = self._window.menuBar() if name == "menu" else getattr(self._window, name)
        return found

    def _place(self) -> None:
        """The ring round the place; the card beside it, or inside it where there is no room beside."""
        window, target = self._window, self._target()
        self.ring.setGeometry(window.rect())
        hole = QRect(target.mapTo(window, QPoint(0, 0)), target.size())
        self.ring.hole = hole
        self.adjustSize()
        below, above = window.height() - hole.bottom(), hole.top()
        y = hole.bottom() + GAP if below > self.height() + 2 * GAP else hole.top() - self.height() - GAP
        if max(below, above) <= self.height() + 2 * GAP:
            y = hole.center().y() - self.height() // 2
        x = (
            hole.left() - self.width() - GAP
            if hole.left() > self.width() + 2 * GAP
            else hole.center().x() - self.width() // 2
        )
        self.move(max(GAP, min(x, window.width() - self.width() - GAP)), max(GAP, y))
        self.ring.raise_()
        self.raise_()
        self.ring.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.leave()
        elif event.key() == Qt.Key.Key_Backspace:
            self.go(-1)
        else:
            super().keyPressEvent(event)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize and self.isVisible():
            self._place()
        return super().eventFilter(watched, event)
