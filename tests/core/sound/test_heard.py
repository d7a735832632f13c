"""The demo charts as they are heard: the mixed sound is analysed, with no look at how it was made.

Pitches are those of equal temperament at A = 440 Hz (ISO 16); notes are numbered as in MIDI 1.0.
"""

from __future__ import annotations

import random
from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest

from core.arrange import arrange
from core.chart import Chart
from core.files import load_chart
from core.pitch import chromatic
from core.places import folder
from core.sound.bank import SAMPLE_RATE
from core.sound.limiter import CEILING, LOOK_AHEAD
from core.sound.mixer import Mixer
from core.timeline import HEARD_SIDES, NoteEvent, Timeline

CHARTS = ("harbour_lamps", "ferry_steps", "low_water_blues")
PITCHED = ("piano", "bass", "tune")
MILLISECOND = SAMPLE_RATE // 1000
BEGUN = 10 ** (-50 / 20)
"""A note is heard from where it comes within 50 dB of its peak; common practice, no source."""


@lru_cache(maxsize=4)
def chart_of(name: str) -> Chart:
    return load_chart(folder("demo_charts") / f"{name}.changes.json")[0]


@lru_cache(maxsize=4)
def tune_of(name: str) -> Timeline:
    chart = chart_of(name)
    return arrange(chart, chart.takes[0].name)


def mixer_of(bank_for, name: str, side: str = "take", *, without: tuple[str, ...] = (), master: float = 0.5) -> Mixer:
    tune = tune_of(name)
    mixer = Mixer(bank_for(tune), tune)
    mixer.set_side(side)
    mixer.set_master(master)
    for part in without:
        mixer.set_muted(part, True)
    return mixer


def heard(mixer: Mixer, seconds: float) -> np.ndarray:
    """Frames (n, 2) without the limiter's delay."""
    return mixer.read(int(seconds * SAMPLE_RATE) + LOOK_AHEAD)[LOOK_AHEAD:]


def hertz(pitch: float) -> float:
    return 440.0 * 2 ** ((pitch - 69) / 12)


def spectrum(sound: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Frequencies and magnitudes of a piece, zero-padded eight times."""
    mono = sound.mean(axis=1) * np.hanning(sound.shape[0])
    size = 8 * sound.shape[0]
    return np.fft.rfftfreq(size, 1 / SAMPLE_RATE), np.abs(np.fft.rfft(mono, size))


def cents_off(sound: np.ndarray, pitch: int, partials: tuple[int, ...] = (1, 2, 3)) -> float:
    """How far the strongest of some partials lies from where a note of this pitch has it."""
    frequencies, sizes = spectrum(sound)
    best = (0.0, 0.0)
    for partial in partials:
        wanted = hertz(pitch) * partial
        near = np.flatnonzero(np.abs(frequencies / wanted - 1) < 0.04)
        peak = near[np.argmax(sizes[near])]
        best = max(best, (float(sizes[peak]), 1200 * float(np.log2(frequencies[peak] / wanted))))
    return best[1]


@pytest.mark.parametrize("part", ["bass", "tune"])
@pytest.mark.parametrize("name", CHARTS)
def test_lines_are_in_tune_in_the_mix(bank_for, name, part):
    tune = tune_of(name)
    others = tuple(other for other in (*PITCHED, "drums") if other != part)
    notes = [
        e for e in tune.events if e.part == part and e.side in ("both", "take") and tune.seconds_at(e.duration) > 0.3
    ]
    assert len(notes) >= 6
    for event in random.Random(4).sample(notes, 6):
        mixer = mixer_of(bank_for, name, without=others)
        mixer.play(event.onset)
        sound = heard(mixer, min(0.6, tune.seconds_at(event.duration)))[5 * MILLISECOND :]
        # The attack blurs a low fundamental over half a second; the partials above it are clear.
        assert abs(cents_off(sound, event.pitch, (3, 4, 5) if part == "bass" else (1, 2, 3))) <= 10, event


def test_every_piano_note_of_a_tune_is_in_tune(bank_for):
    pitches = sorted({e.pitch for name in CHARTS for e in tune_of(name).events if e.part == "piano"})
    events = tuple(NoteEvent("piano", "both", 2.0 * k, 1.5, pitch, 90) for k, pitch in enumerate(pitches))
    tune = Timeline(120.0, 2.0 * len(pitches), events=events)
    mixer = Mixer(bank_for(tune), tune)
    mixer.play()
    for pitch in pitches:
        sound = heard(mixer, 1.0 - LOOK_AHEAD / SAMPLE_RATE)
        assert abs(cents_off(sound[:32_000], pitch, (1, 2))) <= 10, pitch


@pytest.mark.parametrize("name", CHARTS)
def test_every_onset_is_where_the_timeline_has_it(bank_for, name):
    """The mix with and without one note: where the two part is where that note is heard."""
    tune = tune_of(name)
    bank = bank_for(tune)
    chance = random.Random(7)
    for part in (*PITCHED, "drums"):
        notes = [
            event for event in tune.events if event.part == part and event.side in ("both", "take") and event.onset > 1
        ]
        for event in chance.sample(notes, 4):
            rest = replace(tune, events=tuple(other for other in tune.events if other is not event))
            found = []
            for played in (tune, rest):
                mixer = Mixer(bank, played)
                mixer.set_side("take")
                mixer.play(event.onset - 0.5)
                found.append(heard(mixer, tune.seconds_at(0.5) + 0.1))
            apart = np.abs(found[0] - found[1]).max(axis=1)
            begun = np.flatnonzero(apart > BEGUN * apart.max())[0]
            wanted = tune.seconds_at(event.onset) - tune.seconds_at(event.onset - 0.5)
            assert abs(begun / SAMPLE_RATE - wanted) <= 0.001, event


def low_tone(sound: np.ndarray) -> int:
    """The pitch class of the strongest tone from 38 to 200 Hz, a tone being a fundamental with its octave.

    A plucked string thumps below its pitch when it is struck; the thump has no octave.
    """
    frequencies, sizes = spectrum(sound)
    strength = np.zeros((12, 3))
    for at in np.flatnonzero((frequencies > 38) & (frequencies < 200)):
        if sizes[at - 1] < sizes[at] > sizes[at + 1]:
            pitch = round(69 + 12 * float(np.log2(frequencies[at] / 440.0)))
            place = (pitch % 12, pitch // 12 - 2)
            strength[place] = max(strength[place], sizes[at])
    return int(np.argmax(strength.sum(axis=1)))


@pytest.mark.parametrize("side", HEARD_SIDES)
@pytest.mark.parametrize("name", CHARTS)
def test_every_root_and_slash_bass_is_the_strongest_low_tone(bank_for, name, side):
    chart, tune = chart_of(name), tune_of(name)
    row = chart.standard if side == "standard" else chart.takes[0].row
    mixer = mixer_of(bank_for, name, side, without=("drums",))
    missed, asked, before = [], 0, None
    for slot in row:
        again, before = slot.chord == before, slot.chord
        if slot.chord is None or again:  # in the second bar of a chord the bass may go where it likes
            continue
        asked += 1
        mixer.stop()
        mixer.read(2400)
        mixer.play(float(slot.onset))
        sound = heard(mixer, min(0.5, tune.seconds_at(min(1.0, float(slot.duration)))))
        bass = slot.chord.root if slot.chord.bass is None else slot.chord.bass
        if (found := low_tone(sound)) != chromatic(bass):
            missed.append((float(slot.onset), slot.text, found))
    assert asked >= 12
    assert missed == []


@pytest.mark.parametrize("name", CHARTS)
def test_the_level_is_moderate_and_both_rows_are_as_loud(bank_for, name):
    levels = {}
    for side in HEARD_SIDES:
        mixer = mixer_of(bank_for, name, side)
        mixer.play()
        sound = heard(mixer, 12.0)
        levels[side] = 20 * np.log10(np.sqrt(np.mean(sound**2)))
        assert 0.05 < np.abs(sound).max() < 0.7
    assert all(-34 < level < -16 for level in levels.values()), levels
    # A fair comparison: rows within 1 dB, the smallest step most listeners notice; common practice, no source.
    assert abs(levels["standard"] - levels["take"]) < 1.0


@pytest.mark.parametrize("name", CHARTS)
def test_nothing_clips_with_everything_turned_up(bank_for, name):
    mixer = mixer_of(bank_for, name, master=1.0)
    for part in (*PITCHED, "drums"):
        mixer.set_level(part, 1.0)
    mixer.play()
    sound = heard(mixer, 15.0)
    assert np.abs(sound).max() <= CEILING
    # A signal that is cut has runs of equal samples at its ceiling; one that is turned down in time has none.
    flat = (np.abs(sound[1:]) > 0.98 * CEILING) & (np.abs(np.diff(sound, axis=0)) < 1e-6)
    assert not (flat[1:] & flat[:-1]).any()


def edge(sound: np.ndarray) -> float:
    """The largest jump of the second difference: a click stands out in it, a loud low note does not."""
    return float(np.abs(np.diff(sound, 2, axis=0)).max())


BEFORE, AFTER = 200, 1_000
"""Frames looked at round a change-over: it takes 480 frames and comes out 48 frames late."""
CLICK = 1.1
"""An edge so many times as sharp as those of the sounds it was made from is a click."""


def round_a_switch(bank_for, name: str, start: float, frames: int, action: str) -> np.ndarray:
    mixer = mixer_of(bank_for, name, "take" if action == "take" else "standard", without=("drums",))
    mixer.play(start)
    before = mixer.read(frames)
    if action == "switch":
        mixer.set_side("take")
    return np.concatenate((before[-BEFORE:], mixer.read(AFTER)))


@pytest.mark.parametrize("name", CHARTS)
def test_no_click_where_the_rows_change_over(bank_for, name):
    chance = random.Random(11)
    spliced = 0
    for _ in range(12):
        place = (chance.random() * (tune_of(name).length - 8), 12_000 + chance.randrange(960))
        switched, standard, take = (
            round_a_switch(bank_for, name, *place, what) for what in ("switch", "standard", "take")
        )
        limit = CLICK * max(edge(standard), edge(take))
        assert edge(switched) <= limit
        spliced += edge(np.concatenate((standard[:BEFORE], take[BEFORE:]))) > limit
    assert spliced >= 3, "without a crossing this test would hear clicks wherever the rows differ"


@pytest.mark.parametrize("name", CHARTS)
def test_no_click_where_a_loop_begins_again_and_tails_ring_over(bank_for, name):
    bars = tune_of(name).bars
    for first in (1, 4, 7):
        frames = round(tune_of(name).seconds_at(bars[first + 2] - bars[first]) * SAMPLE_RATE)
        sounds = []
        for loop in (True, False):
            mixer = mixer_of(bank_for, name, without=("drums",))
            mixer.set_loop((bars[first], bars[first + 2]) if loop else None)
            mixer.play(bars[first])
            sounds.append(mixer.read(2 * frames)[LOOK_AHEAD:])
        looped, onward = (sound[frames - 500 : frames + 500] for sound in sounds)
        assert edge(looped) <= CLICK * (edge(onward) + edge(sounds[0][:500]))
        # In the first pass nothing rang before; in the second the release of the last notes is heard under the first.
        rest = sounds[0][frames + MILLISECOND : frames + 40 * MILLISECOND] - sounds[0][MILLISECOND : 40 * MILLISECOND]
        assert np.abs(rest).max() > 1e-4


@pytest.mark.parametrize("name", CHARTS)
def test_silence_after_stop_and_a_natural_end(bank_for, name):
    mixer = mixer_of(bank_for, name)
    mixer.play(8.0)
    mixer.read(SAMPLE_RATE)
    mixer.stop()
    assert mixer.read(960).any()
    assert not mixer.read(SAMPLE_RATE).any()
    mixer.play(tune_of(name).length - 2.0)
    while mixer.playing:
        mixer.read(480)
    tail = mixer.read(8 * SAMPLE_RATE)
    sizes = np.abs(tail).reshape(-1, 4800, 2).max(axis=(1, 2))
    assert sizes[0] > 1e-3, "the last notes ring on"
    assert sizes[3] < sizes[0]
    assert not sizes[-5:].any(), "and die away"
