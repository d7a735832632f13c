"""The chart: a tune with its form, reference rows, takes and melody. Frozen; an edit makes a new chart."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass, field, replace
from fractions import Fraction

from core.class_notes import NOTHING, ClassNotes
from core.errors import ChangewrightError
from core.form import Form
from core.key import Key
from core.meter import Meter
from core.pitch import Pitch
from core.row import Row, check_row, same_chords, span, splice

DEFAULT_TEMPO = 120
TEMPO_RANGE = (30, 360)
STANDARD = "standard"


class ChartError(ChangewrightError):
    """A chart that contradicts itself, or a name that is not in it."""


@dataclass(frozen=True, slots=True)
class Note:
    """A melody note: onset and duration in quarter notes of played time, spelled pitch."""

    onset: Fraction
    duration: Fraction
    pitch: Pitch

    @property
    def end(self) -> Fraction:
        """Exclusive end."""
        return self.onset + self.duration


Melody = tuple[Note, ...]


def notes_between(melody: Melody, start: Fraction, end: Fraction) -> Melody:
    """The notes that sound at some time from start to end (a melody is one voice, so halving finds them)."""
    onsets, ends = _times(melody)
    first = bisect_right(onsets, float(start))
    if first and ends[first - 1] > float(start):
        first -= 1
    return melody[first : bisect_left(onsets, float(end), first)]


def note_at(melody: Melody, at: Fraction) -> Note | None:
    """The note that sounds at a time, or None."""
    onsets, ends = _times(melody)
    index = bisect_right(onsets, float(at)) - 1
    return melody[index] if index >= 0 and ends[index] > float(at) else None


_Times = tuple[list[float], list[float]]
_last_times: list[tuple[Melody, _Times]] = []


def _times(melody: Melody) -> _Times:
    """Onsets and ends to look times up in, as floats, which keep the order of fractions; kept for the last tune."""
    if not _last_times or _last_times[0][0] is not melody:
        _last_times[:] = [(melody, ([float(note.onset) for note in melody], [float(note.end) for note in melody]))]
    return _last_times[0][1]


@dataclass(frozen=True, slots=True)
class Step:
    """One application of a technique in a take: where, which, the chords before and after, and the user's own words.

    ``before`` and ``after`` cover ``start`` to ``end``. Whether a step was typed over or has gone stale is not
    stored but seen by replaying the steps (:func:`step_states`), so it can never be wrong.
    """

    technique: str
    start: Fraction
    end: Fraction
    before: Row
    after: Row
    note: str = ""


@dataclass(frozen=True, slots=True)
class NamedRow:
    """A reference row: the book, the record, the bass player's changes…"""

    name: str
    row: Row


@dataclass(frozen=True, slots=True)
class Take:
    """A named substitute row.

    ``form``, ``key`` and ``melody`` are None where the take shares the chart's. A take with a form of its own is
    aligned by ``alignment``: for each of its bars the index of the reference bar it answers, or None for an added bar.
    ``locked`` are bar indexes that no proposal may change; ``seed`` fixes everything random in its playback.
    """

    name: str
    row: Row
    steps: tuple[Step, ...] = ()
    locked: frozenset[int] = frozenset()
    form: Form | None = None
    key: Key | None = None
    melody: Melody | None = None
    alignment: tuple[int | None, ...] | None = None
    seed: int = 1
    note: str = ""


@dataclass(frozen=True, slots=True)
class Chart:
    """A tune. ``references`` holds at least one row; ``reference`` names the one takes are compared with."""

    title: str
    key: Key
    form: Form
    references: tuple[NamedRow, ...]
    takes: tuple[Take, ...] = ()
    melody: Melody = ()
    composer: str = ""
    tempo: int = DEFAULT_TEMPO
    feel: str = "medium swing"
    reference: str = STANDARD
    note: str = field(default="")
    for_class: ClassNotes = NOTHING

    @property
    def meter(self) -> Meter:
        """Metre of the first full bar."""
        return self.form.written[min(1 if self.form.pickup else 0, len(self.form.written) - 1)].meter

    @property
    def standard(self) -> Row:
        """The chosen reference row."""
        return self.reference_named(self.reference).row

    def reference_named(self, name: str) -> NamedRow:
        """A reference row by name; raises :class:`ChartError`."""
        found = next((row for row in self.references if row.name == name), None)
        if found is None:
            raise _unknown("reference row", name, tuple(row.name for row in self.references))
        return found

    def take_named(self, name: str) -> Take:
        """A take by name; raises :class:`ChartError`."""
        found = next((take for take in self.takes if take.name == name), None)
        if found is None:
            raise _unknown("take", name, tuple(take.name for take in self.takes))
        return found

    def form_of(self, take: Take | None) -> Form:
        """The form a take is played on."""
        return self.form if take is None or take.form is None else take.form

    def key_of(self, take: Take | None) -> Key:
        """The key a take is in."""
        return self.key if take is None or take.key is None else take.key

    def melody_of(self, take: Take | None) -> Melody:
        """The melody a take carries: its own, or the chart's, moved bar by bar where the take has its own form."""
        if take is None or (take.melody is None and take.form is None):
            return self.melody
        return aligned_melody(self, take) if take.melody is None else take.melody

    def row_named(self, name: str) -> Row:
        """ "standard" (the chosen reference), another reference row or a take, by name."""
        if name == STANDARD:
            return self.standard
        rows = {take.name: take.row for take in self.takes} | {named.name: named.row for named in self.references}
        if name not in rows:
            raise _unknown("row", name, (STANDARD, *rows))
        return rows[name]


def _unknown(kind: str, name: str, known: tuple[str, ...]) -> ChartError:
    there = ", ".join(repr(other) for other in dict.fromkeys(known)) or "none"
    return ChartError(f"There is no {kind} named {name!r}; the chart has {there}.")


def check_chart(chart: Chart) -> Chart:
    """The chart itself if its rows cover their forms, names are unique and the melody lies inside; else ChartError."""
    names = [row.name for row in chart.references] + [take.name for take in chart.takes]
    if not chart.references or chart.reference not in [row.name for row in chart.references]:
        raise ChartError(f"The chart has no reference row named {chart.reference!r}.")
    for name in names:
        if names.count(name) > 1 or not name.strip():
            raise ChartError(f"Row names must be unique and not empty; {name!r} is not.")
    for name, row, form in _rows_with_forms(chart):
        try:
            check_row(row, form.length)
        except ValueError as error:
            raise ChartError(f"The row {name!r} does not fit the form: {error}.") from error
    _check_melody(chart.melody, chart.form)
    for take in chart.takes:
        _check_places(chart, take)
    if any(not 0 <= bar < len(chart.form.bars) for bar in chart.for_class.bars):
        raise ChartError("What is kept for the class names a bar that is not there.")
    for take in chart.takes:
        _check_melody(take.melody or (), chart.form_of(take))
    return chart


def aligned_melody(chart: Chart, take: Take) -> Melody:
    """The chart's melody over a take's own bars: each bar that answers a bar of the same length takes its notes."""
    form = chart.form_of(take)
    melody: list[Note] = []
    source: Note | None = None
    for bar, answers in zip(form.bars, take.alignment or (), strict=False):
        if answers is None or answers >= len(chart.form.bars) or chart.form.bars[answers].length != bar.length:
            continue
        there = chart.form.bars[answers]
        for note in notes_between(chart.melody, there.start, there.end):
            onset, end = max(note.onset, there.start), min(note.end, there.end)
            moved = Note(onset - there.start + bar.start, end - onset, note.pitch)
            if note is source and melody[-1].end == moved.onset:  # one note tied over a bar line in both forms
                melody[-1] = replace(melody[-1], duration=melody[-1].duration + moved.duration)
            else:
                melody.append(moved)
            source = note
    return tuple(melody)


def _rows_with_forms(chart: Chart) -> list[tuple[str, Row, Form]]:
    rows = [(named.name, named.row, chart.form) for named in chart.references]
    return rows + [(take.name, take.row, chart.form_of(take)) for take in chart.takes]


def _check_places(chart: Chart, take: Take) -> None:
    """Alignment and locks name bars that are there."""
    own, reference = len(chart.form_of(take).bars), len(chart.form.bars)
    if take.alignment is not None and (
        len(take.alignment) != own
        or not all(index is None or (type(index) is int and 0 <= index < reference) for index in take.alignment)
    ):
        raise ChartError(f"The take {take.name!r} is aligned to bars that are not there; give one or none for each.")
    if not all(0 <= index < own for index in take.locked):
        raise ChartError(f"The take {take.name!r} locks a bar that is not there.")


def _check_melody(melody: Melody, form: Form) -> None:
    at = Fraction(0)
    for note in melody:
        if note.onset < at or note.duration <= 0 or note.end > form.length:
            bar = form.bar_at(note.onset).number
            raise ChartError(f"The melody note {note.pitch} in bar {bar} overlaps another or leaves the form.")
        at = note.end


# --- takes and their steps -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class StepState:
    """A step as it stands now: ``edited`` if typed over, ``stale`` if what it replaced is no longer there."""

    step: Step
    edited: bool
    stale: bool


def step_states(chart: Chart, take: Take) -> tuple[StepState, ...]:
    """Replay a take's steps on the reference and compare with the take's row, step by step."""
    form = chart.form_of(take)
    row = chart.standard if take.form is None else take.row
    stale = []
    for step in take.steps:
        stale.append(step.end > form.length or not same_chords(span(row, step.start, step.end), step.before))
        if step.end <= form.length:
            row = splice(row, step.start, step.end, step.after)
    return tuple(
        StepState(
            step,
            not same_chords(span(take.row, step.start, step.end), span(row, step.start, step.end)),
            is_stale,
        )
        for step, is_stale in zip(take.steps, stale, strict=True)
    )


def step_at(take: Take, onset: Fraction) -> Step | None:
    """The newest step whose span covers a time."""
    return next((step for step in reversed(take.steps) if step.start <= onset < step.end), None)


def take_step(take: Take, step: Step) -> Take:
    """The take with a step applied: its row spliced, the step appended."""
    return replace(take, row=splice(take.row, step.start, step.end, step.after), steps=(*take.steps, step))


def changed_bars(chart: Chart, take: Take) -> tuple[int, ...]:
    """Indexes of the take's bars whose chords differ from the reference bar they answer."""
    form = chart.form_of(take)
    changed = []
    for bar in form.bars:
        answers = bar.index if take.alignment is None else take.alignment[bar.index]
        if answers is None or answers >= len(chart.form.bars):
            changed.append(bar.index)
            continue
        reference = chart.form.bars[answers]
        there = [(s.onset - reference.start, s.chord) for s in span(chart.standard, reference.start, reference.end)]
        here = [(s.onset - bar.start, s.chord) for s in span(take.row, bar.start, bar.end)]
        if there != here:
            changed.append(bar.index)
    return tuple(changed)
