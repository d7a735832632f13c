"""What a picture of a voicing says of each tone: a label, and whether it is a guide tone, a chord tone or a tension."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from core.chord import Chord
from core.hands.voiced_row import note_name
from core.key import Key
from core.pitch import Degree, with_signs

Mark = Literal["guide", "tone", "tension"]
Labels = Literal["degrees", "notes"]


@dataclass(frozen=True, slots=True)
class Tone:
    """A note (MIDI) of a voicing; ``upper``: it belongs to the triad of an upper structure."""

    note: int
    label: str
    mark: Mark
    upper: bool = False


def tones_of(
    chord: Chord, notes: Sequence[int], degrees: Sequence[Degree], key: Key, labels: Labels = "degrees",
    upper: Chord | None = None,
) -> tuple[Tone, ...]:  # fmt: skip
    """The tones of a voicing, lowest first, labelled by degree or by name."""
    triad = frozenset() if upper is None else upper.pitch_classes
    top = {note for note in notes[-len(triad) :] if note % 12 in triad} if triad else set()
    return tuple(
        Tone(note, with_signs(str(degree)) if labels == "degrees" else note_name(note, chord, degree, key)[:-1],
             mark_of(chord, degree), note in top)
        for note, degree in zip(notes, degrees, strict=True)
    )  # fmt: skip


def mark_of(chord: Chord, degree: Degree) -> Mark:
    """A guide tone is the third (4) or seventh (6) of what is played; a tension is not in its seventh chord."""
    lower = (chord.lower_quality if chord.upper is not None else chord.quality).sounding
    semitone = degree.semitones % 12
    if any(guide.semitones % 12 == semitone and guide.number != 1 for guide in lower.guide_degrees or ()):
        return "guide"
    body = {d.semitones % 12 for d in lower.degrees if d.number <= 7} | {0}
    return "tone" if semitone in body or degree.number == 5 else "tension"
