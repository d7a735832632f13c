"""The exact search that leads hands over a row: the cheapest way through layers of candidates."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

T = TypeVar("T")


def cheapest(
    layers: Sequence[Sequence[T] | None], own: Callable[[T], int], between: Callable[[T, T], int]
) -> tuple[list[T | None], int]:
    """One candidate of each layer (None for a silent one, which is passed over), and what they cost together.

    A dynamic programme; ``between`` must not be negative, which lets a layer stop looking at ways that begin dearer
    than the best found. Ties fall to the way that was cheaper so far, then to the earlier candidate.
    """
    costs: list[int] = []
    previous: Sequence[T] = ()
    backs: list[list[int]] = []
    legs: dict[tuple[int, int], int] = {}
    """Ways by the identity of two candidates: a tune comes back to its chords."""
    for layer in layers:
        if layer is None:
            backs.append([])
            continue
        costs, back = _advanced(previous, costs, layer, own, between, legs)
        previous = layer
        backs.append(back)
    index = costs.index(min(costs)) if costs else 0
    total = costs[index] if costs else 0
    chosen: list[T | None] = []
    for layer, back in zip(reversed(layers), reversed(backs), strict=True):
        chosen.append(None if layer is None else layer[index])
        index = index if layer is None else back[index]
    return chosen[::-1], total


def _advanced(
    previous: Sequence[T],
    costs: list[int],
    layer: Sequence[T],
    own: Callable[[T], int],
    between: Callable[[T, T], int],
    legs: dict[tuple[int, int], int],
) -> tuple[list[int], list[int]]:
    """What each candidate of a layer costs with the best way to it, and where that way comes from."""
    if not previous:
        return [own(candidate) for candidate in layer], [0] * len(layer)
    order = sorted(range(len(costs)), key=costs.__getitem__)
    reached, back = [], []
    names = [id(candidate) for candidate in previous]
    for candidate in layer:
        name = id(candidate)
        best, source = -1, order[0]
        for index in order:
            so_far = costs[index]
            if 0 <= best <= so_far:
                break
            key = names[index], name
            leg = legs.get(key)
            if leg is None:
                leg = legs[key] = between(previous[index], candidate)
            if best < 0 or so_far + leg < best:
                best, source = so_far + leg, index
        reached.append(best + own(candidate))
        back.append(source)
    return reached, back
