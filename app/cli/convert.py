"""``changewright convert IN OUT``: from any format we read to any we write, chosen by the file's ending."""

from __future__ import annotations

import argparse
import difflib
import re
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.cli import UsageError
from app.cli.reading import read_chart
from core.bar_text import chart_to_bar_text
from core.chart import STANDARD, Chart, NamedRow
from core.edit import set_feel, set_tempo, set_title
from core.errors import ChangewrightError, FileError
from core.files import OWN_ENDING, ending_of, save_chart, write_text_atomic
from core.sheet.kinds import KINDS, SheetOptions
from core.sheet.part import PARTS, for_part

if TYPE_CHECKING:
    from core.foreign.write_bars import WrittenFor

SHEETS = (".pdf", ".svg", ".png")
WRITABLE = (OWN_ENDING, ".txt", ".musicxml", ".mxl", ".abc", ".mid", ".wav", *SHEETS)
SOUNDS = (".mid", ".wav")
SCORES = (".musicxml", ".mxl")
CHORDS, BOTH_ROWS = "chords", "both"
CHORD_TEXTS = ("text", "lyrics", "marker")
"""As which meta event a MIDI file names chords; the names of :data:`core.sound.midi_file.CHORD_TEXTS`."""
LICENCE = "A tune may be under copyright; copies that you make for others may need a licence."


def _whole(value: str, name: str) -> int:
    if re.fullmatch("-?[0-9]{1,9}", value) is None:
        raise UsageError(f"--set {name}= takes a whole number, not {value!r}")
    return int(value)


# What --set can say of a sheet: the option's name and how its value is read.
SHEET_SETTINGS: dict[str, tuple[str, Callable[[str], object]]] = {
    "sheet": ("kind", str),
    "melody": ("melody", lambda value: _switch(value, "melody")),
    "symbols": ("style", str),
    "bars": ("bars", lambda value: _whole(value, "bars")),
    "paper": ("paper", str),
    "pictures": ("pictures", str),
}

# What --set can change on the way: each takes the chart and the value.
SETTINGS: dict[str, Callable[[Chart, str], Chart]] = {
    "title": set_title,
    "composer": lambda chart, value: replace(chart, composer=value),
    "tempo": lambda chart, value: set_tempo(chart, _whole(value, "tempo")),
    "feel": set_feel,
}


def add_to(commands: Any) -> None:
    """Add the command's words."""
    parser = commands.add_parser("convert", help="between formats, by file ending", epilog=LICENCE)
    parser.add_argument("source", metavar="IN", help="a chart, or - for stdin")
    parser.add_argument("target", metavar="OUT", help="a file ending in " + ", ".join(WRITABLE) + "; - prints bar text")
    row = "only this row (sound files: the row that is heard, or both, a file each; sheets with both: the take)"
    parser.add_argument("--row", metavar="standard|TAKE|both", help=row)
    parser.add_argument("--stems", action="store_true", help="a .wav file for each part instead of the mix")
    parser.add_argument("--font", metavar="SF2", type=Path, help="the SoundFont that a .wav file is played with")
    parser.add_argument("--part", choices=tuple(PARTS), default="C", help="written pitch for an instrument (C)")
    parser.add_argument("--set", metavar="K=V", action="append", default=[],
                        help=f"change {', '.join(SETTINGS)}; of a sheet: sheet={'|'.join(KINDS)}, melody=yes|no, "
                             "symbols=plain|signs|words|capitals, bars=4, paper=A4|letter; of a .mid file: "
                             f"chords={'|'.join(CHORD_TEXTS)}")  # fmt: skip
    parser.set_defaults(command=run)


def run(arguments: argparse.Namespace) -> int:
    """Read, change, write."""
    pairs = [_pair(text) for text in arguments.set]
    ending = ".txt" if arguments.target == "-" else ending_of(arguments.target)
    if ending not in WRITABLE:
        raise FileError(arguments.target, f"has the ending {ending or 'none'!r}", "write one of " + ", ".join(WRITABLE))
    sheet = _sheet_settings(pairs, ending)
    sound = _sound_settings(pairs, ending, arguments)
    chart = read_chart(arguments.source)
    for name, value in pairs:
        if name in SETTINGS:
            chart = SETTINGS[name](chart, value)
    if arguments.row is not None and not (ending in (*SOUNDS, *SCORES) and _means_both(chart, arguments.row)):
        chart.row_named(arguments.row)
    if ending in SOUNDS:
        _sound(chart, arguments.row or STANDARD, Path(arguments.target), sound)
        return 0
    if ending in SHEETS:
        _sheet(chart, arguments.row, arguments.part, sheet, arguments.target)
        return 0
    concert, chart = chart, for_part(chart, arguments.part)
    if arguments.target == "-":
        sys.stdout.write(chart_to_bar_text(only_row(chart, arguments.row)))
    elif ending in SCORES:
        _musicxml(chart, arguments.row, _written_for(concert, chart, arguments.part), arguments.target)
    elif ending == ".abc":
        _abc(chart, arguments.row, _written_for(concert, chart, arguments.part), arguments.target)
    else:
        save_chart(only_row(chart, arguments.row), arguments.target)
    return 0


def _pair(text: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    known = (*SETTINGS, *SHEET_SETTINGS, CHORDS)
    if not equals or name not in known:
        close = difflib.get_close_matches(name, known, n=1)
        hint = f"did you mean {close[0]!r}?" if close else "known are " + ", ".join(known)
        raise UsageError(f"--set takes key=value and {name!r} is not a key; {hint}")
    return name, value


def _sheet_settings(pairs: list[tuple[str, str]], ending: str) -> dict[str, Any]:
    found = {name: value for name, value in pairs if name in SHEET_SETTINGS}
    if found and ending not in SHEETS:
        raise UsageError(f"--set {next(iter(found))}= is for sheets: files ending in {', '.join(SHEETS)}")
    return {SHEET_SETTINGS[name][0]: SHEET_SETTINGS[name][1](value) for name, value in found.items()}


def _switch(value: str, name: str) -> bool:
    if value not in ("yes", "no"):
        raise UsageError(f"--set {name}= takes yes or no, not {value!r}")
    return value == "yes"


def _sheet(chart: Chart, row: str | None, part: str, settings: dict[str, Any], target: str) -> None:
    """A sheet for the music stand: of one row if it is named, else of both where there is a take."""
    from app.sheet.batch import make_pages
    from app.sheet.files import write_pages

    take = next((take.name for take in chart.takes if take.name == row), None)
    usual = "take" if take else "standard" if row or not chart.takes else "both"
    options = SheetOptions(**{"kind": usual, "part": part, "take": take, "reference": None if take else row} | settings)
    write_pages(make_pages(chart, options), target, chart.title)


def only_row(chart: Chart, name: str | None) -> Chart:
    """The chart with one row as its only one; all rows for None."""
    if name is None:
        return chart
    take = next((take for take in chart.takes if take.name == name), None)
    row = NamedRow(STANDARD, chart.row_named(name))
    return replace(chart, references=(row,), reference=STANDARD, takes=(), form=chart.form_of(take),
                   key=chart.key_of(take), melody=chart.melody_of(take))  # fmt: skip


def _written_for(concert: Chart, chart: Chart, part: str) -> WrittenFor | None:
    """What a score must say of a part, so that it sounds at concert pitch; its key may have been respelled."""
    from core.foreign.write_bars import WrittenFor

    asked = PARTS[part]
    if not asked.semitones:
        return None
    return WrittenFor(asked.heading, chart.key.tonic - concert.key.tonic, asked.semitones, asked.clef)


def _musicxml(chart: Chart, row: str | None, written_for: WrittenFor | None, target: str) -> None:
    from core.foreign.musicxml_write import BOTH, write_musicxml
    from core.foreign.mxl_write import write_mxl

    both = chart.takes and chart.takes[0].form is None
    text = write_musicxml(chart, row or (BOTH if both else STANDARD), written_for=written_for)
    if ending_of(target) == ".mxl":
        write_mxl(text, target)
    else:
        write_text_atomic(target, text)


def _abc(chart: Chart, row: str | None, written_for: WrittenFor | None, target: str) -> None:
    from core.foreign import write_abc

    write_text_atomic(target, write_abc(chart, row or STANDARD, written_for))


def _sound_settings(pairs: list[tuple[str, str]], ending: str, arguments: argparse.Namespace) -> dict[str, Any]:
    """What was said of a sound file; raises UsageError where it is said of another."""
    chords = dict(pairs).get(CHORDS)
    if chords is not None and ending != ".mid":
        raise UsageError(f"--set {CHORDS}= is for MIDI files: files ending in .mid")
    if chords not in (None, *CHORD_TEXTS):
        raise UsageError(f"--set {CHORDS}= takes {', '.join(CHORD_TEXTS)}, not {chords!r}")
    for name, given in (("--stems", arguments.stems), ("--font", arguments.font is not None)):
        if given and ending != ".wav":
            raise UsageError(f"{name} is for sound: files ending in .wav")
    return {"chords": chords or CHORD_TEXTS[0], "stems": arguments.stems, "font": arguments.font}


def _means_both(chart: Chart, row: str) -> bool:
    return row == BOTH_ROWS and all(take.name != row for take in chart.takes)


def _sound(chart: Chart, row: str, target: Path, settings: dict[str, Any]) -> None:
    from core.sound.files_out import SoundFiles, write_sound

    rows: tuple[str, ...] = (row,)
    if _means_both(chart, row):
        if not chart.takes:
            raise ChangewrightError(f"{chart.title!r} has no take; leave --row both away, or write a take first.")
        rows = (STANDARD, chart.takes[0].name)
    try:
        written = write_sound(chart, target, SoundFiles(rows, **settings))
    except MemoryError as error:
        raise ChangewrightError(f"{target}: there is not enough memory to render this tune.") from error
    if written and written != (target,):
        print(*written, sep="\n")
