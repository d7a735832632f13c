"""Sections that are changed alike: the search, which plans them once, against every choice for every section."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import product

import numpy as np
import pytest

from core.checks.compiled_melody import compile_melody
from core.chorus.alternatives import Alternative
from core.chorus.cost import Pricing
from core.chorus.lattice import layer
from core.chorus.request import Request
from core.chorus.search import cheapest, lattice
from core.chorus.segments import Segment, joints
from core.form import plain_form
from core.meter import Meter
from core.row import Slot, later
from core.techniques.ground import Ground
from tests.core.chorus.scorer import Scorer
from tests.core.chorus.test_search import KEY, random_chord, random_melody, readings

LENGTH = 2  # bars of a section
WANTED = 4
FAR = 1 << 30
Chain = tuple[tuple[int, int, Alternative | None], ...]
"""Pieces of a section: from bar, to before bar, what stands there."""


def _alternatives(rng: random.Random, first: int) -> list[Alternative]:
    """Three for each of the bars and four for both, of one or two chords."""
    found = []
    for start, bars, count in ((0, 1, 3), (1, 1, 3), (0, 2, 4)):
        for _ in range(count):
            parts = rng.choice((1, 2))
            length = Fraction(4 * bars, parts)
            chords = [random_chord(rng) for _ in range(parts)]
            slots = tuple(
                Slot(4 * (first + start) + place * length, length, chord) for place, chord in enumerate(chords)
            )
            found.append(Alternative(slots[0].onset, slots[-1].end, slots, (), rng.randrange(6, 18)))
    return found


def _chains(offered: list[Alternative], first: int) -> list[Chain]:
    there: dict[tuple[int, int], list[Alternative | None]] = {(0, 1): [None], (1, 2): [None]}
    for one in offered:
        there.setdefault((int(one.start / 4) - first, int(one.end / 4) - first), []).append(one)
    both = [((0, 1, one), (1, 2, two)) for one, two in product(there[0, 1], there[1, 2])]
    return [*both, *(((0, 2, one),) for one in there[0, 2])]


@pytest.mark.parametrize("pattern", ["AABA", "ABAC", "ABCAB", "ABACB", "AAA"])
@pytest.mark.parametrize("seed", [3, 8])
def test_sections_alike_are_planned_as_well_together_as_one_by_one(pattern: str, seed: int) -> None:
    rng = random.Random(seed)
    names = sorted(set(pattern))
    section = {name: [random_chord(rng) for _ in range(LENGTH)] for name in names}
    row = tuple(Slot(Fraction(4 * index), Fraction(4), chord)
                for index, chord in enumerate(chord for name in pattern for chord in section[name]))  # fmt: skip
    form = plain_form(len(row), Meter(4, 4), tuple((LENGTH * place, name) for place, name in enumerate(pattern)))
    melody, boldness = random_melody(rng, len(row)), rng.choice((0.2, 0.6))
    ground = Ground(row, readings(row, form), melody, form)
    first = {name: LENGTH * pattern.index(name) for name in names}
    offered = {name: _alternatives(rng, first[name]) for name in names}
    found = tuple(
        Segment(Fraction(4 * first[name]), Fraction(4 * (first[name] + LENGTH)),
                tuple(Fraction(4 * (LENGTH * place - first[name])) for place, one in enumerate(pattern) if one == name))
        for name in sorted(names, key=first.__getitem__)
    )  # fmt: skip
    pricing = Pricing(ground, compile_melody(melody, form), form, Request(boldness=boldness))
    layers = tuple(layer(pricing, segment, offered[pattern[int(segment.start / 4) // LENGTH]]) for segment in found)
    built = lattice(pricing, layers, joints(found))
    nothing = tuple(np.zeros(len(there.pieces), dtype=np.int64) for there in layers)
    costs = [one.cost for one in cheapest(built, nothing, WANTED)]
    scorer = Scorer(row, melody, form, KEY, boldness)
    anchored = {at: weight for at, _, weight in pricing.anchors}
    assert costs == _cheapest_by_hand(scorer, pattern, offered, first, anchored)[:WANTED]


def _cheapest_by_hand(
    scorer: Scorer, pattern: str, offered: dict[str, list[Alternative]], first: dict[str, int],
    anchored: dict[Fraction, str],
) -> list[int]:  # fmt: skip
    """What every take costs that has the same chain in sections of one name, cheapest first, each sound once."""

    @cache
    def own(bar: int, one: Alternative | None) -> int:
        if one is None:
            return 0
        moved = _moved(one, bar)
        cost = scorer.own(moved)
        return FAR if cost is None else cost + scorer.anchors(moved, anchored)

    @cache
    def meets(bar: int, one: Alternative | None, end: int, after: Alternative | None) -> int:
        chord = scorer.standard_at(Fraction(4 * end)) if after is None else after.chords[0].chord
        assert chord is not None
        cost = scorer.meeting(None if one is None else _moved(one, bar), Fraction(4 * end), chord)
        return FAR if cost is None else cost

    best: dict[tuple[object, ...], int] = {}
    names = list(first)
    for choice in product(*(_chains(offered[name], first[name]) for name in names)):
        chosen = dict(zip(names, choice, strict=True))
        pieces = [(LENGTH * place + low, LENGTH * place + high, one)
                  for place, name in enumerate(pattern) for low, high, one in chosen[name]]  # fmt: skip
        total = sum(own(low, one) for low, _, one in pieces)
        for (low, high, one), (_, _, after) in zip(pieces, [*pieces[1:], pieces[0]], strict=True):
            total += meets(low, one, high, after) if total < FAR else 0
        if total < FAR:
            sound = tuple(_sound(scorer, chosen[name], first[name]) for name in names)
            best[sound] = min(total, best.get(sound, FAR))
    return sorted(best.values())


def _moved(one: Alternative, bar: int) -> Alternative:
    by = Fraction(4 * bar) - one.start
    return replace(one, start=one.start + by, end=one.end + by, chords=later(one.chords, by))


def _sound(scorer: Scorer, chain: Chain, first: int) -> tuple[tuple[Fraction, object], ...]:
    told: list[tuple[Fraction, object]] = []
    for low, _, one in chain:
        start = Fraction(4 * (first + low))
        slots = (
            [(start, scorer.standard_at(start))] if one is None else [(slot.onset, slot.chord) for slot in one.chords]
        )
        told += [entry for entry in slots if not told or told[-1][1] != entry[1]]
    return tuple(told)
