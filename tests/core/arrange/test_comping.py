"""The piano's rhythm and what it sounds."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest

from core.arrange import arrange
from core.arrange.comping import CompAttack, rhythm
from core.arrange.grid import TICKS, TickRow, grid_of
from core.chart import Chart, Melody
from core.chord import in_context
from core.feel import choose_feel
from core.pitch import Degree
from core.row import slot_index
from core.timeline import NoteEvent
from tests.core.arrange.charts import ONE_A_BAR, ONE_SUBSTITUTED, TWO_A_BAR, TWO_SUBSTITUTED, chart, tune

SEEDS = range(1, 9)
PAIRS = [(ONE_A_BAR, ONE_SUBSTITUTED), (TWO_A_BAR, TWO_SUBSTITUTED)]
BAR = 4 * TICKS


def attacks_of(built: Chart, seed: int = 1) -> tuple[CompAttack, ...]:
    rows = [TickRow(built.standard), *(TickRow(take.row) for take in built.takes)]
    changes = tuple(sorted(set().union(*(row.changes() for row in rows))))
    feel = choose_feel(built.feel, built.meter)
    return rhythm(grid_of(built.form), feel, changes, built.melody, float(built.tempo), seed)


@pytest.mark.parametrize(("standard", "take"), PAIRS)
def test_a_third_of_the_attacks_anticipate(standard: str, take: str) -> None:
    # 20 to 50 percent is a default of ours; common practice, no source.
    for seed in SEEDS:
        attacks = attacks_of(chart(standard, take), seed)
        share = sum(attack.anticipates for attack in attacks) / len(attacks)
        assert 0.2 <= share <= 0.5


@pytest.mark.parametrize("feel", ["swing", "ballad", "bossa", "even"])
@pytest.mark.parametrize(
    "text", [ONE_A_BAR, TWO_A_BAR, "Dm7 | Dm7 | Dm7 | Dm7 | G7 | G7 | G7 | G7", "C7 F7 Bb7 Eb7 | " * 7 + "C7"]
)
def test_no_bar_has_the_same_rhythm_more_than_twice_running(text: str, feel: str) -> None:
    for seed in SEEDS:
        built = chart(text, feel=feel)
        shapes: list[tuple[int, ...]] = [() for _ in built.form.bars]
        for attack in attacks_of(built, seed):
            shapes[attack.tick // BAR] += (attack.tick % BAR,)
        for three in zip(shapes, shapes[1:], shapes[2:], strict=False):
            assert len(set(three)) > 1


@pytest.mark.parametrize(("standard", "take"), PAIRS)
@pytest.mark.parametrize("feel", ["swing", "ballad", "bossa", "even"])
def test_every_chord_of_either_row_is_heard(standard: str, take: str, feel: str) -> None:
    for seed in SEEDS:
        built = chart(standard, take, feel=feel)
        attacks = attacks_of(built, seed)
        for row in (TickRow(built.standard), TickRow(built.takes[0].row)):
            heard = {row.index_at(attack.sounds_at) for attack in attacks}
            assert heard == set(range(len(row.starts)))


def test_an_anticipation_sounds_the_next_chord() -> None:
    built = chart(ONE_A_BAR)
    pushes = [attack for attack in attacks_of(built) if attack.anticipates]
    assert pushes
    for attack in pushes:
        assert attack.sounds_at - attack.tick == TICKS // 2
        assert attack.sounds_at in TickRow(built.standard).changes()
        assert attack.tick % TICKS == TICKS // 2


def test_medium_swing_leaves_room() -> None:
    # One to two attacks a bar at medium tempo, half to one and a bit in a ballad: defaults of ours.
    for seed in SEEDS:
        assert 1 <= len(attacks_of(chart(ONE_A_BAR), seed)) / 16 <= 2
        assert 0.5 <= len(attacks_of(chart(ONE_A_BAR, feel="ballad", tempo=60), seed)) / 16 <= 1.4
        assert 0.75 <= len(attacks_of(chart(ONE_A_BAR, tempo=240), seed)) / 16 <= 1.5


def test_no_attack_sounds_over_the_next_change() -> None:
    built = chart(TWO_A_BAR, TWO_SUBSTITUTED)
    changes = TickRow(built.standard).changes() | TickRow(built.takes[0].row).changes()
    attacks = attacks_of(built)
    for attack, after in pairwise(attacks):
        end = attack.tick + attack.duration
        assert end <= after.tick
        assert not [change for change in changes if attack.sounds_at < change < end]


def running() -> Melody:
    return tune(*((str(Fraction(eighth, 2)), "1/2", 72 + eighth % 5) for eighth in range(64)))


def holding() -> Melody:
    return tune(*((str(4 * bar), "4", 72 + bar % 5) for bar in range(8)))


def test_the_piano_plays_more_where_the_tune_holds_than_where_it_runs() -> None:
    text = " | ".join(ONE_A_BAR.split(" | ")[:8])
    counts = [sum(len(attacks_of(chart(text, melody=melody), seed)) for seed in SEEDS)
              for melody in (running(), holding())]  # fmt: skip
    assert counts[1] > 1.3 * counts[0]


def chords_struck(events: list[NoteEvent]) -> dict[float, set[int]]:
    struck: dict[float, set[int]] = {}
    for event in events:
        struck.setdefault(event.onset, set()).add(event.pitch)
    return struck


@pytest.mark.parametrize(("standard", "take"), PAIRS)
def test_every_comped_chord_has_third_seventh_and_what_is_written(standard: str, take: str) -> None:
    built = chart(standard, take)
    attacks = attacks_of(built)
    events = arrange(built, "sub").events
    for side, row in (("standard", built.standard), ("take", built.takes[0].row)):
        struck = chords_struck([event for event in events if event.part == "piano" and event.side == side])
        assert len(struck) == len(attacks)
        for attack, pitches in zip(attacks, struck.values(), strict=True):
            written = row[slot_index(row, Fraction(attack.sounds_at, TICKS))].chord
            assert written is not None
            played = in_context(written)
            held = {(pitch - played.root_pc) % 12 for pitch in pitches}
            guides = played.quality.guide_degrees
            assert guides is not None
            needed = {degree for degree in guides if degree != Degree(1)}
            needed |= {degree for degree in played.quality.degrees if degree.alteration and degree.number not in (3, 7)}
            assert {degree.semitones % 12 for degree in needed} <= held


def test_silence_is_left_silent() -> None:
    events = arrange(chart("Dm7 | N.C. | G7 | Cmaj7"), None).events
    assert not [event for event in events if event.part == "piano" and 4 <= event.onset < 7.4]


def test_more_voices_are_not_louder() -> None:
    # The sampler's velocity is a square law of gain, so energy goes with its fourth power.
    loud = []
    for symbol in ("C", "C7", "C13(b9,#11)"):
        events = [event for event in arrange(chart(symbol), None).events if event.part == "piano"]
        first = [event.velocity**4 for event in events if event.onset == events[0].onset]
        loud.append(sum(first))
    assert max(loud) / min(loud) < 10**0.1
