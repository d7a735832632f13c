"""The piano: one comping rhythm for both rows, and each row's own voicings in it.

The rhythm is made from short cells drawn by a die that depends on seed and place alone. It is planned over the changes
of both rows together, so that every chord of either is heard, and is the same on both sides to the last tick: what
differs by ear is the harmony. An attack on the off-beat right before a change is an anticipation and sounds the next
chord. Where the tune runs the piano leaves room; where it holds or rests the piano answers.

Sources: common practice, no source; "not busier than the soloist" and rests as part of comping, comping handbooks in
agreement.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass

from core.arrange.grid import TICKS, GridBar, Group, TickRow, dice, to_ticks
from core.arrange.patterns import COMPING, Feel, table_for
from core.chart import Melody
from core.swing import Swing
from core.timeline import NoteEvent, Side
from core.voicing import Voicing

BASE, PUSH_ACCENT, OFFBEAT_ACCENT, STRONG_ACCENT = 62, 7, 4, 2
TOP_ACCENT = 5
FAST_BPM = 190.0
RUNNING = 1.25
"""Melody notes per beat from which the tune runs."""
LATEST_SHORT, LATEST_LONG, LONG = 1, 3, 8
"""Units after a change by which its chord has to be heard: short chords at once, those of 8 units and more later."""
_LEVEL, _CELL, _LOUDNESS = 41, 42, 43
_TRIES = 6


@dataclass(frozen=True, slots=True)
class CompAttack:
    """A place where the piano plays: tick, duration, the tick whose chord sounds, and velocity."""

    tick: int
    duration: int
    sounds_at: int
    velocity: int
    anchor: float

    @property
    def anticipates(self) -> bool:
        """Whether the chord of the next change is struck before it."""
        return self.sounds_at > self.tick


@dataclass(frozen=True, slots=True)
class _Hit:
    tick: int
    length: int
    offbeat: bool
    anchor: float
    strong: bool
    unit: int


def rhythm(
    grid: tuple[GridBar, ...], feel: Feel, changes: list[int], melody: Melody, bpm: float, seed: int
) -> list[CompAttack]:
    """The comping rhythm over sorted ``changes`` of both rows."""
    onsets = [to_ticks(note.onset) for note in melody]
    hits: list[_Hit] = []
    shapes: list[tuple[int, ...]] = []
    for bar in grid:
        if bar.silent or not bar.groups:
            continue
        for salt in range(_TRIES):
            chosen = _bar(bar, feel, changes, onsets, bpm, seed, salt, hits[-1].tick if hits else -1)
            shape = tuple(hit.tick - bar.start for hit in chosen)
            if shapes[-2:] != [shape, shape]:
                break
        else:
            chosen = _varied(bar, chosen)
            shape = tuple(hit.tick - bar.start for hit in chosen)
        hits += chosen
        shapes.append(shape)
    return _finished(hits, changes, feel, seed, grid[-1].end if grid else 0)


def _bar(
    bar: GridBar, feel: Feel, changes: list[int], onsets: list[int], bpm: float, seed: int, salt: int, last: int
) -> list[_Hit]:
    table = table_for(COMPING, feel.comp, bar.per_beat)
    chosen: list[_Hit] = []
    for group in bar.groups:
        end = group.start + group.size * group.unit
        level = _level(group, group.start > bar.start, feel, onsets, bpm, seed)
        inside = changes[bisect_left(changes, group.start) : bisect_left(changes, end)]
        ahead = changes[bisect_left(changes, end) : bisect_left(changes, end) + 1] == [end]
        pushed = last == group.start - group.unit
        needed = inside[1:] if pushed and inside[:1] == [group.start] else inside
        cell = _cell(group, table[group.size][level], inside, needed, ahead, pushed, feel.push_liking, seed, salt)
        chosen += _hits(bar, group, cell, needed)
        last = chosen[-1].tick if chosen else last
    return chosen


def _level(group: Group, later: bool, feel: Feel, onsets: list[int], bpm: float, seed: int) -> int:
    """0 sparse, 1 medium, 2 busy: by what the tune does in these beats, the tempo, and the die.

    A ``later`` group of a long bar is a step sparser than the first.
    """
    drawn = dice(seed, _LEVEL, group.start)
    level = 1 if drawn < 0.55 else 2 if drawn < 0.6 else 0
    if onsets:
        end = group.start + group.size * group.unit
        notes = bisect_left(onsets, end) - bisect_left(onsets, group.start)
        beats = max(1.0, group.size / 2)
        level = 0 if notes / beats >= RUNNING else (2 if drawn < 0.35 else 1) if notes <= 1 else int(drawn < 0.6)
    level += feel.density - (1 if bpm >= FAST_BPM else 0) - (1 if later else 0)
    return max(0, min(2, level))


def _cell(
    group: Group, cells: tuple[str, ...], inside: list[int], needed: list[int], ahead: bool, pushed: bool,
    liking: float, seed: int, salt: int
) -> str:  # fmt: skip
    """The first cell, in an order the die draws, that lets every chord be heard; after a push one that waits."""
    ranked = sorted(range(len(cells)), key=lambda index: dice(seed, _CELL, group.start, salt, index)
                    / _weight(cells[index], group, inside, ahead, liking))  # fmt: skip
    waiting = [index for index in ranked if cells[index][0] != "x"] if pushed else []
    for index in (*waiting, *ranked):
        places = [group.start + unit * group.unit for unit, sign in enumerate(cells[index]) if sign == "x"]
        if not _unheard(places, inside, needed, group):
            return cells[index]
    return cells[ranked[0]]


def _weight(cell: str, group: Group, inside: list[int], ahead: bool, liking: float) -> float:
    """Cells that anticipate a change are drawn oftener; a push into a bar where nothing changes, more seldom."""
    if cell[-1] == "x":
        return 1.0 + liking if ahead else 0.5
    before = ((change - group.start) // group.unit - 1 for change in inside)
    pushes = any(unit >= 0 and cell[unit] == "x" for unit in before)
    return 1.0 + liking if pushes else 1.0


def _unheard(places: list[int], inside: list[int], needed: list[int], group: Group) -> list[int]:
    """The changes among ``needed`` that none of the places would sound soon enough."""
    missing = []
    for change in needed:
        after = bisect_right(inside, change)
        following = inside[after] if after < len(inside) else group.start + group.size * group.unit
        wait = LATEST_LONG if following - change >= LONG * group.unit else LATEST_SHORT
        latest = max(change, min(change + wait * group.unit, following - 2 * group.unit))
        if not any(change - group.unit <= place <= latest for place in places):
            missing.append(change)
    return missing


def _hits(bar: GridBar, group: Group, cell: str, needed: list[int]) -> list[_Hit]:
    lengths: dict[int, int] = {}
    start = -1
    for unit, sign in enumerate(cell):
        if sign == "x":
            start = group.start + unit * group.unit
            lengths[start] = group.unit
        elif sign == "-" and start >= 0:
            lengths[start] += group.unit
        else:
            start = -1
    for change in _unheard(list(lengths), needed, needed, group):
        lengths[change] = 2 * group.unit
    beat = bar.per_beat * bar.unit
    return [_Hit(tick, lengths[tick], (tick - bar.start) % beat == beat - bar.unit, bar.anchor,
                 tick == group.start, bar.unit) for tick in sorted(lengths)]  # fmt: skip


def _varied(bar: GridBar, hits: list[_Hit]) -> list[_Hit]:
    """A bar that its changes have forced into the same rhythm a third time: one attack more, where there is room."""
    taken = {hit.tick for hit in hits}
    for unit in range(bar.length // bar.unit - 1, -1, -1):
        tick = bar.start + unit * bar.unit
        if tick not in taken:
            offbeat = unit % bar.per_beat == bar.per_beat - 1
            return sorted([*hits, _Hit(tick, bar.unit, offbeat, bar.anchor, False, bar.unit)], key=lambda hit: hit.tick)
    return hits[:-1]


def _finished(hits: list[_Hit], changes: list[int], feel: Feel, seed: int, end: int) -> list[CompAttack]:
    """Durations cut where the next attack or the next change comes, chords assigned, accents laid."""
    attacks = []
    change_set = set(changes)
    downbeats = 0
    for index, hit in enumerate(hits):
        push = hit.offbeat and hit.tick not in change_set and hit.tick + hit.unit in change_set
        sounds_at = hit.tick + hit.unit if push else hit.tick
        following = bisect_right(changes, sounds_at)
        limit = min(hits[index + 1].tick if index + 1 < len(hits) else end,
                    changes[following] if following < len(changes) else end)  # fmt: skip
        length = feel.push_hold * hit.unit if push else hit.length
        loud = BASE + (PUSH_ACCENT if push else 0) + (STRONG_ACCENT if hit.strong else 0)
        loud += OFFBEAT_ACCENT if hit.offbeat and downbeats >= 2 else 0
        loud += int(7 * dice(seed, _LOUDNESS, hit.tick)) - 3
        downbeats = 0 if hit.offbeat else downbeats + 1
        attacks.append(CompAttack(hit.tick, max(1, min(length, limit - hit.tick)), sounds_at, loud, hit.anchor))
    return attacks


def play(
    attacks: list[CompAttack], row: TickRow, voicings: tuple[Voicing | None, ...], swing: Swing, side: Side
) -> list[NoteEvent]:
    """The piano's notes of one row: the voicing of the chord each attack sounds, no louder for having more voices."""
    events: list[NoteEvent] = []
    for attack in attacks:
        voicing = voicings[row.index_at(attack.sounds_at)]
        if voicing is None:
            continue
        onset = swing.place(attack.tick / TICKS, attack.anchor)
        duration = swing.place((attack.tick + attack.duration) / TICKS, attack.anchor) - onset - 0.02
        loud = attack.velocity * (4 / len(voicing.notes)) ** 0.25
        top = voicing.notes[-1]
        for note in voicing.notes:
            velocity = int(loud + (TOP_ACCENT if note == top else 0))
            events.append(NoteEvent("piano", side, onset, max(0.05, duration), note, velocity))
    return events
