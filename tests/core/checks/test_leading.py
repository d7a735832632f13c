"""Voice-leading sizes against computed tables, and the check's findings."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.bar_text import chart_from_bar_text
from core.checks.leading import chord_motion, common_tones, distance, guide_motion, leading_check, minimal_motion
from core.chord import chord
from core.key import parse_key
from core.symbol import parse_symbol

# Bijective minima under the taxicab norm, same or mixed qualities, the second root r = 0…11 semitones up. Norm and
# method: D. Tymoczko 2006, Science 313:72–74, supporting text; numbers by brute force from that definition.
MINIMA = {
    ("7", "7"): "0 4 4 2 4 4 2 4 4 2 4 4", ("m7b5", "m7b5"): "0 4 4 2 4 4 2 4 4 2 4 4", ("m7", "m7"): "0 4 4 2 4 4 4 4 4 2 4 4",
    ("maj7", "maj7"): "0 4 6 4 4 4 4 4 4 4 6 4", ("dim7", "dim7"): "0 4 4 0 4 4 0 4 4 0 4 4", ("7", "m7"): "1 3 5 3 3 5 3 3 5 1 3 5",
    ("m7", "7"): "1 5 3 1 5 3 3 5 3 3 5 3", ("7", "maj7"): "1 5 5 3 5 3 3 5 3 3 5 3", ("7", "m7b5"): "2 2 6 4 2 6 2 2 6 2 2 6",
    ("7", "dim7"): "3 1 5 3 1 5 3 1 5 3 1 5",
}  # fmt: skip


@pytest.mark.parametrize(("one", "other"), sorted(MINIMA))
def test_minimal_motion_of_four_voices(one: str, other: str) -> None:
    sizes = [chord_motion(chord(0, one), chord((rise * 7) % 12, other)) for rise in range(12)]
    assert sizes == [int(size) for size in MINIMA[one, other].split()]


# Named progressions: size and common tones, from the same definition.
NAMED = [
    ("Dm7", "G7", 3, 2), ("G7", "Cmaj7", 3, 2), ("Db7", "Cmaj7", 3, 1), ("G7", "C6", 5, 1), ("Bb7", "Cmaj7", 5, 0),
    ("Bb7", "C6", 5, 0), ("Fm7", "Bb7", 3, 2), ("Dm7", "Db7", 3, 1), ("Dm7b5", "G7", 2, 2), ("G7", "CmM7", 4, 2), ("G7", "Cm6", 6, 1),
    ("Bo7", "C6", 6, 0), ("C#o7", "Dm7", 6, 0), ("Ebo7", "Dm7", 2, 2), ("Em7", "Ebm7", 4, 0), ("Dbmaj7", "Cmaj7", 4, 1),
    ("Fm6", "C6", 5, 1), ("Ab7", "G7", 4, 0),
]  # fmt: skip


@pytest.mark.parametrize(("one", "other", "size", "common"), NAMED)
def test_named_progressions(one: str, other: str, size: int, common: int) -> None:
    first, second = parse_symbol(one), parse_symbol(other)
    assert first is not None
    assert second is not None
    assert chord_motion(first, second) == size
    assert len(common_tones(first, second)) == common


@given(st.lists(st.integers(0, 11), min_size=4, max_size=4), st.lists(st.integers(0, 11), min_size=4, max_size=4))
def test_rotations_reach_the_minimum_over_all_assignments(one: list[int], other: list[int]) -> None:
    brute = min(sum(map(distance, one, order)) for order in permutations(other))
    assert minimal_motion(tuple(one), tuple(other)) == brute


def test_guide_tones_of_a_substitute_resolve_like_those_of_the_dominant() -> None:
    # Dm7–Db7–Cmaj7 has the same guide-tone lines as Dm7–G7–Cmaj7: texts derived from Open Music Theory.
    names = [parse_symbol(text) for text in ("Dm7", "G7", "Db7", "Cmaj7")]
    ii, dominant, substitute, tonic = (name for name in names if name)
    assert guide_motion(ii, dominant) == guide_motion(ii, substitute) == 1
    assert guide_motion(dominant, tonic) == guide_motion(substitute, tonic) == 1


def test_new_parallel_octaves_are_said_and_old_ones_are_not() -> None:
    standard = chart_from_bar_text("| G7 | Cmaj7 |\nm: d8 | c8 |")
    key = parse_key("C major")
    new = chart_from_bar_text("| Dm7 G7 | Cmaj7 |").standard[:2]
    tune = chart_from_bar_text("| G7 | Cmaj7 |\nm: d4 g4 | c8 |").melody
    before, after = parse_symbol("Cmaj7"), standard.standard[1].chord
    check = leading_check(before, new, after, standard.form.bars[1].start, tune, standard.standard[:1], key)
    assert [f.text for f in check.findings if f.verdict == "caution"] == [
        "melody and bass move in parallel octaves"
    ] * 2
    same = leading_check(before, new, after, standard.form.bars[1].start, tune, new, key)
    assert all(f.verdict == "good" for f in same.findings)


def test_numbers_in_the_summary_are_guide_tone_steps() -> None:
    standard = chart_from_bar_text("| Dm7 | G7 | Cmaj7 |").standard
    new = chart_from_bar_text("| Dm7 | Db7 | Cmaj7 |").standard[1:2]
    check = leading_check(
        standard[0].chord, new, standard[2].chord, standard[2].onset, (), standard[1:2], parse_key("C major")
    )
    assert check.summary == "in 1, out 1"
    assert check.verdict == "good"
    assert any(f.text == "the bass goes D, D♭, C" for f in check.findings)
