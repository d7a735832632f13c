"""Ten thousand random actions on engine and mixer: every note-on is matched by a note-off, and nothing sounds at last."""

from __future__ import annotations

import random
from collections import Counter

import numpy as np
import pytest

from app.player.device import DeviceInfo
from app.player.engine import Engine
from core.sound.limiter import CEILING
from core.sound.mixer import Mixer
from core.timeline import HEARD_SIDES, PARTS
from tests.app.player.test_engine import HandOutput
from tests.core.sound.fakes import Tones
from tests.core.sound.tunes import band

ACTIONS = 10_000
TUNES = tuple(band(bars, bpm) for bars, bpm in ((2, 132.0), (3, 66.0), (4, 320.0), (1, 40.0)))
WHENS = ("now", "bar", "loop")


class Walk:
    """An engine that is told things at random, and what a port would hear of it."""

    def __init__(self, seed: int) -> None:
        self.chance = random.Random(seed)
        self.engine = Engine(Mixer(Tones(height=9_000), TUNES[0]))
        self.output = HandOutput()
        self.engine.attach(self.output)
        self.on: Counter[tuple[str, int]] = Counter()
        self.ons = self.offs = 0
        self.last = 0.0
        self.engine.on_notes = self.hear

    def hear(self, notes: list[tuple[float, bool, str, int, int]]) -> None:
        # As a port sends them: by time, and at one time what ends before what begins.
        for at, on, part, pitch, _velocity in sorted(notes, key=lambda note: note[:2]):
            assert at >= self.last
            self.last = at
            self.ons, self.offs = self.ons + on, self.offs + (not on)
            self.on[part, pitch] += 1 if on else -1
            assert self.on[part, pitch] >= 0, "a note ended that had not begun"

    def step(self) -> None:
        chance, do = self.chance, self.engine.do
        place, end, tune = chance.uniform(-2, 18), chance.uniform(-2, 18), chance.choice(TUNES)
        part, side, flag = chance.choice(list(PARTS)), chance.choice(HEARD_SIDES), chance.random() < 0.4
        when, passes, level = chance.choice(WHENS), chance.randint(1, 3), chance.random()
        actions = (
            (5, lambda mixer: mixer.play(place, count_in=flag)),
            (2, lambda mixer: mixer.stop()),
            (1, lambda mixer: mixer.finish()),
            (4, lambda mixer: mixer.seek(place)),
            (3, lambda mixer: mixer.set_loop((place, end), passes if flag else None)),
            (1, lambda mixer: mixer.set_loop(None)),
            (4, lambda mixer: mixer.set_side(side, when)),
            (3, lambda mixer: mixer.set_timeline(tune)),
            (2, lambda mixer: mixer.set_timeline(mixer.timeline.at_tempo(40.0 + 280.0 * level))),
            (2, lambda mixer: mixer.set_next(tune, passes)),
            (1, lambda mixer: mixer.set_drop_outs((passes, 1) if flag else None)),
            (2, lambda mixer: mixer.set_muted(part, flag)),
            (1, lambda mixer: mixer.set_level(part, level)),
        )
        weights, works = zip(*actions, strict=True)
        do(chance.choices(works, weights)[0])


@pytest.mark.parametrize("seed", [20_261_125])
def test_ten_thousand_actions_leave_nothing_sounding(seed):
    walk = Walk(seed)
    loudest = 0.0
    for number in range(ACTIONS):
        walk.step()
        if number % 3:  # now and then several commands come between two blocks
            continue
        loudest = max(loudest, float(np.abs(walk.output.pull(walk.chance.choice((64, 480, 960, 2_400)))).max()))
    assert loudest <= CEILING
    assert walk.ons > 1_000
    walk.engine.do(lambda mixer: mixer.stop())
    walk.output.pull()
    assert walk.ons == walk.offs
    assert not +walk.on
    walk.output.pull(4_800)
    assert not walk.output.pull().any()
    assert walk.engine._mixer.silent
    assert walk.engine._mixer.voice_count == 0
    # A loop too short to play is the only thing here that may be refused.
    assert all(problem.startswith("loop ") for problem in walk.engine.problems)


def test_requests_of_any_size_and_at_any_time_are_met():
    """A device that was held up asks for a lot at once, or for nothing, or after a long while."""
    engine = Engine(Mixer(Tones(), TUNES[1]))
    output = HandOutput()
    engine.attach(output)
    engine.do(lambda mixer: mixer.play())
    total = 0
    for frames in (960, 0, 1, 480_000, 7, 100_000):
        assert output.pull(frames).shape == (frames, 2)
        total += frames
    assert engine._mixer.clock == total
    assert not engine._mixer.playing, "the tune is over by then"
    assert not engine.problems
    assert output.pull(-5).shape == (0, 2)


def test_a_device_that_asks_while_it_is_being_answered_gets_silence_not_a_tangle():
    engine = Engine(Mixer(Tones(), TUNES[0]))
    output = HandOutput()
    engine.attach(output)
    engine.do(lambda mixer: mixer.play())
    engine.on_notes = lambda _notes: inner.append(output.pull())
    inner: list[np.ndarray] = []
    output.info = DeviceInfo("hand", "hand", False, 20, 0.0, ".")
    assert output.pull().any()
    assert inner
    assert not inner[0].any()
