"""The body of an ABC tune, voice by voice, to bars of notes, chord symbols and signs.

Source: the ABC standard, version 2.1 (December 2011), sections 4.1 to 4.20 (notes to annotations), 7 (voices) and 11.3
(an accidental lasts to the bar line, in every octave unless ``%%propagate-accidentals`` says otherwise).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction

from core.errors import ChangewrightError
from core.foreign.abc_fields import (
    SIGNS,
    AbcKey,
    VoiceField,
    default_unit,
    parse_abc_key,
    parse_abc_meter,
    parse_abc_tempo,
    parse_unit,
    take_properties,
)
from core.foreign.barring import UNBARRED, cut_at_metre
from core.foreign.events import MAX_BAR, MAX_NOTES, ZERO, Measure, RawHarmony, RawNote
from core.foreign.harmony_read import Harmony
from core.foreign.plain_text import plain_text
from core.foreign.report import Report
from core.foreign.score import MAX_BARS
from core.foreign.signs import Signs, merge_signs, words_signs
from core.foreign.xml_stream import Refused
from core.key import Key
from core.meter import Meter
from core.pitch import NATURAL_FIFTHS, Pitch
from core.symbol import parse_symbol

_NOTE = (
    r"(?:(?P<sign>\^\^|\^|__|_|=)(?:\d{0,2}/\d{0,2})?)?(?P<letter>[A-Ga-g])(?P<octave>[',]{0,8})"
    r"(?P<length>\d{0,5}(?:/{1,6}\d{0,5})?)"
)
_TOKENS = re.compile(
    r"(?P<space>[\s`$\\]+)"
    r'|"(?P<text>[^"]{0,400})"'
    r"|\[(?P<field>[A-Za-z]):(?P<value>[^\]]{0,200})\]"
    r"|(?P<bar>\.?(?::*(?:\[\||\|+\]?)(?:\||\])*:*|::+))(?:(?:\s*\[)?(?P<ending>[1-9]\d?(?:[,.-]\s*\d{1,2}){0,12}\.?))?"
    r'|\[(?P<bracket>[1-9]\d?(?:[,.-]\s*\d{1,2}){0,12}\.?|"[^"]{0,20}")'
    r"|\[(?P<chord>[^\]|]{0,200})\](?P<chord_length>\d{0,5}(?:/{1,6}\d{0,5})?)"
    r"|\((?P<tuplet>[2-9])(?::(?P<into>\d{0,2}))?(?::(?P<count>\d{0,2}))?"
    r"|(?P<grace>\{[^}]{0,200}\})"
    r"|[!+](?P<decoration>[A-Za-z0-9.<>()^/~-][^!+|\n]{0,24})[!+]"
    r"|(?P<rest>[zx])(?P<rest_length>\d{0,5}(?:/{1,6}\d{0,5})?)|(?P<bars_rest>[ZX])(?P<bars>\d{0,3})"
    r"|(?P<broken>>{1,4}|<{1,4})|(?P<tie>-)|(?P<overlay>&)"
    r"|(?P<mark>[SO](?=\s*[\"\[A-Ga-gz^_=(|]))"
    r"|(?P<slur>[()])|(?P<spacer>y\d*)|(?P<shorthand>[.~HIJKLMNOPQRSTUVWhijklmnopqrstuvw!*;?@#,'])"
    r"|(?P<colon>:)|" + _NOTE
)  # fmt: skip
_CHORD_NOTE = re.compile(_NOTE + r"(?P<tie>-?)")
_TUPLET_TIME = {2: 3, 3: 2, 4: 3, 6: 2, 8: 3}
_ROAD_MAP = {
    "segno": "$ segno", "coda": "$ coda", "fine": "Fine", "d.c.": "D.C.", "d.s.": "D.S.", "dacapo": "D.C.",
    "dacoda": "To Coda", "tocoda": "To Coda", "d.c.alcoda": "D.C. al Coda", "d.c.alfine": "D.C. al Fine",
    "d.s.alcoda": "D.S. al Coda", "d.s.alfine": "D.S. al Fine",
}  # fmt: skip


@dataclass(slots=True)
class _Event:
    """Notes (or none) that begin together, with their length in quarters before it is known where they stand."""

    pitches: list[Pitch]
    duration: Fraction
    ties: bool = False
    tied: tuple[int, ...] = ()


@dataclass(slots=True)
class AbcVoice:
    """Reads the body lines of one voice in turn; the bars are in ``measures``."""

    report: Report
    voice: VoiceField
    key: AbcKey
    meter: Meter | None
    unit: Fraction | None
    propagate: str = "pitch"
    measures: list[Measure] = field(default_factory=list)
    note_count: int = 0
    junk: int = 0
    _events: list[_Event] = field(default_factory=list)
    _harmonies: list[tuple[int, Harmony]] = field(default_factory=list)
    _next: Measure | None = None
    _late: list[AbcKey | Meter] = field(default_factory=list)
    _accidentals: dict[tuple[str, int], int] = field(default_factory=dict)
    _tuplets: list[list[Fraction]] = field(default_factory=list)
    _broken: Fraction = Fraction(1)
    _tied: tuple[Pitch, ...] = ()
    _tied_ending: tuple[Pitch, ...] = ()
    _in_ending: bool = False
    _double: int = 0
    _open: bool = False
    _kept: tuple[list[_Event], int] | None = None
    """Events and number of chord symbols before an overlay; what follows up to the bar line is dropped."""

    # --- bars -------------------------------------------------------------------------------------------------------

    @property
    def bar(self) -> Measure:
        """The bar that is being read."""
        if self._next is None:
            if len(self.measures) >= MAX_BARS:
                raise Refused(f"has more than {MAX_BARS} bars", "open a shorter tune")
            self._next = Measure("", None, self.meter or Meter())
        return self._next

    def say(self, sentence: str) -> None:
        """Report about the bar being read."""
        self.report.add(sentence, len(self.measures))

    def _close(self) -> bool:
        """End the bar if anything stands in it."""
        if self._kept is not None:
            (self._events, count), self._kept = self._kept, None
            del self._harmonies[count:]
        if not self._events:
            return False
        bar, at = self.bar, ZERO
        places = [at]
        for event in self._events:
            for pitch in event.pitches:
                bar.notes.append(RawNote(at, event.duration, pitch, "1", 1, event.ties, pitch.midi in event.tied))
            at += event.duration
            places.append(at)
        bar.harmonies += [RawHarmony(places[index], harmony) for index, harmony in self._harmonies]
        bar.length = at
        if self.meter is not None and at > UNBARRED * self.meter.length:
            self.say("a stretch without bar lines is cut at the metre")
            self.measures += cut_at_metre(bar, self.meter)
        elif at > MAX_BAR:
            raise Refused(f"has a bar of {float(at):g} quarter notes", "mend the lengths and open it again")
        else:
            self.measures.append(bar)
        self._events, self._harmonies, self._next = [], [], None
        self._accidentals.clear()
        self._tuplets.clear()
        late, self._late = self._late, []
        for value in late:
            self._changed(value)
        return True

    def finish(self) -> None:
        """The last bar, which may have no bar line; a chord symbol that stands alone at the end is dropped."""
        self._close()

    def _bar_line(self, text: str, ending: str | None) -> None:
        colons = text.strip(".[]")
        before = len(colons) - len(colons.lstrip(":"))
        after = len(colons) - len(colons.rstrip(":"))
        if set(colons) == {":"}:
            before = after = len(colons) // 2
        self._close()
        last = self.measures[-1] if self.measures else None
        if last is not None and before:
            last.backward = max(last.backward, before + 1)
            self._begin_repeat()
        if (
            last is not None
            and self._in_ending
            and (before or after or ending or set("[]") & set(text) or "||" in text)
        ):
            last.ending_stop, self._in_ending = True, False
        if before or after or (not self._open and ("||" in text or set("[]") & set(text))):
            self._double, self._open = len(self.measures), bool(after)
        if after:
            self.bar.forward = True
        if ending:
            self._ending(ending)

    def begin_part(self) -> None:
        """A part begins: a repeat without a beginning in it goes back to here."""
        self._double, self._open = len(self.measures), False

    def _begin_repeat(self) -> None:
        """4.8: a repeat without a beginning goes back to the last double bar or repeat sign, or to the first bar."""
        if not self._open and self._double < len(self.measures) and self._double:
            self.measures[self._double].forward = True

    def _ending(self, number: str) -> None:
        self.bar.ending_start, self._in_ending = number.strip('"'), True
        first = re.match(r"\D*1", number) is not None
        self._tied_ending = self._tied if first else self._tied_ending
        self._tied = self._tied or self._tied_ending

    # --- fields -----------------------------------------------------------------------------------------------------

    def take_field(self, name: str, value: str) -> None:
        """A field inside the body."""
        if name == "K":
            self._take_key(value)
        elif name == "M":
            self._take_meter(value)
        elif name == "L":
            self.unit = parse_unit(value) or self.unit
        elif name == "Q":
            tempo, words = parse_abc_tempo(value, self.unit or default_unit(self.meter))
            merge_signs(self.bar.signs, Signs(tempo=tempo, feel=plain_text(words) or None), self.say)
        elif name == "P":
            self.bar.signs.section = plain_text(value) or None
        elif name == "I" and value.strip().startswith("propagate-accidentals"):
            self.propagate = value.split()[-1]

    def _take_key(self, value: str) -> None:
        take_properties(self.voice, value)
        key = parse_abc_key(value)
        if key is None:
            if "=" not in value and not re.match(r"\s*(treble|alto|tenor|bass|perc)", value):
                self.say(f"the key {value[:20]!r} cannot be read; the key before is kept")
            return
        if key.note:
            self.say(key.note)
        self._changed(key)

    def _take_meter(self, value: str) -> None:
        meter, note = parse_abc_meter(value)
        if note and note != "free metre":
            self.say(note)
        if meter is not None:
            self._changed(meter)

    def _changed(self, value: AbcKey | Meter) -> None:
        """A new key acts at once on the notes; on paper it and a new metre belong to a bar line."""
        if isinstance(value, AbcKey):
            self.key = value
            self._accidentals.clear()
        if self._events:
            if not self._late:
                self.say("a change of key or metre inside the bar is read at the next bar line")
            self._late.append(value)
        elif isinstance(value, Meter):
            if self.unit is None:
                self.unit = default_unit(self.meter)
            self.meter = self.bar.meter = value
        else:
            self.bar.key, self.bar.mode_given = self.concert_key(value), value.mode_given

    def concert_key(self, key: AbcKey) -> Key:
        """The key as it sounds."""
        return key.key.transposed(_fifths(self.voice.semitones))

    # --- music ------------------------------------------------------------------------------------------------------

    def read(self, line: str) -> None:
        """A line of music."""
        position = 0
        while position < len(line):
            match = _TOKENS.match(line, position)
            if match is None:
                self.junk += 1
                self.say("signs that are not ABC are passed over")
                position += 1
                continue
            self._token(match)
            position = max(match.end(), position + 1)

    def _token(self, match: re.Match[str]) -> None:
        kind = match.lastgroup if match.lastgroup in ("space", "slur", "spacer", "shorthand") else None
        if kind:
            return
        if match["bar"] is not None:
            self._bar_line(match["bar"], match["ending"])
        elif match["letter"]:
            self._note(match)
        elif match["text"] is not None:
            self._text(match["text"])
        elif match["rest"]:
            self._add([], _length(match["rest_length"]) * self._unit)
        elif match["broken"]:
            self._break(match["broken"])
        elif match["tie"]:
            self._tie()
        elif match["tuplet"]:
            self._tuplet(match)
        elif match["chord"] is not None:
            self._chord(match["chord"], match["chord_length"])
        elif match["field"]:
            self.take_field(match["field"], match["value"])
        else:
            self._rare(match)

    def _rare(self, match: re.Match[str]) -> None:
        if match["bracket"]:
            self._close()
            if self.measures and self._in_ending:
                self.measures[-1].ending_stop = True
            self._ending(match["bracket"])
        elif match["bars_rest"]:
            self._bars_of_rest(int(match["bars"] or 1))
        elif match["grace"]:
            self.say("grace notes are not kept")
        elif match["decoration"]:
            self._decoration(match["decoration"])
        elif match["mark"]:
            self._decoration("segno" if match["mark"] == "S" else "coda")
        elif match["overlay"]:
            self.say("a second voice in the bar is not kept")
            self._drop_overlay()
        elif match["colon"] and not self._events:
            self.bar.forward = True

    @property
    def _unit(self) -> Fraction:
        return self.unit if self.unit is not None else default_unit(self.meter)

    def _add(self, pitches: list[Pitch], duration: Fraction) -> None:
        for tuplet in self._tuplets:
            duration *= tuplet[0]
            tuplet[1] -= 1
        self._tuplets = [tuplet for tuplet in self._tuplets if tuplet[1] > 0]
        duration, self._broken = duration * self._broken, Fraction(1)
        self.note_count += 1
        if self.note_count > MAX_NOTES:
            raise Refused("holds more notes than any tune", "open a shorter tune")
        tied = tuple(pitch.midi for pitch in self._tied)
        self._tied = ()
        _ = self.bar
        self._events.append(_Event([] if self.voice.percussion else pitches, duration, False, tied))

    def _note(self, match: re.Match[str]) -> None:
        pitch = self._pitch(match["sign"], match["letter"], match["octave"])
        length = _length(match["length"]) * self._unit
        self._add([] if pitch is None else [pitch], length)

    def _pitch(self, sign: str | None, letter: str, marks: str) -> Pitch | None:
        octave = (5 if letter.islower() else 4) + marks.count("'") - marks.count(",") + self.voice.octave
        name = letter.upper()
        place = (name, 0 if self.propagate == "pitch" else octave)
        if sign and self.propagate != "not":
            self._accidentals[place] = SIGNS[sign]
        held = next((pitch for pitch in self._tied if pitch.octave == octave
                     and NATURAL_FIFTHS[name] % 7 == pitch.fifths % 7), None)  # fmt: skip
        alteration = SIGNS[sign] if sign else self._accidentals.get(place, self.key.signature.get(name, 0))
        written = Pitch(NATURAL_FIFTHS[name] + 7 * alteration, octave)
        if held is not None and not sign and place not in self._accidentals and not self.voice.semitones:
            return held
        if self.voice.semitones:
            written = written.transposed(_fifths(self.voice.semitones), self.voice.semitones)
        if not 0 <= written.midi <= 127:
            self.say("notes beyond the range of any instrument are not kept")
            return None
        return written

    def _chord(self, inside: str, outer: str) -> None:
        notes = list(_CHORD_NOTE.finditer(inside))
        if not notes:
            return
        found = [self._pitch(note["sign"], note["letter"], note["octave"]) for note in notes]
        self._add(
            [pitch for pitch in found if pitch is not None], _length(notes[0]["length"]) * _length(outer) * self._unit
        )
        if any(note["tie"] for note in notes):
            self._tie()

    def _tie(self) -> None:
        last = self._events[-1] if self._events else None
        if last is not None:
            last.ties, self._tied = True, tuple(last.pitches)
        elif self.measures and self.measures[-1].notes:  # a tie written behind the bar line
            self._tied = (self.measures[-1].notes[-1].pitch,)

    def _break(self, signs: str) -> None:
        short = Fraction(1, 2 ** len(signs))
        first = 2 - short if signs[0] == ">" else short
        if self._events:
            self._events[-1].duration *= first
            self._broken = 2 - first

    def _tuplet(self, match: re.Match[str]) -> None:
        size = int(match["tuplet"])
        compound = self.meter is not None and (
            self.meter.is_compound or (self.meter.numerator, self.meter.denominator) == (3, 8)
        )
        into = int(match["into"] or 0) or _TUPLET_TIME.get(size, 3 if compound else 2)
        self._tuplets.append([Fraction(into, size), Fraction(int(match["count"] or 0) or size)])

    def _bars_of_rest(self, count: int) -> None:
        for _ in range(min(count, 200)):
            self._close()
            self._events.append(_Event([], (self.meter or Meter()).length))

    def _drop_overlay(self) -> None:
        """What follows ``&`` up to the bar line sounds together with what stands before it."""
        if self._kept is None:
            self._kept = self._events, len(self._harmonies)
        self._events = []

    # --- words ------------------------------------------------------------------------------------------------------

    def _text(self, text: str) -> None:
        stripped = text.strip()
        if not stripped:
            return
        if stripped[0] in "^_<>@":
            self._words(stripped[1:])
            return
        for part in re.split(r"[;\n]|\\n", plain_text(stripped)):
            self._symbol(part.strip())

    def _symbol(self, text: str) -> None:
        optional = text.startswith("(") and text.endswith(")")
        alternate = re.fullmatch(r"([^()]+?)\s*\(([A-G][^()]*)\)", text)
        plain = text[1:-1] if optional else text
        for candidate in (plain, alternate[1] if alternate else ""):
            try:
                chord = parse_symbol(candidate) if candidate else None
            except (ChangewrightError, RecursionError):
                continue
            if candidate:
                if candidate is not plain:
                    self.say("an alternate harmony is not kept")
                self._harmonies.append((len(self._events), self._concert(Harmony(chord, candidate, optional))))
                _ = self.bar
                return
        self._words(text, symbol=True)

    def _concert(self, harmony: Harmony) -> Harmony:
        if harmony.chord is None:
            return harmony
        if self.voice.semitones:
            return Harmony(harmony.chord.transposed(_fifths(self.voice.semitones)), None, harmony.optional)
        typed = None if harmony.typed == harmony.chord.canonical else harmony.typed
        return Harmony(harmony.chord, typed, harmony.optional)

    def _words(self, text: str, symbol: bool = False) -> None:
        signs = words_signs(plain_text(text))
        if signs.jump or signs.marks or signs.no_chord:
            if signs.no_chord:
                self._harmonies.append((len(self._events), Harmony(None, None)))
            merge_signs(self.bar.signs, signs, self.say)
        elif re.fullmatch(r"[\d\s.,/]+", text):
            self.say("fingerings are not kept")
        elif symbol and text[:1] in "ABCDEFGHabcdefgh" and len(text) <= 20 and " " not in text:
            self.say(f"the chord text {text[:30]!r} could not be read and is not kept")
        elif any(character.isalpha() for character in text):
            self.say("words above the notes are not kept")

    def _decoration(self, name: str) -> None:
        words = _ROAD_MAP.get(name.lower().replace(" ", ""))
        if words == "$ segno":
            self.bar.signs.mark("segno")
        elif words == "$ coda":
            self.bar.signs.coda_glyphs = 1
        elif words:
            self._words(words)


def _fifths(semitones: int) -> int:
    return (semitones * 7 + 5) % 12 - 5


def _length(written: str | None) -> Fraction:
    numerator, slashes, denominator = (written or "").partition("/")
    if slashes and set(denominator) <= {"/"}:
        denominator = str(2 ** (1 + len(denominator)))
    below = int(denominator.strip("/") or 1) if slashes else 1
    if not below or (numerator.strip("0") == "" and numerator):
        raise Refused("has a note of no length or of an endless one", "mend that note and open it again")
    return Fraction(int(numerator or 1), below)
