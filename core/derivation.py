"""Derivation: the cheapest steps of the catalogue that turn one stretch of chords into another.

A uniform-cost search over rows: every technique that applies to the chords at hand is a step and costs what it takes
to believe it (``Technique.cost``, ``Rule.cost``). Chords are compared by root and kind, without their colour. A step
that would end the search is built only where the roots it puts down are the ones that are missing, which is what makes
the search quick. Melody is left aside: the recorded chord is a fact.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from itertools import count

from core.analysis import ChordAnalysis
from core.checks.leading import INSTANT
from core.chord import Chord, in_context
from core.function import root_motion
from core.row import Row, Slot, slot_index, span
from core.techniques.apply import Application, apply_rule, candidates
from core.techniques.catalogue import TECHNIQUES
from core.techniques.ground import Ground
from core.techniques.technique import Rule

MOST_STEPS = 3
MOST_EXPANSIONS = 300
"""How many rows a search looks at before it gives up and says that it knows no derivation."""
COLOUR_FAMILY = "colour"
SEARCHED = tuple(technique for technique in TECHNIQUES if technique.family != COLOUR_FAMILY)
"""Techniques that change a root or a kind of chord; those of colour alone are told apart afterwards."""
CHEAPEST = min(technique.cost for technique in SEARCHED)

Shape = tuple[tuple[Fraction, int, str, int], ...]


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
    goal = _goal(wanted, span(ground.row, start, end), ground.row[-1].chord if ground.row[-1].onset >= end else None)
    roots = frozenset(root for _, root, _, _ in goal)
    order = count()
    queue: list[tuple[int, int, Ground, tuple[Application, ...]]] = [(0, next(order), ground, ())]
    seen: set[tuple[tuple[Fraction, Chord | None], ...]] = set()
    while queue:
        cost, _, here, steps = heapq.heappop(queue)
        now = shape(span(here.row, start, end))
        if now == goal:
            yield Derivation(steps, cost)
            continue
        written = tuple((slot.onset, slot.chord) for slot in here.row)  # Gm7 over C, then C7, is not C7 throughout
        if written in seen or len(steps) == most_steps or cost + CHEAPEST > limit:
            continue
        seen.add(written)
        if len(seen) > MOST_EXPANSIONS:
            return
        for application in _applied(here, now, roots, start, end, limit - cost, len(steps) + 1 == most_steps):
            row = _with(here.row, application)
            step = Ground(row, _readings(here, row), (), here.form)
            price = cost + step_cost(application)
            heapq.heappush(queue, (price, next(order), step, (*steps, application)))


def _with(row: Row, application: Application) -> Row:
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


def _goal(wanted: Row, before: Row, following: Chord | None) -> Shape:
    """The wanted shape. A sus chord stands for its dominant over a root that was there or a fifth above what follows.

    As a substitute for another dominant it has no tritone to share: it is equal to nothing that a rule puts down.
    """
    roots = {_kind(slot.chord)[0] for slot in before if slot.chord is not None}
    nexts = [*(slot.chord for slot in wanted[1:]), following]
    return shape(tuple(
        replace(slot, chord=None) if slot.chord and _false_sus(slot.chord, roots, after) else slot
        for slot, after in zip(wanted, nexts, strict=True)))  # fmt: skip


def _false_sus(chord: Chord, roots: set[int], following: Chord | None) -> bool:
    sounding = in_context(chord)
    if sounding.quality.family != "suspended" or sounding.root_pc in roots:
        return False
    return following is None or root_motion(chord, following) != 5


def step_cost(application: Application) -> int:
    """What it takes to believe one application."""
    return application.technique.cost + application.rule.cost


def _applied(
    here: Ground, now: Shape, roots: frozenset[int], start: Fraction, end: Fraction, budget: int, final: bool
) -> Iterator[Application]:
    present = frozenset(root for _, root, _, _ in now)
    missing = roots - present
    for _, technique, rule, index in candidates(here.row, SEARCHED, start, end):
        price = technique.cost + rule.cost
        if price > budget or here.row[index].onset < start:
            continue
        if (final or budget - price < CHEAPEST) and not _lands(here, rule, index, roots, missing):
            continue
        application = apply_rule(here, technique, rule, index)
        if application is not None and start <= application.start and application.end <= end:
            yield application


def _lands(here: Ground, rule: Rule, index: int, roots: frozenset[int], missing: frozenset[int]) -> bool:
    """Whether the roots that a rule puts down are all wanted, and are all that was missing."""
    put = set()
    for place, origin, fifths in _puts(rule):
        root = _origin_root(here, index + place, index + len(rule.replaces) - 1, origin)
        if root is None:
            return True  # seen only when it is built
        root = (root + 7 * fifths) % 12
        if root not in roots:
            return False
        put.add(root)
    return missing <= put


@lru_cache(maxsize=1024)
def _puts(rule: Rule) -> tuple[tuple[int, str, int], ...]:
    """For every part: the slot it is measured from (counted from the first replaced), the origin, the offset."""
    last = len(rule.replaces) - 1
    found = []
    for part in rule.parts:
        if part.bass_offset is not None or part.triads:
            return ((0, "unknown", 0),)
        if part.kept is not None:
            found.append((part.kept, "X", 0))
        else:
            place = {"first": 0, "following": last + 1}.get(part.of, last)
            found.append((place, part.of, part.offset))
    return tuple(found)


def _origin_root(here: Ground, place: int, last: int, origin: str) -> int | None:
    chord = here.row[place % len(here.row)].chord
    if chord is None or origin == "unknown":
        return None
    if origin == "tonic":
        following = (last + 1) % len(here.row)
        return here.analysis[following if following else last].key.tonic_pc
    root = _kind(chord)[0]
    return (2 * here.analysis[last].key.tonic_pc - root) % 12 if origin == "mirror" else root


# --- the ground of a search ------------------------------------------------------------------------------------------


def surroundings(ground: Ground, context: Row, start: Fraction, end: Fraction) -> Ground:
    """A stretch of the ground between the neighbours it has in a context row: what a rule looks at, and no more.

    Keys are the ground's own, so that a derivation is judged in the standard's key.
    """
    around = list(span(ground.row, start, end))
    if start > 0:
        before = context[slot_index(context, start - INSTANT)]
        around.insert(0, before if before.end == start else replace(before, duration=start - before.onset))
    # After the last chord the chorus comes round.
    after = context[slot_index(context, end)] if end < context[-1].end else context[0]
    around.append(after if after.onset == end else replace(after, onset=end))
    keys = tuple(_key_only(ground.analysis[slot_index(ground.row, slot.onset)]) for slot in around)
    return Ground(tuple(around), keys, (), ground.form)


def _readings(here: Ground, row: Row) -> tuple[ChordAnalysis, ...]:
    first = here.analysis[0]
    if all(reading is first for reading in here.analysis):  # one key, as almost always
        return (first,) * len(row)
    return tuple(here.analysis[slot_index(here.row, slot.onset)] for slot in row)


@lru_cache(maxsize=1024)
def _key_only(reading: ChordAnalysis) -> ChordAnalysis:
    return ChordAnalysis(reading.key, None, "", "N", "", None)


# --- chords without their colour -------------------------------------------------------------------------------------


@lru_cache(maxsize=8192)
def _kind(chord: Chord) -> tuple[int, str, int]:
    """A chord without its colour: root, family with sus and augmented folded in, and a bass that is no chord tone."""
    sounding = in_context(chord)
    family = sounding.quality.sounding.family
    folded = {
        "suspended": "dominant" if sounding.quality.degree(7) else "major",
        "augmented": "major",
        "power": "major",
    }
    if sounding.quality.id == "aug":
        folded = {"augmented": "dominant"}
    tones = {(sounding.root_pc + semitones) % 12 for semitones in sounding.quality.semitones}
    if family == "major":  # C/B is C over its own seventh
        tones.add((sounding.root_pc + 11) % 12)
    bass = sounding.bass_pc if sounding.bass is not None and sounding.bass_pc not in tones else sounding.root_pc
    return sounding.root_pc, folded.get(family, family), bass


def shape(row: Row) -> Shape:
    """A row without colour: times, roots, kinds and foreign basses, neighbours that are alike joined."""
    result: list[tuple[Fraction, int, str, int]] = []
    last: tuple[int, str, int] | None = None
    for slot in row:
        kind = (-1, "silence", -1) if slot.chord is None else _kind(slot.chord)
        if kind != last:
            result.append((slot.onset, *kind))
            last = kind
    return tuple(result)
