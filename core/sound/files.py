"""Write a file whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from core.errors import FileError


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """A temporary file beside ``path`` that takes its place when the block ends well, and vanishes when not.

    Raises FileError where the folder is missing, full or not writable.
    """
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
        os.close(handle)
    except OSError as error:
        raise _failure(path, error) from error
    part = Path(name)
    try:
        yield part
        part.chmod(_usual_mode(path))
        os.replace(part, path)
    except OSError as error:
        raise _failure(path, error) from error
    finally:
        with suppress(OSError):
            part.unlink()


def _usual_mode(path: Path) -> int:
    """The mode of the file that is replaced, or what an ordinary new file gets (a temporary one is private)."""
    if path.exists():
        return path.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def _failure(path: Path, error: OSError) -> FileError:
    reason = error.strerror or str(error)
    return FileError(path, f"it cannot be written ({reason})", "choose another folder or make room there")
