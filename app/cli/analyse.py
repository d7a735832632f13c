"""``changewright analyse``: what every chord of a row does; of a chart, or of rows on JSON lines."""

from __future__ import annotations

import argparse
import re
from functools import lru_cache
from typing import Any

from app.cli import UsageError, document
from app.cli.lines import LONGEST_WORD, Fields, LineError, answer_lines, key_of, meter_of, text_of
from app.cli.reading import read_chart
from core.analysis import ChordAnalysis, analyse
from core.bar_slots import BarError, parse_bar
from core.bar_text import BarTextError, chart_from_bar_text
from core.chart import STANDARD, Chart
from core.form import Bar, Form, plain_form
from core.home_key import home_key
from core.key import Key
from core.meter import Meter
from core.row import Row, Slot
from core.spelling import printed

MOST_BARS, MOST_CHORDS = 1000, 2000

# Signs of the full bar text: repeats, endings, directives, sections, lines. Everything else is bars between bar lines.
_FULL = re.compile(r"[:{}\[\]\n\r]|\d+\.(?=\s)|\d,\d")
_EDGES = re.compile(r"^\s*\|+|\|+\s*$")
_LONG_WORD = re.compile(rf"[^\s|]{{{LONGEST_WORD + 1}}}")
_POWER_OF_TEN = re.compile(r"\d[eE][+-]?\d")


def add_to(commands: Any) -> None:
    """Add the command's words."""
    parser = commands.add_parser("analyse", help="numeral, function, role and target of every chord")
    parser.add_argument("file", nargs="?", help="a chart, or - for stdin")
    parser.add_argument("--row", metavar="R", default=STANDARD, help="standard, another reference row or a take")
    parser.add_argument("--json", action="store_true", help="one JSON document")
    parser.add_argument("--lines", action="store_true", help="JSON lines from stdin to stdout")
    parser.set_defaults(command=run)


def run(arguments: argparse.Namespace) -> int:
    """Analyse, and print."""
    if arguments.lines == (arguments.file is not None):
        raise UsageError("give either a file or --lines")
    if arguments.lines:
        return answer_lines(_answer)
    chart = read_chart(arguments.file)
    row = chart.row_named(arguments.row)
    take = next((take for take in chart.takes if take.name == arguments.row), None)
    form, key = chart.form_of(take), chart.key_of(take)
    result = analyse(row, form, key)
    if arguments.json:
        document.write({"title": chart.title, "row": arguments.row, "key": str(key),
                        "chords": _chords(row, form, result)})  # fmt: skip
    else:
        _print(chart, arguments.row, key, row, form, result)
    return 0


def _chords(row: Row, form: Form, result: tuple[ChordAnalysis, ...]) -> list[document.Document]:
    return [
        {
            **document.slot(form, slot),
            "key": _name(one.key),
            "second": one.second and _name(one.second),
            "numeral": one.numeral,
            "function": one.function,
            "role": one.role,
            "target": one.target,
        }
        for slot, one in zip(row, result, strict=True)
    ]


_name = lru_cache(256)(str)


def _print(chart: Chart, name: str, key: Key, row: Row, form: Form, result: tuple[ChordAnalysis, ...]) -> None:
    print(f"{chart.title}, {name}: {key}")
    local = key
    for slot, one in zip(row, result, strict=True):
        if one.key != local:
            local = one.key
            print(f"in {local}")
        where = document.place(form, slot.onset)
        aim = "" if one.target is None else f" → {printed(row[one.target].chord, key)}"
        second = f"  (or in {one.second})" if one.second else ""
        place = f"bar {where['bar']:>3}, beat {where['beat']:<5}"
        print(
            f"{place} {printed(slot.chord, key):10} {one.numeral:10} {one.function}  {one.role}{aim}{second}".rstrip()
        )


# --- lines ---------------------------------------------------------------------------------------------------------


def _answer(fields: Fields) -> document.Document:
    key, meter = key_of(fields), meter_of(fields)
    row, form = row_of_bars(text_of(fields, "bars", "Dm7 | G7 | Cmaj7 | %"), meter, "bars")
    return {"chords": _chords(row, form, analyse(row, form, key or home_key(row, form)))}


def row_of_bars(text: str, meter: Meter, name: str) -> tuple[Row, Form]:
    """A row and its form from bar text such as ``Dm7 | G7 | Cmaj7 | %``; ``name`` is the field it came from.

    Plain bars are read here, bar by bar and remembered; repeats, endings and signs by :mod:`core.bar_text`. Raises
    :class:`LineError`.
    """
    if found := _LONG_WORD.search(text):
        raise LineError(f"{name}: the word {found[0][:20]!r}… is longer than {LONGEST_WORD} characters.")
    if found := _POWER_OF_TEN.search(text):
        raise LineError(f"{name}: {found[0]!r} is no length; write it as a fraction such as 3/2.")
    row, form = _full_row(text, meter, name) if _FULL.search(text) else _plain_row(text, meter, name)
    if len(form.bars) > MOST_BARS or len(row) > MOST_CHORDS:
        raise LineError(f"{name}: {len(form.bars)} bars with {len(row)} chords are too many; "
                        f"{MOST_BARS} bars and {MOST_CHORDS} chords are the most.")  # fmt: skip
    return row, form


def _plain_row(text: str, meter: Meter, name: str) -> tuple[Row, Form]:
    bars = _EDGES.sub("", text).replace("||", "|").split("|")
    if not any(bar.strip() for bar in bars):
        raise LineError(f"{name}: there are no bars; write chords between | signs, like Dm7 | G7 | Cmaj7 | %.")
    if len(bars) > MOST_BARS:
        raise LineError(f"{name}: {len(bars)} bars are too many; {MOST_BARS} are the most.")
    form = _form(len(bars), meter)
    slots: list[Slot] = []
    previous: Row = ()
    for bar, words in zip(form.bars, bars, strict=True):
        try:
            part = _part(words.strip(), bar, meter, previous)
        except BarError as error:
            raise LineError(f"{name}, bar {bar.number}: {error.problem}") from error
        previous = part
        if part[0].typed == "~" and slots:
            last = slots.pop()
            slots.append(Slot(last.onset, last.duration + part[0].duration, last.chord, last.typed, last.optional))
            first = part[0]
            previous = (Slot(first.onset, first.duration, first.chord, last.typed, last.optional), *part[1:])
            part = part[1:]
        slots.extend(part)
    return tuple(slots), form


_REPEATS = ("%", "./.", "sim.")
_form = lru_cache(32)(plain_form)


def _part(words: str, bar: Bar, meter: Meter, previous: Row) -> Row:
    if "~" in words or words in _REPEATS:
        return parse_bar(words, bar.start, bar.length, meter, previous)
    return _bar(words, bar.index, meter)


@lru_cache(8192)
def _bar(words: str, index: int, meter: Meter) -> Row:
    return parse_bar(words, index * meter.length, meter.length, meter)


def _full_row(text: str, meter: Meter, name: str) -> tuple[Row, Form]:
    head = f"meter: {meter}\n\n"
    opening = "" if "\n" in text.strip() or text.lstrip().startswith("|") else "| "
    try:
        chart = chart_from_bar_text(head + opening + text)
    except BarTextError as error:
        line = max(1, error.line - head.count("\n"))
        column = max(1, error.column - (len(opening) if line == 1 else 0))
        raise LineError(f"{name}, line {line}, character {column}: {error.problem}") from error
    return chart.standard, chart.form
