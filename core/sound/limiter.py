"""A look-ahead peak limiter: transparent below its ceiling, never above it.

The gain wanted by each frame is held over the look-ahead, let go exponentially, then averaged over the look-ahead, so
that it has come down before the peak leaves the delay line and no step is heard. All is done on whole blocks.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float32]

CEILING = 10 ** (-1.0 / 20)
"""-1 dB full scale."""
LOOK_AHEAD = 48
"""Frames of delay: 1 ms at 48 kHz."""
RELEASE_FRAMES = 4800.0
"""Time constant with which the gain returns: 100 ms at 48 kHz."""

_AIM = CEILING * 0.9999
_FORGET = 1e-5


class Limiter:
    """Stereo limiter; ``process`` keeps the length of its block and delays it by ``LOOK_AHEAD`` frames."""

    def __init__(self) -> None:
        self._tail: Floats = np.zeros((2, LOOK_AHEAD), dtype=np.float32)
        self.reset()

    @property
    def empty(self) -> bool:
        """True when no sound waits in the delay line."""
        return not self._tail.any()

    def reset(self) -> None:
        """Forget past peaks: for use in silence, where a gain that returns cannot be heard."""
        self._wanted = np.zeros(LOOK_AHEAD)
        self._held = np.zeros(LOOK_AHEAD - 1)
        self._reduction = 0.0

    def process(self, block: Floats) -> Floats:
        """The block (2, n), delayed and limited. Values that are no numbers become silence."""
        peak = np.abs(block).max(axis=0) if block.shape[1] else np.zeros(0, dtype=np.float32)
        if peak.size and not np.isfinite(peak.max()):
            block = np.nan_to_num(block, nan=0.0, posinf=0.0, neginf=0.0)
            peak = np.abs(block).max(axis=0)
        joined = np.concatenate((self._tail, block), axis=1)
        self._tail = joined[:, block.shape[1] :].copy()
        out = joined[:, : block.shape[1]]
        quiet = not peak.size or float(peak.max()) <= _AIM
        if quiet and self._reduction == 0.0 and not self._wanted.any() and not self._held.any():
            return out
        gain = 1.0 - self._smoothed(peak.astype(np.float64))
        return np.clip((out * gain).astype(np.float32), -CEILING, CEILING)

    def _smoothed(self, peak: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        """Reduction 0..1 for each frame that leaves the delay line."""
        size = peak.size
        wanted = np.concatenate((self._wanted, 1.0 - _AIM / np.maximum(peak, _AIM)))
        held = np.lib.stride_tricks.sliding_window_view(wanted, LOOK_AHEAD + 1).max(axis=1)
        falling = np.exp(np.arange(1, size + 1) / -RELEASE_FRAMES)
        held = np.maximum(np.maximum.accumulate(held / falling), self._reduction) * falling
        run = np.concatenate((self._held, held))
        total = np.cumsum(np.concatenate(((0.0,), run)))
        self._wanted = wanted[size:]
        self._held = run[size:]
        self._reduction = float(held[-1]) if held[-1] > _FORGET else 0.0
        if self._reduction == 0.0:
            self._held = np.where(self._held > _FORGET, self._held, 0.0)
        mean: npt.NDArray[np.float64] = (total[LOOK_AHEAD:] - total[:-LOOK_AHEAD]) / LOOK_AHEAD
        return mean


class Unlimited(Limiter):
    """Delays as the limiter does and leaves the sound alone: parts written one by one then add up to the whole."""

    def process(self, block: Floats) -> Floats:
        """The block (2, n), delayed."""
        joined = np.concatenate((self._tail, block), axis=1)
        self._tail = joined[:, block.shape[1] :].copy()
        return joined[:, : block.shape[1]]
