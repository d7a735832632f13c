"""The smallest change of a tune that admits a chosen chord: notes that clash move to the nearest that fits."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from math import floor

from core.chart import Melody, Note
from core.checks.melody import NoteFit, fits
from core.chord import Chord
from core.finding import VERDICTS
from core.form import Form
from core.key import Key
from core.pitch import Pitch, chromatic, pitch_from_midi, pretty_name
from core.row import Row
from core.spelling import printed

FARTHEST = 6
"""Semitones that a note may move: beyond a tritone it is another tune."""


@dataclass(frozen=True, slots=True)
class Moved:
    """A note of the tune that moves: where (quarter notes), from and to which pitch, its degrees before and after."""

    onset: Fraction
    before: Pitch
    after: Pitch
    was: str
    now: str

    @property
    def semitones(self) -> int:
        """How far, up positive."""
        return self.after.midi - self.before.midi


@dataclass(frozen=True, slots=True)
class Refit:
    """The tune with what had to move; ``unsolved`` are notes that nothing near them could stand for."""

    melody: Melody
    moved: tuple[Moved, ...]
    unsolved: tuple[NoteFit, ...]


def smallest_change(melody: Melody, chords: Row, following: Chord | None, key: Key, form: Form) -> Refit:
    """Move as few notes as little as can be, so that none clashes over ``chords``, which ``following`` follows.

    Each note is judged where it stands, so the least for each is the least for all: the nearest pitch; of two as near
    the one that fits better, then a tone of the scale, then the one on the side of the note before, so that the line
    keeps its shape.
    """
    found, moved, unsolved = list(melody), [], []
    for index, note in enumerate(melody):
        fit = _clash(tuple(found), note, chords, following, key, form)
        if fit is None:
            continue
        choices = _choices(found, index, chords, following, key, form)
        if not choices:
            unsolved.append(fit)
            continue
        _, pitch, now = min(choices, key=lambda choice: choice[0])
        found[index] = replace(note, pitch=pitch)
        moved.append(Moved(note.onset, note.pitch, pitch, fit.degree, now))
    return Refit(tuple(found), tuple(moved), tuple(unsolved))


Cost = tuple[int, int, int, int, int]


def _clash(melody: Melody, note: Note, chords: Row, following: Chord | None, key: Key, form: Form) -> NoteFit | None:
    """How a note clashes, if it does: over any of the chords that it sounds with."""
    start, end = chords[0].onset, chords[-1].end
    if note.end <= start or note.onset >= end:
        return None
    return next((fit for fit in fits(melody, chords, following, key, form)
                 if fit.verdict == "clash" and note.onset <= fit.onset < note.end), None)  # fmt: skip


def _choices(
    melody: list[Note], index: int, chords: Row, following: Chord | None, key: Key, form: Form
) -> list[tuple[Cost, Pitch, str]]:
    note = melody[index]
    leans = 0 if index == 0 else melody[index - 1].pitch.midi - note.pitch.midi
    found: list[tuple[Cost, Pitch, str]] = []
    for step in sorted(range(-FARTHEST, FARTHEST + 1), key=abs):
        midi = note.pitch.midi + step
        if step == 0 or not 0 <= midi <= 127:
            continue
        pitch = _spelled(midi, _chord_at(chords, max(note.onset, chords[0].onset)), key)
        tried = (*melody[:index], replace(note, pitch=pitch), *melody[index + 1 :])
        here = [fit for fit in fits(tried, chords, following, key, form) if note.onset <= fit.onset < note.end]
        if any(fit.verdict == "clash" for fit in here) or not here:
            continue
        worst = max(VERDICTS.index(fit.verdict) for fit in here)
        outside = (midi - key.tonic_pc) % 12 not in _SCALES[key.is_minor]
        away = leans * step < 0
        found.append(((abs(step), worst, outside, away, step), pitch, here[0].degree))
    return found


def _spelled(midi: int, chord: Chord | None, key: Key) -> Pitch:
    """As the chord spells it, else as the key does."""
    tones = () if chord is None else chord.tones
    return pitch_from_midi(midi, next((tone for tone in tones if chromatic(tone) == midi % 12), None), key.signature)


_SCALES = (frozenset({0, 2, 4, 5, 7, 9, 11}), frozenset({0, 2, 3, 5, 7, 8, 10, 11}))


def _chord_at(chords: Row, onset: Fraction) -> Chord | None:
    return next((slot.chord for slot in chords if slot.onset <= onset < slot.end), None)


def sentences(found: Refit, chords: Row, key: Key, form: Form) -> list[str]:
    """In words, what had to move, or that nothing has to.

    ``Bar 3, beat 2: F goes down a half step to E, the 3 of Cmaj7; it was the 11.``
    """
    said = []
    for one in found.moved:
        bar = form.bar_at(one.onset)
        beat = (one.onset - bar.start) / bar.meter.beat + 1
        chord = _chord_at(chords, max(one.onset, chords[0].onset))
        over = "" if chord is None else f" of {printed(chord, key)}"
        way = f"{'up' if one.semitones > 0 else 'down'} {_STEPS[abs(one.semitones)]}"
        place = f"beat {beat}" if beat.denominator == 1 else f"after beat {floor(beat)}"
        said.append(f"Bar {bar.number}, {place}: {pretty_name(one.before.fifths)} goes {way} to "
                    f"{pretty_name(one.after.fifths)}, the {one.now}{over}; it was the {one.was}.")  # fmt: skip
    for fit in found.unsolved:
        bar = form.bar_at(fit.onset)
        said.append(f"Bar {bar.number}: no note near {pretty_name(fit.fifths)} fits; choose another chord there.")
    return said or ["The tune can stay as it is."]


_STEPS = ("", "a half step", "a whole step", "a minor third", "a major third", "a fourth", "a tritone")
