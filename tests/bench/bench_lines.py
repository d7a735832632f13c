"""JSON lines from pipe to pipe: chords analysed and melody notes judged in a second, memory after many lines."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from pathlib import Path

import psutil

from core.edit import transposed
from core.files import load_chart
from core.places import folder

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
    return _analysis(True) + _analysis(False) + _fit() + _memory()
