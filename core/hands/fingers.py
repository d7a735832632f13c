"""Which finger stands on which string, and how hard that is; None where no hand can hold it.

Rules: a finger is at one fret; it may press several strings there (a barre) if every string between the outer two of
them sounds and is pressed no lower; a higher finger is never at a lower fret, and at the same fret it is nearer the
last string; two fingers are no further apart than :data:`core.hands.fretboard.REACH` says. A silent or an open string
cannot lie under a barre. The rules are stricter than some hands: what they admit can be held.

Sources: common practice, no source; costs are ours.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import combinations, pairwise

from core.hands.fretboard import BARRE_STRINGS, REACH, Limits

FINGER, BARRE, PARTIAL_BARRE, STRETCH, SQUEEZE, CROSSED, APART, SKIPPED_STRING = 1, 1, 3, 2, 1, 2, 1, 3
"""What a finger costs, a barre of the index and of another finger, a fret that two neighbours stretch or squeeze, a
string by which the higher of two neighbours reaches back across more than one, index and middle at one fret with a
string between them, a silent string in the middle."""

Frets = tuple[int | None, ...]
Fingering = tuple[int | None, ...]
"""A finger 1 to 4 for each string, 0 for an open one, None for a silent one."""


def fingering(frets: Frets, limits: Limits, capo: int = 0) -> tuple[Fingering, int] | None:
    """The easiest fingering of frets (counted from the capo) and its cost, or None where the hand cannot hold it."""
    pressed = [fret for fret in frets if fret]
    if not pressed:
        return tuple(frets), 0
    lowest = min(pressed)
    high = lowest + capo > limits.high_fret
    if max(pressed) - lowest + 1 > (limits.high_span if high else limits.span):
        return None
    # The same shape elsewhere on the neck is held in the same way.
    return _held(tuple(fret if not fret else fret - lowest + 1 for fret in frets), high, limits)


@lru_cache(maxsize=32768)
def _held(frets: Frets, high: bool, limits: Limits) -> tuple[Fingering, int] | None:
    pressed = sorted((fret, string) for string, fret in enumerate(frets) if fret)
    best: tuple[Fingering, int] | None = None
    for groups in _groups(pressed, frets, limits):
        for fingers in combinations(range(1, limits.fingers + 1), len(groups)):
            cost = _cost(groups, fingers, high)
            if cost is not None and (best is None or cost < best[1]):
                best = _written(frets, groups, fingers), cost
    if best is None:
        return None
    return best[0], best[1] + SKIPPED_STRING * inner_muted(frets)


_Group = tuple[int, tuple[int, ...]]
"""A fret and the strings that one finger presses there."""


def _groups(pressed: list[tuple[int, int]], frets: Frets, limits: Limits) -> Iterator[tuple[_Group, ...]]:
    """Every way of sharing the pressed strings out to at most as many fingers as there are, in finger order."""
    if not pressed:
        yield ()
        return
    fret = pressed[0][0]
    for count in range(1, 1 + sum(other == fret for other, _ in pressed)):
        strings = tuple(string for _, string in pressed[:count])
        if count > 1 and not (limits.barre and _barred(strings, fret, frets)):
            break
        for rest in _groups(pressed[count:], frets, limits):
            if len(rest) < limits.fingers:
                yield ((fret, strings), *rest)


def _barred(strings: tuple[int, ...], fret: int, frets: Frets) -> bool:
    between = frets[strings[0] : strings[-1] + 1]
    return all(other is not None and other >= fret for other in between)


def _cost(groups: tuple[_Group, ...], fingers: tuple[int, ...], high: bool) -> int | None:
    cost = FINGER * len(groups)
    for (_, strings), finger in zip(groups, fingers, strict=True):
        wide = strings[-1] - strings[0] + 1
        if len(strings) > 1:
            if wide > BARRE_STRINGS[finger]:
                return None
            cost += BARRE if finger == 1 else PARTIAL_BARRE
    for (one, other), (first, second) in zip(combinations(groups, 2), combinations(fingers, 2), strict=True):
        if other[0] - one[0] > REACH[first, second][high]:
            return None
    for (one, other), (first, second) in zip(pairwise(groups), pairwise(fingers), strict=True):
        beyond = other[0] - one[0] - (second - first)
        cost += STRETCH * beyond if beyond > 0 else SQUEEZE * max(0, -beyond - 1)
        cost += CROSSED * max(0, one[1][0] - other[1][0] - 1)
        cost += APART * (second == 2 and one[0] == other[0] and other[1][0] - one[1][-1] > 1)
    return cost


def _written(frets: Frets, groups: tuple[_Group, ...], fingers: tuple[int, ...]) -> Fingering:
    finger_of = {string: finger for (_, strings), finger in zip(groups, fingers, strict=True) for string in strings}
    return tuple(None if fret is None else finger_of.get(string, 0) for string, fret in enumerate(frets))


def inner_muted(frets: Frets) -> int:
    """Silent strings between the outer two that sound."""
    sounding = [string for string, fret in enumerate(frets) if fret is not None]
    return sounding[-1] - sounding[0] + 1 - len(sounding) if sounding else 0
