"""Key areas: the cheapest path of a row through 24 keys, by dynamic programming."""

from __future__ import annotations

from core.form import Form
from core.key import Key
from core.key_areas import (
    AWAY,
    FOREIGN_START,
    MINORS,
    STABLE,
    Costs,
    Sound,
    added,
    chord_cost,
    is_blues,
    keys_around,
    place_of_home,
    reached,
    row_costs,
    settle_blues,
)
from core.row import Row

CLOSE = 24
"""The most that a second key may cost more than the first, in the units of :mod:`core.key_areas`."""


def key_path(row: Row, form: Form, home: Key) -> tuple[list[Key], list[Key | None]]:
    """The local key of every slot, and the best other key where reading it so costs at most :data:`CLOSE` more."""
    keys, place = keys_around(home), place_of_home(home)
    found = row_costs(row, form, home)
    for weight, costs in zip(found.weights, found.costs, strict=True):
        costs[place] -= weight * AWAY
    if is_blues(row, home):
        settle_blues(found, home, place)
    # A tune that begins on its own tonic begins at home.
    here = found.sounds[0]
    at_home = here is not None and here.root == home.tonic_pc and here.family in STABLE[home.mode]
    away = FOREIGN_START * (3 if at_home else 1)
    start = [away + (0 if step % 12 == place % 12 else 6) for step in range(24)]
    start[place] = 0
    forward = [added(found.costs[0], start)]
    for costs in found.costs[1:]:
        forward.append(added(costs, reached(forward[-1])))
    backward = [start]  # the chorus comes round, so it should end where it can begin
    for costs in reversed(found.costs[1:]):
        backward.append(reached(added(costs, backward[-1])))
    backward.reverse()
    best, second = _best_and_second([added(one, two) for one, two in zip(forward, backward, strict=True)], keys, place)
    _lead_into_the_chorus(found.sounds, best, second)
    return [_spelled(key, home) for key in best], [key and _spelled(key, home) for key in second]


def _lead_into_the_chorus(sounds: list[Sound | None], best: list[Key], second: list[Key | None]) -> None:
    """A dominant at the end, and its ii, belong to the key of the first chord where they lead there and fit better."""
    first, goal = sounds[0], best[0]
    for index in range(len(sounds) - 1, 0, -1):
        here, key = sounds[index], best[index]
        if here is None or first is None or key == goal:
            return
        motion = (first.root - here.root) % 12
        leads = motion in (5, 11) if here.dominant else here.family in MINORS and motion == 10
        costs = [chord_cost((here.root - one.tonic_pc) % 12, here.family, one.mode) for one in (goal, key)]
        if not leads or costs[0] >= costs[1]:
            return
        best[index], second[index] = goal, key


def _spelled(key: Key, home: Key) -> Key:
    """Keys with more than seven signs are named by the other spelling, the home key always as it is."""
    if key == home or abs(key.signature) <= 7:
        return key
    return key.transposed(-12 if key.signature > 0 else 12)


def _best_and_second(through: list[Costs], keys: tuple[Key, ...], home: int) -> tuple[list[Key], list[Key | None]]:
    best: list[Key] = []
    second: list[Key | None] = []
    last = home
    for costs in through:
        most = min(costs) + CLOSE
        near = sorted((cost, place != home, place != last, place) for place, cost in enumerate(costs) if cost <= most)
        last = near[0][-1]
        best.append(keys[last])
        second.append(keys[near[1][-1]] if len(near) > 1 else None)
    return best, second
