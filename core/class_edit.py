"""Edits of what is kept for a class: chart in, new chart out, as all edits are."""

from __future__ import annotations

from dataclasses import replace

from core.chart import Chart, ChartError, check_chart
from core.class_notes import LONGEST_TEXT, Assignment, BarNote, ClassNotes, PreparedStep


def _with(chart: Chart, kept: ClassNotes) -> Chart:
    return check_chart(replace(chart, for_class=kept))


def _short(text: str) -> str:
    text = " ".join(text.split())
    if len(text) > LONGEST_TEXT:
        raise ChartError(f"These are {len(text)} letters; a note has at most {LONGEST_TEXT}.")
    return text


def set_bar_note(chart: Chart, bar: int, text: str) -> Chart:
    """Write words on a bar; empty words take the note away. Raises ChartError for more than 400 letters."""
    words = _short(text)
    others = [note for note in chart.for_class.notes if note.bar != bar]
    notes = sorted([*others, BarNote(bar, words)] if words else others, key=lambda note: note.bar)
    return _with(chart, chart.for_class._replace(notes=tuple(notes)))


def add_step(chart: Chart, step: PreparedStep) -> Chart:
    """Prepare a step of a lesson, after those there are."""
    step = step._replace(words=_short(step.words))
    return _with(chart, chart.for_class._replace(steps=(*chart.for_class.steps, step)))


def remove_step(chart: Chart, index: int) -> Chart:
    """Take a prepared step out."""
    steps = chart.for_class.steps
    return _with(chart, chart.for_class._replace(steps=steps[:index] + steps[index + 1 :]))


def move_step(chart: Chart, index: int, by: int) -> Chart:
    """Move a prepared step up or down; it stays where it would leave the list."""
    steps = list(chart.for_class.steps)
    steps.insert(max(0, min(len(steps) - 1, index + by)), steps.pop(index))
    return _with(chart, chart.for_class._replace(steps=tuple(steps)))


def set_taught(chart: Chart, technique: str, taught: bool) -> Chart:
    """Count a technique among those taught so far, or not."""
    known = tuple(one for one in chart.for_class.taught if one != technique)
    return _with(chart, chart.for_class._replace(taught=(*known, technique) if taught else known))


def add_assignment(chart: Chart, assignment: Assignment) -> Chart:
    """Give an assignment."""
    return _with(chart, chart.for_class._replace(assignments=(*chart.for_class.assignments, assignment)))


def remove_assignment(chart: Chart, index: int) -> Chart:
    """Take an assignment back."""
    given = chart.for_class.assignments
    return _with(chart, chart.for_class._replace(assignments=given[:index] + given[index + 1 :]))
