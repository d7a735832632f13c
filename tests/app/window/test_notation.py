"""The tune as written signs. Rules of notation: common practice, no source, unless said beside the case."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.window.page.notation import NoteMark, signature_alteration, signature_steps, write_bar
from core.abc_notes import parse_abc_bar
from core.chart import Melody, Note
from core.form import plain_form
from core.key import Key
from core.meter import Meter, parse_meter
from core.pitch import Pitch, parse_pitch_class


def written(abc: str, meter: str = "4/4", key: str = "C") -> list[str]:
    """The signs of a bar as short text: value, dots, ~ for a tie, ! for an accidental."""
    metre = parse_meter(meter)
    bar = plain_form(1, metre).bars[0]
    tonic = Key(parse_pitch_class(key))
    melody, _ = parse_abc_bar(abc, bar, tonic)
    signs = write_bar(melody, bar.start, bar.length, metre, tonic.signature)
    notes = [(mark.offset, shown(mark)) for mark in signs.notes]
    rests = [(rest.offset, f"r{rest.value}{'.' * rest.dots}") for rest in signs.rests]
    return [text for _, text in sorted(notes + rests)]


def shown(mark: NoteMark) -> str:
    """One note as short text."""
    accidental = "" if mark.accidental is None else "!"
    tuplet = "" if mark.tuplet is None else "t"
    return f"{mark.value}{'.' * mark.dots}{'~' if mark.tied else ''}{accidental}{tuplet}"


@pytest.mark.parametrize(
    ("abc", "meter", "signs"),
    [
        ("c8", "4/4", ["1"]),
        ("c6 d2", "4/4", ["2.", "4"]),
        ("c3 d d4", "4/4", ["4.", "8", "2"]),
        ("c d2 e f4", "4/4", ["8", "4", "8", "2"]),
        ("c2 d4 e2", "4/4", ["4", "2", "4"]),  # a syncopation on the second beat stays one note
        ("c3 d2 e3", "4/4", ["4.", "8~", "8", "4."]),  # the middle of the bar is shown
        ("c3 d3 e2", "4/4", ["4.", "8~", "4", "4"]),
        ("c4 z4", "4/4", ["2", "r2"]),
        ("(3c2d2e2 c4", "4/4", ["4t", "4t", "4t", "2"]),
        ("(3cde c2 c4", "4/4", ["8t", "8t", "8t", "4", "2"]),
        ("c6", "3/4", ["2."]),
        ("c3 d3", "6/8", ["4.", "4."]),
        ("c4 d2", "6/8", ["4.~", "8", "4"]),
        ("c2 d2 e2", "6/8", ["4", "8~", "8", "4"]),
        ("c5 d3", "4/4", ["2~", "8", "4."]),
        ("c7 d", "4/4", ["2~", "4.", "8"]),
    ],
)
def test_values(abc: str, meter: str, signs: list[str]) -> None:
    assert written(abc, meter) == signs


def test_accidentals_last_to_the_bar_line_and_follow_the_signature() -> None:
    assert written("B2 =B2 B2 _B2", key="Eb") == ["4", "4!", "4", "4!"]
    assert written("^c2 c2 c'2 =c2", key="C") == ["4!", "4", "4", "4!"]


@pytest.mark.parametrize("signature", range(-7, 8))
def test_signatures_alter_their_own_steps(signature: int) -> None:
    steps = signature_steps(signature)
    assert len(steps) == abs(signature)
    assert len({step % 7 for step in steps}) == len(steps)
    altered = {step % 7 for step in range(28, 42) if signature_alteration(step, signature)}
    assert altered == {step % 7 for step in steps}


def test_flags_inside_a_beat_are_beamed() -> None:
    form = plain_form(1, Meter())
    melody, _ = parse_abc_bar("cd ef z g a2", form.bars[0], Key(0))
    marks = write_bar(melody, form.bars[0].start, form.bars[0].length, Meter(), 0).notes
    assert [mark.beam for mark in marks] == [1, 1, 2, 2, None, None]


def test_a_note_over_the_bar_line_is_tied_and_shows_no_second_accidental() -> None:
    melody: Melody = (Note(Fraction(3), Fraction(2), Pitch(6, 4)),)
    first = write_bar(melody, Fraction(0), Fraction(4), Meter(), 0)
    second = write_bar(melody, Fraction(4), Fraction(4), Meter(), 0)
    assert (first.notes[0].tied, first.notes[0].accidental) == (True, 1)
    assert (second.notes[0].tied, second.notes[0].accidental) == (False, None)


def test_a_silent_bar_of_a_tune_is_a_whole_rest() -> None:
    melody = (Note(Fraction(0), Fraction(1), Pitch(0, 5)),)
    signs = write_bar(melody, Fraction(4), Fraction(3), Meter(3, 4), 0)
    assert [(rest.value, rest.duration) for rest in signs.rests] == [(1, 3)]


def test_a_repeated_bar_points_to_its_own_notes() -> None:
    tune = tuple(Note(Fraction(at), Fraction(1), Pitch(0, 5)) for at in range(8))
    first, second = (write_bar(tune, Fraction(start), Fraction(4), Meter(), 0) for start in (0, 4))
    assert [mark.source for mark in first.notes] == [0, 1, 2, 3]
    assert [mark.source for mark in second.notes] == [4, 5, 6, 7]
    assert [mark._replace(source=0) for mark in first.notes] == [mark._replace(source=0) for mark in second.notes]


def test_no_melody_at_all_is_an_empty_staff() -> None:
    assert write_bar((), Fraction(0), Fraction(4), Meter(), 0).rests == ()


@given(
    lengths=st.lists(st.integers(1, 16), min_size=1, max_size=16),
    sounding=st.lists(st.booleans(), min_size=16, max_size=16),
)
def test_signs_fill_the_bar_exactly(lengths: list[int], sounding: list[bool]) -> None:
    notes, at = [], Fraction(0)
    for length, sounds in zip(lengths, sounding, strict=False):
        duration = Fraction(length, 4)
        if at + duration > 4:
            break
        if sounds:
            notes.append(Note(at, duration, Pitch(0, 5)))
        at += duration
    signs = write_bar(tuple(notes), Fraction(0), Fraction(4), Meter(), 0)
    filled = sorted((mark.offset, mark.offset + mark.duration) for mark in (*signs.notes, *signs.rests))
    if notes:
        assert filled[0][0] == 0
        assert filled[-1][1] == 4
        assert all(one[1] == two[0] for one, two in pairwise(filled))
