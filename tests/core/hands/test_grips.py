"""Grips found by search: every one can be held, none is forgotten, and they hold the tones that make the chord."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21.tablature import GuitarFretBoard

from core.chord import Chord, chord, in_context
from core.hands.fingers import fingering
from core.hands.fretboard import TUNINGS, Fretboard, FretboardError, Limits, parse_tuning
from core.hands.grips import Grip, Player, grips_of
from core.hands.guitar import plan_row
from core.hands.tones import GUITAR_STYLES, GuitarStyle, why_left_out
from core.pitch import Degree
from core.quality import QUALITIES
from core.row import Row, Slot
from core.symbol import parse_symbol
from core.voicing_sets import kind_of
from core.voicing_shapes import LOW_INTERVAL_LIMITS
from tests.core.hands.hand import can_be_held, is_possible

BAR = Fraction(4)


def symbol(text: str) -> Chord:
    found = parse_symbol(text)
    assert found is not None
    return in_context(found)


def found(text: str, player: Player | None = None, top: int | None = None) -> tuple[Grip, ...]:
    item = symbol(text)
    return grips_of(item, kind_of(item, None, None), player or Player(), top)


def texts(grips: tuple[Grip, ...]) -> set[str]:
    return {grip.text for grip in grips}


def assert_held(grip: Grip, capo: int = 0) -> None:
    assert can_be_held(grip.frets, capo), grip.text
    pressed = {string: finger for string, finger in enumerate(grip.fingers) if finger}
    assert is_possible(grip.frets, pressed, capo), (grip.text, grip.fingers)


# --- the hand -------------------------------------------------------------------------------------------------------


@given(st.integers(0, 11**6 - 1), st.sampled_from((0, 3)))
@settings(max_examples=150, deadline=None)
def test_the_hand_agrees_with_brute_force(number: int, capo: int) -> None:
    # Each digit is a string: silent, open, or a fret up to 9.
    digits = [number // 11**place % 11 for place in range(6)]
    grip = tuple(None if digit == 10 else digit for digit in digits)
    sounding = [string for string, fret in enumerate(grip) if fret is not None]
    muted = sum(fret is None for fret in grip[sounding[0] : sounding[-1] + 1]) if sounding else 0
    held = fingering(grip, Limits(), capo) if muted <= 1 else None
    if muted <= 1:
        assert (held is not None) == can_be_held(grip, capo)
    if held is not None:
        assert is_possible(grip, {string: finger for string, finger in enumerate(held[0]) if finger}, capo)


# Shapes every method book prints, with their usual fingers: common practice, no source.
USUAL = {"3 x 3 4 3 x": ("1 x 2 4 3 x", "1 x 2 3 2 x", "2 x 3 4 1 x"), "x 3 2 3 x x": ("x 2 1 3 x x",),
         "x 5 7 5 6 x": ("x 1 3 1 2 x",), "x 3 4 3 4 x": ("x 1 3 2 4 x", "x 1 2 1 3 x"),
         "3 5 3 4 3 3": ("1 3 1 2 1 1",), "x 3 5 5 5 x": ("x 1 3 3 3 x",), "x 3 2 4 1 x": ("x 3 2 4 1 x",)}  # fmt: skip


@pytest.mark.parametrize("text", USUAL)
def test_usual_shapes_have_their_usual_fingers(text: str) -> None:
    frets = tuple(None if word == "x" else int(word) for word in text.split())
    held = fingering(frets, Limits())
    assert held is not None
    assert can_be_held(frets)
    assert " ".join("x" if finger is None else str(finger) for finger in held[0]) in USUAL[text]


@pytest.mark.parametrize("frets", [
    (1, 5, None, None, None, None), (1, 2, 3, 4, 5, 6), (3, 2, 1, 2, 3, 1), (6, 5, 6, 0, 6, 5), (8, 12, 8, 13, None, None),
], ids=str)  # fmt: skip
def test_what_no_hand_holds_is_refused(frets: tuple[int | None, ...]) -> None:
    assert fingering(frets, Limits()) is None
    assert not can_be_held(frets)


# --- what a player distrusts (unplayable guitar) ---------------------------------------------------------------------


@pytest.mark.parametrize("style", GUITAR_STYLES)
@pytest.mark.parametrize("bass", [True, False])
def test_every_grip_of_every_quality_can_be_played(style: GuitarStyle, bass: bool) -> None:
    for number, identifier in enumerate(QUALITIES):
        item = chord(number % 12 - 6, identifier)
        # Every sixth row in each style, all rows between the styles; python -m tests.tools.all_grips tries all of all.
        if (number + GUITAR_STYLES.index(style)) % 6:
            continue
        for grip in grips_of(item, kind_of(item, None, None), Player(style=style, bass=bass)):
            assert_held(grip)
            pressed = [fret for fret in grip.frets if fret]
            assert max(pressed, default=0) - min(pressed, default=0) < (5 if min(pressed, default=0) > 7 else 4)
            assert len({finger for finger in grip.fingers if finger}) <= 4
            assert len(grip.notes) == sum(fret is not None for fret in grip.frets)


def test_a_close_major_seventh_is_not_offered_where_nobody_can_hold_it() -> None:
    # C E G B stacked from C3 lies on frets 8 7 5 4 of the four lowest strings: two fingers too far apart.
    assert (48, 52, 55, 59) not in {grip.notes for grip in found("Cmaj7", Player(bass=False)) if 0 not in grip.frets}


def test_the_thirteenth_chord_of_every_method_is_found_and_says_what_it_leaves_out() -> None:
    # 8 x 8 9 10 x = C B♭ E A, 5 and 9 dropped: a players' forum; common practice.
    grip = next(grip for grip in found("C13", Player(bass=False)) if grip.text == "8 x 8 9 10 x")
    assert [str(degree) for degree in grip.degrees] == ["1", "b7", "3", "13"]
    assert why_left_out(symbol("C13"), grip.missing, grip.given_up, False) == (
        "Left out: 5, which adds least; 9, for which a higher tension stands."
    )
    without = next(grip for grip in found("C13") if "1" not in map(str, grip.degrees))
    assert "1, which the bass has" in why_left_out(symbol("C13"), without.missing, without.given_up, True)


# --- tones --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("identifier", QUALITIES)
def test_third_seventh_and_alterations_are_there(identifier: str) -> None:
    quality = QUALITIES[identifier].sounding
    for root in (-5, 0, 4):
        item = chord(root, identifier)
        grips = grips_of(item, kind_of(item, None, None), Player())
        assert len(grips) >= 5
        for grip in grips:
            held = set(grip.degrees)
            assert not grip.given_up
            if quality.guide_degrees is not None:
                assert set(quality.guide_degrees) - {Degree(1)} <= held
            if identifier == "7alt":
                assert held & {Degree(9, -1), Degree(9, 1)}
                assert held & {Degree(11, 1), Degree(13, -1)}
            else:
                assert {d for d in quality.degrees if d.alteration and d.number not in (3, 7)} <= held
            for note, degree in zip(grip.notes, grip.degrees, strict=True):
                assert (item.root_pc + degree.semitones) % 12 == note % 12
            assert_sounds(grip, item)


def assert_sounds(grip: Grip, item: Chord) -> None:
    """Low interval limits (Sweetwater's glossary) and no minor ninth but a root's under the ♭9 of a dominant."""
    for low, high in combinations(grip.notes, 2):
        if high - low == 13:
            assert (item.quality.family, low % 12) == ("dominant", item.root_pc)
    for low, high in zip(grip.notes, grip.notes[1:], strict=False):
        assert low >= LOW_INTERVAL_LIMITS.get(high - low, 0)


@pytest.mark.parametrize("text", ["Cmaj7", "Eb7", "F#m7b5", "C/E", "Cm7/Bb", "G7b9"])
def test_without_a_bass_player_the_chords_own_bass_lies_lowest(text: str) -> None:
    grips = found(text, Player(bass=False))
    assert grips
    assert {grip.notes[0] % 12 for grip in grips} == {symbol(text).bass_pc}


# The second (third) voice from the top an octave lower; MIDI numbers computed from that rule.
@pytest.mark.parametrize(("text", "style", "notes"), [
    ("C7", "drop 2", (55, 60, 64, 70)), ("C7", "drop 2", (58, 64, 67, 72)), ("Cm7", "drop 2", (48, 55, 58, 63)),
    ("Cm7b5", "drop 2", (54, 60, 63, 70)), ("Cdim7", "drop 2", (54, 60, 63, 69)), ("C6", "drop 2", (55, 60, 64, 69)),
    ("C7", "drop 3", (48, 58, 64, 67)), ("Cm7", "drop 3", (48, 58, 63, 67)),
])  # fmt: skip
def test_drop_voicings_lie_under_the_hand(text: str, style: GuitarStyle, notes: tuple[int, ...]) -> None:
    assert notes in {grip.notes for grip in found(text, Player(style=style))}


def test_inner_shapes_leave_the_lowest_string_and_stay_in_the_middle_of_the_neck() -> None:
    # Frets 4 to 11: guitar lessons in agreement.
    for text in ("Dm7", "G13", "Cmaj9", "Am7b5"):
        grips = found(text, Player(style="inner"))
        assert len(grips) >= 3
        for grip in grips:
            assert grip.frets[0] is None
            assert {fret for fret in grip.frets if fret is not None} <= set(range(4, 12))


# --- nothing is forgotten -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["Cmaj7", "Dm7", "G7", "Am", "Bm7b5", "F6", "E7b9", "C"])
@pytest.mark.parametrize("strings", [(40, 45, 50, 55), (55, 60, 64, 69), (50, 55, 59, 64)], ids=str)
def test_the_search_finds_what_an_exhaustive_search_finds(text: str, strings: tuple[int, ...]) -> None:
    item = symbol(text)
    grips = found(text, Player(Fretboard(strings, frets=6)))
    needed = required(item)
    allowed = {(item.root_pc + degree.semitones) % 12 for degree in item.quality.degrees} | {item.root_pc}
    twice = allowed - guides(item) if len(allowed) < 4 else set()
    expected = set()
    for frets in product((None, *range(7)), repeat=4):
        notes = sorted(note + fret for note, fret in zip(strings, frets, strict=True) if fret is not None)
        classes = [note % 12 for note in notes]
        if len(notes) < 3 or len(set(notes)) < len(notes) or not needed <= set(classes) <= allowed:
            continue
        if any(classes.count(one) > 1 and one not in twice for one in classes):
            continue
        if not sounds_well(notes, item) or not can_be_held(frets):
            continue
        sounding = [string for string, fret in enumerate(frets) if fret is not None]
        if sum(fret is None for fret in frets[sounding[0] : sounding[-1]]) <= 1:
            expected.add(frets)
    if expected:  # where a fretboard this small holds none, the search gives tones up
        assert {grip.frets for grip in grips} == expected
    else:
        assert all(grip.given_up for grip in grips) or not all(sounds_well(list(g.notes), item) for g in grips)


def guides(item: Chord) -> set[int]:
    degrees = item.quality.guide_degrees
    assert degrees is not None
    return {(item.root_pc + degree.semitones) % 12 for degree in degrees if degree != Degree(1)}


def required(item: Chord) -> set[int]:
    degrees = item.quality.guide_degrees
    assert degrees is not None
    altered = {d for d in item.quality.degrees if d.alteration and d.number in (5, 9, 11, 13)}
    return {(item.root_pc + degree.semitones) % 12 for degree in (*degrees, *altered)}


def sounds_well(notes: list[int], item: Chord) -> bool:
    below = notes[0] - ((notes[0] - item.root_pc) % 12 or 12)
    near = zip((below, *notes), notes, strict=False)
    clear = all(low >= LOW_INTERVAL_LIMITS.get(high - low, 0) for low, high in near)
    ninths = [low for low, high in combinations(notes, 2) if high - low == 13]
    return clear and all(item.quality.family == "dominant" and low % 12 == item.root_pc for low in ninths)


# --- instruments ----------------------------------------------------------------------------------------------------


def test_standard_tuning() -> None:
    assert parse_tuning("standard") == tuple(pitch.midi for pitch in GuitarFretBoard().tuning)
    assert (
        parse_tuning("E2 A2 D3 G3 B3 E4") == parse_tuning("EADGBE") == parse_tuning("Standard") == TUNINGS["standard"]
    )
    assert (
        parse_tuning("B E A D G B E") == TUNINGS["seven strings"]
        or parse_tuning("B1 E2 A2 D3 G3 B3 E4") == TUNINGS["seven strings"]
    )


@pytest.mark.parametrize("name", TUNINGS)
def test_every_tuning_has_grips_that_can_be_held(name: str) -> None:
    player = Player(Fretboard(TUNINGS[name]))
    for text in ("Dm7", "G7", "Cmaj7"):
        grips = found(text, player)
        assert grips
        for grip in grips[:20]:
            assert_held(grip)
            sounding = [note + fret for note, fret in zip(TUNINGS[name], grip.frets, strict=True) if fret is not None]
            assert tuple(sorted(sounding)) == grip.notes


def test_under_a_capo_a_chord_is_played_as_the_one_below() -> None:
    plain = Player(limits=Limits(high_fret=30, highest_position=10))
    with_capo = Player(
        Fretboard(TUNINGS["standard"], frets=22, capo=2), limits=Limits(high_fret=30, highest_position=12)
    )
    low = {grip.frets for grip in grips_of(symbol("Cm7"), "minor seventh", plain)}
    assert low <= {grip.frets for grip in grips_of(symbol("Dm7"), "minor seventh", with_capo)}


@pytest.mark.parametrize(("text", "words"), [
    ("E2 A2 H3 G3", "'H3'"), ("", "empty"), ("E2 A2", "2 strings"), ("E2 A2 D3 G3 B3 E9", "String 6"),
    ("plucked", "'p'"),
])  # fmt: skip
def test_an_impossible_tuning_is_one_clear_sentence(text: str, words: str) -> None:
    with pytest.raises(FretboardError, match=words) as caught:
        Fretboard(parse_tuning(text))
    assert str(caught.value).endswith(".")


@pytest.mark.parametrize(("frets", "capo"), [(2, 0), (50, 0), (12, 10), (12, -1)])
def test_an_impossible_neck_is_one_clear_sentence(frets: int, capo: int) -> None:
    with pytest.raises(FretboardError, match="neck") as caught:
        Fretboard(TUNINGS["standard"], frets, capo)
    assert str(caught.value).endswith("possible.") or "between" in str(caught.value)


def row_of(*names: str) -> Row:
    return tuple(Slot(BAR * index, BAR, parse_symbol(name)) for index, name in enumerate(names))


def test_a_chord_of_eight_notes_is_played_as_far_as_a_hand_reaches_and_says_so() -> None:
    item = symbol("Gb\\C13")
    assert len(item.pitch_classes) == 8
    choice = plan_row(row_of("Gb\\C13")).choices[0]
    assert choice is not None
    assert_held(choice.grip)
    assert {4, 10} <= {note % 12 for note in choice.grip.notes}
    assert len(choice.grip.missing) == 8 - len({note % 12 for note in choice.grip.notes})
    assert choice.remarks[-1].startswith("Left out: 1, which the bass has; 5, which adds least;")


def test_what_no_grip_holds_is_given_up_from_the_end_and_named() -> None:
    # Five tones that D over C7 insists on, on an instrument with four strings.
    choice = plan_row(row_of("D\\C7"), Player(Fretboard(TUNINGS["tenor"]))).choices[0]
    assert choice is not None
    assert_held(choice.grip)
    assert {4, 10} <= {note % 12 for note in choice.grip.notes}
    assert choice.grip.given_up
    assert "beyond the hand together with the rest" in choice.remarks[-1]


@given(root=st.integers(-6, 6), identifier=st.sampled_from(sorted(QUALITIES)), top=st.integers(60, 76))
@settings(max_examples=40, deadline=None)
def test_with_the_tune_on_top_its_note_is_the_highest_and_nothing_rubs(root: int, identifier: str, top: int) -> None:
    item = chord(root, identifier)
    for grip in grips_of(item, kind_of(item, None, None), Player(bass=False), top)[:25]:
        assert grip.notes[-1] == top
        assert_held(grip)
        assert top - 1 not in grip.notes
