"""Voicings for two hands: their styles, their reach, the cheapest way through a row, locks, the tune on top."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import combinations, pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.chord import chord, in_context
from core.hands.keyboard import SPAN, WIDE_SPAN, hands_of
from core.hands.piano import HandError, PianoChoice, PianoPlan, PianoPlayer, between, plan_row, why_left_out
from core.pitch import Degree
from core.quality import QUALITIES
from core.row import Slot
from core.symbol import parse_symbol
from core.upper_triads import triads_over
from core.voicing import voice_row
from core.voicing_choice import NOTHING_HELD, candidates
from core.voicing_sets import kinds_of
from core.voicing_shapes import PIANO_STYLES, Shape, VoicingStyle
from tests.core.hands.rows import BAR, EVERYDAY, row_of, tune


def played(plan: PianoPlan) -> list[PianoChoice]:
    return [choice for choice in plan.choices if choice is not None]


# --- the reach of a hand ------------------------------------------------------------------------------------------


def reachable(notes: tuple[int, ...], span: int) -> bool:
    """By brute force: every way of giving each note to a hand, no crossing, five notes and a span each."""
    for owners in product("LR", repeat=len(notes)):
        left = [note for note, owner in zip(notes, owners, strict=True) if owner == "L"]
        right = [note for note, owner in zip(notes, owners, strict=True) if owner == "R"]
        crossing = left and right and max(left) > min(right)
        if not crossing and all(len(hand) <= 5 and (not hand or hand[-1] - hand[0] <= span) for hand in (left, right)):
            return True
    return False


@given(st.sets(st.integers(36, 84), min_size=1, max_size=8), st.sampled_from((SPAN, WIDE_SPAN)))
@settings(max_examples=100)
def test_hands_are_found_where_there_are_any(notes: set[int], span: int) -> None:
    ordered = tuple(sorted(notes))
    hands = hands_of(ordered, span)
    assert (hands is not None) == reachable(ordered, span)
    if hands is not None:
        assert hands.left + hands.right == ordered
        assert all(hand[-1] - hand[0] <= span and len(hand) <= 5 for hand in (hands.left, hands.right) if hand)


def test_what_a_hand_spans() -> None:
    # An octave and a major second, a tenth for a wide hand; C2 to E3 with five notes is what nobody plays.
    # Common practice, no source.
    assert (SPAN, WIDE_SPAN) == (14, 16)
    assert hands_of((36, 43, 46, 48, 52), SPAN, one=True) != ((36, 43, 46, 48, 52), ())
    assert hands_of((36, 52), WIDE_SPAN, one=True) is not None


@pytest.mark.parametrize("style", PIANO_STYLES)
@pytest.mark.parametrize("on_top", [False, True])
def test_every_voicing_of_every_quality_lies_within_two_hands(style: VoicingStyle, on_top: bool) -> None:
    row = tuple(Slot(BAR * index, BAR, chord(index % 12 - 6, name)) for index, name in enumerate(QUALITIES))
    melody = tune(*(66 + index * 5 % 12 for index in range(len(row)))) if on_top else ()
    for choice in played(plan_row(row, PianoPlayer(style), melody, on_top=on_top)):
        hands = (choice.hands.left, choice.hands.right)
        assert hands[0] + hands[1] == choice.shape.notes
        assert all(hand[-1] - hand[0] <= 14 and len(hand) <= 5 for hand in hands if hand)
        if style not in ("shell", "guide tones") and not on_top:
            guides = choice.chord.quality.sounding.guide_degrees or ()
            assert set(guides) - {Degree(1)} <= set(choice.shape.degrees)


# --- styles ----------------------------------------------------------------------------------------------------------

# The third voice from the top of a close position an octave lower; MIDI numbers computed from that rule.
DROP_3 = {"C7 in root position": ((60, 64, 67, 70), (52, 60, 67, 70)), "Cm7": ((60, 63, 67, 70), (51, 60, 67, 70)),
          "C7, third below": ((64, 67, 70, 72), (55, 64, 70, 72))}  # fmt: skip


@pytest.mark.parametrize("name", DROP_3)
def test_drop_three(name: str) -> None:
    close, dropped = DROP_3[name]
    assert tuple(sorted((close[1] - 12, close[0], close[2], close[3]))) == dropped
    text = "Cm7" if "m7" in name else "C7"
    item = parse_symbol(text)
    assert item is not None
    for choice in played(plan_row(row_of(EVERYDAY), PianoPlayer("drop 3"))):
        if len(choice.shape.notes) == 4:
            again = sorted((choice.shape.notes[0] + 12, *choice.shape.notes[1:]))
            assert again[-1] - again[0] < 12
            assert again.index(choice.shape.notes[0] + 12) == 1


# A form: the third below; B form: the seventh below. E. MacDonald, University of Connecticut, jazz piano lesson page;
# registers ours.
FORMS = {"A": [(53, 57, 60, 64), (53, 57, 59, 64), (52, 55, 59, 62)],
         "B": [(60, 64, 65, 69), (59, 64, 65, 69), (59, 62, 64, 67)]}  # fmt: skip


@pytest.mark.parametrize("form", ["A", "B"])
def test_a_row_begins_in_the_form_that_is_asked_for(form: str) -> None:
    plan = plan_row(row_of("Dm9 G13 Cmaj9"), PianoPlayer(form="A" if form == "A" else "B"))
    assert [choice.shape.notes for choice in played(plan)] == FORMS[form]
    # Roots a fourth apart: the forms take turns (a drill-book rule).
    assert [choice.form for choice in played(plan)] == (["A", "B", "A"] if form == "A" else ["B", "A", "B"])


@pytest.mark.parametrize("identifier", QUALITIES)
def test_an_upper_structure_is_a_triad_over_the_guide_tones(identifier: str) -> None:
    for root in (-4, 0, 3):
        choice = played(plan_row((Slot(Fraction(0), BAR, chord(root, identifier)),), PianoPlayer("upper structure")))[0]
        if choice.upper is None:
            continue
        notes, quality = choice.shape.notes, choice.chord.quality.sounding
        guides = quality.guide_degrees
        assert guides is not None
        assert choice.upper.pitch_classes <= {note % 12 for note in notes}
        assert set(guides) - {Degree(1)} <= set(choice.shape.degrees)
        uses = {upper.triad.sound: upper.use for upper in triads_over(choice.chord)}
        assert uses[choice.upper.sound] == "upper structure"
        if identifier != "7alt":
            assert {d for d in quality.degrees if d.alteration and d.number not in (3, 7)} <= set(choice.shape.degrees)


def test_a_plain_dominant_takes_the_two_major_and_a_dominant_in_minor_an_altered_one() -> None:
    # Major triad on the 9 over a substitute: 9 ♯11 13, Lydian ♭7 (M. Levine, The Jazz Piano Book, ch. 14, as quoted).
    substitute = played(plan_row(row_of("Dm7 Db7 Cmaj7"), PianoPlayer("upper structure")))[1]
    assert substitute.upper is not None
    assert substitute.upper.canonical == "Eb"
    minor = played(plan_row(row_of("Dm7b5 G7alt Cm6"), PianoPlayer("upper structure")))[1]
    assert minor.upper is not None
    assert not {"9", "13", "5"} & set(map(str, minor.shape.degrees))


# --- leading ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("style", ["rootless", "drop 2", "quartal", "shell", "spread"])
def test_the_hands_play_what_the_band_plays(style: VoicingStyle) -> None:
    plan = plan_row(row_of(EVERYDAY), PianoPlayer(style, span=24))
    band = voice_row(row_of(EVERYDAY), style=style)
    assert _cost([choice.shape.notes for choice in played(plan)]) <= _cost([v.notes for v in band if v is not None]) + 8


def _cost(notes: Sequence[tuple[int, ...]]) -> int:
    return sum(
        between(Shape(one, (), 0, frozenset()), Shape(other, (), 0, frozenset())) for one, other in pairwise(notes)
    )


def price(path: Sequence[Shape]) -> int:
    return sum(shape.cost for shape in path) + sum(between(one, other) for one, other in pairwise(path))


def test_the_plan_is_the_cheapest_and_goes_round_a_lock() -> None:
    row = row_of("Dm7 Eb7 Abmaj7")
    chords = [in_context(slot.chord) for slot in row if slot.chord is not None]
    layers = [
        candidates(item, kind, NOTHING_HELD).shapes for item, kind in zip(chords, kinds_of(chords), strict=True) if kind
    ]
    assert plan_row(row).cost == min(map(price, product(*layers)))
    fixed = (49, 55, 61, 65)
    locked = plan_row(row, locked={1: fixed})
    assert played(locked)[1].shape.notes == fixed
    assert played(locked)[1].others == ()
    assert locked.cost == min(
        price((one, played(locked)[1].shape, last)) for one, last in product(layers[0], layers[2])
    )


@pytest.mark.parametrize(
    ("notes", "words"), [((), "needs notes"), ((10, 60), "needs notes"), ((36, 52, 68, 84), "out of reach")]
)
def test_a_lock_that_cannot_be_played_is_one_clear_sentence(notes: tuple[int, ...], words: str) -> None:
    with pytest.raises(HandError, match=words) as caught:
        plan_row(row_of("Dm7"), locked={0: notes})
    assert str(caught.value).endswith(".")


def test_a_span_that_no_hand_has_is_one_clear_sentence() -> None:
    with pytest.raises(HandError, match="octave"):
        PianoPlayer(span=40)


def test_silence_and_an_empty_row() -> None:
    assert plan_row(()).choices == ()
    assert plan_row(row_of("N.C. N.C.")).choices == (None, None)
    assert plan_row(row_of("Dm7 N.C. G7")).choices[1] is None


# --- the tune on top --------------------------------------------------------------------------------------------------


@given(root=st.integers(-6, 5), identifier=st.sampled_from(sorted(QUALITIES)), top=st.integers(62, 81),
       style=st.sampled_from(PIANO_STYLES))  # fmt: skip
@settings(max_examples=150, deadline=None)
def test_the_tune_is_the_highest_note_and_nothing_rubs_below_it(
    root: int, identifier: str, top: int, style: VoicingStyle
) -> None:
    plan = plan_row((Slot(Fraction(0), BAR, chord(root, identifier)),), PianoPlayer(style), tune(top), on_top=True)
    choice = played(plan)[0]
    if not choice.remarks:
        assert choice.shape.notes[-1] == top
        assert top - 1 not in choice.shape.notes
    for low, high in combinations(choice.shape.notes[:-1], 2):
        assert high - low != 13 or choice.chord.quality.family == "dominant"


def test_four_way_close_and_drop_two_under_a_tune() -> None:
    # Block chords: the chord in close position under the tune, or its second voice dropped. Common practice, no source.
    close = played(plan_row(row_of("Cmaj7"), PianoPlayer(), tune(76), on_top=True))[0].shape.notes
    assert close[-1] == 76
    assert close[-1] - close[0] < 12
    opened = played(plan_row(row_of("Cmaj7"), PianoPlayer("drop 2"), tune(76), on_top=True))[0].shape.notes
    assert opened[-1] == 76
    assert 12 < opened[-1] - opened[0] < 24
    sixth = played(plan_row(row_of("Cmaj7"), PianoPlayer(), tune(72), on_top=True))[0]
    assert "6" in map(str, sixth.shape.degrees)
    assert 71 not in sixth.shape.notes


def test_what_is_left_out_is_said() -> None:
    choice = played(plan_row(row_of("C13")))[0]
    assert why_left_out(choice.chord, choice.missing) == "Left out: 1, which the bass has; 5, which adds least."
    assert why_left_out(choice.chord, ()) == ""
