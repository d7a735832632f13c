"""The compressed container of MusicXML: the score and a note of where it is, in one zip file (MusicXML 4.0, .mxl)."""

from __future__ import annotations

import os
import zipfile

from core.files import write_atomic

_SCORE = "score.musicxml"
_CONTAINER = (
    '<?xml version="1.0" encoding="UTF-8"?>\n<container><rootfiles>'
    f'<rootfile full-path="{_SCORE}" media-type="application/vnd.recordare.musicxml+xml"/></rootfiles></container>\n'
)
_ENTRIES_FROM = (1980, 1, 1, 0, 0, 0)  # one date for all, so that the same score gives the same bytes


def write_mxl(text: str, path: str | os.PathLike[str]) -> None:
    """Write the text of a score as a container, all or nothing. Raises :class:`core.errors.FileError`."""

    def write(name: str) -> None:
        with zipfile.ZipFile(name, "w", zipfile.ZIP_DEFLATED) as archive:
            for entry, content in (("META-INF/container.xml", _CONTAINER), (_SCORE, text)):
                archive.writestr(zipfile.ZipInfo(entry, _ENTRIES_FROM), content, zipfile.ZIP_DEFLATED)

    write_atomic(path, write)
