"""Derivation: the cheapest steps of the catalogue that turn one stretch of chords into another.

A uniform-cost search over rows: every technique that applies to the chords at hand is a step and costs what it takes
to believe it (``Technique.cost``, ``Rule.cost``). Chords are compared by root and kind, without their colour. A step is
built only where it puts down the very chords that are missing, or where another step could still end the search from
there (:mod:`core.techniques.goal`), which is what makes it quick. Melody is left aside: the recorded chord is a fact.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from itertools import count
from typing import NamedTuple

from core.analysis import ChordAnalysis
from core.checks.leading import INSTANT
from core.chord import Chord, in_context
from core.function import root_motion
from core.row import Row, Slot, slot_index, span
from core.techniques.apply import Application, apply_rule, candidates
from core.techniques.catalogue import TECHNIQUES
from core.techniques.goal import Chords, Goal, goal_of
from core.techniques.ground import Ground
from core.techniques.kinds import Kind, kind_of, shape
from core.techniques.technique import Technique

MOST_STEPS = 3
MOST_EXPANSIONS = 300
"""How many rows a search looks at before it gives up and says that it knows no derivation."""
COLOUR_FAMILY = "colour"
SEARCHED = tuple(technique for technique in TECHNIQUES if technique.family != COLOUR_FAMILY)
"""Techniques that change a root or a kind of chord; those of colour alone are told apart afterwards."""
CHEAPEST = min(technique.cost for technique in SEARCHED)


@dataclass(frozen=True, slots=True)
class Derivation:
    """Steps in the order they are taken, and what they cost together."""

    steps: tuple[Application, ...]
    cost: int


def derivations(ground: Ground, wanted: Row, limit: int, most_steps: int = MOST_STEPS) -> Iterator[Derivation]:
    """Ways from the ground's chords to the wanted ones over the same time, cheapest first, none dearer than ``limit``.

    ``wanted`` covers the stretch; the ground's row reaches at least one chord further on both sides where there is one
    (:func:`surroundings`).
    """
    start, end = wanted[0].onset, wanted[-1].end
    goal = _goal(ground, wanted, SEARCHED if most_steps > 1 else ())
    order = count()
    queue: list[tuple[int, int, Ground, tuple[Application, ...]]] = [(0, next(order), ground, ())]
    seen: set[tuple[tuple[Fraction, Chord | None], ...]] = set()
    while queue:
        cost, _, here, steps = heapq.heappop(queue)
        now = shape(span(here.row, start, end))
        if now == goal.shape:
            yield Derivation(steps, cost)
            continue
        written = tuple((slot.onset, slot.chord) for slot in here.row)  # Gm7 over C, then C7, is not C7 throughout
        if written in seen or len(steps) == most_steps or cost + CHEAPEST > limit:
            continue
        seen.add(written)
        if len(seen) > MOST_EXPANSIONS:
            return
        for application in _applied(here, goal, start, end, limit - cost, most_steps - len(steps)):
            row = row_with(here.row, application)
            step = Ground(row, readings_for(here, row), (), here.form)
            price = cost + step_cost(application)
            heapq.heappush(queue, (price, next(order), step, (*steps, application)))


def row_with(row: Row, application: Application) -> Row:
    """The row with an application made, alike chords beside it joined: splice and merge for a handful of slots.

    The first and the last slot are the neighbours of the stretch and stay as they are.
    """
    start, end = application.start, application.end
    left = [slot if slot.end <= start else replace(slot, duration=start - slot.onset)
            for slot in row if slot.onset < start]  # fmt: skip
    right = [slot if slot.onset >= end else replace(slot, onset=end, duration=slot.end - end)
             for slot in row if slot.end > end]  # fmt: skip
    result: list[Slot] = []
    for slot in (*left, *application.after, *right):
        inner = result and slot is not row[-1] and result[-1] is not row[0]
        if inner and result[-1].chord == slot.chord:
            result[-1] = replace(result[-1], duration=result[-1].duration + slot.duration)
        else:
            result.append(slot)
    return tuple(result)


def _goal(ground: Ground, wanted: Row, techniques: tuple[Technique, ...]) -> Goal:
    """The wanted shape. A sus chord stands for its dominant over a root that was there or a fifth above what follows.

    As a substitute for another dominant it has no tritone to share: it is equal to nothing that a rule puts down.
    """
    start, end, after = wanted[0].onset, wanted[-1].end, ground.row[-1]
    before = span(ground.row, start, end)
    roots = {kind_of(slot.chord)[0] for slot in before if slot.chord is not None}
    nexts = [*(slot.chord for slot in wanted[1:]), after.chord if after.onset >= end else None]
    sought = shape(tuple(
        replace(slot, chord=None) if slot.chord and _false_sus(slot.chord, roots, following) else slot
        for slot, following in zip(wanted, nexts, strict=True)))  # fmt: skip
    return goal_of(sought, kind_of(after.chord), techniques)


def _false_sus(chord: Chord, roots: set[int], following: Chord | None) -> bool:
    sounding = in_context(chord)
    if sounding.quality.family != "suspended" or sounding.root_pc in roots:
        return False
    return following is None or root_motion(chord, following) != 5


def step_cost(application: Application) -> int:
    """What it takes to believe one application."""
    return application.technique.cost + application.rule.cost


def _applied(here: Ground, goal: Goal, start: Fraction, end: Fraction, budget: int, left: int) -> Iterator[Application]:
    """The steps worth taking when ``left`` are left: those that may arrive, and those after which others may."""
    kinds = tuple(kind_of(slot.chord) for slot in here.row)
    inner = range(1 if start > 0 else 0, len(kinds) - 1)
    differ = goal.differing(here.row, kinds, inner)
    missing = goal.whole & ~goal.chords([kinds[slot] for slot in inner]).wanted
    rests: dict[tuple[int, int, bool], _Rest] = {}
    last = end if left > 1 else here.row[differ[0]].end
    for _, technique, rule, index in candidates(here.row, SEARCHED, start, last):
        rest, after = budget - technique.cost - rule.cost, index + len(rule.replaces)
        arrives = index <= differ[0] and differ[-1] < after
        if rest < 0 or not (arrives or (left > 1 and rest >= goal.cheapest)):
            continue
        put = goal.put(here, kinds, rule, index)
        if not arrives or put.strange or missing & ~put.wanted:
            if left == 1 or rest < goal.cheapest:
                continue
            place = index, after, bool(rule.tail_beats or rule.tail_bars)
            if place not in rests:
                rests[place] = _rest(goal, kinds, inner, differ, place)
            if rest < _least(goal, put, rests[place], left - 1):
                continue
        application = apply_rule(here, technique, rule, index)
        if application is not None and start <= application.start and application.end <= end:
            yield application


class _Rest(NamedTuple):
    """What a step leaves as it was: chords, and over how many of them a last step after it must reach."""

    chords: Chords
    length: int


def _rest(goal: Goal, kinds: tuple[Kind, ...], inner: range, differ: list[int], place: tuple[int, int, bool]) -> _Rest:
    """What stays beside a step that replaces the slots from one to before another, or only the end of them."""
    index, after, tail = place
    chords = goal.chords([kinds[slot] for slot in inner if tail or not index <= slot < after])
    outside = [slot for slot in differ if not index <= slot < after]
    if not outside:
        return _Rest(chords, 1)
    length = outside[-1] - outside[0] + 1
    if outside[0] < index < outside[-1]:  # what is put between two chords may join them
        length -= after - index + 1
    return _Rest(chords, length)


def _least(goal: Goal, put: Chords, rest: _Rest, left: int) -> int:
    """The least that it can cost to arrive within so many steps from what a step puts down and what it leaves."""
    missing = goal.whole & ~(put.wanted | rest.chords.wanted)
    one = goal.least(put.kinds + rest.chords.kinds, missing, rest.length)
    return one if left == 1 else min(one, CHEAPEST + goal.cheapest)


# --- the ground of a search ------------------------------------------------------------------------------------------


def surroundings(ground: Ground, context: Row, start: Fraction, end: Fraction) -> Ground:
    """A stretch of the ground between the neighbours it has in a context row: what a rule looks at, and no more.

    Keys are the ground's own, so that a derivation is judged in the standard's key.
    """
    around = list(span(ground.row, start, end))
    first = slot_index(ground.row, start)
    read = list(ground.analysis[first : first + len(around)])
    if start > 0:
        before = context[slot_index(context, start - INSTANT)]
        around.insert(0, before if before.end == start else replace(before, duration=start - before.onset))
        read.insert(0, ground.analysis[slot_index(ground.row, before.onset)])
    # After the last chord the chorus comes round.
    after = context[slot_index(context, end)] if end < context[-1].end else context[0]
    around.append(after if after.onset == end else replace(after, onset=end))
    read.append(ground.analysis[slot_index(ground.row, end)])
    return Ground(tuple(around), tuple(map(_key_only, read)), (), ground.form)


def readings_for(here: Ground, row: Row) -> tuple[ChordAnalysis, ...]:
    first = here.analysis[0]
    if all(reading is first for reading in here.analysis):  # one key, as almost always
        return (first,) * len(row)
    return tuple(here.analysis[slot_index(here.row, slot.onset)] for slot in row)


@lru_cache(maxsize=1024)
def _key_only(reading: ChordAnalysis) -> ChordAnalysis:
    return ChordAnalysis(reading.key, None, "", "N", "", None)
