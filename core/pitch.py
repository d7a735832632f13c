"""Spelled pitch on the line of fifths.

Conventions
-----------
A *pitch class* is one integer, its place on the line of fifths: … −2 B♭, −1 F, 0 C, 1 G, 2 D …
Transposition is addition, the chromatic number (C = 0 … B = 11) is ``7n mod 12``, letter and accidental fall out.
A *pitch* adds the octave of its letter: C4 is middle C, MIDI 60; B3 and C♭4 are the same key of the piano.
A *degree* ("b9", "#11", "bb7") is measured on the major scale of a root: "7" is the major seventh.

Source of the representation: common practice, no source; checked against music21's pitches in the tests.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from core.errors import ChangewrightError

LETTERS_BY_FIFTHS = "FCGDAEB"
NATURAL_SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
NATURAL_FIFTHS = {letter: index - 1 for index, letter in enumerate(LETTERS_BY_FIFTHS)}
LETTERS = "CDEFGAB"

# Fifths of the seven natural degrees of the major scale; a sharp adds seven, a flat takes seven.
_DEGREE_FIFTHS = (0, 2, 4, -1, 1, 3, 5)
_PITCH_CLASS = re.compile(r"([A-Ga-g])(bb|b|##|#|x)?$")
_ACCIDENTALS = {"bb": -2, "b": -1, "": 0, "#": 1, "##": 2, "x": 2}
_TO_ASCII = str.maketrans({"♭": "b", "♯": "#", "𝄫": "bb", "𝄪": "##", "♮": ""})
_TO_SIGNS = str.maketrans({"b": "♭", "#": "♯"})


class PitchError(ChangewrightError):
    """Text that is not the name of a pitch class."""

    def __init__(self, text: str) -> None:
        super().__init__(f"Cannot read {text!r} as a note name; write a letter A to G with b, # or nothing.")


def letter_of(fifths: int) -> str:
    """Letter of a pitch class: ``letter_of(-2) == 'B'``."""
    return LETTERS_BY_FIFTHS[(fifths + 1) % 7]


def alteration_of(fifths: int) -> int:
    """Accidental in semitones, flats negative: ``alteration_of(-2) == -1``."""
    return (fifths + 1) // 7


def chromatic(fifths: int) -> int:
    """Chromatic number, C = 0 … B = 11: ``chromatic(-2) == 10``."""
    return fifths * 7 % 12


def parse_pitch_class(text: str) -> int:
    """Place on the line of fifths of a note name with b, ♭, # or ♯; raises :class:`PitchError`."""
    match = _PITCH_CLASS.match(text.translate(_TO_ASCII))
    if match is None:
        raise PitchError(text)
    return NATURAL_FIFTHS[match[1].upper()] + 7 * _ACCIDENTALS[match[2] or ""]


def name_of(fifths: int) -> str:
    """ASCII name: ``name_of(-8) == 'Fb'``."""
    alteration = alteration_of(fifths)
    return letter_of(fifths) + ("b" * -alteration if alteration < 0 else "#" * alteration)


@lru_cache(maxsize=256)
def pretty_name(fifths: int) -> str:
    """Name with real signs: ``pretty_name(-8) == 'F♭'``."""
    return with_signs(name_of(fifths))


def with_signs(ascii_name: str) -> str:
    """An ASCII note or degree name with ♭ and ♯: ``with_signs('b9') == '♭9'``.

    The letter B is always a capital in such names, so every small b is a flat.
    """
    return ascii_name.translate(_TO_SIGNS)


def within_double(fifths: int) -> int:
    """The same key of the piano spelled with at most a double accidental."""
    while alteration_of(fifths) < -2:
        fifths += 12
    while alteration_of(fifths) > 2:
        fifths -= 12
    return fifths


def simple_spelling(fifths: int, key_fifths: int = 0) -> int:
    """The spelling a player reads fastest: no double accidental, and no C♭, F♭, E♯, B♯ foreign to the key.

    ``key_fifths`` is the key signature on the line of fifths (E♭ major and C minor: −3). A note of the key keeps
    its name, so IV of G♭ stays C♭ while the substitute F♭7 in E♭ is printed E7.
    """
    if key_fifths - 1 <= fifths <= key_fifths + 5:
        return fifths
    # From G♭ to A♯ every name has one accidental at most and is read at sight; the spelling says where the note goes.
    while fifths < -6:
        fifths += 12
    while fifths > 10:
        fifths -= 12
    return fifths


def degree_fifths(number: int, alteration: int) -> int:
    """Fifths from the root up to a degree: ``degree_fifths(9, -1) == -5``."""
    return _DEGREE_FIFTHS[(number - 1) % 7] + 7 * alteration


def degree_semitones(number: int, alteration: int) -> int:
    """Semitones above the root, 9 11 13 beyond the octave: ``degree_semitones(9, -1) == 13``."""
    octave, step = divmod(number - 1, 7)
    return 12 * octave + (0, 2, 4, 5, 7, 9, 11)[step] + alteration


@dataclass(frozen=True, slots=True, order=True)
class Degree:
    """A degree over a root: number 1 to 13 and alteration in semitones (♭9 is ``Degree(9, -1)``)."""

    number: int
    alteration: int = 0

    @property
    def fifths(self) -> int:
        """Place on the line of fifths relative to the root."""
        return degree_fifths(self.number, self.alteration)

    @property
    def semitones(self) -> int:
        """Semitones above the root, not folded into one octave."""
        return degree_semitones(self.number, self.alteration)

    def __str__(self) -> str:
        sign = "b" * -self.alteration if self.alteration < 0 else "#" * self.alteration
        return f"{sign}{self.number}"


def parse_degree(text: str) -> Degree:
    """``parse_degree('b9') == Degree(9, -1)``; raises ValueError on anything else."""
    digits = text.lstrip("b#")
    signs = text[: len(text) - len(digits)]
    return Degree(int(digits), signs.count("#") - signs.count("b"))


@dataclass(frozen=True, slots=True)
class Pitch:
    """A spelled pitch: place on the line of fifths and the octave of its letter (C4 = MIDI 60)."""

    fifths: int
    octave: int

    @property
    def midi(self) -> int:
        """MIDI note number."""
        return (self.octave + 1) * 12 + NATURAL_SEMITONES[letter_of(self.fifths)] + alteration_of(self.fifths)

    @property
    def staff_step(self) -> int:
        """Diatonic steps above C0, for a place on the staff: C4 is 28."""
        return self.octave * 7 + LETTERS.index(letter_of(self.fifths))

    def transposed(self, fifths: int, semitones: int) -> Pitch:
        """Moved by a spelled interval: ``fifths`` names it, ``semitones`` (signed) gives its size with octaves."""
        return pitch_from_midi(self.midi + semitones, self.fifths + fifths)

    def __str__(self) -> str:
        return f"{name_of(self.fifths)}{self.octave}"


def pitch_from_midi(midi: int, fifths: int | None = None, key_fifths: int = 0) -> Pitch:
    """The pitch of a MIDI number; spelled as ``fifths`` if given, else nearest to the key on the line of fifths.

    Raises ValueError when ``fifths`` names another chromatic pitch class.
    """
    if fifths is None:
        fifths = spell_near(midi % 12, key_fifths)
    if chromatic(fifths) != midi % 12:
        raise ValueError(f"{name_of(fifths)} is not MIDI note {midi}")
    natural = NATURAL_SEMITONES[letter_of(fifths)] + alteration_of(fifths)
    return Pitch(fifths, (midi - natural) // 12 - 1)


def spell_near(pitch_class: int, key_fifths: int) -> int:
    """Spell a chromatic number 0–11 nearest to a key on the line of fifths (scale notes, then ♯4, ♭7, ♭3, ♭6, ♭2)."""
    low = key_fifths - 5
    return low + (pitch_class * 7 - low) % 12
