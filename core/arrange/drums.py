"""Drums: the feel's pattern with its small changes, soft snare notes, and a fill where a section ends.

Some of the chords that the piano anticipates are caught by kick, cymbal or snare, moderately; a fill is not disturbed.
Sources: catching the figures of the band with kick and snare below the ride, drum-set handbooks in agreement; how often
and how loud, ours.
"""

from __future__ import annotations

from bisect import bisect_left
from functools import lru_cache

from core.arrange.grid import GridBar, Group, dice
from core.arrange.patterns import (
    CATCHES,
    CHATTING,
    DRUMS,
    FILLS,
    KICK,
    OPEN_HAT,
    RIDE,
    SNARE,
    TWO_BAR_FIGURES,
    USUAL,
    DrumRows,
    Fill,
    table_for,
)
from core.feel import Feel
from core.swing import Swing
from core.timeline import NoteEvent

LENGTH = 0.2
"""Quarter notes; a drum rings out by itself."""
WEIGHT = 12
"""MIDI velocity of one digit of a pattern."""
GHOST_CHANCE = 0.09
SECTION_ACCENT = 10
ACCENTED = frozenset({RIDE, KICK, OPEN_HAT})
_GHOST, _LOUDNESS, _ROW, _FILL, _CATCH = 11, 12, 13, 14, 15

_Hit = tuple[int, int, int]  # tick, drum, velocity


def play(
    grid: tuple[GridBar, ...], feel: Feel, swing: Swing, seed: int, pushes: tuple[int, ...] = ()
) -> list[NoteEvent]:  # fmt: skip
    """The drums of a form, for both sides alike; ``pushes`` are the ticks at which the piano anticipates, sorted."""
    events: list[NoteEvent] = []
    for bar in grid:
        if not bar.silent:
            inside = pushes[bisect_left(pushes, bar.start) : bisect_left(pushes, bar.end)]
            events += _played(bar, feel, swing, seed, inside)
    return events


@lru_cache(maxsize=2048)
def _played(
    bar: GridBar, feel: Feel, swing: Swing, seed: int, pushes: tuple[int, ...]
) -> tuple[NoteEvent, ...]:  # fmt: skip
    fill = _fill(bar, feel, seed)
    hits = [hit for hit in _bar(bar, feel, seed) if not (fill and hit[1] in (SNARE, KICK) and hit[0] > bar.start)]
    filled = [(bar.end - back * bar.unit, drum, weight * WEIGHT) for drum, back, weight in fill]
    if feel.drums in CHATTING and not fill:
        hits += _ghosts(bar, seed)
    free = min((tick for tick, *_ in filled), default=bar.end)
    caught = [hit for push in pushes if push < free for hit in _caught(bar, feel, push, seed)]
    taken = {hit[:2] for hit in caught}
    hits = [*(hit for hit in hits if hit[:2] not in taken), *filled, *caught]
    return tuple(_note(bar, hit, feel, swing) for hit in hits)


def _note(bar: GridBar, hit: _Hit, feel: Feel, swing: Swing) -> NoteEvent:
    tick, drum, velocity = hit
    loud = max(1, min(127, velocity + bar.swell + feel.loudness))
    return NoteEvent("drums", "both", bar.place(tick, swing), LENGTH, drum, loud)


def _caught(bar: GridBar, feel: Feel, push: int, seed: int) -> list[_Hit]:
    """What the drummer plays with an anticipated chord; mostly nothing."""
    share, catches = CATCHES.get((feel.drums, bar.per_beat), (0.0, ()))
    drawn = dice(seed, _CATCH, push)
    if drawn >= share:
        return []
    return [(push, drum, weight * WEIGHT) for drum, weight in catches[int(drawn / share * len(catches))]]


def _fill(bar: GridBar, feel: Feel, seed: int) -> Fill:
    """What leads out of the last bar of a section, where the bar is long enough for it."""
    fills = FILLS.get((feel.drums, bar.per_beat), ())
    if not (fills and bar.closes and bar.length >= 4 * bar.unit):
        return ()
    fill = fills[int(dice(seed, _FILL, bar.index) * len(fills))]
    return tuple(hit for hit in fill if hit[1] * bar.unit < bar.length)


def _bar(bar: GridBar, feel: Feel, seed: int) -> list[_Hit]:
    table = table_for(DRUMS, feel.drums, bar.per_beat)
    hits: list[_Hit] = []
    for group in bar.groups:
        hits += _pattern(bar, group, table[group.size], seed)
        if feel.drums in TWO_BAR_FIGURES and group.size == 8:
            drum, figure = TWO_BAR_FIGURES[feel.drums]
            hits += _row(bar, group, drum, figure[bar.index % 2], seed)
    return hits


def _pattern(bar: GridBar, group: Group, rows: DrumRows, seed: int) -> list[_Hit]:
    hits: list[_Hit] = []
    for drum, turns in rows:
        drawn = dice(seed, _ROW, group.start, drum)
        usual = bar.opens or len(turns) == 1 or drawn < USUAL
        other = 0 if usual else 1 + int((drawn - USUAL) / (1 - USUAL) * (len(turns) - 1))
        hits += _row(bar, group, drum, turns[other], seed)
    return hits


def _row(bar: GridBar, group: Group, drum: int, row: str, seed: int) -> list[_Hit]:
    hits: list[_Hit] = []
    for unit, sign in enumerate(row):
        if sign == ".":
            continue
        tick = group.start + unit * group.unit
        accent = SECTION_ACCENT if bar.opens and tick == bar.start and drum in ACCENTED else 0
        human = int(5 * dice(seed, _LOUDNESS, tick, drum)) - 2
        hits.append((tick, drum, int(sign) * WEIGHT + accent + human))
    return hits


def _ghosts(bar: GridBar, seed: int) -> list[_Hit]:
    """Soft notes on off-beats now and then."""
    return [(bar.start + unit * bar.unit, SNARE, 2 * WEIGHT)
            for unit in range(1, bar.length // bar.unit, 2)
            if dice(seed, _GHOST, bar.index, unit) < GHOST_CHANCE]  # fmt: skip
