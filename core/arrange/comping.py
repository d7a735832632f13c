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
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from core.arrange.grid import TICKS, GridBar, Group, TickRow, dice, to_ticks
from core.arrange.patterns import COMPING, table_for
from core.chart import Melody
from core.feel import Feel
from core.row import Row
from core.swing import Swing
from core.timeline import NoteEvent, Side
from core.voicing import Spot, Voicing, VoicingStyle, voice_spots

BASE, PUSH_ACCENT, OFFBEAT_ACCENT, STRONG_ACCENT = 62, 7, 4, 2
TOP_ACCENT = 5
FAST_BPM = 190.0
# Chances of busy and of medium cells by melody notes a beat, up to the first row that holds them; the rest is sparse.
ROOM: tuple[tuple[float, float, float], ...] = ((0.25, 0.5, 0.5), (0.5, 0.15, 0.65), (0.8, 0.0, 0.45), (1.2, 0.0, 0.2))
NO_TUNE = (0.05, 0.55)
"""The same where there is no melody at all."""
BUSY_BEAT = 0.4
"""How likely a cell is for each attack in a beat in which the tune moves, beside one that answers where it holds."""
PUSHES, WINDOW, STEERING = (0.32, 0.4), 14, 4.0
"""Share of anticipations aimed at over the latest attacks, how many those are, and how hard it is steered."""
LATEST_SHORT, LATEST_LONG, LONG = 1, 3, 6
"""Units after a change by which its chord has to be heard: short chords at once, those of 6 units and more later."""
_LEVEL, _CELL, _LOUDNESS = 41, 42, 43
_TRIES = 6


@dataclass(frozen=True, slots=True)
class CompAttack:
    """A place where the piano plays: tick, duration, the tick whose chord sounds, and velocity."""

    tick: int
    duration: int
    sounds_at: int
    velocity: int
    bar: GridBar

    @property
    def anticipates(self) -> bool:
        """Whether the chord of the next change is struck before it."""
        return self.sounds_at > self.tick


@dataclass(frozen=True, slots=True)
class _Hit:
    tick: int
    length: int
    offbeat: bool
    bar: GridBar
    strong: bool


@lru_cache(maxsize=32)
def rhythm(
    grid: tuple[GridBar, ...], feel: Feel, changes: tuple[int, ...], melody: Melody, bpm: float, seed: int
) -> tuple[CompAttack, ...]:
    """The comping rhythm over sorted ``changes`` of both rows."""
    onsets = [to_ticks(note.onset) for note in melody]
    hits: list[_Hit] = []
    shapes: list[tuple[int, ...]] = []
    for bar in grid:
        if bar.silent or not bar.groups:
            continue
        for salt in range(_TRIES):
            chosen = _bar(bar, feel, changes, onsets, bpm, seed, salt, hits[-WINDOW:])
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
    bar: GridBar, feel: Feel, changes: tuple[int, ...], onsets: list[int], bpm: float, seed: int, salt: int,
    latest: list[_Hit]
) -> list[_Hit]:  # fmt: skip
    table = table_for(COMPING, feel.comp, bar.per_beat)
    chosen: list[_Hit] = []
    last = latest[-1].tick if latest else -1
    liking = _steered(1.0 + feel.push_liking, latest, changes)
    for group in bar.groups:
        end = group.end
        level = _level(group, group.start > bar.start, feel, onsets, bpm, seed)
        inside = changes[bisect_left(changes, group.start) : bisect_left(changes, end)]
        ahead = changes[bisect_left(changes, end) : bisect_left(changes, end) + 1] == (end,)
        pushed = last == group.start - group.unit
        needed = inside[1:] if pushed and inside[:1] == (group.start,) else inside
        moving = frozenset(
            (onset - group.start) // (group.beat * group.unit)
            for onset in onsets[bisect_left(onsets, group.start) : bisect_left(onsets, group.end)]
        )
        want = _Want(inside, needed, ahead, pushed, liking, moving)
        cell = _cell(group, table[group.size][level], want, seed, salt)
        chosen += _hits(bar, group, cell, needed)
        last = chosen[-1].tick if chosen else last
    return chosen


def _level(group: Group, later: bool, feel: Feel, onsets: list[int], bpm: float, seed: int) -> int:
    """0 sparse, 1 medium, 2 busy: by what the tune does in these beats, the tempo, and the die.

    A ``later`` group of a long bar is a step sparser than the first, unless the tune holds there.
    """
    busy, medium = NO_TUNE
    if onsets:
        notes = bisect_left(onsets, group.end) - bisect_left(onsets, group.start)
        share = notes / max(1.0, group.size / group.beat)
        later = later and share > 0
        busy, medium = next((row[1:] for row in ROOM if share <= row[0]), (0.0, 0.0))
    drawn = dice(seed, _LEVEL, group.start)
    level = 2 if drawn < busy else 1 if drawn < busy + medium else 0
    level += feel.density - (1 if bpm >= FAST_BPM else 0) - (1 if later else 0)
    return max(0, min(2, level))


@dataclass(frozen=True, slots=True)
class _Want:
    """What a group asks of its cell.

    Changes ``inside`` and those of them that still need a chord, whether a change follows right after (``ahead``),
    whether the first change has been ``pushed`` already, how much an anticipation is liked, and the beats of the group
    in which the tune moves.
    """

    inside: tuple[int, ...]
    needed: tuple[int, ...]
    ahead: bool
    pushed: bool
    liking: float
    moving: frozenset[int]


def _steered(liking: float, latest: list[_Hit], changes: tuple[int, ...]) -> float:
    """The liking for anticipations, raised where few of the latest attacks were any, and lowered where many were."""
    if len(latest) < WINDOW // 2:
        return liking
    share = sum(_is_push(hit, changes) for hit in latest) / len(latest)
    return liking * STEERING if share < PUSHES[0] else liking / STEERING**2 if share > PUSHES[1] else liking


def _is_push(hit: _Hit, changes: tuple[int, ...]) -> bool:
    """An attack on an off-beat right before a change, and on no change itself."""
    if not hit.offbeat:
        return False
    index = bisect_left(changes, hit.tick)
    return changes[index : index + 1] == (hit.tick + hit.bar.unit,)


@lru_cache(maxsize=4096)
def _cell(group: Group, cells: tuple[str, ...], want: _Want, seed: int, salt: int) -> str:
    """The first cell, in an order the die draws, that lets every chord be heard; after a push one that waits."""
    ranked = sorted(range(len(cells)), key=lambda index: dice(seed, _CELL, group.start, salt, index)
                    / _weight(cells[index], group, want))  # fmt: skip
    waiting = [index for index in ranked if cells[index][0] != "x"] if want.pushed else []
    for index in (*waiting, *ranked):
        if not _unheard(_places(cells[index], group), want.inside, want.needed, group):
            return cells[index]
    return cells[ranked[0]]


def _places(cell: str, group: Group) -> list[int]:
    return [group.start + unit * group.unit for unit, sign in enumerate(cell) if sign == "x"]


def _weight(cell: str, group: Group, want: _Want) -> float:
    """Cells that anticipate a change are drawn oftener; a push into a bar where nothing changes, more seldom."""
    weight = 1.0
    if cell[-1] == "x":
        weight = want.liking if want.ahead else 0.5
    before = ((change - group.start) // group.unit - 1 for change in want.inside)
    if any(unit >= 0 and cell[unit] == "x" for unit in before):
        weight = max(weight, 1.0) * want.liking if cell[-1] != "x" else weight
    return float(weight * BUSY_BEAT ** sum(sign == "x" and unit // group.beat in want.moving
                                           for unit, sign in enumerate(cell)))  # fmt: skip


def _unheard(places: list[int], inside: tuple[int, ...], needed: tuple[int, ...], group: Group) -> list[int]:
    """The changes among ``needed`` that none of the places would sound soon enough."""
    missing = []
    for change in needed:
        after = bisect_right(inside, change)
        following = inside[after] if after < len(inside) else group.end
        wait = LATEST_LONG if following - change >= LONG * group.unit else LATEST_SHORT
        latest = max(change, min(change + wait * group.unit, following - 2 * group.unit))
        if not any(change - group.unit <= place <= latest for place in places):
            missing.append(change)
    return missing


def _hits(bar: GridBar, group: Group, cell: str, needed: tuple[int, ...]) -> list[_Hit]:
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
    return [_Hit(tick, lengths[tick], group.is_offbeat(tick), bar, tick == group.start) for tick in sorted(lengths)]


def _varied(bar: GridBar, hits: list[_Hit]) -> list[_Hit]:
    """A bar that its changes have forced into the same rhythm a third time: one attack more, where there is room."""
    taken = {hit.tick for hit in hits}
    for unit in range(bar.length // bar.unit - 1, -1, -1):
        tick = bar.start + unit * bar.unit
        if tick not in taken:
            offbeat = any(group.start <= tick < group.end and group.is_offbeat(tick) for group in bar.groups)
            return sorted([*hits, _Hit(tick, bar.unit, offbeat, bar, False)], key=lambda hit: hit.tick)
    return hits[:-1] or hits


def _finished(hits: list[_Hit], changes: tuple[int, ...], feel: Feel, seed: int, end: int) -> tuple[CompAttack, ...]:
    """Durations cut where the next attack or the next change comes, chords assigned, accents laid."""
    attacks = []
    downbeats = 0
    for index, hit in enumerate(hits):
        push = _is_push(hit, changes)
        sounds_at = hit.tick + hit.bar.unit if push else hit.tick
        following = bisect_right(changes, sounds_at)
        limit = min(hits[index + 1].tick if index + 1 < len(hits) else end,
                    changes[following] if following < len(changes) else end)  # fmt: skip
        length = feel.push_hold * hit.bar.unit if push else hit.length
        loud = BASE + (PUSH_ACCENT if push else 0) + (STRONG_ACCENT if hit.strong else 0)
        loud += OFFBEAT_ACCENT if hit.offbeat and downbeats >= 2 else 0
        loud += int(7 * dice(seed, _LOUDNESS, hit.tick)) - 3 + hit.bar.swell + feel.loudness
        downbeats = 0 if hit.offbeat else downbeats + 1
        attacks.append(CompAttack(hit.tick, max(1, min(length, limit - hit.tick)), sounds_at, loud, hit.bar))
    return tuple(attacks)


def voice(
    attacks: tuple[CompAttack, ...], row: Row, ticks: TickRow, melody: Melody, style: VoicingStyle,
    model: Mapping[float, tuple[int, ...]] | None = None
) -> tuple[Voicing | None, ...]:  # fmt: skip
    """A voicing for every attack over one row, under what the tune has while it sounds."""
    spots = [Spot(ticks.index_at(attack.sounds_at), attack.tick / TICKS, (attack.tick + attack.duration) / TICKS)
             for attack in attacks]  # fmt: skip
    return voice_spots(row, spots, melody, model, style)


def play(
    attacks: tuple[CompAttack, ...], voicings: tuple[Voicing | None, ...], swing: Swing, side: Side
) -> list[NoteEvent]:  # fmt: skip
    """The piano's notes of one row: each attack in its voicing, no louder for having more voices."""
    events: list[NoteEvent] = []
    for attack, voicing in zip(attacks, voicings, strict=True):
        if voicing is not None:
            events += _struck(attack, voicing.notes, swing, side)
    return events


@lru_cache(maxsize=4096)
def _struck(attack: CompAttack, notes: tuple[int, ...], swing: Swing, side: Side) -> tuple[NoteEvent, ...]:
    onset = attack.bar.place(attack.tick, swing)
    duration = max(0.05, attack.bar.place(attack.tick + attack.duration, swing) - onset - 0.02)
    loud = attack.velocity * (4 / len(notes)) ** 0.25
    velocities = [max(1, min(127, int(loud + (TOP_ACCENT if note == notes[-1] else 0)))) for note in notes]
    return tuple(NoteEvent("piano", side, onset, duration, note, velocity)
                 for note, velocity in zip(notes, velocities, strict=True))  # fmt: skip
