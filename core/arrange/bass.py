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

from core.arrange.bass_line import (
    CENTRE,
    FROM_CHANGE,
    HIGH,
    INTO_CHANGE,
    LOW,
    ON_PEDAL,
    WITHIN,
    Layer,
    cheapest,
)
from core.arrange.grid import GridBar, TickRow, dice
from core.arrange.patterns import BASS, table_for
from core.chord import Chord, in_context
from core.feel import Feel
from core.quality import Quality
from core.swing import Swing
from core.timeline import NoteEvent, Side

COMFORT_LOW, COMFORT_HIGH = 31, 48
SHORTEST = 1 / 64
"""Quarter notes."""
LEGATO = 0.93
BASE, CHANGE_ACCENT, BACKBEAT_ACCENT, PER_SEMITONE = 84, 4, 3, 0.4

ROOT_AGAIN_COST = 8
LEAN_STYLES = frozenset({"two", "ballad", "even", "bossa", "six"})
LEAN_APPROACH_COST = 2
"""What a step into the next root costs on a strong beat, where a bass in two would rather have its fifth."""
LEAN_COST = 8
"""What a tone other than the fifth costs more where the bass does not walk."""
PASSING_COST = 1
_TEMPLATE, _LOUDNESS = 31, 33

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


@lru_cache(maxsize=32)
def rhythm(grid: tuple[GridBar, ...], feel: Feel, changes: tuple[int, ...], seed: int) -> tuple[BassAttack, ...]:
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
    return tuple(attacks)


def play(
    attacks: tuple[BassAttack, ...],
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
        for attack, pitch, is_change in pitches:
            events.append(_note(attack, pitch, is_change, swing, side, seed, loudness))
        first = last
    return events


@lru_cache(maxsize=8192)
def _note(
    attack: BassAttack, pitch: int, is_change: bool, swing: Swing, side: Side, seed: int, loudness: int
) -> NoteEvent:  # fmt: skip
    onset = attack.bar.place(attack.tick, swing)
    duration = (attack.bar.place(attack.tick + attack.duration, swing) - onset) * LEGATO
    loud = BASE + (CHANGE_ACCENT if is_change else 0) + (BACKBEAT_ACCENT if attack.weak else 0)
    loud += loudness + attack.bar.swell
    loud += int(PER_SEMITONE * (pitch - CENTRE)) + int(5 * dice(seed, _LOUDNESS, attack.tick))
    # A chord may be shorter than the player is late.
    return NoteEvent("bass", side, onset, max(duration, SHORTEST), pitch, max(40, min(110, loud)))


def _model(beside: Beside | None, row: TickRow, tick: int, onset: float) -> int:
    """The other row's pitch where both have the same chord, else -1."""
    if beside is None:
        return -1
    other, pitches = beside
    same = other.chords[other.index_at(tick)] == row.chords[row.index_at(tick)]
    return pitches.get(onset, -1) if same else -1


def _line(
    attacks: tuple[BassAttack, ...], slots: list[int], row: TickRow, seed: int, models: list[int]
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
    whole = slots[0] == 0 and slots[-1] == len(row.chords) - 1
    ticks = [attack.tick for attack in attacks]
    pitches = cheapest(layers, kinds, ticks, seed, models, attacks[0].lean, whole)
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
        return ON_PEDAL
    if not changes[index]:
        return WITHIN
    return FROM_CHANGE if changes[index - 1] else INTO_CHANGE


def _chord(row: TickRow, slot: int) -> Chord:
    chord = row.chords[slot]
    assert chord is not None
    return chord


@lru_cache(maxsize=8192)
def _candidates(chord: Chord, change: bool, weak: bool, lean: bool, next_bass: int) -> Layer:
    """Pitches for one attack with what each costs by itself. ``next_bass`` is -1 where nothing is approached."""
    if change:
        return _landing(chord.bass_pc)
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
        own_tones = {(root + step) % 12 for step in (*_frame(played.quality), *_scale(played.quality))}
        for step, cost in ((1, own), (-1, own), (2, own + 2), (-2, own + 2)):
            pitch_class = (next_bass + step) % 12
            if weak or pitch_class in own_tones:  # a chromatic note held over half a bar would be another chord
                costs[pitch_class] = min(costs.get(pitch_class, cost), cost)
                passing -= {pitch_class}
    if not pedal:
        costs[root] = costs.get(root, 0) + ROOT_AGAIN_COST
    return _on_board(costs, passing)


@lru_cache(maxsize=512)
def _pedal_candidates(bass: int, next_bass: int) -> Layer:
    """The pedal, or at its very end a step into the next bass note."""
    steps = {} if next_bass in (-1, bass) else {(next_bass + step) % 12: 0 for step in (1, -1)}
    return _on_board({**steps, bass: 2 if steps else 0})


def _on_board(costs: dict[int, int], passing: frozenset[int] = frozenset()) -> Layer:
    found = []
    for pitch in range(LOW, HIGH + 1):
        if pitch % 12 in costs:
            outside = max(COMFORT_LOW - pitch, pitch - COMFORT_HIGH, 0)
            own = costs[pitch % 12] + outside + abs(pitch - CENTRE) // 4
            found.append((pitch, own, pitch % 12 in passing))
    return Layer(tuple(found))


@lru_cache(maxsize=12)
def _landing(bass: int) -> Layer:
    """The bass note of a chord on its change."""
    return _on_board({bass: 0})


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
