"""A SoundFont is found without importing its carrier, and looked at before it is used."""

from __future__ import annotations

import struct
import subprocess
import sys

import pytest

from core.errors import FileError
from core.sound.soundfont import check_soundfont, default_soundfont, find_soundfont


def riff(*lists: tuple[bytes, bytes], form: bytes = b"sfbk", claimed: int | None = None) -> bytes:
    """A RIFF file (the container that SoundFont 2.01 section 4 is built on)."""
    body = form + b"".join(b"LIST" + struct.pack("<I", 4 + len(data)) + name + data for name, data in lists)
    return b"RIFF" + struct.pack("<I", len(body) if claimed is None else claimed) + body


WHOLE = ((b"INFO", b"ab"), (b"sdta", b"cdef"), (b"pdta", b"gh"))


def test_the_default_font_is_there_and_whole():
    path = default_soundfont()
    assert path is not None
    assert check_soundfont(path) == path.stat().st_size > 1_000_000


def test_finding_it_imports_neither_its_carrier_nor_numpy():
    code = (
        "import sys; from core.sound.soundfont import default_soundfont; assert default_soundfont();"
        "print([m for m in ('pretty_midi', 'numpy', 'mido') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_minimal_whole_file_passes(tmp_path):
    path = tmp_path / "small.sf2"
    path.write_bytes(riff(*WHOLE))
    assert check_soundfont(path) == path.stat().st_size


@pytest.mark.parametrize(
    ("data", "problem"),
    [
        (b"", "not a SoundFont"),
        (b"RIFF\x04\x00\x00\x00WAVE", "not a SoundFont"),
        (b"PK\x03\x04 something else entirely", "not a SoundFont"),
        (riff(*WHOLE, claimed=10_000), "end is missing"),
        (riff(*WHOLE[:2]), "pdta list is missing"),
        (riff(*WHOLE[1:]), "INFO list is missing"),
    ],
)
def test_a_damaged_file_is_refused_by_name(tmp_path, data, problem):
    path = tmp_path / "broken.sf2"
    path.write_bytes(data)
    with pytest.raises(FileError, match=problem) as caught:
        find_soundfont(path)
    assert "broken.sf2" in str(caught.value)


def test_a_missing_file_is_refused(tmp_path):
    with pytest.raises(FileError, match="cannot be read"):
        check_soundfont(tmp_path / "nowhere.sf2")
