"""What stands on a sheet, as plain data: bars with tune and chords, how they are broken into lines, and the answers."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import accumulate

from core.chart import STANDARD, Chart, Take
from core.checks.melody import degree_name
from core.form import Bar, Form, WrittenBar
from core.key import Key
from core.meter import Meter
from core.pitch import Pitch
from core.row import ZERO, Row, Slot, slot_index
from core.sheet.change import Change
from core.sheet.folding import PrintedBar, printed_bars
from core.sheet.kinds import KINDS, SheetError, SheetKind, SheetOptions
from core.sheet.part import PARTS, Part, for_part, on_staff

_BASS_CLEF_BELOW = 52
"""Mean MIDI number of a tune under which a part at concert pitch is written in the bass clef."""


@dataclass(frozen=True, slots=True)
class Sung:
    """The part of a melody note that lies in a bar; times from the bar's start in quarter notes."""

    onset: Fraction
    end: Fraction
    pitch: Pitch
    tied_in: bool
    tied_on: bool


@dataclass(frozen=True, slots=True)
class SheetChord:
    """A chord that begins in a bar, ``offset`` quarter notes after the line; ``quiet``: the other row has it too."""

    offset: Fraction
    slot: Slot
    quiet: bool = False


@dataclass(frozen=True, slots=True)
class NoteDegree:
    """A melody note's degree over the standard's chord and over the take's; "" where there is no chord."""

    offset: Fraction
    standard: str
    take: str


@dataclass(frozen=True, slots=True)
class Bracket:
    """A bracket over notes, from one to another: bars as indexes of the sheet, offsets in them; a few letters on it."""

    first: int
    start: Fraction
    last: int
    end: Fraction
    words: str


@dataclass(frozen=True, slots=True)
class SheetBar:
    """A printed bar. ``changes`` are numbers of the sheet's changes that begin here, with their offset."""

    number: str
    written: WrittenBar
    signature: int
    melody: tuple[Sung, ...]
    standard: tuple[SheetChord, ...]
    take: tuple[SheetChord, ...]
    degrees: tuple[NoteDegree, ...] = ()
    changes: tuple[tuple[Fraction, int], ...] = ()

    @property
    def meter(self) -> Meter:
        """Its metre."""
        return self.written.meter

    @property
    def length(self) -> Fraction:
        """Quarter notes it lasts."""
        return self.written.length


@dataclass(frozen=True, slots=True)
class Sheet:
    """Everything that is printed, for one purpose and one part.

    ``take_name`` and ``reference_name`` are "" where that row is not on the sheet; ``staff`` is whether the tune is
    engraved.
    """

    title: str
    composer: str
    key: Key
    meter: Meter
    tempo: int
    feel: str
    kind: SheetKind
    part: Part
    options: SheetOptions
    reference_name: str
    take_name: str
    staff: bool
    clef: str
    pickup: bool
    bars: tuple[SheetBar, ...]
    changes: tuple[Change, ...]
    brackets: tuple[Bracket, ...] = ()
    remarks: tuple[str, ...] = ()
    """Sentences that stand under the title."""


def sheet_of(chart: Chart, options: SheetOptions) -> Sheet:
    """Everything that stands on a sheet.

    Raises :class:`SheetError` when the sheet needs a take and the chart has none, ChartError for an unknown row.
    """
    kind, part = KINDS[options.kind], PARTS[options.part]
    if options.reference not in (None, STANDARD):
        chart = replace(chart, reference=chart.reference_named(str(options.reference)).name)
    written = on_staff(for_part(chart, part.id), part.id)
    take = _take(written, options, kind)
    form, key = written.form_of(take), written.key_of(take)
    if not form.bars:
        raise SheetError("The chart has no bars to print.")
    played = _played(written, take, form, kind, options)
    printed = printed_bars(form, [(bar.melody, bar.standard, bar.take) for bar in played])
    numbers = {bar.first: bar.number for bar in printed}
    changes = _changes(written, take, numbers, options) if kind.answers and take else ()
    signatures = _signatures(form, key)
    bars = tuple(_printed(bar, played, form, signatures, changes) for bar in printed)
    staff = any(bar.melody for bar in bars)
    return Sheet(chart.title, chart.composer, key, written.meter, chart.tempo, chart.feel, kind, part, options,
                 written.reference if kind.standard else "", take.name if take else "", staff, _clef(bars, part),
                 form.pickup, bars, changes)  # fmt: skip


def _changes(chart: Chart, take: Take, numbers: dict[int, str], options: SheetOptions) -> tuple[Change, ...]:
    from core.sheet.answers import changes_of  # with the whole catalogue: other sheets are made without it

    # A guitar sounds an octave below what it reads, and grips are found where they sound.
    return changes_of(chart, take, numbers, options.on_guitar, PARTS[options.part].semitones // 12 * 12)


def _take(chart: Chart, options: SheetOptions, kind: SheetKind) -> Take | None:
    if not kind.take:
        return None
    if options.take is not None:
        return chart.take_named(options.take)
    if not chart.takes:
        raise SheetError(f"The sheet {kind.words!r} needs a take and the chart has none; make one or choose another.")
    return chart.takes[0]


def _clef(bars: tuple[SheetBar, ...], part: Part) -> str:
    heights = [sung.pitch.midi for bar in bars for sung in bar.melody]
    low = part.id == "C" and bool(heights) and sum(heights) < _BASS_CLEF_BELOW * len(heights)
    return "F" if low else part.clef


# --- bars as played --------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Played:
    melody: tuple[Sung, ...]
    standard: tuple[SheetChord, ...]
    take: tuple[SheetChord, ...]
    degrees: tuple[NoteDegree, ...]


def _played(chart: Chart, take: Take | None, form: Form, kind: SheetKind, options: SheetOptions) -> list[_Played]:
    standard = _standard_row(chart, take, form) if kind.standard else ()
    mine = take.row if take else ()
    melody = chart.melody_of(take) if options.melody else ()
    sung: list[list[Sung]] = [[] for _ in form.bars]
    for note in melody:
        at = form.bar_at(note.onset).index
        while at < len(form.bars) and form.bars[at].start < note.end:
            bar = form.bars[at]
            sung[at].append(Sung(max(note.onset, bar.start) - bar.start, min(note.end, bar.end) - bar.start, note.pitch,
                                 note.onset < bar.start, note.end > bar.end))  # fmt: skip
            at += 1
    bars = []
    for bar, theirs, ours in zip(form.bars, _chords(standard, form), _chords(mine, form), strict=True):
        if standard and mine:
            known = {(chord.offset, chord.slot.chord) for chord in theirs}
            ours = tuple(replace(chord, quiet=(chord.offset, chord.slot.chord) in known) for chord in ours)
        notes = tuple(sung[bar.index])
        degrees = (
            tuple(_degree(note, bar, standard, mine) for note in notes if not note.tied_in) if kind.answers else ()
        )
        bars.append(_Played(notes, theirs, ours, degrees))
    return bars


def _standard_row(chart: Chart, take: Take | None, form: Form) -> Row:
    """The reference on the time of the sheet: moved bar by bar where the take has a form of its own."""
    if take is None or take.form is None:
        return chart.standard
    moved: list[Slot] = []
    alignment = take.alignment or tuple(range(len(form.bars)))
    for bar in form.bars:
        answers = alignment[bar.index]
        if answers is None or answers >= len(chart.form.bars):
            continue
        there = chart.form.bars[answers]
        for slot in chart.standard:
            onset = bar.start + slot.onset - there.start
            if there.start <= slot.onset < there.end and onset < bar.end:
                moved.append(replace(slot, onset=onset, duration=min(slot.duration, bar.end - onset)))
    return tuple(moved)


def _chords(row: Row, form: Form) -> list[tuple[SheetChord, ...]]:
    """The chords that begin in each bar, free of the time at which the bar is played; none where the row is empty."""
    cells: list[list[SheetChord]] = [[] for _ in form.bars]
    for slot in row if any(slot.chord for slot in row) else ():
        bar = form.bar_at(slot.onset)
        cells[bar.index].append(SheetChord(slot.onset - bar.start, replace(slot, onset=ZERO, duration=Fraction(1))))
    return [tuple(cell) for cell in cells]


def _degree(note: Sung, bar: Bar, standard: Row, take: Row) -> NoteDegree:
    return NoteDegree(note.onset, *(_over(row, bar.start + note.onset, note.pitch) for row in (standard, take)))


def _over(row: Row, onset: Fraction, pitch: Pitch) -> str:
    chord = row[slot_index(row, onset)].chord if row else None
    if chord is None:
        return ""
    return {"root": "1", "natural 5": "5"}.get(name := degree_name(chord, pitch.fifths), name)


def _signatures(form: Form, home: Key) -> list[int]:
    """The signature in force at each written bar."""
    keys = accumulate((bar.key for bar in form.written), lambda now, new: now if new is None else new, initial=home)
    return [key.signature for key in keys if key is not None][1:]


def _printed(printed: PrintedBar, played: list[_Played], form: Form, signatures: list[int],
             changes: tuple[Change, ...]) -> SheetBar:  # fmt: skip
    bar, content = form.bars[printed.first], played[printed.first]
    begun = tuple((change.onset - bar.start, number) for number, change in enumerate(changes, 1)
                  if bar.start <= change.onset < bar.end)  # fmt: skip
    return SheetBar(printed.number, printed.written, signatures[bar.written], content.melody, content.standard,
                    content.take, content.degrees, begun)  # fmt: skip
