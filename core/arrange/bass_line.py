"""The cheapest bass line through the pitches that every note may have: a dynamic programme over the fingerboard.

A step costs by its size and by what it leads to; a turn, a repeat and a leap to a passing tone cost more. Steps before
leaps, no note three times: common practice, no source; the costs are ours.
"""

from __future__ import annotations

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

Layer = tuple[tuple[int, int, bool], ...]
"""The pitches for one note, what each costs by itself, and whether it is a passing tone, which is reached by step."""


def _step_table(costs: tuple[int, ...], turned_from: int) -> list[int]:
    """Cost by signed step (a negative index counts from the end), with what a turn costs after going up or down."""
    span = HIGH - LOW
    table = []
    for step in (*range(span + 1), *range(-span, 0)):
        size = abs(step)
        turns = step * turned_from < 0
        table.append((costs[size] if size < len(costs) else TOO_FAR) + (TURN_COST if turns else 0))
    return table


def _without_leaps(costs: tuple[int, ...]) -> tuple[int, ...]:
    return tuple(cost + (LEAP_TO_PASSING if size > LARGEST_STEP else 0) for size, cost in enumerate(costs))


def _after_repeat(costs: tuple[int, ...]) -> tuple[int, ...]:
    return costs if costs is PEDAL_COST else (costs[0] + AGAIN_COST, *costs[1:])


WITHIN, FROM_CHANGE, INTO_CHANGE, ON_PEDAL, _BY_STEP = range(5)
_RISE, _FALL, _REPEAT, _START = range(4)
# For each kind of step, tables after a rise, a fall, a repeat, and at the start.
_TABLES, _LEAN_TABLES = (
    tuple((_step_table(costs, 1), _step_table(costs, -1), _step_table(_after_repeat(costs), 0), _step_table(costs, 0))
          for costs in (inside, CHANGE_COST, ARRIVAL_COST, PEDAL_COST, _without_leaps(inside)))
    for inside in (INSIDE_COST, LEAN_INSIDE_COST)
)  # fmt: skip


@lru_cache(maxsize=64)
def cheapest(
    layers: tuple[Layer, ...], kinds: tuple[int, ...], ticks: tuple[int, ...], seed: int, models: tuple[int, ...],
    lean: bool, round_again: bool = False
) -> tuple[int, ...]:  # fmt: skip
    """The cheapest line; a state is (cost, pitch, heading, place of its forerunner), kept in the order of pitch.

    With ``round_again`` the last note leads back to the first.
    """
    states = [(cost + abs(pitch - CENTRE) // 2 - (LIKENESS if pitch == models[0] else 0), pitch, _START, 0)
              for pitch, cost, _ in layers[0]]  # fmt: skip
    history = [states]
    all_tables = _LEAN_TABLES if lean else _TABLES
    for index in range(1, len(layers)):
        usual = all_tables[kinds[index]]
        stepwise = all_tables[_BY_STEP] if kinds[index] == WITHIN else usual
        die = int(dice(seed, _CHOICE, ticks[index]) * (1 << 48)) if kinds[index] == WITHIN else 0
        model = models[index]
        reached: list[tuple[int, int, int, int]] = []
        below = 0
        for pitch, cost, is_passing in layers[index]:
            tables = stepwise if is_passing else usual
            own = cost + (die >> pitch % 12 * 4) % 16 * JITTER // 15 - (LIKENESS if pitch == model else 0)
            totals = [before + tables[heading][pitch - old] for before, old, heading, _ in states]
            while below < len(states) and states[below][1] < pitch:
                below += 1
            above = below
            while above < len(states) and states[above][1] == pitch:
                above += 1
            for heading, part, offset in ((_RISE, totals[:below], 0), (_REPEAT, totals[below:above], below),
                                          (_FALL, totals[above:], above)):  # fmt: skip
                if part:
                    least = min(part)
                    reached.append((least + own, pitch, heading, offset + part.index(least)))
        limit = sorted(reached)[BEAM - 1][0] if len(reached) > BEAM else TOO_FAR * len(layers)
        states = [state for state in reached if state[0] <= limit]
        history.append(states)
    line = _traced(history, [cost for cost, *_ in states])
    if round_again:
        home = all_tables[INTO_CHANGE][_START]
        line = _traced(history, [cost + home[line[0] - pitch] for cost, pitch, *_ in states])
    return line


def _traced(history: list[list[tuple[int, int, int, int]]], costs: list[int]) -> tuple[int, ...]:
    index = costs.index(min(costs))
    pitches = []
    for states in reversed(history):
        _, pitch, _, back = states[index]
        pitches.append(pitch)
        index = back
    return tuple(reversed(pitches))
