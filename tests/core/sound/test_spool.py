"""Notes on disk: what comes back is what was kept, and what is damaged is as if it were not there."""

from __future__ import annotations

import numpy as np
import pytest

from core.sound.bank import Bank
from core.sound.note_file import KIT, NoteKey
from core.sound.spool import Spool

KEY = NoteKey(0, 60)
SAMPLES = np.arange(20, dtype=np.int16).reshape(2, 10)


def test_a_note_comes_back_as_it_was(tmp_path):
    spool = Spool(tmp_path)
    spool.write(KEY, SAMPLES, 1.5, 0.1, 2.0)
    samples, seconds, release, trim = spool.read(KEY, 1.5)
    assert np.array_equal(samples, SAMPLES)
    assert (seconds, release, trim) == (1.5, 0.1, 2.0)
    assert spool.read(KEY, 1.6) is None, "too short"
    assert spool.read(NoteKey(0, 61), 1.0) is None
    assert [path.suffix for path in tmp_path.iterdir()] == [".note"]


@pytest.mark.parametrize("damage", [b"", b"cwn1", b"nope" + bytes(60)])
def test_what_is_no_note_is_not_there(tmp_path, damage):
    spool = Spool(tmp_path)
    spool.write(KEY, SAMPLES, 1.5, 0.1, 2.0)
    next(tmp_path.iterdir()).write_bytes(damage)
    assert spool.read(KEY, 1.0) is None


def test_a_note_cut_short_is_not_there(tmp_path):
    spool = Spool(tmp_path)
    spool.write(KEY, SAMPLES, 1.5, 0.1, 2.0)
    path = next(tmp_path.iterdir())
    path.write_bytes(path.read_bytes()[:-1])
    assert spool.read(KEY, 1.0) is None


def test_a_folder_that_is_gone_is_no_fault(tmp_path):
    spool = Spool(tmp_path / "nowhere")
    spool.write(KEY, SAMPLES, 1.5, 0.1, 2.0)
    assert spool.read(KEY, 1.0) is None


def test_a_second_bank_renders_nothing_that_the_first_has_left(tmp_path):
    first = Bank(spool=Spool(tmp_path))
    keys = (NoteKey(0, 60), NoteKey(32, 40), NoteKey(KIT, 51))
    made = [first.render(key, 2.0) for key in keys]

    def refuse(_path):
        def render(*_arguments):
            raise AssertionError("it rendered")

        return render

    second = Bank(spool=Spool(tmp_path), render_with=refuse)
    for key, note in zip(keys, made, strict=True):
        again = second.render(key, 1.5)
        assert np.array_equal(again.samples, note.samples)
        assert (again.release, again.trim) == (note.release, note.trim)
    assert second.size == first.size
