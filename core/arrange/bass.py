"""The bass: roots on the changes, and a line that walks to the next one.

Where the notes fall is written in the pattern tables and is the same on both sides; which notes they are is chosen
for the whole line at once by a dynamic programme over the fingerboard: the root (or the bass of a slash chord) on
every change, chord tones on strong beats, scale tones between, chromatic notes only on the weak note before a change,
a half step into the next root before a whole step, steps before leaps, no note twice, on in the same direction.

Sources: root on 1, approach on the last beat, chord tones between, a half step stronger than a whole step: bass methods
in agreement, no single source; root and fifth in a bossa, range E1 to G3: common practice, no source. Costs are ours.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from core.arrange.grid import GridBar, TickRow, dice
from core.arrange.patterns import BASS, table_for
from core.chord import Chord, in_context
from core.feel import Feel
from core.quality import Quality
from core.swing import Swing
from core.timeline import NoteEvent, Side

LOW, HIGH = 28, 55
COMFORT_LOW, CENTRE, COMFORT_HIGH = 31, 41, 48
SHORTEST = 1 / 64
"""Quarter notes."""
LEGATO = 0.93
BASE, CHANGE_ACCENT, BACKBEAT_ACCENT, PER_SEMITONE = 84, 4, 3, 0.4

# Cost of a step inside a chord and of the step into a new root, by its size in semitones.
INSIDE_COST = (16, 2, 1, 3, 4, 4, 10, 4, 10, 10, 13, 15, 5)
LEAN_INSIDE_COST = (3, 3, 3, 4, 5, 2, 6, 2, 8, 8, 10, 12, 3)
ARRIVAL_COST = (18, 0, 2, 11, 12, 7, 15, 9, 16, 16, 18, 20, 16)
CHANGE_COST = (10, 1, 1, 1, 1, 1, 4, 2, 6, 7, 9, 12, 7)
TOO_FAR = 60
TURN_COST = 2
ROOT_AGAIN_COST = 8
PEDAL_COST = (0, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 4)
"""Steps while the bass holds a pedal: the same note, or its octave."""
LEAN_STYLES = frozenset({"two", "ballad", "even", "bossa", "six"})
AGAIN_COST = 16
"""What a third time the same note costs, but on a pedal."""
LEAN_APPROACH_COST = 2
"""What a step into the next root costs on a strong beat, where a bass in two would rather have its fifth."""
LEAN_COST = 8
"""What a tone other than the fifth costs more where the bass does not walk."""
SEAM = 2
"""Semitones from the last note to the first from which the line is drawn once more with the repeat in mind."""
JITTER = 5
"""The most that the die adds to a pitch inside a chord, so that no two choruses walk alike."""
PASSING_COST, LEAP_TO_PASSING, LARGEST_STEP = 1, 8, 2
LIKENESS = 4
_TEMPLATE, _CHOICE, _LOUDNESS = 31, 32, 33
BEAM = 14
"""States kept at each note; more change nothing that can be heard."""

SCALES = {
    "major": (0, 2, 4, 7, 9, 11),
    "minor": (0, 2, 3, 5, 7, 10),
    "dominant": (0, 2, 4, 5, 7, 9, 10),
    "half_diminished": (0, 3, 5, 6, 8, 10),
    "diminished": (0, 2, 3, 5, 6, 8, 9, 11),
    "augmented": (0, 2, 4, 6, 8, 11),
    "suspended": (0, 2, 5, 7, 9, 10),
    "power": (0, 2, 5, 7),
}
"""Passing tones in semitones above the root, by family; written alterations push the natural degree out."""


Beside = tuple[TickRow, Mapping[float, int]]
"""Another row and its bass line, as pitches by onset."""
_Layer = tuple[tuple[int, int, bool], ...]
"""The pitches for one note, what each costs by itself, and whether it is a passing tone, which is reached by step."""


@dataclass(frozen=True, slots=True)
class BassAttack:
    """A place of a bass note in ticks, the same on both sides.

    ``weak`` places may carry passing tones, ``short`` ones an approach; a ``lean`` style prefers roots and fifths and
    may aim at the next root from the half bar.
    """

    tick: int
    duration: int
    weak: bool
    short: bool
    lean: bool
    bar: GridBar


def rhythm(grid: tuple[GridBar, ...], feel: Feel, changes: set[int], seed: int) -> list[BassAttack]:
    """Where the bass plays: the feel's template in every bar, and a note on every change of either row."""
    attacks: list[BassAttack] = []
    lean = feel.bass in LEAN_STYLES
    for bar in grid:
        if bar.silent:
            continue
        table = table_for(BASS, feel.bass, bar.per_beat)
        ticks: set[int] = {bar.start}
        for group in bar.groups:
            rows = table[group.size]
            row = rows[int(dice(seed, _TEMPLATE, group.start) * len(rows))]
            ticks.update(group.start + unit * group.unit for unit, sign in enumerate(row) if sign == "x")
        ticks.update(change for change in changes if bar.start <= change < bar.end)
        strong = {group.start for group in bar.groups}
        strong |= {group.start + 2 * bar.per_beat * bar.unit for group in bar.groups if group.size == 4 * bar.per_beat}
        ordered = [*sorted(ticks), bar.end]
        beat = bar.unit * bar.per_beat * (2 if lean and bar.per_beat == 2 else 1)
        for tick, after in pairwise(ordered):
            attacks.append(BassAttack(tick, after - tick, tick not in strong, after - tick <= beat, lean, bar))
    return attacks


def play(
    attacks: list[BassAttack],
    row: TickRow,
    swing: Swing,
    side: Side,
    seed: int,
    beside: Beside | None = None,
    loudness: int = 0,
) -> list[NoteEvent]:
    """The bass line of one row; ``beside`` is another row with its line, followed where the chords agree.

    ``loudness`` is added to every velocity.
    """
    slots = [row.index_at(attack.tick) for attack in attacks]
    events: list[NoteEvent] = []
    first = 0
    while first < len(attacks):
        last = first
        if row.chords[slots[first]] is None:
            first += 1
            continue
        while last < len(attacks) and row.chords[slots[last]] is not None:
            last += 1
        onsets = [attack.bar.place(attack.tick, swing) for attack in attacks[first:last]]
        models = [_model(beside, row, attack.tick, onset)
                  for attack, onset in zip(attacks[first:last], onsets, strict=True)]  # fmt: skip
        pitches = _line(attacks[first:last], slots[first:last], row, seed, models)
        for onset, (attack, pitch, is_change) in zip(onsets, pitches, strict=True):
            duration = (attack.bar.place(attack.tick + attack.duration, swing) - onset) * LEGATO
            duration = max(duration, SHORTEST)  # a chord may be shorter than the player is late
            loud = BASE + (CHANGE_ACCENT if is_change else 0) + (BACKBEAT_ACCENT if attack.weak else 0)
            loud += loudness + attack.bar.swell
            loud += int(PER_SEMITONE * (pitch - CENTRE)) + int(5 * dice(seed, _LOUDNESS, attack.tick))
            events.append(NoteEvent("bass", side, onset, duration, pitch, max(40, min(110, loud))))
        first = last
    return events


def _model(beside: Beside | None, row: TickRow, tick: int, onset: float) -> int:
    """The other row's pitch where both have the same chord, else -1."""
    if beside is None:
        return -1
    other, pitches = beside
    same = other.chords[other.index_at(tick)] == row.chords[row.index_at(tick)]
    return pitches.get(onset, -1) if same else -1


def _line(
    attacks: list[BassAttack], slots: list[int], row: TickRow, seed: int, models: list[int]
) -> list[tuple[BassAttack, int, bool]]:
    """Pitches for a stretch without silence; its last note aims at the next chord, round the repeat of the form."""
    chords = [_chord(row, slot) for slot in slots]
    changes = [index == 0 or chords[index] != chords[index - 1] for index in range(len(chords))]
    target = next(chord for chord in (*row.chords[slots[-1] + 1 :], *row.chords) if chord is not None)
    held = _pedals(chords)
    layers, kinds = [], []
    for index, (attack, chord) in enumerate(zip(attacks, chords, strict=True)):
        following = chords[index + 1] if index + 1 < len(chords) else target
        arrives = index + 1 == len(chords) or changes[index + 1]
        next_bass = following.bass_pc if arrives and attack.short else -1
        if held[index]:
            layers.append(_pedal_candidates(chord.bass_pc, next_bass if attack.weak else -1))
        else:
            layers.append(_candidates(chord, changes[index], attack.weak, attack.lean, next_bass))
        kinds.append(_kind(index, changes, held))
    how = (tuple(layers), tuple(kinds), tuple(attack.tick for attack in attacks), seed, tuple(models), attacks[0].lean)
    pitches = _cheapest(*how)
    if slots[0] == 0 and slots[-1] == len(row.chords) - 1 and abs(pitches[0] - pitches[-1]) > SEAM:
        pitches = _cheapest(*how, pitches[0])
    return list(zip(attacks, pitches, changes, strict=True))


def _pedals(chords: list[Chord]) -> list[bool]:
    """Where several chords change over one bass note that is foreign to one of them: the bass stays on it."""
    held: list[bool] = []
    while len(held) < len(chords):
        first = last = len(held)
        while last < len(chords) and chords[last].bass_pc == chords[first].bass_pc:
            last += 1
        over = set(chords[first:last])
        foreign = any(chord.bass_pc != in_context(chord).root_pc for chord in over)
        held += [len(over) > 1 and foreign] * (last - first)
    return held


def _kind(index: int, changes: list[bool], held: list[bool]) -> int:
    """Which costs a step has: inside a chord, from change to change, into a change, or on a pedal."""
    if index and held[index] and held[index - 1]:
        return _ON_PEDAL
    if not changes[index]:
        return _WITHIN
    return _FROM_CHANGE if changes[index - 1] else _INTO_CHANGE


def _chord(row: TickRow, slot: int) -> Chord:
    chord = row.chords[slot]
    assert chord is not None
    return chord


@lru_cache(maxsize=8192)
def _candidates(chord: Chord, change: bool, weak: bool, lean: bool, next_bass: int) -> _Layer:
    """Pitches for one attack with what each costs by itself. ``next_bass`` is -1 where nothing is approached."""
    if change:
        return _on_board({chord.bass_pc: 0})
    played = in_context(chord)
    root = played.root_pc
    pedal = chord.bass_pc != root
    costs = {(root + step) % 12: 0 for step in _frame(played.quality)}
    if weak:
        for step in _scale(played.quality):
            costs.setdefault((root + step) % 12, PASSING_COST)
    passing = frozenset(pitch_class for pitch_class, cost in costs.items() if cost)
    if lean:
        fifths = {(root + step) % 12 for step in _fifths(played.quality)}
        costs = {pitch_class: cost + (0 if pitch_class in fifths else LEAN_COST) for pitch_class, cost in costs.items()}
    if pedal:
        costs = {pitch_class: cost + 4 for pitch_class, cost in costs.items()} | {chord.bass_pc: 0}
    if next_bass >= 0 and (weak or lean):
        own = 0 if weak else LEAN_APPROACH_COST
        for step, cost in ((1, own), (-1, own), (2, own + 2), (-2, own + 2)):
            pitch_class = (next_bass + step) % 12
            costs[pitch_class] = min(costs.get(pitch_class, cost), cost)
            passing -= {pitch_class}
    if not pedal:
        costs[root] = costs.get(root, 0) + ROOT_AGAIN_COST
    return _on_board(costs, passing)


@lru_cache(maxsize=512)
def _pedal_candidates(bass: int, next_bass: int) -> _Layer:
    """The pedal, or at its very end a step into the next bass note."""
    steps = {} if next_bass in (-1, bass) else {(next_bass + step) % 12: 0 for step in (1, -1)}
    return _on_board({**steps, bass: 2 if steps else 0})


def _on_board(costs: dict[int, int], passing: frozenset[int] = frozenset()) -> _Layer:
    found = []
    for pitch in range(LOW, HIGH + 1):
        if pitch % 12 in costs:
            outside = max(COMFORT_LOW - pitch, pitch - COMFORT_HIGH, 0)
            own = costs[pitch % 12] + outside + abs(pitch - CENTRE) // 4
            found.append((pitch, own, pitch % 12 in passing))
    return tuple(found)


@lru_cache(maxsize=512)
def _fifths(quality: Quality) -> tuple[int, ...]:
    """The fifths of a chord, altered ones included; the natural one where none is written."""
    return tuple(degree.semitones for degree in quality.sounding.degrees if degree.number == 5) or (7,)


@lru_cache(maxsize=512)
def _frame(quality: Quality) -> tuple[int, ...]:
    """Chord tones for strong beats: root, third, fifth and seventh (or sixth) as the chord has them."""
    return tuple(degree.semitones for degree in quality.sounding.degrees if degree.number <= 7)


@lru_cache(maxsize=512)
def _scale(quality: Quality) -> tuple[int, ...]:
    written = {degree.semitones % 12 for degree in quality.sounding.degrees}
    altered = {(degree.semitones - degree.alteration) % 12 for degree in quality.degrees if degree.alteration}
    return tuple(step for step in SCALES[quality.sounding.family] if step not in altered - written)


def _step_table(costs: tuple[int, ...], turned_from: int) -> list[int]:
    """Cost by signed step (a negative index counts from the end), with what a turn costs after going up or down."""
    span = HIGH - LOW
    table = []
    for step in (*range(span + 1), *range(-span, 0)):
        size = abs(step)
        turns = step * turned_from < 0
        table.append((costs[size] if size < len(costs) else TOO_FAR) + (TURN_COST if turns else 0))
    return table


def _without_leaps(costs: tuple[int, ...]) -> tuple[int, ...]:
    return tuple(cost + (LEAP_TO_PASSING if size > LARGEST_STEP else 0) for size, cost in enumerate(costs))


def _after_repeat(costs: tuple[int, ...]) -> tuple[int, ...]:
    return costs if costs is PEDAL_COST else (costs[0] + AGAIN_COST, *costs[1:])


_WITHIN, _FROM_CHANGE, _INTO_CHANGE, _ON_PEDAL, _BY_STEP = range(5)
_RISE, _FALL, _REPEAT, _START = range(4)
# For each kind of step, tables after a rise, a fall, a repeat, and at the start.
_TABLES, _LEAN_TABLES = (
    tuple((_step_table(costs, 1), _step_table(costs, -1), _step_table(_after_repeat(costs), 0), _step_table(costs, 0))
          for costs in (inside, CHANGE_COST, ARRIVAL_COST, PEDAL_COST, _without_leaps(inside)))
    for inside in (INSIDE_COST, LEAN_INSIDE_COST)
)  # fmt: skip


@lru_cache(maxsize=64)
def _cheapest(
    layers: tuple[_Layer, ...], kinds: tuple[int, ...], ticks: tuple[int, ...], seed: int, models: tuple[int, ...],
    lean: bool, home: int = -1
) -> tuple[int, ...]:  # fmt: skip
    """The cheapest line; a state is (cost, pitch, heading, place of its forerunner), kept in the order of pitch.

    ``home`` is a pitch that follows the last one, or -1.
    """
    states = [(cost + abs(pitch - CENTRE) // 2 - (LIKENESS if pitch == models[0] else 0), pitch, _START, 0)
              for pitch, cost, _ in layers[0]]  # fmt: skip
    history = [states]
    all_tables = _LEAN_TABLES if lean else _TABLES
    for index in range(1, len(layers)):
        usual = all_tables[kinds[index]]
        stepwise = all_tables[_BY_STEP] if kinds[index] == _WITHIN else usual
        die = int(dice(seed, _CHOICE, ticks[index]) * (1 << 48)) if kinds[index] == _WITHIN else 0
        model = models[index]
        seam = all_tables[_INTO_CHANGE][_START] if home >= 0 and index == len(layers) - 1 else None
        reached: list[tuple[int, int, int, int]] = []
        below = 0
        for pitch, cost, is_passing in layers[index]:
            tables = stepwise if is_passing else usual
            own = cost + (die >> pitch % 12 * 4) % 16 * JITTER // 15 - (LIKENESS if pitch == model else 0)
            own += seam[home - pitch] if seam else 0
            totals = [before + tables[heading][pitch - old] for before, old, heading, _ in states]
            while below < len(states) and states[below][1] < pitch:
                below += 1
            above = below
            while above < len(states) and states[above][1] == pitch:
                above += 1
            for heading, part, offset in ((_RISE, totals[:below], 0), (_REPEAT, totals[below:above], below),
                                          (_FALL, totals[above:], above)):  # fmt: skip
                if part:
                    least = min(part)
                    reached.append((least + own, pitch, heading, offset + part.index(least)))
        limit = sorted(reached)[BEAM - 1][0] if len(reached) > BEAM else TOO_FAR * len(layers)
        states = [state for state in reached if state[0] <= limit]
        history.append(states)
    return _traced(history)


def _traced(history: list[list[tuple[int, int, int, int]]]) -> tuple[int, ...]:
    index = history[-1].index(min(history[-1]))
    pitches = []
    for states in reversed(history):
        _, pitch, _, back = states[index]
        pitches.append(pitch)
        index = back
    return tuple(reversed(pitches))
