"""An independent judge of whether one hand can hold a grip: fingers are tried on every string by brute force.

It shares no code and no table with the program. Rules and figures: four frets, five above the seventh, four fingers,
at most one silent string in the middle, common practice, no source; how far two fingers reach, ours, written out again.
"""

from __future__ import annotations

from itertools import combinations, product

_APART_LOW = {"12": 2, "23": 1, "34": 1, "13": 2, "24": 2, "14": 3}
_APART_HIGH = {"12": 2, "23": 2, "34": 2, "13": 3, "24": 3, "14": 4}
_MOST_UNDER = {1: 99, 2: 2, 3: 3, 4: 2}


def can_be_held(frets: tuple[int | None, ...], capo: int = 0) -> bool:
    """Whether some assignment of fingers 1 to 4 to the pressed strings is possible."""
    strings = [string for string, fret in enumerate(frets) if fret is not None and fret > 0]
    if not strings:
        return True
    return any(is_possible(frets, dict(zip(strings, fingers, strict=True)), capo)
               for fingers in product((1, 2, 3, 4), repeat=len(strings)))  # fmt: skip


def is_possible(frets: tuple[int | None, ...], finger: dict[int, int], capo: int = 0) -> bool:
    """Whether these fingers (by string) hold these frets."""
    pressed = {string: fret for string, fret in enumerate(frets) if fret is not None and fret > 0}
    if set(finger) != set(pressed):
        return False
    if not pressed:
        return True
    high = min(pressed.values()) + capo > 7
    if max(pressed.values()) - min(pressed.values()) > (4 if high else 3):
        return False
    sounding = [string for string, fret in enumerate(frets) if fret is not None]
    if sum(fret is None for fret in frets[sounding[0] : sounding[-1] + 1]) > 1:
        return False
    return all(_pair(frets, one, other, finger, high) for one, other in combinations(sorted(pressed), 2)) and all(
        max(mine) - min(mine) + 1 <= _MOST_UNDER[number]
        for number in set(finger.values())
        for mine in ([string for string in finger if finger[string] == number],)
    )


def _pair(frets: tuple[int | None, ...], one: int, other: int, finger: dict[int, int], high: bool) -> bool:
    """Two pressed strings, ``one`` further to the bass."""
    low, top = frets[one], frets[other]
    assert low is not None
    assert top is not None
    if finger[one] == finger[other]:
        between = frets[one : other + 1]
        return low == top and all(fret is not None and fret >= low for fret in between)
    first, last = sorted((finger[one], finger[other]))
    if abs(low - top) > (_APART_HIGH if high else _APART_LOW)[f"{first}{last}"]:
        return False
    if low == top:
        return finger[one] < finger[other]
    return (finger[one] < finger[other]) == (low < top)
