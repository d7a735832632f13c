"""Drums: the feel's pattern with its small changes, soft snare notes, and a fill where a section ends."""

from __future__ import annotations

from functools import lru_cache

from core.arrange.grid import GridBar, Group, dice
from core.arrange.patterns import (
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
_GHOST, _LOUDNESS, _ROW, _FILL = 11, 12, 13, 14

_Hit = tuple[int, int, int]  # tick, drum, velocity


@lru_cache(maxsize=32)
def play(grid: tuple[GridBar, ...], feel: Feel, swing: Swing, seed: int) -> tuple[NoteEvent, ...]:
    """The drums of a form, for both sides alike."""
    events: list[NoteEvent] = []
    for bar in grid:
        if bar.silent:
            continue
        fill = _fill(bar, feel, seed)
        hits = [hit for hit in _bar(bar, feel, seed) if not (fill and hit[1] in (SNARE, KICK) and hit[0] > bar.start)]
        hits += [(bar.end - back * bar.unit, drum, weight * WEIGHT) for drum, back, weight in fill]
        if feel.drums in CHATTING and not fill:
            hits += _ghosts(bar, seed)
        for tick, drum, velocity in hits:
            loud = max(1, min(127, velocity + bar.swell + feel.loudness))
            events.append(NoteEvent("drums", "both", bar.place(tick, swing), LENGTH, drum, loud))
    return tuple(events)


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
