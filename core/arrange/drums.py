"""Drums: the feel's pattern, a few soft snare notes, and a small fill where a section ends."""

from __future__ import annotations

from core.arrange.grid import TICKS, GridBar, Group, dice
from core.arrange.patterns import DRUMS, KICK, RIDE, SNARE, Feel, table_for
from core.swing import Swing
from core.timeline import NoteEvent

LENGTH = 0.2
"""Quarter notes; a drum rings out by itself."""
WEIGHT = 12
"""MIDI velocity of one digit of a pattern."""
GHOST_CHANCE = 0.09
SECTION_ACCENT = 10
_FILL = ((2, 3), (1, 4))
_GHOST, _LOUDNESS = 11, 12


def play(grid: tuple[GridBar, ...], feel: Feel, swing: Swing, seed: int) -> list[NoteEvent]:
    """The drums of a form, for both sides alike."""
    events: list[NoteEvent] = []
    for bar in grid:
        if bar.silent:
            continue
        table = table_for(DRUMS, feel.drums, bar.per_beat)
        hits: list[tuple[int, int, int]] = []
        for group in bar.groups:
            hits += _pattern(bar, group, table[group.size], seed)
        if feel.drums == "swing":
            hits += _snare(bar, seed)
        for tick, drum, velocity in hits:
            onset = swing.place(tick / TICKS, bar.anchor)
            events.append(NoteEvent("drums", "both", onset, LENGTH, drum, min(127, velocity)))
    return events


def _pattern(
    bar: GridBar, group: Group, rows: tuple[tuple[int, tuple[str, ...]], ...], seed: int
) -> list[tuple[int, int, int]]:
    hits = []
    for drum, turns in rows:
        for unit, sign in enumerate(turns[bar.index % len(turns)]):
            if sign == ".":
                continue
            tick = group.start + unit * group.unit
            accent = SECTION_ACCENT if bar.opens and tick == bar.start and drum in (RIDE, KICK) else 0
            human = int(5 * dice(seed, _LOUDNESS, tick, drum)) - 2
            hits.append((tick, drum, int(sign) * WEIGHT + accent + human))
    return hits


def _snare(bar: GridBar, seed: int) -> list[tuple[int, int, int]]:
    """Soft notes on off-beats now and then; at the end of a section two that lead on."""
    units = bar.length // bar.unit
    if bar.closes and units >= 4:
        return [(bar.start + (units - back) * bar.unit, SNARE, weight * WEIGHT) for back, weight in _FILL]
    return [(bar.start + unit * bar.unit, SNARE, 2 * WEIGHT)
            for unit in range(1, units, 2) if dice(seed, _GHOST, bar.index, unit) < GHOST_CHANCE]  # fmt: skip
