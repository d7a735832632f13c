"""The body of an ABC tune, voice by voice, to bars of notes, chord symbols and signs.

Source: the ABC standard, version 2.1 (December 2011), sections 4.1 to 4.20 (notes to annotations), 7 (voices) and 11.3
(an accidental lasts to the bar line, in every octave unless ``%%propagate-accidentals`` says otherwise).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from core.errors import ChangewrightError
from core.foreign.abc_bars import AbcBars, AbcEvent
from core.foreign.abc_fields import (
    SIGNS,
    default_unit,
)
from core.foreign.abc_tokens import CHORD_NOTE, ROAD_MAP, TOKENS, TUPLET_TIME, abc_length, fifths_of
from core.foreign.events import MAX_NOTES
from core.foreign.harmony_read import Harmony
from core.foreign.plain_text import plain_text
from core.foreign.signs import merge_signs, words_signs
from core.foreign.xml_stream import Refused
from core.meter import Meter
from core.pitch import NATURAL_FIFTHS, Pitch
from core.symbol import parse_symbol


@dataclass(slots=True)
class AbcVoice(AbcBars):
    """Reads the body lines of one voice in turn; the bars are in ``measures``."""

    # --- music ------------------------------------------------------------------------------------------------------

    def read(self, line: str) -> None:
        """A line of music."""
        position = 0
        while position < len(line):
            match = TOKENS.match(line, position)
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
            self._add([], abc_length(match["rest_length"]) * self._unit)
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
        self._events.append(AbcEvent([] if self.voice.percussion else pitches, duration, False, tied))

    def _note(self, match: re.Match[str]) -> None:
        pitch = self._pitch(match["sign"], match["letter"], match["octave"])
        length = abc_length(match["length"]) * self._unit
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
            written = written.transposed(fifths_of(self.voice.semitones), self.voice.semitones)
        if not 0 <= written.midi <= 127:
            self.say("notes beyond the range of any instrument are not kept")
            return None
        return written

    def _chord(self, inside: str, outer: str) -> None:
        notes = list(CHORD_NOTE.finditer(inside))
        if not notes:
            return
        found = [self._pitch(note["sign"], note["letter"], note["octave"]) for note in notes]
        length = abc_length(notes[0]["length"]) * abc_length(outer)
        self._add([pitch for pitch in found if pitch is not None], length * self._unit)
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
        into = int(match["into"] or 0) or TUPLET_TIME.get(size, 3 if compound else 2)
        self._tuplets.append([Fraction(into, size), Fraction(int(match["count"] or 0) or size)])

    def _bars_of_rest(self, count: int) -> None:
        for _ in range(min(count, 200)):
            self._close()
            self._events.append(AbcEvent([], (self.meter or Meter()).length))

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
            return Harmony(None, None if harmony.typed == "N.C." else harmony.typed, harmony.optional)
        if self.voice.semitones:
            return Harmony(harmony.chord.transposed(fifths_of(self.voice.semitones)), None, harmony.optional)
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
        words = ROAD_MAP.get(name.lower().replace(" ", ""))
        if words == "$ segno":
            self.bar.signs.mark("segno")
        elif words == "$ coda":
            self.bar.signs.coda_glyphs = 1
        elif words:
            self._words(words)
            self.bar.signs.doubt = ""  # a decoration is a sign of the music, whatever its name begins with
