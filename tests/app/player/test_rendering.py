"""Notes from the rendering process are the same as at home, and its end is survived."""

from __future__ import annotations

import os
import signal

import numpy as np
import pytest

from app.player.link import player_command
from app.player.rendering import RenderProcess
from core.errors import FileError
from core.sound.bank import Bank
from core.sound.note_file import NoteKey
from core.sound.renderer import renderer
from core.sound.soundfont import default_soundfont
from tests.app.player.helpers import until


@pytest.fixture
def rendering():
    made = RenderProcess(default_soundfont())
    yield made
    made.close()


def test_a_note_is_the_same_from_next_door(rendering):
    key = NoteKey(32, 43)
    assert rendering.render(key, 0.5, 0.2) == renderer(default_soundfont())(key, 0.5, 0.2)


def test_a_bank_fills_from_it(rendering):
    here, there = Bank(), Bank(render_with=lambda _path: rendering.render)
    key = NoteKey(-1, 42)
    assert np.array_equal(here.render(key, 1.5).samples, there.render(key, 1.5).samples)


def test_a_dead_process_is_a_sentence_and_a_new_one_is_started(rendering):
    rendering.render(NoteKey(0, 60), 0.1, 0.0)
    os.kill(rendering._process.pid, signal.SIGKILL)
    rendering._process.wait()
    with pytest.raises(FileError, match="damaged inside"):
        rendering.render(NoteKey(0, 60), 0.5, 0.0)
    assert len(rendering.render(NoteKey(0, 60), 0.5, 0.0)) > 90_000


def test_a_damaged_font_ends_only_that_process(tmp_path):
    path = tmp_path / "hollow.sf2"
    path.write_bytes(b"RIFF" + bytes(100))
    rendering = RenderProcess(path)
    with pytest.raises(FileError, match=r"hollow\.sf2"):
        rendering.render(NoteKey(0, 60), 0.5, 0.0)
    rendering.close()
    rendering.close()


def test_it_ends_with_the_player(rendering):
    rendering.render(NoteKey(0, 60), 0.1, 0.0)
    process = rendering._process
    process.stdin.close()
    until(lambda: process.poll() is not None)
    assert process.returncode == 0


def test_the_words_that_start_it_keep_the_working_folder_out():
    assert player_command("--render")[1:] == ["-P", "-m", "app.player", "--render"]
