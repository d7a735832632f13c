"""Melody and rows laid on played time: written bars, taken in the order they are played."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from core.chart import Melody, Note
from core.foreign.events import Measure, RawHarmony, RawNote
from core.foreign.harmony_read import Harmony
from core.foreign.report import Report
from core.form import Form
from core.row import ZERO, Row, Slot

MAX_PLAYED = 200_000


# --- melody ---------------------------------------------------------------------------------------------------------


def melody_bars(part: list[Measure], report: Report, line: tuple[str, int] | None = None) -> list[list[RawNote]]:
    """One line of a part: its first voice on the upper staff (or the voice and staff of ``line``, and nothing else),
    the top note of every chord, without overlaps."""
    voice, staff = line or main_line(part)
    bars = []
    for index, measure in enumerate(part):
        own = [note for note in measure.notes if note.voice == voice and note.staff == staff]
        others = [note for note in measure.notes if note.staff == staff and note.voice != voice]
        if not own and others and line is None:
            own = [note for note in others if note.voice == others[0].voice]
            report.add("the melody is taken from another voice, since the first one is silent", index)
        elif others:
            report.add("other voices are not kept", index)
        bars.append(_one_line(own, index, report))
    if line is None and any(note.staff != staff for measure in part for note in measure.notes):
        report.add(f"of several staves staff {staff} is read as the melody")
    return bars


def main_line(part: list[Measure]) -> tuple[str, int]:
    """The upper staff that has notes, and its lowest voice that sings in half as many bars as the busiest one."""
    notes = [note for measure in part for note in measure.notes]
    staff = min((note.staff for note in notes), default=1)
    bars_of: dict[str, int] = {}
    for measure in part:
        for voice in {note.voice for note in measure.notes if note.staff == staff}:
            bars_of[voice] = bars_of.get(voice, 0) + 1
    most = max(bars_of.values(), default=0)
    full = [voice for voice, bars in bars_of.items() if 2 * bars >= most]
    return min(full, key=lambda voice: (len(voice), voice), default="1"), staff


def _one_line(notes: list[RawNote], index: int, report: Report) -> list[RawNote]:
    top: dict[Fraction, RawNote] = {}
    for note in notes:
        there = top.get(note.onset)
        if there is not None:
            report.add("chords in the melody, the top note is kept", index)
        if there is None or note.pitch.midi > there.pitch.midi:
            top[note.onset] = note
    line = sorted(top.values(), key=lambda note: note.onset)
    cut = []
    for position, note in enumerate(line):
        end = line[position + 1].onset if position + 1 < len(line) else None
        if end is not None and note.onset + note.duration > end:
            report.add("notes that overlap the next one are shortened", index)
            note = RawNote(note.onset, end - note.onset, note.pitch, note.voice, note.staff, False, note.tie_stop)
        cut.append(note)
    return cut


@dataclass(slots=True)
class _Held:
    onset: Fraction
    end: Fraction
    note: RawNote

    def played(self) -> Note:
        return Note(self.onset, self.end - self.onset, self.note.pitch)


def played_melody(bars: list[list[RawNote]], form: Form) -> Melody:
    """Notes on played time, ties merged along the order of play, so a tie into an ending joins on every pass."""
    melody: list[Note] = []
    held: _Held | None = None
    for bar in form.bars:
        for note in bars[bar.written] if bar.written < len(bars) else []:
            onset = bar.start + note.onset
            if held and held.note.tie_start and note.tie_stop and held.end == onset \
                    and held.note.pitch.midi == note.pitch.midi:  # fmt: skip
                held = _Held(held.onset, onset + note.duration, _tied_on(held.note, note))
                continue
            if held:
                melody.append(held.played())
            held = _Held(onset, onset + note.duration, note)
    if held:
        melody.append(held.played())
    return tuple(melody)


def _tied_on(first: RawNote, last: RawNote) -> RawNote:
    return RawNote(first.onset, first.duration, first.pitch, first.voice, first.staff, last.tie_start, first.tie_stop)


# --- rows -----------------------------------------------------------------------------------------------------------


Events = list[list[tuple[Fraction, Harmony]]]


def harmony_bars(measures: list[Measure], below: bool | None, form: Form, report: Report) -> Events:
    """Chord symbols of each written bar in order of time; ``below`` chooses a line, None takes every symbol."""
    bars: Events = [[] for _ in form.written]
    for index, measure in enumerate(measures):
        chosen = [raw for raw in measure.harmonies if below is None or raw.below == below]
        plain = _without_alternates(chosen, index, report)
        length = form.written[index].length
        inside = [(raw.onset, raw.harmony) for raw in plain if raw.onset < length]
        bars[index] += _spread(inside, length, index, report)
        for raw in plain:
            if raw.onset >= length:
                _into_next_bar(raw, bars, index, measures, report)
    return bars


def _without_alternates(chosen: list[RawHarmony], index: int, report: Report) -> list[RawHarmony]:
    """Alternate harmonies are dropped where an explicit one stands; N.C. in words gives way to a real symbol."""
    kept = []
    for raw in chosen:
        rivals = [other for other in chosen if other is not raw and other.onset == raw.onset]
        if raw.alternate and any(not other.alternate for other in rivals):
            report.add("an alternate harmony is not kept", index)
        elif not (raw.harmony.chord is None and any(other.harmony.chord for other in rivals)):
            kept.append(raw)
    return kept


def _spread(events: list[tuple[Fraction, Harmony]], length: Fraction, index: int,
            report: Report) -> list[tuple[Fraction, Harmony]]:  # fmt: skip
    """Several symbols at one place share the time to the next one evenly."""
    places = sorted({onset for onset, _ in events})
    spread = []
    for position, place in enumerate(places):
        end = places[position + 1] if position + 1 < len(places) else length
        here = list({harmony.chord: harmony for onset, harmony in reversed(events) if onset == place}.values())[::-1]
        if len(here) > 1:
            report.add("several chord symbols at one place share the time to the next", index)
        spread += [(place + (end - place) * Fraction(number, len(here)), harmony)
                   for number, harmony in enumerate(here)]  # fmt: skip
    return spread


def _into_next_bar(raw: RawHarmony, bars: Events, index: int, measures: list[Measure], report: Report) -> None:
    """A symbol at or beyond the bar's end belongs to the next bar, unless that one has its own."""
    following = measures[index + 1].harmonies if index + 1 < len(measures) else []
    if index + 1 < len(measures) and not any(other.onset == 0 for other in following):
        bars[index + 1].append((ZERO, raw.harmony))
        report.add("a chord symbol at the end of the bar is read at the next bar line", index)
    else:
        report.add("a chord symbol at the end of the bar is not kept", index)


def played_row(bars: Events, form: Form) -> Row:
    """Chord slots on played time: a chord sounds until the next symbol is reached; N.C. until the first."""
    starts: list[tuple[Fraction, Harmony]] = []
    for bar in form.bars:
        starts += [(bar.start + onset, harmony) for onset, harmony in bars[bar.written]]
    if starts and starts[0][1].chord is None:
        starts[0] = (ZERO, starts[0][1])
    if not starts or starts[0][0] > 0:
        starts.insert(0, (ZERO, Harmony(None, None)))
    ends = [onset for onset, _ in starts[1:]] + [form.length]
    return tuple(Slot(onset, end - onset, harmony.chord, harmony.typed, harmony.optional)
                 for (onset, harmony), end in zip(starts, ends, strict=True))  # fmt: skip
