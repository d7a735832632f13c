"""MusicXML 3 and 4, partwise or timewise, to a chart: one melody, one row (and labelled takes), the form as written.

We read the XML ourselves: a chart needs notes, chord symbols, bar lines and signs only, kept exactly as written,
and the general score reader we test against takes ten times as long, holds no written form beside the played one,
and reads chord symbols through its own names. It is the oracle in the tests instead.

Guessed, and reported each time: the mode of a key without one, the title of an untitled score, the part, staff and
voice that are the melody, the top note of chords, places of chord symbols that share one place, tempo and feel where
none is given. Not kept: lyrics, dynamics, articulations, grace and cue notes, other parts.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from xml.etree.ElementTree import Element

from core.chart import DEFAULT_TEMPO, STANDARD, TEMPO_RANGE, Chart, Melody, NamedRow, Take, check_chart
from core.foreign.measures import Measure, PartReader
from core.foreign.played import MAX_PLAYED, harmony_bars, melody_bars, played_melody, played_row
from core.foreign.report import Report
from core.foreign.score_form import read_form
from core.foreign.xml_stream import Refused, ScoreStream
from core.form import Form
from core.key import Key
from core.row import Row

ROOTS = frozenset({"score-partwise", "score-timewise"})
MAX_PARTS = 120
MAX_BARS = 5000
DEFAULT_FEEL = "medium swing"
NOTE_FIELD, REFERENCE_FIELD = "note", "reference row"
_MELODY_NAME = re.compile(r"melod|lead|voice|vocal|voz|voix|stimme|gesang|canto|solo", re.IGNORECASE)


@dataclass(slots=True)
class _Score:
    """What the stream has delivered so far."""

    report: Report = field(default_factory=Report)
    titles: dict[str, str] = field(default_factory=dict)
    composers: list[str] = field(default_factory=list)
    names: dict[str, str] = field(default_factory=dict)
    fields: dict[str, str] = field(default_factory=dict)
    parts: dict[str, list[Measure]] = field(default_factory=dict)
    readers: dict[str, PartReader] = field(default_factory=dict)

    def header(self, element: Element) -> None:
        """Take over a child of the root that stands before the parts."""
        if element.tag == "work":
            self.titles["work"] = _text(element.findtext("work-title"))
        elif element.tag == "movement-title":
            self.titles["movement"] = _text(element.text)
        elif element.tag == "credit" and "credit" not in self.titles:
            self._credit(element)
        elif element.tag == "identification":
            self._identification(element)
        elif element.tag == "part-list":
            for part in element.findall("score-part"):
                self.names[part.get("id", "")] = _text(part.findtext("part-name"))

    def _credit(self, element: Element) -> None:
        kinds = {_text(kind.text) for kind in element.findall("credit-type")}
        words = _text(" ".join(words.text or "" for words in element.findall("credit-words")))
        if words and (not kinds or "title" in kinds) and element.get("page", "1") == "1":
            self.titles["credit"] = words

    def _identification(self, element: Element) -> None:
        for creator in element.findall("creator"):
            if creator.get("type", "composer") == "composer" and _text(creator.text):
                self.composers.append(_text(creator.text))
        for other in element.iterfind("miscellaneous/miscellaneous-field"):
            self.fields[other.get("name", "")] = (other.text or "").strip()

    def measure(self, part_id: str, element: Element) -> None:
        """Read a measure of a part."""
        if part_id not in self.parts:
            if len(self.parts) >= MAX_PARTS:
                raise Refused(f"has more than {MAX_PARTS} parts", "open a lead sheet or a smaller score")
            self.parts[part_id], self.readers[part_id] = [], PartReader(self.report)
        measures = self.parts[part_id]
        if len(measures) >= MAX_BARS:
            raise Refused(f"has more than {MAX_BARS} bars", "open a shorter score")
        measures.append(self.readers[part_id].read(element))


def _text(text: str | None) -> str:
    return " ".join((text or "").split())


def read_musicxml(chunks: Iterable[bytes], name: str) -> tuple[Chart, tuple[str, ...]]:
    """Read a score from its bytes; ``name`` is the title of an untitled one. Raises :class:`Refused`."""
    score = _Score()
    ScoreStream(score.header, score.measure, ROOTS).read(chunks)
    if not any(score.parts.values()):
        raise Refused("holds no bars", "open a score that has music in it")
    return _chart(score, name)


def _chart(score: _Score, name: str) -> tuple[Chart, tuple[str, ...]]:
    report = score.report
    ids = list(score.parts)
    chosen = _melody_part(score, ids)
    part = score.parts[ids[chosen]]
    signature, mode_given = _signature(part, report)
    form = read_form(list(score.parts.values()), chosen, signature, report)
    lines = melody_bars(part, report)
    if sum(len(lines[bar.written]) for bar in form.bars if bar.written < len(lines)) > MAX_PLAYED:
        raise Refused("repeats more notes than any tune", "check its repeats")
    melody = played_melody(lines, form)
    symbols = score.parts[_harmony_part(score, ids, chosen)]
    takes, row = _rows(symbols, form, report)
    if not any(measure.harmonies for measure in symbols):
        report.add("the score has no chord symbols, so the row is without chords")
    key = signature if mode_given else _guessed_mode(signature, row, melody, report)
    reference = score.fields.get(REFERENCE_FIELD) or STANDARD
    chart = Chart(_title(score, name, report), key, form, (NamedRow(reference, row),), takes, melody,
                  ", ".join(dict.fromkeys(score.composers)), _tempo(score, report), _feel(score, report), reference,
                  score.fields.get(NOTE_FIELD, ""))  # fmt: skip
    if any(measure.has_lyrics for measure in part):
        report.add("lyrics are not kept")
    return check_chart(chart), report.sentences([bar.number or str(at + 1) for at, bar in enumerate(form.written)])


def _title(score: _Score, name: str, report: Report) -> str:
    work, movement = score.titles.get("work", ""), score.titles.get("movement", "")
    if work and movement and work != movement:
        report.add(f"the work's title {work!r} is not kept beside {movement!r}")
    found = movement or work or score.titles.get("credit", "")
    if not found:
        report.add(f"the score has no title; its file name {name!r} is taken")
    return found or name


# --- which part, which row ------------------------------------------------------------------------------------------


def _melody_part(score: _Score, ids: list[str]) -> int:
    """The part that is the melody: named so, or sung, or under the chord symbols, or the first with notes."""

    def rank(at: int) -> tuple[bool, bool, bool, bool, int]:
        measures = score.parts[ids[at]]
        notes = any(measure.notes for measure in measures)
        named = bool(_MELODY_NAME.search(score.names.get(ids[at], "")))
        sung = any(measure.has_lyrics for measure in measures)
        return notes, notes and sung, notes and named, any(measure.harmonies for measure in measures), -at

    chosen = max(range(len(ids)), key=rank)
    if len(ids) > 1:
        label = score.names.get(ids[chosen]) or f"part {chosen + 1}"
        score.report.add(f"of {len(ids)} parts {label[:40]!r} is read as the melody")
    return chosen


def _harmony_part(score: _Score, ids: list[str], melody: int) -> str:
    counts = [sum(len(measure.harmonies) for measure in score.parts[part]) for part in ids]
    best = max(range(len(ids)), key=lambda at: (counts[at], at == melody, -at))
    if best != melody and counts[best]:
        label = score.names.get(ids[best]) or f"part {best + 1}"
        score.report.add(f"the chord symbols are taken from {label[:40]!r}")
    return ids[best]


def _rows(symbols: list[Measure], form: Form, report: Report) -> tuple[tuple[Take, ...], Row]:
    """The row, and a take where a second line of symbols is printed below under the label of :mod:`signs`."""
    label = next((measure.signs.take for measure in symbols if measure.signs.take), None)
    row = played_row(harmony_bars(symbols, None if label is None else False, form, report), form)
    if label is None:
        return (), row
    return (Take(label, played_row(harmony_bars(symbols, True, form, report), form)),), row


# --- key, tempo, feel -----------------------------------------------------------------------------------------------


def _signature(part: list[Measure], report: Report) -> tuple[Key, bool]:
    """The key at the start and whether its mode is stated."""
    first = part[0]
    if first.key is None:
        report.add("the score states no key; no sharps or flats are assumed")
        return Key(0), False
    return first.key, first.mode_given


def _guessed_mode(signature: Key, row: Row, melody: Melody, report: Report) -> Key:
    """Major or its relative minor, by the last and the first chord, or the last melody note."""
    major, minor = Key(signature.signature), Key(signature.signature + 3, "minor")
    chords = [slot.chord for slot in row if slot.chord is not None]
    for chord in chords[-1:] + chords[:1]:
        third = chord.quality.degree(3)
        if chord.root_pc in (major.tonic_pc, minor.tonic_pc) and third is not None:
            is_minor = chord.root_pc == minor.tonic_pc and third.alteration < 0
            break
    else:
        is_minor = bool(melody) and not chords and melody[-1].pitch.midi % 12 == minor.tonic_pc
    key = minor if is_minor else major
    report.add(f"the key's mode is not stated; {key} is guessed")
    return key


def _tempo(score: _Score, report: Report) -> int:
    tempos = [(at, measure.signs.tempo) for part in score.parts.values() for at, measure in enumerate(part)
              if measure.signs.tempo]  # fmt: skip
    if not tempos:
        report.add(f"no tempo is given; {DEFAULT_TEMPO} is assumed")
        return DEFAULT_TEMPO
    first_at, first = min(tempos, key=lambda pair: pair[0])
    for at, other in tempos:
        if other != first and at > first_at:
            report.add("a change of tempo is not kept", at)
    tempo = max(TEMPO_RANGE[0], min(TEMPO_RANGE[1], round(first)))
    if Fraction(tempo) != first:
        report.add(f"the tempo {float(first):g} is read as {tempo}")
    return tempo


def _feel(score: _Score, report: Report) -> str:
    feels = [(at, signs.feel_is_guess, signs.feel) for part in score.parts.values() for at, measure in enumerate(part)
             for signs in [measure.signs] if signs.feel]  # fmt: skip
    opening = [feel for feel in feels if feel[0] <= 1]
    if not opening:
        report.add(f"no feel is given; {DEFAULT_FEEL} is assumed")
        return DEFAULT_FEEL
    _, is_guess, feel = min(opening, key=lambda found: found[:2])
    if is_guess:
        report.add(f"the words {feel!r} are read as the feel")
    return str(feel)
