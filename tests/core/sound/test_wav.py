"""A wave file is the mixer's own sound, whole or not there at all."""

from __future__ import annotations

import wave

import numpy as np
import pytest

from core.errors import FileError
from core.sound.bank import SAMPLE_RATE
from core.sound.limiter import LOOK_AHEAD
from core.sound.mixer import Mixer
from core.sound.wav import render_wav
from core.timeline import TimelineError
from tests.core.sound.tunes import band, note, timeline


def read(path) -> np.ndarray:
    with wave.open(str(path)) as file:
        assert (file.getframerate(), file.getnchannels(), file.getsampwidth()) == (48_000, 2, 2)
        return np.frombuffer(file.readframes(file.getnframes()), "<i2").reshape(-1, 2)


def test_it_holds_what_the_mixer_plays_and_all_tails(bank_for, tmp_path):
    tune, path = band(2), tmp_path / "tune.wav"
    bank = bank_for(tune)
    done = render_wav(tune, "take", path, bank=bank)
    mixer = Mixer(bank, tune)
    mixer.set_master(1.0)
    mixer.set_side("take")
    mixer.play()
    frames = round(tune.seconds_at(8.0) * SAMPLE_RATE)
    live = np.rint(mixer.read(frames)[LOOK_AHEAD:] * 32767)
    sound = read(path)
    assert np.array_equal(sound[: frames - LOOK_AHEAD], live)
    assert sound[frames:].any()
    assert not sound[-1].any()
    assert done.seconds == pytest.approx(sound.shape[0] / SAMPLE_RATE, abs=0.01)
    assert done.peak == pytest.approx(np.abs(sound).max() / 32767, abs=1e-4)


def test_a_note_begins_within_a_millisecond(bank_for, tmp_path):
    tune = timeline(note("drums", 1.37, 37, velocity=127), bpm=111.0, length=3.0)
    path = tmp_path / "stick.wav"
    render_wav(tune, "standard", path, bank=bank_for(tune), muted=frozenset())
    sound = np.abs(read(path)).max(axis=1)
    # The stick's own sample rises within a few frames; a hundredth of its peak is its beginning.
    begin = int(np.argmax(sound > sound.max() / 100))
    assert begin / SAMPLE_RATE == pytest.approx(tune.seconds_at(1.37), abs=0.001)


def test_a_section_is_repeated_without_a_gap(bank_for, tmp_path):
    tune, path = band(4, 133.7), tmp_path / "loop.wav"
    render_wav(tune, "standard", path, bank=bank_for(tune), section=(4.0, 8.0), passes=3, muted=frozenset(("drums",)))
    sound = read(path).astype(float)
    length = 4 * 60 / 133.7 * SAMPLE_RATE
    second, third = (sound[round(length * k) + 9600 : round(length * k) + 60_000] for k in (1, 2))
    shared = np.sum(second * third) / np.sqrt(np.sum(second**2) * np.sum(third**2))
    assert shared > 0.99
    assert sound.shape[0] < 3 * length + 3 * SAMPLE_RATE


def test_the_count_in_is_there_on_request(bank_for, tmp_path):
    tune = band(1, 120.0)
    for count_in in (False, True):
        render_wav(tune, "standard", tmp_path / f"{count_in}.wav", bank=bank_for(tune), count_in=count_in)
    plain, counted = read(tmp_path / "False.wav"), read(tmp_path / "True.wav")
    assert counted.shape[0] == plain.shape[0] + 2 * SAMPLE_RATE


def test_progress_rises_to_one_and_cancelling_leaves_no_file(bank_for, tmp_path):
    tune, path = band(2), tmp_path / "tune.wav"
    bank, seen = bank_for(tune), []
    path.write_bytes(b"older")
    assert render_wav(tune, "take", path, bank=bank, cancelled=lambda: len(seen) >= 2, progress=seen.append) is None
    assert path.read_bytes() == b"older"
    assert [item.name for item in tmp_path.iterdir()] == ["tune.wav"]
    seen.clear()
    render_wav(tune, "take", path, bank=bank, progress=seen.append)
    assert seen == sorted(seen)
    assert seen[-1] == 1.0


def test_a_folder_that_is_not_there_is_named(bank_for, tmp_path):
    tune = band(1)
    with pytest.raises(FileError, match=r"nowhere/tune\.wav"):
        render_wav(tune, "take", tmp_path / "nowhere" / "tune.wav", bank=bank_for(tune))
    with pytest.raises(FileError, match="is a folder"):
        render_wav(tune, "take", tmp_path, bank=bank_for(tune))


def test_a_section_outside_the_tune_is_refused(bank_for, tmp_path):
    tune, path = band(1), tmp_path / "tune.wav"
    with pytest.raises(TimelineError, match="make it longer"):
        render_wav(tune, "take", path, bank=bank_for(tune), section=(9.0, 12.0))
    assert not path.exists()
