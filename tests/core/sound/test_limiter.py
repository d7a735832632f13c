"""The limiter: exact below its ceiling, never above it."""

from __future__ import annotations

import numpy as np
import pytest

from core.sound.limiter import CEILING, LOOK_AHEAD, Limiter


def run(signal: np.ndarray, block: int = 480) -> np.ndarray:
    limiter = Limiter()
    padded = np.concatenate((signal, np.zeros((2, LOOK_AHEAD), dtype=np.float32)), axis=1)
    out = [limiter.process(padded[:, at : at + block]) for at in range(0, padded.shape[1], block)]
    return np.concatenate(out, axis=1)[:, LOOK_AHEAD:]


def noise(height: float, frames: int = 24_000, seed: int = 7) -> np.ndarray:
    values = np.random.default_rng(seed).uniform(-1.0, 1.0, (2, frames)) * height
    return values.astype(np.float32)


def test_the_ceiling_is_minus_one_decibel():
    assert 20 * np.log10(CEILING) == pytest.approx(-1.0)


def test_below_the_ceiling_it_only_delays():
    signal = noise(0.89)
    assert np.array_equal(run(signal), signal)


@pytest.mark.parametrize("block", [1, 7, 48, 480, 24_000])
@pytest.mark.parametrize("height", [1.0, 4.0, 1e4, 1e30])
def test_nothing_passes_the_ceiling(height, block):
    frames = 600 if block == 1 else 24_000
    assert np.abs(run(noise(height, frames), block)).max() <= CEILING


def test_values_that_are_no_numbers_become_silence():
    signal = noise(0.5)
    signal[0, 100], signal[1, 2000], signal[0, 3000] = np.nan, np.inf, -np.inf
    out = run(signal)
    assert np.isfinite(out).all()
    assert np.abs(out).max() <= CEILING


def test_a_peak_is_turned_down_before_it_comes_and_without_a_step():
    signal = np.full((2, 9600), 0.5, dtype=np.float32)
    signal[:, 4800] = 5.0
    out = run(signal)
    assert out[0, 4800] == pytest.approx(CEILING, rel=0.01)
    beside = np.delete(out[0], 4800)
    assert np.abs(np.diff(beside)).max() < 0.5 / LOOK_AHEAD * 1.1
    assert np.array_equal(out[:, :4700], signal[:, :4700])


def test_it_comes_back_to_exactly_one():
    limiter = Limiter()
    limiter.process(noise(3.0))
    for _ in range(130):
        limiter.process(np.zeros((2, 480), dtype=np.float32))
    assert limiter.empty
    assert limiter._reduction == 0.0
    signal = noise(0.5, 480)
    assert np.array_equal(limiter.process(signal)[:, LOOK_AHEAD:], signal[:, :-LOOK_AHEAD])
