"""Motifs: the same steps in the same rhythm at another place, exact, transposed or shifted by degrees."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from core.line.limits import MOTIF_BARS, MOTIF_NOTES, SEQUENCE_BARS
from core.line.scene import Feature, Scene

_Shape = tuple[Fraction, tuple[tuple[int, Fraction], ...]]


def motifs(scene: Scene) -> Iterator[Feature]:
    """Every place of every motif; places that answer each other have the same ``of``."""
    places: dict[_Shape, list[int]] = defaultdict(list)
    shapes = [_shape(scene, index) for index in range(len(scene.heard) - MOTIF_NOTES + 1)]
    for index, shape in enumerate(shapes):
        if shape is not None:
            places[shape].append(index)
    covered: dict[int, int] = {}
    group = 0
    for index, shape in enumerate(shapes):
        if index in covered:
            continue
        found = [index]
        for other in places.get(shape, ()) if shape is not None else ():
            if other not in covered and other > found[-1] and _answers(scene, found[-1], other):
                found.append(other)
        if len(found) > 1:
            group += 1
            size = _common(scene, found)
            for place in found:
                covered.update(dict.fromkeys(range(place, place + size - MOTIF_NOTES + 2), group))
                yield Feature("motif", place, place + size - 1, _transform(scene, found[0], place, size), group)


def _shape(scene: Scene, index: int) -> _Shape | None:
    """Steps and rhythm of four notes from a beat or a phrase's beginning; None across its end and for a bare scale."""
    last = index + MOTIF_NOTES - 1
    if scene.phrases[index] != scene.phrases[last] or not (scene.on_beat(index) or _begins(scene, index)):
        return None
    moves = tuple((scene.steps(at), scene.waits(at)) for at in range(index + 1, last + 1))
    if all(move[0] == 1 for move in moves) or all(move[0] == -1 for move in moves):
        return None
    return scene.place_in_beat(index), moves


def _answers(scene: Scene, one: int, other: int) -> bool:
    """Whether a later place with the same shape is heard as the same motif."""
    apart = scene.heard[other].note.onset - scene.heard[one].note.onset
    bar = scene.meter.length
    if other < one + MOTIF_NOTES or apart > MOTIF_BARS * bar:
        return False
    even = len({scene.waits(at) for at in range(one + 1, one + MOTIF_NOTES)}) == 1
    if not even or (_begins(scene, one) and _begins(scene, other)):
        return True
    return apart <= SEQUENCE_BARS * bar


def _begins(scene: Scene, index: int) -> bool:
    return index == 0 or scene.phrases[index] != scene.phrases[index - 1]


def _common(scene: Scene, places: list[int]) -> int:
    """How many notes the places share, none overlapping the next place."""
    size = MOTIF_NOTES
    room = min((other - one for one, other in pairwise(places)), default=size)
    while size < room and all(place + size < len(scene.heard) for place in places):
        moves = {(scene.steps(place + size), scene.waits(place + size)) for place in places}
        if len(moves) > 1 or any(scene.phrases[place] != scene.phrases[place + size] for place in places):
            break
        size += 1
    return size


def _transform(scene: Scene, first: int, place: int, size: int) -> str:
    if place == first:
        return "first"
    shifts = {scene.heard[place + at].midi - scene.heard[first + at].midi for at in range(size)}
    if shifts == {0}:
        return "exact"
    if len(shifts) == 1:
        return f"transposed {next(iter(shifts)):+d} semitones"
    steps = scene.heard[place].note.pitch.staff_step - scene.heard[first].note.pitch.staff_step
    return f"shifted {steps:+d} degrees" if steps else "same degrees, altered"
