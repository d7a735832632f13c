"""One bar of pasted text to one bar of bar text: spellings, separators and holds as people write them.

Every style of chord symbol is :mod:`core.symbol`'s affair; here words are cut where chords are run together, joined
where a symbol was written with a space, and dots, dashes and slashes become holds where they fill the metre.
Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from core.errors import ChangewrightError
from core.meter import Meter
from core.symbol import NO_CHORD, parse_symbol

Say = Callable[[str], None]
REPEATS = frozenset({"%", "./.", ".", "-", "–", "—", "~", "=", "''", '"', "〃", "x", "X", "𝄎", "sim.", "simile", "//",
                     "/", "‖:", "∕", "％"})  # fmt: skip
_HOLDS = frozenset({".", "·", "•", "-", "–", "—", "_", "/", "'", "~"})
_TAIL = re.compile(r"(.*?[^./_\-–—·'])([./_·']{1,4}|[-–—]{1,4})$")
_RUN_ON = re.compile(r"(?:\s*[-–—,;>→_|]+\s*|/)(?=[A-H](?:[^a-z]|[bms]))")
_METER = re.compile(r"(\d{1,2})/(\d{1,2})$")
_TENSION = re.compile(r"\((?:[b#♭♯+-]?\d|maj|sus|add|alt|no|omit)")
_LEADING_NUMBER = re.compile(r"\d{1,3}[.):]?$")
LANGUAGES = ("english", "german", "latin")


def is_chord(word: str, names: str) -> bool:
    """Whether a word is a chord symbol or a spelling of no chord."""
    if word in NO_CHORD or word.upper() in ("N/C", "N.C", "NC."):
        return True
    try:
        return parse_symbol(word, names) is not None
    except (ChangewrightError, RecursionError):
        return False


def is_word_of_bars(word: str, names: str) -> bool:
    """Whether a word may stand in a line of chords: a chord, several run together, a hold or a repeat."""
    return word in REPEATS or word in _HOLDS or all(is_chord(part, names) for part in chords_in(word, names))


def chords_in(word: str, names: str) -> list[str]:
    """The chords of a word; ``Dm7-G7`` and ``Dm7/G7`` are two, ``Dm7(b5)``, ``C6/9`` and ``C/E`` are one."""
    bare = word.strip(",;")
    if is_chord(bare, names):
        return [bare]
    if bare.startswith("(") and bare.endswith(")") and is_chord(bare[1:-1], names):
        return [bare]
    parts = [part for part in _RUN_ON.split(bare) if part]
    if len(parts) > 1 and all(is_chord(part, names) for part in parts):
        return parts
    return [bare]


def cell_words(text: str, meter: Meter, names: str, say: Say) -> tuple[str, Meter | None]:
    """The words of a bar as bar text reads them, and a metre that is written in it."""
    words, change = _plain_words(text)
    if not words or (len(words) == 1 and words[0] in REPEATS):
        if not words:
            say("an empty bar repeats the bar before")
        return "%", change
    words = _joined(_unbracketed(words), names)
    found: list[str] = []
    for word in words:
        found += _parts(word, names)
    return " ".join(_settled(found, change or meter, names, say)), change


def _plain_words(text: str) -> tuple[list[str], Meter | None]:
    words = text.split()
    change = None
    if len(words) > 1 and _LEADING_NUMBER.match(words[0]):
        words = words[1:]
    kept = []
    for word in words:
        match = _METER.match(word.strip("[]{}()"))
        if match and int(match[1]) in range(1, 33) and int(match[2]) in (1, 2, 4, 8, 16, 32):
            change = Meter(int(match[1]), int(match[2]))
        else:
            kept.append(word)
    return kept, change


def _unbracketed(words: list[str]) -> list[str]:
    """Brackets around several chords, ``(Em7 A7)``, as brackets around each."""
    result, inside = [], False
    for word in words:
        if _TENSION.match(word):
            result.append(word)
            continue
        opens, closes = word.startswith("(") and ")" not in word, word.endswith(")") and "(" not in word
        inside = inside or opens
        bare = word.removeprefix("(") if opens else word
        bare = bare.removesuffix(")") if closes and inside else bare
        if bare:
            result.append(f"({bare})" if inside and bare not in _HOLDS else bare)
        inside = inside and not closes
    return result


def _joined(words: list[str], names: str) -> list[str]:
    """``Bb maj7`` and ``D m7 b5`` written with spaces become one word each."""
    joined: list[str] = []
    for word in words:
        alone = is_chord(word, names) or word in REPEATS or word in _HOLDS
        if (
            joined
            and not alone
            and not word.startswith("(")
            and is_chord(joined[-1], names)
            and is_chord(joined[-1] + word, names)
        ) or (joined and _TENSION.match(word) and is_chord(joined[-1] + word, names)):
            joined[-1] += word
        else:
            joined.append(word)
    return joined


def _parts(word: str, names: str) -> list[str]:
    """A word as chords and holds: ``Dm7..`` is a chord and two holds, ``//`` two holds."""
    if word in ("%", "./."):
        return ["%"]
    if word and set(word) <= _HOLDS:
        return list(word)
    parts = chords_in(word, names)
    if len(parts) > 1 or is_chord(parts[0], names) or parts[0].startswith("("):
        return [_no_chord(part) for part in parts]
    tail = _TAIL.match(word)
    if tail and is_chord(tail[1], names):
        return [_no_chord(tail[1]), *tail[2]]
    return parts


def _no_chord(word: str) -> str:
    return "N.C." if word in NO_CHORD or word.upper() in ("N/C", "N.C", "NC.") else word


def _settled(words: list[str], meter: Meter, names: str, say: Say) -> list[str]:
    """Holds as slashes where chords and holds fill the bar, else left out."""
    if words == ["%"] or any("*" in word for word in words):
        return words
    repeats = [word for word in words if word == "%"]
    if repeats and len(words) > 1:
        say("a repeat sign beside chords holds the chord before it")
        words = ["/" if word == "%" else word for word in words]
    holds = [word for word in words if word in _HOLDS]
    if not holds:
        return words
    chords = [word for word in words if word not in _HOLDS]
    counts = {meter.beats, meter.length / meter.pulse}
    if len(words) in counts and words[0] not in _HOLDS:
        return ["/" if word in _HOLDS else word for word in words]
    if any(word in ("/", ".", "·", "•") for word in holds) and len(chords) > 0:
        say("the beats written do not fill the metre; the chords share the bar evenly")
    return chords or ["%"]
