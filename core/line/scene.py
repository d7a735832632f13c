"""What every search for shapes looks at: the notes heard, the chords, phrases and the beat; and what it finds."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from core.line.limits import GAP, REST_BEATS, STEP
from core.line.reading import Heard
from core.line.solo import Span
from core.meter import Meter


@dataclass(frozen=True, slots=True)
class Feature:
    """A shape from one note to another (indexes, both inside), with a word on it; ``of`` groups motifs."""

    id: str
    first: int
    last: int
    detail: str = ""
    of: int = 0


@dataclass(frozen=True, slots=True)
class Scene:
    """Notes over their chords; ``phrases`` holds for each note the number of its phrase, ``origin`` bar 1's place."""

    heard: tuple[Heard, ...]
    spans: tuple[Span, ...]
    meter: Meter
    origin: Fraction
    phrases: tuple[int, ...]

    def on_beat(self, index: int) -> bool:
        """Whether a note begins on a beat."""
        return not (self.heard[index].note.onset + self.origin) % self.meter.beat

    def place_in_beat(self, index: int) -> Fraction:
        """Where in its beat a note begins."""
        return (self.heard[index].note.onset + self.origin) % self.meter.beat

    def joined(self, index: int) -> bool:
        """Whether a note follows the one before it without more than a short silence, in the same phrase."""
        before, note = self.heard[index - 1].note, self.heard[index].note
        return self.phrases[index] == self.phrases[index - 1] and note.onset - before.end <= GAP

    def semitones(self, index: int) -> int:
        """Signed semitones from the note before."""
        return self.heard[index].midi - self.heard[index - 1].midi

    def steps(self, index: int) -> int:
        """Signed staff steps from the note before."""
        return self.heard[index].note.pitch.staff_step - self.heard[index - 1].note.pitch.staff_step

    def is_step(self, index: int) -> bool:
        """Whether a note is reached by step; an augmented second between neighbouring letters is one."""
        size = abs(self.semitones(index))
        return 1 <= size <= STEP or (size == STEP + 1 and abs(self.steps(index)) == 1)

    def waits(self, index: int) -> Fraction:
        """Quarter notes from the onset of the note before."""
        return self.heard[index].note.onset - self.heard[index - 1].note.onset


def scene_of(heard: tuple[Heard, ...], spans: tuple[Span, ...], meter: Meter, origin: Fraction) -> Scene:
    """Number the phrases of a line."""
    phrases = [0]
    for one, other in pairwise(heard):
        rest = other.note.onset - one.note.end >= REST_BEATS * meter.beat
        phrases.append(phrases[-1] + rest)
    return Scene(heard, spans, meter, origin, tuple(phrases[: len(heard)]))
