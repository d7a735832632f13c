"""Both rows are as loud, heard through the mixer: within one decibel, as a whole and part by part."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from core.arrange import Settings, arrange, excerpt
from core.sound.bank import Bank
from core.sound.mixer import Mixer
from core.timeline import PARTS, Timeline
from core.voicing_shapes import VoicingStyle
from tests.core.arrange.measures import demo

RATE = 48_000
BARS = 8


@pytest.fixture(scope="module")
def bank() -> Bank:
    return Bank()


def decibels(bank: Bank, timeline: Timeline, side: str, parts: frozenset[str]) -> float:
    """The mean level of a side, in decibels of full scale."""
    mixer = Mixer(bank, timeline)
    mixer.set_side(side)  # type: ignore[arg-type]
    for part in PARTS:
        mixer.set_muted(part, part not in parts)
    mixer.play(0.0)
    frames = int(timeline.seconds_at(timeline.length) * RATE)
    energy = float(np.square(mixer.read(frames).astype(np.float64)).mean())
    return float(10 * np.log10(energy))


CASES = [("low_water_blues.changes.json", "rootless"), ("harbour_lamps.changes.json", "rootless"),
         ("ferry_steps.changes.json", "spread")]  # fmt: skip


@pytest.mark.parametrize(("name", "style"), CASES)
def test_the_sides_are_within_a_decibel(bank: Bank, name: str, style: VoicingStyle) -> None:
    built = demo(name)
    whole = arrange(built, built.takes[0].name, settings=Settings(seed=3, voicing=style))
    timeline = excerpt(whole, 0.0, whole.bars[BARS] if len(whole.bars) > BARS else whole.length)
    bank.fill(timeline)
    for parts in (frozenset(PARTS), frozenset(("piano",)), frozenset(("bass",))):
        standard, take = (decibels(bank, timeline, side, parts) for side in ("standard", "take"))
        assert standard > -60
        assert take != standard
        assert abs(take - standard) <= 1.0


def test_the_piano_is_below_the_bass_and_neither_covers_the_tune(bank: Bank) -> None:
    # A balance of ours: no part more than 10 dB from the tune, drums aside; common practice, no source.
    built = demo("harbour_lamps.changes.json")
    timeline = excerpt(arrange(built, built.takes[0].name), 0.0, 32.0)
    bank.fill(timeline)
    levels = {part: decibels(bank, timeline, "take", frozenset((part,))) for part in ("piano", "bass", "tune")}
    assert levels["piano"] < levels["bass"]
    for one, other in product(levels.values(), repeat=2):
        assert abs(one - other) <= 10
