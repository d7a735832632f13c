"""A timeline refuses what cannot be played, in one sentence, and answers about its time."""

from __future__ import annotations

import dataclasses
import subprocess
import sys

import pytest

from core.timeline import (
    DRUM_CHANNEL,
    LISTENING_ADVICE,
    PARTS,
    Marker,
    NoteEvent,
    Timeline,
    TimelineError,
    sort_events,
)


def event(onset=0.0, **changes) -> NoteEvent:
    return dataclasses.replace(NoteEvent("piano", "both", onset, 1.0, 60, 80), **changes)


def test_parts_have_distinct_channels_but_for_the_kit():
    channels = [part.channel for part in PARTS.values() if not part.is_drums]
    assert len(set(channels)) == len(channels)
    assert DRUM_CHANNEL not in channels
    # General MIDI Level 1 (RP003): percussion on channel 10, index 9.
    assert PARTS["drums"].channel == PARTS["click"].channel == 9
    # General MIDI program names, from 0 (RP003): 0 grand piano, 32 acoustic bass.
    assert (PARTS["piano"].program, PARTS["bass"].program) == (0, 32)


def test_levels_and_pans_are_moderate():
    assert all(0.0 < part.level <= 1.0 and -0.5 <= part.pan <= 0.5 for part in PARTS.values())
    assert LISTENING_ADVICE.endswith(".")


def test_seconds_and_quarters_are_inverse():
    timeline = Timeline(150.0, 32.0)
    assert timeline.seconds_at(5.0) == pytest.approx(2.0)
    assert timeline.quarter_at(timeline.seconds_at(13.37)) == pytest.approx(13.37)
    assert timeline.at_tempo(75.0).seconds_at(5.0) == pytest.approx(4.0)


def test_bar_at_counts_from_the_bar_starts():
    timeline = Timeline(120.0, 12.0, bars=(0.0, 1.0, 5.0, 9.0))
    assert [timeline.bar_at(q) for q in (-2.0, 0.0, 0.99, 1.0, 8.9, 9.0, 99.0)] == [0, 0, 0, 1, 2, 3, 3]


def test_for_side_keeps_its_own_notes_and_those_of_both():
    events = (event(side="both"), event(side="standard", pitch=61), event(side="take", pitch=62))
    markers = (Marker(0.0, "A"), Marker(0.0, "Dm7", "chord_standard"), Marker(0.0, "Ab7", "chord_take"))
    timeline = Timeline(120.0, 4.0, events=sort_events(events), markers=markers)
    take = timeline.for_side("take")
    assert {item.pitch for item in take.events} == {60, 62}
    assert [marker.text for marker in take.markers] == ["A", "Ab7"]
    assert timeline.for_side("both") is timeline


def test_sorting_gives_equal_data_for_equal_music():
    events = [event(1.0, pitch=64), event(0.0, part="bass"), event(0.0), event(1.0, pitch=60)]
    assert sort_events(events) == sort_events(reversed(events))
    assert [item.onset for item in sort_events(events)] == [0.0, 0.0, 1.0, 1.0]


def test_programs_replace_the_part_s_own():
    timeline = Timeline(120.0, 4.0, programs=(("piano", 26),))
    assert (timeline.program_of("piano"), timeline.program_of("bass")) == (26, 32)


@pytest.mark.parametrize(
    ("values", "named"),
    [
        ({"bpm": 39.9}, "39.9 is not between 40 and 320"),
        ({"bpm": float("nan")}, "nan is not between"),
        ({"length": -1.0}, "-1.0 is not a length"),
        ({"length": float("inf")}, "inf is not a length"),
        ({"events": (event(4.0),)}, "outside 0 to 4"),
        ({"events": (event(part="kazoo"),)}, "no such part"),
        ({"events": (event(side="left"),)}, "“left” is no side"),
        ({"events": (event(pitch=128),)}, "pitch 128"),
        ({"events": (event(velocity=0),)}, "velocity 0"),
        ({"events": (event(duration=0.0),)}, "lasts 0.0"),
        ({"events": (event(duration=float("nan")),)}, "lasts nan"),
        ({"events": (event(2.0), event(1.0))}, "1.0 comes after 2.0"),
        ({"count_in": (event(-1.0),)}, "outside -0 to 0"),
        ({"bars": (0.0, 8.0, 4.0)}, "bars: 4.0 comes after 8.0"),
        ({"meters": ((0.0, 4, 3),)}, "4/3 is not a metre"),
        ({"programs": (("piano", 200),)}, "program of piano: 200"),
        ({"markers": (Marker(float("nan"), "B"),)}, "marker “B”"),
    ],
)
def test_what_cannot_be_played_is_refused_in_one_sentence(values, named):
    with pytest.raises(TimelineError) as caught:
        Timeline(**({"bpm": 120.0, "length": 4.0} | values))
    assert named in str(caught.value)
    assert str(caught.value).endswith(".")
    assert "\n" not in str(caught.value)


def test_a_timeline_needs_no_sound_library():
    code = "import sys, core.timeline; print([m for m in ('numpy', 'mido', 'midirenderer') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
