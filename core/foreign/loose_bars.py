"""A line of pasted bars cut at its bar lines: repeats, endings, road-map words, how often the line is played."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from core.foreign.signs import words_signs
from core.form import JUMPS

_BAR_LINE = re.compile(r":+\|+\]?(?:\s*[x×]?\s*(\d{1,2})\s*[x×]?(?=\s*(?:$|\|)))?|[\[|]*\|+:+|\|+\]?|\[\|")
_TIMES = re.compile(
    r"[(\[]?\s*(?:[x×]\s*(\d{1,2})|(\d{1,2})\s*[x×]|(twice)|(\d{1,2})\s*times?)\s*[)\]]?\s*$", re.IGNORECASE
)
_ENDING = re.compile(
    r"\s*\[?\s*(\d(?:\s*[,.&-]\s*\d)*)\s*(?:st|nd|rd|th)?(?:\s*(?:ending|time|x))?\s*[.):\]]\s*|\s*\[(\d)\s+|\s*(\d)(?:st|nd|rd|th)\s+(?:ending|time)?:?\s*|(\d)\s+(?=[A-H])",
    re.IGNORECASE,
)
_ROAD = re.compile(r"(?:[\[({<]\s*)?(D(?:\.\s*)?[CS]\.?(?:\s+al\s+(?:fine|coda))?|da\s+capo(?:\s+al\s+(?:fine|coda))?|"
                   r"dal\s+segno(?:\s+al\s+(?:fine|coda))?|to\s+coda|fine|segno|coda|𝄋|𝄌|⊕)\.?(?:\s*[\])}>])?(?=\s|$|\||:)",
                   re.IGNORECASE)  # fmt: skip


@dataclass(slots=True)
class LooseCell:
    """A bar of pasted text: its chords, and the signs around it. ``line`` counts from 1."""

    line: int
    text: str
    section: str | None = None
    start: bool = False
    end: int = 0
    ending: str = ""
    closes: bool = False
    directives: list[str] = field(default_factory=list)


def cells_of(number: int, text: str) -> list[LooseCell]:
    """The bars of a line."""
    body, times = played_times(text)
    cells: list[LooseCell] = []
    position, opening, first = 0, False, True
    for match in [*_BAR_LINE.finditer(body), None]:
        stop = match.start() if match else len(body)
        content = body[position:stop]
        last = match is None
        if content.strip() or (content and not first and not last) or (not first and not last and not content):
            cells.append(_cell(number, content, opening))
            opening = False
        if match is None:
            break
        if match[0].startswith(":") and cells:
            cells[-1].end = int(match[1] or 2)
        if cells and (len(match[0]) > 1 or match[0] == "]"):
            cells[-1].closes = True
        opening = opening or match[0].endswith(":")
        position, first = match.end(), False
    if times > 1 and cells:
        cells[0].start, cells[-1].end = True, times
    return cells


def played_times(text: str) -> tuple[str, int]:
    """The line without "x3" at its end, and how often it is played."""
    match = _TIMES.search(text)
    if match is None or text[: match.start()].rstrip().endswith(":|"):
        return text, 1
    return text[: match.start()], 2 if match[3] else int(match[1] or match[2] or match[4])


def _cell(number: int, content: str, opening: bool) -> LooseCell:
    cell = LooseCell(number, content, start=opening)
    ending = _ENDING.match(content)
    if ending:
        cell.ending = ",".join(_passes(next(group for group in ending.groups() if group)))
        cell.text = content[ending.end() :]
    cell.text = _ROAD.sub(lambda match: _road(match[1], cell), cell.text)
    return cell


def _passes(text: str) -> list[str]:
    span = re.fullmatch(r"(\d)\s*-\s*(\d)", text)
    if span:
        return [str(number) for number in range(int(span[1]), int(span[2]) + 1)]
    return re.findall(r"\d", text)


def _road(words: str, cell: LooseCell) -> str:
    plain = words.upper() if words[:2].lower() in ("dc", "ds") else words
    signs = words_signs({"𝄋": "Segno", "𝄌": "Coda", "⊕": "Coda"}.get(words, plain))
    for mark in sorted(signs.marks or ()):
        cell.directives.append(mark)
    if signs.jump:
        name = signs.jump[0] if signs.jump[1] is None else f"{signs.jump[0]} al {signs.jump[1]}"
        cell.directives += [name] if name in JUMPS else []
    return " "


def road_of(text: str) -> list[str]:
    """Marks and jumps of a line that holds nothing else; an empty list if it holds more."""
    cell = LooseCell(0, "")
    rest = _ROAD.sub(lambda match: _road(match[1], cell), text)
    return cell.directives if not rest.strip(" .,;:-–()[]|") else []
