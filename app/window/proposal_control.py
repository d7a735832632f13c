"""Asking what could stand at the selection, taking it, hearing it. Answers that come too late are dropped."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from app.window.background import Background
from app.window.desk import Desk
from app.window.page.chord_text import ChordParts, printed_slot
from app.window.page.page_model import Reading
from app.window.playback import Playback
from app.window.proposal_view import place_words
from app.window.proposals_panel import ProposalsPanel
from app.window.reading import PianoNotes, find_proposals, voice_proposal
from core import edit
from core.row import Row, Slot, span

if TYPE_CHECKING:
    from core.chart import Chart
    from core.propose import Proposals

DEPTH = 1


class ProposalControl(QObject):
    """Keeps the panel in step with the desk."""

    said = Signal(str)
    previewed = Signal(object)  # (start, end) of the card in hand, or None

    def __init__(self, desk: Desk, panel: ProposalsPanel, background: Background, playback: Playback,
                 parent: QObject | None = None) -> None:  # fmt: skip
        super().__init__(parent)
        self._desk, self._panel, self._background, self._playback = desk, panel, background, playback
        self._reading, self._style = Reading(), "plain"
        self._asked: tuple[Chart, str | None, Fraction, Fraction, frozenset[str] | None] | None = None
        self.taught: Callable[[], frozenset[str] | None] = lambda: None  # the only techniques to propose
        self._started = self._waits = False
        self._wished = ""  # a technique to put in hand when the answer comes
        panel.chosen.connect(self._on_chosen)
        panel.taken.connect(self.take)

    def start(self) -> None:
        """Begin to ask: after the first paint, which waits for nothing."""
        self._started = True
        self.ask()

    def set_style(self, style: str) -> None:
        """Print chords in another house style."""
        self._style, self._asked = style, None
        self.ask()

    def set_reading(self, reading: Reading) -> None:
        """The analysis, for the numeral beside the heading."""
        self._reading = reading
        self._show_question()

    def ask(self) -> None:
        """Ask about the selection, unless that has just been asked."""
        if not self._started:
            return
        start, end = self._desk.selected_time()
        question = (self._desk.chart, self._desk.take_name, start, end, self.taught())
        self._show_question()
        if question == self._asked:
            return
        if self._asked is None or question[2:4] != self._asked[2:4]:
            self._panel.forget_choice()
        self._asked, self._waits = question, True
        self._background.ask("proposals", self._on_answer, find_proposals, *question[:4], DEPTH, question[4])

    def show_technique(self, technique: str) -> None:
        """Put the card of a technique in hand, refused or not, as soon as it is known what it makes of this place."""
        self._wished = technique
        if not self._waits:
            self._show_wished()

    def _show_wished(self) -> None:
        technique, self._wished = self._wished, ""
        if technique:
            self._panel.choose_technique(technique)

    def _row(self) -> Row:
        return self._desk.take.row if self._desk.take else self._desk.chart.standard

    def _signature(self) -> int:
        return self._desk.chart.key_of(self._desk.take).signature

    def _show_question(self) -> None:
        start, end = self._desk.selected_time()
        bars = self._desk.form.bars
        first, last = bars[self._desk.selection.first], bars[self._desk.selection.last]
        label = f"Bar {first.number}" if first == last else f"Bars {first.number}–{last.number}"
        slots = span(self._row(), start, end)
        following = [slot for slot in self._row() if slot.onset >= end][:1]
        blank = not any(slot.chord for slot in self._row())
        chords = () if blank else tuple(self._printed(slot) for slot in slots[:6])
        after = self._printed(following[0]) if following and not blank else None
        self._panel.set_question(label, chords, after, self._numeral(start) if first == last else "")

    def _printed(self, slot: Slot) -> ChordParts:
        return printed_slot(slot, self._signature(), self._style)

    def _numeral(self, start: Fraction) -> str:
        said = self._reading.take if self._desk.take else self._reading.standard
        row = self._row()
        index = next((place for place, slot in enumerate(row) if slot.onset <= start < slot.end), None)
        return said[index].numeral if index is not None and index < len(said) else ""

    def _on_answer(self, answer: Proposals) -> None:
        take = self._desk.take
        locked = bool(take and set(self._desk.selection.bars) <= take.locked)
        empty = "These bars are locked; L unlocks them." if locked else ""
        if not any(slot.chord for slot in self._row()):
            empty = "There are no chords yet. Press Enter, or just type: Cmaj7, then Tab for the next bar."
        if not empty and self.taught() is not None:
            empty = "Nothing that was taught fits here. The Class menu lets all techniques in again."
        self._panel.set_answer(answer, self._signature(), self._style, self._place, empty)
        self._waits = False
        self._show_wished()
        if self._panel.current() is None:
            self.previewed.emit(None)
            self._voice(span(self._row(), *self._desk.selected_time()), ())

    def _place(self, start: Fraction) -> str:
        chosen = self._desk.selection
        return place_words(self._desk.form, start, chosen.first, chosen.last)

    def _on_chosen(self) -> None:
        current = self._panel.current()
        if current is None:
            self.previewed.emit(None)
            return
        self.previewed.emit((current.start, current.end))
        self._voice(current.after, tuple(slot for slot in self._row() if slot.onset >= current.end)[:1])

    def _voice(self, chords: Row, following: Row) -> None:
        """Show how the last of some chords is voiced, led from those before it to what follows."""
        if not chords or chords[-1].chord is None:
            self._on_voiced(PianoNotes(""))
            return
        name = self._printed(chords[-1]).text
        self._background.ask("voicing", self._on_voiced, voice_proposal, (*chords, *following), len(chords) - 1,
                             f"Voicing of {name}")  # fmt: skip

    def _on_voiced(self, piano: PianoNotes) -> None:
        self._panel.set_piano(piano)

    # --- what is done with it ------------------------------------------------------------------------------------

    def take(self) -> None:
        """Put the proposal in hand into the take; makes a first take where there is none."""
        from core.propose import take_proposal

        proposal = self._panel.current_proposal()
        if proposal is None:
            if self._panel.current() is not None:
                self.said.emit("This one is refused; type it over the bar if you want it all the same.")
            return
        if self._desk.take_name is None:
            name = edit.free_name(self._desk.chart, "First take")
            self._desk.edit_and_look("new take", edit.add_take, name, name)
        if self._desk.take_name is not None:
            self._desk.edit(proposal.title.lower(), take_proposal, self._desk.take_name, proposal)

    def hear(self) -> None:
        """Play the card in hand in its place, from the bar before to the bar after."""
        current = self._panel.current()
        if current is None:
            return
        bars = self._desk.form.bars
        first = max(0, self._desk.form.bar_at(current.start).index - 1)
        last = min(len(bars) - 1, self._desk.form.bar_at(current.end - Fraction(1, 64)).index + 1)
        self._playback.hear(current, float(bars[first].start), float(bars[last].end))
