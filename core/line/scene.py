"""What every search for shapes looks at: the notes heard, the chords, phrases and the beat; and what it finds."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

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
class _Move:
    """From the note before to a note, worked out once: every search asks."""

    joined: bool
    semitones: int
    steps: int
    waits: Fraction
    place_in_beat: Fraction


@dataclass(frozen=True, slots=True)
class Scene:
    """Notes over their chords; ``phrases`` holds for each note the number of its phrase, ``origin`` bar 1's place."""

    heard: tuple[Heard, ...]
    spans: tuple[Span, ...]
    meter: Meter
    origin: Fraction
    phrases: tuple[int, ...]
    moves: tuple[_Move, ...]

    def on_beat(self, index: int) -> bool:
        """Whether a note begins on a beat."""
        return not self.moves[index].place_in_beat

    def place_in_beat(self, index: int) -> Fraction:
        """Where in its beat a note begins."""
        return self.moves[index].place_in_beat

    def joined(self, index: int) -> bool:
        """Whether a note follows the one before it without more than a short silence, in the same phrase."""
        return self.moves[index].joined

    def semitones(self, index: int) -> int:
        """Signed semitones from the note before."""
        return self.moves[index].semitones

    def steps(self, index: int) -> int:
        """Signed staff steps from the note before."""
        return self.moves[index].steps

    def is_step(self, index: int) -> bool:
        """Whether a note is reached by step; an augmented second between neighbouring letters is one."""
        size = abs(self.moves[index].semitones)
        return 1 <= size <= STEP or (size == STEP + 1 and abs(self.moves[index].steps) == 1)

    def waits(self, index: int) -> Fraction:
        """Quarter notes from the onset of the note before."""
        return self.moves[index].waits


def scene_of(heard: tuple[Heard, ...], spans: tuple[Span, ...], meter: Meter, origin: Fraction) -> Scene:
    """Number the phrases of a line and measure its moves."""
    beat, rest = meter.beat, REST_BEATS * meter.beat
    phrases: list[int] = []
    moves: list[_Move] = []
    for before, one in zip((None, *heard), heard, strict=False):
        place = (one.note.onset + origin) % beat
        if before is None:
            phrases.append(0)
            moves.append(_Move(False, 0, 0, Fraction(0), place))
            continue
        silence = one.note.onset - before.note.end
        phrases.append(phrases[-1] + (silence >= rest))
        steps = one.note.pitch.staff_step - before.note.pitch.staff_step
        joined = silence <= GAP and silence < rest
        moves.append(_Move(joined, one.midi - before.midi, steps, one.note.onset - before.note.onset, place))
    return Scene(heard, spans, meter, origin, tuple(phrases), tuple(moves))
