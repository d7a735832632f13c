"""The lesson sheet of a line: notes over their chords, degrees under the notes, brackets over the shapes, a summary."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import replace
from fractions import Fraction

from core.chart import Chart
from core.line.analysis import LineReading
from core.line.fingering import Fingering, positions
from core.line.lesson import lesson_chart
from core.line.limits import FEATURES, USUAL
from core.line.scene import Feature
from core.line.summary import sentences
from core.pitch import with_signs
from core.sheet.content import Bracket, NoteDegree, Sheet, SheetBar, sheet_of
from core.sheet.kinds import SheetKind, SheetOptions

LESSON = SheetKind("lesson", "Line with degrees and shapes", "line", standard=True)
LESSON_AGAINST = SheetKind("lesson", "Line over two rows", "line over two rows", standard=True, take=True)
BRACKETED = tuple(feature for feature in FEATURES if feature != "phrase")
_WORDS = {
    "enclosure": "encl.",
    "double_chromatic": "chrom.",
    "anticipation": "early",
    "delay": "late",
    "arpeggio": "arp.",
    "scale_run": "scale",
    "octave_leap": "leap",
    "outside": "outside",
}
_SIGNS = {"*": "* approaches the next note", "!": "! lies outside", "→": "→ belongs to the next chord"}


def lesson_sheet(reading: LineReading, chart: Chart, shapes: Set[str] = frozenset(USUAL), bars: int = 4,
                 other: LineReading | None = None, paper: str = "A4", title: str = "",
                 fingering: Fingering | None = None) -> Sheet:  # fmt: skip
    """The sheet of a reading, with brackets for the ``shapes`` named; ``other`` adds a second row and its degrees.

    A ``fingering`` adds the positions of the hand. A ``title`` of its own is for lines that are exercises: no summary
    stands under it.
    """
    lesson = lesson_chart(reading, chart, other)
    options = SheetOptions("both" if other is not None else "standard", bars=bars, paper=paper)
    sheet = sheet_of(lesson, options)
    degrees: list[list[NoteDegree]] = [[] for _ in sheet.bars]
    places = _places(reading, lesson)
    for index, (bar, offset) in enumerate(places):
        degrees[bar].append(NoteDegree(offset, _degree(reading, index), "" if other is None else _degree(other, index)))
    printed = tuple(replace(bar, degrees=tuple(found)) for bar, found in zip(sheet.bars, degrees, strict=True))
    brackets = tuple(
        Bracket(*places[one.first], *places[one.last], _words(one)) for one in reading.features if one.id in shapes
    )
    if fingering is not None:
        brackets += tuple(Bracket(*places[first], *places[last], f"pos. {position}")
                          for first, last, position in positions(fingering))  # fmt: skip
    return replace(sheet, kind=LESSON if other is None else LESSON_AGAINST, bars=printed, brackets=brackets,
                   remarks=(*(() if title else sentences(reading)), *_legend(printed)),
                   title=title or sheet.title)  # fmt: skip


def _legend(bars: tuple[SheetBar, ...]) -> tuple[str, ...]:
    """What the signs beside degrees mean, as far as they stand on the sheet."""
    shown = "".join(degree.standard + degree.take for bar in bars for degree in bar.degrees)
    found = [words for sign, words in _SIGNS.items() if sign in shown]
    return (f"Degrees stand under the notes: {', '.join(found)}.",) if found else ("Degrees stand under the notes.",)


def _places(reading: LineReading, lesson: Chart) -> list[tuple[int, Fraction]]:
    """Bar of the sheet and offset of every note."""
    found = []
    for note in lesson.melody:
        bar = lesson.form.bar_at(note.onset)
        found.append((bar.index, note.onset - bar.start))
    return found


def _degree(reading: LineReading, index: int) -> str:
    heard = reading.heard[index]
    if heard.degree is None:
        return ""
    sign = {"outside": "!", "approach": "*"}.get(reading.kinds[index], "")
    return ("→" if heard.anticipates else "") + with_signs(str(heard.degree)) + sign


def _words(one: Feature) -> str:
    if one.id == "guide_tone":
        return with_signs(one.detail.replace(" to ", "–"))
    if one.id == "cell":
        return one.detail.replace(" ", "-")
    if one.id == "superimposed":
        return one.detail.partition(" over ")[0]
    if one.id == "motif":
        return f"motif {chr(ord('a') + (one.of - 1) % 26)}"
    return _WORDS[one.id]
