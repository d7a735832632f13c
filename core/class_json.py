"""What is kept for a class, in and out of JSON."""

from __future__ import annotations

from typing import Any

from core.class_notes import SHOWN_ROWS, Assignment, BarNote, ClassNotes, PreparedStep
from core.json_reader import Reader


def class_out(kept: ClassNotes) -> dict[str, Any]:
    """An object with only what there is."""
    cell: dict[str, Any] = {}
    if kept.notes:
        cell["notes"] = [[note.bar, note.text] for note in kept.notes]
    if kept.steps:
        cell["steps"] = [
            {"words": step.words, "first": step.first, "last": step.last, "row": step.row} for step in kept.steps
        ]
    if kept.taught:
        cell["taught"] = list(kept.taught)
    if kept.assignments:
        cell["assignments"] = [_assignment_out(assignment) for assignment in kept.assignments]
    return cell


def _assignment_out(assignment: Assignment) -> dict[str, Any]:
    cell: dict[str, Any] = {"wants": [list(want) for want in assignment.wants], "keep": list(assignment.keep)}
    optional = {"least": assignment.least, "most": assignment.most, "clean": assignment.clean}
    return cell | {name: value for name, value in optional.items() if value}


def class_in(cell: Reader) -> ClassNotes:
    """Read it; raises :class:`core.json_reader.ChartFileError`."""
    return ClassNotes(
        notes=tuple(_note_in(note) for note in cell.items("notes", [])),
        steps=tuple(_step_in(step) for step in cell.items("steps", [])),
        taught=tuple(_text(name) for name in cell.items("taught", [])),
        assignments=tuple(_assignment_in(assignment) for assignment in cell.items("assignments", [])),
    )


def _note_in(cell: Reader) -> BarNote:
    bar, text = _pair(cell, (int, str), "a note is [bar, text]")
    return BarNote(bar, text)


def _step_in(cell: Reader) -> PreparedStep:
    row = cell.text("row", "take")
    first, last = cell.get("first", int).value, cell.get("last", int).value
    if row not in SHOWN_ROWS or first > last:
        raise cell.fail("a step shows the standard or the take, and its last bar is not before its first")
    return PreparedStep(cell.text("words"), first, last, row)


def _assignment_in(cell: Reader) -> Assignment:
    wants = tuple(_want_in(want) for want in cell.items("wants", []))
    keep = cell.get("keep", list, [])
    if not all(type(bar) is int for bar in keep.value):
        raise keep.fail("bars to keep are whole numbers")
    return Assignment(wants, tuple(keep.value), cell.get("least", int, 0).value, cell.get("most", int, 0).value,
                      cell.get("clean", bool, False).value)  # fmt: skip


def _want_in(cell: Reader) -> tuple[str, int]:
    technique, count = _pair(cell, (str, int), "a wish is [technique, how many]")
    return technique, count


def _pair(cell: Reader, kinds: tuple[type, type], expected: str) -> tuple[Any, Any]:
    value = cell.value
    if (
        not isinstance(value, list)
        or len(value) != 2
        or any(type(v) is not k for v, k in zip(value, kinds, strict=True))
    ):
        raise cell.fail(expected)
    return value[0], value[1]


def _text(cell: Reader) -> str:
    if not isinstance(cell.value, str):
        raise cell.fail(f"expected text, found {cell.value!r:.40}")
    return cell.value
