"""Voice-leading sizes, every number twice: as printed here, and by brute force over all assignments of voices.

Definition: D. Tymoczko 2006, "The Geometry of Musical Chords", *Science* 313:72–74, supporting text: the size of a
voice leading under L1 is the sum over voices of the semitones each one moves. Every number is computed from it; none
is printed there but the worked case with doublings. Chords are bare sets of semitones here, so nothing is taken from
the code under test.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from itertools import permutations, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.checks.leading import chord_motion, common_tones, distance, four_tones, minimal_motion
from core.chord import Chord, chord
from core.symbol import parse_symbol

SETS = {
    "7": (0, 4, 7, 10), "m7b5": (0, 3, 6, 10), "m7": (0, 3, 7, 10), "maj7": (0, 4, 7, 11), "dim7": (0, 3, 6, 9),
    "major": (0, 4, 7), "minor": (0, 3, 7), "6": (0, 4, 7, 9), "m6": (0, 3, 7, 9), "mM7": (0, 3, 7, 11),
}  # fmt: skip
ROOTS = {name: index for index, name in enumerate(("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"))}
Norm = Callable[[list[int]], int]
NORMS: dict[str, Norm] = {"L1": sum, "squared L2": lambda moves: sum(move * move for move in moves), "Linf": max}


def on(root: int, name: str) -> tuple[int, ...]:
    return tuple((root + step) % 12 for step in SETS[name])


def apart(one: int, other: int) -> int:
    return min((one - other) % 12, (other - one) % 12)


def smallest(one: tuple[int, ...], other: tuple[int, ...], norm: str = "L1") -> int:
    """Over every way of sending each voice to one voice."""
    return min(NORMS[norm]([apart(a, b) for a, b in zip(one, order, strict=True)]) for order in permutations(other))


def smallest_with_doublings(one: tuple[int, ...], other: tuple[int, ...]) -> int:
    """Over every way of linking the voices so that each note on either side is in some link; notes may be doubled."""
    links = list(product(range(len(one)), range(len(other))))
    full_one, full_other = (1 << len(one)) - 1, (1 << len(other)) - 1

    @cache
    def cheapest(index: int, left: int, right: int) -> int:
        if left == full_one and right == full_other:
            return 0
        if index == len(links):
            return 1000
        a, b = links[index]
        taken = apart(one[a], other[b]) + cheapest(index + 1, left | 1 << a, right | 1 << b)
        return min(taken, cheapest(index + 1, left, right))

    return cheapest(0, 0, 0)


# The second root r = 0 … 11 semitones above the first.
BY_INTERVAL = {
    ("7", "7", "L1"): "0 4 4 2 4 4 2 4 4 2 4 4",
    ("m7b5", "m7b5", "L1"): "0 4 4 2 4 4 2 4 4 2 4 4",
    ("m7", "m7", "L1"): "0 4 4 2 4 4 4 4 4 2 4 4",
    ("maj7", "maj7", "L1"): "0 4 6 4 4 4 4 4 4 4 6 4",
    ("dim7", "dim7", "L1"): "0 4 4 0 4 4 0 4 4 0 4 4",
    ("major", "major", "L1"): "0 3 6 3 2 3 6 3 2 3 6 3",
    ("minor", "minor", "L1"): "0 3 6 3 2 3 6 3 2 3 6 3",
    ("7", "7", "squared L2"): "0 4 6 2 6 6 2 6 6 2 6 4",
    ("7", "7", "Linf"): "0 1 2 1 2 2 1 2 2 1 2 1",
    ("7", "m7", "L1"): "1 3 5 3 3 5 3 3 5 1 3 5",
    ("m7", "7", "L1"): "1 5 3 1 5 3 3 5 3 3 5 3",
    ("7", "maj7", "L1"): "1 5 5 3 5 3 3 5 3 3 5 3",
    ("7", "m7b5", "L1"): "2 2 6 4 2 6 2 2 6 2 2 6",
    ("7", "dim7", "L1"): "3 1 5 3 1 5 3 1 5 3 1 5",
    ("major", "minor", "L1"): "1 2 5 4 1 2 5 4 3 2 5 4",
}


@pytest.mark.parametrize(("one", "other", "norm"), sorted(BY_INTERVAL))
def test_sizes_by_interval(one: str, other: str, norm: str) -> None:
    expected = [int(size) for size in BY_INTERVAL[one, other, norm].split()]
    for first in range(12):
        sizes = [smallest(on(first, one), on(first + rise, other), norm) for rise in range(12)]
        assert sizes == expected
        if norm == "L1":
            assert [minimal_motion(on(first, one), on(first + rise, other)) for rise in range(12)] == expected


@pytest.mark.parametrize(
    ("one", "other"), [pair[:2] for pair in sorted(BY_INTERVAL) if pair[2] == "L1" and len(SETS[pair[0]]) == 4]
)
@pytest.mark.parametrize("fifths", range(-6, 6))
def test_chords_move_as_their_sets_do(one: str, other: str, fifths: int) -> None:
    for rise in range(12):
        first, second = chord(fifths, one), chord(fifths + rise * 7 % 12, other)
        assert four_tones(first) == on(first.root_pc, one)
        assert chord_motion(first, second) == smallest(on(first.root_pc, one), on(first.root_pc + rise, other))


def test_what_is_said_first_of_dominants() -> None:
    seventh = on(0, "7")
    assert [minimal_motion(seventh, on(rise, "7")) for rise in (6, 5, 7, 3, 9)] == [2, 4, 4, 2, 2]
    assert len(set(seventh) & set(on(6, "7"))) == 2  # a tritone apart: two stay and two move a half step


def test_named_relations_of_triads() -> None:
    # Parallel, relative, leading-tone exchange, and the hexatonic pole.
    assert [minimal_motion(on(0, "major"), on(rise, "minor")) for rise in (0, 9, 4, 8)] == [1, 2, 1, 3]


def test_doubling_a_voice_is_another_measure_than_ours() -> None:
    # Worked case of the supporting text, Fig. S12: Cmaj7 to Emaj7 with doublings, 4→3, 4→4, 7→8, 11→11, 0→11.
    first, second = (4, 7, 11, 0), (4, 8, 11, 3)
    worked = [(4, 3), (4, 4), (7, 8), (11, 11), (0, 11)]
    assert sum(apart(a, b) for a, b in worked) == smallest_with_doublings(first, second) == 3
    assert minimal_motion(first, second) == smallest(first, second) == 4


def test_doublings_change_nothing_between_dominants() -> None:
    for rise in range(12):
        pair = on(0, "7"), on(rise, "7")
        assert smallest_with_doublings(*pair) == smallest(*pair)


# Two chords, size, common tones.
NAMED = [
    ("D m7", "G 7", 3, 2), ("G 7", "C maj7", 3, 2), ("Db 7", "C maj7", 3, 1), ("G 7", "C 6", 5, 1), ("Bb 7", "C maj7", 5, 0),
    ("Bb 7", "C 6", 5, 0), ("F m7", "Bb 7", 3, 2), ("D m7", "Db 7", 3, 1), ("D m7b5", "G 7", 2, 2), ("G 7", "C mM7", 4, 2),
    ("G 7", "C m6", 6, 1), ("B dim7", "C 6", 6, 0), ("Db dim7", "D m7", 6, 0), ("Eb dim7", "D m7", 2, 2), ("E m7", "Eb m7", 4, 0),
    ("Db maj7", "C maj7", 4, 1), ("F m6", "C 6", 5, 1), ("Ab 7", "G 7", 4, 0),
]  # fmt: skip


@pytest.mark.parametrize("moved", range(12))
@pytest.mark.parametrize(("one", "other", "size", "common"), NAMED)
def test_named_progressions_in_all_keys(one: str, other: str, size: int, common: int, moved: int) -> None:
    (first, first_name), (second, second_name) = one.split(), other.split()
    low, high = on(ROOTS[first] + moved, first_name), on(ROOTS[second] + moved, second_name)
    assert (smallest(low, high), len(set(low) & set(high))) == (size, common)
    written, after = _read(first + first_name, moved), _read(second + second_name, moved)
    assert (chord_motion(written, after), len(common_tones(written, after))) == (size, common)


def _read(text: str, semitones: int) -> Chord:
    read = parse_symbol(text)
    assert read is not None
    return read.transposed((semitones * 7 + 5) % 12 - 5)


@given(st.integers(0, 11), st.integers(0, 11))
def test_distance_is_the_shorter_way_round(one: int, other: int) -> None:
    assert distance(one, other) == apart(one, other) == distance(other, one) <= 6


@given(st.data(), st.integers(1, 5), st.integers(0, 11))
def test_no_crossing_of_voices_is_ever_smaller(data: st.DataObject, size: int, moved: int) -> None:
    notes = st.lists(st.integers(0, 11), min_size=size, max_size=size).map(tuple)
    one, other = data.draw(notes), data.draw(notes)
    found = minimal_motion(one, other)
    assert found == smallest(one, other)
    assert found == minimal_motion(other, one)
    assert found == minimal_motion(tuple((n + moved) % 12 for n in one), tuple((n + moved) % 12 for n in other))
