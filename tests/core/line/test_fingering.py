"""A line on the fretboard: the planner against every possible way, what a hand can do, fixed notes, other tunings.

Source of one finger a fret and the reach of one fret beyond: common practice, no source.
"""

from __future__ import annotations

import random
from fractions import Fraction
from itertools import pairwise, product

import pytest

from core.hands.fretboard import TUNINGS, Fretboard
from core.line.fingering import Fingering, Touch, finger_line, move_cost, positions, touch_cost, touches_of
from core.line.limits import GAP
from core.line.solo import LineError, LineNote
from core.pitch import pitch_from_midi
from tests.core.line.hand import marked_lines

GUITAR = Fretboard(TUNINGS["standard"])


def line(*notes: int, rest_after: int = -1) -> tuple[LineNote, ...]:
    made, at = [], Fraction(0)
    for index, midi in enumerate(notes):
        made.append(LineNote(at, Fraction(1, 2), pitch_from_midi(midi), at))
        at += Fraction(1, 2) + (2 if index == rest_after else 0)
    return tuple(made)


def total(notes: tuple[LineNote, ...], touches: tuple[Touch, ...]) -> float:
    cost = sum(map(touch_cost, touches))
    for index, (one, other) in enumerate(pairwise(touches), 1):
        cost += move_cost(one, other, notes[index].onset - notes[index - 1].end >= GAP)
    return cost


def sounds(notes: tuple[LineNote, ...], fingering: Fingering, board: Fretboard) -> None:
    """Checked by itself: the touches sound the notes, and every finger lies where the hand can put it."""
    strings = board.strings[::-1]
    for note, touch in zip(notes, fingering.touches, strict=True):
        assert strings[touch.string - 1] + board.capo + touch.fret == note.pitch.midi
        assert 0 <= touch.fret <= board.frets - board.capo
        if touch.fret:
            reach = touch.fret - touch.position
            assert 1 <= touch.finger <= 4
            assert reach in {touch.finger - 1} | {1: {-1}, 4: {4}}.get(touch.finger, set())
        else:
            assert touch.finger == 0


def test_the_planner_is_as_good_as_trying_every_way() -> None:
    chance = random.Random(7)
    small = Fretboard((50, 55, 59), 7)
    for _ in range(12):
        notes = line(*(chance.randint(53, 63) for _ in range(3)), rest_after=chance.choice((-1, 0, 1)))
        ways = product(*(touches_of(note.pitch.midi, small) for note in notes))
        best = min(total(notes, way) for way in ways)
        assert finger_line(notes, small).cost == pytest.approx(best)


@pytest.mark.parametrize("tuning", ["standard", "all fourths", "seven strings"])
def test_every_line_of_ours_can_be_played_and_mostly_stays_in_place(tuning: str) -> None:
    board = Fretboard(TUNINGS[tuning])
    notes = shifts = 0
    for marked in marked_lines():
        played = tuple(LineNote(n.onset, n.duration, n.pitch, n.onset) for n in marked.chart.melody)
        fingering = finger_line(played, board)
        sounds(played, fingering, board)
        assert fingering.cost == pytest.approx(total(played, fingering.touches))
        stretches = positions(fingering)
        assert [first for first, _, _ in stretches][1:] == list(fingering.shifts)
        assert stretches[-1][1] == len(played) - 1
        notes, shifts = notes + len(played), shifts + len(fingering.shifts)
    assert shifts * 6 < notes


def test_a_scale_stays_in_position_and_the_hand_moves_over_the_rest() -> None:
    fingering = finger_line(line(57, 59, 60, 62, 64, 65, 67, 69), GUITAR)
    assert fingering.shifts == ()
    far = finger_line(line(57, 60, 64, 79, 81, 83, rest_after=2), GUITAR)
    assert far.shifts == (3,)


def test_a_fixed_note_is_kept_and_the_rest_follows() -> None:
    notes = line(64, 65, 67, 69, 71)
    free = finger_line(notes, GUITAR)
    kept = finger_line(notes, GUITAR, {2: (3, 12)})
    sounds(notes, kept, GUITAR)
    assert (kept.touches[2].string, kept.touches[2].fret) == (3, 12)
    assert kept.cost >= free.cost
    assert all(touch.position >= 8 for touch in kept.touches)


def test_notes_that_are_not_there_are_sentences() -> None:
    with pytest.raises(LineError, match="lies outside this fretboard"):
        finger_line(line(30), GUITAR)
    with pytest.raises(LineError, match=r"is not on string 1 at fret 9; it lies at 1:0, 2:5"):
        finger_line(line(64), GUITAR, {0: (1, 9)})
