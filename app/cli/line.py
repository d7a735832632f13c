"""``changewright line FILE --solo SOLO``: a single-note line read against the chords of a row."""

from __future__ import annotations

import argparse
import re
import sys
from pathlib import Path
from typing import Any

from app.cli import UsageError, document
from app.cli.line_words import print_against, print_fingering, print_reading
from app.cli.reading import read_chart
from core.chart import STANDARD, Chart
from core.errors import FileError
from core.files import ending_of, save_chart
from core.hands.fretboard import Fretboard, parse_tuning
from core.line.analysis import LineReading, read_line
from core.line.compare import BarDifference, disagreements, follows
from core.line.exercises import EXERCISE_BARS, Exercise, exercise_chart, exercises
from core.line.files import better_place, read_solo
from core.line.fingering import Fingering, finger_line
from core.line.lesson import lesson_chart
from core.line.limits import DEFINITIONS, TITLES, USUAL
from core.line.scene import Feature
from core.line.solo import Place, Solo, solo_of_melody
from core.line.summary import counted, sentences
from core.pitch import name_of, pretty_name, with_signs

SHEETS = (".pdf", ".svg", ".png")


def add_to(commands: Any) -> None:
    """Add the command's words."""
    parser = commands.add_parser("line", help="a single-note line read against a row, or lines to practise")
    parser.add_argument("file", help="a chart, or - for stdin")
    parser.add_argument("--solo", metavar="SOLO", help="the line: MusicXML, ABC, MIDI, bar text; the tune if not given")
    parser.add_argument("--row", metavar="R", default=STANDARD, help="standard, another reference row or a take")
    parser.add_argument("--against", metavar="R", help="a second row, to see where the two readings disagree")
    parser.add_argument("--at", metavar="BAR", type=int, help="the bar on which the line's first full bar stands")
    parser.add_argument("--only", metavar="SHAPES", help="shapes to list, with commas between: "
                        + ", ".join(TITLES))  # fmt: skip
    parser.add_argument(
        "--suggest", metavar="BAR", type=int, help=f"guide-tone and target lines for {EXERCISE_BARS} bars"
    )
    parser.add_argument("--definitions", action="store_true", help="what each shape means, with its limits")
    parser.add_argument("--sheet", metavar="OUT", help="write a lesson sheet as .pdf, .svg or .png")
    parser.add_argument("--chart", metavar="OUT", help="write the line over its chords as a chart of its own, to play")
    parser.add_argument("--guitar", metavar="TUNING", nargs="?", const="standard", help="string, fret and finger of "
                        "every note; a tuning by name or as notes")  # fmt: skip
    parser.add_argument("--at-fret", metavar="N=S:F", action="append", default=[],
                        help="note N is played on string S (1 the highest) at fret F")  # fmt: skip
    parser.add_argument("--json", action="store_true", help="one JSON document")
    parser.set_defaults(command=run)


def run(arguments: argparse.Namespace) -> int:
    """Read the line, and print."""
    only = _only(arguments.only)
    chart = read_chart(arguments.file)
    if arguments.suggest is not None:
        _suggest(chart, arguments)
        return 0
    solo = read_solo(arguments.solo) if arguments.solo else _tune(chart)
    reading = read_line(solo, chart, arguments.row, arguments.at)
    other = read_line(solo, chart, arguments.against, arguments.at) if arguments.against else None
    fingering = _fingering(solo, arguments)
    hint = better_place(solo, chart, arguments.row, arguments.at)
    notes = (*reading.notes, *((hint,) if hint else ()))
    if arguments.chart:
        save_chart(lesson_chart(reading, chart, other), arguments.chart)
    if arguments.sheet:
        _sheet(reading, chart, other, only if arguments.only else None, arguments.sheet, fingering=fingering)
    if arguments.json:
        document.write(_document(chart, reading, other, notes, only) | _touches(fingering))
        return 0
    for note in notes:
        print(f"note: {note}", file=sys.stderr)
    print_reading(chart, reading, only)
    if fingering is not None:
        print_fingering(reading, fingering)
    if other is not None:
        print_against(chart, reading, other)
    if arguments.definitions:
        for one in DEFINITIONS:
            print(f"{one.title}: {one.says}.")
    return 0


def _only(words: str | None) -> frozenset[str]:
    chosen = frozenset(word.strip() for word in (words or "").split(",") if word.strip())
    unknown = sorted(chosen - set(TITLES))
    if unknown:
        raise UsageError(f"there is no shape {unknown[0]!r}; choose from {', '.join(TITLES)}")
    return chosen or frozenset(TITLES)


def _sheet(reading: LineReading, chart: Chart, other: LineReading | None, only: frozenset[str] | None, target: str,
           title: str = "", fingering: Fingering | None = None) -> None:  # fmt: skip
    if ending_of(target) not in SHEETS:
        raise FileError(target, f"has the ending {ending_of(target) or 'none'!r}", "write one of " + ", ".join(SHEETS))
    from app.sheet.files import make_ready, write_pages
    from app.sheet.pages import pages_of
    from core.sheet.lesson import lesson_sheet

    make_ready()
    shown = frozenset(USUAL) if only is None else only - {"phrase"}
    write_pages(
        pages_of(lesson_sheet(reading, chart, shown, other=other, title=title, fingering=fingering)),
        Path(target),
        f"{reading.solo.title}, line",
    )


def _fingering(solo: Solo, arguments: argparse.Namespace) -> Fingering | None:
    fixed = dict(map(_fixed, arguments.at_fret))
    if arguments.guitar is None:
        if fixed:
            raise UsageError("--at-fret is for fretted instruments; give --guitar too")
        return None
    if fixed and max(fixed) >= len(solo.notes):
        raise UsageError(f"--at-fret names note {max(fixed) + 1}, and the line has {len(solo.notes)}")
    return finger_line(solo.notes, Fretboard(parse_tuning(arguments.guitar)), fixed)


def _fixed(text: str) -> tuple[int, tuple[int, int]]:
    match = re.fullmatch(r"(\d{1,5})=(\d{1,2}):(\d{1,2})", text)
    if match is None or match[1] == "0":
        raise UsageError(f"--at-fret takes note=string:fret, like 5=2:7, not {text!r}")
    return int(match[1]) - 1, (int(match[2]), int(match[3]))


def _touches(fingering: Fingering | None) -> document.Document:
    if fingering is None:
        return {}
    shifts = set(fingering.shifts)
    return {"fingering": [{**touch._asdict(), "shift": index in shifts}
                          for index, touch in enumerate(fingering.touches)]}  # fmt: skip


def _tune(chart: Chart) -> Solo:
    return solo_of_melody(chart.title, chart.melody, chart.form)


# --- JSON -------------------------------------------------------------------------------------------------------------


def _document(chart: Chart, reading: LineReading, other: LineReading | None, notes: tuple[str, ...],
              only: frozenset[str]) -> document.Document:  # fmt: skip
    found: document.Document = {
        "title": chart.title,
        "solo": reading.solo.title,
        "row": reading.row_name,
        "report": list(notes),
        "summary": list(sentences(reading)),
        "notes": [_note(reading, index) for index in range(len(reading.heard))],
        "features": [_feature(reading, one) for one in reading.features if one.id in only],
        "definitions": {one.id: one.says for one in DEFINITIONS if one.id in only},
    }
    if other is not None:
        found["against"] = {
            "row": other.row_name,
            "summary": [follows(reading, other), *sentences(other)],
            "notes": [_note(other, index) for index in range(len(other.heard))],
            "bars": [_difference(bar) for bar in disagreements(reading, other)],
        }
    return found


def _place(place: Place) -> document.Document:
    return {"chorus": place.chorus, "bar": place.bar.number, "printed": place.bar.printed, "beat": str(1 + place.beat)}


def _note(reading: LineReading, index: int) -> document.Document:
    heard = reading.heard[index]
    return {
        **_place(reading.place(index)),
        "duration": str(heard.note.duration),
        "played": str(heard.note.played),
        "midi": heard.midi,
        "pitch": str(heard.note.pitch),
        "chord": None if heard.chord is None else heard.chord.canonical,
        "next_chord": heard.anticipates,
        "degree": None if heard.degree is None else str(heard.degree),
        "kind": reading.kinds[index],
    }


def _feature(reading: LineReading, one: Feature) -> document.Document:
    return {
        "feature": one.id,
        "first": one.first,
        "last": one.last,
        "start": _place(reading.place(one.first)),
        "end": _place(reading.place(one.last)),
        "detail": one.detail,
        "group": one.of or None,
    }


def _difference(bar: BarDifference) -> document.Document:
    return {"chorus": bar.place.chorus, "bar": bar.place.bar.number, "notes": list(bar.notes), "count": bar.count,
            "fits_row": bar.fits_one, "fits_against": bar.fits_other}  # fmt: skip


# --- lines to practise ------------------------------------------------------------------------------------------------


def _suggest(chart: Chart, arguments: argparse.Namespace) -> None:
    found = exercises(chart, arguments.row, arguments.suggest)
    small = exercise_chart(chart, arguments.row, arguments.suggest, found)
    if arguments.chart:
        save_chart(small, arguments.chart)
    if arguments.sheet:
        _sheet(
            read_line(_tune(small), small),
            small,
            None,
            frozenset({"guide_tone", "enclosure"}),
            arguments.sheet,
            small.title,
        )
    if arguments.json:
        document.write({"title": chart.title, "row": arguments.row, "exercises": [_exercise(one) for one in found]})
        return
    print(f"{counted(len(found), 'line')} to practise over {arguments.row} of {chart.title}")
    for one in found:
        print(f"{one.title}: {one.says}")
        pieces = []
        for note, degree in zip(one.notes, one.degrees, strict=True):
            pieces.append(f"{pretty_name(note.pitch.fifths)}{note.pitch.octave} ({with_signs(str(degree))})")
        print(f"        {'  '.join(pieces)}")


def _exercise(one: Exercise) -> document.Document:
    return {
        "kind": one.kind,
        "title": one.title,
        "says": one.says,
        "notes": [
            {"onset": str(note.onset - one.start), "duration": str(note.duration), "midi": note.pitch.midi,
             "pitch": f"{name_of(note.pitch.fifths)}{note.pitch.octave}", "degree": str(degree)}
            for note, degree in zip(one.notes, one.degrees, strict=True)
        ],
    }  # fmt: skip
