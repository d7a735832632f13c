"""A line as it was played, and its place over the choruses of a form."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from core.chart import Chart, Melody
from core.chord import Chord
from core.errors import ChangewrightError
from core.form import Bar, Form
from core.meter import Meter
from core.pitch import Pitch
from core.row import ZERO, Row, span

MAX_NOTES = 20_000
MAX_CHORUSES = 200


class LineError(ChangewrightError):
    """A line that cannot be laid over a form."""

    remedy = "mend that and read it again"


@dataclass(frozen=True, slots=True)
class LineNote:
    """A note of a line: written onset and duration in quarter notes from its first bar line, and the played onset."""

    onset: Fraction
    duration: Fraction
    pitch: Pitch
    played: Fraction
    end: Fraction = field(init=False, compare=False, repr=False)
    """Exclusive end; kept, since every search asks for it."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "end", self.onset + self.duration)


@dataclass(frozen=True, slots=True)
class Solo:
    """A line: notes one after another (an onset below zero is a pickup), its metre, and what was guessed.

    ``spelled`` is whether its source names the notes; a played line is spelled by the chords it is read against.
    """

    title: str
    notes: tuple[LineNote, ...]
    meter: Meter
    report: tuple[str, ...] = ()
    spelled: bool = True


@dataclass(frozen=True, slots=True)
class Place:
    """Where a time of a line lies: chorus from 1 (0: pickup before the first), the form's bar, beats from 0."""

    chorus: int
    bar: Bar
    beat: Fraction

    def __str__(self) -> str:
        return f"bar {self.bar.number}"


@dataclass(frozen=True, slots=True)
class Span:
    """A chord (None: N.C.) from start to end in the time of the line."""

    start: Fraction
    end: Fraction
    chord: Chord | None


@dataclass(frozen=True, slots=True)
class Choruses:
    """A form gone round as often as a line needs: time 0 is the first full bar of the form, ``origin`` the line's."""

    form: Form
    origin: Fraction

    @property
    def pickup(self) -> Fraction:
        """Quarter notes before the first full bar."""
        return self.form.bars[0].length if self.form.pickup else ZERO

    @property
    def cycle(self) -> Fraction:
        """Quarter notes of a chorus."""
        return self.form.length - self.pickup

    def place(self, at: Fraction) -> Place:
        """Chorus, bar and beat of a line's time."""
        time = at + self.origin
        chorus, inside = divmod(time, self.cycle)
        form_time = self.pickup + inside
        if chorus < 0 and -time <= self.pickup:
            form_time = self.pickup + time
        bar = self.form.bar_at(form_time)
        return Place(max(0, int(chorus) + 1), bar, form_time - bar.start)

    def spans(self, row: Row, start: Fraction, end: Fraction) -> tuple[Span, ...]:
        """The chords of a row over a stretch of a line and one chord beyond, neighbours that are alike joined."""
        body = span(row, self.pickup, self.form.length)
        first = (start + self.origin) // self.cycle
        last = (end + self.origin) // self.cycle
        found: list[Span] = []
        for chorus in range(int(first), int(last) + 2):
            shift = chorus * self.cycle - self.pickup - self.origin
            for slot in body:
                if slot.end + shift <= start:
                    continue
                if slot.onset + shift > end and found and found[-1].start > end:
                    return tuple(found)
                piece = Span(slot.onset + shift, slot.end + shift, slot.chord)
                if found and found[-1].chord == piece.chord:
                    piece = Span(found.pop().start, piece.end, piece.chord)
                found.append(piece)
        return tuple(found)


def solo_of_melody(title: str, melody: Melody, form: Form, report: Sequence[str] = ()) -> Solo:
    """A chart's own melody as a line."""
    first = form.bars[0].length if form.pickup else ZERO
    meter = form.written[min(1 if form.pickup else 0, len(form.written) - 1)].meter
    notes = tuple(LineNote(n.onset - first, n.duration, n.pitch, n.onset - first) for n in melody)
    return Solo(title, notes, meter, tuple(report))


def over_form(solo: Solo, form: Form, at_bar: int | None = None) -> Choruses:
    """Lay a line over a form with its first full bar on a bar of it; raises :class:`LineError`."""
    if not solo.notes:
        raise LineError("The line holds no notes; choose a file or a part that has some.")
    if len(solo.notes) > MAX_NOTES:
        raise LineError(f"The line has {len(solo.notes)} notes, and {MAX_NOTES} are the most; cut it into choruses.")
    bars = form.bars[1:] if form.pickup else form.bars
    if not bars:
        raise LineError("The form has no full bar to lay a line over; add bars to the chart.")
    bar = bars[0] if at_bar is None else form.bar_numbered(at_bar)
    pickup = form.bars[0].length if form.pickup else ZERO
    choruses = Choruses(form, bar.start - pickup)
    if (solo.notes[-1].end + choruses.origin) / choruses.cycle > MAX_CHORUSES:
        raise LineError(f"The line lasts more than {MAX_CHORUSES} choruses of the form; read it in parts.")
    return choruses


def fit_notes(solo: Solo, chart: Chart, choruses: Choruses) -> tuple[str, ...]:
    """What does not fit between a line and a form, each a finished sentence that says what was done about it."""
    told = []
    if solo.meter != chart.meter:
        told.append(f"The line is written in {solo.meter} and the tune in {chart.meter}; it is laid over the tune beat "
                    "by beat, so its bar lines are not the tune's.")  # fmt: skip
    early = solo.notes[0].onset
    if early < 0 and not (chart.form.pickup and -early <= choruses.pickup) and choruses.origin == 0:
        told.append("The line begins before the first bar and the tune has no such pickup; the pickup is read over the "
                    "end of the form.")  # fmt: skip
    end = solo.notes[-1].end + choruses.origin
    rounds, rest = divmod(end, choruses.cycle)
    last = choruses.place(solo.notes[-1].onset)
    if rest and choruses.cycle - rest >= chart.meter.length:
        told.append(f"The line ends in bar {last.bar.number} of chorus {max(1, last.chorus)}, before the form is over.")
    elif rounds + bool(rest) > 1:
        told.append(f"The line goes round the form {int(rounds + bool(rest))} times.")
    return tuple(told)
