"""Edits of a chart: pure functions, chart in, new chart out. Undo is keeping the old one."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from core.abc_notes import parse_abc_bar
from core.chart import (
    STANDARD,
    TEMPO_RANGE,
    Chart,
    ChartError,
    Melody,
    NamedRow,
    Note,
    Step,
    Take,
    check_chart,
    take_step,
)
from core.form import Form, plain_form
from core.key import Key
from core.meter import Meter
from core.pitch import Pitch
from core.row import ZERO, Row, Slot, later, merged, span, splice


class LockedError(ChartError):
    """An edit touches a bar the user has locked."""

    def __init__(self, number: int, take: str) -> None:
        super().__init__(f"Bar {number} of {take!r} is locked; unlock it first.")


def new_chart(title: str, key: Key, meter: Meter, bars: int, tempo: int = 120, feel: str = "medium swing") -> Chart:
    """An empty chart: N.C. in every bar, one take that agrees with it. Raises ChartError for 0 or over 999 bars."""
    if not 1 <= bars <= 999:
        raise ChartError(f"A tune has 1 to 999 bars, not {bars}.")
    form = plain_form(bars, meter, ((0, "A"),))
    row = tuple(Slot(bar.start, bar.length, None) for bar in form.bars)
    chart = Chart(title, key, form, (NamedRow(STANDARD, row),), tempo=tempo, feel=feel)
    return add_take(chart, "First take")


# --- rows ----------------------------------------------------------------------------------------------------------


def set_bar(chart: Chart, row_name: str, bar_index: int, part: Row, every_pass: bool = False) -> Chart:
    """Put the slots of one bar into a row; ``every_pass`` puts them into all passes of the same written bar.

    A leading slot typed "~" is joined to the chord before it. ``row_name`` is "standard", a reference row or a take.
    Raises :class:`LockedError` when the bar is locked.
    """
    form, row = _form_and_row(chart, row_name)
    here = form.bars[bar_index]
    for index in form.passes_of(bar_index) if every_pass else (bar_index,):
        bar = form.bars[index]
        _refuse_locked(chart, row_name, form, index)
        row = _joined(splice(row, bar.start, bar.end, later(part, bar.start - here.start)))
    return _with_row(chart, row_name, row)


def _joined(row: Row) -> Row:
    result: list[Slot] = []
    for slot in row:
        if slot.typed == "~" and result:
            result[-1] = replace(result[-1], duration=result[-1].duration + slot.duration)
        else:
            result.append(replace(slot, typed=None) if slot.typed == "~" else slot)
    return tuple(result)


def _form_and_row(chart: Chart, row_name: str) -> tuple[Form, Row]:
    take = next((take for take in chart.takes if take.name == row_name), None)
    return chart.form_of(take), chart.row_named(row_name)


def _with_row(chart: Chart, row_name: str, row: Row) -> Chart:
    if any(take.name == row_name for take in chart.takes):
        return _with_take(chart, replace(chart.take_named(row_name), row=row))
    name = chart.reference if row_name == STANDARD else row_name
    references = tuple(replace(named, row=row) if named.name == name else named for named in chart.references)
    return replace(chart, references=references)


def _with_take(chart: Chart, take: Take, name: str | None = None) -> Chart:
    name = name or take.name
    return replace(chart, takes=tuple(take if other.name == name else other for other in chart.takes))


def _refuse_locked(chart: Chart, row_name: str, form: Form, bar_index: int) -> None:
    take = next((take for take in chart.takes if take.name == row_name), None)
    if take and bar_index in take.locked:
        raise LockedError(form.bars[bar_index].number, row_name)


def apply_steps(chart: Chart, take_name: str, steps: tuple[Step, ...]) -> Chart:
    """A proposal taken: its steps applied to the take's row one after another. Raises :class:`LockedError`."""
    take = chart.take_named(take_name)
    form = chart.form_of(take)
    for step in steps:
        for bar in form.bars:
            if bar.start < step.end and step.start < bar.end:
                _refuse_locked(chart, take_name, form, bar.index)
        take = take_step(take, step)
    return _with_take(chart, take)


def set_steps(chart: Chart, take_name: str, start: Fraction, end: Fraction, steps: tuple[Step, ...]) -> Chart:
    """Say how a stretch of a take came about: these steps instead of those that reach into it. No chord changes.

    What a later step does not replace gets the colours that stand in the take, so that the steps replayed are the row.
    """
    take = chart.take_named(take_name)
    kept = tuple(step for step in take.steps if step.end <= start or end <= step.start)
    row = chart.standard if take.form is None else take.row
    told: list[Step] = []
    for index, step in enumerate(steps):
        result = take.row
        for newer in steps[index + 1 :]:
            low, high = max(step.start, newer.start), min(step.end, newer.end)
            if low < high:
                meanwhile = splice(row, step.start, step.end, step.after)
                result = splice(result, low, high, span(meanwhile, low, high))
        after = merged(span(result, step.start, step.end))
        told.append(replace(step, before=merged(span(row, step.start, step.end)), after=after))
        row = splice(row, step.start, step.end, after)
    return _with_take(chart, replace(take, steps=(*kept, *told)))


def restore_bars(chart: Chart, take_name: str, bar_indexes: tuple[int, ...]) -> Chart:
    """Give bars of a take back the reference's chords; steps that reach into them go, since they no longer hold."""
    take = chart.take_named(take_name)
    form = chart.form_of(take)
    for index in bar_indexes:
        _refuse_locked(chart, take_name, form, index)
        bar = form.bars[index]
        answers = index if take.alignment is None else take.alignment[index]
        if answers is None or chart.form.bars[answers].length != bar.length:
            raise ChartError(f"Bar {bar.number} of {take_name!r} answers no bar of the reference row; type its chords.")
        there = chart.form.bars[answers]
        part = later(span(chart.standard, there.start, there.end), bar.start - there.start)
        take = replace(take, row=splice(take.row, bar.start, bar.end, part))
    restored = [form.bars[index] for index in bar_indexes]
    kept = tuple(s for s in take.steps if not any(s.start < bar.end and bar.start < s.end for bar in restored))
    return _with_take(chart, replace(take, steps=kept))


# --- takes and references ------------------------------------------------------------------------------------------


def add_take(chart: Chart, name: str, copy_of: str | None = None) -> Chart:
    """A new take: the reference's chords, or a copy of another take. Raises ChartError for a name in use."""
    take = Take(name, chart.standard) if copy_of is None else replace(chart.take_named(copy_of), name=name)
    return check_chart(replace(chart, takes=(*chart.takes, take)))


def free_name(chart: Chart, stem: str) -> str:
    """A row name not in use: the stem itself, or with a number after it."""
    used = {named.name for named in chart.references} | {take.name for take in chart.takes} | {STANDARD}
    return next(name for name in (stem, *(f"{stem} {number}" for number in range(2, 10_000))) if name not in used)


def rename_take(chart: Chart, name: str, new_name: str) -> Chart:
    """Rename a take; raises ChartError for a name in use or empty."""
    return check_chart(_with_take(chart, replace(chart.take_named(name), name=new_name.strip()), name))


def remove_take(chart: Chart, name: str) -> Chart:
    """Remove a take."""
    chart.take_named(name)
    return replace(chart, takes=tuple(take for take in chart.takes if take.name != name))


def set_seed(chart: Chart, take_name: str, seed: int) -> Chart:
    """Have the band play a take otherwise: the seed draws its rhythms, lines and small changes."""
    return _with_take(chart, replace(chart.take_named(take_name), seed=seed))


def toggle_lock(chart: Chart, take_name: str, bar_indexes: tuple[int, ...]) -> Chart:
    """Lock bars of a take, or unlock them if all of them are locked."""
    take = chart.take_named(take_name)
    chosen = frozenset(bar_indexes)
    return _with_take(
        chart, replace(take, locked=take.locked - chosen if chosen <= take.locked else take.locked | chosen)
    )


def set_step_note(chart: Chart, take_name: str, step_index: int, note: str) -> Chart:
    """Put the user's own explanation beside a step."""
    take = chart.take_named(take_name)
    steps = list(take.steps)
    steps[step_index] = replace(steps[step_index], note=note)
    return _with_take(chart, replace(take, steps=tuple(steps)))


def add_reference(chart: Chart, name: str, row: Row | None = None) -> Chart:
    """A further reference row, a copy of the chosen one unless its slots are given."""
    return check_chart(replace(chart, references=(*chart.references, NamedRow(name, row or chart.standard))))


def choose_reference(chart: Chart, name: str) -> Chart:
    """Compare takes with another reference row."""
    return replace(chart, reference=chart.reference_named(name).name)


def rename_reference(chart: Chart, name: str, new_name: str) -> Chart:
    """Rename a reference row; raises ChartError for a name in use or empty."""
    renamed = replace(chart.reference_named(name), name=new_name.strip())
    references = tuple(renamed if named.name == name else named for named in chart.references)
    chosen = renamed.name if chart.reference == name else chart.reference
    return check_chart(replace(chart, references=references, reference=chosen))


def remove_reference(chart: Chart, name: str) -> Chart:
    """Remove a reference row; takes are compared with the first of those left if it was the chosen one.

    Raises ChartError for the last one: a chart without a standard has nothing to substitute.
    """
    left = tuple(named for named in chart.references if named is not chart.reference_named(name))
    if not left:
        raise ChartError(f"{name!r} is the only reference row; add another before you remove it.")
    chosen = left[0].name if chart.reference == name else chart.reference
    return replace(chart, references=left, reference=chosen)


# --- header --------------------------------------------------------------------------------------------------------


def set_title(chart: Chart, title: str) -> Chart:
    """Name the tune."""
    return replace(chart, title=title.strip() or "Untitled")


def set_tempo(chart: Chart, tempo: int) -> Chart:
    """Quarter notes a minute; raises ChartError outside :data:`core.chart.TEMPO_RANGE`."""
    low, high = TEMPO_RANGE
    if not low <= tempo <= high:
        raise ChartError(f"The tempo goes from {low} to {high}, not {tempo}.")
    return replace(chart, tempo=tempo)


def set_feel(chart: Chart, feel: str) -> Chart:
    """Words such as "medium swing" or "bossa"."""
    return replace(chart, feel=feel.strip() or "medium swing")


def transposed(chart: Chart, fifths: int, semitones: int) -> Chart:
    """The whole chart moved by a spelled interval; typed texts go, since they name the old chords."""

    def move_row(row: Row) -> Row:
        return tuple(replace(slot, chord=slot.chord and slot.chord.transposed(fifths), typed=None) for slot in row)

    def move_melody(melody: Melody) -> Melody:
        return tuple(replace(note, pitch=note.pitch.transposed(fifths, semitones)) for note in melody)

    def move_form(form: Form) -> Form:
        return replace(form, written=tuple(replace(b, key=b.key and b.key.transposed(fifths)) for b in form.written))

    def move_take(take: Take) -> Take:
        steps = tuple(replace(s, before=move_row(s.before), after=move_row(s.after)) for s in take.steps)
        return replace(take, row=move_row(take.row), steps=steps, form=take.form and move_form(take.form),
                       key=take.key and take.key.transposed(fifths),
                       melody=None if take.melody is None else move_melody(take.melody))  # fmt: skip

    references = tuple(replace(named, row=move_row(named.row)) for named in chart.references)
    return replace(chart, key=chart.key.transposed(fifths), form=move_form(chart.form), references=references,
                   takes=tuple(move_take(take) for take in chart.takes), melody=move_melody(chart.melody))  # fmt: skip


# --- melody --------------------------------------------------------------------------------------------------------


def set_melody(chart: Chart, melody: Melody, take_name: str | None = None) -> Chart:
    """Give the chart, or one take, a melody; raises ChartError when notes overlap or leave the form."""
    if take_name is None:
        return check_chart(replace(chart, melody=melody))
    return check_chart(_with_take(chart, replace(chart.take_named(take_name), melody=melody)))


def set_melody_bar(chart: Chart, bar_index: int, text: str) -> Chart:
    """Type the melody of one bar in ABC notes; raises :class:`core.abc_notes.MelodyTextError`.

    A tie at the end of the text reaches into the next bar's first note if it has the same pitch.
    """
    bar = chart.form.bars[bar_index]
    notes, tied = parse_abc_bar(text, bar, chart.form.key_at(bar_index, chart.key))
    melody = list(cleared(chart.melody, bar.start, bar.end)) + list(notes)
    melody.sort(key=lambda note: note.onset)
    following = next((note for note in melody if note.onset == bar.end), None)
    if tied and notes and following and following.pitch.midi == notes[-1].pitch.midi:
        melody[melody.index(notes[-1])] = replace(notes[-1], duration=notes[-1].duration + following.duration)
        melody.remove(following)
    return set_melody(chart, tuple(melody))


def cleared(melody: Melody, start: Fraction, end: Fraction) -> Melody:
    """The melody with a stretch of time made silent; notes that reach into it are cut."""
    kept: list[Note] = []
    for note in melody:
        if note.end <= start or note.onset >= end:
            kept.append(note)
            continue
        if note.onset < start:
            kept.append(replace(note, duration=start - note.onset))
        if note.end > end:
            kept.append(Note(end, note.end - end, note.pitch))
    return tuple(kept)


def put_note(melody: Melody, onset: Fraction, duration: Fraction, pitch: Pitch) -> Melody:
    """The melody with a note written over whatever sounded there."""
    note = Note(max(onset, ZERO), duration, pitch)
    return tuple(sorted((*cleared(melody, note.onset, note.end), note), key=lambda other: other.onset))


def remove_note(melody: Melody, index: int) -> Melody:
    """The melody without one note; a rest stays in its place."""
    return melody[:index] + melody[index + 1 :]


def repitch_note(melody: Melody, index: int, pitch: Pitch) -> Melody:
    """The melody with one note's pitch changed."""
    return (*melody[:index], replace(melody[index], pitch=pitch), *melody[index + 1 :])


def lengthen_note(melody: Melody, index: int, duration: Fraction) -> Melody:
    """The melody with one note's duration changed; what it runs into is cut."""
    note = melody[index]
    return put_note(remove_note(melody, index), note.onset, duration, note.pitch)
