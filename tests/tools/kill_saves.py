"""Processes killed at random moments of a save: ``python -m tests.tools.kill_saves [COUNT]``.

A child saves two charts over each other as fast as it can and is killed with signal 9 some milliseconds later; what is
there then must be one of the two, whole. Prints how many ended with which. A small sample is in the test suite.
"""

from __future__ import annotations

import os
import signal
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from random import Random

from core.bar_text import chart_from_bar_text
from core.chart import Chart
from core.edit import set_title
from core.files import load_chart, save_chart

COUNT = 1000
LONGEST_SECONDS = 0.03
ONE = chart_from_bar_text("title: One\n\n" + "| Dm7 | G7 | Cmaj7 | A7b9 |\nm: F4 A4 | G4 B4 | E8 | z8 |\n" * 8)
OTHER = set_title(ONE, "The other, with a longer name")


def killed_save(folder: Path, name: str, wait: float) -> Chart:
    """The chart that is in the file after a child that was saving was killed; raises if it cannot be read."""
    path = folder / name
    save_chart(ONE, path)
    child = os.fork()
    if child == 0:  # nothing of the parent's is run on the way out
        try:
            while True:
                save_chart(OTHER, path)
                save_chart(ONE, path)
        finally:
            os._exit(1)
    time.sleep(wait)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return load_chart(path)[0]


def run(count: int, seed: int = 1) -> Counter[str]:
    """How often which chart was there."""
    random, found = Random(seed), Counter[str]()
    with tempfile.TemporaryDirectory() as folder:
        for turn in range(count):
            ending = (".changes.json", ".txt")[turn % 2]
            chart = killed_save(Path(folder), f"tune{ending}", random.uniform(0, LONGEST_SECONDS))
            found["one" if chart == ONE else "other" if chart == OTHER else "neither"] += 1
            found["half-written files left beside it"] = len(list(Path(folder).glob(".*")))
    return found


def main(arguments: list[str]) -> int:
    """Kill them; the exit code is 1 if anything else was in a file."""
    found = run(int(arguments[0]) if arguments else COUNT)
    for name, count in found.items():
        print(f"{count:5} {name}")
    return int(found["neither"] > 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
