"""The playhead: an hour of looping ends on its frame."""

from __future__ import annotations

from fractions import Fraction

import pytest

from core.sound.placement import place
from core.sound.playhead import Edge, Playhead
from tests.core.sound.tunes import band, note, timeline

HOUR = 3600 * 48_000


@pytest.mark.parametrize(("bpm", "loop"), [(137.0, (0.0, 1.0)), (93.7, (4.0, 8.0)), (211.3, (1 / 3, 2.0))])
def test_an_hour_of_looping_stays_within_a_frame(bpm, loop):
    head = Playhead(place(timeline(note("piano", 1.0, 60), bpm=bpm, length=16.0)))
    head.set_loop(loop)
    head.go(head.placement.frame(loop[0]))
    exact = (Fraction(loop[1]) - Fraction(loop[0])) * 60 * 48_000 / Fraction(bpm)
    clock = passes = 0
    while clock < HOUR:
        size = head.until_edge()
        head.advance(size)
        clock += size
        if head.cross() is Edge.WRAP:
            passes += 1
            assert abs(clock - passes * exact) < 1
    assert passes > 1000


def test_each_event_of_a_loop_comes_once_a_pass_however_long_the_pass():
    head = Playhead(place(timeline(*(note("tune", k / 3, 60 + k, 0.2) for k in range(24)), bpm=139.1)))
    head.set_loop((0.0, 4.0))
    counts = [0] * 24
    for _ in range(300):
        while True:
            for placed, offset in head.advance(min(960, head.until_edge())):
                counts[placed.event.pitch - 60] += 1
                assert offset >= 0
            if head.cross() is Edge.WRAP:
                break
    assert counts == [300] * 12 + [0] * 12


def test_edges_come_in_order():
    head = Playhead(place(band(1)))
    head.count_in(0.0, 4.0)
    assert head.quarter == pytest.approx(-4.0, abs=1e-4)
    head.advance(head.until_edge())
    assert head.cross() is Edge.START
    head.advance(head.until_edge())
    assert head.cross() is Edge.END


def test_the_same_tempo_places_the_same_frames():
    first, second = place(band(4)), place(band(4))
    assert first == second
    assert first.index_like(second, 70_000) == first.index(70_000)
