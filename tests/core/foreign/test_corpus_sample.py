"""A seeded handful of the scores, ABC tunes and MIDI files in music21's package: each opens or is refused in a sentence.

All of them are tried by ``python -m tests.tools.open_corpus``. Sources: the files, and for notes and the order of bars
music21 10.5 (its own reader, expandRepeats and stripTies), where it is right; where it is not, the reason is given.
"""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path
from random import Random

import pytest
from music21 import converter, stream

from core.chart import check_chart
from core.foreign.abc_read import abc_reading
from core.foreign.doors import read_any
from tests.tools.open_corpus import PACKAGE, abc_texts, corpus, opened

SEED, EACH, LARGEST = 7, 14, 60_000
SENTENCE = re.compile(r"[a-zA-Z].*[;,.]? .*")


def sample() -> list[Path]:
    """So many small files of each ending."""
    random, chosen = Random(SEED), list[Path]()
    small = [path for path in corpus() if path.stat().st_size < LARGEST]
    for ending in (".mxl", ".xml", ".abc", ".mid"):
        files = [path for path in small if path.suffix == ending]
        chosen += random.sample(files, EACH)
    return chosen


@pytest.mark.parametrize("path", sample(), ids=lambda path: path.name)
def test_a_file_is_read_or_refused_in_a_sentence(path: Path) -> None:
    answer, bars = opened(path)
    assert (answer == "read" and bars > 0) or SENTENCE.fullmatch(answer)


@pytest.mark.parametrize("name", abc_texts())
def test_the_abc_of_music21_own_tests_is_read(name: str) -> None:
    chart = abc_reading(abc_texts()[name].encode(), name, {}).chart
    assert check_chart(chart) is chart
    assert chart.form.bars


TUNES = Random(3).sample(sorted((PACKAGE / "corpus" / "ryansMammoth").glob("*.abc")), 12)


# music21 10.5 forgets ^d of this tune before the bar line; the explicit =d behind it shows that it was still sharp.
FORGOTTEN = {"LarryONielsClog"}


@pytest.mark.parametrize("path", TUNES, ids=lambda path: path.stem)
def test_the_notes_of_an_abc_tune_are_those_that_music21_reads(path: Path) -> None:
    """Pitches and lengths as written, bar by bar; grace notes and all but the top of a chord left out.

    An accidental that is repeated in another octave of its bar is taken there too by us (ABC 2.1, section 11.3).
    """
    score = converter.parse(path)
    theirs = [(note.pitches[-1].midi, Fraction(note.quarterLength).limit_denominator(96))
              for note in score.parts[0].recurse().notes if note.duration.quarterLength and not note.duration.isGrace
              and note.classes[0] in ("Note", "Chord")]  # fmt: skip
    chart = abc_reading(path.read_bytes(), "t", {}).chart
    once = chart.form.written
    first_pass: list[tuple[int, Fraction]] = []
    seen: set[int] = set()
    for bar in chart.form.bars:
        if bar.written not in seen:
            seen.add(bar.written)
            first_pass += [
                (note.pitch.midi, note.duration) for note in chart.melody if bar.start <= note.onset < bar.end
            ]
    assert len(seen) == len(once)
    joined = len(first_pass) != len(theirs)  # a tie is one note here and two there
    assert sum(length for _, length in first_pass) == sum(length for _, length in theirs)
    same = [pitch for pitch, _ in first_pass] == [pitch for pitch, _ in theirs]
    assert joined or same == (path.stem not in FORGOTTEN)


ORDERED = ("45a-SimpleRepeat", "45b-RepeatWithAlternatives")


@pytest.mark.parametrize("name", ORDERED)
def test_repeats_of_the_reference_suite_are_played_as_music21_plays_them(name: str) -> None:
    """Unofficial MusicXML test suite (R. Kainhofer), as it comes with music21."""
    path = PACKAGE / "musicxml" / "lilypondTestSuite" / f"{name}.xml"
    played = converter.parse(path).parts[0].expandRepeats().getElementsByClass(stream.Measure)
    assert [bar.printed for bar in read_any(path, {}).chart.form.bars] == [str(bar.number) for bar in played]
