"""Melody in the note syntax of ABC 2.1: text to notes, notes to text.

Read: accidentals ``^ _ = ^^ __`` (they last until the bar line, at their octave), letters with ``'`` and ``,``,
lengths ``2 /2 3/2 /``, rests ``z`` and ``x``, ties ``-``, tuplets ``(3``, broken rhythm ``>`` and ``<``. The key
signature applies. Source: the ABC standard, version 2.1 (December 2011), sections 4.1 to 4.13.
"""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

from core.chart import Melody, Note
from core.errors import ChangewrightError
from core.form import Bar
from core.key import Key
from core.pitch import NATURAL_FIFTHS, Pitch, alteration_of, letter_of

DEFAULT_UNIT = Fraction(1, 2)  # an eighth note, in quarter notes
_TOKEN = re.compile(
    r"(?P<space>\s+)|\((?P<tuplet>[2-9])(?::(?P<into>\d{0,2}))?(?::(?P<count>\d{0,2}))?"
    r"|(?P<accidental>\^\^|\^|__|_|=)?(?P<letter>[A-Ga-g])(?P<octave>[',]{0,6})(?P<length>\d{0,6}(?:/{1,8}\d{0,6})?)(?P<tie>-?)"
    r"|(?P<rest>[zx])(?P<rest_length>\d{0,6}(?:/{1,8}\d{0,6})?)|(?P<broken>>{1,4}|<{1,4})"
)
_ACCIDENTALS = {"^^": 2, "^": 1, "=": 0, "_": -1, "__": -2}
SIGNS = {value: sign for sign, value in _ACCIDENTALS.items()}
"""The sign of each alteration, −2 to 2."""
# How many notes go in the time of how many (ABC 2.1, section 4.13); 5, 7 and 9 depend on the metre: 2 or 3.
_TUPLET_TIME = {2: 3, 3: 2, 4: 3, 6: 2, 8: 3}


class MelodyTextError(ChangewrightError):
    """Melody text that cannot be read; ``position`` is a character of ``text`` counted from 0."""

    def __init__(self, text: str, position: int, problem: str) -> None:
        self.text, self.position, self.problem = text, position, problem
        super().__init__(f"Cannot read the melody {text!r} at character {position + 1}: {problem}.")


def scale_alteration(letter: str, key: Key) -> int:
    """Accidental in semitones that a key signature puts on a letter."""
    # The seven notes of a signature s lie from s − 1 to s + 5 on the line of fifths; a sharp adds seven.
    return -((NATURAL_FIFTHS[letter] - key.signature + 1) // 7)


def parse_abc_bar(text: str, bar: Bar, key: Key, unit: Fraction = DEFAULT_UNIT) -> tuple[Melody, bool]:
    """The notes of one bar, and whether its last note is tied over the bar line.

    Raises :class:`MelodyTextError` when the text cannot be read or does not fill the bar exactly. An empty text is
    a bar of rest.
    """
    events = _events(text, bar, key, unit)
    total = sum((duration for _, duration, _, _ in events), Fraction(0))
    if events and total != bar.length:
        raise MelodyTextError(
            text, len(text), f"bar {bar.number} holds {_plain(total)} quarter notes and needs {_plain(bar.length)}"
        )
    notes: list[Note] = []
    at, tied = bar.start, False
    for pitch, duration, tie, _ in events:
        if pitch is not None:
            if tied and notes and notes[-1].pitch.midi == pitch.midi:
                notes[-1] = replace(notes[-1], duration=notes[-1].duration + duration)
            else:
                notes.append(Note(at, duration, pitch))
        tied = tie
        at += duration
    return tuple(notes), tied


def join_tied(bars: list[tuple[Melody, bool]]) -> Melody:
    """The melody of successive bars, tied notes joined over bar lines."""
    melody: list[Note] = []
    tied = False
    for notes, tied_over in bars:
        rest = list(notes)
        if tied and melody and rest and rest[0].pitch.midi == melody[-1].pitch.midi and melody[-1].end == rest[0].onset:
            melody[-1] = replace(melody[-1], duration=melody[-1].duration + rest.pop(0).duration)
        melody.extend(rest)
        tied = tied_over
    return tuple(melody)


_Event = tuple[Pitch | None, Fraction, bool, int]


def _events(text: str, bar: Bar, key: Key, unit: Fraction) -> list[_Event]:
    events: list[_Event] = []
    accidentals: dict[tuple[str, int], int] = {}
    position, factor, left, broken = 0, Fraction(1), 0, Fraction(1)
    while position < len(text):
        match = _TOKEN.match(text, position)
        if match is None:
            raise MelodyTextError(text, position, f"{text[position]!r} is not a note, rest, tie or tuplet")
        if match["tuplet"]:
            size = int(match["tuplet"])
            into = int(match["into"] or 0) or _TUPLET_TIME.get(size, 3 if bar.meter.is_compound else 2)
            factor, left = Fraction(into, size), int(match["count"] or size)
        elif match["broken"]:
            short = Fraction(1, 2 ** len(match["broken"]))
            first = 2 - short if match["broken"][0] == ">" else short
            if not events:
                raise MelodyTextError(text, position, "a broken rhythm needs a note before it")
            pitch, duration, tie, at = events[-1]
            events[-1] = (pitch, duration * first, tie, at)
            broken = 2 - first
        elif not match["space"]:
            duration = unit * _length(match["length"] or match["rest_length"] or "", text, position) * broken
            if left:
                duration, left = duration * factor, left - 1
            pitch = None if match["rest"] else _pitch(match, key, accidentals)
            events.append((pitch, duration, bool(match["tie"]), position))
            broken = Fraction(1)
        position = match.end()
    return events


def _length(written: str, text: str, position: int) -> Fraction:
    numerator, slashes, denominator = written.partition("/")
    if slashes and set(denominator) <= {"/"}:
        denominator = str(2 ** (1 + len(denominator)))
    below = int(denominator.strip("/") or 1) if slashes else 1
    if below == 0 or numerator == "0":
        raise MelodyTextError(text, position, "a length of zero")
    return Fraction(int(numerator or 1), below)


def _pitch(match: re.Match[str], key: Key, accidentals: dict[tuple[str, int], int]) -> Pitch:
    letter = match["letter"].upper()
    octave = (5 if match["letter"].islower() else 4) + match["octave"].count("'") - match["octave"].count(",")
    place = (letter, octave)
    if match["accidental"]:
        accidentals[place] = _ACCIDENTALS[match["accidental"]]
    alteration = accidentals.get(place, scale_alteration(letter, key))
    return Pitch(NATURAL_FIFTHS[letter] + 7 * alteration, octave)


def format_abc_bar(melody: Melody, bar: Bar, key: Key, unit: Fraction = DEFAULT_UNIT) -> str:
    """The part of a melody that sounds in a bar, rests written out, ties at the bar lines; "" when it is silent."""
    accidentals: dict[tuple[str, int], int] = {}
    parts: list[str] = []
    at = bar.start
    for note in melody:
        start, end = max(note.onset, bar.start), min(note.end, bar.end)
        if end <= start:
            continue
        if start > at:
            parts.append("z" + format_length((start - at) / unit))
        tie = "-" if note.end > bar.end else ""
        parts.append(_format_pitch(note.pitch, key, accidentals) + format_length((end - start) / unit) + tie)
        at = end
    if parts and at < bar.end:
        parts.append("z" + format_length((bar.end - at) / unit))
    return " ".join(parts)


def _format_pitch(pitch: Pitch, key: Key, accidentals: dict[tuple[str, int], int]) -> str:
    letter, alteration = letter_of(pitch.fifths), alteration_of(pitch.fifths)
    place = (letter, pitch.octave)
    sign = ""
    if accidentals.get(place, scale_alteration(letter, key)) != alteration:
        accidentals[place] = alteration
        sign = SIGNS[alteration]
    return sign + format_letter(pitch)


def format_letter(pitch: Pitch) -> str:
    """Letter and octave without an accidental: ``C,`` is C3, ``c'`` C6."""
    letter = letter_of(pitch.fifths)
    if pitch.octave >= 5:
        return letter.lower() + "'" * (pitch.octave - 5)
    return letter + "," * (4 - pitch.octave)


def format_length(length: Fraction) -> str:
    """A length in units as it is written behind a note; nothing for one unit."""
    if length == 1:
        return ""
    if length.denominator == 1:
        return str(length.numerator)
    numerator = "" if length.numerator == 1 else str(length.numerator)
    return f"{numerator}/{length.denominator}"


def _plain(value: Fraction) -> str:
    return str(value.numerator) if value.denominator == 1 else f"{value.numerator}/{value.denominator}"
