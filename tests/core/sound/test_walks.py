"""Whatever is done in whatever order, every note that begins ends, once, and nothing is louder than allowed."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from core.sound.limiter import CEILING
from core.sound.mixer import Mixer
from core.timeline import HEARD_SIDES, PARTS, TimelineError
from tests.core.sound.fakes import Tones
from tests.core.sound.tunes import band

SOURCE = Tones(height=12_000)
TUNES = (band(2), band(2, 90.0), band(3, 310.0), band(1))
QUARTERS = st.floats(-2.0, 14.0)

ACTIONS = st.one_of(
    st.tuples(st.just("play"), QUARTERS, st.booleans()),
    st.tuples(st.just("stop")),
    st.tuples(st.just("finish")),
    st.tuples(st.just("seek"), QUARTERS),
    st.tuples(st.just("loop"), QUARTERS, QUARTERS),
    st.tuples(st.just("unloop")),
    st.tuples(st.just("side"), st.sampled_from(HEARD_SIDES)),
    st.tuples(st.just("mute"), st.sampled_from(list(PARTS)), st.booleans()),
    st.tuples(st.just("level"), st.sampled_from(list(PARTS)), st.floats(0.0, 1.0)),
    st.tuples(st.just("tune"), st.sampled_from(range(len(TUNES)))),
    st.tuples(st.just("read"), st.integers(1, 9000)),
)


def act(mixer: Mixer, action: tuple) -> np.ndarray | None:
    """Do one action; a refused loop is a good answer too."""
    name, *values = action
    if name == "play":
        mixer.play(values[0], count_in=values[1])
    elif name == "loop":
        try:
            mixer.set_loop((values[0], values[1]))
        except TimelineError:
            return None
    elif name == "unloop":
        mixer.set_loop(None)
    elif name == "tune":
        mixer.set_timeline(TUNES[values[0]])
    elif name == "read":
        return mixer.read(values[0])
    else:
        names = {"side": "set_side", "mute": "set_muted", "level": "set_level"}
        getattr(mixer, names.get(name, name))(*values)
    return None


def balance(mixer: Mixer) -> dict[tuple[str, int], int]:
    """How many notes of each pitch are on, after checking that none ended before it began."""
    sounding: dict[tuple[str, int], int] = {}
    # As a port would: by frame, and at one frame what ends before what begins.
    for change in sorted(mixer.changes or (), key=lambda item: (item.frame, item.on)):
        key = (change.part, change.pitch)
        sounding[key] = sounding.get(key, 0) + (1 if change.on else -1)
        assert sounding[key] >= 0
    return sounding


@settings(max_examples=60, deadline=None)
@given(st.lists(ACTIONS, min_size=3, max_size=25))
def test_every_note_on_is_matched_by_one_note_off(walk):
    mixer = Mixer(SOURCE, TUNES[0])
    mixer.changes = []
    for action in walk:
        clock = mixer.clock
        sound = act(mixer, action)
        if sound is not None:
            assert np.abs(sound).max() <= CEILING
            assert mixer.clock == clock + sound.shape[0]
        assert mixer.position <= mixer.timeline.length + 0.01 or mixer.playing
        on = sum(balance(mixer).values())
        assert on == sum(voice.told is not None for voice in mixer._voices)
    mixer.stop()
    mixer.read(4800)
    assert set(balance(mixer).values()) <= {0}
    assert mixer.silent
    assert not mixer.read(960).any()


@settings(max_examples=40, deadline=None)
@given(st.lists(ACTIONS, min_size=3, max_size=15), st.integers(50, 2000))
def test_a_walk_sounds_the_same_in_any_period(walk, period):
    one, other = Mixer(SOURCE, TUNES[0]), Mixer(SOURCE, TUNES[0])
    for action in walk:
        first = act(one, action)
        if first is None:
            act(other, action)
            continue
        parts = [other.read(min(period, first.shape[0] - at)) for at in range(0, first.shape[0], period)]
        # Where the limiter works, a block's arithmetic may differ in the last bits.
        assert np.allclose(np.concatenate(parts), first, atol=2e-5)
    assert one.position == other.position
