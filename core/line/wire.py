"""A line as plain data and back, for sending it to the process that makes sheets."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from core.line.solo import LineNote, Solo
from core.meter import parse_meter
from core.pitch import Pitch


def solo_to_data(solo: Solo) -> dict[str, Any]:
    """Lists, words and numbers only."""
    return {
        "title": solo.title,
        "meter": str(solo.meter),
        "spelled": solo.spelled,
        "report": list(solo.report),
        "notes": [
            [str(note.onset), str(note.duration), note.pitch.fifths, note.pitch.octave, str(note.played)]
            for note in solo.notes
        ],
    }


def solo_from_data(data: dict[str, Any]) -> Solo:
    """What :func:`solo_to_data` made."""
    notes = tuple(LineNote(Fraction(onset), Fraction(duration), Pitch(fifths, octave), Fraction(played))
                  for onset, duration, fifths, octave, played in data["notes"])  # fmt: skip
    return Solo(data["title"], notes, parse_meter(data["meter"]), tuple(data["report"]), data["spelled"])
