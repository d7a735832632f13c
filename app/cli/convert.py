"""``changewright convert IN OUT``: from any format we read to any we write, chosen by the file's ending."""

from __future__ import annotations

import argparse
import difflib
import re
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from app.cli import UsageError
from app.cli.reading import read_chart
from core.bar_text import chart_to_bar_text
from core.chart import STANDARD, Chart, NamedRow
from core.edit import set_feel, set_tempo, set_title, transposed
from core.errors import ChangewrightError, FileError
from core.files import OWN_ENDING, ending_of, save_chart, write_text_atomic

WRITABLE = (OWN_ENDING, ".txt", ".musicxml", ".mxl", ".mid", ".wav")

# Written pitch of a part above concert pitch, as (fifths, semitones). Common practice, no source.
PARTS: dict[str, tuple[int, int]] = {
    "C": (0, 0), "Bb": (2, 2), "Eb": (3, 9), "F": (1, 7), "bass": (0, 12), "guitar": (0, 12),
}  # fmt: skip
MOST_ACCIDENTALS = 6


def _whole(value: str, name: str) -> int:
    if re.fullmatch("-?[0-9]{1,9}", value) is None:
        raise UsageError(f"--set {name}= takes a whole number, not {value!r}")
    return int(value)


# What --set can change on the way: each takes the chart and the value.
SETTINGS: dict[str, Callable[[Chart, str], Chart]] = {
    "title": set_title,
    "composer": lambda chart, value: replace(chart, composer=value),
    "tempo": lambda chart, value: set_tempo(chart, _whole(value, "tempo")),
    "feel": set_feel,
}


def add_to(commands: Any) -> None:
    """Add the command's words."""
    parser = commands.add_parser("convert", help="between formats, by file ending")
    parser.add_argument("source", metavar="IN", help="a chart, or - for stdin")
    parser.add_argument("target", metavar="OUT", help="a file ending in " + ", ".join(WRITABLE) + "; - prints bar text")
    parser.add_argument("--row", metavar="standard|TAKE", help="only this row (sound files: the row that is heard)")
    parser.add_argument("--part", choices=tuple(PARTS), default="C", help="written pitch for an instrument (C)")
    parser.add_argument("--set", metavar="K=V", action="append", default=[], help="change " + ", ".join(SETTINGS))
    parser.set_defaults(command=run)


def run(arguments: argparse.Namespace) -> int:
    """Read, change, write."""
    settings = [_setting(text) for text in arguments.set]
    ending = ".txt" if arguments.target == "-" else ending_of(arguments.target)
    if ending not in WRITABLE:
        raise FileError(arguments.target, f"has the ending {ending or 'none'!r}", "write one of " + ", ".join(WRITABLE))
    chart = read_chart(arguments.source)
    for change, value in settings:
        chart = change(chart, value)
    if arguments.row is not None:
        chart.row_named(arguments.row)
    if ending in (".mid", ".wav"):
        _sound(chart, arguments.row or STANDARD, ending, Path(arguments.target))
        return 0
    chart = for_part(chart, arguments.part)
    if arguments.target == "-":
        sys.stdout.write(chart_to_bar_text(only_row(chart, arguments.row)))
    elif ending in (".musicxml", ".mxl"):
        _musicxml(chart, arguments.row, arguments.target)
    else:
        save_chart(only_row(chart, arguments.row), arguments.target)
    return 0


def _setting(text: str) -> tuple[Callable[[Chart, str], Chart], str]:
    name, equals, value = text.partition("=")
    if not equals or name not in SETTINGS:
        close = difflib.get_close_matches(name, SETTINGS, n=1)
        hint = f"did you mean {close[0]!r}?" if close else "known are " + ", ".join(SETTINGS)
        raise UsageError(f"--set takes key=value and {name!r} is not a key; {hint}")
    return SETTINGS[name], value


def for_part(chart: Chart, part: str) -> Chart:
    """The chart as an instrument reads it; keys beyond six accidentals are respelled (concert E on alto is D♭)."""
    fifths, semitones = PARTS[part]
    while chart.key.signature + fifths > MOST_ACCIDENTALS:
        fifths -= 12
    return chart if not semitones else transposed(chart, fifths, semitones)


def only_row(chart: Chart, name: str | None) -> Chart:
    """The chart with one row as its only one; all rows for None."""
    if name is None:
        return chart
    take = next((take for take in chart.takes if take.name == name), None)
    row = NamedRow(STANDARD, chart.row_named(name))
    return replace(chart, references=(row,), reference=STANDARD, takes=(), form=chart.form_of(take),
                   key=chart.key_of(take), melody=chart.melody_of(take))  # fmt: skip


def _musicxml(chart: Chart, row: str | None, target: str) -> None:
    from core.foreign.musicxml_write import BOTH, write_musicxml
    from core.foreign.mxl_write import write_mxl

    both = chart.takes and chart.takes[0].form is None
    text = write_musicxml(chart, row or (BOTH if both else STANDARD))
    if ending_of(target) == ".mxl":
        write_mxl(text, target)
    else:
        write_text_atomic(target, text)


def _sound(chart: Chart, row: str, ending: str, target: Path) -> None:
    from core.arrange import arrange
    from core.timeline import Side

    take = next((take.name for take in chart.takes if take.name == row), None)
    timeline = arrange(chart, take) if take or row == STANDARD else arrange(chart, None, reference=row)
    side: Side = "take" if take else "standard"
    if ending == ".mid":
        from core.sound.midi_file import write_midi

        write_midi(timeline, side, target)
        return
    from core.sound.wav import render_wav

    try:
        render_wav(timeline, side, target)
    except MemoryError as error:
        raise ChangewrightError(f"{target}: there is not enough memory to render this tune.") from error
