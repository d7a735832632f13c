"""Writing the tune on the staff: by pointer and by keys. The caret is where the next note goes."""

from __future__ import annotations

from fractions import Fraction

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from app.window.desk import Desk
from app.window.page.page_view import PageView
from core import edit
from core.abc_notes import scale_alteration
from core.chart import Chart, Melody, Note
from core.key import Key
from core.pitch import LETTERS, NATURAL_FIFTHS, Pitch, alteration_of, letter_of, pitch_from_midi, with_signs
from core.take_down import spell

VALUES = {"1": Fraction(4), "2": Fraction(2), "4": Fraction(1), "8": Fraction(1, 2), "6": Fraction(1, 4)}
VALUE_NAMES = {Fraction(4): "whole", Fraction(2): "half", Fraction(1): "quarter", Fraction(1, 2): "eighth",
               Fraction(1, 4): "sixteenth"}  # fmt: skip
GRID = Fraction(1, 2)
MIDDLE = 34  # B4
LOWEST, HIGHEST = 36, 100


class TuneControl(QObject):
    """The state of writing: value, dot, triplet, caret, and the note in hand."""

    moved = Signal()  # caret, note in hand or value
    left = Signal()  # Escape

    def __init__(self, desk: Desk, page: PageView, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk, self._page, self.on = desk, page, False
        self._value, self._dotted, self._triplet = Fraction(1), False, False
        self._caret = Fraction(0)
        self._chosen: int | None = None
        page.staff_clicked.connect(self._on_click)
        page.tune_key.connect(self._on_key)
        desk.chart_changed.connect(self._on_chart)

    # --- state -----------------------------------------------------------------------------------------------

    @property
    def melody(self) -> Melody:
        """The melody that is written on."""
        return self._desk.chart.melody_of(self._desk.take)

    @property
    def duration(self) -> Fraction:
        """Of the next note, in quarter notes."""
        value = self._value * (Fraction(3, 2) if self._dotted else 1)
        return value * Fraction(2, 3) if self._triplet else value

    @property
    def note(self) -> Note | None:
        """The note in hand."""
        return self.melody[self._chosen] if self._chosen is not None and self._chosen < len(self.melody) else None

    def words(self) -> str:
        """What the bar above the page says while the tune is written."""
        kind = ("dotted " if self._dotted else "") + VALUE_NAMES[self._value] + (" triplet" if self._triplet else "")
        held = f" · in hand {with_signs(str(self.note.pitch))}" if self.note else ""
        return f"Writing the tune: {kind}{held} · letters or clicks write, 1 2 4 8 6 choose the value, Esc ends"

    def start(self, on: bool) -> None:
        """Begin at the selected bar, or end."""
        self.on = on
        if on:
            self._caret = self._desk.chart.form.bars[self._desk.selection.first].start
            self._chosen = None
        self._show()

    def _show(self) -> None:
        self._page.set_tune(self.on, float(self._caret), self._chosen)
        self.moved.emit()

    def _on_chart(self) -> None:
        if self.on:
            if self._chosen is not None and self._chosen >= len(self.melody):
                self._chosen = None
            self._show()

    def _key_at(self, onset: Fraction) -> Key:
        form = self._desk.form
        return form.key_at(form.bar_at(onset).index, self._desk.chart.key_of(self._desk.take))

    # --- writing ---------------------------------------------------------------------------------------------

    def _write(self, onset: Fraction, pitch: Pitch) -> None:
        room = self._desk.form.length - onset
        if room <= 0:
            return
        duration = min(self.duration, room)
        melody = edit.put_note(self.melody, onset, duration, pitch)
        if self._apply("write a note", melody):
            self._chosen = next(i for i, note in enumerate(self.melody) if note.onset == onset)
            self._caret = min(onset + duration, self._desk.form.length)
            self._show()

    def _apply(self, text: str, melody: Melody, merge: str = "") -> bool:
        take = self._desk.take
        own = take.name if take and take.melody is not None else None

        def change(chart: Chart) -> Chart:
            return edit.set_melody(chart, melody, own)

        return self._desk.edit(text, change, merge=merge)

    def _on_click(self, bar_index: int, onset: float, step: int) -> None:
        found = self._note_near(bar_index, onset, step)
        if found is not None:
            self._chosen, self._caret = found, self.melody[found].onset
            self._show()
            return
        bar = self._desk.form.bars[bar_index]
        grid = min(GRID, self.duration) if not self._triplet else self.duration
        place = bar.start + round((onset - float(bar.start)) / float(grid)) * grid
        place = min(place, bar.end - grid)
        self._write(place, self._pitch_at(step, place))

    def _note_near(self, bar_index: int, onset: float, step: int) -> int | None:
        width = self._page.geometry_now.bar_box(bar_index).width
        reach = 12 / max(1.0, width) * float(self._desk.form.bars[bar_index].length)
        near = []
        for index, note in enumerate(self.melody):
            if abs(float(note.onset) + reach / 3 - onset) < reach and abs(note.pitch.staff_step - step) <= 1:
                near.append((abs(float(note.onset) - onset), index))
        return min(near)[1] if near else None

    def _pitch_at(self, step: int, onset: Fraction) -> Pitch:
        letter = LETTERS[step % 7]
        return Pitch(NATURAL_FIFTHS[letter] + 7 * scale_alteration(letter, self._key_at(onset)), step // 7)

    def play_note(self, midi: int) -> None:
        """Write a note that was played, spelled for the chord under it; a value pressed afterwards lengthens it."""
        if self._caret >= self._desk.form.length or not LOWEST <= midi <= HIGHEST:
            return
        take = self._desk.take
        row = take.row if take is not None and take.melody is not None else self._desk.chart.standard
        self._write(self._caret, spell(midi, row, self._caret, self._key_at(self._caret).signature))

    def _write_letter(self, letter: str) -> None:
        """The letter nearest to the note before."""
        before = [note for note in self.melody if note.onset < self._caret]
        last = before[-1].pitch.staff_step if before else MIDDLE
        steps = [octave * 7 + LETTERS.index(letter) for octave in range(2, 8)]
        self._write(self._caret, self._pitch_at(min(steps, key=lambda step: abs(step - last)), self._caret))

    # --- keys ------------------------------------------------------------------------------------------------

    def _on_key(self, event: QKeyEvent) -> None:
        key, text = Qt.Key(event.key()), event.text().upper()
        plain = not event.modifiers() & (Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.MetaModifier)
        if key == Qt.Key.Key_Escape:
            self.left.emit()
        elif key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            self._step(1 if key == Qt.Key.Key_Right else -1)
        elif key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self._bend(1 if key == Qt.Key.Key_Up else -1, event.modifiers())
        elif key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self._delete()
        elif plain and text in LETTERS and text:
            self._write_letter(text)
        elif plain and text == "Z":
            self._rest()
        elif plain and (text in VALUES or text in (".", "3")) and text:
            self._choose_value(text)
        else:
            event.ignore()

    def _choose_value(self, text: str) -> None:
        if text in VALUES:
            self._value = VALUES[text]
        elif text == ".":
            self._dotted, self._triplet = not self._dotted, False
        else:
            self._triplet, self._dotted = not self._triplet, False
        if self.note is not None and self._chosen is not None:
            changed = edit.lengthen_note(self.melody, self._chosen, self.duration)
            onset = self.note.onset
            if self._apply("change a note's length", changed):
                self._caret = min(onset + self.duration, self._desk.form.length)
        self._show()

    def _step(self, step: int) -> None:
        """To the note before or after, or by the value over rests."""
        onsets = [note.onset for note in self.melody]
        here = self.note.onset if self.note else self._caret
        others = [index for index, onset in enumerate(onsets) if (onset > here if step > 0 else onset < here)]
        limit = self._desk.form.length
        if not others:
            self._chosen = None
            self._caret = max(Fraction(0), min(limit, here + step * self.duration if not self.note else self.note.end))
        else:
            chosen = others[0] if step > 0 else others[-1]
            self._chosen, self._caret = chosen, onsets[chosen]
        self._show()

    def _bend(self, direction: int, modifiers: Qt.KeyboardModifier) -> None:
        note = self.note
        if note is None or self._chosen is None:
            return
        key = self._key_at(note.onset)
        if modifiers & Qt.KeyboardModifier.AltModifier:
            pitch = semitone_from(note.pitch, direction, key)
        elif modifiers & Qt.KeyboardModifier.ShiftModifier:
            pitch = Pitch(note.pitch.fifths, note.pitch.octave + direction)
        else:
            pitch = self._pitch_at(note.pitch.staff_step + direction, note.onset)
        if LOWEST <= pitch.midi <= HIGHEST:
            self._apply("move a note", edit.repitch_note(self.melody, self._chosen, pitch), f"bend {self._chosen}")

    def _delete(self) -> None:
        if self.note is not None and self._chosen is not None:
            index, onset = self._chosen, self.note.onset
            self._chosen, self._caret = None, onset
            self._apply("remove a note", edit.remove_note(self.melody, index))
            self._show()

    def _rest(self) -> None:
        end = min(self._caret + self.duration, self._desk.form.length)
        self._apply("write a rest", edit.cleared(self.melody, self._caret, end))
        self._caret, self._chosen = end, None
        self._show()


def semitone_from(pitch: Pitch, direction: int, key: Key) -> Pitch:
    """A half step up or down: the letter is kept while that needs no double accidental, else spelled for the key."""
    alteration = alteration_of(pitch.fifths) + direction
    if -1 <= alteration <= 1:
        return Pitch(NATURAL_FIFTHS[letter_of(pitch.fifths)] + 7 * alteration, pitch.octave)
    return pitch_from_midi(pitch.midi + direction, None, key.signature)
