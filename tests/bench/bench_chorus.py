"""Whole-form takes: 32 bars with ten takes, how the time grows with the bars, and how soon the work stops."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

Row = tuple[str, float, str, str, float]
ROOT = Path(__file__).parents[2]

# Each size in a process of its own, so that nothing is kept from the one before and the memory is its own.
SESSION = """
import json, resource, sys, time
from dataclasses import replace
from pathlib import Path
from core.chart import NamedRow
from core.chorus import next_take, plan
from core.chorus.request import Request
from core.files import load_chart
from core.form import plain_form

choruses, count = int(sys.argv[1]), int(sys.argv[2])
chart = load_chart(Path("demo_charts/harbour_lamps.changes.json"))[0]
if choruses > 1:  # every section has another name, and no two choruses the same chords: nothing is planned once for two
    bars, length = len(chart.form.bars), chart.form.length
    sections = [(turn * bars + one.first, f"{one.name}{turn}{one.first}") for turn in range(choruses)
                for one in chart.form.sections]
    row = tuple(replace(slot, onset=slot.onset + turn * length, typed=None,
                        chord=slot.chord and slot.chord.transposed(5 * turn % 7 - 3))
                for turn in range(choruses) for slot in chart.standard)
    chart = replace(chart, form=plain_form(choruses * bars, chart.form.bars[0].meter, tuple(sections)),
                    references=(NamedRow(chart.reference, row),), takes=(), melody=())
request = Request(count=count, boldness=0.4)
heard, began = [], time.perf_counter()
planned = plan(chart, request, lambda share: heard.append(time.perf_counter()))
made, planning = [], time.perf_counter() - began
while len(made) < count:
    made.append(next_take(planned, made, lambda share: heard.append(time.perf_counter())))
whole = time.perf_counter() - began
print(json.dumps({"bars": len(chart.form.bars), "planning": planning, "whole": whole,
                  "pieces": sum(len(layer.pieces) for layer in planned.lattice.layers),
                  "silence": max(two - one for one, two in zip([began, *heard], heard)),
                  "memory": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024}))
"""


def measured(choruses: int, count: int) -> dict[str, float]:
    """One session."""
    words = [sys.executable, "-c", SESSION, str(choruses), str(count)]
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, timeout=600, check=True)
    return dict(json.loads(done.stdout))


def run() -> list[Row]:
    """All figures as (what, value, unit, reference, its value)."""
    tune = min((measured(1, 10) for _ in range(3)), key=lambda one: one["whole"])
    short, long = measured(4, 3), measured(31, 3)
    grown = (long["whole"] / short["whole"]) / (long["bars"] / short["bars"])
    return [
        ("whole-form takes: 32 bars, depth 2, ten takes", tune["whole"], "s", "limit", 1.5),
        ("of that, gathering and pricing alternatives", tune["planning"], "s", "limit of all", 1.5),
        ("memory of that process", tune["memory"], "MB", "limit", 200.0),
        ("longest time between two chances to stop it", 1000 * tune["silence"], "ms", "limit", 100.0),
        (f"{long['bars']:.0f} bars, {long['pieces']:.0f} alternatives, three takes", long["whole"], "s",
         f"{short['bars']:.0f} bars", short["whole"]),
        ("the same, time a bar", grown, "", f"{short['bars']:.0f} bars", 1.0),
        (f"memory at {long['bars']:.0f} bars", long["memory"], "MB", "limit", 1024.0),
        (f"longest time between two chances to stop it, {long['bars']:.0f} bars", 1000 * long["silence"], "ms", "limit",
         100.0),
    ]  # fmt: skip


if __name__ == "__main__":
    for row in run():
        print(row)
