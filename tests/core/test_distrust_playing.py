"""Why players distrust what a program plays, as tests: grips that no hand reaches, mud under an assumed root."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from core.chart import Note
from core.chord import Chord, chord, in_context
from core.pitch import pitch_from_midi
from core.quality import QUALITIES
from core.row import Row, Slot
from core.voicing import LOW_INTERVAL_LIMITS, voice_row

BAR = Fraction(4)
WIDEST = 14
"""Semitones a hand is asked to span: an octave and a whole step. Common practice, no source."""
MOST_NOTES = 5
CHORDS = st.builds(Chord, st.integers(-6, 6), st.sampled_from(list(QUALITIES.values())), st.none() | st.integers(-6, 6))


def row_of(chords: list[Chord]) -> Row:
    return tuple(Slot(BAR * index, BAR, item) for index, item in enumerate(chords))


@settings(max_examples=80, deadline=None)
@given(st.lists(CHORDS, min_size=1, max_size=6), st.none() | st.integers(64, 84))
@example([chord(-3, "maj11")], 75)  # its root held above: the sixth that stands for the seventh is its thirteenth too
def test_a_hand_reaches_every_voicing_under_any_tune(chords: list[Chord], held: int | None) -> None:
    row = row_of(chords)
    melody = () if held is None else tuple(Note(s.onset, s.duration, pitch_from_midi(held)) for s in row)
    for slot, voiced in zip(row, voice_row(row, melody), strict=True):
        assert voiced is not None
        assert slot.chord is not None
        foreign = slot.chord.bass is not None and slot.chord.bass_pc != slot.chord.root_pc
        # Over a foreign bass the root joins a full chord: such a six-note grip is shared by two hands.
        assert 1 <= len(voiced.notes) <= MOST_NOTES + foreign
        assert voiced.notes[-1] - voiced.notes[0] <= WIDEST
        assert list(voiced.notes) == sorted(set(voiced.notes))


@pytest.mark.parametrize("identifier", QUALITIES)
def test_the_root_that_the_ear_puts_below_makes_no_mud(identifier: str) -> None:
    """Where the lowest note is not the root, the root is assumed below it and the pair has to be clear all the same.

    Two arranging course texts; limits: a glossary of low interval limits, the tritone raised beside its neighbours.
    """
    for root in range(-6, 6):
        row = row_of([chord(root, "m7"), chord(root, identifier), chord(root - 1, "maj7")])
        voiced = voice_row(row)[1]
        assert voiced is not None
        played = in_context(chord(root, identifier))
        lowest = voiced.notes[0]
        above = (lowest - played.root_pc) % 12
        if above:
            assert lowest - above >= LOW_INTERVAL_LIMITS[above], (identifier, root, voiced.notes)
