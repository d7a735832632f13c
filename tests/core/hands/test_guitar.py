"""Grips led over a row: the cheapest of all ways, locks, the tune below or on top."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.chord import chord, in_context
from core.hands.fretboard import Fretboard
from core.hands.grips import Grip, Player, grips_of
from core.hands.guitar import GripError, Plan, between, candidates, grip_from, plan_row
from core.hands.path import cheapest
from core.hands.tones import GUITAR_STYLES, GuitarStyle
from core.row import Slot
from core.symbol import parse_symbol
from core.voicing_sets import kinds_of
from tests.core.hands.hand import can_be_held
from tests.core.hands.rows import BAR, EVERYDAY, row_of, tune


def grips(plan: Plan) -> list[Grip]:
    return [choice.grip for choice in plan.choices if choice is not None]


def price(path: Sequence[Grip]) -> int:
    return sum(grip.cost for grip in path) + sum(between(one, other) for one, other in pairwise(path))


# --- exactness --------------------------------------------------------------------------------------------------


@given(st.lists(st.lists(st.integers(0, 30), min_size=1, max_size=5), min_size=1, max_size=5), st.integers(1, 7))
def test_the_way_through_layers_is_the_cheapest(layers: list[list[int]], factor: int) -> None:
    def leg(one: int, other: int) -> int:
        return factor * abs(one - other) % 11

    chosen, total = cheapest(layers, lambda item: item % 7, leg)
    prices = [sum(item % 7 for item in path) + sum(leg(a, b) for a, b in pairwise(path)) for path in product(*layers)]
    assert total == min(prices)
    assert all(item in layer for item, layer in zip(chosen, layers, strict=True))
    assert prices[list(product(*layers)).index(tuple(item for item in chosen if item is not None))] == total


@pytest.mark.parametrize("text", ["Dm7 G7 Cmaj7", "Am7 D7 Gmaj7", "Bm7b5 E7b9 Am6", "Cmaj7 Eb7 Abmaj7"])
def test_on_a_small_fretboard_the_plan_is_the_best_of_all_there_are(text: str) -> None:
    # Every grip of a four-string neck of seven frets, not only those that the plan keeps.
    player = Player(Fretboard((50, 55, 59, 64), frets=7))
    row = row_of(text)
    played = [in_context(slot.chord) for slot in row if slot.chord is not None]
    everything = [grips_of(item, kind, player) for item, kind in zip(played, kinds_of(played), strict=True) if kind]
    plan = plan_row(row, player)
    assert plan.cost == price(grips(plan)) == min(map(price, product(*everything)))
    assert all(grip in layer for grip, layer in zip(grips(plan), everything, strict=True))


def test_what_is_kept_loses_next_to_nothing_on_a_whole_neck() -> None:
    row = row_of(EVERYDAY)
    played = [in_context(slot.chord) for slot in row if slot.chord is not None]
    everything = [grips_of(item, kind, Player()) for item, kind in zip(played, kinds_of(played), strict=True) if kind]
    _, best = cheapest(everything, lambda grip: grip.cost, between)
    assert plan_row(row).cost <= 1.03 * best


# --- leading --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("style", GUITAR_STYLES)
def test_the_hand_stays_where_it_is_and_the_voices_move_little(style: GuitarStyle) -> None:
    plan = plan_row(row_of(EVERYDAY), Player(style=style))
    shifts = [abs(one.position - other.position) for one, other in pairwise(grips(plan))]
    assert sum(shifts) / len(shifts) <= 2.5
    tops = [abs(one.notes[-1] - other.notes[-1]) for one, other in pairwise(grips(plan))]
    assert sum(tops) / len(tops) <= 3.5
    for choice in plan.choices:
        assert choice is not None
        assert can_be_held(choice.grip.frets)
        assert len(choice.others) >= 1
        assert choice.grip not in choice.others


def test_the_same_row_is_played_the_same_way_and_silence_is_a_gap() -> None:
    assert plan_row(row_of(EVERYDAY)) == plan_row(row_of(EVERYDAY))
    with_gap = plan_row(row_of("Dm7 N.C. G7"))
    assert with_gap.choices[1] is None
    assert grips(with_gap) == grips(plan_row(row_of("Dm7 G7")))
    assert plan_row(()).choices == ()
    assert plan_row(row_of("N.C. N.C.")).choices == (None, None)


@pytest.mark.parametrize("root", range(-6, 6))
@pytest.mark.parametrize("qualities", [("m7", "7", "maj7"), ("m7b5", "7b9", "m6"), ("m9", "13", "maj9")])
def test_a_cadence_moves_little_in_every_key(root: int, qualities: tuple[str, str, str]) -> None:
    # A mean of a whole step a voice in a ii-V-I: a default of ours after the nearest-voicing rule of the trade.
    row = tuple(Slot(BAR * index, BAR, chord(root - index, quality)) for index, quality in enumerate(qualities))
    chosen = grips(plan_row(row))
    moves = [abs(a - b) for one, other in pairwise(chosen) if len(one.notes) == len(other.notes)
             for a, b in zip(one.notes, other.notes, strict=True)]  # fmt: skip
    assert moves
    assert sum(moves) / len(moves) <= 2
    assert max(abs(one.position - other.position) for one, other in pairwise(chosen)) <= 3


# --- locks ------------------------------------------------------------------------------------------------------------


def test_a_locked_grip_stays_and_the_rest_is_planned_around_it() -> None:
    row = row_of("Dm7 G7 Cmaj7")
    free = plan_row(row)
    high = (None, 10, 9, 10, 8, None)
    locked = plan_row(row, locked={1: high})
    assert locked.choices[1] is not None
    assert locked.choices[1].grip.frets == high
    assert locked.choices[1].others == ()
    played = [in_context(slot.chord) for slot in row if slot.chord is not None]
    layers = [candidates(item, kind, Player())[0] for item, kind in zip(played, kinds_of(played), strict=True) if kind]
    layers[1] = (locked.choices[1].grip,)
    assert locked.cost == min(map(price, product(*layers)))
    near = [abs(grip.position - 8) for grip in (grips(locked)[0], grips(locked)[2])]
    before = [abs(grip.position - 8) for grip in (grips(free)[0], grips(free)[2])]
    assert sum(near) < sum(before)


@pytest.mark.parametrize(("frets", "words"), [
    ((1, 5, 9, None, None, None), "cannot be held by one hand"), ((1, 3), "names 2 strings"),
    ((None,) * 6, "no string that sounds"), ((None, 3, 2, 3, 40, None), "leaves the neck"),
])  # fmt: skip
def test_a_lock_that_cannot_be_held_is_one_clear_sentence(frets: tuple[int | None, ...], words: str) -> None:
    with pytest.raises(GripError, match=words) as caught:
        plan_row(row_of("Dm7"), locked={0: frets})
    assert str(caught.value).endswith(".")


def test_a_grip_that_somebody_chose_has_its_degrees_and_says_what_it_lacks() -> None:
    item = parse_symbol("C9")
    assert item is not None
    grip = grip_from(item, (None, 3, 2, 3, 3, None), Player())
    assert [str(degree) for degree in grip.degrees] == ["1", "3", "b7", "9"]
    assert [str(degree) for degree in grip.missing] == ["5"]


# --- the tune ---------------------------------------------------------------------------------------------------------


def test_chord_melody_has_the_tune_on_top_of_every_shape() -> None:
    plan = plan_row(row_of("Dm7 G7 Cmaj7 A7"), Player(bass=False), tune(69, 71, 67, 73), on_top=True)
    assert plan.octave == 0
    assert [grip.notes[-1] for grip in grips(plan)] == [69, 71, 67, 73]
    assert all(len(grip.notes) >= 3 for grip in grips(plan))


def test_a_tune_above_the_neck_is_moved_by_octaves_and_that_is_said() -> None:
    plan = plan_row(row_of("Dm7 G7 Cmaj7 A7"), Player(), tune(89, 91, 88, 85), on_top=True)
    assert plan.octave < 0
    assert [grip.notes[-1] - plan.octave for grip in grips(plan)] == [89, 91, 88, 85]
    assert "lower" in plan.remarks[0]


def test_the_root_of_a_major_seventh_on_top_turns_the_seventh_into_the_sixth() -> None:
    # Common practice; arranging texts in agreement.
    top = grips(plan_row(row_of("Cmaj7"), Player(), tune(72), on_top=True))[0]
    assert top.notes[-1] == 72
    assert 71 not in top.notes
    assert "6" in map(str, top.degrees)


@given(st.lists(st.integers(62, 79), min_size=3, max_size=3))
@settings(max_examples=25, deadline=None)
def test_a_grip_under_a_held_note_is_never_a_semitone_from_it(notes: list[int]) -> None:
    plan = plan_row(row_of("Dm7 G7 Cmaj7"), Player(), tune(*notes))
    for note, choice in zip(notes, plan.choices, strict=True):
        assert choice is not None
        if not any("too low" in remark for remark in choice.remarks):
            assert choice.grip.notes[-1] <= note - 2


def test_a_style_that_no_hand_can_play_falls_back_and_says_so() -> None:
    choice = plan_row(row_of("Cdim7"), Player(style="quartal")).choices[0]
    assert choice is not None
    assert choice.remarks[0] == "No quartal voicing of this chord lies under one hand; another grip is given."
