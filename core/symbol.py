"""Chord symbols: text to chord, chord to text.

Order of reading, which settles most ambiguous spellings: root letter, root accidental (greedy), the longest known
quality, bracket-insensitive alterations (b or - flat, # or + sharp, before a number), then "/" and a letter for the
bass. "/" and a number is an added degree, never a bass. What the user typed is kept by the chart, not here.
Common practice, no source; the spellings themselves are the rows of :mod:`core.quality`.
"""

from __future__ import annotations

import difflib
import re

from core.chord import Chord
from core.errors import ChangewrightError
from core.pitch import NATURAL_FIFTHS, Degree, chromatic, name_of, parse_degree, with_signs
from core.quality import QUALITIES, SUFFIXES, Quality, compose, split_modifiers

_SYMBOL = re.compile(r"([A-Ga-g])(bb|b|##|#)?(.*?)(?:/([A-Ga-g])(bb|b|##|#)?)?$", re.DOTALL)
_SHIFT = {None: 0, "b": -7, "bb": -14, "#": 7, "##": 14}
_LOOK_ALIKES = str.maketrans({
    "∆": "Δ", "△": "Δ", "∅": "ø", "Ø": "ø", "º": "°", "˚": "°", "–": "-", "−": "-", "‐": "-", "—": "-",
    "♭": "b", "♯": "#", "𝄫": "bb", "𝄪": "##", "\u00a0": " ", "⁷": "7", "⁹": "9", "♮": "",
})  # fmt: skip
LONGEST_SYMBOL = 80
"""Characters; a longer word is no chord, and looking for its nearest spelling would take for ever."""
NO_CHORD = frozenset({"N.C.", "NC", "n.c.", "N.C", "nc", "tacet", "NoChord"})

# Readings that are a choice; the window shows the sentence while the bar is typed. Common practice, no source.
READING_NOTES = {
    "11": "read as a ninth sus (no third); write the third as add3 if you want both",
    "2": "read as the triad with an added 9; write sus2 to leave the third out",
    "4": "read as sus4",
    "+9": "read as a ninth with a raised fifth; write 7#9 for the raised ninth",
    "+7": "read as 7#5; write 7b13 to keep the natural fifth beside it",
    "o": "a diminished triad on paper, played and analysed as a diminished seventh",
    "dim": "a diminished triad on paper, played and analysed as a diminished seventh",
    "°": "a diminished triad on paper, played and analysed as a diminished seventh",
    "0": "the zero is read as the diminished sign",
    "07": "the zero is read as the diminished sign",
    "maj": "read as the plain major triad; write maj7 for the seventh",
    "Δ": "read as a major seventh",
    "^": "read as a major seventh",
    "x": "read as a dominant seventh",
}

# Whole languages of note names, chosen in the settings and never guessed. Longest names first.
NOTE_NAMES: dict[str, dict[str, str]] = {
    "english": {},
    "german": {"Cis": "C#", "Des": "Db", "Dis": "D#", "Es": "Eb", "Fis": "F#", "Ges": "Gb", "Gis": "G#",
               "As": "Ab", "Ais": "A#", "Ces": "Cb", "Fes": "Fb", "H": "B", "B": "Bb"},
    "latin": {"Do": "C", "Re": "D", "Mi": "E", "Fa": "F", "Sol": "G", "La": "A", "Si": "B"},
}  # fmt: skip


class SymbolError(ChangewrightError):
    """A chord symbol that cannot be read; ``position`` is the first character at fault, counted from 0."""

    def __init__(self, text: str, position: int, problem: str, nearest: str | None) -> None:
        self.text, self.position, self.problem, self.nearest = text, position, problem, nearest
        advice = f"; did you mean {nearest!r}?" if nearest else "; write a root A to G and a quality such as m7 or 7b9."
        super().__init__(f"Cannot read the chord {text!r} at character {position + 1}: {problem}{advice}")


def parse_symbol(text: str, names: str = "english") -> Chord | None:
    """Read a chord symbol; None for N.C. and its spellings. Raises :class:`SymbolError`.

    ``names`` is a language of :data:`NOTE_NAMES`. ``parse_symbol('Bb7').canonical == 'Bb7'``.
    """
    if len(text) > LONGEST_SYMBOL:
        raise SymbolError(text[:LONGEST_SYMBOL] + "…", LONGEST_SYMBOL, "no chord symbol is so long", None)
    plain = text if text.isascii() else text.translate(_LOOK_ALIKES)
    if names != "english":
        plain = _to_english(plain, NOTE_NAMES[names])
    match = _SYMBOL.match(plain)
    if match is None or plain in NO_CHORD:
        return _without_root(text, plain)
    letter, sign, suffix, bass, bass_sign = match.groups()
    quality = SUFFIXES.get(suffix)
    if quality is None:
        return _uncommon(text, plain, suffix, len(letter) + len(sign or ""))
    root = NATURAL_FIFTHS[letter.upper()] + _SHIFT[sign]
    if bass is None:
        return Chord(root, quality)
    return Chord(root, quality, NATURAL_FIFTHS[bass.upper()] + _SHIFT[bass_sign])


def reading_note(text: str) -> str | None:
    """A sentence when the spelling is one that the trade reads in more than one way, else None."""
    match = _SYMBOL.match(text.translate(_LOOK_ALIKES))
    return READING_NOTES.get(match[3]) if match else None


def _to_english(text: str, names: dict[str, str]) -> str:
    head, slash, bass = text.rpartition("/")
    if slash and any(bass.startswith(name) for name in names):
        return _to_english(head, names) + "/" + _to_english(bass, names)
    for name in sorted(names, key=len, reverse=True):
        if text.startswith(name):
            return names[name] + text[len(name):]  # fmt: skip
    return text


def _without_root(text: str, plain: str) -> Chord | None:
    if plain.strip() in NO_CHORD:
        return None
    if plain != plain.strip() and plain.strip():
        return parse_symbol(plain.strip())
    raise SymbolError(text, 0, "a chord begins with a root letter A to G", nearest_symbol(plain))


def _uncommon(text: str, plain: str, suffix: str, start: int) -> Chord | None:
    """Polychords, spaces inside, and qualities composed of a known one and alterations."""
    for bar in ("\\", "|"):
        if bar in plain:
            return _polychord(text, *plain.split(bar, 1))
    if any(character.isspace() for character in plain):
        return parse_symbol("".join(plain.split()))
    if plain.count("/") and suffix.count("/") and not re.search(r"/\d", suffix):
        at = plain.index("/")
        raise SymbolError(text, at, "one slash and one bass note at most", plain[:at])
    if suffix in ("-5", "-9-5"):
        raise SymbolError(text, start, "-5 can mean a flat fifth or a minor chord", f"{plain[:start]}(b5)")
    quality = _composed(suffix)
    if quality is None:
        known = _longest_known(suffix)
        problem = f"{suffix[len(known) :]!r} after {plain[:start] + known!r} is not a known quality"
        raise SymbolError(text, start + len(known), problem, nearest_symbol(plain))
    return _with_quality(plain, quality)


def _with_quality(plain: str, quality: Quality) -> Chord:
    match = _SYMBOL.match(plain)
    assert match is not None
    letter, sign, _, bass, bass_sign = match.groups()
    root = NATURAL_FIFTHS[letter.upper()] + _SHIFT[sign]
    return Chord(root, quality, None if bass is None else NATURAL_FIFTHS[bass.upper()] + _SHIFT[bass_sign])


def _longest_known(suffix: str) -> str:
    return next(suffix[:end] for end in range(len(suffix), -1, -1) if suffix[:end] in SUFFIXES)


def _composed(suffix: str) -> Quality | None:
    for end in range(len(suffix) - 1, -1, -1):
        base = SUFFIXES.get(suffix[:end])
        modifiers = split_modifiers(suffix[end:]) if base is not None else None
        if base is None or not modifiers or (end == 0 and suffix[0] in "+-") or suffix[:end] == "x":
            continue
        try:
            return compose(base.id, modifiers)
        except ValueError:
            continue
    return None


def _polychord(text: str, above: str, below: str) -> Chord:
    upper, lower = parse_symbol(above), parse_symbol(below)
    if upper is None or lower is None or upper.upper or lower.upper:
        raise SymbolError(text, len(above), "a polychord is two chords, upper then lower", None)
    return polychord(upper, lower)


def polychord(upper: Chord, lower: Chord) -> Chord:
    """Upper chord over lower chord: the lower one's degrees and the upper one's tones as tensions of its root."""
    held = {chromatic(lower.root + degree.fifths) for degree in lower.quality.degrees}
    added = [degree for tone in upper.tones if chromatic(tone) not in held
             for degree in (_tension(tone - lower.root),)]  # fmt: skip
    degrees = (*lower.quality.degrees, *sorted(set(added)))
    above = f"{_tension(upper.root - lower.root)} {upper.quality.id}"  # by degree, so that transposing keeps it
    quality = Quality(f"{lower.quality.id}+{above}", degrees, lower.quality.family)
    return Chord(lower.root, quality, lower.bass, upper)


# What the upper chord's tones are called over the lower root.
_TENSION_NAMES = ("1", "b9", "9", "#9", "3", "11", "#11", "5", "b13", "13", "b7", "7")
_TENSIONS = {degree.fifths % 12: degree for degree in map(parse_degree, _TENSION_NAMES)}


def _tension(fifths: int) -> Degree:
    return _TENSIONS[fifths % 12]


def nearest_symbol(text: str) -> str | None:
    """The nearest spelling that can be read, or None when nothing is near."""
    match = re.match(r"\s*([A-Ga-g])(bb|b|##|#)?(.*)", text, re.DOTALL)
    if match is None:
        return None
    root = match[1].upper() + (match[2] or "")
    close = difflib.get_close_matches(match[3].strip(), SUFFIXES, n=1, cutoff=0.3)
    return root + close[0] if close else root


# --- printing -------------------------------------------------------------------------------------------------

# A house style: how the head of a quality is written, and whether alterations stand in brackets.
# "plain" is what the table's ids spell; "signs" is the shorthand of triangles and circles; "words" the long form;
# "capitals" the engraver's MA and MI. Common practice, no source.
STYLES: dict[str, tuple[dict[str, str], bool]] = {
    "plain": ({}, False),
    "signs": ({"maj7": "Δ7", "maj": "Δ", "mM": "–Δ", "m": "–", "dimM": "°Δ", "dim": "°", "aug": "+"}, False),
    "words": ({"mM": "min(maj", "m": "min", "dimM": "dim(maj"}, True),
    "capitals": ({"maj": "MA", "mM": "MI(MA", "m": "MI", "dimM": "dim(MA"}, True),
}
_PARTS = re.compile(r"(maj|mM|m|dimM|dim|aug|add|sus|)(69|\d*)(sus2?|alt|add9|b6|#5|)(.*)$")
_HALF_DIMINISHED = {"m7b5": "ø7", "m9b5": "ø9", "m11b5": "ø11"}


def format_chord(written: Chord, style: str = "plain") -> str:
    """Print a chord with ♭ and ♯ in a house style of :data:`STYLES`; every style reads back as the same chord.

    Raises KeyError for an unknown style. ``format_chord(parse_symbol('Cm7b5'), 'signs') == 'Cø7'``.
    """
    if written.upper is not None:
        lower = Chord(written.root, written.lower_quality, written.bass)
        return f"{format_chord(written.upper, style)}\\{format_chord(lower, style)}"
    root = with_signs(name_of(written.root))
    slash = "" if written.bass is None else "/" + with_signs(name_of(written.bass))
    return root + format_quality(written.quality, style) + slash


def format_quality(quality: Quality, style: str = "plain") -> str:
    """Print the text after the root, with ♭ and ♯."""
    heads, bracketed = STYLES[style]
    identifier = quality.id
    if identifier == "maj":
        return ""
    if identifier not in QUALITIES:  # composed: the row it was made of, and its modifiers in brackets
        stem, opening, rest = identifier.partition("(")
        base = QUALITIES[stem] if stem else QUALITIES["maj"]
        return format_quality(base, style) + opening + _signed(rest)
    if style == "signs" and identifier in _HALF_DIMINISHED:
        return _HALF_DIMINISHED[identifier]
    if identifier == "madd9" and bracketed:
        return heads.get("m", "m") + "(add9)"
    match = _PARTS.match(identifier)
    assert match is not None
    head, number, middle, alterations = match.groups()
    number = "6/9" if number == "69" else number
    written_head = heads.get(head, head)
    closing = ")" if written_head.count("(") else ""
    if bracketed and middle in ("b6", "#5"):
        middle, alterations = "", middle + alterations
    tail = _signed(f"({alterations})" if bracketed and alterations else alterations)
    return written_head + number + closing + _signed(middle) + tail


def _signed(ascii_text: str) -> str:
    """♭ and ♯ before numbers only, so that words keep their letters."""
    return re.sub(r"([b#])(?=\d)", lambda match: with_signs(match[1]), ascii_text)


def echo(written: Chord | None) -> str:
    """The notes of a chord, shown while it is typed: ``echo(parse_symbol('C7')) == 'C E G B♭'``."""
    return "silence" if written is None else " ".join(with_signs(name_of(tone)) for tone in written.tones)
