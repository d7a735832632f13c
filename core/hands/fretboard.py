"""Fretted instruments as data: tunings, frets, capo; and what a hand can do on them, in tables.

Sources: standard tuning E2 A2 D3 G3 B3 E4 (MIDI 40 45 50 55 59 64), common practice, checked against music21 in the
tests; four frets a hand, five above the seventh, and four notes as the practical limit, common practice, no source;
how far two fingers reach, ours.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from core.errors import ChangewrightError
from core.pitch import PitchError, chromatic, name_of, parse_pitch_class, pitch_from_midi

# name | open strings, the lowest of the diagram first
_TUNINGS = """
standard           | E2 A2 D3 G3 B3 E4
half step down     | Eb2 Ab2 Db3 Gb3 Bb3 Eb4
drop D             | D2 A2 D3 G3 B3 E4
double drop D      | D2 A2 D3 G3 B3 D4
open G             | D2 G2 D3 G3 B3 D4
open D             | D2 A2 D3 F#3 A3 D4
D A D G A D        | D2 A2 D3 G3 A3 D4
all fourths        | E2 A2 D3 G3 C4 F4
all fifths         | C2 G2 D3 A3 E4 B4
seven strings      | B1 E2 A2 D3 G3 B3 E4
seven strings low A | A1 E2 A2 D3 G3 B3 E4
eight strings      | F#1 B1 E2 A2 D3 G3 B3 E4
baritone           | B1 E2 A2 D3 F#3 B3
tenor              | C3 G3 D4 A4
plectrum           | C3 G3 B3 D4
ukulele            | G4 C4 E4 A4
mandolin           | G3 D4 A4 E5
"""
FEWEST_STRINGS, MOST_STRINGS = 3, 10
LOWEST_STRING, HIGHEST_STRING = 24, 88
FEWEST_FRETS, MOST_FRETS = 4, 36
_NOTE = re.compile(r"([A-Ga-g](?:bb|b|##|#)?)(-?\d{1,2})?$")
_ADVICE = "name one of the tunings, or give the open strings from the lowest, like E2 A2 D3 G3 B3 E4"


class FretboardError(ChangewrightError):
    """A tuning, a number of frets or a capo that no instrument has."""


@dataclass(frozen=True, slots=True)
class Fretboard:
    """``strings`` are MIDI numbers of the open strings, the lowest of the diagram first; ``capo`` is its fret, or 0.

    Frets are counted from the capo everywhere, 0 is the open string. Raises :class:`FretboardError`.
    """

    strings: tuple[int, ...]
    frets: int = 20
    capo: int = 0

    def __post_init__(self) -> None:
        if not FEWEST_STRINGS <= len(self.strings) <= MOST_STRINGS:
            raise FretboardError(f"A fretboard of {len(self.strings)} strings cannot be planned; {FEWEST_STRINGS} to "
                                 f"{MOST_STRINGS} are possible.")  # fmt: skip
        room = f"{_named(LOWEST_STRING)} and {_named(HIGHEST_STRING)}"
        for number, string in enumerate(self.strings, 1):
            if not LOWEST_STRING <= string <= HIGHEST_STRING:
                raise FretboardError(f"String {number} of the tuning would be {_named(string)}, and no string sounds "
                                     f"there; keep between {room}.")  # fmt: skip
        if not FEWEST_FRETS <= self.frets <= MOST_FRETS:
            raise FretboardError(f"A neck of {self.frets} frets cannot be planned; {FEWEST_FRETS} to {MOST_FRETS} are "
                                 "possible.")  # fmt: skip
        if not 0 <= self.capo <= self.frets - FEWEST_FRETS:
            raise FretboardError(f"A capo at fret {self.capo} leaves no room on a neck of {self.frets} frets; "
                                 f"put it between 0 and {self.frets - FEWEST_FRETS}.")  # fmt: skip

    @property
    def open_notes(self) -> tuple[int, ...]:
        """MIDI numbers of the strings as the capo leaves them."""
        return tuple(string + self.capo for string in self.strings)

    @property
    def highest_fret(self) -> int:
        """The last fret, counted from the capo."""
        return self.frets - self.capo

    @property
    def names(self) -> tuple[str, ...]:
        """The open strings by name, without the capo: ``('E2', 'A2', …)``."""
        return tuple(map(_named, self.strings))


@dataclass(frozen=True, slots=True)
class Limits:
    """What a hand may be asked for.

    ``span`` is the number of frets between the lowest and the highest that are pressed, both counted; ``high_span``
    holds where the lowest lies above ``high_fret`` of the neck, where frets are narrow. ``inner_muted`` strings may be
    silent between two that sound; ``barre`` lets one finger press several strings; ``voices`` is what a grip holds at
    most unless the symbol asks for more. The hand goes no higher than ``highest_position``, the fret of the neck that
    its lowest pressed string is at.
    """

    fingers: int = 4
    span: int = 4
    high_span: int = 5
    high_fret: int = 7
    inner_muted: int = 1
    barre: bool = True
    voices: int = 4
    highest_position: int = 12

    def __post_init__(self) -> None:
        if not (2 <= self.fingers <= 4 and 1 <= self.span <= 6 and 1 <= self.high_span <= 6 and self.voices >= 2):
            raise FretboardError("A hand has two to four fingers, spans one to six frets and holds two voices or more; "
                                 "change the limits.")  # fmt: skip


# How many frets apart two fingers reach low on the neck, and above ``high_fret``.
REACH: dict[tuple[int, int], tuple[int, int]] = {
    (1, 2): (2, 2), (2, 3): (1, 2), (3, 4): (1, 2), (1, 3): (2, 3), (2, 4): (2, 3), (1, 4): (3, 4),
}  # fmt: skip
BARRE_STRINGS = {1: MOST_STRINGS, 2: 2, 3: 3, 4: 2}
"""Strings that a finger can press at once, by finger."""


def _named(midi: int) -> str:
    return str(pitch_from_midi(midi))


def _read_tunings() -> dict[str, tuple[int, ...]]:
    rows = (line.split("|") for line in _TUNINGS.strip().splitlines())
    return {name.strip(): tuple(map(_midi, notes.split())) for name, notes in rows}


def _midi(text: str, above: int | None = None) -> int:
    """The MIDI number of "E2"; without an octave, the first such note above ``above`` (the lowest: near E2)."""
    match = _NOTE.match(text.replace("♭", "b").replace("♯", "#"))
    if match is None:
        raise FretboardError(f"Cannot read {text[:20]!r} as a string of a tuning; {_ADVICE}.")
    try:
        fifths = parse_pitch_class(match[1])
    except PitchError as error:
        raise FretboardError(f"Cannot read {text[:20]!r} as a string of a tuning; {_ADVICE}.") from error
    if match[2] is None:
        floor = 36 if above is None else above + 1
        return floor + (chromatic(fifths) - floor) % 12
    letter_octave = 12 * (int(match[2]) + 1)
    near = letter_octave + chromatic(fifths)
    # B# and Cb belong to the octave of their letter, not of their key.
    if name_of(fifths).startswith("C") and chromatic(fifths) > 6:
        return near - 12
    return near + 12 if name_of(fifths).startswith("B") and chromatic(fifths) < 6 else near


TUNINGS = _read_tunings()
STANDARD_BOARD = Fretboard(TUNINGS["standard"])


def parse_tuning(text: str) -> tuple[int, ...]:
    """Open strings from a name of :data:`TUNINGS` or from notes, octaves left out or not: "E2 A2 D3" or "EADGBE".

    Raises :class:`FretboardError`.
    """
    known = {name.replace(" ", "").lower(): strings for name, strings in TUNINGS.items()}
    plain = re.sub(r"[\s_-]+", "", text).lower()
    if plain in known:
        return known[plain]
    words = text.replace(",", " ").split()
    if len(words) == 1:
        words = re.findall(r"[A-Ga-g][b#♭♯]*-?\d*|.", words[0])
    if not words:
        raise FretboardError(f"The tuning is empty; {_ADVICE}.")
    strings: list[int] = []
    for word in words:
        strings.append(_midi(word, strings[-1] if strings else None))
    return tuple(strings)
