"""MusicXML 3 and 4, partwise or timewise, to a score that :mod:`core.foreign.assemble` puts together.

We read the XML ourselves: a chart needs notes, chord symbols, bar lines and signs only, kept exactly as written,
and the general score reader we test against takes ten times as long, holds no written form beside the played one,
and reads chord symbols through its own names. It is the oracle in the tests instead.

Not kept, and reported: lyrics, grace and cue notes, other parts. Dynamics and articulations never reach a chart.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from xml.etree.ElementTree import Element

from core.chart import Chart
from core.foreign.assemble import reading_of
from core.foreign.events import Measure
from core.foreign.measures import PartReader
from core.foreign.score import MAX_BARS, MAX_PARTS, Choices, Score
from core.foreign.xml_stream import Refused, ScoreStream
from core.imported import Imported

ROOTS = frozenset({"score-partwise", "score-timewise"})


@dataclass(slots=True)
class _Builder:
    """What the stream has delivered so far."""

    score: Score = field(default_factory=Score)
    readers: dict[str, PartReader] = field(default_factory=dict)

    def header(self, element: Element) -> None:
        """Take over a child of the root that stands before the parts."""
        titles = self.score.titles
        if element.tag == "work":
            titles["work"] = _text(element.findtext("work-title"))
        elif element.tag == "movement-title":
            titles["movement"] = _text(element.text)
        elif element.tag == "credit" and "credit" not in titles:
            self._credit(element)
        elif element.tag == "identification":
            self._identification(element)
        elif element.tag == "part-list":
            for part in element.findall("score-part"):
                self.score.names[part.get("id", "")] = _text(part.findtext("part-name"))

    def _credit(self, element: Element) -> None:
        kinds = {_text(kind.text) for kind in element.findall("credit-type")}
        words = _text(" ".join(words.text or "" for words in element.findall("credit-words")))
        if words and (not kinds or "title" in kinds) and element.get("page", "1") == "1":
            self.score.titles["credit"] = words

    def _identification(self, element: Element) -> None:
        for creator in element.findall("creator"):
            if creator.get("type", "composer") == "composer" and _text(creator.text):
                self.score.composers.append(_text(creator.text))
        for other in element.iterfind("miscellaneous/miscellaneous-field"):
            self.score.fields[other.get("name", "")] = (other.text or "").strip()

    def measure(self, part_id: str, element: Element) -> None:
        """Read a measure of a part."""
        parts = self.score.parts
        if part_id not in parts:
            if len(parts) >= MAX_PARTS:
                raise Refused(f"has more than {MAX_PARTS} parts", "open a lead sheet or a smaller score")
            parts[part_id], self.readers[part_id] = [], PartReader(self.score.report)
        measures = parts[part_id]
        if len(measures) >= MAX_BARS:
            raise Refused(f"has more than {MAX_BARS} bars", "open a shorter score")
        reader = self.readers[part_id]
        measure = reader.read(element)
        if reader.repeats and reader.repeats <= len(measures):
            _repeat_bar(measure, measures[-reader.repeats], reader)
        measures.append(measure)


def _repeat_bar(measure: Measure, source: Measure, reader: PartReader) -> None:
    """Fill a bar that shows only the sign for "as before" with what it stands for."""
    if measure.notes or source.length == 0:
        return
    reader.say("a bar-repeat sign is read as the bar that it repeats")
    measure.notes = [replace(note, tie_start=False, tie_stop=False) for note in source.notes]
    measure.harmonies = measure.harmonies or list(source.harmonies)
    measure.length = measure.length or source.length


def _text(text: str | None) -> str:
    return " ".join((text or "").split())


def musicxml_reading(chunks: Iterable[bytes], name: str, choices: Choices) -> Imported:
    """Read a score from its bytes; ``name`` is the title of an untitled one. Raises :class:`Refused`."""
    builder = _Builder()
    ScoreStream(builder.header, builder.measure, ROOTS).read(chunks)
    return reading_of(builder.score, name, choices)


def read_musicxml(chunks: Iterable[bytes], name: str) -> tuple[Chart, tuple[str, ...]]:
    """Chart and report of a score, every question answered by its default. Raises :class:`Refused`."""
    reading = musicxml_reading(chunks, name, {})
    return reading.chart, reading.report
