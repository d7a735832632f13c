"""JSON lines: one object a line in, one answer a line out, in constant memory however long the pipe runs.

Every line is answered, in order and at once, so that a partner at the other end of two pipes can wait for it. A line
that cannot be answered gets ``{"id", "error"}`` with one sentence, ``id`` null where it could not be read.
"""

from __future__ import annotations

import json
import math
import os
import re
import sys
from collections.abc import Callable, Iterator
from fractions import Fraction
from functools import lru_cache
from typing import Any, BinaryIO

from app.cli.document import Document
from core.chord import Chord
from core.errors import ChangewrightError
from core.key import Key, parse_key
from core.meter import Meter, parse_meter
from core.symbol import parse_symbol

LONGEST_LINE = 1_000_000
"""Bytes of one line; a longer one is skipped, never held."""
LONGEST_WORD = 60
"""Characters of one chord symbol or number."""
MOST_QUARTERS = 1_000_000
LONGEST_ERROR = 400

Fields = dict[str, Any]
Answer = Callable[[Fields], Document]

_EXACT = re.compile(r"-?\d{1,9}(?:/0*[1-9]\d{0,8}|\.\d{1,9})?", re.ASCII)
_KINDS = {str: "text", bool: "true or false", type(None): "null", list: "a list", dict: "an object"}


class LineError(ChangewrightError):
    """A line that cannot be answered."""


def answer_lines(answer: Answer) -> int:
    """Answer every line of stdin on stdout; always exit code 0."""
    output = sys.stdout.buffer
    for line in _lines(sys.stdin.buffer):
        output.write(_encoded(reply(line, answer)))
        output.flush()
    return 0


def _lines(source: BinaryIO) -> Iterator[bytes | None]:
    """The lines, None for one that is too long, whose rest is read and let go."""
    while line := source.readline(LONGEST_LINE):
        if len(line) < LONGEST_LINE or line.endswith(b"\n"):
            yield line
            continue
        while line and not line.endswith(b"\n"):
            line = source.readline(LONGEST_LINE)
        yield None


def reply(line: bytes | None, answer: Answer) -> Document:
    """The answer to one line, or ``{"id", "error"}``."""
    identifier: object = None
    try:
        fields, repeated = _read(line)
        identifier = _identifier(fields, repeated)
        if repeated:
            raise LineError(f"The name {_short(repeated[0])} stands twice in the object; give each name once.")
        return {"id": identifier, **answer(fields)}
    except ChangewrightError as error:
        return {"id": identifier, "error": _sentence(str(error))}
    except Exception as error:
        if os.environ.get("CHANGEWRIGHT_DEBUG"):
            raise
        fault = f"This is a fault of the program, not of your line: {type(error).__name__}: {error}."
        return {"id": identifier, "error": _sentence(fault)}


def _read(line: bytes | None) -> tuple[Fields, list[str]]:
    """The object of a line, and the names that it gives more than once."""
    if line is None:
        raise LineError(f"The line is longer than {LONGEST_LINE:,} bytes; send shorter rows.")
    repeated: list[str] = []

    def gather(pairs: list[tuple[str, Any]]) -> Fields:
        fields = dict(pairs)
        if len(fields) < len(pairs):
            names = [name for name, _ in pairs]
            repeated.extend(name for name in fields if names.count(name) > 1)
        return fields

    try:
        text = line.decode("utf-8-sig").strip()
        if not text:
            raise LineError("The line is empty; write one JSON object on every line.")
        found = json.loads(text, object_pairs_hook=gather, parse_constant=_no_constant)
    except UnicodeDecodeError as error:
        raise LineError(f"The line is not text (byte {error.start + 1} is not UTF-8); send UTF-8.") from error
    except json.JSONDecodeError as error:
        problem = error.msg[0].lower() + error.msg[1:]
        raise LineError(f"The line is not JSON: {problem} at character {error.pos + 1}.") from error
    except RecursionError:
        raise LineError("The line is nested too deeply; write one plain object.") from None
    except ValueError:
        raise LineError("The line holds a number with too many digits; write ordinary numbers.") from None
    if not isinstance(found, dict):
        raise LineError(f'The line is {_kind(found)}; write an object such as {{"id": 1, …}}.')
    return found, repeated


def _no_constant(name: str) -> float:
    raise LineError(f"{name} is not a number in JSON; write an ordinary number or text.")


def _identifier(fields: Fields, repeated: list[str]) -> object:
    found = None if "id" in repeated else fields.get("id")
    if isinstance(found, float) and not math.isfinite(found):
        raise LineError("id is too large a number; write a smaller one, or text.")
    if isinstance(found, list | dict):
        raise LineError(f"id takes text or a number, not {_kind(found)}.")
    return found


def _encoded(document: Document) -> bytes:
    text = json.dumps(document, ensure_ascii=False, separators=(", ", ": ")) + "\n"
    try:
        return text.encode("utf-8")
    except UnicodeEncodeError:  # half a character in an id can only be given back as it came, escaped
        return json.dumps(document).encode("ascii") + b"\n"


def _sentence(text: str) -> str:
    one_line = " ".join(text.split())
    return one_line if len(one_line) <= LONGEST_ERROR else one_line[: LONGEST_ERROR - 1] + "…"


def _short(value: object) -> str:
    text = repr(value)
    return text if len(text) <= LONGEST_WORD else text[:LONGEST_WORD] + "…"


def _kind(value: object) -> str:
    return _KINDS.get(type(value), "a number")


# --- fields --------------------------------------------------------------------------------------------------------


def key_of(fields: Fields) -> Key | None:
    """``key`` as text such as "Eb major"; None where it is null or missing."""
    return None if fields.get("key") is None else _key(_text(fields, "key"))


def meter_of(fields: Fields) -> Meter:
    """``meter`` as text such as "4/4", which it is where it is null or missing."""
    return _meter("4/4" if fields.get("meter") is None else _text(fields, "meter"))


_key, _meter, _symbol = lru_cache(256)(parse_key), lru_cache(64)(parse_meter), lru_cache(4096)(parse_symbol)


def chord_of(fields: Fields, name: str) -> Chord | None:
    """A chord symbol; None for null, and for N.C."""
    if name not in fields:
        raise LineError(f'{name} is missing; write a chord symbol such as "G7", or null.')
    return None if fields[name] is None else _symbol(_text(fields, name))


def text_of(fields: Fields, name: str, example: str) -> str:
    """A text that must be there."""
    if fields.get(name) is None:
        raise LineError(f"{name} is missing; write text such as {json.dumps(example)}.")
    return _text(fields, name, LONGEST_LINE)


def _text(fields: Fields, name: str, longest: int = LONGEST_WORD) -> str:
    found = fields[name]
    if not isinstance(found, str):
        raise LineError(f"{name} takes text, not {_kind(found)}.")
    if len(found) > longest:
        raise LineError(f"{name} has {len(found)} characters; {longest} are the most.")
    return found


def quarters(value: object, name: str) -> Fraction:
    """Quarter notes from a number or an exact text such as "5/2"; a float is the nearest simple fraction."""
    found = _fraction(value)
    if found is None:
        raise LineError(f'{name} takes quarter notes such as 2 or "5/2", not {_short(value)}.')
    if abs(found) > MOST_QUARTERS:
        raise LineError(f"{name} is {_short(value)} quarter notes; {MOST_QUARTERS:,} are the most.")
    return found


def _fraction(value: object) -> Fraction | None:
    if isinstance(value, Fraction):
        return value
    if isinstance(value, str):
        return Fraction(value) if _EXACT.fullmatch(value) else None
    if isinstance(value, int) and not isinstance(value, bool):
        return Fraction(value)
    if isinstance(value, float) and math.isfinite(value):
        return Fraction(value).limit_denominator(960)
    return None
