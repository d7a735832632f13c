"""Swing ratio against tempo, the soloist's place, and the map from written to performed time."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.swing import RIDE_CAP, STRAIGHT, STYLES, Swing, ride_ratio, soloist_delay, swing_of

TEMPI = st.floats(40, 320)


# Friberg and Sundström, Music Perception 19(3), 2002: short note near 100 ms, so (60/bpm - 0.1) / 0.1; 1:1 when fast.
@pytest.mark.parametrize(
    ("bpm", "ratio"), [(180, 2.33), (200, 2.00), (220, 1.73), (240, 1.50), (260, 1.31), (300, 1.00), (320, 1.00)]
)
def test_ride_ratio_falls_with_tempo(bpm: float, ratio: float) -> None:
    assert ride_ratio(bpm) == pytest.approx(ratio, abs=0.1)


@pytest.mark.parametrize("bpm", [60, 80, 100])
def test_slow_tempi_are_triplets(bpm: float) -> None:
    assert ride_ratio(bpm) == 2.0  # a default of ours


@pytest.mark.parametrize("bpm", [120, 140, 160])
def test_medium_tempi_are_capped(bpm: float) -> None:
    assert ride_ratio(bpm) == RIDE_CAP  # a default of ours; measured ratios reach 3.5


def test_a_tempo_ramp_never_jumps() -> None:
    ratios = [ride_ratio(bpm / 2) for bpm in range(80, 641)]
    assert max(abs(a - b) for a, b in pairwise(ratios)) < 0.03


def test_downbeat_delay_is_thirty_milliseconds_at_150_and_shrinks() -> None:
    # Study of downbeat delays in the Weimar Jazz Database, Communications Physics 2022 (from memory which article).
    milliseconds = [soloist_delay(bpm) * 60000 / bpm for bpm in (150, 200, 250, 300)]
    assert milliseconds[0] == pytest.approx(30)
    assert milliseconds == sorted(milliseconds, reverse=True)
    assert milliseconds[-1] == 0


@given(TEMPI)
def test_soloist_swings_less_and_meets_the_cymbal_off_the_beat(bpm: float) -> None:
    # Off-beats synchronous with the cymbal: Friberg and Sundström 2002.
    solo, ride = swing_of("tune", bpm), swing_of("drums", bpm)
    assert solo.place(3.5) == pytest.approx(ride.place(3.5))
    assert solo.place(3.0) >= ride.place(3.0) == 3.0
    assert solo.ratio + 1e-9 >= 1.0
    assert solo.ratio <= ride_ratio(bpm) + 1e-9


@given(TEMPI, st.lists(st.integers(0, 64), min_size=2, max_size=8, unique=True))
def test_order_is_kept(bpm: float, eighths: list[int]) -> None:
    swing = swing_of("tune", bpm)
    placed = [swing.place(eighth / 2) for eighth in sorted(eighths)]
    assert placed == sorted(placed)


def test_even_feels_are_straight() -> None:
    assert swing_of("tune", 132, "straight") == STRAIGHT
    assert [STRAIGHT.place(quarter / 8) for quarter in range(16)] == [quarter / 8 for quarter in range(16)]


def test_written_triplets_stay_triplets() -> None:
    swing = Swing(0.73)
    assert [swing.place(third / 3) for third in range(4)] == pytest.approx([0, 1 / 3, 2 / 3, 1])


def test_beats_are_counted_from_the_anchor() -> None:
    # A pickup of half a beat: bar 1 begins at 0.5, so 0.5 is a beat and 1.0 an off-beat.
    swing = Swing(0.7)
    assert swing.place(0.5, 0.5) == pytest.approx(0.5)
    assert swing.place(1.0, 0.5) == pytest.approx(1.2)
    assert swing.place(0.0, 0.5) == pytest.approx(0.2)


@pytest.mark.parametrize("bpm", [60, 100, 132, 150, 180, 200, 240, 300])
def test_the_rhythm_section_has_the_cymbals_ratio_and_the_soloist_a_lower_one(bpm: float) -> None:
    # Friberg and Sundström 2002 for the cymbal; soloists swing less, Corcoran and Frieler, Music Perception 38(4), 2021.
    for part in ("drums", "bass", "piano"):
        assert swing_of(part, bpm).ratio == pytest.approx(ride_ratio(bpm))
        assert swing_of(part, bpm).delay == 0
    solo = swing_of("tune", bpm)
    assert solo.ratio < ride_ratio(bpm) or ride_ratio(bpm) == 1
    assert solo.ratio <= 2.0


@pytest.mark.parametrize("bpm", [40, 90, 140, 220, 320])
def test_a_shuffle_keeps_the_triplet_at_every_tempo(bpm: float) -> None:
    # Two thirds and one third: common practice, no source.
    assert swing_of("drums", bpm, "triplet").ratio == pytest.approx(2.0)
    assert set(STYLES) == {"cymbal", "triplet", "straight"}


@given(TEMPI, st.sampled_from(sorted(STYLES)))
def test_no_soloist_plays_the_short_eighth_first(bpm: float, style: str) -> None:
    assert swing_of("tune", bpm, style).ratio >= 1.0 - 1e-9
