"""What a file was when it was read or written, to tell later whether anybody else has changed it."""

from __future__ import annotations

import hashlib
import os
from dataclasses import dataclass, field
from pathlib import Path


@dataclass(frozen=True, slots=True)
class FileStamp:
    """Two stamps are equal when the contents were; the rest only saves reading the file again."""

    digest: str
    size: int = field(compare=False)
    modified_ns: int = field(compare=False)
    inode: int = field(compare=False)


def stamp_of(path: str | os.PathLike[str], known: FileStamp | None = None) -> FileStamp | None:
    """The stamp of a file as it is now, None where there is none.

    ``known`` is an earlier stamp: it is given back where size, time and place on the disk are still the same, and where
    the file cannot be looked at.
    """
    try:
        found = os.stat(path)
        if known and (found.st_size, found.st_mtime_ns, found.st_ino) == (known.size, known.modified_ns, known.inode):
            return known
        digest = hashlib.sha256(Path(path).read_bytes()).hexdigest()
    except FileNotFoundError:
        return None
    except OSError:
        return known
    return FileStamp(digest, found.st_size, found.st_mtime_ns, found.st_ino)
