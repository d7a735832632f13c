"""The cheapest bass line through the pitches that every note may have: a dynamic programme over the fingerboard.

A step costs by its size and by what it leads to; a turn, a repeat and a leap to a passing tone cost more. Steps before
leaps, no note three times: common practice, no source; the costs are ours.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from functools import lru_cache

from core.arrange.grid import dice

LOW, HIGH = 28, 55
"""E1 to G3, the strings of a double bass and what is comfortable above them. Common practice, no source."""
CENTRE = 41
# Cost of a step inside a chord and of the step into a new root, by its size in semitones.
INSIDE_COST = (16, 2, 1, 3, 4, 4, 10, 4, 10, 10, 13, 15, 5)
LEAN_INSIDE_COST = (3, 3, 3, 4, 5, 2, 6, 2, 8, 8, 10, 12, 3)
ARRIVAL_COST = (18, 0, 2, 11, 12, 7, 15, 9, 16, 16, 18, 20, 16)
CHANGE_COST = (10, 1, 1, 1, 1, 1, 4, 2, 6, 7, 9, 12, 7)
TOO_FAR = 60
TURN_COST = 2
PEDAL_COST = (0, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 4)
"""Steps while the bass holds a pedal: the same note, or its octave."""
AGAIN_COST = 16
"""What a third time the same note costs, but on a pedal."""
JITTER = 5
"""The most that the die adds to a pitch inside a chord, so that no two choruses walk alike."""
LEAP_TO_PASSING, LARGEST_STEP = 8, 2
LIKENESS = 4
BEAM = 12
"""States kept at each note; more change nothing that can be heard."""
_CHOICE = 32


class Layer:
    """The pitches for one note, lowest first, what each costs by itself, and whether it is a passing tone, which is
    reached by step. Compared by identity: equal places share one through the caches."""

    __slots__ = ("tones",)

    def __init__(self, tones: tuple[tuple[int, int, bool], ...]) -> None:
        self.tones = tones


WITHIN, FROM_CHANGE, INTO_CHANGE, ON_PEDAL, _BY_STEP = range(5)
_RISE, _FALL, _REPEAT, _START = range(4)


def _reaching(costs: tuple[int, ...]) -> tuple[int, ...]:
    """Costs by size, up to the largest step there is."""
    return costs + (TOO_FAR,) * (HIGH - LOW + 1 - len(costs))


def _without_leaps(costs: tuple[int, ...]) -> tuple[int, ...]:
    return tuple(cost + (LEAP_TO_PASSING if size > LARGEST_STEP else 0) for size, cost in enumerate(costs))


# For each kind of step what it costs by its size.
_COSTS, _LEAN_COSTS = (
    tuple(map(_reaching, (inside, CHANGE_COST, ARRIVAL_COST, PEDAL_COST, _without_leaps(inside))))
    for inside in (INSIDE_COST, LEAN_INSIDE_COST)
)
_HOME = _COSTS[INTO_CHANGE]


State = tuple[int, int, int]
"""Cost beside the cheapest, pitch, heading."""


def cheapest(
    layers: list[Layer], kinds: list[int], ticks: list[int], seed: int, models: list[int], lean: bool,
    round_again: bool = False
) -> list[int]:  # fmt: skip
    """The cheapest line; with ``round_again`` the last note leads back to the first.

    Every step is kept with the states it began from. Their costs are counted from the cheapest, so after an edit the
    steps before it are known, and those behind it are known again as soon as the edit no longer tells.
    """
    states = _relative([(cost + abs(pitch - CENTRE) // 2 - (LIKENESS if pitch == models[0] else 0), pitch, _START)
                        for pitch, cost, _ in layers[0].tones])  # fmt: skip
    history: list[tuple[tuple[State, ...], tuple[int, ...]]] = [(states, (0,) * len(states))]
    for index in range(1, len(layers)):
        kind = kinds[index]
        die = int(dice(seed, _CHOICE, ticks[index]) * (1 << 48)) if kind == WITHIN else 0
        history.append(_step(history[-1][0], layers[index], kind, lean, die, models[index]))
    costs = [cost for cost, *_ in history[-1][0]]
    line = _traced(history, costs)
    if round_again:
        line = _traced(history, [cost + _HOME[abs(line[0] - pitch)] for cost, pitch, _ in history[-1][0]])
    return line


@lru_cache(maxsize=8192)
def _step(
    states: tuple[State, ...], layer: Layer, kind: int, lean: bool, die: int, model: int
) -> tuple[tuple[State, ...], tuple[int, ...]]:  # fmt: skip
    """The states after one more note, in the order of pitch, and the place of each one's forerunner."""
    table = _LEAN_COSTS if lean else _COSTS
    by_step = table[_BY_STEP if kind == WITHIN else kind]
    again = 0 if kind == ON_PEDAL else AGAIN_COST
    up, down, same = (
        _from_each(states, _FALL, TURN_COST),
        _from_each(states, _RISE, TURN_COST),
        _from_each(states, _REPEAT, again),
    )
    pitches = [pitch for _, pitch, _ in up]
    reached: list[State] = []
    backs: list[int] = []
    for pitch, cost, is_passing in layer.tones:
        costs = by_step if is_passing else table[kind]
        own = cost + (die >> pitch % 12 * 4) % 16 * JITTER // 15 - (LIKENESS if pitch == model else 0)
        below, above = bisect_left(pitches, pitch), bisect_right(pitches, pitch)
        for heading, part in ((_RISE, up[:below]), (_REPEAT, same[below:above]), (_FALL, down[above:])):
            if part:
                totals = [before + costs[abs(pitch - old)] for before, old, _ in part]
                least = min(totals)
                reached.append((least + own, pitch, heading))
                backs.append(part[totals.index(least)][2])
    if len(reached) > BEAM:
        limit = sorted([cost for cost, *_ in reached])[BEAM - 1]
        backs = [back for back, state in zip(backs, reached, strict=True) if state[0] <= limit]
        reached = [state for state in reached if state[0] <= limit]
    return _relative(reached), tuple(backs)


def _from_each(states: tuple[State, ...], turned: int, extra: int) -> list[tuple[int, int, int]]:
    """For each pitch the cheapest of its states to go on from, where a heading costs more: cost, pitch, place."""
    found: list[tuple[int, int, int]] = []
    for place, (cost, pitch, heading) in enumerate(states):
        total = cost + (extra if heading == turned else 0)
        if not found or found[-1][1] != pitch:
            found.append((total, pitch, place))
        elif total < found[-1][0]:
            found[-1] = (total, pitch, place)
    return found


def _relative(states: list[State]) -> tuple[State, ...]:
    least = min([cost for cost, *_ in states])
    return tuple([(cost - least, pitch, heading) for cost, pitch, heading in states])


def _traced(history: list[tuple[tuple[State, ...], tuple[int, ...]]], costs: list[int]) -> list[int]:
    index = costs.index(min(costs))
    pitches = []
    for states, backs in reversed(history):
        pitches.append(states[index][1])
        index = backs[index]
    return pitches[::-1]
