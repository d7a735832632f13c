"""A melody played along with the count, taken down: onto the grid of the tune's metre, swing taken out, one voice.

Each beat is written in the coarsest division that its onsets lie near: whole, halves, thirds, quarters of a beat (of a
dotted beat: whole, thirds, sixths, halves). A player is some 20 to 40 ms off; how near a finer division must come to be
worth it is our own judgement, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import floor

from core.chart import Chart, Melody, Note, Take
from core.edit import cleared, set_melody
from core.feel import choose_feel
from core.form import Bar, Form
from core.pitch import Pitch, chromatic, pitch_from_midi
from core.row import Row, slot_index
from core.swing import Swing, swing_of

SIMPLE = ((1, 0.0), (2, 0.02), (3, 0.06), (4, 0.06))
SWUNG = ((1, 0.0), (2, 0.02), (3, 0.06), (4, 0.09))
COMPOUND = ((1, 0.0), (3, 0.02), (6, 0.06), (2, 0.08))
"""Parts of a beat and the price of writing them, in beats of mean distance."""
SQUEEZED = 0.25
"""Price of two onsets that fall on one place."""
TOUCH = 0.34
"""A gap before the next note of less than so much of a beat is touch, not a rest."""
_THIRDS = frozenset((3, 6))


@dataclass(frozen=True, slots=True)
class Heard:
    """A key that was played: when it went down and came up, in quarter notes of the form, and its MIDI number.

    ``passes`` is which pass of a loop it belongs to.
    """

    onset: float
    end: float
    pitch: int
    passes: int = 0


def play_in(chart: Chart, take: Take | None, heard: Sequence[Heard]) -> Chart:
    """The chart with what was played as its melody, from the first note to the last; the last pass counts.

    The melody of a take that has its own is changed there, else the chart's. Raises ChartError for notes outside.
    """
    owner = take if take is not None and take.melody is not None else None
    form, row = chart.form_of(owner), chart.standard if owner is None else owner.row
    feel = choose_feel(chart.feel, chart.meter, chart.tempo)
    swing = swing_of("drums", chart.tempo, feel.swing)
    melody, home = chart.melody_of(owner), chart.key_of(owner)

    def spelled(onset: Fraction, midi: int) -> Pitch:
        return spell(midi, row, onset, form.key_at(form.bar_at(onset).index, home).signature)

    for number in sorted({one.passes for one in heard}):
        notes = take_down([one for one in heard if one.passes == number], form, swing, spelled)
        if notes:
            kept = cleared(melody, notes[0].onset, notes[-1].end)
            melody = tuple(sorted((*kept, *notes), key=lambda note: note.onset))
    return set_melody(chart, melody, owner.name if owner else None)


def spell(midi: int, row: Row, onset: Fraction, signature: int) -> Pitch:
    """A pitch as the chord under it spells it, else as the key does."""
    chord = row[slot_index(row, onset)].chord if row else None
    tones = chord.tones if chord else ()
    return pitch_from_midi(midi, next((tone for tone in tones if chromatic(tone) == midi % 12), None), signature)


def take_down(
    heard: Iterable[Heard], form: Form, swing: Swing, spelled: Callable[[Fraction, int], Pitch]
) -> Melody:  # fmt: skip
    """One voice on the grid: of notes that begin together the highest stays, and each ends where the next begins."""
    length = float(form.length)
    inside = sorted((one for one in heard if -0.5 < one.onset < length), key=lambda one: (one.onset, one.pitch))
    by_beat: dict[tuple[int, int], list[Heard]] = {}
    for one in inside:
        bar = form.bar_at(Fraction(max(0.0, one.onset)))
        beat = max(0, floor((one.onset - float(bar.start)) / float(bar.meter.beat)))
        by_beat.setdefault((bar.index, beat), []).append(one)
    placed: dict[Fraction, tuple[Heard, Fraction]] = {}
    for (index, beat), notes in by_beat.items():
        for onset, one, cell in _place(form.bars[index], beat, notes, swing):
            if onset < form.length and (onset not in placed or placed[onset][0].pitch < one.pitch):
                placed[onset] = (one, cell)
    return tuple(_notes(placed, form, spelled))


def _place(bar: Bar, beat: int, notes: list[Heard], swing: Swing) -> Iterator[tuple[Fraction, Heard, Fraction]]:
    """Onset, note and length of a grid cell for the notes of one beat."""
    size_of_beat = bar.meter.beat
    start = bar.start + beat * size_of_beat
    inside = [(one.onset - float(start)) / float(size_of_beat) for one in notes]
    swings = swing.offbeat != 0.5 and size_of_beat == 1
    divisions = COMPOUND if bar.meter.is_compound else SWUNG if swings else SIMPLE
    size = _division(inside, divisions, swing if swings else None)
    for one, place in zip(notes, inside, strict=True):
        written = place if not swings or size in _THIRDS else _even(place, swing)
        yield start + Fraction(max(0, round(written * size)), size) * size_of_beat, one, size_of_beat / size


def _division(inside: list[float], divisions: tuple[tuple[int, float], ...], swing: Swing | None) -> int:
    def cost(row: tuple[int, float]) -> float:
        size, price = row
        written = [place if swing is None or size in _THIRDS else _even(place, swing) for place in inside]
        off = sum(abs(place - round(place * size) / size) for place in written) / len(written)
        squeezed = len(written) - len({round(place * size) for place in written})
        return off + price + SQUEEZED * squeezed

    return min(divisions, key=cost)[0]


def _even(place: float, swing: Swing) -> float:
    """A place in the beat as it is written: the inverse of the swing of the cymbal."""
    if place <= swing.offbeat:
        return place / swing.offbeat / 2
    return 0.5 + (place - swing.offbeat) / (1 - swing.offbeat) / 2


def _notes(
    placed: dict[Fraction, tuple[Heard, Fraction]], form: Form, spelled: Callable[[Fraction, int], Pitch]
) -> Iterator[Note]:  # fmt: skip
    onsets = sorted(placed)
    for index, onset in enumerate(onsets):
        one, cell = placed[onset]
        beat = form.bar_at(onset).meter.beat
        following = onsets[index + 1] if index + 1 < len(onsets) else None
        end = onset + max(cell, round((Fraction(one.end) - onset) / cell) * cell)
        if following is not None and (end > following or float(following) - one.end < TOUCH * float(beat)):
            end = following
        yield Note(onset, min(end, form.length) - onset, spelled(onset, one.pitch))
