"""The loader renders the urgent notes first and lets a timeline and a play in when they are there."""

from __future__ import annotations

import threading

import pytest

from app.player.loader import EmptyBank, Loader
from core.errors import FileError
from core.sound.bank import Bank
from core.sound.placement import place
from tests.app.player.helpers import until
from tests.core.sound.tunes import note, timeline

TUNE = timeline(*(note("piano", 4.0 * i, 60 + i, side="standard" if i % 2 else "take") for i in range(6)))


class GatedBank(Bank):
    """Renders nothing, in the order asked, each note when the test opens the gate."""

    def __init__(self) -> None:
        super().__init__()
        self.made: list[int] = []
        self.gate = threading.Semaphore(0)

    def get(self, key):
        return object() if key.pitch in self.made else None

    def missing(self, tune, first=()):
        plan = self.plan(tune)
        return {key: plan[key] for key in (*first, *plan) if key.pitch not in self.made}

    def render(self, key, seconds):
        assert self.gate.acquire(timeout=10)
        self.made.append(key.pitch)


@pytest.fixture
def queued() -> list[str]:
    return []


@pytest.fixture
def said() -> list[str]:
    return []


@pytest.fixture
def loader(queued, said):
    bank = GatedBank()
    made = Loader(bank, lambda _command, name, _asked: queued.append(name), lambda _done, _total: None, said.append)
    made.bank = bank
    yield made
    bank.gate.release(100)
    made.close()


def test_a_timeline_comes_in_at_once_when_nothing_plays(loader, queued):
    loader.load(place(TUNE), 0.0, 1.0, playing=False)
    assert queued == ["edit"]


def test_a_play_waits_for_the_urgent_notes_and_they_come_first(loader, queued):
    loader.set_side("standard")
    loader.load(place(TUNE), 0.0, 1.0, playing=False)
    loader.play(lambda mixer: None, 12.0, count_in=False, asked=1.0)
    assert queued == ["edit"]
    loader.bank.gate.release(2)
    until(lambda: queued == ["edit", "play"])
    assert 63 in loader.bank.made
    assert len(loader.bank.made) <= 2
    loader.bank.gate.release(100)
    until(lambda: sorted(loader.bank.made) == list(range(60, 66)))


def test_when_all_is_there_a_play_is_immediate(loader, queued):
    loader.bank.gate.release(100)
    loader.load(place(TUNE), 0.0, 1.0, playing=False)
    until(lambda: loader._job.complete)
    loader.play(lambda mixer: None, 8.0, count_in=False, asked=1.0)
    assert queued == ["edit", "play"]


def test_an_edit_while_playing_waits_for_its_notes_and_keeps_the_order(loader, queued):
    loader.set_side("take")
    loader.load(place(TUNE), 8.0, 1.0, playing=True)
    loader.after_load(lambda mixer: None, "seek", 1.0)
    assert queued == []
    loader.bank.gate.release(1)
    until(lambda: queued == ["edit", "seek"])
    assert loader.bank.made == [62]


def test_a_stop_forgets_a_play_that_has_not_begun(loader, queued):
    loader.load(place(TUNE), 0.0, 1.0, playing=False)
    loader.play(lambda mixer: None, 4.0, count_in=False, asked=1.0)
    assert loader.cancel_plays()
    assert not loader.cancel_plays()
    loader.bank.gate.release(100)
    until(lambda: loader._job.complete)
    assert queued == ["edit"]


def test_a_newer_timeline_keeps_what_waits_for_the_older(loader, queued):
    loader.load(place(TUNE), 0.0, 1.0, playing=False)
    loader.play(lambda mixer: None, 4.0, count_in=False, asked=1.0)
    loader.load(place(TUNE.at_tempo(90.0)), 0.0, 1.0, playing=False)
    assert queued == ["edit"]
    loader.bank.gate.release(100)
    until(lambda: queued == ["edit", "play", "edit"])


def test_without_a_soundfont_nothing_is_waited_for(queued):
    loader = Loader(EmptyBank(), lambda _c, name, _asked: queued.append(name), lambda _done, _total: None, print)
    loader.load(place(TUNE), 0.0, 1.0, playing=True)
    loader.play(lambda mixer: None, 0.0, count_in=False, asked=1.0)
    until(lambda: queued == ["edit", "play"])
    loader.close()


def test_a_font_that_fails_at_a_note_is_said_once_and_playing_goes_on(loader, queued, said, monkeypatch):
    def fail(key, seconds):
        raise FileError("hollow.sf2", "the SoundFont is damaged inside", "choose another")

    monkeypatch.setattr(loader.bank, "render", fail)
    loader.load(place(TUNE), 0.0, 1.0, playing=False)
    loader.play(lambda mixer: None, 4.0, count_in=False, asked=1.0)
    until(lambda: queued == ["edit", "play"])
    until(lambda: loader._job.complete)
    assert said == ["hollow.sf2: the SoundFont is damaged inside; choose another."]
