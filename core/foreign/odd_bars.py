"""Bars longer or shorter than their metre: kept as they are, or made to fit where the user wishes it."""

from __future__ import annotations

from dataclasses import replace

from core.foreign.events import RawNote
from core.foreign.report import Report
from core.foreign.score import Choices, Option, Question, asked
from core.foreign.score_form import odd_bars
from core.form import Form

_OPTIONS = (Option("keep", "keep their lengths"), Option("metre", "make all as long as the metre says"))


def bars_question(form: Form, choices: Choices) -> Question | None:
    """Asked where a bar beside the pickup differs from its metre."""
    return asked(choices, "bars", _OPTIONS, "keep") if odd_bars(form.written, form.pickup) else None


def to_metre(form: Form) -> Form:
    """The form with every bar but the pickup as long as its metre."""
    odd = set(odd_bars(form.written, form.pickup))
    written = tuple(replace(bar, length=bar.meter.length) if at in odd else bar for at, bar in enumerate(form.written))
    return Form(written, form.order, form.pickup)


def fitted(lines: list[list[RawNote]], form: Form, report: Report) -> list[list[RawNote]]:
    """The notes of each written bar inside its length; what reaches beyond is cut, and said."""
    result = []
    for at, notes in enumerate(lines):
        length = form.written[at].length if at < len(form.written) else None
        kept = []
        for note in notes:
            if length is None or note.onset + note.duration <= length:
                kept.append(note)
                continue
            report.add("notes beyond the end of the bar are cut", at)
            if note.onset < length:
                kept.append(replace(note, duration=length - note.onset, tie_start=False))
        result.append(kept)
    return result
