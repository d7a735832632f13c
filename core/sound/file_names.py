"""What sound files are called that one name stands for: a file a row, a file a part. Standard library only."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from pathlib import Path

from core.timeline import PARTS


def row_targets(target: Path, rows: Sequence[str]) -> dict[str, Path]:
    """The file of each row: the target itself for one row, else ``tide-standard.mid``, ``tide-second-evening.mid``."""
    if len(rows) == 1:
        return {rows[0]: target}
    found: dict[str, Path] = {}
    for row in rows:
        plain = re.sub(r"[^a-z0-9]+", "-", row.lower()).strip("-") or "row"
        stems = (f"{target.stem}-{plain}", *(f"{target.stem}-{plain}-{number}" for number in range(2, 10_000)))
        paths = (target.with_name(stem + target.suffix) for stem in stems)
        found[row] = next(path for path in paths if path not in found.values())
    return found


def part_targets(target: Path, parts: Iterable[str]) -> dict[str, Path]:
    """The file of each part: ``tide-bass.wav``."""
    return {part: target.with_name(f"{target.stem}-{part}{target.suffix}") for part in parts}


def may_be_written(target: Path, rows: Sequence[str], stems: bool) -> tuple[Path, ...]:
    """Every file that could be written, whether or not each part plays."""
    files = row_targets(target, rows).values()
    return tuple(path for file in files for path in (part_targets(file, PARTS).values() if stems else (file,)))
