"""JSON lines from pipe to pipe: chords analysed and melody notes judged in a second, memory after many lines."""

from __future__ import annotations

import json
import random
import subprocess
import sys
import time
from pathlib import Path

import psutil

from core.analysis import analyse
from core.chord import Chord
from core.edit import transposed
from core.files import load_chart
from core.form import Form, plain_form
from core.function import read
from core.home_key import home_key
from core.key import Key
from core.meter import Meter
from core.places import folder
from core.quality import QUALITIES
from core.row import Row as RowOfChords
from core.row import Slot

Row = tuple[str, float, str, str, float]
_LINES = 400
_LONG = 3000


def _rows(known: bool) -> list[tuple[bytes, int]]:
    """The demo tunes' rows in all keys as lines, and how many chords each has."""
    found = []
    for path in sorted(Path(folder("demo_charts")).glob("*.changes.json")):
        chart, _ = load_chart(path)
        for fifths in range(-5, 7):
            moved = transposed(chart, fifths, fifths * 7 % 12)
            for row in (moved.standard, *(take.row for take in moved.takes)):
                bars = " | ".join(
                    " ".join(f"{slot.chord.canonical if slot.chord else 'N.C.'}*{slot.duration}" for slot in row
                             if bar.start <= slot.onset < bar.end) for bar in moved.form.bars
                )  # fmt: skip
                line = {
                    "id": len(found),
                    "key": str(moved.key) if known else None,
                    "meter": str(moved.meter),
                    "bars": bars,
                }
                if all(part.strip() for part in bars.split("|")):
                    found.append((json.dumps(line).encode() + b"\n", len(row)))
    return found


def _run(command: str, lines: list[bytes]) -> tuple[float, float]:
    """Seconds from the first answer to the last, and MB that the process grows in its second half."""
    process = subprocess.Popen([sys.executable, "-m", "app.main", command, "--lines"], stdin=subprocess.PIPE,
                               stdout=subprocess.PIPE, cwd=folder("resources").parent)  # fmt: skip
    assert process.stdin
    assert process.stdout
    watch = psutil.Process(process.pid)
    half, begin = 0, 0.0
    for number, line in enumerate([lines[0], *lines]):
        process.stdin.write(line)
        process.stdin.flush()
        answer = process.stdout.readline()
        assert b'"error"' not in answer, answer
        begin = begin or time.perf_counter()  # the first answer pays for the start of the program
        if number == len(lines) // 2:
            half = watch.memory_info().rss
    spent, grown = time.perf_counter() - begin, watch.memory_info().rss - half
    process.stdin.close()
    process.wait()
    return spent, grown / 1e6


def _analysis(known: bool) -> list[Row]:
    rows = _rows(known)
    chosen = [rows[number % len(rows)] for number in range(_LINES)]
    spent, _ = _run("analyse", [line for line, _ in chosen])
    what = "analyse --lines, key " + ("given" if known else "to be found")
    return [(what, sum(count for _, count in chosen) / spent / 1e3, "k/s", "aim, thousand chords a second", 5.0)]


def _random_row(bars: int, seed: int) -> tuple[RowOfChords, Form]:
    """A chord of any quality on any root in every bar: nothing that was read before helps."""
    chance = random.Random(seed)
    form = plain_form(bars, Meter())
    return tuple(
        Slot(bar.start, bar.length, Chord(chance.randint(-6, 6), chance.choice(list(QUALITIES.values()))))
        for bar in form.bars
    ), form


def _strange() -> list[Row]:
    """Rows of random chords in this process, each read once; and rows of 32 and 500 bars."""
    rows = [_random_row(32, seed) for seed in range(100)]
    found: list[Row] = []
    for what, work in (("key given", lambda row, form: analyse(row, form, Key(0))),
                       ("key to be found", lambda row, form: analyse(row, form, home_key(row, form)))):  # fmt: skip
        analyse.cache_clear()
        read.cache_clear()
        begin = time.perf_counter()
        for row, form in rows:
            work(row, form)
        spent = time.perf_counter() - begin
        found.append((f"random chords analysed, {what}", 3.2 / spent, "k/s", "aim, thousand chords a second", 5.0))
    for bars, aim in ((32, 5.0), (500, 100.0)):
        row, form = _random_row(bars, bars)
        begin = time.perf_counter()
        analyse(row, form, Key(0))
        found.append((f"{bars} bars of random chords", (time.perf_counter() - begin) * 1e3, "ms", "aim", aim))
    return found


def _memory() -> list[Row]:
    rows = _rows(True)
    _, grown = _run("analyse", [rows[number % len(rows)][0] for number in range(_LONG)])
    return [(f"memory grown in the second half of {_LONG} rows", grown, "MB", "aim", 1.0)]


def _fit() -> list[Row]:
    lines = [json.dumps({"id": number, "key": "C major", "meter": "4/4", "chord": "Db7", "beat": 1, "duration": 4,
                         "next": "Cmaj7", "melody": [[beat, 60 + (number + 5 * beat) % 24, 1] for beat in range(4)]})
             .encode() + b"\n" for number in range(2000)]  # fmt: skip
    spent, _ = _run("fit", lines)
    return [("fit --lines", 4 * len(lines) / spent / 1e3, "k/s", "aim, thousand notes a second", 5.0)]


def run() -> list[Row]:
    """All of it."""
    return _analysis(True) + _analysis(False) + _strange() + _fit() + _memory()
