"""Saving loses nothing: full disks at every step, protected folders and files, links, devices, long and foreign names.

Where the kernel can be made to refuse (a file size limit, /dev/full, a small file system where mounting is allowed) it
does; elsewhere its error is put in its place.
"""

from __future__ import annotations

import errno
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from core import files
from core.bar_text import chart_from_bar_text
from core.chart import Chart
from core.chart_json import VERSION, chart_to_json
from core.errors import FileError
from core.files import load_chart, save_chart, write_text_atomic

ROOT = Path(__file__).parents[2]
OLD, NEW = chart_from_bar_text("title: Old\n\n| C | F |"), chart_from_bar_text("title: New\n\n| G7 | C |")
NAME = "tune.changes.json"


def saved(folder: Path) -> Path:
    save_chart(OLD, folder / NAME)
    return folder / NAME


def untouched(path: Path) -> bool:
    return load_chart(path)[0] == OLD and [one.name for one in path.parent.iterdir()] == [path.name]


def refuses(*_arguments: object, **_more: object) -> None:
    raise OSError(errno.ENOSPC, "No space left on device")


@pytest.mark.parametrize("step", ["mkstemp", "write", "fsync", "replace", "chmod"])
def test_a_disk_that_is_full_at_any_step(step: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = saved(tmp_path)
    owner, name = {"mkstemp": (files.tempfile, "mkstemp"), "write": (Path, "write_text")}.get(step, (os, step))
    monkeypatch.setattr(owner, name, refuses)
    with pytest.raises(FileError) as told:
        save_chart(NEW, path)
    monkeypatch.undo()
    sentence = str(told.value)
    assert str(path) in sentence, "where"
    assert "no space left on device" in sentence, "what"
    assert "choose another folder" in sentence, "what to do"
    assert untouched(path)


LIMITED = """
import resource, signal, sys
from core.bar_text import chart_from_bar_text
from core.errors import FileError
from core.files import save_chart
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (300, 300))
try:
    save_chart(chart_from_bar_text("title: New\\n\\n| G7 | C |"), sys.argv[1])
except FileError as error:
    print(error)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="a limit of POSIX")
def test_the_kernel_refuses_the_second_half(tmp_path: Path) -> None:
    path = saved(tmp_path)
    done = subprocess.run([sys.executable, "-c", LIMITED, str(path)], cwd=ROOT, capture_output=True, text=True, timeout=60,
                          check=True)  # fmt: skip
    assert "file too large" in done.stdout
    assert untouched(path)


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 64 kB, where this machine lets us mount one."""
    place = tmp_path / "small"
    place.mkdir()
    mounted = sys.platform == "linux" and subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(place)], capture_output=True, check=False
    ).returncode == 0  # fmt: skip
    if not mounted:
        pytest.skip("no file system can be mounted here")
    yield place
    subprocess.run(["umount", str(place)], check=True)


def test_a_real_disk_that_is_full(small_disk: Path) -> None:
    path = saved(small_disk)
    filler = small_disk / "filler"
    with pytest.raises(OSError, match="No space left"):
        filler.write_bytes(b"x" * 100_000)
    with pytest.raises(FileError, match="no space left on device"):
        save_chart(NEW, path)
    assert load_chart(path)[0] == OLD
    filler.unlink()
    save_chart(NEW, path)
    assert load_chart(path)[0] == NEW


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full")
def test_a_device_is_written_straight_and_stays_one() -> None:
    with pytest.raises(
        FileError, match=r"/dev/full: writing failed .no space left on device.; give the name of a file"
    ):
        write_text_atomic("/dev/full", "x")
    assert Path("/dev/full").is_char_device()
    write_text_atomic("/dev/null", "x")
    assert Path("/dev/null").is_char_device()


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "there").mkdir()
    path = saved(tmp_path / "there")
    link = tmp_path / "link.changes.json"
    link.symlink_to(path)
    save_chart(NEW, link)
    assert link.is_symlink()
    assert load_chart(path)[0] == NEW


def test_protected_files_and_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = saved(tmp_path)
    path.chmod(0o444)
    if os.geteuid() == 0:  # root may write everywhere; what the system would say to others
        monkeypatch.setattr(os, "access", lambda _path, _mode: False)
    with pytest.raises(FileError, match="is write-protected; take its protection away, or save under another name"):
        save_chart(NEW, path)
    monkeypatch.undo()
    path.chmod(0o644)
    assert untouched(path)

    def forbidden(*_arguments: object, **_more: object) -> None:
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(files.tempfile, "mkstemp", forbidden)
    with pytest.raises(FileError, match=r"cannot write here .permission denied.; choose another folder"):
        save_chart(NEW, path)


@pytest.mark.parametrize("name", ["Möwe 灯台 🎷.changes.json", "x" * 241 + ".changes.json", " .changes.json"])
def test_names_that_a_system_takes_can_be_saved(tmp_path: Path, name: str) -> None:
    save_chart(OLD, tmp_path / name)
    assert load_chart(tmp_path / name)[0] == OLD


def test_what_killed_writers_left_is_taken_away_in_time(tmp_path: Path) -> None:
    path = saved(tmp_path)
    old, young, other = (tmp_path / f".{name}{files.HALF_WRITTEN}" for name in (f"{NAME}.a", f"{NAME}.b", "else.txt.c"))
    for place in (old, young, other):
        place.write_text("half", encoding="utf-8")
    for place in (old, other):
        os.utime(place, (1, 1))
    save_chart(NEW, path)
    assert [place.exists() for place in (old, young, other)] == [False, True, True]


# --- versions ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", sorted((ROOT / "tests" / "reference" / "charts").glob("*.json")), ids=lambda p: p.name)
def test_charts_of_every_older_version_open(path: Path, tmp_path: Path) -> None:
    """A file as that version wrote it opens without a question, with all its rows, and is saved as the version of now."""
    before = json.loads(path.read_text(encoding="utf-8"))
    assert before["version"] < VERSION
    chart, report = load_chart(path)
    assert report == ()
    save_chart(chart, tmp_path / NAME)
    after = json.loads((tmp_path / NAME).read_text(encoding="utf-8"))
    assert {name: after[name] for name in before} == before | {"version": VERSION}
    assert load_chart(tmp_path / NAME)[0] == chart


def newer(chart: Chart) -> str:
    return chart_to_json(chart).replace(f'"version": {VERSION}', f'"version": {VERSION + 1}')


def test_a_newer_version_is_refused_and_the_file_left_alone(tmp_path: Path) -> None:
    path = tmp_path / NAME
    path.write_text(newer(OLD), encoding="utf-8")
    with pytest.raises(FileError, match=r"newer program .* update the program; the file is untouched"):
        load_chart(path)
    assert path.read_text(encoding="utf-8") == newer(OLD)
