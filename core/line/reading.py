"""A line read against a row: the chord under each note, its degree, and what kind of note it is."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, replace

from core.checks.fit_table import fit_row
from core.chord import Chord, in_context
from core.key import Key
from core.line.degrees import degree_over, is_chord_tone, spelled_over
from core.line.limits import EARLY_LEAST, EARLY_MOST, EARLY_SHARE, GAP, STEP
from core.line.solo import LineNote, Span
from core.pitch import Degree, pitch_from_midi, simple_spelling

CHORD_TONE, TENSION, APPROACH, OUTSIDE, SILENCE = "chord tone", "tension", "approach", "outside", "no chord"
KINDS = (CHORD_TONE, TENSION, APPROACH, OUTSIDE, SILENCE)


@dataclass(frozen=True, slots=True)
class Heard:
    """A note over its chord.

    ``here`` is the chord that sounds, ``own`` the one it belongs to (the next where it anticipates), as indexes of the
    spans; ``fits`` whether the own chord carries it freely.
    """

    note: LineNote
    here: int
    own: int
    chord: Chord | None
    degree: Degree | None
    chord_tone: bool
    fits: bool
    midi: int

    @property
    def anticipates(self) -> bool:
        """Whether it belongs to the next chord."""
        return self.own > self.here


def heard_over(notes: tuple[LineNote, ...], spans: tuple[Span, ...], key: Key | None) -> tuple[Heard, ...]:
    """Every note with the chord it belongs to."""
    starts = [float(span.start) for span in spans]
    found = []
    for index, note in enumerate(notes):
        here = max(0, bisect_right(starts, float(note.onset)) - 1)
        following = notes[index + 1] if index + 1 < len(notes) else None
        own = here + 1 if _anticipates(note, following, spans, here) else here
        found.append(_heard(note, spans, here, own, key))
    return tuple(found)


def _heard(note: LineNote, spans: tuple[Span, ...], here: int, own: int, key: Key | None) -> Heard:
    chord, midi = spans[own].chord, note.pitch.midi
    if chord is None:
        return Heard(note, here, own, None, None, False, True, midi)
    after = spans[own + 1].chord if own + 1 < len(spans) else None
    pitch_class = midi % 12
    verdict = fit_row(chord, after, key).verdicts[in_context(chord).degree_of(pitch_class)]
    tone = is_chord_tone(chord, pitch_class)
    return Heard(note, here, own, chord, degree_over(chord, pitch_class), tone, tone or verdict == "good", midi)


def respelled(one: Heard) -> LineNote:
    """A played note with the letter of its degree over the chord it belongs to, as a player reads it."""
    if one.chord is None:
        return one.note
    fifths = simple_spelling(spelled_over(one.chord, one.midi % 12))
    return replace(one.note, pitch=pitch_from_midi(one.midi, fifths))


def _anticipates(note: LineNote, following: LineNote | None, spans: tuple[Span, ...], here: int) -> bool:
    if here + 1 >= len(spans):
        return False
    now, then = spans[here], spans[here + 1]
    if now.chord is None or then.chord is None:
        return False
    if note.onset < now.end - EARLY_MOST:
        return False
    early = min(EARLY_MOST, max(EARLY_LEAST, (now.end - now.start) * EARLY_SHARE))
    pitch_class = note.pitch.midi % 12
    if note.onset < now.end - early or not is_chord_tone(then.chord, pitch_class):
        return False
    if is_chord_tone(now.chord, pitch_class):
        return False
    if note.end > now.end:
        return True
    if following is None or following.onset < now.end:
        return False
    moved = abs(following.pitch.midi - note.pitch.midi)
    return not (1 <= moved <= STEP and following.onset - now.end <= GAP)


def kinds_of(heard: tuple[Heard, ...], approaching: frozenset[int] = frozenset()) -> tuple[str, ...]:
    """What each note is; ``approaching`` are notes that a shape leads to a chord tone."""
    kinds = []
    for index, one in enumerate(heard):
        following = heard[index + 1] if index + 1 < len(heard) else None
        if one.chord is None:
            kinds.append(SILENCE)
        elif one.chord_tone:
            kinds.append(CHORD_TONE)
        elif index in approaching or (not one.fits and _resolves(one, following)):
            kinds.append(APPROACH)
        else:
            kinds.append(TENSION if one.fits or _is_colour(one) else OUTSIDE)
    return tuple(kinds)


def _resolves(one: Heard, following: Heard | None) -> bool:
    return (following is not None and following.chord_tone and 1 <= abs(following.midi - one.midi) <= STEP
            and following.note.onset - one.note.end <= GAP)  # fmt: skip


def _is_colour(one: Heard) -> bool:
    """An altered ninth, eleventh or thirteenth over a dominant, which needs no resolution to be one."""
    if one.chord is None or one.degree is None:
        return False
    altered = one.degree.number > 7 and one.degree.alteration != 0
    return altered and in_context(one.chord).quality.family == "dominant"
