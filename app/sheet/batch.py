"""Several sheets of one chart in a go: all of them appear, or none."""

from __future__ import annotations

import os
import re
import shutil
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from app.sheet.drawing import Page
from core.chart import Chart
from core.errors import ChangewrightError, FileError
from core.sheet.kinds import KINDS, SheetOptions

_NOT_IN_NAMES = re.compile(r'[\\/:*?"<>|\x00-\x1f]+')


class Stopped(ChangewrightError):
    """The batch was stopped; nothing was written."""

    def __init__(self) -> None:
        super().__init__("Stopped; no sheet was written.")


@dataclass(frozen=True, slots=True)
class Wanted:
    """A sheet and the name of its file, without a folder."""

    options: SheetOptions
    name: str


def wanted_sheets(title: str, kinds: Sequence[str], parts: Sequence[str], base: SheetOptions, ending: str
                  ) -> tuple[Wanted, ...]:  # fmt: skip
    """Every kind for every part, each with a file name of its own."""
    stem = _NOT_IN_NAMES.sub(" ", title).strip(" .") or "sheet"
    found = []
    for kind in kinds:
        for part in parts:
            words = KINDS[kind].file + ("" if part == "C" else f" {part}")
            found.append(Wanted(replace(base, kind=kind, part=part), f"{stem} - {words}{ending}"))
    return tuple(found)


def make_pages(chart: Chart, options: SheetOptions) -> tuple[Page, ...]:
    """The pages of one sheet; raises a ChangewrightError that says why there are none."""
    from app.sheet.files import make_ready
    from app.sheet.pages import pages_of
    from core.sheet.content import sheet_of

    make_ready()
    return pages_of(sheet_of(chart, options))


def write_sheets(chart: Chart, sheets: Sequence[Wanted], folder: str | os.PathLike[str],
                 told: Callable[[int], None] = lambda _done: None,
                 stopped: Callable[[], bool] = lambda: False) -> tuple[Path, ...]:  # fmt: skip
    """Write sheets into a folder; returns the files.

    ``told`` hears how many are done; ``stopped`` is asked before each. Raises :class:`Stopped`, FileError, or what is
    wrong with the chart; then the folder is as it was.
    """
    with gathered(folder) as place:
        for done, wanted in enumerate(sheets, 1):
            if stopped():
                raise Stopped
            write_one(chart, wanted, place)
            told(done)
        if stopped():
            raise Stopped
        return publish(place, folder)


def write_one(chart: Chart, wanted: Wanted, place: Path) -> None:
    """Write one sheet into a folder."""
    from app.sheet.files import write_pages

    write_pages(make_pages(chart, wanted.options), place / wanted.name, chart.title)


@contextmanager
def gathered(folder: str | os.PathLike[str]) -> Iterator[Path]:
    """A hidden folder beside the target to gather files in; it goes whatever happens."""
    try:
        place = Path(tempfile.mkdtemp(prefix=".sheets-", dir=folder))
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise FileError(folder, f"cannot write here ({reason})", "choose another folder") from error
    try:
        yield place
    finally:
        shutil.rmtree(place, ignore_errors=True)


def publish(place: Path, folder: str | os.PathLike[str]) -> tuple[Path, ...]:
    """Move everything that was gathered into the folder."""
    files = sorted(place.iterdir())
    try:
        for file in files:
            os.replace(file, Path(folder) / file.name)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise FileError(folder, f"writing failed ({reason})", "free space or choose another folder") from error
    return tuple(Path(folder) / file.name for file in files)
