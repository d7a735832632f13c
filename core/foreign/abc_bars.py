"""The bars of an ABC voice: bar lines, repeats, endings, and the fields that may stand inside a tune.

Source: the ABC standard, version 2.1 (December 2011), sections 4.8 to 4.10 (bar lines, repeats, endings), 3.2 (fields).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction

from core.foreign.abc_fields import (
    AbcKey,
    VoiceField,
    default_unit,
    parse_abc_key,
    parse_abc_meter,
    parse_abc_tempo,
    parse_unit,
    take_properties,
)
from core.foreign.abc_tokens import fifths_of
from core.foreign.barring import UNBARRED, cut_at_metre
from core.foreign.events import MAX_BAR, ZERO, Measure, RawHarmony, RawNote
from core.foreign.harmony_read import Harmony
from core.foreign.plain_text import plain_text
from core.foreign.report import Report
from core.foreign.score import MAX_BARS
from core.foreign.signs import Signs, merge_signs
from core.foreign.xml_stream import Refused
from core.key import Key
from core.meter import Meter
from core.pitch import Pitch


@dataclass(slots=True)
class AbcEvent:
    """Notes (or none) that begin together, with their length in quarters before it is known where they stand."""

    pitches: list[Pitch]
    duration: Fraction
    ties: bool = False
    tied: tuple[int, ...] = ()


@dataclass(slots=True)
class AbcBars:
    """The bars of one voice while they are read: what is open, what carries over a bar line, fields in the body."""

    report: Report
    voice: VoiceField
    key: AbcKey
    meter: Meter | None
    unit: Fraction | None
    propagate: str = "pitch"
    measures: list[Measure] = field(default_factory=list)
    note_count: int = 0
    junk: int = 0
    _events: list[AbcEvent] = field(default_factory=list)
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
    _kept: tuple[list[AbcEvent], int] | None = None
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
        if last is not None and (set("[]") & set(text) or "||" in text):
            last.closes = True
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
        if not self._open and 0 < self._double < len(self.measures):
            before = self.measures[self._double - 1]
            if not before.backward and not before.ending_stop:  # there a form begins again by itself
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
        return key.key.transposed(fifths_of(self.voice.semitones))
