"""What is played on a MIDI keyboard, as chords and as a melody. No Qt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from core.chart import Chart, Take
from core.chord_naming import NamedChord, name_chord
from core.form import Form
from core.key import Key
from core.pitch import pitch_from_midi, with_signs
from core.row import Row, Slot, slot_index
from core.take_down import Heard

WRAP = 1.0
"""Quarter notes by which a place must fall back to be another pass of the loop."""


@dataclass
class Hand:
    """The notes of a chord: those that went down since the hand was last empty."""

    down: set[int] = field(default_factory=set)
    chord: set[int] = field(default_factory=set)

    def feed(self, on: bool, pitch: int) -> bool:
        """A key; True where the chord has changed."""
        if not on:
            self.down.discard(pitch)
            return False
        if not self.down:
            self.chord.clear()
        self.down.add(pitch)
        before = len(self.chord)
        self.chord.add(pitch)
        return len(self.chord) != before


@dataclass(frozen=True, slots=True)
class Place:
    """Where a played chord would go: from ``start`` to ``end`` of a row, in a key, instead of the slots there."""

    row: Row
    start: Fraction
    end: Fraction
    key: Key

    def names(self, pitches: frozenset[int]) -> tuple[NamedChord, ...]:
        """What the notes are called here."""
        here = self.row[slot_index(self.row, self.start)].chord if self.row else None
        after = next((slot.chord for slot in self.row if slot.onset >= self.end), None)
        return name_chord(pitches, self.key, heard=here, following=after)


def place_of(form: Form, row: Row, home: Key, bar_index: int, slot: int | None) -> Place:
    """A bar of a row, or the single chord that is selected in it."""
    bar = form.bars[bar_index]
    key = form.key_at(bar_index, home)
    if slot is not None and slot < len(row):
        return Place(row, max(bar.start, row[slot].onset), min(bar.end, row[slot].end), key)
    return Place(row, bar.start, bar.end, key)


def put_slots(place: Place, name: NamedChord) -> Row:
    """The chord as the one slot of its place."""
    return (Slot(place.start, place.end - place.start, name.chord),)


def note_names(pitches: frozenset[int], name: NamedChord | None, key: Key) -> str:
    """``'C  E  G  B♭'``, from the lowest, spelled as the chord spells them."""
    spelled = {tone * 7 % 12: tone for tone in name.chord.tones} if name else {}
    notes = (pitch_from_midi(pitch, spelled.get(pitch % 12), key.signature) for pitch in sorted(pitches))
    return "  ".join(with_signs(str(note)[: -len(str(note.octave))]) for note in notes)


class Recorder:
    """Keys that come while the count runs, as notes with their pass; what is still held at the end is let go there."""

    def __init__(self, shift: int = 0) -> None:
        self._shift = shift
        self._open: dict[int, tuple[float, float, bool, int]] = {}
        self._last: float | None = None
        self._passes = 0
        self.heard: list[Heard] = []

    def feed(self, event: Mapping[str, Any]) -> None:
        """A ``played`` event. Keys pressed and let go within the count-in are warming up; one held over it counts."""
        place = float(event["quarter"])
        if self._last is not None and place < self._last - WRAP:
            self._passes += 1
        self._last = place
        pitch = int(event["pitch"])
        if event["on"]:
            if event["playing"]:
                self._open[pitch] = (place, float(event["time"]), bool(event["counting_in"]), self._passes)
        elif pitch in self._open:
            self._close(pitch, float(event["time"]), float(event["bpm"]), bool(event["counting_in"]))

    def finish(self, time: float, bpm: float) -> list[Heard]:
        """Everything that was played."""
        for pitch in tuple(self._open):
            self._close(pitch, time, bpm, False)
        return self.heard

    def _close(self, pitch: int, time: float, bpm: float, counting_in: bool) -> None:
        onset, begun, in_count, passes = self._open.pop(pitch)
        if in_count and counting_in:
            return
        end = onset + max(0.0, time - begun) * bpm / 60.0
        self.heard.append(Heard(onset, end, pitch - self._shift, passes))


def melody_owner(chart: Chart, take: Take | None) -> str:
    """Whose melody a recording changes, in words."""
    return f"the tune of “{take.name}”" if take is not None and take.melody is not None else "the tune"
