"""A SoundFont 2 file looked at and checked: its presets, instruments and samples as tables, its sound left on the disk.

Names, record sizes and generator numbers: SoundFont Technical Specification 2.01, sections 4 to 8. A file of any size
is read in pieces: only the tables are ever in memory.
"""

from __future__ import annotations

import struct
import sys
from array import array
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import BinaryIO

from core.errors import FileError

CHOOSE = "choose another SoundFont (.sf2), or none to use the one that comes with the program"
AGAIN = "copy or download it again"
MAX_TABLE_BYTES = 64 * 2**20
"""The tables of the largest fonts take a few megabytes."""
KIT_BANK = 128
INSTRUMENT, KEY_RANGE, VELOCITY_RANGE, SAMPLE = 41, 43, 44, 53
ROM, COMPRESSED = 0x8000, 0x10
_RECORDS = {"phdr": 38, "pbag": 4, "pmod": 10, "pgen": 4, "inst": 22, "ibag": 4, "imod": 10, "igen": 4, "shdr": 46}

Generator = tuple[int, int]
"""Number and amount (a range holds its low end in the low byte)."""


@dataclass(frozen=True, slots=True)
class Zone:
    """Generators in the order of the file, raw modulators, and what the zone points to (-1: a global zone)."""

    generators: tuple[Generator, ...]
    modulators: tuple[bytes, ...]
    target: int

    def holds(self, pitch: int, velocity: int) -> bool:
        """Whether a note sounds in this zone."""
        return all(
            amount & 0xFF <= value <= amount >> 8
            for number, amount in self.generators
            for wanted, value in ((KEY_RANGE, pitch), (VELOCITY_RANGE, velocity))
            if number == wanted
        )


@dataclass(frozen=True, slots=True)
class Preset:
    """A preset by bank (128: drum kits) and program, from 0; ``first`` and ``last`` are zones, the last exclusive."""

    name: str
    bank: int
    program: int
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class FontFile:
    """A checked font. ``smpl`` is the place of its sound in the file, in bytes."""

    path: Path
    name: str
    size: int
    presets: tuple[Preset, ...]
    smpl: int
    tables: dict[str, bytes]

    def preset_zones(self, preset: Preset) -> tuple[Zone, ...]:
        """Zones of a preset; their targets are instruments."""
        return tuple(_zones(self.tables, "p", range(preset.first, preset.last), INSTRUMENT))

    def instrument_zones(self, index: int) -> tuple[Zone, ...]:
        """Zones of an instrument; their targets are samples."""
        first, last = (self._u16("inst", place, 20) for place in (index, index + 1))
        return tuple(_zones(self.tables, "i", range(first, last), SAMPLE))

    def instrument_name(self, index: int) -> bytes:
        """The raw name of an instrument."""
        return self.tables["inst"][22 * index : 22 * index + 20]

    def sample_header(self, index: int) -> bytes:
        """The raw header of a sample."""
        return self.tables["shdr"][46 * index : 46 * index + 46]

    def sound(self, start: int, end: int) -> bytes:
        """The frames of a sample, 16 bit. Raises FileError where the file has been cut off since it was checked."""
        with _opened(self.path) as file:
            data = _Pieces(file, self.size).at(self.smpl + 2 * start, self.smpl + 2 * end)
        if len(data) < 2 * (end - start):
            raise FileError(self.path, "its end is missing", AGAIN)
        return data

    def _u16(self, table: str, index: int, offset: int) -> int:
        return int(struct.unpack_from("<H", self.tables[table], _RECORDS[table] * index + offset)[0])


class _Pieces:
    """A file read by place."""

    def __init__(self, file: BinaryIO, size: int) -> None:
        self._file, self.size = file, size

    def at(self, start: int, end: int) -> bytes:
        """The bytes from start to end, fewer where the file is shorter."""
        self._file.seek(start)
        return self._file.read(end - start)


def open_font(path: Path) -> FontFile:
    """A font that is whole, with every index inside its table. Raises FileError in words for the user."""
    with _opened(path) as file:
        data = _Pieces(file, path.stat().st_size)
        try:
            return _checked(path, data)
        except OSError as error:
            raise FileError(path, f"it cannot be read ({error.strerror or error})", CHOOSE) from error


def _checked(path: Path, data: _Pieces) -> FontFile:
    head = data.at(0, 12)
    if len(head) < 12 or head[:4] != b"RIFF" or head[8:12] != b"sfbk":
        raise FileError(path, "this is not a SoundFont 2 file", CHOOSE)
    if struct.unpack("<I", head[4:8])[0] + 8 > data.size:
        raise FileError(path, "its end is missing", AGAIN)
    lists = {name: (start, end) for name, start, end in _lists(data)}
    for name in ("INFO", "sdta", "pdta"):
        if name not in lists:
            raise FileError(path, f"its {name} list is missing", AGAIN)
    if lists["pdta"][1] - lists["pdta"][0] > MAX_TABLE_BYTES:
        raise FileError(path, "its tables are larger than any instrument needs", CHOOSE)
    tables = {name: data.at(start, end) for name, start, end in _chunks(data, *lists["pdta"])}
    sound = {name: (start, end) for name, start, end in _chunks(data, *lists["sdta"])}.get("smpl", (0, 0))
    _check_tables(path, tables, (sound[1] - sound[0]) // 2)
    names = [_text(data.at(start, min(end, start + 256)))
             for name, start, end in _chunks(data, *lists["INFO"]) if name == "INAM"]  # fmt: skip
    return FontFile(path, next(filter(None, names), path.stem), data.size, tuple(_presets(tables["phdr"])), sound[0],
                    tables)  # fmt: skip


def _opened(path: Path) -> BinaryIO:
    try:
        return path.open("rb")
    except OSError as error:
        raise FileError(path, f"it cannot be read ({error.strerror or error})", CHOOSE) from error


def _lists(data: _Pieces) -> Iterator[tuple[str, int, int]]:
    """Name, start and end of each top-level list that lies wholly inside the file."""
    for kind, start, end in _chunks(data, 12, data.size):
        if kind == "LIST" and end - start >= 4:
            yield data.at(start, start + 4).decode("latin-1"), start + 4, end


def _chunks(data: _Pieces, start: int, end: int) -> Iterator[tuple[str, int, int]]:
    """Name, start and end of the contents of each chunk that lies wholly inside."""
    while start + 8 <= end:
        head = data.at(start, start + 8)
        if len(head) < 8:
            return
        kind, length = struct.unpack("<4sI", head)
        if start + 8 + length > end:
            return
        yield kind.decode("latin-1"), start + 8, start + 8 + length
        start += 8 + length + length % 2


def _text(raw: bytes) -> str:
    return raw.split(b"\0")[0].decode("latin-1").strip()


def _presets(phdr: bytes) -> Iterator[Preset]:
    rows = list(struct.iter_unpack("<20sHHHIII", phdr))
    for row, after in pairwise(rows):
        yield Preset(_text(row[0]), row[2], row[1], row[3], after[3])


def _zones(tables: dict[str, bytes], side: str, bags: Sequence[int], points: int) -> Iterator[Zone]:
    bag, gen, mod = tables[side + "bag"], tables[side + "gen"], tables[side + "mod"]
    for index in bags:
        first_gen, first_mod, last_gen, last_mod = struct.unpack_from("<HHHH", bag, 4 * index)
        generators = tuple(struct.iter_unpack("<HH", gen[4 * first_gen : 4 * last_gen]))
        modulators = tuple(mod[10 * one : 10 * one + 10] for one in range(first_mod, last_mod))
        target = generators[-1][1] if generators and generators[-1][0] == points else -1
        yield Zone(generators, modulators, target)


# --- checks ---------------------------------------------------------------------------------------------------------


def _check_tables(path: Path, tables: dict[str, bytes], frames: int) -> None:
    for name, size in _RECORDS.items():
        if name not in tables:
            raise FileError(path, f"its {name} table is missing", AGAIN)
        if len(tables[name]) % size or len(tables[name]) < size:
            raise FileError(path, f"its {name} table has a broken length", AGAIN)
    if len(tables["phdr"]) < 2 * _RECORDS["phdr"]:
        raise FileError(path, "it holds no instrument", CHOOSE)
    counts = {name: len(tables[name]) // size for name, size in _RECORDS.items()}
    for rows, field, into in (
        ("phdr", 24, "pbag"), ("pbag", 0, "pgen"), ("pbag", 2, "pmod"),
        ("inst", 20, "ibag"), ("ibag", 0, "igen"), ("ibag", 2, "imod"),
    ):  # fmt: skip
        places = _column(tables[rows], _RECORDS[rows], field)
        if places[-1] >= counts[into] or any(one > other for one, other in pairwise(places)):
            raise FileError(path, f"its {rows} table points outside its {into} table", AGAIN)
    for generators, points, into in (("pgen", INSTRUMENT, "inst"), ("igen", SAMPLE, "shdr")):
        words = _words(tables[generators])
        targets = (amount for number, amount in zip(words[::2], words[1::2], strict=True) if number == points)
        if max(targets, default=-1) >= counts[into] - 1:
            raise FileError(path, f"its {generators} table points outside its {into} table", AGAIN)
    _check_samples(path, tables["shdr"], frames)


def _check_samples(path: Path, shdr: bytes, frames: int) -> None:
    for name, start, end, kind in list(struct.iter_unpack("<20sII16xH", shdr))[:-1]:
        if kind & COMPRESSED:
            raise FileError(path, "its samples are compressed, which an .sf2 file does not allow", CHOOSE)
        if not kind & ROM and not start <= end <= frames:
            raise FileError(path, f"the sound of its sample “{_text(name)}” is missing", AGAIN)


def _column(table: bytes, size: int, offset: int) -> list[int]:
    return _words(table)[offset // 2 :: size // 2].tolist()


def _words(table: bytes) -> array[int]:
    words = array("H", table)
    if sys.byteorder == "big":
        words.byteswap()
    return words
