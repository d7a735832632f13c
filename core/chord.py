"""A chord as a value: spelled root, quality, and a bass where it is not the root."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from core.pitch import Degree, chromatic, name_of, within_double
from core.quality import QUALITIES, Quality, quality_named


@dataclass(frozen=True, slots=True)
class Chord:
    """Root and bass are places on the line of fifths; ``upper`` is the upper chord of a polychord (D over C7)."""

    root: int
    quality: Quality
    bass: int | None = None
    upper: Chord | None = None

    def __hash__(self) -> int:
        return hash((self.root, self.quality.id, self.bass))

    @property
    def root_pc(self) -> int:
        """Chromatic number of the root, C = 0 … B = 11."""
        return chromatic(self.root)

    @property
    def bass_pc(self) -> int:
        """Chromatic number of the lowest note."""
        return chromatic(self.root if self.bass is None else self.bass)

    @property
    def tones(self) -> tuple[int, ...]:
        """Spelled pitch classes (places on the line of fifths) in the order of the degrees, bass first if foreign."""
        tones = tuple(self.root + degree.fifths for degree in self.quality.degrees)
        return tones if self.bass is None or self.bass in tones else (self.bass, *tones)

    @property
    def pitch_classes(self) -> frozenset[int]:
        """Chromatic numbers of everything that is written, a slash bass included."""
        written = {(self.root_pc + semitones) % 12 for semitones in self.quality.semitones}
        return frozenset(written if self.bass is None else written | {self.bass_pc})

    @property
    def sound(self) -> tuple[int, str, int]:
        """What sounds, however it is spelled: root, quality, bass."""
        return self.root_pc, self.quality.id, self.bass_pc

    def degree_of(self, pitch_class: int) -> int:
        """Semitones from the root up to a chromatic pitch class, 0–11."""
        return (pitch_class - self.root_pc) % 12

    def tone(self, degree: Degree) -> int:
        """Spelled pitch class of a degree over the root."""
        return self.root + degree.fifths

    def transposed(self, fifths: int) -> Chord:
        """The chord moved along the line of fifths, double accidentals at most."""
        root = within_double(self.root + fifths)
        moved = root - self.root
        bass = None if self.bass is None else self.bass + moved
        return Chord(root, self.quality, bass, self.upper and self.upper.transposed(moved))

    def with_quality(self, quality_id: str) -> Chord:
        """The same root and bass with a row of the quality table."""
        return replace(self, quality=QUALITIES[quality_id], upper=None)

    @property
    def canonical(self) -> str:
        """ASCII text in function spelling that reads back as this chord: ``'Fb7'``, ``'Ab/Bb'``, ``'D\\\\C7'``."""
        if self.upper is not None:
            lower = f"{name_of(self.root)}{_suffix(self.lower_quality)}"
            return f"{self.upper.canonical}\\{lower}"
        slash = "" if self.bass is None else f"/{name_of(self.bass)}"
        return f"{name_of(self.root)}{_suffix(self.quality)}{slash}"

    @property
    def lower_quality(self) -> Quality:
        """Of a polychord, the quality of the lower chord alone; otherwise the quality."""
        return self.quality if self.upper is None else quality_named(self.quality.id.partition("+")[0])

    def __str__(self) -> str:
        return self.canonical


def _suffix(quality: Quality) -> str:
    return "" if quality.id == "maj" else quality.id


def chord(root: int, quality_id: str, bass: int | None = None) -> Chord:
    """A chord of a row of the quality table: ``chord(-2, '7')`` is B♭7. Raises KeyError for an unknown id."""
    return Chord(root, QUALITIES[quality_id], bass)


def in_context(written: Chord) -> Chord:
    """The chord a slash symbol stands for: the eleventh chords F/G, Bb/C and Gm7/C are sus chords on their bass.

    A major triad, sixth or major seventh a whole step under the bass, or a minor seventh a fifth above it, is the
    ninth sus of the bass (common practice, no source). Anything else is itself.
    """
    if written.bass is None or written.upper is not None:
        return written
    above_bass = (written.root_pc - written.bass_pc) % 12
    identity = written.quality.id
    if above_bass == 10 and identity in ("maj", "6", "add9"):
        return Chord(written.bass, QUALITIES["9sus"])
    if above_bass == 10 and identity in ("maj7", "69", "maj9"):
        return Chord(written.bass, QUALITIES["13sus"])
    if above_bass == 7 and identity in ("m7", "m9", "m", "m11"):
        return Chord(written.bass, QUALITIES["9sus"])
    return written


@lru_cache(maxsize=8192)
def guide_tones(written: Chord) -> tuple[tuple[int, Degree], ...]:
    """The two guide tones of a chord as (spelled pitch class, degree); none for an open fifth."""
    sounding = in_context(written)
    degrees = sounding.quality.guide_degrees
    if degrees is None:
        return ()
    return tuple((sounding.root + degree.fifths, degree) for degree in degrees)
