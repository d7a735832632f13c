"""An ABC file: its text, its tunes, the header and the body of each.

Source: the ABC standard, version 2.1 (December 2011), section 2 (file structure).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from core.foreign.plain_text import plain_text
from core.foreign.xml_stream import Refused

MAX_TUNE_LINES = 20_000
_FIELD = re.compile(r"([A-Za-z+]):(.*)$")
_COMMENT = re.compile(r"(?<!\\)%.*$")


@dataclass(slots=True)
class AbcTune:
    """Header fields in order and the lines of the body, comments taken off."""

    header: list[tuple[str, str]] = field(default_factory=list)
    body: list[str] = field(default_factory=list)

    def first(self, name: str) -> str:
        """The first header field of a name, or nothing."""
        return next((value for key, value in self.header if key == name), "")

    @property
    def title(self) -> str:
        """The first title that says anything."""
        return next((plain_text(value) for key, value in self.header if key == "T" and value.strip()), "")


def tunes_of(text: str) -> list[AbcTune]:
    """Every tune of a file, each from its ``X:`` on (a file without any is one tune). Other text is left out."""
    common: list[tuple[str, str]] = []
    tunes: list[AbcTune] = []
    tune: AbcTune | None = None
    in_body = False
    numbered = re.search(r"(?m)^X:", text) is not None
    for raw in text.splitlines():
        line = raw.rstrip()
        if line.startswith("%%"):
            line = _directive(line)
            if not line:
                continue
        match = _FIELD.match(line)
        if (match and match[1] == "X") or (tune is None and not numbered and match):
            tune, in_body = AbcTune(list(common)), False
            tunes.append(tune)
        elif not line.strip() and tune is not None and in_body and numbered:
            tune = None
        if tune is None:
            if match and match[1] in "LMRQKI":
                common.append((match[1], match[2].strip()))
            continue
        in_body = _take_line(tune, _COMMENT.sub("", line).rstrip(), in_body)
    return tunes


def _directive(line: str) -> str:
    """A stylesheet directive that changes pitches, as an instruction field; all others are page make-up."""
    match = re.match(r"%%\s*(propagate-accidentals\s+\w+)", line)
    return f"I:{match[1]}" if match else ""


def _take_line(tune: AbcTune, line: str, in_body: bool) -> bool:
    """Add a line to its tune; returns whether the body has begun."""
    match = _FIELD.match(line)
    if in_body:
        if len(tune.body) >= MAX_TUNE_LINES:
            raise Refused("has a tune longer than any", "open a shorter file")
        if line.strip():
            tune.body.append(line)
        return True
    if match is None:
        return False
    name, value = match[1], match[2].strip()
    if name == "+" and tune.header:
        tune.header[-1] = (tune.header[-1][0], f"{tune.header[-1][1]} {value}")
    else:
        tune.header.append((name, value))
    return name == "K"
