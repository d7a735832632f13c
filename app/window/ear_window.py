"""The ear desk: which work, the bars that sound, the answers, what was right, and what is confused with what."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QCloseEvent, QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QDialog, QGridLayout, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.window.ear_model import HINT, WORKS, EarState
from app.window.ear_picture import BarsPicture, ConfusionPicture
from app.window.fonts import font
from app.window.key_button import KeyButton
from app.window.theme import Theme
from core.ear.lesson import WORK_TITLES
from core.ear.progress import Confusions
from core.ear.question import Question

MOST_ANSWERS = 6
MARKS = {"open": "", "right": "●  ", "wrong": "✕  "}
SPOKEN = {"open": "", "right": ", right", "wrong": ", your answer"}


class EarWindow(QDialog):
    """Emits what is wished; shows states."""

    work_chosen = Signal(str)
    play_wished = Signal()
    other_wished = Signal()
    check_wished = Signal()
    next_wished = Signal()
    answered = Signal(str)
    left = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Ear desk")
        self.resize(1040, 640)
        self.works = {work: self._work_button(work, place) for place, work in enumerate(WORKS, 1)}
        self.asks, self.where, self.verdict = _label("serif", 26), _label("sans", 14), _label("sans", 16)
        self.score, self.today = _label("sans", 14), _label("sans", 13)
        self.where.setProperty("quiet", True)
        self.today.setProperty("quiet", True)
        self.verdict.setMinimumHeight(70)
        self.bars, self.table = BarsPicture(theme), ConfusionPicture(theme)
        self.play = _button("Hear it again   Space", self.play_wished)
        self.other = _button("", self.other_wished)
        self.check = _button("Check   Enter", self.check_wished)
        self.next = _button("Next   Enter", self.next_wished)
        self.answers = [self._answer_button(place) for place in range(MOST_ANSWERS)]
        self._ids: tuple[str, ...] = ()
        self._state: EarState | None = None
        self._arrange()
        self._make_keys()

    def _work_button(self, work: str, place: int) -> KeyButton:
        button = KeyButton(WORK_TITLES[work], 15)
        button.setCheckable(True)
        button.setToolTip(f"Alt + {place}")
        button.clicked.connect(lambda _checked=False: self.work_chosen.emit(work))
        return button

    def _answer_button(self, place: int) -> QPushButton:
        button = QPushButton()
        button.setFont(font("sans", 16))
        button.setMinimumHeight(44)
        button.setProperty("answer", "open")
        button.clicked.connect(lambda _checked=False: self._answer(place))
        return button

    def _arrange(self) -> None:
        works = QHBoxLayout()
        works.setSpacing(4)
        for button in self.works.values():
            works.addWidget(button)
        works.addStretch(1)
        grid = QGridLayout()
        grid.setSpacing(8)
        for place, answer in enumerate(self.answers):
            grid.addWidget(answer, place // 2, place % 2)
        keys = QHBoxLayout()
        for key in (self.play, self.other, self.check, self.next):
            keys.addWidget(key)
        keys.addStretch(1)
        left = QVBoxLayout()
        left.setSpacing(10)
        for widget in (self.asks, self.where, self.bars):
            left.addWidget(widget)
        left.addLayout(grid)
        left.addWidget(self.verdict)
        left.addLayout(keys)
        left.addStretch(1)
        hint = _label("sans", 13)
        hint.setText(HINT)
        hint.setProperty("quiet", True)
        left.addWidget(hint)
        side = QVBoxLayout()
        heading = _label("serif", 18)
        heading.setText("What you hear, and as what")
        for part in (heading, self.table, self.score):
            side.addWidget(part)
        side.addStretch(1)
        side.addWidget(self.today)
        right = QWidget()
        right.setFixedWidth(310)
        right.setLayout(side)
        middle = QHBoxLayout()
        middle.setSpacing(26)
        middle.addLayout(left, 1)
        middle.addWidget(right)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(22, 14, 22, 16)
        layout.setSpacing(12)
        layout.addLayout(works)
        layout.addLayout(middle, 1)

    def _make_keys(self) -> None:
        for place in range(MOST_ANSWERS):
            self._key(str(place + 1), lambda place=place: self._answer(place))
        for place, work in enumerate(WORKS, 1):
            self._key(f"Alt+{place}", lambda work=work: self.work_chosen.emit(work))
        self._key("Space", self.play_wished.emit)
        self._key("Y", self._wish_other)

    def _key(self, key: str, do: object) -> None:
        shortcut = QShortcut(QKeySequence(key), self)
        shortcut.activated.connect(do)

    # --- what is shown ---------------------------------------------------------------------------------------------

    def show_work(self, work: str) -> None:
        """Which work is done."""
        for name, button in self.works.items():
            button.setChecked(name == work)

    def show_nothing(self, why: str) -> None:
        """There is nothing to ask, and what to do about it."""
        self._state, self._ids = None, ()
        self.asks.setText(why)
        self.where.setText("")
        self.verdict.setText("")
        self.bars.show_excerpt(None, opened=False)
        for button in (*self.answers, self.play, self.other, self.check, self.next):
            button.hide()

    def show_state(self, state: EarState, where: str) -> None:
        """A question and where it stands."""
        question = state.question
        self._state, self._ids = state, tuple(answer.id for answer in question.answers)
        self.asks.setText(question.asks)
        self.where.setText(where)
        self.bars.show_excerpt(question.excerpt, opened=state.is_answered)
        self._show_answers(question, state)
        self.verdict.setText(state.verdict())
        self.play.show()
        other = state.other
        self.other.setVisible(other is not None)
        self.other.setText(f"{other[0]}   Y" if other else "")
        self.check.setVisible(question.checks_itself and not state.checked and not state.is_answered)
        self.next.setVisible(state.is_answered)
        if state.is_answered:
            self.next.setFocus()
        elif not self.check.isHidden():
            self.check.setFocus()
        else:
            self.play.setFocus()

    def _show_answers(self, question: Question, state: EarState) -> None:
        for place, button in enumerate(self.answers):
            button.setVisible(place < len(question.answers) and (state.may_answer or state.is_answered))
            if place >= len(question.answers):
                continue
            answer = question.answers[place]
            kind = "open"
            if state.is_answered and answer.id in (question.right, state.given):
                kind = "right" if answer.id == question.right else "wrong"
            mark = MARKS[kind]
            detail = f"   {answer.detail}" if state.is_answered and answer.detail else ""
            button.setText(f"{place + 1}   {mark}{answer.words}{detail}")
            button.setEnabled(state.may_answer)
            button.setAccessibleName(f"{answer.words}{detail}{SPOKEN[kind]}")
            if button.property("answer") != kind:
                button.setProperty("answer", kind)
                button.style().unpolish(button)  # a style sheet reads properties when it is polished
                button.style().polish(button)

    def show_progress(self, table: Confusions, words: str, today: str) -> None:
        """What was heard as what."""
        self.table.show_table(table, words)
        self.score.setText(words)
        self.today.setText(today)

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self.bars.set_theme(theme)
        self.table.set_theme(theme)

    def _wish_other(self) -> None:
        if not self.other.isHidden():
            self.other_wished.emit()

    # --- keys ------------------------------------------------------------------------------------------------------

    def _answer(self, place: int) -> None:
        if self._state is not None and self._state.may_answer and place < len(self._ids):
            self.answered.emit(self._ids[place])

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() not in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            super().keyPressEvent(event)
        elif self._state is not None and self._state.is_answered:
            self.next_wished.emit()
        elif not self.check.isHidden():
            self.check_wished.emit()

    def done(self, result: int) -> None:
        self.left.emit()
        super().done(result)

    def closeEvent(self, event: QCloseEvent) -> None:
        self.left.emit()
        super().closeEvent(event)


def _label(family: str, pixels: float) -> QLabel:
    label = QLabel()
    label.setFont(font(family, pixels, "strong" if family == "serif" else "regular"))
    label.setWordWrap(True)
    return label


def _button(text: str, signal: object) -> QPushButton:
    button = QPushButton(text)
    button.setFont(font("sans", 15))
    button.setAutoDefault(False)
    button.clicked.connect(lambda _checked=False: signal.emit())  # type: ignore[attr-defined]
    return button
