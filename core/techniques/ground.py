"""What techniques work on: a row, its reading, the melody and the form; where a rule may stand and how time is cut."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from core.analysis import ChordAnalysis
from core.chart import Melody
from core.checks.compiled_melody import ones_over, packed
from core.checks.melody import EIGHTH, sounding_notes
from core.chord import Chord
from core.form import Form
from core.key import Key
from core.row import Row, Slot, slot_index, span
from core.techniques.technique import Place, Rule


@dataclass(frozen=True, slots=True)
class Ground:
    """What techniques work on: a row with neighbours joined, its reading, the melody and the form under it.

    What many rules ask of the same slots is kept: the chords there with their neighbours, and how their time is cut.
    """

    row: Row
    analysis: tuple[ChordAnalysis, ...]
    melody: Melody
    form: Form
    _places: dict[tuple[int, int], Place | None] = field(default_factory=dict, compare=False, repr=False)
    _cuts: dict[tuple[int, Shape], Cut | None] = field(default_factory=dict, compare=False, repr=False)

    def place(self, index: int, last: int) -> Place | None:
        """The chords of some slots between their neighbours; None where one of them is silent."""
        if (index, last) not in self._places:
            self._places[index, last] = _place(self, index, last)
        return self._places[index, last]

    def cut(self, rule: Rule, index: int) -> Cut | None:
        """When the new chords of a rule sound; None where there is too little time for them."""
        asked = index, _shape(rule)
        if asked not in self._cuts:
            times = _times(rule, self.row[index : index + len(rule.replaces)], self.form)
            self._cuts[asked] = self._cut_at(times) if times else None
        return self._cuts[asked]

    def _cut_at(self, times: Row) -> Cut:
        start, end = times[0].onset, times[-1].end
        heard = tuple(_heard(self, slot) for slot in times) if self.melody else ()
        return Cut(times, span(self.row, start, end), self.neighbours(start, end), heard)

    def neighbours(self, start: Fraction, end: Fraction) -> tuple[Chord | None, Chord | None]:
        """The chord before a span, and the one after it (the first of the row after the last: a chorus comes round)."""
        first, last = slot_index(self.row, start), slot_index(self.row, end)
        if self.row[first].onset == start:
            first -= 1
        before = self.row[first].chord if first >= 0 else None
        around = self.row[0].chord if len(self.row) > 1 else None
        return before, self.row[last].chord if end < self.row[-1].end else around


class Heard(NamedTuple):
    """Structural notes and others as :mod:`packed levels <core.checks.compiled_melody>`."""

    ones: int
    structural: int
    loose: int


SILENT = Heard(1, 0, 0)


class Cut(NamedTuple):
    """When new chords sound (slots without chords), what stands there and around it, and the notes over each slot."""

    times: Row
    before: Row
    around: tuple[Chord | None, Chord | None]
    heard: tuple[Heard, ...]


Shape = tuple[int, int, int, int, int, tuple[int, ...]]


@lru_cache(maxsize=1024)
def _shape(rule: Rule) -> Shape:
    """All that the times of a rule hang on."""
    weights = tuple(part.weight for part in rule.parts)
    return len(rule.replaces), rule.min_beats, rule.min_bars, rule.tail_beats, rule.tail_bars, weights


def _place(ground: Ground, index: int, last: int) -> Place | None:
    row = ground.row
    slots = row[index : last + 1]
    chords = tuple(slot.chord for slot in slots if slot.chord is not None)
    if len(chords) < len(slots):
        return None
    before = row[index - 1].chord if index else None
    following = row[(last + 1) % len(row)].chord if len(row) > 1 else None
    return Place(before, chords, following, _resolution_key(ground, last), ground.analysis[last].key,
                 slots[-1].end >= ground.form.length)  # fmt: skip


def _resolution_key(ground: Ground, last: int) -> Key:
    """The key of the chord that follows: a cadence is heard in the key it arrives in."""
    following = (last + 1) % len(ground.row)
    return ground.analysis[following if following else last].key


def _heard(ground: Ground, slot: Slot) -> Heard:
    """The notes that choose the colours of a chord: all but the quickest off the accents."""
    notes = [note for note in sounding_notes(ground.melody, slot.onset, slot.end, ground.form)
             if note.duration > EIGHTH / 2 or note.structural]  # fmt: skip
    structural = packed(note.midi % 12 for note in notes if note.structural)
    loose = packed(note.midi % 12 for note in notes if not note.structural)
    return Heard(ones_over(structural, loose), structural, loose)


# --- when the new chords sound -------------------------------------------------------------------------------------


def _times(rule: Rule, slots: Row, form: Form) -> Row | None:
    """When the new chords sound: as many as before keep the old places, others are cut on beats by their weights."""
    bar = form.bar_at(slots[-1].onset)
    start, end, beat = slots[0].onset, slots[-1].end, bar.meter.beat
    if end - start < max(rule.min_beats * beat, rule.min_bars * bar.length):
        return None
    if rule.tail_beats:
        start = _cut(start, end, end - min(rule.tail_beats * beat, (end - start) / 2), form)
    elif rule.tail_bars:
        start = max(start, end - rule.tail_bars * bar.length)
    if len(rule.parts) == len(slots):
        places = [max(slot.onset, start) for slot in slots] + [end]
    else:
        whole, places, passed = sum(part.weight for part in rule.parts), [start], 0
        for part in rule.parts[:-1]:
            passed += part.weight
            places.append(_cut(start, end, start + (end - start) * Fraction(passed, whole), form))
        places.append(end)
    if any(two <= one for one, two in pairwise(places)):
        return None
    return tuple(Slot(one, two - one, None) for one, two in pairwise(places))


def _cut(start: Fraction, end: Fraction, wanted: Fraction, form: Form) -> Fraction:
    """The beat inside a span that is nearest to a wanted time; of two as near an accented one, then the later.

    A bar of three is cut 2 + 1 and a bar of five 3 + 2. ``end`` when no beat lies inside.
    """
    bar = form.bar_at(wanted)
    if start < wanted < end and (wanted - bar.start) % bar.meter.beat == 0:  # the usual case
        return wanted
    beats = [place for place in _beats(start, end, form) if start < place[0] < end]
    if not beats:
        return end
    return min(beats, key=lambda place: (abs(place[0] - wanted), not place[1], -place[0]))[0]


def _beats(start: Fraction, end: Fraction, form: Form) -> Iterator[tuple[Fraction, bool]]:
    """(time, whether accented) of every beat in the bars that a span touches."""
    bar = form.bar_at(start)
    while bar.start < end:
        strong = bar.meter.strong_places()
        for beat in range(int(bar.length / bar.meter.beat) + 1):
            yield bar.start + beat * bar.meter.beat, beat * bar.meter.beat in strong
        if bar.index + 1 == len(form.bars):
            return
        bar = form.bars[bar.index + 1]
