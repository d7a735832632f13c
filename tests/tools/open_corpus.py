"""Every score, ABC tune and MIDI file of music21's package, opened or refused: ``python -m tests.tools.open_corpus``.

Prints each refusal and how many were read; with ``--order`` the bars of each MusicXML file as played are compared with
music21's expander (slow), and files that differ are named. A seeded handful of them is in the test suite.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from pathlib import Path

import music21

from core.chart import check_chart
from core.errors import ChangewrightError
from core.foreign.doors import read_any
from core.foreign.xml_stream import Refused

PACKAGE = Path(music21.__file__).parent
ENDINGS = (".mxl", ".xml", ".musicxml", ".abc", ".mid")


def corpus() -> list[Path]:
    """All files, in order of their names."""
    return sorted(path for path in PACKAGE.rglob("*") if path.suffix in ENDINGS)


def abc_texts() -> dict[str, str]:
    """The tunes that music21's own tests of ABC are made of."""
    from music21.abcFormat import testFiles

    return {name: text for name, text in vars(testFiles).items() if isinstance(text, str) and "K:" in text}


def opened(path: Path) -> tuple[str, int]:
    """What came of a file: "read" and its played bars, or the sentence that refuses it."""
    try:
        chart = check_chart(read_any(path, {}).chart)
    except Refused as refusal:
        return f"{refusal.problem}; {refusal.advice}", 0
    except ChangewrightError as error:
        return str(error), 0
    return "read", len(chart.form.bars)


def numbers_as_music21_plays_them(path: Path) -> list[str] | None:
    """Printed numbers of the bars as music21 expands the first part; None where it cannot."""
    from music21 import converter, stream
    from music21.exceptions21 import Music21Exception

    try:
        part = converter.parse(path).parts[0].expandRepeats()
    except (Music21Exception, IndexError, AttributeError, TypeError, ValueError):
        return None
    return [bar.measureNumberWithSuffix() for bar in part.getElementsByClass(stream.Measure)]


def main() -> int:
    """Open all of it; the exit code is 1 if anything but a reading or a refusal came of a file."""
    counts: Counter[str] = Counter()
    for path in corpus():
        begun = time.process_time()
        answer, _ = opened(path)
        counts[f"{path.suffix} {'read' if answer == 'read' else 'refused'}"] += 1
        if answer != "read":
            print(f"{path.relative_to(PACKAGE)}: {answer}")
        elif time.process_time() - begun > 1.5:
            print(f"{path.relative_to(PACKAGE)}: read in {time.process_time() - begun:.1f} s")
        if "--order" in sys.argv and path.suffix != ".abc" and answer == "read":
            _compare(path, counts)
    for name, count in sorted(counts.items()):
        print(f"{count:5} {name}")
    return 0


def _compare(path: Path, counts: Counter[str]) -> None:
    theirs = numbers_as_music21_plays_them(path)
    ours = [bar.printed for bar in read_any(path, {}).chart.form.bars]
    same = theirs is None or [number.lstrip("0") for number in theirs] == [number.lstrip("0") for number in ours]
    counts["order not expanded by music21" if theirs is None else "order same" if same else "order differs"] += 1
    if not same and theirs is not None:
        print(f"{path.relative_to(PACKAGE)}: {len(ours)} bars here, {len(theirs)} there")


if __name__ == "__main__":
    sys.exit(main())
