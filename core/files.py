"""Files: atomic writing, and one door for every readable and writable ending."""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from core.bar_text import chart_from_bar_text, chart_to_bar_text, is_ours
from core.chart import Chart
from core.chart_json import chart_from_json, chart_to_json
from core.errors import ChangewrightError, FileError
from core.imported import Choices, Imported

OWN_ENDING = ".changes.json"
FOREIGN_ENDINGS = (".musicxml", ".mxl", ".xml", ".abc", ".mid", ".midi", ".kar")
READABLE = (OWN_ENDING, ".txt", *FOREIGN_ENDINGS)
MAX_TEXT_BYTES = 20_000_000
READ_HERE_BYTES = 300_000
"""Up to this size a file of ours is read in this process; a larger one may be hostile and is read behind limits."""
PASTED = "Pasted tune"
HALF_WRITTEN = ".half-written"
_STALE = 3600.0  # seconds; nothing takes an hour to write
_UMASK = os.umask(0)  # asked once, while there is one thread: asking sets it
os.umask(_UMASK)
_NAME_KEPT = 40  # a temporary name is longer than the file's, and that may be as long as the system takes


def ending_of(path: str | os.PathLike[str]) -> str:
    """The ending that names the format: ``.changes.json`` or the last suffix, in lower case."""
    name = Path(path).name.lower()
    return OWN_ENDING if name.endswith((OWN_ENDING, ".json")) else Path(name).suffix


def write_atomic(path: str | os.PathLike[str], write: Callable[[str], None]) -> None:
    """Call ``write`` with a temporary name in the same folder, then move it into place; all or nothing.

    A link stays a link: what it points to is written. A pipe or a device is written straight. Raises
    :class:`FileError` when the folder or the file is protected, the disk is full or the place is a folder.
    """
    target = Path(os.path.realpath(path))
    if target.is_dir():
        raise FileError(path, "is a folder", "give a file name")
    if target.exists() and not os.access(target, os.W_OK):
        raise FileError(path, "is write-protected", "take its protection away, or save under another name")
    if target.exists() and not target.is_file():
        _write_straight(target, write)
        return
    try:
        prefix = f".{target.name[:_NAME_KEPT]}."
        handle, temporary = tempfile.mkstemp(HALF_WRITTEN, prefix, target.parent)
        os.close(handle)
    except OSError as error:
        raise FileError(path, f"cannot write here ({_reason(error)})", "choose another folder") from error
    try:
        write(temporary)
        _sync(temporary)
        _keep_mode(target, temporary)
        os.replace(temporary, target)
    except OSError as error:
        raise FileError(path, f"writing failed ({_reason(error)})", "the old file is untouched; free space or choose "
                        "another folder") from error  # fmt: skip
    finally:
        with suppress(OSError):
            Path(temporary).unlink(missing_ok=True)
    _sync_folder(target.parent)
    _clear_leftovers(target.parent, prefix)


def _write_straight(target: Path, write: Callable[[str], None]) -> None:
    """A pipe or a device cannot be replaced by a file, and must not be."""
    try:
        write(str(target))
    except OSError as error:
        raise FileError(target, f"writing failed ({_reason(error)})", "give the name of a file") from error


def _clear_leftovers(folder: Path, prefix: str) -> None:
    """Take away what writers of this file left that were killed; one that is still at work is younger."""
    with suppress(OSError):
        for name in os.listdir(folder):
            place = folder / name
            if name.startswith(prefix) and name.endswith(HALF_WRITTEN) and time.time() - place.stat().st_mtime > _STALE:
                place.unlink()


def _sync(name: str) -> None:
    descriptor = os.open(name, os.O_RDWR)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _sync_folder(folder: Path) -> None:
    """Make the new name last through a power cut; where a system cannot (Windows), the file is there all the same."""
    with suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def _keep_mode(target: Path, temporary: str) -> None:
    """A temporary file is private; give it the rights of the file it replaces, or those a new file would have."""
    mode = target.stat().st_mode & 0o777 if target.exists() else 0o666 & ~_UMASK
    os.chmod(temporary, mode)


def write_text_atomic(path: str | os.PathLike[str], text: str) -> None:
    """Write UTF-8 text, all or nothing (see :func:`write_atomic`)."""

    def write(name: str) -> None:
        Path(name).write_text(text, encoding="utf-8", newline="\n")

    write_atomic(path, write)


def read_text(path: str | os.PathLike[str]) -> str:
    """Read UTF-8 text; raises :class:`FileError` for a missing, unreadable, too large or non-text file."""
    try:
        size = Path(path).stat().st_size
        if size > MAX_TEXT_BYTES:
            raise FileError(
                path, f"is {size // 1_000_000} MB of text", f"charts are at most {MAX_TEXT_BYTES // 1_000_000} MB"
            )
        return Path(path).read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise FileError(path, f"is not text (byte {error.start} is not UTF-8)", "save it as UTF-8 text") from error
    except OSError as error:
        raise FileError(path, f"cannot be read ({_reason(error)})", "check the name and the rights") from error


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()


def load_chart(path: str | os.PathLike[str]) -> tuple[Chart, tuple[str, ...]]:
    """Read a chart by its ending, with the list of everything that was guessed (empty for our own formats).

    Raises :class:`FileError` naming the file, the place in it and what to do.
    """
    imported = import_chart(path)
    return imported.chart, imported.report


def import_chart(path: str | os.PathLike[str], choices: Choices | None = None) -> Imported:
    """Read a chart by its ending, with what was guessed and what may be chosen; ``choices`` answers the questions.

    Raises :class:`FileError` as :func:`load_chart` does.
    """
    if Path(path).is_dir():
        raise FileError(path, "is a folder", "give a file")
    ending = ending_of(path)
    if ending not in READABLE:
        raise FileError(path, f"has the ending {ending or 'none'!r}", "open one of " + ", ".join(READABLE))
    if ending in FOREIGN_ENDINGS or choices or _size(path) > READ_HERE_BYTES:
        return _read_behind_limits(path, choices)
    if ending == ".txt":
        return _bar_text(path)
    try:
        return Imported(chart_from_json(read_text(path)))
    except FileError:
        raise
    except ChangewrightError as error:
        raise FileError(path, str(error).rstrip("."), error.remedy) from error


def _bar_text(path: str | os.PathLike[str]) -> Imported:
    """Bar text as we write it; anything else is read by those who read what strangers write."""
    try:
        text = read_text(path)
        chart = chart_from_bar_text(text)
        return Imported(chart) if is_ours(text, chart.form) else _read_behind_limits(path, None)
    except FileError:
        raise
    except ChangewrightError:
        if _size(path) == 0:
            raise FileError(path, "is empty", "open a text with bars between | signs") from None
        return _read_behind_limits(path, None)


def _size(path: str | os.PathLike[str]) -> int:
    try:
        return Path(path).stat().st_size
    except OSError as error:
        raise FileError(path, f"cannot be read ({_reason(error)})", "check the name and the rights") from error


def _read_behind_limits(path: str | os.PathLike[str], choices: Choices | None) -> Imported:
    from core.foreign import read_foreign  # starts a process of its own; not needed for our own files

    return read_foreign(path, choices=choices)


def import_text(text: str | bytes, choices: Choices | None = None) -> Imported:
    """Read what was pasted or piped in: bars in any fashion, ABC, MusicXML, MIDI. Raises :class:`FileError`."""
    data = text.encode("utf-8", errors="replace") if isinstance(text, str) else text
    if len(data) > MAX_TEXT_BYTES:
        raise FileError("-", f"is over {MAX_TEXT_BYTES // 1_000_000} MB", "charts are smaller")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"{PASTED}.txt"
        path.write_bytes(data)
        try:
            return _read_behind_limits(path, choices)
        except FileError as error:
            raise FileError("-", error.problem, error.advice) from error


def save_chart(chart: Chart, path: str | os.PathLike[str]) -> None:
    """Write a chart in one of our own formats, atomically; raises :class:`FileError`."""
    if ending_of(path) == ".txt":
        write_text_atomic(path, chart_to_bar_text(chart))
    elif ending_of(path) == OWN_ENDING:
        write_text_atomic(path, chart_to_json(chart))
    else:
        raise FileError(path, "cannot be saved under this ending", f"use {OWN_ENDING} or .txt, or export it")
