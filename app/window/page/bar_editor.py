"""Typing over a bar: a line of text where the chords stand, and under it what the typed chords are made of."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QObject, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPainter, QPaintEvent, QPalette, QPen, QPolygonF
from PySide6.QtWidgets import QFrame, QLabel, QLineEdit, QVBoxLayout, QWidget

from app.window.fonts import font

MIN_WIDTH, MAX_WIDTH = 250, 460
LEAVING = (Qt.FocusReason.MouseFocusReason, Qt.FocusReason.ShortcutFocusReason)  # not: another window, a menu


@dataclass(frozen=True, slots=True)
class TypingEcho:
    """What the text says so far: words to show; ``position`` is the character at fault, None if all is well."""

    words: str
    position: int | None = None


class FaultLine(QLineEdit):
    """A line edit that draws a wave under the word that cannot be read."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._fault: int | None = None

    def set_fault(self, position: int | None) -> None:
        """Mark the text from a character on, to the end of its word; None marks nothing."""
        self._fault = position
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if self._fault is None or not self.text():
            return
        text, start = self.text(), min(self._fault, len(self.text()) - 1)
        end = text.find(" ", start + 1)
        words = self.fontMetrics()
        # The cursor's own rectangle tells where the text stands, however far it is scrolled.
        zero = self.cursorRect().center().x() - words.horizontalAdvance(text[: self.cursorPosition()])
        x1 = zero + words.horizontalAdvance(text[:start])
        x2 = zero + words.horizontalAdvance(text[: end if end > 0 else len(text)])
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(self.palette().color(QPalette.ColorRole.BrightText), 1.4))
        points = [
            QPointF(x, self.height() - (2.0 if step % 2 else 4.5))
            for step, x in enumerate(range(x1, max(x2, x1 + 9), 3))
        ]
        painter.drawPolyline(QPolygonF(points))
        painter.end()


class BarEditor(QFrame):
    """One line edit over ``parent``; the keyboard goes back to ``owner`` when it closes.

    Enter accepts (with Ctrl for every pass of the bar), Tab accepts and goes on to the next bar, Escape leaves all as
    it was.
    """

    accepted = Signal(str, int, bool)  # text, bars to move on (0, 1 or -1), whether every pass is meant
    cancelled = Signal()

    def __init__(self, parent: QWidget, owner: QWidget) -> None:
        super().__init__(parent)
        self._over, self._owner = parent, owner
        self._opened_with = ""
        self.setObjectName("bar_editor")
        self._read: Callable[[str], TypingEcho] = lambda _text: TypingEcho("")
        self.line = FaultLine(self)
        self.line.setFont(font("serif", 20))
        self.echo = QLabel(self)
        self.echo.setFont(font("sans", 13))
        self.echo.setWordWrap(True)
        self.echo.setTextFormat(Qt.TextFormat.PlainText)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(6, 6, 6, 7)
        layout.setSpacing(4)
        layout.addWidget(self.line)
        layout.addWidget(self.echo)
        self.line.textChanged.connect(self._on_text)
        self.line.installEventFilter(self)
        self.hide()

    def open(self, area: QRectF, text: str, label: str, read: Callable[[str], TypingEcho], select: bool) -> None:
        """Appear over an area of the parent with a text; ``select`` marks it so that typing replaces it."""
        self._read, self._opened_with = read, text
        self.line.setAccessibleName(label)
        self.line.setPlaceholderText(label)
        width = int(min(MAX_WIDTH, max(MIN_WIDTH, area.width() - 2)))
        self.setFixedWidth(width)
        self.line.setText(text)
        self._on_text(text)
        self.place(area)
        self.show()
        self.raise_()
        self.line.setFocus(Qt.FocusReason.OtherFocusReason)
        if select:
            self.line.selectAll()
        else:
            self.line.setCursorPosition(len(text))

    def place(self, area: QRectF) -> None:
        """Stand over an area, inside the parent."""
        self.adjustSize()
        parent = self._over
        x = max(4, min(int(area.left()), parent.width() - self.width() - 6))
        y = int(area.center().y()) - self.line.sizeHint().height() // 2 - 8
        y = max(4, min(y, parent.height() - self.sizeHint().height() - 6))
        self.move(x, y)

    def _on_text(self, text: str) -> None:
        said = self._read(text)
        self.setProperty("fault", said.position is not None)
        self.style().unpolish(self)
        self.style().polish(self)
        self.style().unpolish(self.echo)
        self.style().polish(self.echo)
        self.line.set_fault(said.position if text.strip() else None)
        self.echo.setText(said.words)
        # A label that wraps does not tell its layout how high it is at this width.
        margins = self.contentsMargins() + self.layout().contentsMargins()  # type: ignore[union-attr]
        self.echo.setFixedHeight(self.echo.heightForWidth(self.width() - margins.left() - margins.right()))
        self.line.setAccessibleDescription(said.words)
        bottom = self.geometry().bottom()
        self.adjustSize()
        overlap = self.geometry().bottom() - max(bottom, self._over.height() - 6)
        if self.isVisible() and overlap > 0:
            self.move(self.x(), max(4, self.y() - overlap))

    def is_faulty(self) -> bool:
        """Whether the text cannot be read."""
        return self._read(self.line.text()).position is not None

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self.line and event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            return self._on_key(event)
        if watched is self.line and event.type() == QEvent.Type.ShortcutOverride:
            event.accept()  # single letters are text here, not commands
        left = isinstance(event, QFocusEvent) and event.type() == QEvent.Type.FocusOut and event.reason() in LEAVING
        if watched is self.line and left:
            self.finish()
        return super().eventFilter(watched, event)

    def _on_key(self, event: QKeyEvent) -> bool:
        steps = {Qt.Key.Key_Return: 0, Qt.Key.Key_Enter: 0, Qt.Key.Key_Tab: 1, Qt.Key.Key_Backtab: -1}
        key = Qt.Key(event.key())
        if key == Qt.Key.Key_Escape:
            self.close_quietly()
            self.cancelled.emit()
            return True
        if key not in steps:
            return False
        said = self._read(self.line.text())
        if said.position is not None:
            self.line.setCursorPosition(min(said.position, len(self.line.text())))
        else:
            every = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
            self._accept(steps[key], every)
        return True

    def _accept(self, step: int, every: bool = False) -> None:
        text = self.line.text()
        self.close_quietly()
        self.accepted.emit(text, step, every)

    def finish(self) -> None:
        """The user has gone elsewhere: keep what was typed if it can be read and says something new, else let it go."""
        if not self.isVisible():
            return
        if self.line.text() == self._opened_with or self.is_faulty():
            self.close_quietly()
        else:
            self._accept(0)

    def close_quietly(self) -> None:
        """Disappear and give the keyboard back to the page."""
        if self.isVisible():
            self.hide()
            if self._owner.focusWidget() in (None, self.line) or self.line.hasFocus():
                self._owner.setFocus(Qt.FocusReason.OtherFocusReason)
