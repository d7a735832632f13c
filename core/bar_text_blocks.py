"""The lines of bar text sorted into blocks: headers, bars and melody of each row. The grammar: :mod:`core.bar_text`."""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass, field
from itertools import chain

from core.chart import STANDARD
from core.errors import ChangewrightError

HEADER_WORDS = ("title", "composer", "key", "meter", "tempo", "feel", "note", "row", "reference", "order", "class")
TAKE_WORDS = ("seed", "note", "lock", "key", "align", "step", "form", "meter", "order", "melody")
_WORD = re.compile(r"\s*([a-z]+)\s*:\s?(.*)$")
MAX_BARS = 5000
_BARLINE = re.compile(r":\|+\]?(?:x([0-9]{1,4}))?|\|+:|\|+\]?")  # a double or final bar line is read as a plain one


class BarTextError(ChangewrightError):
    """Bar text that cannot be read; ``line`` and ``column`` count from 1."""

    def __init__(self, line: int, column: int, problem: str) -> None:
        self.line, self.column, self.problem = line, column, problem
        super().__init__(f"Line {line}, column {column}: {problem}")


@dataclass(slots=True)
class Cell:
    """A bar of text while it is being read."""

    line: int
    column: int
    text: str
    repeat_start: bool = False
    repeat_end: int = 0
    section: str | None = None
    melody: tuple[int, int, str] | None = None


@dataclass(slots=True)
class Block:
    """Lines that belong to one row: its kind, name, bars, loose melody lines and single words."""

    kind: str
    name: str
    line: int
    as_played: bool = False
    cells: list[Cell] = field(default_factory=list)
    tune: list[tuple[int, int, str]] = field(default_factory=list)
    words: list[tuple[str, str, int]] = field(default_factory=list)
    tune_only: bool = False

    def word(self, name: str) -> str | None:
        """The first word of a name, or None."""
        return next((value for word, value, _ in self.words if word == name), None)


def blocks_of(text: str) -> list[Block]:
    """The blocks of a text, the main one first. Raises :class:`BarTextError`."""
    block = Block("main", STANDARD, 1)
    blocks, section, take = [block], None, ""
    for number, line in enumerate(text.splitlines(), 1):
        stripped = line.strip()
        if not stripped or stripped.startswith("#"):
            continue
        if re.fullmatch(r"\[[^\[\]|]*\]", stripped):
            section = stripped[1:-1].strip()
            continue
        word = None if stripped.startswith("|") else _WORD.match(line)
        if word and word[1] == "m":
            _add_tune(block, number, line)
        elif word and word[1] in ("row", "take", "melody") and (word[1] != "row" or any(b.cells for b in blocks)):
            block = _new_block(word[1], word[2], number, take)
            take = block.name if block.kind == "take" else "" if block.kind == "row" else take
            blocks.append(block)
        elif word and "|" not in word[1]:
            _add_word(block, word, number, line)
        elif "|" in line:
            _add_cells(block, number, line, section)
            section = None
        else:
            raise BarTextError(
                number, 1, f"Cannot read {stripped!r}; bars stand between | signs, headers are 'key: value'."
            )
    return blocks


def _new_block(kind: str, rest: str, number: int, take: str) -> Block:
    name, mark, _ = rest.partition("(as played)")
    if kind == "melody":
        return Block("take_melody" if take else "melody", take, number, True, tune_only=True)
    if kind == "row" and take and name.strip() == take:
        return Block("played_take", take, number, True)
    if not name.strip():
        raise BarTextError(number, 1, f"{kind}: needs a name.")
    return Block(kind, name.strip(), number, bool(mark))


def _add_word(block: Block, word: re.Match[str], number: int, line: str) -> None:
    known = HEADER_WORDS if block.kind == "main" else TAKE_WORDS
    if word[1] not in known:
        close = difflib.get_close_matches(word[1], known, n=1)
        advice = f"did you mean {close[0]!r}?" if close else "known words are " + ", ".join(known) + "."
        raise BarTextError(number, line.index(word[1]) + 1, f"{word[1]!r} is not a word of the header; {advice}")
    block.words.append((word[1], word[2].strip(), number))


def _add_cells(block: Block, number: int, line: str, section: str | None) -> None:
    """Split a line at its bar lines. Text before the first and after the last bar line counts as a bar too."""
    position, opening, first = 0, False, True
    for match in chain(_BARLINE.finditer(line), (None,)):
        end = match.start() if match else len(line)
        content = line[position:end]
        if content.strip():
            cell = Cell(number, position + len(content) - len(content.lstrip()) + 1, content.strip(), opening)
            cell.section = section if first else None
            block.cells.append(cell)
            if len(block.cells) > MAX_BARS:
                raise BarTextError(number, position + 1, f"A row has more than {MAX_BARS} bars; no tune is so long.")
            opening, first = False, False
        elif match and position and content and match[0] == "|" and line[position - 1] == "|":
            raise BarTextError(number, position + 1, "An empty bar; write a chord, N.C. or %.")
        if match is None:
            return
        if match[0].startswith(":") and block.cells:
            block.cells[-1].repeat_end = int(match[1] or 2)
        opening = opening or match[0].endswith(":")
        position = match.end()


def _add_tune(block: Block, number: int, line: str) -> None:
    column = line.index(":") + 1
    body = line[column:]
    parts, at = [], column
    for part in body.split("|"):
        parts.append((number, at + len(part) - len(part.lstrip()) + 1, part.strip()))
        at += len(part) + 1
    if parts and not parts[-1][2]:
        parts.pop()
    if block.tune_only:
        block.tune += parts
        return
    line_numbers = sorted({cell.line for cell in block.cells})
    cells = [cell for cell in block.cells if line_numbers and cell.line == line_numbers[-1] and cell.melody is None]
    if len(parts) > len(cells):
        raise BarTextError(
            number, 1, f"The melody has {len(parts)} bars and the line of bars above it has {len(cells)}."
        )
    for cell, tune in zip(cells, parts, strict=False):
        cell.melody = tune
