"""JSON documents of the command line, in its conventions.

Bars are played bars counted from 1 (a pickup is bar 0) with ``printed`` beside; beats are quarter notes from 1 as
exact strings; ends are exclusive; a slot is ``{bar, printed, beat, duration, chord, typed}`` with ``chord`` in
canonical ASCII function spelling, null for N.C.
"""

from __future__ import annotations

import json
import sys
from fractions import Fraction
from typing import Any

from core.chart import Step
from core.finding import Check, Finding
from core.form import Form
from core.row import Row, Slot

Document = dict[str, Any]


def place(form: Form, onset: Fraction) -> Document:
    """A time as bar and beat; the end of the form is beat 1 of the bar after the last."""
    if onset >= form.length:
        last = form.bars[-1]
        return {"bar": last.number + 1, "printed": None, "beat": str(1 + onset - form.length)}
    bar = form.bar_at(onset)
    return {"bar": bar.number, "printed": bar.printed, "beat": str(1 + onset - bar.start)}


def span_of(form: Form, start: Fraction, end: Fraction) -> Document:
    """A stretch of time, its end exclusive."""
    return {"start": place(form, start), "end": place(form, end)}


def slot(form: Form, chord_slot: Slot) -> Document:
    """One chord slot."""
    chord = chord_slot.chord.canonical if chord_slot.chord else None
    return {
        **place(form, chord_slot.onset),
        "duration": str(chord_slot.duration),
        "chord": chord,
        "typed": chord_slot.text,
    }


def slots(form: Form, row: Row) -> list[Document]:
    """A row or a part of one."""
    return [slot(form, chord_slot) for chord_slot in row]


def finding(form: Form, found: Finding) -> Document:
    """A finding with whatever it was computed from."""
    return {"check": found.check, "verdict": found.verdict, "where": place(form, found.where), "text": found.text,
            **dict(found.numbers)}  # fmt: skip


def check(form: Form, checked: Check) -> Document:
    """A check with all its findings."""
    return {"verdict": checked.verdict, "summary": checked.summary,
            "findings": [finding(form, found) for found in checked.findings]}  # fmt: skip


def checks(form: Form, three: tuple[Check, Check, Check]) -> Document:
    """Melody, voice leading and function by name."""
    return {checked.name: check(form, checked) for checked in three}


def step(form: Form, taken: Step) -> Document:
    """One application of a technique."""
    return {"technique": taken.technique, "span": span_of(form, taken.start, taken.end),
            "before": slots(form, taken.before), "after": slots(form, taken.after)}  # fmt: skip


def write(document: Document) -> None:
    """Print a document on stdout."""
    json.dump(document, sys.stdout, ensure_ascii=False, indent=1)
    sys.stdout.write("\n")
