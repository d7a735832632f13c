"""What waits for a bar line or for the end of a pass, to the frame."""

from __future__ import annotations

import pytest

from core.sound.bank import SAMPLE_RATE
from core.sound.limiter import LOOK_AHEAD
from core.sound.mixer import Mixer
from core.timeline import Timeline, TimelineError
from tests.core.sound.fakes import Clicks, Nothing
from tests.core.sound.tunes import band, note, timeline

BAR = 2 * SAMPLE_RATE  # four beats at 120
BARS = (0.0, 4.0, 8.0, 12.0)


def four_bars(**rest) -> Timeline:
    """A piano note on the standard and a bass note on the take in every bar, a click on every second beat."""
    events = [note("piano", bar, 60, 4.0, side="standard") for bar in BARS]
    events += [note("bass", bar, 40, 4.0, side="take") for bar in BARS]
    events += [note("click", bar + 1.0, 77, 0.2) for bar in BARS]
    return timeline(*events, bpm=120.0, length=16.0, bars=BARS, **rest)


def told(mixer: Mixer, *parts: str) -> list[tuple[int, bool, str]]:
    """Frame, on or off, part of what was told since the last call."""
    found = [(c.frame, c.on, c.part) for c in mixer.changes if not parts or c.part in parts]
    mixer.changes.clear()
    return found


def playing(start: float = 0.0, tune: Timeline | None = None, notes=None) -> Mixer:
    mixer = Mixer(notes or Nothing(), tune or four_bars())
    mixer.changes = []
    mixer.play(start)
    return mixer


def test_the_other_side_comes_in_at_the_bar_line():
    mixer = playing(1.0)
    mixer.read(5000)
    mixer.set_side("take", "bar")
    assert mixer.side == "standard"
    mixer.read(BAR)
    line = 3 * BAR // 4
    assert [item for item in told(mixer, "piano", "bass") if item[0] >= 5000] == [
        (line, False, "piano"),
        (line, True, "bass"),
    ]
    assert mixer.side == "take"


def test_a_wish_is_replaced_by_a_later_one_and_by_a_switch_at_once():
    mixer = playing()
    mixer.set_side("take", "bar")
    mixer.set_side("standard", "bar")
    mixer.read(BAR + 10)
    assert mixer.side == "standard"
    mixer.set_side("take", "bar")
    mixer.set_side("standard")
    mixer.read(BAR)
    assert mixer.side == "standard"


@pytest.mark.parametrize("action", ["stop", "end", "nothing plays", "counting in"])
def test_where_no_bar_line_will_come_the_side_is_there_at_once(action):
    mixer = Mixer(Nothing(), band(2) if action == "counting in" else four_bars())
    if action != "nothing plays":
        mixer.play(12.0 if action == "end" else 0.0, count_in=action == "counting in")
    mixer.set_side("take", "bar")
    if action == "stop":
        mixer.stop()
    elif action == "end":
        mixer.read(2 * BAR)
        assert not mixer.playing
    assert mixer.side == "take"


def test_both_ways_is_two_passes_of_which_the_second_has_the_other_side():
    mixer = Mixer(Nothing(), four_bars())
    mixer.changes = []
    mixer.set_loop((4.0, 8.0), 2)
    mixer.play(4.0)
    mixer.set_side("take", "loop")
    mixer.read(3 * BAR)
    assert told(mixer, "piano", "bass") == [
        (0, True, "piano"),
        (BAR, False, "piano"),
        (BAR, True, "bass"),
        (2 * BAR, False, "bass"),
    ]
    assert not mixer.playing
    assert mixer.position == 4.0


def test_passes_are_counted_from_where_playing_begins_and_at_one_tempo():
    tune = four_bars()
    mixer = playing(0.0, tune)
    mixer.set_loop((0.0, 4.0))
    mixer.read(3 * BAR)
    mixer.set_next(tune.at_tempo(200.0), 1)
    mixer.set_loop((0.0, 4.0), 2)
    mixer.play(0.0)
    mixer.read(2 * BAR - 10)
    assert mixer.playing
    mixer.read(10)
    assert not mixer.playing
    assert mixer.timeline.bpm == 120.0


def test_a_loop_that_is_set_again_is_endless_again():
    mixer = playing(4.0)
    mixer.set_loop((4.0, 8.0), 1)
    mixer.set_loop((4.0, 8.0))
    mixer.read(5 * BAR)
    assert mixer.playing
    assert mixer.passes == 5


def test_a_step_of_a_ramp_comes_after_its_passes_at_the_very_frame():
    tune = timeline(note("piano", 0, 60, 0.5), note("piano", 1.0, 62, 0.5), bpm=120.0, length=4.0)
    mixer = Mixer(Clicks(), tune)
    mixer.set_loop((0.0, 2.0))
    mixer.play()
    mixer.set_next(tune.at_tempo(160.0), 2)
    sound = mixer.read(4 * SAMPLE_RATE)
    found = [int(at) - LOOK_AHEAD for at in (abs(sound[:, 0]) > 1e-4).nonzero()[0]]
    beat, quick = SAMPLE_RATE // 2, 60 * SAMPLE_RATE // 160
    slow = [beat * k for k in range(4)]
    assert found[:4] == slow
    assert found[4:10] == [pytest.approx(4 * beat + quick * k, abs=1) for k in range(6)]
    assert mixer.timeline.bpm == 160.0


def test_a_step_that_comes_late_waits_for_the_next_pass_and_none_is_forgotten():
    tune = four_bars()
    mixer = playing(0.0, tune)
    mixer.set_loop((0.0, 4.0))
    mixer.read(3 * BAR + 100)
    mixer.set_next(tune.at_tempo(140.0), 1)
    mixer.read(BAR - 200)
    assert mixer.timeline.bpm == 120.0
    mixer.read(200)
    assert mixer.timeline.bpm == 140.0
    assert mixer.passes == 0
    mixer.set_next(tune.at_tempo(150.0), 1)
    mixer.set_next(None)
    mixer.read(2 * BAR)
    assert mixer.timeline.bpm == 140.0


def test_the_band_drops_out_for_a_bar_and_the_click_goes_on():
    mixer = playing()
    mixer.set_drop_outs((1, 1))
    mixer.read(4 * BAR)
    assert told(mixer, "piano") == [
        (0, True, "piano"),
        (BAR, False, "piano"),
        (2 * BAR, True, "piano"),
        (3 * BAR, False, "piano"),
    ]
    mixer = playing()
    mixer.set_drop_outs((1, 1))
    mixer.read(4 * BAR)
    assert [item[0] for item in told(mixer, "click") if item[1]] == [BAR // 4 + k * BAR for k in range(4)]


def test_drop_outs_are_counted_on_through_a_loop():
    mixer = Mixer(Nothing(), four_bars())
    mixer.changes = []
    mixer.set_drop_outs((2, 2))
    mixer.set_loop((0.0, 8.0))
    mixer.play()
    resting = []
    for _ in range(8):
        mixer.read(BAR // 2)
        resting.append(mixer.resting)
        mixer.read(BAR // 2)
    assert resting == [False, False, True, True] * 2
    assert [frame for frame, on, _ in told(mixer, "piano") if on] == [0, BAR, 4 * BAR, 5 * BAR]


def test_a_pickup_is_no_bar_and_a_chord_held_over_the_line_is_there_when_the_band_returns():
    tune = timeline(
        note("piano", 0.0, 59, 1.0), note("piano", 1.0, 60), note("piano", 8.5, 65, 2.0),
        bpm=120.0, length=13.0, bars=(0.0, 1.0, 5.0, 9.0),
    )  # fmt: skip
    mixer = Mixer(Nothing(), tune)
    mixer.changes = []
    mixer.set_drop_outs((1, 1))
    mixer.play()
    mixer.read(7 * SAMPLE_RATE)
    assert [(c.frame, c.pitch) for c in mixer.changes if c.on] == [(0, 59), (24000, 60), (9 * 24000, 65)]


def test_the_band_is_back_at_once_when_drop_outs_are_switched_off():
    mixer = playing()
    mixer.set_drop_outs((1, 3))
    mixer.read(BAR + 1000)
    assert mixer.resting
    told(mixer)
    mixer.set_drop_outs(None)
    mixer.read(100)
    assert told(mixer, "piano") == [(BAR + 1000, True, "piano")]


@pytest.mark.parametrize("bars", [(0, 1), (1, 0), (65, 1), (-1, 4)])
def test_drop_outs_that_cannot_be_counted_are_refused(bars):
    mixer = playing()
    with pytest.raises(TimelineError, match="choose 1 to 64"):
        mixer.set_drop_outs(bars)


def test_bar_lines_change_no_sample_while_nothing_waits_for_them(bank_for):
    tune = band(2)
    still, watched = Mixer(bank_for(tune), tune), Mixer(bank_for(tune), tune)
    watched.set_drop_outs((64, 1))
    still.play()
    watched.play()
    assert (still.read(3 * SAMPLE_RATE) == watched.read(3 * SAMPLE_RATE)).all()
