"""The two guide-tone threads."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.chord import Chord, chord, guide_tones
from core.guide_line import BAND, guide_threads
from core.pitch import chromatic
from core.quality import QUALITIES
from core.row import Row, Slot
from core.symbol import parse_symbol


def row_of(*chords: Chord | None) -> Row:
    return tuple(Slot(Fraction(4 * index), Fraction(4), item) for index, item in enumerate(chords))


def threads(text: str) -> list[list[tuple[int, str]] | None]:
    row = row_of(*(parse_symbol(symbol) for symbol in text.split()))
    return [None if pair is None else [(node.midi, str(node.degree)) for node in pair] for pair in guide_threads(row)]


def test_third_and_seventh_swap_at_each_fifth() -> None:
    # Open Music Theory and others: in ii-V-I the third becomes the seventh, the seventh falls to the third.
    assert threads("Dm7 G7 Cmaj7") == [
        [(60, "b7"), (65, "b3")],
        [(59, "3"), (65, "b7")],
        [(59, "7"), (64, "3")],
    ]


def test_the_tritone_substitute_draws_the_same_lines() -> None:
    # Computed: the two dominants share the tritone F-B.
    plain, substitute = threads("Dm7 G7 Cmaj7"), threads("Dm7 Db7 Cmaj7")
    assert [[midi for midi, _ in pair or ()] for pair in plain] == [
        [midi for midi, _ in pair or ()] for pair in substitute
    ]
    assert substitute[1] == [(59, "b7"), (65, "3")]


@pytest.mark.parametrize("root", range(-6, 6))
def test_a_cycle_of_dominants_falls_by_semitones(root: int) -> None:
    # V7 of V7: both guide tones fall a semitone at every fifth. Common practice, no source.
    pairs = guide_threads(row_of(*(chord(root - step, "7") for step in range(6))))
    for old, new in pairwise(pairs):
        assert old is not None
        assert new is not None
        assert [after.midi - before.midi for before, after in zip(old, new, strict=True)] == [-1, -1]
        assert {str(node.degree) for node in new} == {"3", "b7"}


@pytest.mark.parametrize(
    ("symbol", "degrees"),
    [("C6", {"3", "6"}), ("C9sus", {"4", "b7"}), ("Cm", {"1", "b3"}), ("F/G", {"4", "b7"}), ("C5", {"1", "5"}),
     ("Cdim", {"b3", "bb7"}), ("Cm7b5", {"b3", "b7"})],
)  # fmt: skip
def test_what_stands_for_third_and_seventh(symbol: str, degrees: set[str]) -> None:
    pair = threads(symbol)[0]
    assert pair is not None
    assert {degree for _, degree in pair} == degrees


def test_a_suspension_resolves_in_one_thread() -> None:
    sus, dominant = threads("G7sus G7")
    assert sus is not None
    assert dominant is not None
    moving = [(a, b) for a, b in zip(sus, dominant, strict=True) if a != b]
    assert moving == [((60, "4"), (59, "3"))]


def test_silence_is_a_gap_that_the_threads_cross() -> None:
    assert threads("Dm7 N.C. G7") == [threads("Dm7 G7")[0], None, threads("Dm7 G7")[1]]
    assert guide_threads(()) == ()
    assert guide_threads(row_of(None)) == (None,)


def test_spelling_is_the_chords_own() -> None:
    pair = guide_threads(row_of(parse_symbol("Fb7")))[0]
    assert pair is not None
    assert {node.fifths for node in pair} == {-8 + 4, -8 - 2}


chords = st.builds(chord, st.integers(-6, 5), st.sampled_from(sorted(QUALITIES)))


@settings(max_examples=120, deadline=None)
@given(st.lists(st.one_of(chords, st.none()), max_size=16))
def test_threads_stay_in_their_band_uncrossed_and_true(items: list[Chord | None]) -> None:
    row = row_of(*items)
    pairs = guide_threads(row)
    assert pairs == guide_threads(row)
    assert len(pairs) == len(row)
    for slot, pair in zip(row, pairs, strict=True):
        assert (pair is None) == (slot.chord is None)
        if pair is None or slot.chord is None:
            continue
        low, high = pair
        assert BAND[0] <= low.midi < high.midi <= BAND[1]
        assert all(chromatic(node.fifths) == node.midi % 12 for node in pair)
        tones = guide_tones(slot.chord)
        if tones:
            assert {(node.fifths, node.degree) for node in pair} == set(tones)


@settings(max_examples=100, deadline=None)
@given(chords, chords)
def test_each_step_is_the_nearest_the_two_voices_can_make(first: Chord, second: Chord) -> None:
    # No voice moves more than the eight semitones that the worst pair of chords needs with uncrossed voices.
    one, other = guide_threads(row_of(first, second))
    assert one is not None
    assert other is not None
    assert all(abs(a.midi - b.midi) <= 8 for a, b in zip(one, other, strict=True))
