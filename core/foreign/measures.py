"""One ``<measure>`` of one part to events in quarter notes: notes, chord symbols, bar lines, signs.

Time is kept twice: as the file counts it (divisions), which moves backup and forward, and as the notes say it (type,
dots, tuplet), which is exact where divisions are too coarse for a triplet and the file had to round.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction
from xml.etree.ElementTree import Element

from core.foreign.events import MAJOR_MODES, MAX_BAR, MAX_NOTES, MINOR_MODES, ZERO, Measure, RawHarmony, RawNote
from core.foreign.harmony_read import Harmony, read_harmony
from core.foreign.report import Report
from core.foreign.signs import Signs, merge_signs, read_direction, read_sound
from core.foreign.xml_stream import Refused
from core.key import Key
from core.meter import Meter, MeterError, parse_meter
from core.pitch import NATURAL_FIFTHS, Pitch

_NUMBER = re.compile(r"\s*([+-]?\d{1,12}(?:\.\d{1,6})?)\s*$")
_CLOSING = frozenset({"light-light", "light-heavy", "heavy-light", "heavy-heavy"})
_TYPES = {"1024th": -8, "512th": -7, "256th": -6, "128th": -5, "64th": -4, "32nd": -3, "16th": -2, "eighth": -1,
          "quarter": 0, "half": 1, "whole": 2, "breve": 3, "long": 4, "maxima": 5}  # fmt: skip


@dataclass(slots=True)
class PartReader:
    """Reads the measures of one part in turn, keeping what carries over: divisions, key, metre, transposition."""

    report: Report
    divisions: Fraction = Fraction(1)
    key: Key = field(default_factory=lambda: Key(0))
    meter: Meter = field(default_factory=Meter)
    shift: tuple[int, int] = (0, 0)
    percussion: bool = False
    slashes: bool = False
    count: int = 0
    note_count: int = 0
    late: list[Key | Meter] = field(default_factory=list)
    lengths: dict[str, Fraction] = field(default_factory=dict)
    pitches: dict[tuple[str, str, str], Pitch | None] = field(default_factory=dict)
    repeats: int = 0
    """How many bars before the one that a bar-repeat sign stands for; 0 where none is in force."""

    def read(self, element: Element) -> Measure:
        """Events of the next measure."""
        reader = _MeasureReader(self, element)
        self.count += 1
        return reader.read()

    def say(self, sentence: str) -> None:
        """Report about the bar being read."""
        self.report.add(sentence, self.count - 1)


class _MeasureReader:
    def __init__(self, part: PartReader, element: Element) -> None:
        self._part, self._element = part, element
        implicit = element.get("implicit")
        self._measure = Measure(" ".join(element.get("number", "").split()), None if implicit is None
                                else implicit == "yes", part.meter)  # fmt: skip
        self._cursor = self._last_onset = self._end = ZERO
        self._exact: dict[Fraction, Fraction] = {}
        self._handlers = {
            "note": self._note, "backup": self._move, "forward": self._move, "attributes": self._attributes,
            "harmony": self._harmony, "direction": self._direction, "sound": self._sound, "barline": self._barline,
        }  # fmt: skip

    def read(self) -> Measure:
        self._apply_late()
        for child in self._element:
            handler = self._handlers.get(child.tag)
            if handler is not None:
                handler(child)
        if self._end > MAX_BAR:
            raise Refused(f"has a bar of {float(self._end):g} quarter notes", "mend the durations and open it again")
        if self._part.late and self._cursor < self._end:
            self._part.say("a change of key or metre inside the bar is read at the next bar line")
        self._measure.length = self._exact.get(self._end, self._end)
        return self._measure

    def _apply_late(self) -> None:
        late, self._part.late = self._part.late, []
        for value in late:
            self._changed(value)

    # --- time and notes ---------------------------------------------------------------------------------------------

    def _quarters(self, text: str | None) -> Fraction:
        """A number of divisions in quarter notes; zero if it cannot be read."""
        if text is None:
            return ZERO
        known = self._part.lengths.get(text)
        if known is None:
            match = _NUMBER.match(text)
            known = self._part.lengths[text] = Fraction(match[1]) / self._part.divisions if match else ZERO
        return known

    def _move(self, element: Element) -> None:
        amount = self._quarters(element.findtext("duration"))
        self._cursor += -amount if element.tag == "backup" else amount
        if self._cursor < 0:
            self._part.say("the file steps back before the bar line; read from the bar line")
            self._cursor = ZERO
        self._end = max(self._end, self._cursor)

    def _note(self, element: Element) -> None:
        inside = {child.tag: child for child in element}
        if "grace" in inside:
            self._part.say("grace notes are not kept")
            return
        duration = self._quarters(inside["duration"].text if "duration" in inside else None)
        rest = inside.get("rest")
        if rest is not None and rest.get("measure") == "yes" and not 0 < duration <= self._measure.meter.length:
            duration = self._measure.meter.length
        onset = self._last_onset if "chord" in inside else self._cursor
        if "chord" not in inside:
            self._last_onset, self._cursor = onset, onset + max(duration, ZERO)
        self._end = max(self._end, onset + duration)
        start = self._exact.get(onset, onset)
        exact = _notated(element, duration, self._part.divisions) if "time-modification" in inside else duration
        if exact is not duration or start is not onset:
            self._exact[onset + duration] = start + exact
        self._measure.has_lyrics = self._measure.has_lyrics or "lyric" in inside
        if rest is None and exact > 0 and self._is_melodic(inside):
            self._keep(element, inside, start, exact)

    def _is_melodic(self, inside: dict[str, Element]) -> bool:
        if "cue" in inside:
            self._part.say("cue notes are not kept")
        elif self._part.percussion or "pitch" not in inside:
            self._part.say("notes without a pitch are not kept")
        elif self._part.slashes or ("notehead" in inside and (inside["notehead"].text or "").strip() == "slash"):
            self._part.say("rhythm slashes are not kept as melody")
        else:
            return True
        return False

    def _keep(self, element: Element, inside: dict[str, Element], onset: Fraction, duration: Fraction) -> None:
        pitch = self._pitch(inside["pitch"])
        if pitch is None:
            self._part.say("notes whose pitch cannot be read are not kept")
            return
        self._part.note_count += 1
        if self._part.note_count > MAX_NOTES:
            raise Refused("holds more notes than any lead sheet", "open a shorter score")
        ties: set[str | None] = set()
        if "tie" in inside:
            ties = {tie.get("type") for tie in element.findall("tie")}
        elif "notations" in inside:
            ties = {tied.get("type") for tied in element.iterfind("notations/tied")}
        voice = (inside["voice"].text or "1").strip() if "voice" in inside else "1"
        staff = _whole(inside["staff"].text, 1) if "staff" in inside else 1
        self._measure.notes.append(RawNote(onset, duration, pitch, voice, staff, "start" in ties, "stop" in ties))

    def _pitch(self, element: Element) -> Pitch | None:
        """The sounding pitch of a ``<pitch>``, None if it cannot be read."""
        parts = {child.tag: (child.text or "").strip() for child in element}
        named = (parts.get("step", ""), parts.get("alter", "0"), parts.get("octave", ""))
        if named not in self._part.pitches:
            self._part.pitches[named] = _sounding(*named, self._part.shift)
        alter = named[1]
        if not alter.lstrip("-").isdigit() and _NUMBER.match(alter) and Fraction(alter).denominator > 1:
            self._part.say("notes between the keys of the piano are moved to the nearest key")
        return self._part.pitches[named]

    # --- everything else --------------------------------------------------------------------------------------------

    def _place(self, element: Element) -> Fraction:
        """Where a harmony or direction stands: the cursor moved by its offset, inside the bar."""
        at = self._cursor + self._quarters(element.findtext("offset"))
        return max(ZERO, self._exact.get(at, at))

    def _harmony(self, element: Element) -> None:
        harmony = read_harmony(element, self._part.key, self._part.shift[0], self._part.say)
        if harmony is not None:
            self._measure.harmonies.append(
                RawHarmony(self._place(element), harmony, element.get("placement") == "below",
                           element.get("type") == "alternate"))  # fmt: skip

    def _direction(self, element: Element) -> None:
        signs = read_direction(element)
        if signs.no_chord:
            self._measure.harmonies.append(RawHarmony(self._place(element), Harmony(None, "N.C.")))
            self._part.say("the words N.C. are read as no chord")
        self._take_over(signs)

    def _sound(self, element: Element) -> None:
        self._take_over(read_sound(element))

    def _take_over(self, signs: Signs) -> None:
        merge_signs(self._measure.signs, signs, self._part.say, self._cursor == 0)

    def _barline(self, element: Element) -> None:
        left = element.get("location") == "left"
        for name in ("segno", "coda"):
            if element.find(name) is not None or element.get(name) is not None:
                self._take_over(Signs(marks={name}) if name == "segno" or element.get(name) else Signs(coda_glyphs=1))
        if not left and (element.findtext("bar-style") or "").strip() in _CLOSING:
            self._measure.closes = True
        repeat = element.find("repeat")
        if element.get("location") == "middle" and repeat is not None:
            self._part.say("a repeat inside the bar is not kept")
        elif repeat is not None:
            self._repeat(repeat, left)
        ending = element.find("ending")
        if ending is not None and ending.get("type") == "start":
            self._measure.ending_start = ending.get("number", "")
        elif ending is not None:
            self._measure.ending_stop = True

    def _repeat(self, repeat: Element, left: bool) -> None:
        times = max(2, min(100, _whole(repeat.get("times"), 2)))
        self._measure.signs.repeats_again = self._measure.signs.repeats_again or repeat.get("after-jump") == "yes"
        if repeat.get("direction") == "forward":
            self._measure.forward = self._measure.forward or left
            self._measure.forward_after = not left
        elif left:
            self._measure.backward_before = times
        else:
            self._measure.backward = times

    def _attributes(self, element: Element) -> None:
        divisions = _NUMBER.match(element.findtext("divisions") or "")
        if divisions and Fraction(divisions[1]) > 0:
            self._part.divisions, self._part.lengths = Fraction(divisions[1]), {}
        transpose = element.find("transpose")
        if transpose is not None:
            self._part.shift, self._part.pitches = _transposition(transpose), {}
        clef = element.find("clef")
        if clef is not None and clef.get("number", "1") == "1":
            self._part.percussion = (clef.findtext("sign") or "").strip() == "percussion"
        self._measure_style(element)
        key = next((key for key in element.findall("key") if key.get("number", "1") == "1"), None)
        time = next((time for time in element.findall("time") if time.get("number", "1") == "1"), None)
        if key is not None:
            self._key(key)
        if time is not None:
            self._time(time)

    def _measure_style(self, element: Element) -> None:
        for style in element.findall("measure-style"):
            slash = style.find("slash")
            if slash is not None:
                self._part.slashes = slash.get("type") == "start"
            repeat = style.find("measure-repeat")
            if repeat is not None:
                self._part.repeats = max(1, min(8, _whole(repeat.text, 1))) if repeat.get("type") == "start" else 0
            if style.find("beat-repeat") is not None:
                self._part.say("a beat-repeat sign is read as what is written in the bar itself")

    def _key(self, element: Element) -> None:
        if element.findtext("fifths") is None:
            self._part.say("an unusual key signature is not kept")
            return
        fifths = max(-11, min(11, _whole(element.findtext("fifths"), 0))) + self._part.shift[0]
        mode = (element.findtext("mode") or "").strip().lower()
        key = Key(fifths)
        if mode in MINOR_MODES:
            key = Key(fifths + MINOR_MODES[mode], "minor")
        elif mode in MAJOR_MODES:
            key = Key(fifths + MAJOR_MODES[mode])
        if mode not in ("", "none", "major", "minor"):
            self._part.say(f"the mode {mode[:20]} is read as {key}")
        self._measure.mode_given = mode in MINOR_MODES or mode in MAJOR_MODES
        self._changed(key)

    def _time(self, element: Element) -> None:
        pairs = list(zip(element.findall("beats"), element.findall("beat-type"), strict=False))
        meter = _meter([((beats.text or "").strip(), (kind.text or "").strip()) for beats, kind in pairs])
        if meter is None:
            self._part.say(f"its metre cannot be read; {self._part.meter} is kept")
            return
        if len(pairs) > 1 or "+" in (pairs[0][0].text or ""):
            self._part.say(f"the composite metre is read as {meter}")
        self._changed(meter)

    def _changed(self, value: Key | Meter) -> None:
        """A new key or metre begins here, or with the next bar when it stands inside one."""
        if self._cursor > 0:
            self._part.late.append(value)
        elif isinstance(value, Meter):
            self._part.meter = self._measure.meter = value
        else:
            self._part.key = self._measure.key = value


def _notated(element: Element, duration: Fraction, divisions: Fraction) -> Fraction:
    """The exact length of a tuplet note that the file's divisions had to round, else the duration as counted."""
    modification = element.find("time-modification")
    exponent = _TYPES.get((element.findtext("type") or "").strip())
    if modification is None or exponent is None:
        return duration
    actual, normal = (_whole(modification.findtext(f"{name}-notes"), 0) for name in ("actual", "normal"))
    dots = min(4, len(element.findall("dot")))
    if not (0 < actual < 1000 and 0 < normal < 1000):
        return duration
    exact = Fraction(2) ** exponent * (2 - Fraction(1, 2**dots)) * Fraction(normal, actual)
    return exact if abs(exact - duration) < 1 / divisions else duration


def _sounding(step: str, alter: str, octave: str, shift: tuple[int, int]) -> Pitch | None:
    """A written pitch at concert pitch; None outside the range of MIDI or when it is not a pitch."""
    height = _whole(octave, -99)
    if step.upper() not in NATURAL_FIFTHS or not -1 <= height <= 10:
        return None
    written = Pitch(NATURAL_FIFTHS[step.upper()] + 7 * max(-3, min(3, _whole(alter, 0))), height)
    sounding = written.transposed(*shift) if shift != (0, 0) else written
    return sounding if 0 <= sounding.midi <= 127 else None


def _transposition(element: Element) -> tuple[int, int]:
    """Fifths and semitones from written to concert pitch. A diatonic step count spells the interval exactly."""
    chromatic = _whole(element.findtext("chromatic"), 0)
    octaves = _whole(element.findtext("octave-change"), 0)
    diatonic = element.findtext("diatonic")
    # A fifth is 7 semitones and 4 steps, an octave 12 and 7: an interval of c semitones and d steps is 7c − 12d fifths.
    fifths = (chromatic * 7 + 5) % 12 - 5 if diatonic is None else 7 * chromatic - 12 * _whole(diatonic, 0)
    if abs(fifths) > 12:
        fifths = (chromatic * 7 + 5) % 12 - 5
    return fifths, chromatic + 12 * octaves


def _meter(pairs: list[tuple[str, str]]) -> Meter | None:
    """The metre of one or more beats/beat-type pairs, summed over the smallest note; None if it cannot be read."""
    try:
        counts = [(sum(int(part) for part in beats.split("+")), int(kind)) for beats, kind in pairs]
        low = max(kind for _, kind in counts)
        return parse_meter(f"{sum(count * low // kind for count, kind in counts)}/{low}")
    except (ValueError, ZeroDivisionError, MeterError):
        return None


def _whole(text: str | None, default: int) -> int:
    match = _NUMBER.match(text or "")
    return round(float(match[1])) if match else default
