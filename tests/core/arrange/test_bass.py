"""The bass line: roots on changes, approaches, range, steps."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.arrange import arrange, arrange_rows
from core.arrange.bass_line import HIGH, LOW
from core.arrange.settings import Settings
from core.chord import Chord, in_context
from core.quality import QUALITIES
from core.row import Slot, slot_index
from core.timeline import NoteEvent
from tests.core.arrange.charts import ONE_A_BAR, ONE_SUBSTITUTED, TWO_A_BAR, TWO_SUBSTITUTED, chart

SEEDS = range(1, 6)


def line(text: str, seed: int = 1, **how: str) -> list[NoteEvent]:
    built = chart(text, **how)  # type: ignore[arg-type]
    return [event for event in arrange(built, None, settings=Settings(seed=seed)).events if event.part == "bass"]


def at(events: list[NoteEvent], onset: float) -> int:
    return next(event.pitch for event in events if abs(event.onset - onset) < 1e-6)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("text", [ONE_A_BAR, ONE_SUBSTITUTED, TWO_A_BAR, TWO_SUBSTITUTED])
def test_every_change_has_its_bass_note(text: str, seed: int) -> None:
    events = line(text, seed)
    for slot in chart(text).standard:
        assert slot.chord is not None
        assert at(events, float(slot.onset)) % 12 == slot.chord.bass_pc


@pytest.mark.parametrize("feel", ["swing", "ballad", "bossa", "even"])
def test_slash_basses_are_obeyed(feel: str) -> None:
    text = "C/E | F/G | Dm7/G G7 | Ab7/C"
    events = line(text, feel=feel)
    assert [at(events, onset) % 12 for onset in (0, 4, 8, 10, 12)] == [4, 7, 7, 7, 0]


@pytest.mark.parametrize("text", [ONE_A_BAR, ONE_SUBSTITUTED, TWO_A_BAR, TWO_SUBSTITUTED])
def test_the_beat_before_a_change_approaches_it(text: str) -> None:
    # Approach on the last beat by half or whole step: bass methods in agreement; the share is a default of ours.
    near = total = 0
    row = chart(text).standard
    for seed in SEEDS:
        events = line(text, seed)
        for slot in row[1:]:
            total += 1
            near += abs(at(events, float(slot.onset)) - at(events, float(slot.onset) - 1)) <= 2
    assert near / total >= 0.7


@pytest.mark.parametrize("text", [ONE_A_BAR, ONE_SUBSTITUTED, TWO_A_BAR])
def test_the_line_walks(text: str) -> None:
    for seed in SEEDS:
        moves = [abs(a.pitch - b.pitch) for a, b in pairwise(line(text, seed))]
        assert sum(1 <= move <= 2 for move in moves) > len(moves) / 2
        assert max(moves) <= 12
        assert sum(move == 0 for move in moves) <= len(moves) / 20


def test_strong_beats_have_chord_tones() -> None:
    for seed in SEEDS:
        events = line(ONE_A_BAR, seed)
        for slot in chart(ONE_A_BAR).standard:
            assert slot.chord is not None
            assert at(events, float(slot.onset) + 2) % 12 in slot.chord.pitch_classes


def test_chromatic_notes_only_right_before_a_change() -> None:
    # "Chromatic notes on weak beats only": bass methods in agreement.
    for seed in SEEDS:
        events = line("Dm7 | G7 | Cmaj7 | Cmaj7", seed)
        assert at(events, 1) % 12 in {2, 4, 5, 7, 9, 0, 11}
        assert at(events, 9) % 12 in {0, 2, 4, 7, 9, 11}


def test_chords_of_one_beat_have_their_roots() -> None:
    events = line("Dm7 Ebm7 Em7 A7 | Dm7")
    assert [at(events, beat) % 12 for beat in range(5)] == [2, 3, 4, 9, 2]


def test_a_pushed_change_is_met_where_it_stands() -> None:
    first, second = (slot.chord for slot in chart("Dm7 | G7").standard)
    row = (Slot(Fraction(0), Fraction(7, 2), first), Slot(Fraction(7, 2), Fraction(9, 2), second))
    built = chart("Dm7 | G7")
    events = [
        event for event in arrange_rows(built, row, None, settings=Settings(feel="even")).events if event.part == "bass"
    ]
    assert at(events, 3.5) % 12 == 7


def test_silence_has_no_bass() -> None:
    events = line("Dm7 | N.C. | G7 | G7")
    assert not [event for event in events if 4 <= event.onset < 8]
    assert at(events, 8) % 12 == 7


def test_a_ballad_walks_in_two() -> None:
    events = line(ONE_A_BAR, feel="ballad")
    assert len(events) / 16 < 3


chords = st.builds(
    lambda root, quality: Chord(root, QUALITIES[quality]), st.integers(-6, 5), st.sampled_from(sorted(QUALITIES))
)


@settings(max_examples=40, deadline=None)
@given(st.lists(chords, min_size=4, max_size=8), st.integers(1, 50))
def test_any_row_stays_on_the_fingerboard_and_on_its_roots(items: list[Chord], seed: int) -> None:
    row = tuple(Slot(Fraction(2 * index), Fraction(2), item) for index, item in enumerate(items + items))
    built = chart(" | ".join(["Dm7"] * len(items)))
    events = [
        event for event in arrange_rows(built, row, None, settings=Settings(seed=seed)).events if event.part == "bass"
    ]
    assert all(LOW <= event.pitch <= HIGH for event in events)
    for event in events:
        slot = row[slot_index(row, Fraction(round(event.onset * 2), 2))]
        assert slot.chord is not None
        if event.onset == float(slot.onset) and slot.chord != row[max(0, row.index(slot) - 1)].chord:
            assert event.pitch % 12 == in_context(slot.chord).bass_pc


def test_a_bossa_has_root_and_fifth() -> None:
    # Root on 1, fifth before and on 3: common practice, no source.
    for seed in SEEDS:
        events = line(ONE_A_BAR, seed, feel="bossa")
        for slot in chart(ONE_A_BAR).standard:
            assert slot.chord is not None
            onset = float(slot.onset)
            assert [(at(events, onset + beat) - slot.chord.root_pc) % 12 for beat in (0, 2)] == [0, 7]
