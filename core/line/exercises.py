"""Lines to practise over two bars of a row: the guide tones, and simple lines that aim at the next chord's tones.

Every line is one voice in a comfortable register, a melody of the chart's own kind, so it can be printed and played.
Guide tones are whole notes of each chord, led to the nearest; a target line walks through the chord to a third or
seventh that stands at the change, reached by a half or whole step. Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from core.chart import STANDARD, Chart, Melody, NamedRow, Note
from core.chord import Chord, in_context
from core.form import Form, WrittenBar
from core.guide_line import guide_threads
from core.key import Key
from core.line.degrees import degree_over, is_chord_tone, spelled_over
from core.line.solo import LineError
from core.pitch import Degree, Pitch, pitch_from_midi, with_signs
from core.row import Row, Slot, span

EXERCISE_BARS = 2
LOW, HIGH = 55, 79
"""MIDI notes between which the lines move."""
_EIGHTH = Fraction(1, 2)


@dataclass(frozen=True, slots=True)
class Exercise:
    """A line to practise: ``kind`` is "guide_tones" or "targets", ``start`` the place of its first bar in the form."""

    kind: str
    title: str
    says: str
    start: Fraction
    notes: Melody
    degrees: tuple[Degree, ...]


def exercises(chart: Chart, row_name: str, bar_number: int) -> tuple[Exercise, ...]:
    """Lines over the two bars from a bar of a row; raises ChartError, FormError or LineError."""
    take = next((take for take in chart.takes if take.name == row_name), None)
    form, key = chart.form_of(take), chart.key_of(take)
    row = chart.row_named(row_name)
    bar = form.bar_numbered(bar_number)
    last = form.bars[min(bar.index + EXERCISE_BARS, len(form.bars)) - 1]
    stretch = span(row, bar.start, last.end)
    if not any(slot.chord for slot in stretch):
        raise LineError(f"Bars {bar.number} to {last.number} have no chord to practise over; choose others.")
    upper, lower = _guide_line(stretch, 1), _guide_line(stretch, 0)
    first = _exercise("guide_tones", "upper guide tones", bar.start, stretch, upper)
    second = _exercise("guide_tones", "lower guide tones", bar.start, stretch, lower)
    targets = [
        _exercise("targets", f"eighths to the {name}", bar.start, stretch, line)
        for name, numbers, rising in (("third", (3, 4), True), ("third, falling", (3, 4), False),
                                      ("seventh", (7, 6), True))
        if (line := _target_line(stretch, key, numbers, rising)) is not None
    ]  # fmt: skip
    return (first, second, *targets)


def _exercise(kind: str, title: str, start: Fraction, stretch: Row, notes: Melody) -> Exercise:
    degrees = []
    for note in notes:
        chord = next(slot.chord for slot in stretch if slot.onset <= note.onset < slot.end)
        assert chord is not None
        degrees.append(degree_over(chord, note.pitch.midi % 12))
    moves = [abs(other.pitch.midi - one.pitch.midi) for one, other in pairwise(notes)]
    says = (f"{len(notes)} notes, the widest move {max(moves, default=0)} in semitones" if kind == "guide_tones"
            else f"lands on {_landings(stretch, notes)} at the change")  # fmt: skip
    return Exercise(kind, title, says, start, notes, tuple(degrees))


def _landings(stretch: Row, notes: Melody) -> str:
    starts = {slot.onset: slot.chord for slot in stretch[1:] if slot.chord is not None}
    found = [with_signs(str(degree_over(starts[note.onset], note.pitch.midi % 12))) for note in notes
             if note.onset in starts]  # fmt: skip
    return " and ".join(found) or "the chord's own tone"


def _guide_line(stretch: Row, voice: int) -> Melody:
    """One thread of the guide tones as notes."""
    notes = []
    for slot, pair in zip(stretch, guide_threads(stretch), strict=True):
        if pair is not None:
            node = pair[voice]
            notes.append(Note(slot.onset, slot.duration, pitch_from_midi(node.midi, node.fifths)))
    return tuple(notes)


def _target_line(stretch: Row, key: Key, numbers: tuple[int, int], rising: bool) -> Melody | None:
    """Eighths through each chord to a wanted tone of the next, which is held on the last chord."""
    sounding = [slot for slot in stretch if slot.chord is not None]
    if len(sounding) < 2:
        return None
    at = _start(sounding[0], rising)
    notes: list[Note] = []
    for slot, following in pairwise(sounding):
        assert slot.chord is not None
        assert following.chord is not None
        target = _nearest(_wanted(following.chord, numbers), at + (2 if rising else -2))
        count = int(slot.duration / _EIGHTH)
        walk = _walk(slot.chord, key, at, target, max(1, count), rising)
        notes += [Note(slot.onset + index * _EIGHTH, _EIGHTH, _spelled(midi, slot.chord))
                  for index, midi in enumerate(walk)]  # fmt: skip
        at = target
    last = sounding[-1]
    assert last.chord is not None
    notes.append(Note(last.onset, last.duration, _spelled(at, last.chord)))
    return tuple(notes)


def _start(slot: Slot, rising: bool) -> int:
    assert slot.chord is not None
    root = in_context(slot.chord).root_pc
    return _nearest((root,), 60 if rising else 74)


def _wanted(chord: Chord, numbers: tuple[int, int]) -> tuple[int, ...]:
    sounding = in_context(chord)
    for number in numbers:
        degree = sounding.quality.sounding.degree(number)
        if degree is not None:
            return ((sounding.root_pc + degree.semitones) % 12,)
    return (sounding.root_pc,)


def _nearest(pitch_classes: tuple[int, ...], near: int) -> int:
    inside = [midi for midi in range(LOW, HIGH + 1) if midi % 12 in pitch_classes]
    return min(inside, key=lambda midi: (abs(midi - near), midi))


def _walk(chord: Chord, key: Key, start: int, target: int, count: int, rising: bool) -> list[int]:
    """Exactly ``count`` notes: chord tones on the beats, the last one a step from the target, all neighbours close."""
    scale = _scale(chord, key)
    inside = [midi for midi in range(LOW - 2, HIGH + 3) if midi % 12 in scale]
    costs: dict[int, float] = {start: 0.0}
    back: list[dict[int, int]] = []
    for index in range(1, count):
        found: dict[int, tuple[float, int]] = {}
        for note in inside:
            own = 0.0 if is_chord_tone(chord, note % 12) else 0.3 if index % 2 else 2.0
            best = min(((cost + _move(note - old, rising, index, count), old) for old, cost in costs.items()),
                       default=None)  # fmt: skip
            if best is not None:
                found[note] = best[0] + own, best[1]
        costs = {note: cost for note, (cost, _) in found.items()}
        back.append({note: old for note, (_, old) in found.items()})
    at = min(costs, key=lambda note: (costs[note] + _landing(target - note), note))
    line = [at]
    for step in reversed(back):
        at = step[at]
        line.append(at)
    return line[::-1]


def _move(size: int, rising: bool, index: int, count: int) -> float:
    """Steps and thirds are easy, larger moves dear, a note said again dearer; the first half goes the way asked."""
    if size == 0:
        return 6.0
    wanted = (size > 0) == rising if index <= count // 2 else True
    return (0.0 if abs(size) <= 4 else 1.5 * (abs(size) - 4)) + (0.0 if wanted else 1.0)


def _landing(size: int) -> float:
    return {1: 0.0, 2: 0.2, 0: 8.0}.get(abs(size), 4.0 + abs(size))


def _scale(chord: Chord, key: Key) -> frozenset[int]:
    """The chord's own tones and, where they lie a step or more from them, the notes of the key."""
    own = {midi for midi in range(12) if is_chord_tone(chord, midi)}
    notes = {(7 * (key.signature + at)) % 12 for at in range(-1, 6)}
    return frozenset(own | {note for note in notes if not any((note - tone) % 12 in (1, 11) for tone in own
                                                              if tone not in notes)})  # fmt: skip


def _spelled(midi: int, chord: Chord) -> Pitch:
    return pitch_from_midi(midi, spelled_over(chord, midi % 12))


def exercise_chart(chart: Chart, row_name: str, bar_number: int, lines: tuple[Exercise, ...]) -> Chart:
    """Exercises as a small chart of their own, a section each, the line as the tune."""
    take = next((take for take in chart.takes if take.name == row_name), None)
    form = chart.form_of(take)
    first = form.bar_numbered(bar_number)
    bars = form.bars[first.index : first.index + EXERCISE_BARS]
    chords = span(chart.row_named(row_name), first.start, bars[-1].end)
    length = bars[-1].end - first.start
    written, row, melody = [], [], []
    for number, line in enumerate(lines):
        shift = number * length - first.start
        for at, bar in enumerate(bars):
            written.append(WrittenBar(str(number * len(bars) + at + 1), bar.meter, bar.length,
                                      line.title.capitalize() if at == 0 else None))  # fmt: skip
        row += [replace(slot, onset=slot.onset + shift) for slot in chords]
        melody += [replace(note, onset=note.onset + shift) for note in line.notes]
    title = f"{chart.title}, lines for bars {first.number} and {bars[-1].number}"
    return Chart(title, chart.key_of(take), Form(tuple(written), tuple(range(len(written)))),
                 (NamedRow(STANDARD, tuple(row)),), (), tuple(melody), chart.composer, chart.tempo, chart.feel,
                 STANDARD)  # fmt: skip
