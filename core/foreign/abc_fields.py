"""Fields of an ABC tune: key, metre, unit note length, tempo, order of parts, voices.

Source: the ABC standard, version 2.1 (December 2011), sections 3.1 (fields), 3.1.6 to 3.1.9 (metre, unit note length,
tempo, parts), 3.1.14 (key), 7 (voices).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction

from core.foreign.events import MAJOR_MODES, MINOR_MODES
from core.foreign.xml_stream import Refused
from core.key import Key
from core.meter import Meter, MeterError, parse_meter
from core.pitch import NATURAL_FIFTHS

_KEY = re.compile(r"([A-Ga-g])([#b♯♭]?)\s*([A-Za-z]*)")
_MODES = {name[:3]: name for name in (*MINOR_MODES, *MAJOR_MODES)} | {"m": "minor", "": "major", "M": "major"}
_CLEF_WORDS = re.compile(r"[A-Za-z-]+=(?:\"[^\"]*\"|\S+)|(?<!\w)(?:treble|alto|tenor|bass|perc)(?:[+-]?8)?(?!\w)")
_EXTRA = re.compile(r"(?:^|\s)(\^\^|\^|__|_|=)([A-Ga-g])(?=\s|$)")
_PIPES = re.compile(r"H[Pp]\b")
_SHARPS = "FCGDAEB"
SIGNS = {"^": 1, "^^": 2, "_": -1, "__": -2, "=": 0}
_LENGTH = re.compile(r"(\d{1,4})/(\d{1,4})")
_TEMPO = re.compile(r"((?:\d{1,3}/\d{1,3}\s*)+)=\s*(\d{1,4}(?:\.\d{1,3})?)")
_OLD_TEMPO = re.compile(r"(?:C\s*(\d{0,2})\s*=\s*)?(\d{1,4}(?:\.\d{1,3})?)\s*$")
MAX_PLAYED_PARTS = 200


@dataclass(frozen=True, slots=True)
class AbcKey:
    """A key, the accidental that its signature puts on each letter, and whether its mode was stated."""

    key: Key
    signature: dict[str, int] = field(default_factory=dict)
    mode_given: bool = True
    note: str = ""


def signature_of(fifths: int) -> dict[str, int]:
    """Accidentals of a signature by letter: ``signature_of(-1) == {"B": -1}``."""
    order, sign = (_SHARPS, 1) if fifths > 0 else (_SHARPS[::-1], -1)
    counts: dict[str, int] = {}
    for at in range(abs(fifths)):
        counts[order[at % 7]] = counts.get(order[at % 7], 0) + sign
    return counts


def parse_abc_key(text: str) -> AbcKey | None:
    """``K:``; None where it names no key (a clef alone). Modes are read as major or minor on their tonic."""
    words = _CLEF_WORDS.sub(" ", text).strip()
    if _PIPES.match(words):
        return AbcKey(Key(3), signature_of(2), True, f"the pipe key {words[:2]} is read as A major with a G natural")
    if not words and text.strip():
        return None
    if not words or words.lower().startswith("none"):
        return AbcKey(Key(0), {}, False)
    match = _KEY.match(words)
    if match is None or (match[3] and _mode(match[3]) is None and match[3] != "exp"):
        return None
    tonic = NATURAL_FIFTHS[match[1].upper()] + {"#": 7, "♯": 7, "b": -7, "♭": -7}.get(match[2], 0)
    explicit = match[3] == "exp" or re.search(r"\bexp\b", words) is not None
    rest = words[match.end() :].split()
    mode = _mode(match[3]) or (_mode(rest[0]) if rest and not match[3] else None) or "major"
    minor = mode in MINOR_MODES
    fifths = tonic - (MINOR_MODES[mode] if minor else MAJOR_MODES[mode])
    key = Key(tonic, "minor" if minor else "major")
    letters = {} if explicit else signature_of(max(-14, min(14, fifths)))
    letters |= {letter.upper(): SIGNS[sign] for sign, letter in _EXTRA.findall(words)}
    note = f"the mode {mode} is read as {key}" if mode not in ("major", "minor") else ""
    return AbcKey(key, letters, True, note)


def _mode(word: str) -> str | None:
    return _MODES.get(word if len(word) < 2 else word[:3].lower())


def parse_abc_meter(text: str) -> tuple[Meter | None, str]:
    """``M:`` and what had to be guessed; None for a free metre."""
    words = text.strip()
    if words in ("C", "c", "C|", "c|"):
        return parse_meter(words.upper()), ""
    if not words or words.lower() == "none":
        return None, "free metre"
    beats, slash, kind = words.replace("(", "").replace(")", "").replace(" ", "").partition("/")
    try:
        counts = [int(part) for part in beats.split("+")]
        meter = parse_meter(f"{sum(counts)}/{kind if slash else 4}")
    except (ValueError, MeterError):
        return None, f"its metre {words[:20]!r} cannot be read"
    return meter, f"the composite metre is read as {meter}" if len(counts) > 1 else ""


def parse_unit(text: str) -> Fraction | None:
    """``L:`` in quarter notes."""
    match = _LENGTH.match(text.strip())
    if match and int(match[1]) and int(match[2]):
        return Fraction(4 * int(match[1]), int(match[2]))
    return Fraction(4) if text.strip() == "1" else None


def default_unit(meter: Meter | None) -> Fraction:
    """The unit where no ``L:`` stands: a sixteenth below a metre of three quarters, else an eighth."""
    return Fraction(1, 4) if meter is not None and meter.length < 3 else Fraction(1, 2)


def parse_abc_tempo(text: str, unit: Fraction) -> tuple[Fraction | None, str]:
    """``Q:`` as quarter notes a minute, and the words beside it."""
    words = " ".join(re.findall(r'"([^"]*)"', text)).strip()
    plain = re.sub(r'"[^"]*"', " ", text).strip()
    match = _TEMPO.search(plain)
    if match:
        lengths = [(int(above), int(below)) for above, below in _LENGTH.findall(match[1])]
        beat = sum((Fraction(4 * above, below) for above, below in lengths if below), Fraction(0))
        return (beat * Fraction(match[2]) or None), words
    old = _OLD_TEMPO.match(plain)
    if old and Fraction(old[2]):
        return unit * (int(old[1] or 1) or 1) * Fraction(old[2]), words
    return None, words or (plain if not any(character.isdigit() for character in plain) else "")


def played_parts(text: str) -> str:
    """The letters of ``P:`` in the order they are played: ``A(AB)2`` is ``AABAB``. Raises :class:`Refused`."""
    plain = re.sub(r"[\s.]", "", text)
    if not re.fullmatch(r"[A-Za-z0-9()]*", plain):
        return ""
    stack: list[str] = [""]
    groups: list[str] = []
    last = ""
    for character in re.findall(r"\d+|.", plain):
        if character == "(":
            groups.append(last)
            stack.append("")
        elif character == ")" and len(stack) > 1:
            last = stack.pop()
            groups.pop()
            stack[-1] += last
        elif character.isdigit():
            stack[-1] += last * (min(int(character[:4]), MAX_PLAYED_PARTS) - 1)
        elif character.isalpha():
            last = character
            stack[-1] += character
        if len(stack[-1]) > MAX_PLAYED_PARTS or len(stack) > 20:
            raise Refused("plays its parts more often than any tune", "mend its P: field")
    return "".join(stack)


@dataclass(slots=True)
class VoiceField:
    """What ``V:`` and the words after a key say of a voice."""

    id: str
    name: str = ""
    octave: int = 0
    semitones: int = 0
    percussion: bool = False


_PROPERTY = re.compile(r"([A-Za-z-]+)=(\"[^\"]*\"|\S+)")


def parse_voice(text: str) -> VoiceField:
    """``V:ID name="Horn" clef=treble-8 transpose=-2``."""
    words = text.split(None, 1)
    voice = VoiceField(words[0][:40] if words else "1")
    take_properties(voice, text)
    return voice


def take_properties(voice: VoiceField, text: str) -> None:
    """Clef, octave and transposition as they stand in ``V:`` or ``K:``."""
    found = {name.lower(): value.strip('"') for name, value in _PROPERTY.findall(text)}
    voice.name = found.get("name") or found.get("nm") or voice.name
    clef = found.get("clef", "")
    bare = re.search(r"(?<![=\w])(treble|alto|tenor|bass|perc)([+-]8)?(?!\w)", re.sub(r"\"[^\"]*\"", "", text))
    if not clef and bare:
        clef = bare[0]
    if clef:
        voice.octave = 1 if clef.endswith("+8") else -1 if clef.endswith("-8") else 0
        voice.percussion = clef.startswith("perc")
    for name in ("octave", "transpose", "shift"):
        match = re.fullmatch(r"[+-]?\d{1,2}", found.get(name, ""))
        if match and name == "octave":
            voice.octave = max(-4, min(4, int(match[0])))
        elif match:
            voice.semitones = max(-36, min(36, int(match[0])))
