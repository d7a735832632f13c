"""ABC 2.1 to a score: the tune that is wanted, its voices, its parts in the order they are played.

We read ABC ourselves, since the general score reader we test against loses the order of parts and endings, reads chord
symbols through its own names and takes a second for a tune; it is the oracle in the tests instead.

Not kept, and reported: lyrics, grace notes, voice overlays, macros and redefined signs, words that are no road map.
"""

from __future__ import annotations

import re
from dataclasses import replace

from core.foreign.abc_body import AbcVoice
from core.foreign.abc_fields import (
    AbcKey,
    VoiceField,
    default_unit,
    parse_abc_key,
    parse_abc_meter,
    parse_abc_tempo,
    parse_unit,
    parse_voice,
    played_parts,
    take_properties,
)
from core.foreign.abc_file import AbcTune, tunes_of
from core.foreign.assemble import NOTE_FIELD, reading_of
from core.foreign.events import Measure
from core.foreign.plain_text import LONGEST_NOTE, plain_text, text_of
from core.foreign.report import Report
from core.foreign.score import MAX_BARS, MAX_OPTIONS, MAX_PARTS, Choices, Option, Score, asked
from core.foreign.signs import Signs, merge_signs
from core.foreign.unfold import in_order
from core.foreign.xml_stream import Refused
from core.imported import Imported
from core.key import Key

_FIELD = re.compile(r"([A-Za-z+]):(.*)$")
_MUSIC = re.compile(r"[A-Ga-gzxZ]|\"|\[|\|")
_NOT_MUSIC = frozenset("ABCDFGHNORSTUWXZmrsw")
_LOST = {"w": "lyrics are not kept", "W": "lyrics are not kept", "m": "macros are not kept",
         "U": "redefined signs are not kept", "s": "symbol lines are not kept"}  # fmt: skip
DEFAULT_VOICE = "1"
MAX_REMARKS = 200


def abc_reading(data: bytes, name: str, choices: Choices) -> Imported:
    """Read an ABC file; ``name`` is the title of an untitled tune. Raises :class:`Refused`."""
    text, guessed = text_of(data)
    tunes = [tune for tune in tunes_of(text) if any(_is_music(line) for line in tune.body)]
    if not tunes:
        raise Refused("holds no ABC tune: none has X:, K: and notes below them", "open a file of ABC 2.1")
    report = Report()
    score = Score(report)
    options = tuple(Option(str(at), _called(tune, at)) for at, tune in enumerate(tunes))
    tune = tunes[0]
    if len(tunes) > 1:
        question = asked(choices, "tune", options, "0")
        score.questions.append(question)
        tune = tunes[int(question.chosen)]
        unlisted = f"; the first {MAX_OPTIONS} can be chosen" if len(tunes) > MAX_OPTIONS else ""
        report.add(f"of {len(tunes)} tunes in the file {_called(tune, 0)!r} is read{unlisted}")
    if guessed:
        report.add("the text is not UTF-8; it is read as Western European")
    _TuneReader(score, tune).read()
    return reading_of(score, name, choices)


def _is_music(line: str) -> bool:
    return _FIELD.match(line) is None and _MUSIC.search(line) is not None


def _called(tune: AbcTune, at: int) -> str:
    return tune.title or (f"X:{tune.first('X')}" if tune.first("X") else f"tune {at + 1}")


class _TuneReader:
    def __init__(self, score: Score, tune: AbcTune) -> None:
        self._score, self._tune, self._report = score, tune, score.report
        self._voices: dict[str, AbcVoice] = {}
        self._fields: dict[str, VoiceField] = {}
        self._part = ""
        self._sections: dict[str, tuple[int, int]] = {}

    def read(self) -> None:
        """Fill the score."""
        self._head()
        current = self._voice(next(iter(self._fields), DEFAULT_VOICE))
        for line in self._lines():
            match = _FIELD.match(line)
            if match is None or (match[1] in "ABCDFG" and "|" in line and len(match[2].split()) > 3):
                current = self._music(line, current)
            elif match[1] == "V":
                current = self._switch(match[2])
            elif match[1] == "P":
                self._begin_part(match[2], current)
            elif match[1] in _LOST:
                self._report.add(_LOST[match[1]])
            elif match[1] not in _NOT_MUSIC:
                current.take_field(match[1], match[2])
        self._finish()

    def _lines(self) -> list[str]:
        """Body lines, those that end in a backslash joined to the next line of music."""
        lines: list[str] = []
        joining = False
        for line in self._tune.body:
            plain = line.removesuffix("\\")
            if joining and _FIELD.match(line) is None:
                lines[-1] += " " + plain
            else:
                lines.append(plain)
            joining = line.endswith("\\") and _FIELD.match(lines[-1]) is None
        return lines

    # --- header -----------------------------------------------------------------------------------------------------

    def _head(self) -> None:
        tune, report = self._tune, self._report
        self._score.titles["movement"] = tune.title
        self._score.composers += [plain_text(value) for key, value in tune.header if key == "C" and value.strip()]
        remarks = [value for name, value in tune.header if name == "N"][:MAX_REMARKS]
        self._score.fields[NOTE_FIELD] = "\n".join(
            plain_text(text[:LONGEST_NOTE], LONGEST_NOTE) for text in remarks
        ).strip()
        key = parse_abc_key(tune.first("K"))
        if key is None:
            report.add(f"the key {tune.first('K')[:20]!r} cannot be read; no sharps or flats are assumed")
        elif key.note:
            report.add(key.note)
        self._key = key or AbcKey(Key(0), {}, False)
        self._meter, note = parse_abc_meter(tune.first("M")) if tune.first("M") else (None, "free metre")
        if note == "free metre":
            report.add("the tune has no metre; bars are as long as they are written")
        elif note:
            report.add(note)
        self._unit = parse_unit(tune.first("L"))
        for name, value in tune.header:
            if name == "V":
                voice = parse_voice(value)
                self._fields.setdefault(voice.id, voice)
            elif name in _LOST:
                report.add(_LOST[name])
        self._propagate = next((value.split()[-1] for name, value in tune.header
                                if name == "I" and value.startswith("propagate-accidentals")), "pitch")  # fmt: skip

    def _voice(self, name: str) -> AbcVoice:
        """The reader of a voice, begun where the tune first names it."""
        if name not in self._voices:
            if len(self._voices) >= MAX_PARTS:
                raise Refused(f"has more than {MAX_PARTS} voices", "open a smaller tune")
            field = self._fields.setdefault(name, VoiceField(name))
            if not self._voices:
                take_properties(field, self._tune.first("K"))
            key = replace(self._key, signature=dict(self._key.signature))
            voice = AbcVoice(self._report, field, key, self._meter, self._unit, self._propagate)
            self._open(voice)
            self._voices[name] = voice
        return self._voices[name]

    def _open(self, voice: AbcVoice) -> None:
        voice.bar.key = voice.concert_key(self._key)
        voice.bar.mode_given = self._key.mode_given
        if self._tune.first("Q") and not self._voices:
            tempo, words = parse_abc_tempo(self._tune.first("Q"), self._unit or default_unit(self._meter))
            merge_signs(voice.bar.signs, Signs(tempo=tempo, feel=plain_text(words) or None), voice.say)
        rhythm = plain_text(self._tune.first("R"))
        if rhythm and not self._voices and voice.bar.signs.feel is None:
            merge_signs(voice.bar.signs, Signs(feel=rhythm, feel_is_guess=True), voice.say)

    # --- body -------------------------------------------------------------------------------------------------------

    def _switch(self, value: str) -> AbcVoice:
        field = parse_voice(value)
        known = self._fields.setdefault(field.id, field)
        take_properties(known, value)
        return self._voice(field.id)

    def _music(self, line: str, current: AbcVoice) -> AbcVoice:
        """Read a line, which may change the voice in the middle."""
        for at, piece in enumerate(re.split(r"\[V:([^\]]*)\]", line)):
            if at % 2:
                current = self._switch(piece)
            elif piece:
                current.read(piece)
        return current

    def _begin_part(self, value: str, current: AbcVoice) -> None:
        name = plain_text(value)
        current.take_field("P", value)
        current.begin_part()
        if current is next(iter(self._voices.values())):
            at = len(current.measures)
            if self._part:
                self._sections[self._part] = (self._sections[self._part][0], at)
            self._part = name[:1] if len(name.strip(". ")) == 1 else name
            self._sections.setdefault(self._part, (at, at))

    def _finish(self) -> None:
        for voice in self._voices.values():
            voice.finish()
        bars = max((len(voice.measures) for voice in self._voices.values()), default=0)
        if not bars:
            raise Refused("holds no bars", "open a tune that has music in it")
        if self._part:
            self._sections[self._part] = (self._sections[self._part][0], bars)
        order = self._order()
        for name, voice in self._voices.items():
            if not voice.measures:
                continue
            _number(voice.measures)
            measures = voice.measures
            if order is not None:
                measures = in_order(measures, order, signs=True)
            self._score.parts[name] = measures
            self._score.names[name] = voice.voice.name or (name if not name.isdigit() else f"voice {name}")

    def _order(self) -> list[int] | None:
        """Written bars in the order that ``P:`` in the header gives its parts; None where it is the order on paper."""
        wanted = played_parts(self._tune.first("P"))
        if not wanted or not self._sections:
            return None
        missing = sorted({letter for letter in wanted if letter not in self._sections})
        if missing:
            self._report.add(f"the order of parts {wanted[:40]} names {', '.join(missing)}, which is not in the tune; "
                             "the parts are read as they are written")  # fmt: skip
            return None
        order = list(range(min(first for first, _ in self._sections.values())))
        for letter in wanted:
            order += range(*self._sections[letter])
        if len(order) > MAX_BARS:
            raise Refused("plays its parts more often than any tune", "mend its P: field")
        if order == list(range(max(last for _, last in self._sections.values()))):
            return None
        self._report.add(f"the parts are written out in the order they are played, {wanted[:60]}")
        return order


def _number(measures: list[Measure]) -> None:
    """Bars are numbered from 1, a pickup is 0."""
    first = measures[0]
    short = len(measures) > 1 and first.length < first.meter.length
    for at, measure in enumerate(measures):
        measure.number = str(at if short else at + 1)
