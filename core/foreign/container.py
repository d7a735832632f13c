"""The compressed container of MusicXML (.mxl): a zip archive whose META-INF/container.xml names the score.

Nothing is ever unpacked to disk. Sizes are checked on what is declared and again while reading, so an archive that
lies about itself is stopped too. Source: MusicXML 4.0,
"Compressed .mxl files" (W3C community group report), from memory.
"""

from __future__ import annotations

import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path, PurePosixPath

from core.foreign.xml_stream import MAX_XML_BYTES, Refused, root_files

MAX_ENTRIES = 500
MAX_TOTAL_BYTES = 100_000_000
MAX_RATIO = 250
RATIO_FREE_BYTES = 1_000_000
MAX_CONTAINER_BYTES = 100_000
CONTAINER = "META-INF/container.xml"
_CHUNK = 65_536


def score_chunks(path: Path) -> Iterator[bytes]:
    """The bytes of the score in a file, zip container or plain XML by what it holds, not by its name.

    Raises :class:`Refused` with the problem and what to do.
    """
    if path.stat().st_size == 0:
        raise Refused("is empty", "export the score again")
    with path.open("rb") as file:
        zipped = file.read(4) == b"PK\x03\x04"
    return _from_zip(path) if zipped else _from_text(path)


def _from_text(path: Path) -> Iterator[bytes]:
    size = path.stat().st_size
    if size > MAX_XML_BYTES:
        raise Refused(f"holds {size // 1_000_000} MB of text, more than any lead sheet",
                      f"open a score below {MAX_XML_BYTES // 1_000_000} MB")  # fmt: skip
    with path.open("rb") as file:
        while chunk := file.read(_CHUNK):
            yield chunk


def _from_zip(path: Path) -> Iterator[bytes]:
    try:
        with zipfile.ZipFile(path) as archive:
            entries = _checked_entries(archive)
            if CONTAINER not in entries:
                raise Refused(f"has no {CONTAINER}, so it is not a MusicXML container", "export it as .mxl again")
            names = root_files(_limited(archive, entries[CONTAINER], MAX_CONTAINER_BYTES))
            score = next((entries[name] for name in names if name in entries), None)
            if score is None:
                raise Refused("names a score in its container that is not in the archive", "export it as .mxl again")
            yield from _limited(archive, score, MAX_XML_BYTES)
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, OSError, ValueError) as error:
        raise Refused("is a damaged or unreadable zip archive", "export it as .mxl again, or as .musicxml") from error


def _checked_entries(archive: zipfile.ZipFile) -> dict[str, zipfile.ZipInfo]:
    infos = archive.infolist()
    if len(infos) > MAX_ENTRIES:
        raise Refused(f"is an archive of {len(infos)} files, not a score", f"a container holds at most {MAX_ENTRIES}")
    if sum(info.file_size for info in infos) > MAX_TOTAL_BYTES:
        raise Refused("unpacks to far more than a score could hold", "do not open it; it may be hostile")
    for info in infos:
        _check_entry(info)
    return {info.filename: info for info in infos}


def _check_entry(info: zipfile.ZipInfo) -> None:
    name = info.filename.replace("\\", "/")
    if name.startswith("/") or ":" in name.split("/")[0] or ".." in PurePosixPath(name).parts:
        raise Refused(f"holds a file with the path {info.filename[:60]!r} that leads out of the archive",
                      "do not open it; it may be hostile")  # fmt: skip
    if info.file_size > RATIO_FREE_BYTES and info.file_size > MAX_RATIO * max(1, info.compress_size):
        raise Refused("unpacks to far more than a score could hold", "do not open it; it may be hostile")


def _limited(archive: zipfile.ZipFile, info: zipfile.ZipInfo, limit: int) -> Iterator[bytes]:
    total = 0
    with archive.open(info) as stream:
        while chunk := stream.read(_CHUNK):
            total += len(chunk)
            if total > limit:
                raise Refused("unpacks to far more than a score could hold", "do not open it; it may be hostile")
            yield chunk
