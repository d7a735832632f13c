"""A timeline as one wave file a part, for mixing elsewhere: added up, they are the mix as it comes to the limiter."""

from __future__ import annotations

import wave
from collections.abc import Callable, Mapping
from contextlib import ExitStack
from pathlib import Path

import numpy as np

from core.files import write_atomic
from core.sound.bank import SAMPLE_RATE, Bank
from core.sound.limiter import LOOK_AHEAD, Unlimited
from core.sound.mixer import Mixer
from core.sound.wav import (
    BLOCK,
    FILE_MASTER,
    RENDER_SHARE,
    TAIL_SECONDS,
    CancelledError,
    Rendered,
    begin,
    fill,
    set_desk,
)
from core.timeline import PARTS, Side, Timeline

STEM_BYTES = 3
"""24 bits a sample: what the parts add up to is exact to a few millionths."""
HIGHEST = 2**23 - 1
STEM_CEILING = 0.98
_HEARD = 2**7
"""-96 dB full scale: below it a tail is over."""


def render_stems(
    timeline: Timeline,
    side: Side,
    paths: Mapping[str, Path],
    *,
    bank: Bank | None = None,
    levels: Mapping[str, float] | None = None,
    count_in: bool = False,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Rendered | None:
    """Write each part by itself, 24-bit 48 kHz stereo, all of one length; all files or none.

    Added up they are the mix of those parts as it comes to the limiter. Should one pass full scale, all are written
    lower by the same factor, so that they still add up. ``peak`` is the loudest part's. Else as ``render_wav``.
    """
    report, stop = progress or (lambda _done: None), cancelled or (lambda: False)
    bank = bank or Bank()
    if not fill(bank, timeline, report, stop):
        return None

    def write(names: Mapping[str, str], master: float) -> Rendered:
        mixers = {}
        for part in names:
            mixers[part] = Mixer(bank, timeline, Unlimited())
            set_desk(mixers[part], side, levels or {}, [other for other in PARTS if other != part], master)
            frames = begin(mixers[part], count_in, None, 1)
        return _write(mixers, frames, names, report, stop)

    written: list[Rendered] = []

    def write_all(names: Mapping[str, str]) -> None:
        found = write(names, FILE_MASTER)
        if found.peak > 1.0:
            found = write(names, FILE_MASTER * STEM_CEILING / found.peak)
        written.append(found)

    try:
        _all_atomic(dict(paths), {}, write_all)
    except CancelledError:
        return None
    return written[0]


def _all_atomic(paths: dict[str, Path], names: dict[str, str], write: Callable[[Mapping[str, str]], None]) -> None:
    """Put several files in place once all of them have been written."""
    if not paths:
        write(names)
        return
    part, *_ = paths
    rest = {name: path for name, path in paths.items() if name != part}
    write_atomic(paths[part], lambda name: _all_atomic(rest, names | {part: name}, write))


def _write(
    mixers: Mapping[str, Mixer], frames: int, names: Mapping[str, str], report: Callable[[float], None],
    stop: Callable[[], bool]
) -> Rendered:  # fmt: skip
    limit = frames + int(TAIL_SECONDS * SAMPLE_RATE)
    skip, done, peak, heard = LOOK_AHEAD, 0, 0.0, True
    with ExitStack() as stack:
        files = {part: stack.enter_context(wave.open(name, "wb")) for part, name in names.items()}
        for file in files.values():
            file.setparams((2, STEM_BYTES, SAMPLE_RATE, 0, "NONE", ""))
        while done < frames or (heard and done < limit):
            if stop():
                raise CancelledError
            size = min(BLOCK, frames - done) if done < frames else min(BLOCK, limit - done)
            blocks = {part: mixer.read(size)[skip:] for part, mixer in mixers.items()}
            skip = max(0, skip - size)
            heard = False
            for part, block in blocks.items():
                samples = np.rint(block * float(HIGHEST)).clip(-HIGHEST, HIGHEST).astype("<i4")
                heard = heard or bool((np.abs(samples) > _HEARD).any())
                files[part].writeframesraw(samples.view(np.uint8).reshape(-1, 4)[:, :STEM_BYTES].tobytes())
                peak = max(peak, float(np.abs(block).max(initial=0.0)))
            done += size
            if done == frames:
                for mixer in mixers.values():
                    mixer.finish()
            report(RENDER_SHARE + (1.0 - RENDER_SHARE) * min(1.0, done / max(1, frames)))
    return Rendered(done / SAMPLE_RATE, peak)
