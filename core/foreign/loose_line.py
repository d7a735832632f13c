"""Lines of pasted text told apart: headers, section names, bars, chords without bars, words.

Common practice, no source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from core.foreign.loose_bars import played_times
from core.foreign.loose_cell import is_word_of_bars

_SIGNS = str.maketrans({
    "｜": "|", "│": "|", "┃": "|", "¦": "|", "∣": "|", "ǀ": "|", "❘": "|", "‖": "||", "║": "||", "𝄀": "|", "𝄁": "||",
    "𝄂": "|", "𝄆": "|:", "𝄇": ":|", "\t": " ", "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\u200b": "", "\ufeff": "",
    "“": '"', "”": '"', "’": "'", "‘": "'", "：": ":",
})  # fmt: skip
_ALIASES = {
    "title": "title", "tune": "title", "song": "title", "name": "title", "composer": "composer", "by": "composer",
    "music": "composer", "author": "composer", "written by": "composer", "key": "key", "meter": "meter",
    "metre": "meter", "time": "meter", "time signature": "meter", "tempo": "tempo", "bpm": "tempo", "feel": "feel",
    "style": "feel", "rhythm": "feel", "groove": "feel", "t": "title", "subtitle": "", "st": "", "artist": "",
    "capo": "", "form": "", "tuning": "", "difficulty": "", "source": "", "copyright": "", "year": "",
}  # fmt: skip
_HEADER = re.compile(r"\s*([A-Za-z][A-Za-z ]{0,16}?)\s*[:=]\s*(.*?)\s*$")
_KEY_OF = re.compile(r"\s*\(?key\s+(?:of\s+)?(.+?)\)?\s*$", re.IGNORECASE)
_BPM = re.compile(r"(?:[♩𝅘𝅥q]\s*=\s*|=\s*)(\d{2,3})\b|\b(\d{2,3})\s*bpm\b", re.IGNORECASE)
_SECTION_WORDS = (r"intro(?:duction)?|verse|pre-?chorus|chorus|refrain|bridge|middle(?: ?8| eight)?|outro|ending|coda|"
                  r"tag|interlude|solos?|head|vamp|turnaround|instrumental|release|channel|shout|last time|"
                  r"section|part")  # fmt: skip
_NAME = rf"(?:[A-H]['’]?\d?|(?:{_SECTION_WORDS})(?:\s*[A-H0-9]{{1,2}})?)"
_ALONE = re.compile(
    rf"\s*[\[(<{{*_#]*\s*({_NAME}|\[[^\]|]{{1,30}}\])\s*[\])>}}*_]*\s*[:.)]?\s*(?:\(?\d{{1,3}}\s*bars?\)?)?\s*$",
    re.IGNORECASE,
)
_BRACKETED = re.compile(r"\s*\[([^\]|]{1,30})\]\s*$")
_LED = re.compile(rf"\s*(?:[\[(<]\s*({_NAME})\s*[\])>]\s*:?|({_NAME})\s*[:.)])\s*(?=\S)", re.IGNORECASE)
_BARE_LED = re.compile(rf"\s*([A-H]['’]?\d?|{_SECTION_WORDS})\s*(?=\|)", re.IGNORECASE)
_NUMBERED = re.compile(r"\s*(?:bars?\s*|mm?\.?\s*)?\d{1,3}(?:\s*[-–]\s*\d{1,3})?\s*[.):\]]?\s*(?=\|)", re.IGNORECASE)
_RULE = re.compile(r"[\s|:+=_*-]*$")


@dataclass(frozen=True, slots=True)
class Line:
    """A line: its kind ("header", "section", "bars", "chords", "tune", "words", "rule"), a word, and the rest."""

    kind: str
    word: str = ""
    rest: str = ""


def with_plain_signs(text: str) -> str:
    """The line with every kind of bar line, space and quote in its plain form."""
    return text.translate(_SIGNS)


def read_line(text: str, names: str) -> Line:
    """What a line is; ``text`` has plain signs."""
    stripped = text.strip()
    if (
        not stripped
        or stripped.startswith("#")
        or (len(stripped) > 2 and _RULE.match(stripped) and "%" not in stripped)
    ):
        return Line("rule")
    if re.match(r"\s*m:", text):
        return Line("tune", rest=text)
    directive = re.fullmatch(r"\{\s*([A-Za-z_]+)\s*:?\s*([^{}]*)\}", stripped)
    if directive:
        return _directive(directive[1].lower(), directive[2].strip())
    if "|" in text:
        return _bars(text)
    return _without_bars(text, names)


def _directive(word: str, rest: str) -> Line:
    if word in ("start_of_verse", "start_of_chorus", "start_of_bridge", "sov", "soc", "sob", "comment", "c"):
        return Line("section", {"so": ""}.get(word, rest or word.rsplit("_", 1)[-1].title()))
    if word in _ALIASES:
        return Line("header", _ALIASES[word], rest)
    return Line("words", rest=rest) if "_" not in word else Line("rule")


def _bars(text: str) -> Line:
    led = _LED.match(text)
    if led:
        return Line("bars", led[1] or led[2], text[led.end() :])
    numbered = _NUMBERED.match(text)
    if numbered:
        return Line("bars", "", text[numbered.end() :])
    bare = _BARE_LED.match(text)
    if bare and (len(bare[1]) > 2 or (text.rstrip().endswith("|") and not text.lstrip().startswith("|"))):
        return Line("bars", bare[1], text[bare.end() :])
    return Line("bars", "", text)


def _without_bars(text: str, names: str) -> Line:
    header = _HEADER.match(text)
    if header and header[1].lower().strip() in _ALIASES:
        return Line("header", _ALIASES[header[1].lower().strip()], header[2])
    alone = _BRACKETED.match(text) or _ALONE.match(text)
    if alone and not (len(alone[1]) == 1 and len(text.strip()) == 1):
        return Line("section", alone[1].strip("[]").strip())
    key = _KEY_OF.match(text)
    if key:
        return Line("header", "key", key[1])
    bpm = _BPM.search(text)
    if bpm:
        return Line("header", "tempo", bpm[1] or bpm[2])
    led = _LED.match(text)
    body = text[led.end() :] if led else text
    words = re.sub(r"\s(?:[-–—>]*[→>]|[-–—]+)\s|,", " ", played_times(body)[0]).split()
    if words and all(is_word_of_bars(word.strip("()"), names) for word in words):
        return Line("chords", (led[1] or led[2]) if led else "", body)
    if re.search(r"\[[A-H][^\]\s]{0,12}\]", text):
        return Line("inline", rest=text)
    if header:
        return Line("unknown", header[1].lower().strip(), header[2])
    return Line("words", rest=text.strip())
