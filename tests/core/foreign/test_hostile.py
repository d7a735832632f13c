"""Broken and hostile files: each refused with one clear sentence, within the limits of the reading process."""

from __future__ import annotations

import os
import re
import stat
import subprocess
import sys
import zipfile
from pathlib import Path
from random import Random

import pytest

from core.chart import check_chart
from core.errors import ChangewrightError, FileError
from core.files import load_chart
from core.foreign import read_foreign, write_musicxml
from core.foreign.musicxml_read import read_musicxml
from core.foreign.worker import MAX_MEMORY_BYTES
from core.foreign.xml_stream import Refused
from tests.core.foreign.charts import random_chart
from tests.core.foreign.scores import WHOLE, harmony, score

GOOD = score(harmony("C") + WHOLE, WHOLE)
CONTAINER = '<container><rootfiles><rootfile full-path="{}"/></rootfiles></container>'
BOMB = ('<!DOCTYPE lolz [<!ENTITY a "aaaaaaaaaa">' + "".join(
    f'<!ENTITY {new} "{("&" + old + ";") * 10}">' for old, new in zip("abcdefgh", "bcdefghi", strict=True)
) + "]>")  # fmt: skip
EXTERNAL = '<!DOCTYPE score-partwise [<!ENTITY x SYSTEM "file:///etc/hostname">]>'


def after_head(insert: str, text: str = GOOD) -> str:
    return text.replace("?>", "?>" + insert, 1)


TEXTS = {
    "empty": ("", "is empty"),
    "truncated": (GOOD[: len(GOOD) // 2], "breaks off in line 1"),
    "not XML": ("Dm7 | G7 | Cmaj7", "is not XML"),
    "other XML": ("<?xml version='1.0'?><html><body/></html>", "not a MusicXML score"),
    "broken tags": (GOOD.replace("</measure>", "</mesure>", 1), "is broken XML in line 1"),
    "no bars": (re.sub(r"<measure.*</measure>", "", GOOD), "holds no bars"),
    "entity bomb": (after_head(BOMB).replace("Ebb", "&i;"), "declares its own document type or entities"),
    "external entity": (after_head(EXTERNAL).replace("Ebb", "&x;"), "declares its own document type or entities"),
    "unknown entity": (GOOD.replace("Ebb", "&x;"), "is broken XML"),
    "unknown encoding": (GOOD.replace("UTF-8", "utf-klingon"), "cannot be decoded"),
    "deeply nested": (GOOD.replace("<note>", "<note>" + "<a>" * 100_000, 1), "is nested more than"),
    "deep outside": ("<?xml version='1.0'?><score-partwise>" + "<a>" * 100_000, "is nested more than"),
    "a text without end": (GOOD.replace("Ebb", "E" * 1_000_000), "holds a text longer than"),
    "too many elements": (GOOD.replace(WHOLE, "<x/>" * 2_000_000, 1), "holds a piece larger"),
    "too many parts": ("<?xml version='1.0'?><score-partwise>" + "".join(
        f'<part id="P{n}"><measure number="1"/></part>' for n in range(500)) + "</score-partwise>", "parts"),
    "an endless bar": (GOOD.replace("<duration>4<", "<duration>900000000000<", 1), "has a bar of"),
}  # fmt: skip


def refusal(path: Path) -> str:
    with pytest.raises(FileError) as caught:
        read_foreign(path)
    text = str(caught.value)
    assert text.startswith(str(path))
    assert text.count("\n") == 0
    assert text.endswith(".")
    assert "Traceback" not in text
    return text


@pytest.mark.parametrize("name", TEXTS)
def test_hostile_text(name: str, tmp_path: Path) -> None:
    text, expected = TEXTS[name]
    path = tmp_path / "tune.musicxml"
    path.write_text(text, encoding="utf-8")
    assert expected in refusal(path)


def test_a_hundred_megabytes_of_text(tmp_path: Path) -> None:
    path = tmp_path / "long.xml"
    with path.open("w", encoding="utf-8") as file:
        file.write("<?xml version='1.0'?><score-partwise>")
        for _ in range(100):
            file.write("tide " * 200_000)
    assert "is 100 MB, more than any lead sheet" in refusal(path)
    with path.open("r+") as file:
        file.truncate(39_000_000)
    assert "holds 39 MB of text" in refusal(path)


def test_random_bytes(tmp_path: Path) -> None:
    for seed in range(2):
        path = tmp_path / f"{seed}.xml"
        path.write_bytes(Random(seed).randbytes(10_000))
        assert "is not XML" in refusal(path)


# What costs most to read in each of the other formats; every one of them goes through the same limits.
COSTLY: dict[str, tuple[str, bytes, str]] = {
    "text of 100 MB": ("a.txt", b"C | " * 25_000_000, "is 100 MB"),
    "ABC of 100 MB": ("a.abc", b"X:1\nK:C\n" + b"C|" * 50_000_000, "is 100 MB"),
    "JSON of 100 MB": ("a.changes.json", b"[" * 100_000_000, "is 100 MB"),
    "JSON of lists": ("a.changes.json", b"[" + b"[]," * 6_000_000 + b"[]]", "needs more memory"),
    "deep JSON": ("a.changes.json", b"[" * 10_000_000, "nested too deeply"),
    "an endless form": ("a.changes.json", b'{"format": "changewright chart", "version": 1, "title": "x", "key": "C major",'
                        b'"tempo": 120, "reference": "r", "form": {"pickup": false, "order": [' + b"0," * 2_000_000
                        + b'0], "written": [{"number": "1", "meter": "4/4"}]}, "references": []}', "takes longer|needs more"),
    "a text of bars": ("a.txt", b"|C" * 400_000, "a line of more than 20000"),
    "a text of words": ("a.txt", b"| " + b"Cq " * 300_000, "a line of more than 20000"),
    "a text of one word": ("a.txt", b"C" * 900_000, "a line of more than 20000"),
    "random text": ("a.txt", Random(4).randbytes(50_000), "not text"),
    "random JSON": ("a.changes.json", Random(4).randbytes(50_000), "not text"),
    "random MIDI": ("a.mid", Random(4).randbytes(50_000), "is not a MIDI file"),
    "random ABC": ("a.abc", Random(4).randbytes(50_000), "not text"),
    "a MIDI file of 100 MB": ("a.mid", b"MThd" + b"\0" * 100_000_000, "is 100 MB"),
}  # fmt: skip


@pytest.mark.parametrize("name", COSTLY)
def test_costly_files_of_every_format_are_refused_in_a_sentence(name: str, tmp_path: Path) -> None:
    file, data, reason = COSTLY[name]
    path = tmp_path / file
    path.write_bytes(data)
    with pytest.raises(FileError, match=reason) as caught:
        load_chart(path)
    assert str(caught.value).startswith(str(path))
    assert str(caught.value).count("\n") == 0


def test_the_reader_stops_itself_when_its_processor_time_is_used_up() -> None:
    script = """import core.foreign.worker as worker
worker.MAX_CPU_SECONDS = 0.05
try:
    worker.limit_process()
    while True: pass
except worker.OutOfTime:
    print("stopped")
"""
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, timeout=20)
    assert done.stdout.strip() == "stopped"


JUNK = ("", "0", "-5", "1e9", "99999999999", "x", "NaN", "1/0", "0.333", "é", "C", "7", "start", "-1", "100")


def damaged(seed: int) -> bytes:
    """A score with the texts of some elements and the values of some attributes changed."""
    random = Random(seed)
    text = write_musicxml(random_chart(random, True), "both")
    start = text.index("<part ")
    for pattern in random.choices((r">([^<>]+)</", r'="([^"]*)"'), k=random.randint(1, 8)):
        found = random.choice(list(re.compile(pattern).finditer(text, start)))
        text = text[: found.start(1)] + random.choice(JUNK) + text[found.end(1) :]
    if random.random() < 0.3:
        lines = text.splitlines()
        at = random.randrange(30, len(lines))
        lines.insert(at, lines[random.randrange(30, len(lines))] if random.random() < 0.5 else "<!-- -->")
        text = "\n".join(lines)
    return text.encode()


def test_damaged_scores_are_read_or_refused_by_the_reader_itself() -> None:
    """No other exception leaves the reader, so its process never dies of odd values."""
    readable = 0
    for seed in range(100):
        try:
            chart, _ = read_musicxml([damaged(seed)], "untitled")
        except (Refused, ChangewrightError):
            continue
        readable += check_chart(chart) is chart
    assert readable > 70


# --- containers -----------------------------------------------------------------------------------------------------


def archive(path: Path, files: dict[str, str | bytes]) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as target:
        for name, content in files.items():
            target.writestr(name, content)
    return path


def test_a_good_container_is_read(tmp_path: Path) -> None:
    path = archive(tmp_path / "t.mxl", {"META-INF/container.xml": CONTAINER.format("in/a.xml"), "in/a.xml": GOOD})
    assert read_foreign(path).chart.title == "Ebb"


def test_a_container_is_known_by_its_bytes(tmp_path: Path) -> None:
    path = archive(tmp_path / "t.musicxml", {"META-INF/container.xml": CONTAINER.format("a.xml"), "a.xml": GOOD})
    assert read_foreign(path).chart.title == "Ebb"
    text = tmp_path / "text.mxl"
    text.write_text(GOOD, encoding="utf-8")
    assert read_foreign(text).chart.title == "Ebb"


HOSTILE_ARCHIVES: dict[str, tuple[dict[str, str | bytes], str]] = {
    "no container": ({"a.xml": GOOD}, "has no META-INF/container.xml"),
    "container names nothing": ({"META-INF/container.xml": "<container/>", "a.xml": GOOD}, "not in the archive"),
    "container names a stranger": (
        {"META-INF/container.xml": CONTAINER.format("/etc/passwd"), "a.xml": GOOD}, "not in the archive"),
    "container is not XML": ({"META-INF/container.xml": "rootfile a.xml", "a.xml": GOOD}, "is not XML"),
    "container with entities": ({"META-INF/container.xml": BOMB + "<container>&i;</container>"}, "entities"),
    "absolute path": (
        {"META-INF/container.xml": CONTAINER.format("/a.xml"), "/a.xml": GOOD}, "leads out of the archive"),
    "parent path": (
        {"META-INF/container.xml": CONTAINER.format("../a.xml"), "../a.xml": GOOD}, "leads out of the archive"),
    "drive path": (
        {"META-INF/container.xml": CONTAINER.format("C:\\\\a.xml"), "C:\\\\a.xml": GOOD}, "leads out of the archive"),
    "zip bomb": (
        {"META-INF/container.xml": CONTAINER.format("a.xml"), "a.xml": b" " * 90_000_000}, "unpacks to far more"),
    "many bombs": (
        {"META-INF/container.xml": CONTAINER.format("a.xml"), **{f"{n}.xml": b" " * 999_000 for n in range(120)}},
        "unpacks to far more"),
    "thousands of files": (
        {"META-INF/container.xml": CONTAINER.format("a.xml"), **{f"{n}": "" for n in range(3000)}}, "3001 files"),
}  # fmt: skip


@pytest.mark.parametrize("name", HOSTILE_ARCHIVES)
def test_hostile_container(name: str, tmp_path: Path) -> None:
    files, expected = HOSTILE_ARCHIVES[name]
    assert expected in refusal(archive(tmp_path / "tune.mxl", files))


def test_an_archive_that_lies_about_its_size(tmp_path: Path) -> None:
    """The declared size is patched down in both headers; the real bytes are counted while reading."""
    path = archive(
        tmp_path / "t.mxl", {"META-INF/container.xml": CONTAINER.format("a.xml"), "a.xml": b" " * 50_000_000}
    )
    data = path.read_bytes().replace((50_000_000).to_bytes(4, "little"), (5_000).to_bytes(4, "little"))
    path.write_bytes(data)
    assert "is a damaged" in refusal(path)


@pytest.mark.parametrize("cut", [30, 200, -30])
def test_a_truncated_archive(cut: int, tmp_path: Path) -> None:
    path = archive(tmp_path / "t.mxl", {"META-INF/container.xml": CONTAINER.format("a.xml"), "a.xml": GOOD})
    path.write_bytes(path.read_bytes()[:cut])
    assert "damaged" in refusal(path)


def test_a_container_inside_a_container(tmp_path: Path) -> None:
    inner = archive(tmp_path / "inner.mxl", {"META-INF/container.xml": CONTAINER.format("a.xml"), "a.xml": GOOD})
    files = {"META-INF/container.xml": CONTAINER.format("inner.mxl"), "inner.mxl": inner.read_bytes()}
    assert "is not XML" in refusal(archive(tmp_path / "outer.mxl", files))


# --- places and limits ----------------------------------------------------------------------------------------------


def test_missing_folder_and_unreadable(tmp_path: Path) -> None:
    assert "does not exist" in refusal(tmp_path / "gone.musicxml")
    assert "is a folder" in refusal(tmp_path)
    pipe = tmp_path / "pipe.xml"
    os.mkfifo(pipe)
    assert "is not an ordinary file" in refusal(pipe)
    locked = tmp_path / "locked.xml"
    locked.write_text(GOOD, encoding="utf-8")
    locked.chmod(0)
    if not os.access(locked, os.R_OK):  # root reads everything
        assert "cannot be read" in refusal(locked)
    locked.chmod(stat.S_IRUSR | stat.S_IWUSR)


def test_a_reader_that_takes_too_long_is_stopped(tmp_path: Path) -> None:
    path = tmp_path / "t.xml"
    path.write_text(GOOD, encoding="utf-8")
    with pytest.raises(FileError, match=r"was not read within 0.001 seconds"):
        read_foreign(path, time_limit=0.001)


def test_a_reader_that_dies_is_one_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "t.xml"
    path.write_text(GOOD, encoding="utf-8")
    monkeypatch.setattr(sys, "executable", "/bin/false")
    assert "stopped the reader" in refusal(path)
    monkeypatch.setattr(sys, "executable", "/nowhere/python")
    assert "did not start" in refusal(path)


def test_the_reader_is_held_to_its_memory() -> None:
    """The limit is set before anything is read, and running into it is an answer, not a crash."""
    script = ("from core.foreign.worker import limit_process\nlimit_process()\n"
              f"try:\n    bytearray({MAX_MEMORY_BYTES})\nexcept MemoryError:\n    print('held')")  # fmt: skip
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "held"


def test_the_reader_imports_nothing_heavy(tmp_path: Path) -> None:
    path = tmp_path / "t.xml"
    path.write_text(GOOD, encoding="utf-8")
    script = ("import sys\nfrom pathlib import Path\nfrom core.foreign.worker import answer\n"
              f"assert 'chart' in answer(Path({str(path)!r}))\n"
              "print(sorted({name.split('.')[0] for name in sys.modules} & "
              "{'music21', 'numpy', 'PySide6', 'verovio', 'lxml', 'miniaudio'}))")  # fmt: skip
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
