"""Random requests, and whether the takes they bring hold what was asked: read off the finished rows."""

from __future__ import annotations

import random
from itertools import pairwise

from core.bar_text import chart_from_bar_text
from core.chart import Chart, step_states
from core.checks.melody import melody_check
from core.chorus import ChorusTake, as_take, chorus
from core.chorus.request import BASS_PLANS, BassPlan, Request, RequestError, Target
from core.edit import transposed
from core.propose import ground_for
from core.row import Row, Slot, same_chords, slot_index, span
from core.symbol import parse_symbol
from core.techniques.catalogue import TECHNIQUES

MAJOR = """key: C major

[A]
| Cmaj7 | Am7 | Dm7 | G7 |
m: G4 E4 | C4 E4 | F4 A4 | B4 G4 |
[B]
| Em7 | A7 | Dm7 G7 | C6 |
m: G8 | A4 z4 | F4 D4 | E8 |
"""
BLUES = """key: F major

[A]
| F7 | Bb7 | F7 | Cm7 F7 |
| Bb7 | Bdim7 | F7 | D7 |
| Gm7 | C7 | F7 D7 | Gm7 C7 |
"""
MINOR_WALTZ = """key: G minor
meter: 3/4

[A]
| Gm6 | Am7b5 | D7b9 | Gm6 |
[A]
| Gm6 | Am7b5 | D7b9 | Gm6 |
[B]
| Cm7 | F7 | Bbmaj7 | Ebmaj7 |
[A]
| Gm6 | Am7b5 | D7b9 | Gm6 |
"""
COLOURS = ("maj7", "m7", "7", "7alt", "13", "m7b5", "7#11", "dim7", "9sus")


def random_request(rng: random.Random, chart: Chart) -> Request:
    """Something of everything that can be asked for."""
    bars = len(chart.form.bars)

    def stretch() -> tuple[int, int]:
        first = rng.randrange(bars - 1)
        return first, min(bars, first + rng.choice((2, 3, 4, 6)))

    plans: list[BassPlan] = []
    for _ in range(rng.choice((0, 0, 1, 1, 2))):
        first, last = stretch()
        if all(last <= one.first or one.last <= first for one in plans):
            plans.append(BassPlan(rng.choice(list(BASS_PLANS)), first, last))
    targets = []
    for _ in range(rng.choice((0, 0, 1, 2))):
        chord = parse_symbol(
            rng.choice(["C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"]) + rng.choice(COLOURS)
        )
        assert chord is not None
        targets.append(Target(rng.randrange(bars), chord, rng.random() < 0.5))
    ids = [technique.id for technique in TECHNIQUES]
    forbidden = frozenset(rng.sample(ids, rng.choice((0, 3, 12))))
    return Request(
        count=rng.choice((1, 2)), boldness=rng.random(), depth=1, chords_a_bar=rng.choice((1, 2, 4)),
        keep=frozenset(rng.sample(range(bars), rng.choice((0, 1, 3)))), keep_cadences=rng.random() < 0.5,
        alike=rng.random() < 0.5, forbid=forbidden,
        favour=frozenset(rng.sample(sorted(set(ids) - forbidden), rng.choice((0, 2)))),
        plans=tuple(plans), targets=tuple(targets),
    )  # fmt: skip


def try_request(seed: int) -> str:
    """Ask for something at random and look at what comes: "held" or "refused"; an AssertionError says what is wrong."""
    rng = random.Random(seed)
    chart = transposed(
        chart_from_bar_text(rng.choice((MAJOR, BLUES, MINOR_WALTZ))),
        *rng.choice(((0, 0), (1, 7), (-3, 3), (4, 4), (-5, 1))),
    )
    request = random_request(rng, chart)
    try:
        takes = list(chorus(chart, request))
    except RequestError as error:
        return _names_what_is_in_the_way(chart, request, str(error))
    assert takes
    for take in takes:
        _holds(chart, request, take)
    return "held"


def _names_what_is_in_the_way(chart: Chart, request: Request, said: str) -> str:
    numbers = [bar.number for bar in chart.form.bars]
    bars = [f"bars {numbers[one.first]}–{numbers[one.last - 1]}" for one in request.plans]
    bars += [f"bar {numbers[one.bar]}" for one in request.targets]
    assert any(bar in said for bar in bars), f"{said} names none of {bars}"
    return "refused"


def _holds(chart: Chart, request: Request, take: ChorusTake) -> None:
    form = chart.form
    ruled = {target.bar for target in request.targets}.union(*(range(one.first, one.last) for one in request.plans))
    kept = set(request.keep)
    if request.keep_cadences:
        kept |= {index for section in form.sections for index in range(max(section.first, section.last - 2), section.last)
                 if index not in ruled}  # fmt: skip
    for index in kept:
        bar = form.bars[index]
        assert same_chords(span(take.row, bar.start, bar.end), span(chart.standard, bar.start, bar.end)), f"bar {index}"
    assert not request.forbid & {step.technique for step in take.steps}
    for plan in request.plans:
        inside = span(take.row, form.bars[plan.first].start, form.bars[plan.last - 1].end)
        for one, two in pairwise(slot.chord for slot in inside):
            if one is not None and two is not None:
                assert (two.bass_pc - one.bass_pc) % 12 in BASS_PLANS[plan.kind] | {0}, f"{plan} {one} {two}"
    for target in request.targets:
        there = take.row[slot_index(take.row, form.bars[target.bar].start)].chord
        assert there is not None
        assert there.quality.family == target.chord.quality.family
        assert target.any_root or there.root_pc == target.chord.root_pc
        wanted = {degree.semitones % 12 for degree in target.chord.quality.degrees if degree.number != 5}
        assert wanted <= {degree.semitones % 12 for degree in there.quality.degrees}, f"{target} {there}"
    _stands_and_sings(chart, request, take)


def _stands_and_sings(chart: Chart, request: Request, take: ChorusTake) -> None:
    """Steps replay, new chords are no denser than asked and clash with nothing, and each comes from somewhere."""
    made = as_take(chart, "asked", take)
    assert not any(state.edited or state.stale for state in step_states(chart, made))
    ground, asked = ground_for(chart, None, chart.standard), {target.bar for target in request.targets}
    for index, slot in enumerate(take.row):
        if slot.chord is None or _stood(chart.standard, slot):
            continue
        bar = chart.form.bar_at(slot.onset)
        assert slot.duration * request.chords_a_bar >= bar.length
        derived = any(step.start < slot.end and slot.onset < step.end for step in take.steps)
        assert derived or bar.index in asked or _alike_asked(chart, request, bar.index), f"{slot} comes from nowhere"
        following = take.row[(index + 1) % len(take.row)].chord
        key = ground.analysis[slot_index(ground.row, slot.end % chart.form.length)].key
        check = melody_check(chart.melody, (slot,), following, key, chart.form, True)
        assert check.verdict != "clash", f"{slot}: {check}"


def _alike_asked(chart: Chart, request: Request, index: int) -> bool:
    """Whether a bar stands in a section like one with a target, at the same place."""

    def place(bar: int) -> tuple[str, int]:
        section = next(one for one in chart.form.sections if one.first <= bar < one.last)
        return section.name, bar - section.first

    return request.alike and place(index) in {place(target.bar) for target in request.targets}


def _stood(row: Row, slot: Slot) -> bool:
    return all(other.chord == slot.chord for other in span(row, slot.onset, slot.end))
