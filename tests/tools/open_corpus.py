"""Every score, ABC tune and MIDI file of music21's package, opened or refused: ``python -m tests.tools.open_corpus``.

Prints each refusal and how many were read; with ``--order`` the bars of each MusicXML file as played are compared with
music21's expander by their pitches (slow), and files that differ are named. A seeded handful of them is in the test suite.
"""

from __future__ import annotations

import hashlib
import sys
import time
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

import music21

from core.chart import check_chart
from core.errors import ChangewrightError
from core.foreign.doors import read_any
from core.foreign.xml_stream import Refused

PACKAGE = Path(music21.__file__).parent
NO_START = "a repeat without a beginning goes back to the last repeat sign here, to the first bar there"
JUMP = "the jump's words (or sound) are not taken there"
WHY = {
    NO_START: "801dcb9c 64960bd8 72b4c5aa 04388ecc 59f59d83 2662c154 5622fc11 dd678ed2 aed1bcb4",
    "the first ending is played in every pass there": "5a0b0793",
    JUMP: "38de4124 83c70062 59a145dd 334c6651 8e605266",
    "a first ending without a second is played once here; the first repeat is not taken there": "135898e4",
    f"{NO_START}, and {JUMP}": "8b3400ba 13da6f91 8101f7d8 bd16fe60",
    f"{NO_START} (the file means it nested, which paper cannot say)": "fb22be2d f1dc8e91",
}  # fmt: skip
"""What the file says where its order is another than the expander's, read in its text bar line by bar line; files by
their :func:`key_of`."""
ENDINGS = (".mxl", ".xml", ".musicxml", ".abc", ".mid")


def key_of(path: Path) -> str:
    """A short name of a file of the package that is the same everywhere."""
    return hashlib.sha256(path.relative_to(PACKAGE).as_posix().encode()).hexdigest()[:8]


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


def pitches_as_music21_plays_them(path: Path) -> list[tuple[int, ...]] | None:
    """The first part's pitches bar by bar as music21 expands it; None where it cannot."""
    from music21 import converter, stream
    from music21.exceptions21 import Music21Exception

    try:
        part = converter.parse(path).parts[0].toSoundingPitch().expandRepeats()
    except (Music21Exception, IndexError, AttributeError, TypeError, ValueError):
        return None
    return [_pitches(note.pitches[-1].midi for note in bar.recurse().notes if note.pitches and not note.duration.isGrace)
            for bar in part.getElementsByClass(stream.Measure)]  # fmt: skip


def _pitches(found: Iterable[int]) -> tuple[int, ...]:
    return tuple(sorted(set(found)))


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
    theirs = pitches_as_music21_plays_them(path)
    usual = read_any(path, {})
    first = next((one.options for one in usual.questions if one.id == "melody"), ())
    voice = min((option.value for option in first if option.value.startswith("1/")), default="")
    chart = read_any(path, {"melody": voice}).chart if voice else usual.chart
    ours = [_pitches(note.pitch.midi for note in chart.melody if note.onset < bar.end and note.end > bar.start)
            for bar in chart.form.bars]  # fmt: skip
    # Other voices and the lower notes of chords are in theirs and not in ours.
    same = theirs is None or (
        len(ours) == len(theirs) and all(set(one) <= set(two) for one, two in zip(ours, theirs, strict=True))
    )
    counts["order not expanded by music21" if theirs is None else "order same" if same else "order differs"] += 1
    if not same and theirs is not None:
        why = next((reason for reason, keys in WHY.items() if key_of(path) in keys.split()), "")
        counts["differs, unexplained"] += len(ours) != len(theirs) and not why
        print(
            f"{path.relative_to(PACKAGE)}: {len(ours)} bars here, {len(theirs)} there; {why or 'other notes in a bar'}"
        )


if __name__ == "__main__":
    sys.exit(main())
