"""Which finger stands on which string, and how hard that is; None where no hand can hold it.

Rules: a finger is at one fret; it may press several strings there (a barre) if every string between the outer two of
them sounds and is pressed no lower; a higher finger is never at a lower fret, and at the same fret it is nearer the
last string; two fingers are no further apart than :data:`core.hands.fretboard.REACH` says. A silent or an open string
cannot lie under a barre. The rules are stricter than some hands: what they admit can be held.

Sources: common practice, no source; costs are ours.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations, pairwise

from core.hands.fretboard import BARRE_STRINGS, REACH, Limits

FINGER, BARRE, PARTIAL_BARRE, STRETCH, SQUEEZE, CROSSED, APART, SKIPPED_STRING = 1, 1, 3, 2, 1, 2, 1, 1
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
    pressed = sorted([(fret, string) for string, fret in enumerate(frets) if fret])
    best: tuple[tuple[_Group, ...], tuple[int, ...], int] | None = None
    for groups in _groups(pressed, frets, limits):
        for fingers in _CHOICES[limits.fingers][len(groups)]:
            cost = _cost(groups, fingers, high)
            if cost is not None and (best is None or cost < best[2]):
                best = groups, fingers, cost
    if best is None:
        return None
    return _written(frets, best[0], best[1]), best[2] + SKIPPED_STRING * inner_muted(frets)


_CHOICES = [[tuple(combinations(range(1, fingers + 1), count)) for count in range(fingers + 1)] for fingers in range(5)]
"""Sets of fingers, by how many there are and how many are used."""
_Group = tuple[int, tuple[int, ...]]
"""A fret and the strings that one finger presses there."""


def _groups(pressed: list[tuple[int, int]], frets: Frets, limits: Limits) -> list[tuple[_Group, ...]]:
    """Every way of sharing the pressed strings out to at most as many fingers as there are, in finger order."""
    ways: list[tuple[_Group, ...]] = []
    count = len(pressed)

    def share(start: int, before: tuple[_Group, ...]) -> None:
        if start == count:
            ways.append(before)
            return
        if len(before) == limits.fingers:
            return
        fret, string = pressed[start]
        share(start + 1, (*before, (fret, (string,))))
        for end in range(start + 2, count + 1 if limits.barre else 0):
            if pressed[end - 1][0] != fret:
                return
            strings = tuple([other for _, other in pressed[start:end]])
            if not _barred(strings, fret, frets):
                return
            share(end, (*before, (fret, strings)))

    share(0, ())
    return ways


def _barred(strings: tuple[int, ...], fret: int, frets: Frets) -> bool:
    return all(other is not None and other >= fret for other in frets[strings[0] : strings[-1] + 1])


def _cost(groups: tuple[_Group, ...], fingers: tuple[int, ...], high: bool) -> int | None:
    for place, (fret, _) in enumerate(groups):
        for later in range(place + 1, len(groups)):
            if groups[later][0] - fret > REACH[fingers[place], fingers[later]][high]:
                return None
    cost = FINGER * len(groups)
    for (_, strings), finger in zip(groups, fingers, strict=True):
        if len(strings) > 1:
            if strings[-1] - strings[0] >= BARRE_STRINGS[finger]:
                return None
            cost += BARRE if finger == 1 else PARTIAL_BARRE
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
