"""Song position, start, stop and clock: bytes and times held against the MIDI 1.0 Detailed Specification."""

from __future__ import annotations

from itertools import pairwise

import pytest

from app.player.engine import Snapshot
from app.player.midi_clock import CLOCK, CONTINUE, START, STOP, MidiClock, Stretch, song_position
from app.player.midi_desk import Stretches, place_at
from core.timeline import Timeline

BLOCK = 0.02


def playing(time: float, quarter: float, quarters: float, bpm: float = 120.0, **more) -> Stretch:
    return Stretch(time, quarter, quarter + quarters, bpm, True, **more)


def run(clock: MidiClock, start: float, blocks: int, bpm: float = 120.0, at: float = 100.0):
    """Messages of so many blocks of 20 ms from a quarter note on."""
    size = BLOCK * bpm / 60.0
    return [m for n in range(blocks) for m in clock.messages(playing(at + n * BLOCK, start + n * size, size, bpm))]


@pytest.mark.parametrize(("sixteenths", "data"), [(0, "f20000"), (1, "f20100"), (127, "f27f00"), (128, "f20001"),
                                                  (200, "f24801"), (16383, "f27f7f")])  # fmt: skip
def test_the_song_position_is_two_bytes_of_seven_bits_low_one_first(sixteenths, data):
    # MIDI 1.0 Detailed Specification, System Common Messages: F2 lsb msb, in MIDI beats of six clocks.
    assert song_position(sixteenths).hex() == data


@pytest.mark.parametrize("bpm", [40.0, 120.0, 133.7, 320.0])
def test_there_are_24_clocks_a_quarter_at_even_distances(bpm):
    # MIDI 1.0 Detailed Specification, System Real Time Messages: F8, 24 a quarter note.
    messages = run(MidiClock(), 0.0, 400, bpm)
    clocks = [time for time, message in messages if message == CLOCK]
    assert len(clocks) == pytest.approx(400 * BLOCK * bpm / 60 * 24, abs=1)
    assert all(b - a == pytest.approx(60 / bpm / 24, abs=1e-6) for a, b in pairwise(clocks))
    assert clocks[0] == 100.0


def test_the_beginning_is_started_and_any_other_place_is_continued_from_its_position():
    (time, message), (first, clock) = run(MidiClock(), 0.0, 1)[:2]
    assert (message, clock, first) == (START, CLOCK, 100.0)
    assert time < first
    assert [message for _, message in run(MidiClock(), 8.0, 1)][:3] == [song_position(32), CONTINUE, CLOCK]


def test_off_a_sixteenth_the_instrument_comes_in_at_the_next():
    messages = run(MidiClock(), 4.1, 10)
    assert messages[0][1] == song_position(17)
    # From 4.1 to 4.25 quarters there is no clock: the first one after continue is the sixteenth itself.
    assert messages[2] == (pytest.approx(100.0 + 0.15 * 0.5), CLOCK)


def test_stop_is_told_once_and_a_jump_is_stop_position_continue():
    clock = MidiClock()
    run(clock, 0.0, 5)
    jump = clock.messages(playing(101.0, 12.0, 0.04))
    assert [message for _, message in jump][:3] == [STOP, song_position(48), CONTINUE]
    assert [time for time, _ in jump] == sorted(time for time, _ in jump), "a port sends by time"
    still = Stretch(101.02, 12.04, 12.04, 120.0, False)
    assert clock.messages(still) == [(101.02, STOP)]
    assert clock.messages(still) == []


def test_a_count_in_gives_the_tempo_and_the_first_bar_gives_the_start():
    clock = MidiClock()
    counted = clock.messages(playing(100.0, -0.5, 0.5, counting_in=True))
    assert [message for _, message in counted] == [CLOCK] * 12
    assert clock.messages(playing(100.25, 0.0, 0.1))[0][1] == START


def snapshot(quarter, time, *, on=True, counting=False, loop=None, passes=0, bpm=120.0, lead=2.0):
    tune = Timeline(bpm, 16.0, lead)
    return Snapshot(quarter, time, on, counting, "take", loop, tune, False, passes)


def test_a_block_is_cut_where_the_loop_begins_again():
    first, second = Stretches().of(snapshot(7.9, 10.0, loop=(4.0, 8.0)), snapshot(4.1, 10.1, loop=(4.0, 8.0)))
    assert (first.quarter, first.end) == (7.9, 8.0)
    assert (second.quarter, second.end) == (4.0, 4.1)
    assert second.time == pytest.approx(10.05)


def test_a_block_is_cut_where_the_count_in_ends():
    stretches = Stretches()
    stretches.of(snapshot(2.0, 10.0, counting=True), snapshot(2.1, 10.05, counting=True))
    counted, played = stretches.of(snapshot(3.9, 10.95, counting=True), snapshot(4.1, 11.05))
    assert (counted.counting_in, counted.end) == (True, 4.0)
    assert (played.counting_in, played.quarter) == (False, 4.0)
    assert played.time == pytest.approx(11.0)


def test_the_last_block_ends_with_the_form():
    (last,) = Stretches().of(snapshot(15.9, 10.0), snapshot(16.0, 10.2, on=False))
    assert last.end == 16.0


@pytest.mark.parametrize(
    ("heard", "now", "place"),
    [
        (snapshot(3.0, 10.0), 10.5, 4.0),
        (snapshot(3.0, 10.0, on=False), 10.5, 3.0),
        (snapshot(7.5, 10.0, loop=(4.0, 8.0)), 10.5, 4.5),
        (snapshot(4.1, 10.2, loop=(4.0, 8.0), passes=1), 10.0, 7.7),
    ],
)
def test_a_key_is_placed_where_the_ear_was(heard, now, place):
    assert place_at(heard, now) == pytest.approx(place)
