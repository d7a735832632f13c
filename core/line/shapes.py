"""The shapes of a line: phrases, arpeggios, scale runs, four-note cells, wide leaps, stretches outside."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import groupby

from core.chord import Chord, in_context
from core.line.degrees import degree_over, is_written
from core.line.limits import (
    CELL_NOTES,
    CELL_NUMBERS,
    LEAP,
    OUTSIDE_NOTES,
    RUN_NOTES,
    SHAPE_NOTES,
    SHORT,
)
from core.line.reading import OUTSIDE
from core.line.scene import Feature, Scene
from core.pitch import pretty_name, with_signs

_EIGHTH = Fraction(1, 2)
_TRIADS = {(0, 4, 7): "", (0, 3, 7): "m", (0, 3, 6): "°", (0, 4, 8): "+"}
_CELL_DEGREES = {(1, 0), (9, 0), (11, 0)}


def phrases(scene: Scene) -> Iterator[Feature]:
    """From the first to the last note of each phrase."""
    for _, group in groupby(range(len(scene.heard)), key=lambda index: scene.phrases[index]):
        indexes = list(group)
        yield Feature("phrase", indexes[0], indexes[-1])


def arpeggios(scene: Scene) -> Iterator[Feature]:
    """Runs of skips over one chord: its own tones, or a shape laid over it."""
    first = 0
    for index in range(1, len(scene.heard) + 1):
        if index < len(scene.heard) and _skips(scene, index):
            continue
        yield from _shape(scene, first, index - 1)
        first = index


def _skips(scene: Scene, index: int) -> bool:
    one, other = scene.heard[index - 1], scene.heard[index]
    wide = abs(scene.semitones(index)) > 2 and abs(scene.steps(index)) > 1
    return wide and one.own == other.own and scene.joined(index)


def _shape(scene: Scene, first: int, last: int) -> Iterator[Feature]:
    chord = scene.heard[first].chord
    classes = [scene.heard[index].midi % 12 for index in range(first, last + 1)]
    if chord is None or len(set(classes)) < SHAPE_NOTES:
        return
    if all(is_written(chord, pitch_class) for pitch_class in classes):
        yield Feature("arpeggio", first, last, _degrees(chord, classes))
        return
    triad = _foreign_triad(scene, first, last, chord)
    if triad is not None:
        yield Feature("superimposed", first, last, f"{triad} over {_name(chord)}: {_degrees(chord, classes)}")
        return
    at = first
    for inside, group in groupby(classes, key=lambda pitch_class: is_written(chord, pitch_class)):
        size = len(tones := list(group))
        if inside and len(set(tones)) >= SHAPE_NOTES:
            yield Feature("arpeggio", at, at + size - 1, _degrees(chord, tones))
        at += size


def _foreign_triad(scene: Scene, first: int, last: int, chord: Chord) -> str | None:
    """The name of the first triad in a shape with a note that is not in the chord."""
    for low in range(first, last - 1):
        three = [scene.heard[index] for index in range(low, low + 3)]
        classes = {one.midi % 12 for one in three}
        if len(classes) < 3 or all(is_written(chord, one) for one in classes):
            continue
        for one in three:
            root = one.midi % 12
            name = _TRIADS.get(tuple(sorted((other - root) % 12 for other in classes)))  # type: ignore[arg-type]
            if name is not None:
                return pretty_name(one.note.pitch.fifths) + name
    return None


def _name(chord: Chord) -> str:
    return with_signs(chord.canonical)


def _degrees(chord: Chord, classes: list[int]) -> str:
    return " ".join(with_signs(str(degree_over(chord, pitch_class))) for pitch_class in classes)


def scale_runs(scene: Scene) -> Iterator[Feature]:
    """Notes by step in one direction."""
    first = 0
    for index in range(1, len(scene.heard) + 1):
        if index < len(scene.heard) and _runs_on(scene, first, index):
            continue
        if index - first >= RUN_NOTES:
            yield Feature("scale_run", first, index - 1, "up" if scene.semitones(index - 1) > 0 else "down")
        starts_new = index < len(scene.heard) and scene.is_step(index) and scene.joined(index)
        first = index - 1 if starts_new and scene.heard[index - 1].note.duration <= SHORT else index


def _runs_on(scene: Scene, first: int, index: int) -> bool:
    if not scene.is_step(index) or not scene.joined(index):
        return False
    if index - 1 == first:
        return True
    inner = scene.heard[index - 1].note.duration <= SHORT
    return inner and scene.semitones(index) * scene.semitones(index - 1) > 0


def cells(scene: Scene, runs: tuple[Feature, ...]) -> Iterator[Feature]:
    """Four even eighths from a beat that are a known cell of their chord, none of them part of a scale run."""
    index = 0
    while index + CELL_NOTES <= len(scene.heard):
        last = index + CELL_NOTES - 1
        degrees = _cell(scene, index)
        if degrees is None or any(run.first <= index and last <= run.last for run in runs):
            index += 1
            continue
        yield Feature("cell", index, last, degrees)
        index += CELL_NOTES


def _cell(scene: Scene, index: int) -> str | None:
    four = scene.heard[index : index + CELL_NOTES]
    if four[0].chord is None or not scene.on_beat(index) or any(one.own != four[0].own for one in four):
        return None
    if any(scene.waits(index + at) != _EIGHTH for at in range(1, CELL_NOTES)):
        return None
    numbers = set()
    for one in four:
        assert one.degree is not None
        plain = (one.degree.number, one.degree.alteration) in _CELL_DEGREES
        if not plain and not one.chord_tone:
            return None
        numbers.add((one.degree.number - 1) % 7 + 1)
    if frozenset(numbers) not in CELL_NUMBERS:
        return None
    return " ".join(_low(with_signs(str(one.degree))) for one in four)


def _low(degree: str) -> str:
    return {"9": "2", "11": "4"}.get(degree, degree)


def wide_leaps(scene: Scene) -> Iterator[Feature]:
    """Leaps of ten semitones or more, and whether a step back follows."""
    for index in range(1, len(scene.heard)):
        size = scene.semitones(index)
        if abs(size) < LEAP or scene.phrases[index] != scene.phrases[index - 1]:
            continue
        words = "an octave" if abs(size) == 12 else f"{abs(size)} semitones"
        words += " up" if size > 0 else " down"
        if index + 1 < len(scene.heard) and scene.joined(index + 1) and scene.is_step(index + 1) and (
                scene.semitones(index + 1) * size < 0):  # fmt: skip
            words += ", then a step back"
        yield Feature("octave_leap", index - 1, index, words)


def outside(scene: Scene, kinds: tuple[str, ...]) -> Iterator[Feature]:
    """Rows of foreign notes, two of which at least do not resolve."""
    first = 0
    for index in range(len(scene.heard) + 1):
        foreign = index < len(scene.heard) and not scene.heard[index].fits
        if foreign and (index == first or scene.phrases[index] == scene.phrases[index - 1]):
            continue
        if sum(kind == OUTSIDE for kind in kinds[first:index]) >= OUTSIDE_NOTES:
            yield Feature("outside", first, index - 1, _implied(scene, first, index - 1))
        first = index if foreign else index + 1


def _implied(scene: Scene, first: int, last: int) -> str:
    names = " ".join(pretty_name(scene.heard[index].note.pitch.fifths) for index in range(first, last + 1))
    chord = scene.heard[first].chord
    return names if chord is None else f"{names} over {_name(in_context(chord))}"
