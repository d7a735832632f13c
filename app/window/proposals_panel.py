"""Beside the page: what could stand here, best first, what was refused and by which note, and how it is voiced."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QModelIndex, QObject, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QListView, QSlider, QVBoxLayout, QWidget

from app.window.explanation_sheet import ExplanationSheet
from app.window.fonts import font
from app.window.key_button import KeyButton
from app.window.keyboard_picture import KeyboardPicture
from app.window.page.chord_text import ChordParts
from app.window.page.title_label import ChordTitle
from app.window.proposal_list import CardDelegate, ProposalModel
from app.window.proposal_view import chord_texts, proposal_card, refusal_card
from app.window.ranking import explain_place, ranked
from app.window.ranking_sheet import RankingSheet
from app.window.reading import PianoNotes
from app.window.theme import Theme
from app.window.words_control import WordsField

if TYPE_CHECKING:
    from core.chart import Step
    from core.propose import Proposal, Proposals, Refusal

SLIDER_STEPS = 20


class ProposalsPanel(QWidget):
    """Shows a :class:`core.propose.Proposals`; emits what is chosen, taken and asked to be heard."""

    chosen = Signal()  # another card is current
    taken = Signal()  # Enter on a card
    boldness_moved = Signal(float)
    why_opened = Signal()
    about_wished = Signal(str)  # the id of a technique to be looked up

    def __init__(self, theme: Theme, boldness: float, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("panel")
        self._answer: Proposals | None = None
        self._ordered: tuple[Proposal, ...] = ()
        self._open, self._why_open, self._signature, self._style = False, False, 0, "plain"
        self._place: Callable[[Fraction], str] = lambda _start: ""
        self._title = ChordTitle(theme, self)
        self._numeral = _quiet_label("", 13)
        self._slider = _boldness_slider(boldness)
        self._slider.valueChanged.connect(self._on_slider)
        self._empty = _quiet_label("", 14)
        self._empty.setWordWrap(True)
        self._model, self._delegate = ProposalModel(), CardDelegate(theme)
        self._list = self._make_list()
        self.words = WordsField(self)
        self._step: Step | None = None
        self.how, self.how_sheet = KeyButton(pixels=13, parent=self), ExplanationSheet(self)
        self.how.setObjectName("how")
        self.how.setToolTip("The techniques that make these chords of the standard (X)")
        for part in (self.how, self.how_sheet):
            part.hide()
        self._refused = KeyButton(pixels=13, weight="strong", parent=self)
        self._refused.setObjectName("refused")
        self._refused.clicked.connect(self.toggle_refused)
        self._why = KeyButton(pixels=13, parent=self)
        self._why.setToolTip("Points for and against the proposal in hand (Y)")
        self._why.clicked.connect(self.toggle_why)
        self._about = KeyButton("About", pixels=13, parent=self)
        self._about.setAccessibleName("About this technique")
        self._about.setToolTip("The technique of the card in hand in the technique book (Shift+F1)")
        self._about.clicked.connect(self._on_about)
        self.why_sheet = RankingSheet(theme, self)
        self.why_sheet.hide()
        self._voicing = _quiet_label("", 13)
        self.keyboard = KeyboardPicture(theme, self)
        self._arrange()

    def _make_list(self) -> QListView:
        view = QListView(self)
        view.setObjectName("proposals")
        view.setModel(self._model)
        view.setItemDelegate(self._delegate)
        view.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        view.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        view.setResizeMode(QListView.ResizeMode.Adjust)
        view.setAccessibleName("Proposals")
        view.setMinimumSize(QSize(250, 120))
        view.verticalScrollBar().setSingleStep(24)
        view.selectionModel().currentChanged.connect(self._on_current)
        view.doubleClicked.connect(lambda _index: self.taken.emit())
        view.installEventFilter(self)
        return view

    def _arrange(self) -> None:
        layout = QVBoxLayout(self)
        layout.setContentsMargins(6, 2, 0, 0)
        layout.setSpacing(4)
        head = QHBoxLayout()
        head.addWidget(self._title, 1)
        head.addWidget(self._numeral, 0, Qt.AlignmentFlag.AlignBottom)
        scale = QHBoxLayout()
        scale.setContentsMargins(2, 0, 2, 4)
        scale.setSpacing(10)
        scale.addWidget(_quiet_label("safe", 12.5))
        scale.addWidget(self._slider, 1)
        scale.addWidget(_quiet_label("bold", 12.5))
        for part in (head, scale):
            layout.addLayout(part)
        layout.addWidget(self._empty)
        layout.addWidget(self.how, 0, Qt.AlignmentFlag.AlignLeft)
        layout.addWidget(self.how_sheet)
        layout.addWidget(self.words)
        layout.addWidget(self._list, 1)
        layout.addWidget(self.why_sheet)
        below = QHBoxLayout()
        below.addWidget(self._refused)
        below.addStretch(1)
        below.addWidget(self._about)
        below.addWidget(self._why)
        layout.addLayout(below)
        layout.addWidget(self._voicing)
        layout.addWidget(self.keyboard)
        self._show_cards()

    # --- state -----------------------------------------------------------------------------------------------

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._delegate.theme = theme
        self._title.set_theme(theme)
        self.keyboard.set_theme(theme)
        self.why_sheet.set_theme(theme)
        self._list.viewport().update()

    def set_question(
        self, label: str, chords: tuple[ChordParts, ...], following: ChordParts | None, numeral: str
    ) -> None:
        """Say which place is asked about and what follows it; the old answer stays until the new one comes."""
        self._title.set_title(label, chords, following)
        self._numeral.setText(numeral)

    def set_answer(self, answer: Proposals | None, signature: int, style: str, place: Callable[[Fraction], str],
                   empty: str = "") -> None:  # fmt: skip
        """Show what was found. ``place`` puts where it begins into words; ``empty`` is said where nothing is found."""
        self._place = place
        self._answer, self._signature, self._style = answer, signature, style
        advice = (
            "The refused ones say why; or type a chord."
            if answer and answer.refused
            else "Type a chord, or select more."
        )
        self._empty.setText(empty or f"Nothing in the book fits here. {advice}")
        self._show_cards()

    def set_step(self, step: Step | None) -> None:
        """The change that was made here: its words stand on the card that made it, or in the field."""
        if step != self._step:
            self._step = step
            self._show_cards()
        self._show_words()

    def _note_of(self, proposal: Proposal) -> str:
        step = self._step
        here = step is not None and proposal.taken and proposal.start <= step.start < proposal.end
        return step.note if step is not None and here else ""

    def _show_words(self) -> None:
        on_card = any(self._note_of(proposal) for proposal in self._ordered)
        self.words.setVisible(self._step is not None and (self.words.hasFocus() or not on_card))

    def set_piano(self, piano: PianoNotes) -> None:
        """Show a voicing."""
        self._voicing.setText(piano.title)
        self.keyboard.set_notes(piano)

    @property
    def boldness(self) -> float:
        """The wish, 0 safe to 1 bold."""
        return self._slider.value() / SLIDER_STEPS

    def current(self) -> Proposal | Refusal | None:
        """The proposal or refusal in hand."""
        row = self._list.currentIndex().row()
        if 0 <= row < len(self._ordered):
            return self._ordered[row]
        refused = self._answer.refused if self._answer and self._open else ()
        place = row - len(self._ordered)
        return refused[place] if 0 <= place < len(refused) else None

    def current_proposal(self) -> Proposal | None:
        """The proposal in hand; None on a refusal."""
        row = self._list.currentIndex().row()
        return self._ordered[row] if 0 <= row < len(self._ordered) else None

    def choose(self, row: int) -> None:
        """Make a card current, by row from 0."""
        self._list.setCurrentIndex(self._model.index(row))

    def choose_technique(self, technique: str) -> None:
        """Make the first card of a technique current; the refused ones are opened if it is among them."""
        refused = self._answer.refused if self._answer else ()
        names = [item.technique for item in self._ordered] + [item.technique for item in refused]
        place = names.index(technique) if technique in names else None
        if place is None:
            return
        if place >= len(self._ordered) and not self._open:
            self.toggle_refused()
        self.choose(place)
        self._list.scrollTo(self._model.index(place))

    def technique_in_hand(self) -> str:
        """Of the change made here, or of the card in hand (first while the list has the keyboard), or nothing."""
        current = self.current()
        card, step = current.technique if current else "", self._step.technique if self._step else ""
        return card or step if self._list.hasFocus() else step or card

    def forget_choice(self) -> None:
        """Another place is asked about: its best card will be in hand."""
        self._list.setCurrentIndex(QModelIndex())

    def focus_list(self) -> None:
        """Give the list the keyboard, with its first card in hand."""
        self._list.setFocus(Qt.FocusReason.ShortcutFocusReason)
        if not self._list.currentIndex().isValid():
            self.choose(0)

    def toggle_refused(self) -> None:
        """Open or close what was refused."""
        self._open = not self._open
        self._show_cards()
        if self._open and self._answer and self._answer.refused:
            self._list.scrollTo(self._model.index(len(self._ordered)), QListView.ScrollHint.PositionAtTop)

    def toggle_why(self) -> None:
        """Open or close why the proposal in hand stands where it stands."""
        self._why_open = not self._why_open
        self._show_why()
        if self._why_open:
            self.why_opened.emit()

    def close_why(self) -> None:
        """Make room for the other sheet."""
        self._why_open = False
        self._show_why()

    def _show_why(self) -> None:
        row = self._list.currentIndex().row()
        there = self._answer is not None and 0 <= row < len(self._ordered)
        self._why.setVisible(there)
        self._about.setVisible(row >= 0)
        self._why.setText(f"Why {'first' if row == 0 else 'here'}? {'▴' if self._why_open else '▾'}")
        if there and self._why_open and self._answer is not None:
            chords = [chord_texts(item.after, self._signature, self._style) for item in self._ordered]
            names = [" ".join(parts.text for parts in some) for some in chords]
            ranking = explain_place(self._answer.proposals, self.boldness, row, names)
            self.why_sheet.show_ranking(ranking, chords[row], chords[ranking.against or 0])
        self.why_sheet.setVisible(there and self._why_open)

    def _show_cards(self) -> None:
        kept = self.current()
        answer = self._answer
        self._ordered = ranked(answer.proposals, self.boldness) if answer else ()
        refused = answer.refused if answer else ()
        cards = [proposal_card(item, self._signature, self._style, self._place(item.start), self._note_of(item))
                 for item in self._ordered]  # fmt: skip
        if self._open:
            cards += [refusal_card(item, self._signature, self._style, self._place(item.start)) for item in refused]
        self._model.set_cards(tuple(cards))
        self._empty.setVisible(not self._ordered)
        self._show_words()
        self._refused.setVisible(bool(refused))
        self._refused.setText(f"Refused here: {len(refused)} {'▴' if self._open else '▾'}")
        items = (*self._ordered, *(refused if self._open else ()))
        row = next((place for place, item in enumerate(items) if item == kept), 0 if items else -1)
        if row >= 0:
            self.choose(row)
        self._show_why()

    # --- hands -----------------------------------------------------------------------------------------------

    def _on_about(self) -> None:
        current = self.current()
        if current is not None:
            self.about_wished.emit(current.technique)

    def _on_slider(self, _value: int) -> None:
        self._show_cards()
        self.boldness_moved.emit(self.boldness)

    def _on_current(self, current: QModelIndex, _before: QModelIndex) -> None:
        self._show_why()
        if current.isValid():
            self.chosen.emit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._list.doItemsLayout()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent) and event.key() in (
            Qt.Key.Key_Return, Qt.Key.Key_Enter,
        ):  # fmt: skip
            self.taken.emit()
            return True
        return super().eventFilter(watched, event)


def _quiet_label(text: str, pixels: float) -> QLabel:
    label = QLabel(text)
    label.setFont(font("sans", pixels))
    label.setProperty("quiet", True)
    return label


def _boldness_slider(boldness: float) -> QSlider:
    slider = QSlider(Qt.Orientation.Horizontal)
    slider.setObjectName("boldness")
    slider.setRange(0, SLIDER_STEPS)
    slider.setValue(round(boldness * SLIDER_STEPS))
    slider.setAccessibleName("Safe to bold")
    slider.setToolTip("How far from the standard the first proposals may go")
    return slider
