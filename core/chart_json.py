"""Charts as JSON: versioned, lossless, one line a bar or slot so that differences can be read.

Times are exact quarter notes as strings ("5/2"); chords are canonical ASCII in function spelling, with what was typed
beside where it differs. To change the format: raise VERSION and add the step from the old one to MIGRATIONS.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from core.chart import Chart, Melody, NamedRow, Note, Step, Take, check_chart
from core.class_json import class_in, class_out
from core.class_notes import NOTHING
from core.form import JUMPS, MARKS, Form, WrittenBar
from core.json_reader import ChartFileError, Reader
from core.key import parse_key
from core.meter import parse_meter
from core.pitch import Pitch, parse_pitch_class
from core.row import Row, Slot, exact
from core.symbol import parse_symbol

FORMAT = "changewright chart"
VERSION = 2
DAMAGED = "it is damaged; open a copy of it"
MIGRATIONS: dict[int, Callable[[dict[str, Any]], dict[str, Any]]] = {
    1: lambda document: document,  # 2 adds "class", which may be missing
}
"""Version n → function that turns a document of version n into one of version n + 1."""


# --- chart to JSON -------------------------------------------------------------------------------------------------


def chart_to_json(chart: Chart) -> str:
    """The chart as JSON text, ending in a newline; the same chart always gives the same text."""
    document: dict[str, Any] = {
        "format": FORMAT,
        "version": VERSION,
        "title": chart.title,
        "composer": chart.composer,
        "key": str(chart.key),
        "tempo": chart.tempo,
        "feel": chart.feel,
        "note": chart.note,
        "form": _form_out(chart.form),
        "melody": _melody_out(chart.melody),
        "reference": chart.reference,
        "references": [{"name": named.name, "row": _row_out(named.row)} for named in chart.references],
        "takes": [_take_out(take) for take in chart.takes],
    }
    if chart.for_class != NOTHING:
        document["class"] = class_out(chart.for_class)
    return _layout(document, 0) + "\n"


def _layout(value: Any, depth: int) -> str:
    """JSON with objects and lists of objects broken into lines, and small lists kept on one line."""
    pad = " " * (depth + 1)
    if isinstance(value, dict) and value and any(isinstance(item, dict | list) and item for item in value.values()):
        inner = [f"{pad}{json.dumps(key)}: {_layout(item, depth + 1)}" for key, item in value.items()]
        return "{\n" + ",\n".join(inner) + "\n" + pad[:-1] + "}"
    if isinstance(value, list) and value and any(isinstance(item, dict | list) for item in value):
        return "[\n" + ",\n".join(pad + _layout(item, depth + 1) for item in value) + "\n" + pad[:-1] + "]"
    return json.dumps(value, ensure_ascii=False)


def _row_out(row: Row) -> list[list[str]]:
    rows = []
    for slot in row:
        cells = [str(slot.onset), str(slot.duration), slot.chord.canonical if slot.chord else "N.C."]
        if slot.typed is not None or slot.optional:
            cells.append(slot.typed or "")
        rows.append([*cells, "optional"] if slot.optional else cells)
    return rows


def _melody_out(melody: Melody) -> list[list[str]]:
    return [[str(note.onset), str(note.duration), str(note.pitch)] for note in melody]


def _form_out(form: Form) -> dict[str, Any]:
    written = []
    for bar in form.written:
        cell: dict[str, Any] = {"number": bar.number, "meter": str(bar.meter)}
        optional = {"length": str(bar.length) if bar.length != bar.meter.length else None, "section": bar.section,
                    "key": str(bar.key) if bar.key else None, "repeat_start": bar.repeat_start or None,
                    "repeat_end": bar.repeat_end or None, "endings": list(bar.endings) or None,
                    "marks": list(bar.marks) or None, "jump": bar.jump}  # fmt: skip
        cell.update({name: value for name, value in optional.items() if value is not None})
        written.append(json.loads(json.dumps(cell)))
    return {"pickup": form.pickup, "order": list(form.order), "written": written}


def _take_out(take: Take) -> dict[str, Any]:
    cell: dict[str, Any] = {"name": take.name, "seed": take.seed, "note": take.note, "locked": sorted(take.locked)}
    cell["steps"] = [
        {"technique": step.technique, "start": str(step.start), "end": str(step.end), "note": step.note,
         "before": _row_out(step.before), "after": _row_out(step.after)}
        for step in take.steps
    ]  # fmt: skip
    cell["row"] = _row_out(take.row)
    if take.form is not None:
        cell["form"] = _form_out(take.form)
    if take.key is not None:
        cell["key"] = str(take.key)
    if take.melody is not None:
        cell["melody"] = _melody_out(take.melody)
    if take.alignment is not None:
        cell["alignment"] = list(take.alignment)
    return cell


# --- JSON to chart -------------------------------------------------------------------------------------------------


def chart_from_json(text: str) -> Chart:
    """Read a chart; raises :class:`ChartFileError` (where and what) for damaged or newer documents."""
    try:
        document = json.loads(text)
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, column {error.colno}"
        raise ChartFileError(place, f"this is not JSON ({error.msg})", DAMAGED) from error
    except RecursionError as error:
        raise ChartFileError("", "This is nested too deeply to be a chart", DAMAGED) from error
    top = Reader(_migrated(document), "")
    references = tuple(NamedRow(cell.text("name"), _row_in(cell.items("row"))) for cell in top.items("references"))
    chart = Chart(
        title=top.text("title"),
        key=top.get("key", str).parsed(parse_key),
        form=_form_in(top.get("form", dict)),
        references=references,
        takes=tuple(_take_in(cell) for cell in top.items("takes", [])),
        melody=_melody_in(top.items("melody", [])),
        composer=top.text("composer", ""),
        tempo=top.get("tempo", int).value,
        feel=top.text("feel", "medium swing"),
        reference=top.text("reference"),
        note=top.text("note", ""),
        for_class=class_in(top.get("class", dict, {})),
    )
    return check_chart(chart)


def _migrated(document: Any) -> Any:
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise ChartFileError("", f"This is JSON but not a chart (its 'format' is not {FORMAT!r})", "open a chart")
    version = document.get("version")
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise ChartFileError("version", f"expected a whole number from 1, found {version!r}")
    if version > VERSION:
        problem = f"this chart was saved by a newer program (format {version}, this program reads up to {VERSION})"
        raise ChartFileError("version", problem, "update the program; the file is untouched")
    for step in range(version, VERSION):
        document = MIGRATIONS[step](document)
    return document


def _row_in(cells: list[Reader]) -> Row:
    return tuple(_slot_in(cell) for cell in cells)


def _slot_in(cell: Reader) -> Slot:
    texts = cell.value
    if not isinstance(texts, list) or not 3 <= len(texts) <= 5 or not all(isinstance(text, str) for text in texts):
        raise cell.fail("a slot is [onset, duration, chord] with what was typed and 'optional' after it where needed")
    chord = Reader(texts[2], cell.path).parsed(parse_symbol)
    typed = texts[3] if len(texts) > 3 and texts[3] else None
    onset, duration = (Reader(text, cell.path).parsed(exact) for text in texts[:2])
    return Slot(onset, duration, chord, typed, len(texts) == 5)


def _melody_in(cells: list[Reader]) -> Melody:
    notes = []
    for cell in cells:
        if not isinstance(cell.value, list) or len(cell.value) != 3:
            raise cell.fail("a melody note is [onset, duration, pitch]")
        onset, duration, pitch = (Reader(text, cell.path) for text in cell.value)
        notes.append(Note(onset.parsed(exact), duration.parsed(exact), pitch.parsed(parse_pitch)))
    return tuple(notes)


def parse_pitch(text: str) -> Pitch:
    """``parse_pitch('Bb4')``; raises ValueError or PitchError."""
    name = text.rstrip("-0123456789")
    return Pitch(parse_pitch_class(name), int(text[len(name) :]))


def _form_in(cell: Reader) -> Form:
    written = tuple(_written_in(bar) for bar in cell.items("written"))
    order = cell.get("order", list)
    if not order.value or not all(type(index) is int and 0 <= index < len(written) for index in order.value):
        raise order.fail("the played order is a list of written bars, counted from 0, and not empty")
    return Form(written, tuple(order.value), bool(cell.get("pickup", bool, False).value))


def _written_in(cell: Reader) -> WrittenBar:
    meter = cell.get("meter", str).parsed(parse_meter)
    length = cell.get("length", str, str(meter.length)).parsed(exact)
    if length <= 0:
        raise cell.fail("a bar has a length above 0")
    endings = cell.get("endings", list, []).value
    marks = cell.get("marks", list, []).value
    jump = cell.get("jump", str, "").value or None
    if not all(type(number) is int for number in endings) or not set(marks) <= set(MARKS) or jump not in (None, *JUMPS):
        raise cell.fail(f"endings are whole numbers, marks are of {MARKS} and jumps of {JUMPS}")
    key = cell.get("key", str).parsed(parse_key) if "key" in cell.value else None
    section = cell.text("section") if "section" in cell.value else None
    return WrittenBar(cell.text("number"), meter, length, section, key,
                      bool(cell.get("repeat_start", bool, False).value), cell.get("repeat_end", int, 0).value,
                      tuple(endings), tuple(marks), jump)  # fmt: skip


def _take_in(cell: Reader) -> Take:
    steps = tuple(
        Step(step.text("technique"), step.get("start", str).parsed(exact), step.get("end", str).parsed(exact),
             _row_in(step.items("before")), _row_in(step.items("after")), step.text("note", ""))
        for step in cell.items("steps", [])
    )  # fmt: skip
    has = cell.value.keys()
    alignment = cell.get("alignment", list).value if "alignment" in has else None
    locked = cell.get("locked", list, [])
    if not all(type(index) is int for index in locked.value):
        raise locked.fail("locked bars are whole numbers")
    return Take(
        name=cell.text("name"),
        row=_row_in(cell.items("row")),
        steps=steps,
        locked=frozenset(locked.value),
        form=_form_in(cell.get("form", dict)) if "form" in has else None,
        key=cell.get("key", str).parsed(parse_key) if "key" in has else None,
        melody=_melody_in(cell.items("melody")) if "melody" in has else None,
        alignment=None if alignment is None else tuple(alignment),
        seed=cell.get("seed", int, 1).value,
        note=cell.text("note", ""),
    )
