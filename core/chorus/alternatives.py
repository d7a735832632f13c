"""Alternatives: every change that the catalogue offers anywhere in a row, composed to a depth, once for each sound.

Compositions go on from every result that the melody allows, as a player would hear each step, and stay within what
:mod:`core.explain` would believe.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from core.chart import Step
from core.checks.compiled import CLASH, judge_row
from core.checks.compiled_melody import CompiledMelody
from core.chord import Chord
from core.chorus.progress import Progress, unheard
from core.derivation import SEARCHED, readings_for, row_with, step_cost, surroundings
from core.explain import EXPLAINED_UP_TO, FOR_EACH_FURTHER_CHORD, explained_up_to
from core.row import ZERO, Row, merged, slot_index, span
from core.techniques.apply import Application, applications, apply_rule, candidates
from core.techniques.catalogue import TECHNIQUES
from core.techniques.ground import Ground
from core.techniques.technique import Technique


@dataclass(frozen=True, slots=True)
class Alternative:
    """New chords from ``start`` to ``end`` (quarter notes), and the steps that make them of the standard's.

    ``price`` is what the steps cost to believe (:func:`core.derivation.step_cost`); no steps at all means that the
    chords were asked for. ``boldness`` 0 to 100 is the mean of its techniques' (None: nobody knows). ``bass_step`` puts
    the chords over other basses at last. Chords that are the standard's own stand in no alternative's first or last
    slot.
    """

    start: Fraction
    end: Fraction
    chords: Row
    applied: tuple[Application, ...]
    price: int
    boldness: int | None = None
    bass_step: Step | None = None

    @property
    def steps(self) -> tuple[Step, ...]:
        """The steps as a take keeps them."""
        steps = tuple(Step(one.technique.id, one.start, one.end, one.before, one.after) for one in self.applied)
        return steps if self.bass_step is None else (*steps, self.bass_step)

    @property
    def techniques(self) -> frozenset[str]:
        """Ids of the techniques."""
        return frozenset(step.technique for step in self.steps)

    @property
    def families(self) -> frozenset[str]:
        """Families of the techniques."""
        return frozenset(FAMILY_OF[technique] for technique in self.techniques)


FAMILY_OF = {technique.id: technique.family for technique in TECHNIQUES}
Stretch = tuple[Fraction, Fraction]
"""Start and end in quarter notes."""


def alternatives(
    ground: Ground, melody: CompiledMelody, start: Fraction, end: Fraction, depth: int,
    forbidden: frozenset[str] = frozenset(), kept: tuple[Stretch, ...] = (),
    progress: Progress = unheard,
) -> list[Alternative]:  # fmt: skip
    """What can be put anywhere between start and end; of those that sound the same the one cheapest to believe.

    No step changes anything in ``kept``, stretches in order of time.
    """
    techniques = tuple(technique for technique in SEARCHED if technique.id not in forbidden)
    found = []
    for one in applications(ground, techniques, start, end):
        progress(0)
        if one.end <= end and spares(ground.row, one.after, kept):
            found.append(_Made(one.after, (one,)))
    latest = found
    for level in range(1, depth):
        allowed = [made for made in latest if _allowed(made, melody)]
        latest = []
        for number, made in enumerate(allowed):
            progress((level - 1 + number / len(allowed)) / (depth - 1))
            further = _composed(ground, made, techniques)
            latest += [composed for composed in further if spares(ground.row, composed.chords, kept)]
        found = found + latest
    return _distinct(ground.row, found)


class _Made(NamedTuple):
    """Chords and the steps that make them."""

    chords: Row
    steps: tuple[Application, ...]


def spares(row: Row, chords: Row, kept: tuple[Stretch, ...]) -> bool:
    """Whether the chords that are not the row's own stand outside what is kept."""
    if all(end <= chords[0].onset or chords[-1].end <= start for start, end in kept):
        return True
    changed = trimmed(row, merged(chords))
    return not changed or all(end <= changed[0].onset or changed[-1].end <= start for start, end in kept)


def _allowed(made: _Made, melody: CompiledMelody) -> bool:
    """Whether the melody bears the chords as they stand there before the next step."""
    return judge_row(melody, made.chords, made.steps[0].around[1], made.steps[-1].key, True).worst < CLASH


def _composed(ground: Ground, made: _Made, techniques: tuple[Technique, ...]) -> Iterator[_Made]:
    """Every technique tried on what some steps made, inside the time they changed."""
    start, end, steps = made.chords[0].onset, made.chords[-1].end, made.steps
    around = surroundings(ground, ground.row, start, end)
    row = around.row
    for step in steps:
        row = row_with(row, step)
    here = Ground(row, readings_for(around, row), ground.melody, ground.form)
    used = {step.technique.id for step in steps}
    spent = sum(map(step_cost, steps))
    for _, technique, rule, index in candidates(row, techniques, start, end):
        if technique.id in used or row[index].onset < start:
            continue
        most = len(row) - 3 + len(rule.parts) - len(rule.replaces)  # further chords, neighbours left out
        if spent + technique.cost + rule.cost > EXPLAINED_UP_TO + FOR_EACH_FURTHER_CHORD * max(0, most):
            continue
        found = apply_rule(here, technique, rule, index)
        if found is None or found.start < start or found.end > end:
            continue
        whole = merged(span(row_with(row, found), start, end))
        if _one_idea(ground, whole, (*steps, found)):
            yield _Made(whole, (*steps, found))


def _one_idea(ground: Ground, after: Row, steps: tuple[Application, ...]) -> bool:
    """One change that explanation would believe; two changes side by side are two alternatives."""
    before = merged(span(ground.row, after[0].onset, after[-1].end))
    if {slot.onset for slot in before[1:]} & {slot.onset for slot in after[1:]}:
        return False
    return sum(map(step_cost, steps)) <= explained_up_to(before, after)


def _distinct(row: Row, found: Iterable[_Made]) -> list[Alternative]:
    kept: dict[tuple[object, ...], Alternative] = {}
    for after, steps in found:
        chords = trimmed(row, merged(after))
        if not chords:
            continue
        key = (chords[-1].end, tuple((slot.onset, slot.chord) for slot in chords))
        price = sum(map(step_cost, steps))
        other = kept.get(key)
        if other is None or (price, len(steps)) < (other.price, len(other.applied)):
            boldness = sum(step.technique.boldness for step in steps) // len(steps)
            kept[key] = Alternative(chords[0].onset, chords[-1].end, chords, steps, price, boldness)
    return list(kept.values())


def trimmed(row: Row, chords: Row) -> Row:
    """Chords without those at both ends that are the row's own."""
    first, last = 0, len(chords)
    while first < last and _stands(row, chords[first].onset, chords[first].end, chords[first].chord):
        first += 1
    while last > first and _stands(row, chords[last - 1].onset, chords[last - 1].end, chords[last - 1].chord):
        last -= 1
    return chords[first:last]


def _stands(row: Row, start: Fraction, end: Fraction, chord: Chord | None) -> bool:
    here = row[slot_index(row, start)]
    return here.chord == chord and (end <= here.end or all(slot.chord == chord for slot in span(row, start, end)))


def same_roots(one: Row, other: Row) -> Fraction:
    """How long, in quarter notes, two rows over the same time stand on the same root."""
    total, at, here, there = ZERO, one[0].onset, 0, 0
    while here < len(one) and there < len(other):
        end = min(one[here].end, other[there].end)
        if _root(one[here].chord) == _root(other[there].chord):
            total += end - at
        here += one[here].end == end
        there += other[there].end == end
        at = end
    return total


def _root(chord: Chord | None) -> int | None:
    return None if chord is None else chord.root_pc
