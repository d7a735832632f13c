"""The charts that come with the program, played by the band."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.arrange import arrange
from core.chart import Chart
from core.chart_json import chart_from_json
from core.timeline import NoteEvent

FOLDER = Path(__file__).parents[3] / "demo_charts"
CHARTS = sorted(path.name for path in FOLDER.glob("*.changes.json"))


def takes_of(name: str) -> list[tuple[Chart, str]]:
    built = chart_from_json((FOLDER / name).read_text(encoding="utf-8"))
    return [(built, take.name) for take in built.takes if take.form is None]


@pytest.mark.parametrize("name", CHARTS)
def test_both_sides_of_every_take_share_rhythm_register_and_loudness(name: str) -> None:
    for built, take in takes_of(name):
        timeline = arrange(built, take)
        for part, apart in (("piano", 3), ("bass", 4)):
            sides = [[event for event in timeline.events if event.part == part and event.side == side]
                     for side in ("standard", "take")]  # fmt: skip
            assert {event.onset for event in sides[0]} == {event.onset for event in sides[1]}
            means = [sum(event.pitch for event in events) / len(events) for events in sides]
            assert abs(means[0] - means[1]) <= apart
            loud = [sum(event.velocity**4 for event in events) for events in sides]  # a square law of gain
            assert 10**-0.1 < loud[0] / loud[1] < 10**0.1


@pytest.mark.parametrize("name", CHARTS)
def test_piano_and_held_melody_are_never_a_semitone_apart(name: str) -> None:
    for built, take in takes_of(name):
        timeline = arrange(built, take)
        tune = [event for event in timeline.events if event.part == "tune" and event.duration >= 1.5]
        piano = [event for event in timeline.events if event.part == "piano"]
        assert tune
        assert not [(note, held) for held in tune for note in piano if rubs(note, held)]


def rubs(note: NoteEvent, held: NoteEvent) -> bool:
    together = min(note.end, held.end) - max(note.onset, held.onset)
    return abs(note.pitch - held.pitch) == 1 and together >= 1
