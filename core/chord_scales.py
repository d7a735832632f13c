"""The scales that fit a chord where it stands, with the notes to avoid and the tensions that are free.

A scale fits if it holds everything that is written (a dominant's plain fifth may give way) and nothing that a written
alteration shuts out. Of those that fit, the one with the fewest notes foreign to the key comes first, then the one
with the fewest notes to avoid: so II is Dorian, IV Lydian, a dominant of a minor chord has its ♭9 and ♭13, and none of
that stands in a table. What the place alone cannot say is :func:`_usual`; scales that a player chooses for their colour
follow the others.

A note to avoid lies a half step above a chord tone; over a dominant it is the 11 alone, over a suspended chord the 3.

Sources: avoid notes by the ♭9 rule and tensions by place in the key, two Berklee-style chord-scale summaries in
agreement; extension inventory, D. Terefenko, *Jazz Theory* (2014), ch. 5; the scales themselves common practice, no
source, the church modes checked against music21 in the tests.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

from core.chord import Chord, in_context
from core.key import Key
from core.pitch import Degree, parse_degree
from core.quality import Quality

# name | degrees over the chord | families of chord it is played over
_ROWS = """
Ionian               | 1 9 3 11 5 13 7          | major power
Lydian               | 1 9 3 #11 5 13 7         | major power
Dorian               | 1 9 b3 11 5 13 b7        | minor power
Aeolian              | 1 9 b3 11 5 b13 b7       | minor power
Phrygian             | 1 b9 b3 11 5 b13 b7      | minor
Melodic minor        | 1 9 b3 11 5 13 7         | minor
Harmonic minor       | 1 9 b3 11 5 b13 7        | minor
Mixolydian           | 1 9 3 11 5 13 b7         | dominant power
Lydian ♭7            | 1 9 3 #11 5 13 b7        | dominant
Mixolydian ♭13       | 1 9 3 11 5 b13 b7        | dominant
Mixolydian ♭9 ♯9 ♭13 | 1 b9 #9 3 11 5 b13 b7    | dominant
Mixolydian ♭9 ♭13    | 1 b9 3 11 5 b13 b7       | dominant
Altered              | 1 b9 #9 3 #11 b13 b7     | dominant
Half–whole           | 1 b9 #9 3 #11 5 13 b7    | dominant
Whole tone           | 1 9 3 #11 b13 b7         | dominant augmented
Mixolydian sus       | 1 9 11 5 13 b7           | suspended
Aeolian sus          | 1 9 11 5 b13 b7          | suspended
Phrygian sus         | 1 b9 11 5 b13 b7         | suspended
Dorian ♭9 sus        | 1 b9 11 5 13 b7          | suspended
Locrian              | 1 b9 b3 11 b5 b13 b7     | half_diminished
Locrian ♮9           | 1 9 b3 11 b5 b13 b7      | half_diminished
Whole–half           | 1 9 b3 11 b5 b13 bb7 7   | diminished
Lydian augmented     | 1 9 3 #11 #5 13 7        | augmented
Ionian ♯5            | 1 9 3 11 #5 13 7         | augmented
"""
BLUES = "Blues scale"
_BLUES_DEGREES = "1 b3 11 b5 5 b7"
COLOURFUL = frozenset({"Altered", "Half–whole", "Whole tone"})
RELATED_TWO, SUBSTITUTE = "ii of ", "substitute"
"""How the roles of a related II and of a substitute dominant begin: Dorian and Lydian ♭7, wherever they lie."""


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale over a chord: its degrees in order, named as the chord's tones and tensions, and as bits by semitone."""

    name: str
    degrees: tuple[Degree, ...]
    families: frozenset[str]
    mask: int = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "mask", _mask(self.semitones))

    @property
    def semitones(self) -> tuple[int, ...]:
        """Semitones above the root, in order."""
        return tuple(degree.semitones % 12 for degree in self.degrees)


@dataclass(frozen=True, slots=True)
class ScaleFit:
    """A scale over a chord: ``avoid`` are notes to pass over, ``tensions`` free colours, ``restrained`` those with a
    reservation (the 13 of a minor seventh is the third of the dominant it goes to); ``foreign`` counts notes outside
    the key."""

    scale: Scale
    avoid: tuple[Degree, ...]
    tensions: tuple[Degree, ...]
    restrained: tuple[Degree, ...]
    foreign: int


def _mask(semitones: tuple[int, ...]) -> int:
    return sum(1 << semitone for semitone in set(semitones))


def _read_rows() -> tuple[Scale, ...]:
    rows = ([cell.strip() for cell in line.split("|")] for line in _ROWS.strip().splitlines())
    return tuple(_scale(name, degrees, families) for name, degrees, families in rows)


def _scale(name: str, degrees: str, families: str) -> Scale:
    return Scale(name, tuple(parse_degree(word) for word in degrees.split()), frozenset(families.split()))


SCALES: tuple[Scale, ...] = _read_rows()
BLUES_SCALE = _scale(BLUES, _BLUES_DEGREES, "dominant")
_KEY_NOTES = {"major": (0, 2, 4, 5, 7, 9, 11), "minor": (0, 2, 3, 5, 7, 8, 10, 11)}
"""A minor key has its leading tone too."""
_TONES = frozenset({1, 3, 5, 6, 7})


@lru_cache(maxsize=2048)
def scales_of(chord: Chord, key: Key, role: str = "") -> tuple[ScaleFit, ...]:
    """Every scale that fits a chord in a key, the first choice first; ``role`` is what the analysis says of it.

    The blues scale follows last over the chords of a blues; empty where nothing in the table fits what is written.
    """
    played = in_context(chord)
    quality = played.quality.sounding
    fits = [_fit(scale, played, key) for scale in SCALES if _holds(scale, played)]
    usual = _usual(played, key, role)
    fits.sort(key=lambda fit: (fit.scale.name != usual, fit.scale.name in COLOURFUL, fit.foreign, len(fit.avoid),
                               SCALES.index(fit.scale)))  # fmt: skip
    if "blues" in role and quality.family == "dominant":
        fits.append(ScaleFit(BLUES_SCALE, (), (), (), _foreign(BLUES_SCALE.mask, played, key)))
    return tuple(fits)


def _usual(chord: Chord, key: Key, role: str) -> str:
    """The scale that practice plays first whatever the key says, or ""."""
    quality = chord.quality.sounding
    if quality.family == "dominant" and role.startswith(SUBSTITUTE):
        return "Lydian ♭7"
    if quality.family != "minor":
        return ""
    if Degree(7) in quality.degrees or (Degree(6) in quality.degrees and Degree(7, -1) not in quality.degrees):
        return "Melodic minor"
    return "Dorian" if role.startswith(RELATED_TWO) and _foreign(quality_mask(quality), chord, key) else ""


@lru_cache(maxsize=1024)
def quality_mask(quality: Quality) -> int:
    """What a quality writes, as bits by semitone above the root."""
    return _mask(quality.sounding.semitones)


def fits_scale(scale: Scale, quality: Quality, bass: int | None = None) -> bool:
    """Whether a scale holds what is written; ``bass`` is a foreign bass, in semitones above the root."""
    sounding = quality.sounding
    written = quality_mask(sounding) | (0 if bass is None else 1 << bass)
    if sounding.family == "dominant" and Degree(5) in sounding.degrees:
        written &= ~(1 << 7)
    altered_fifth = any(degree.number == 5 and degree.alteration for degree in sounding.degrees)
    shut_out = altered_fifth and scale.mask >> 7 & 1 and not written >> 7 & 1
    return sounding.family in scale.families and not written & ~scale.mask and not shut_out


def _holds(scale: Scale, chord: Chord) -> bool:
    bass = None if chord.bass is None or chord.bass_pc in _classes(chord) else chord.degree_of(chord.bass_pc)
    return fits_scale(scale, chord.quality, bass)


def _classes(chord: Chord) -> frozenset[int]:
    return frozenset((chord.root_pc + semitone) % 12 for semitone in chord.quality.sounding.semitones)


def _fit(scale: Scale, chord: Chord, key: Key) -> ScaleFit:
    quality = chord.quality.sounding
    body = {degree.semitones % 12 for degree in quality.degrees}
    avoid = tuple(d for d in scale.degrees if d.semitones % 12 not in body and _is_avoided(d.semitones % 12, quality))
    seventh = Degree(7, -1) in quality.degrees and quality.family == "minor"
    restrained = (Degree(13),) if seventh and Degree(13) in scale.degrees and 9 not in body else ()
    tensions = tuple(sorted(d for d in scale.degrees if d.number > 7 and d not in avoid and d not in restrained))
    return ScaleFit(scale, avoid, tensions, restrained, _foreign(scale.mask, chord, key))


def _is_avoided(note: int, quality: Quality) -> bool:
    """Whether a note (semitones above the root, not a chord tone) rubs against the chord."""
    if quality.family == "dominant":
        return note == 5
    if quality.family == "suspended":
        return note == 4
    tones = {degree.semitones % 12 for degree in quality.degrees if degree.number in _TONES}
    return (note - 1) % 12 in tones


def _foreign(mask: int, chord: Chord, key: Key) -> int:
    home = {(key.tonic_pc + note) % 12 for note in _KEY_NOTES[key.mode]}
    return sum(1 for note in range(12) if mask >> note & 1 and (chord.root_pc + note) % 12 not in home)
