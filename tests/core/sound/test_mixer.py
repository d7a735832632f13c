"""The mixer: places, sides, loops, edits, levels. ``read`` is a function of state, so minutes pass in moments."""

from __future__ import annotations

import numpy as np
import pytest

from core.sound.bank import SAMPLE_RATE
from core.sound.desk import SWITCH_FRAMES
from core.sound.limiter import CEILING, LOOK_AHEAD
from core.sound.mixer import MAX_VOICES, STOP_FRAMES, Mixer
from core.sound.voices import FADE_FRAMES
from core.timeline import HEARD_SIDES, PARTS, Timeline, TimelineError, sort_events
from tests.core.sound.fakes import Clicks, Nothing, Tones
from tests.core.sound.tunes import CLICK_HIGH, band, note, timeline

PERIOD = 960


def listen(mixer: Mixer, frames: int, period: int = PERIOD) -> np.ndarray:
    """Read ``frames`` in periods, as a device would."""
    blocks = [mixer.read(min(period, frames - at)) for at in range(0, frames, period)]
    return np.concatenate(blocks)


def attacks(sound: np.ndarray) -> list[int]:
    """Frames at which one-sample clicks stand, corrected for the limiter's delay."""
    return [int(place) - LOOK_AHEAD for place in np.flatnonzero(np.abs(sound[:, 0]) > 1e-4)]


def played(mixer: Mixer, start: float = 0.0, **options) -> Mixer:
    mixer.play(start, **options)
    return mixer


@pytest.mark.parametrize("bpm", [40.0, 97.3, 120.0, 181.7, 320.0])
def test_every_onset_is_at_its_frame(bpm):
    places = (0.0, 1 / 3, 0.6187, 1.0, 2.49, 7.999)
    tune = timeline(*(note("piano", place, 60, 0.2) for place in places), bpm=bpm, length=8.2)
    sound = listen(played(Mixer(Clicks(), tune)), int(tune.seconds_at(8.2) * SAMPLE_RATE) + 500)
    wanted = [tune.seconds_at(place) * SAMPLE_RATE for place in places]
    # Half a frame of rounding: far within a millisecond.
    assert attacks(sound) == [pytest.approx(frame, abs=0.51) for frame in wanted]


@pytest.mark.parametrize("period", [1, 64, 441, 960, 4800])
def test_the_period_does_not_change_a_sample(bank_for, period):
    tune = band(1, 200.0)
    frames = 4800 if period == 1 else 60000
    whole = played(Mixer(bank_for(tune), tune), count_in=False).read(frames)
    assert np.array_equal(listen(played(Mixer(bank_for(tune), tune)), frames, period), whole)


def test_a_long_read_is_the_same_as_short_ones(bank_for):
    tune = band(2)
    frames = 3 * SAMPLE_RATE
    assert np.array_equal(
        played(Mixer(bank_for(tune), tune)).read(frames), listen(played(Mixer(bank_for(tune), tune)), frames)
    )


def test_each_side_equals_its_own_mix_outside_the_crossing(bank_for):
    tune = band(4)
    bank = bank_for(tune)
    frames = SAMPLE_RATE * 4
    alone = {}
    for side in HEARD_SIDES:
        mixer = Mixer(bank, tune.for_side(side))
        mixer.set_side(side)
        alone[side] = listen(played(mixer), frames)
    mixer = Mixer(bank, tune)
    first = listen(played(mixer), SAMPLE_RATE)
    mixer.set_side("take")
    second = listen(mixer, SAMPLE_RATE)
    mixer.set_side("standard")
    third = listen(mixer, 2 * SAMPLE_RATE)
    settled = SWITCH_FRAMES + LOOK_AHEAD
    assert np.array_equal(first, alone["standard"][:SAMPLE_RATE])
    assert np.array_equal(second[settled:], alone["take"][SAMPLE_RATE + settled : 2 * SAMPLE_RATE])
    assert np.array_equal(third[settled:], alone["standard"][2 * SAMPLE_RATE + settled :])
    assert not np.array_equal(alone["standard"], alone["take"])


def test_a_switch_begins_in_the_very_next_frame():
    tune = timeline(
        note("piano", 0, 60, 8.0, side="standard", velocity=127), note("bass", 0, 40, 8.0, side="take", velocity=10)
    )
    mixer = played(Mixer(Tones(), tune))
    before, untouched = listen(mixer, PERIOD * 10), played(Mixer(Tones(), tune))
    listen(untouched, PERIOD * 10)
    mixer.set_side("take")
    after, same = listen(mixer, PERIOD), listen(untouched, PERIOD)
    differing = np.flatnonzero((after != same).any(axis=1))
    assert before.any()
    assert LOOK_AHEAD <= differing[0] <= LOOK_AHEAD + 10


def smooth(sound: np.ndarray, loudest: float, voices: int = 1) -> bool:
    """No step larger than the tone's own slope plus the steepest fade (5 ms), for ``voices`` tones at once."""
    slope = 2 * np.pi * Tones.hertz / SAMPLE_RATE + 1.0 / FADE_FRAMES
    return float(np.abs(np.diff(sound, axis=0)).max()) <= 1.1 * voices * loudest * slope


def test_nothing_clicks_at_a_seek_a_switch_a_loop_an_edit_or_a_stop():
    chord = [note("bass", 0, 60, 16.0, side=side, velocity=127) for side in HEARD_SIDES]
    tune = timeline(*chord, note("bass", 4, 60, 4.0, velocity=127), bpm=131.0)
    mixer = played(Mixer(Tones(), tune))
    loudest = float(np.abs(listen(mixer, SAMPLE_RATE // 2)).max())
    pieces = [listen(mixer, 1000)]
    for action in (
        lambda: mixer.seek(6.0),
        lambda: mixer.set_side("take"),
        lambda: mixer.seek(1.1),
        lambda: mixer.set_timeline(tune.at_tempo(90.0)),
        lambda: mixer.set_loop((1.0, 1.7)),
        lambda: mixer.set_timeline(timeline(note("bass", 0, 61, 16.0, side="take", velocity=127), bpm=90.0)),
        lambda: mixer.set_muted("bass", True),
        lambda: mixer.set_muted("bass", False),
        lambda: mixer.set_level("bass", 0.1),
        lambda: mixer.set_level("bass", 0.8),
        lambda: mixer.set_master(0.1),
        lambda: mixer.set_master(0.5),
        mixer.stop,
        lambda: mixer.play(2.0),
        mixer.finish,
    ):
        action()
        pieces.append(listen(mixer, 7001, 441))
    sound = np.concatenate(pieces)
    assert smooth(sound, loudest, voices=3)
    assert float(np.abs(sound).max()) <= 3.2 * loudest


def test_a_loop_wrap_is_smooth_and_periodic():
    tune = timeline(note("bass", 0, 60, 4.0, velocity=127), bpm=143.0, length=4.0)
    mixer = Mixer(Tones(), tune)
    mixer.set_loop((0.0, 1.5))
    mixer.play(0.0)
    sound = listen(mixer, 3 * SAMPLE_RATE)
    assert smooth(sound, float(np.abs(sound).max()), voices=2)
    length = round(1.5 * 60 / 143.0 * SAMPLE_RATE)
    late = sound[2 * length : 3 * length - 2]
    assert np.allclose(late, sound[length : 2 * length - 2], atol=float(np.abs(sound).max()) * 0.05)


def test_silence_after_stop_and_the_place_is_kept(bank_for):
    tune = band(4)
    mixer = played(Mixer(bank_for(tune), tune))
    listen(mixer, SAMPLE_RATE)
    place = mixer.position
    mixer.stop()
    sound = listen(mixer, SAMPLE_RATE)
    assert sound[:LOOK_AHEAD].any()
    assert not sound[STOP_FRAMES + LOOK_AHEAD + 1 :].any()
    assert mixer.silent
    assert mixer.position == place == pytest.approx(tune.quarter_at(1.0), abs=1e-4)


def test_playing_ends_with_the_form_and_the_tails_ring_out(bank_for):
    tune = band(1, 240.0)
    mixer = played(Mixer(bank_for(tune), tune))
    listen(mixer, round(tune.seconds_at(4.0) * SAMPLE_RATE))
    assert not mixer.playing
    assert not mixer.silent
    listen(mixer, 8 * SAMPLE_RATE)
    assert mixer.silent
    assert not mixer.read(PERIOD).any()


def test_the_playhead_is_a_function_of_the_frames_read():
    mixer = played(Mixer(Nothing(), band(8, 117.0)), 2.5)
    for _ in range(40):
        before, clock = mixer.position, mixer.clock
        mixer.read(PERIOD)
        assert mixer.clock - clock == PERIOD
        assert mixer.position - before == pytest.approx(PERIOD / SAMPLE_RATE * 117.0 / 60.0, abs=1e-9)


def test_a_tempo_change_keeps_the_musical_place_and_every_note_comes_once():
    tune = timeline(*(note("tune", i * 0.37, 50 + i, 0.3) for i in range(60)), bpm=160.0)
    mixer = played(Mixer(Nothing(), tune))
    mixer.changes = []
    tempi = (160.3, 155.5, 151.1, 149.9, 320.0, 40.0, 133.3)
    for index in range(3000):
        if not mixer.playing:
            break
        if index % 3 == 0:
            place = mixer.position
            mixer.set_timeline(tune.at_tempo(tempi[index // 3 % len(tempi)]))
            assert mixer.position == pytest.approx(place, abs=0.5 / 7200)
        mixer.read(479)
    assert not mixer.playing
    struck = [change.pitch for change in mixer.changes if change.on]
    assert struck == [50 + i for i in range(60)]


def test_an_edited_chord_is_heard_at_once_and_the_rest_goes_on():
    held = [note("piano", 0, pitch, 8.0) for pitch in (60, 64, 67)]
    mixer = played(Mixer(Tones(), timeline(*held)))
    mixer.changes = []
    listen(mixer, SAMPLE_RATE)
    mixer.changes.clear()
    mixer.set_timeline(timeline(held[0], held[2], note("piano", 0, 63, 8.0)))
    listen(mixer, PERIOD)
    assert [(change.on, change.pitch) for change in mixer.changes] == [(False, 64), (True, 63)]
    assert all(change.frame == SAMPLE_RATE for change in mixer.changes)


def test_a_note_shortened_under_way_ends_at_its_new_end():
    mixer = played(Mixer(Tones(), timeline(note("piano", 0, 60, 8.0), bpm=120.0)))
    mixer.changes = []
    listen(mixer, PERIOD * 10)
    mixer.set_timeline(timeline(note("piano", 0, 60, 2.0), bpm=120.0, length=8.0))
    listen(mixer, SAMPLE_RATE * 2)
    assert [(change.on, change.frame) for change in mixer.changes] == [(True, 0), (False, SAMPLE_RATE)]


def test_playing_into_a_held_chord_takes_it_up():
    mixer = Mixer(Tones(), timeline(note("piano", 0, 60, 8.0), note("drums", 0, 49, 8.0)))
    mixer.changes = []
    mixer.play(3.0)
    sound = listen(mixer, SAMPLE_RATE // 2)
    assert [change.part for change in mixer.changes] == ["piano"]
    assert np.abs(sound[FADE_FRAMES + LOOK_AHEAD :]).max() > 0.01


def test_a_note_that_never_lasted_is_not_told():
    mixer = Mixer(Tones(), timeline(note("piano", 0, 60, 8.0)))
    mixer.changes = []
    mixer.play(2.0)
    mixer.stop()
    mixer.read(PERIOD)
    assert mixer.changes == []


def test_the_count_in_is_heard_once_before_the_start():
    tune = band(4, 120.0)
    mixer = Mixer(Clicks(), tune)
    for part in PARTS:
        mixer.set_muted(part, part != "click")
    mixer.set_loop((4.0, 8.0))
    mixer.play(4.0, count_in=True)
    assert mixer.counting_in
    assert mixer.position == 0.0
    sound = listen(mixer, 8 * SAMPLE_RATE)
    assert attacks(sound) == [0, 24000, 48000, 72000]
    assert not mixer.counting_in
    assert mixer.position == pytest.approx(8.0 - 4.0)


def test_the_first_beat_follows_the_count_in_exactly():
    clicks = tuple(note("click", float(beat - 3), CLICK_HIGH, 0.1) for beat in range(3))
    tune = Timeline(173.0, 6.0, 3.0, (note("piano", 2.0, 60),), clicks)
    mixer = played(Mixer(Clicks(), tune), 2.0, count_in=True)
    beat = 60 / 173.0 * SAMPLE_RATE
    assert attacks(listen(mixer, 2 * SAMPLE_RATE)) == [pytest.approx(beat * k, abs=1.01) for k in range(4)]


def test_stopping_inside_the_count_in_returns_to_the_start():
    mixer = played(Mixer(Nothing(), band(4)), 4.0, count_in=True)
    mixer.read(PERIOD)
    mixer.stop()
    assert mixer.position == pytest.approx(4.0, abs=1e-4)
    assert not mixer.counting_in


@pytest.mark.parametrize("closing", [42, 44])
def test_the_closed_hi_hat_ends_the_open_one(bank_for, closing):
    # General MIDI Level 1 percussion (RP003): 42 closed, 44 pedal, 46 open; one pair of cymbals in the world.
    ring = timeline(note("drums", 0, 46, 0.2, velocity=127), bpm=120.0, length=4.0)
    shut = timeline(*ring.events, note("drums", 1, closing, 0.2, velocity=1), bpm=120.0, length=4.0)
    bank = bank_for(ring, shut)
    free, choked = (listen(played(Mixer(bank, tune)), SAMPLE_RATE) for tune in (ring, shut))
    assert np.array_equal(free[:24000], choked[:24000])
    late = slice(24000 + 4800, 24000 + 9600)
    assert np.abs(choked[late]).max() < 0.05 * np.abs(free[late]).max()


def test_a_take_s_own_hi_hat_leaves_the_standard_s_ring():
    events = (note("drums", 0, 46, side="standard"), note("drums", 1, 42, side="take"))
    alone, both = (
        listen(played(Mixer(Tones(), timeline(*chosen, length=4.0))), SAMPLE_RATE) for chosen in (events[:1], events)
    )
    assert np.array_equal(alone, both)


@pytest.mark.parametrize("part", list(PARTS))
def test_a_muted_part_is_silent_and_comes_back_in_place(part):
    tune = timeline(*(note(part, place / 2, 60, 0.4) for place in range(16)), bpm=120.0)
    mixer = Mixer(Clicks(), tune)
    mixer.set_muted(part, True)
    mixer.play()
    assert not listen(mixer, SAMPLE_RATE).any()
    mixer.set_muted(part, False)
    # The click of the first frame meets a gain that has only begun to rise.
    assert attacks(listen(mixer, SAMPLE_RATE)) == [12000, 24000, 36000]


def test_levels_scale_and_are_clamped():
    tune = timeline(note("piano", 0, 60, 8.0))
    heights = []
    for level in (0.25, 0.5, 1.0, 9.0):
        mixer = Mixer(Tones(), tune)
        mixer.set_level("piano", level)
        heights.append(float(np.abs(listen(played(mixer), SAMPLE_RATE)).max()))
    assert heights[1:] == [pytest.approx(2 * heights[0]), pytest.approx(4 * heights[0]), heights[2]]


def test_unknown_names_are_refused_in_words():
    mixer = Mixer(Nothing())
    with pytest.raises(TimelineError, match="no such part"):
        mixer.set_level("kazoo", 1.0)
    with pytest.raises(TimelineError, match="choose standard or take"):
        mixer.set_side("both")
    with pytest.raises(TimelineError, match="make it longer"):
        mixer.set_loop((2.0, 2.0))


def test_a_thousand_notes_at_once_are_bounded_in_number_and_in_height(bank_for):
    crowd = timeline(*(note("piano", 0, 36 + i % 48, 8.0, velocity=127) for i in range(1000)))
    mixer = Mixer(bank_for(crowd), crowd)
    mixer.set_master(1.0)
    mixer.play()
    sound = listen(mixer, SAMPLE_RATE)
    assert mixer.voice_count <= 2 * MAX_VOICES
    assert np.abs(sound).max() <= CEILING


def test_notes_not_yet_rendered_are_counted_and_later_ones_sound():
    source = Nothing()
    mixer = played(Mixer(source, timeline(note("piano", 0, 60, 0.5), note("piano", 1, 60, 0.5))))
    assert not listen(mixer, PERIOD).any()
    assert mixer.missed == 1
    source.get = Clicks().get
    assert attacks(listen(mixer, SAMPLE_RATE)) == [24000 - PERIOD]


def test_a_held_note_that_is_rendered_late_rises_in_its_place():
    tune = timeline(note("piano", 0, 60, 8.0))
    source, tones = Nothing(), Tones()
    mixer = played(Mixer(source, tune))
    whole = listen(played(Mixer(tones, tune)), PERIOD * 10)
    assert not listen(mixer, PERIOD * 4).any()
    source.get = tones.get
    late = listen(mixer, PERIOD * 6)
    assert smooth(late, float(np.abs(whole).max()))
    settled = FADE_FRAMES + LOOK_AHEAD
    assert np.array_equal(late[settled:], whole[PERIOD * 4 + settled :])


def test_a_loop_shortened_away_by_an_edit_is_dropped():
    mixer = played(Mixer(Nothing(), band(8)), 28.0)
    mixer.set_loop((28.0, 32.0))
    mixer.set_timeline(band(2))
    assert mixer.loop is None
    mixer.read(PERIOD)
    mixer.read(PERIOD)
    assert not mixer.playing


def test_looping_on_and_on_gathers_nothing(bank_for):
    tune = band(1, 240.0)
    mixer = Mixer(bank_for(tune), tune)
    mixer.set_loop((0.0, 4.0))
    mixer.play()
    counts = []
    for _ in range(25):
        listen(mixer, SAMPLE_RATE)
        counts.append(mixer.voice_count)
    assert max(counts[10:]) == max(counts[10:15])
    assert mixer.playing


def test_a_place_beyond_the_loop_is_played_to_the_end_of_the_form():
    mixer = Mixer(Nothing(), band(4, 240.0))
    mixer.set_loop((0.0, 4.0))
    mixer.play(12.0)
    listen(mixer, 2 * SAMPLE_RATE)
    assert not mixer.playing


def test_an_anticipation_before_the_loop_s_end_and_the_next_bar_s_downbeat():
    events = [note("piano", 3.5, 60, 1.0), note("piano", 4.0, 72, 1.0), note("piano", 0.0, 48, 0.5)]
    mixer = Mixer(Nothing(), Timeline(137.0, 8.0, events=sort_events(events)))
    mixer.changes = []
    mixer.set_loop((0.0, 4.0))
    mixer.play()
    listen(mixer, 40 * SAMPLE_RATE)
    struck = [change.pitch for change in mixer.changes if change.on]
    assert 72 not in struck
    assert struck[:6] == [48, 60] * 3
