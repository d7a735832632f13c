"""Editing bars and takes: typing over a bar, locking, restoring, new and other takes."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from PySide6.QtCore import QObject, QRectF
from PySide6.QtWidgets import QWidget

from app.window.desk import Desk
from app.window.dialogs import NameDialog
from app.window.page.bar_editor import BarEditor, TypingEcho
from app.window.page.page_model import answered_bar
from app.window.page.page_view import PageView
from app.window.selection import Selection
from app.window.typing_echo import echo_chords, echo_tune
from core import edit
from core.abc_notes import format_abc_bar
from core.bar_text import bar_to_text, parse_bar
from core.chart import STANDARD, Chart
from core.form import Bar
from core.key import Key
from core.row import Row, span, splice

ANSWERS_NONE = "This bar answers no bar of the standard; type it in the take's row."
STAFF_SHARE = 0.4  # of a bar's height


class BarControl(QObject):
    """Opens the editor over a bar and turns what was typed into edits."""

    def __init__(self, desk: Desk, page: PageView, window: QWidget) -> None:
        super().__init__(window)
        self._desk, self._page, self._window = desk, page, window
        self._kind, self._head = "chords", 0
        self.editor = BarEditor(page.viewport(), page)
        self.editor.accepted.connect(self._on_accepted)
        page.typing_started.connect(self.type_chords)
        page.chord_stepped.connect(self._on_chord_stepped)
        page.verticalScrollBar().valueChanged.connect(self._on_scrolled)
        desk.selected.connect(self._on_selected)

    # --- typing ----------------------------------------------------------------------------------------------

    def type_chords(self, row: str, start_with: str) -> None:
        """Open the editor on a row of the selected bar; ``start_with`` replaces what is there."""
        self.editor.finish()
        self._kind, self._head = "chords", self._desk.selection.head
        self._desk.select_row("take" if row == "take" and self._desk.take else "standard")
        if self._desk.selection.row == "standard" and self._answered() is None:
            self._desk.document.refused.emit(ANSWERS_NONE)
            return
        bar = self._bar()
        text = start_with or bar_to_text(self._desk.active_row, bar)
        label = f"Chords of bar {bar.number}, {'take' if self._desk.selection.row == 'take' else 'standard'}"
        self._page.show_bar(self._head)
        self.editor.open(self._area(), text, label, self._echo_chords, select=not start_with)

    def type_tune(self) -> None:
        """Open the editor on the tune of the selected bar, in ABC notes."""
        self.editor.finish()
        self._kind, self._head = "tune", self._desk.selection.head
        if self._answered() is None:
            self._desk.document.refused.emit("This bar answers no bar of the standard, which has the tune.")
            return
        bar, key = self._bar(), self._key()
        text = format_abc_bar(self._desk.chart.melody, bar, key)
        self._page.show_bar(self._head)
        self.editor.open(self._area(), text, f"Tune of bar {bar.number}, in ABC notes", self._echo_tune, select=True)

    def _area(self) -> QRectF:
        """Where the editor stands: over the row that is typed, or over the staff."""
        if self._kind == "chords":
            return self._page.bar_rect(self._head, self._desk.selection.row)
        area = self._page.bar_rect(self._head)
        area.setHeight(area.height() * STAFF_SHARE)
        return area

    def _on_scrolled(self, _value: int) -> None:
        if self.editor.isVisible():
            self.editor.place(self._area())

    def _on_selected(self) -> None:
        if self.editor.isVisible() and self._desk.selection.head != self._head:
            self.editor.finish()

    def _answered(self) -> int | None:
        return answered_bar(self._desk.chart, self._desk.take, self._head)

    def _bar(self) -> Bar:
        """The bar that is typed into: of the take's form, or the standard's bar that it answers."""
        of_take = self._kind == "chords" and self._desk.active_row_name != STANDARD
        if of_take:
            return self._desk.row_form.bars[self._head]
        return self._desk.chart.form.bars[self._answered() or 0]

    def _key(self) -> Key:
        chart = self._desk.chart
        return chart.form.key_at(self._bar().index, chart.key)

    def _previous(self, bar: Bar) -> Row:
        if bar.index == 0:
            return ()
        before = self._desk.row_form.bars[bar.index - 1]
        return span(self._desk.active_row, before.start, before.end)

    def _echo_chords(self, text: str) -> TypingEcho:
        bar = self._bar()
        said = echo_chords(text, bar, self._previous(bar))
        passes = len(self._desk.row_form.passes_of(bar.index))
        if passes > 1 and said.position is None:
            return TypingEcho(f"{said.words}\nCtrl+Enter: in all {passes} passes of the bar")
        return said

    def _echo_tune(self, text: str) -> TypingEcho:
        return echo_tune(text, self._bar(), self._key())

    def _on_accepted(self, text: str, step: int, every: bool) -> None:
        bar = self._bar()
        if self._kind == "tune":
            done = self._desk.edit(f"tune of bar {bar.number}", edit.set_melody_bar, bar.index, text)
        else:
            passes = self._desk.row_form.passes_of(bar.index) if every else (bar.index,)
            done = self._desk.edit(f"chords of bar {bar.number}", self._typed, passes, text)
        if done and step:
            self._desk.select(self._desk.selection.moved_to(self._head + step, len(self._desk.form.bars)))
            if self._kind == "tune":
                self.type_tune()
            else:
                self.type_chords(self._desk.selection.row, "")

    def _typed(self, chart: Chart, passes: tuple[int, ...], text: str) -> Chart:
        previous = self._previous(self._bar())
        for index in passes:
            bar = self._desk.row_form.bars[index]
            part = parse_bar(text, bar.start, bar.length, bar.meter, moved_before(previous, bar.start))
            chart = self._with_part(chart, bar, part)
        return chart

    def put(self, start: Fraction, end: Fraction, slots: Row) -> bool:
        """Put slots over a stretch of the selected bar in the row that typing goes into; False where it is refused."""
        self.editor.finish()
        self._kind, self._head = "chords", self._desk.selection.head
        if self._desk.active_row_name == STANDARD and self._answered() is None:
            self._desk.document.refused.emit(ANSWERS_NONE)
            return False
        bar = self._bar()
        part = span(splice(self._desk.active_row, start, end, slots), bar.start, bar.end)
        return self._desk.edit(f"chords of bar {bar.number}", self._with_part, bar, part)

    def _with_part(self, chart: Chart, bar: Bar, part: Row) -> Chart:
        """A bar of the active row with other chords; takes that agree with the standard follow it."""
        name = self._desk.active_row_name
        followers = takes_that_agree(chart, bar) if name == STANDARD else ()
        for row in (name, *followers):
            chart = edit.set_bar(chart, row, bar.index, part)
        return chart

    # --- bars ------------------------------------------------------------------------------------------------

    def lock(self) -> None:
        """Lock or unlock the selected bars."""
        if self._desk.take_name:
            self._desk.edit("lock", edit.toggle_lock, self._desk.take_name, self._desk.selection.bars)

    def restore(self) -> None:
        """The standard's chords in the selected bars."""
        if self._desk.take_name:
            self._desk.edit("restore", edit.restore_bars, self._desk.take_name, self._desk.selection.bars)

    def select_all(self) -> None:
        """Every bar."""
        self._desk.select(Selection(0, len(self._desk.form.bars) - 1, None, self._desk.selection.row))

    def _on_chord_stepped(self, step: int) -> None:
        self._desk.select(self._desk.selection.to_slot(self._desk.active_row, self._desk.row_form, step))

    def selected_slot_onset(self) -> Fraction | None:
        """Where the single selected chord begins."""
        slot, row = self._desk.selection.slot, self._desk.active_row
        return row[slot].onset if slot is not None and slot < len(row) else None

    # --- takes -----------------------------------------------------------------------------------------------

    def new_take(self) -> None:
        """A take that agrees with the standard."""
        name = edit.free_name(self._desk.chart, "New take")
        self._desk.edit_and_look("new take", edit.add_take, name, name)

    def copy_take(self) -> None:
        """A copy of the take looked at."""
        if self._desk.take_name:
            name = edit.free_name(self._desk.chart, f"{self._desk.take_name} again")
            self._desk.edit_and_look("duplicate take", edit.add_take, name, name, self._desk.take_name)

    def rename_take(self) -> None:
        """Ask for another name."""
        if not self._desk.take_name:
            return
        dialog = NameDialog(self._window, "Name of the take", self._desk.take_name)
        if dialog.exec() and dialog.name and dialog.name != self._desk.take_name:
            self._desk.edit_and_look("rename take", edit.rename_take, dialog.name, self._desk.take_name, dialog.name)

    def remove_take(self) -> None:
        """Remove the take looked at; undo brings it back."""
        if self._desk.take_name:
            self._desk.edit("remove take", edit.remove_take, self._desk.take_name)

    def another_key(self) -> None:
        """Ask for a key and move the whole chart there."""
        from app.window.key_dialog import KeyDialog
        from core.singer_key import in_key, key_choices

        dialog = KeyDialog(self._window, key_choices(self._desk.chart))
        if dialog.exec():
            self._desk.edit("another key", in_key, dialog.choice)

    def next_take(self) -> None:
        """Look at the next take."""
        names = [take.name for take in self._desk.chart.takes]
        if names:
            place = names.index(self._desk.take_name) if self._desk.take_name in names else -1
            self._desk.look_at(names[(place + 1) % len(names)])


def takes_that_agree(chart: Chart, bar: Bar) -> tuple[str, ...]:
    """Takes that leave a bar as the standard has it and follow when that is typed over. Locked ones do not."""
    there = span(chart.standard, bar.start, bar.end)
    return tuple(
        take.name for take in chart.takes
        if take.form is None and bar.index not in take.locked and span(take.row, bar.start, bar.end) == there
    )  # fmt: skip


def moved_before(row: Row, moment: Fraction) -> Row:
    """The chords of a bar moved in time so that they end at a moment: what ``%`` repeats there."""
    shift = moment - row[-1].end if row else Fraction(0)
    return tuple(replace(slot, onset=slot.onset + shift) for slot in row)
