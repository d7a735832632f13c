"""Words, signs and ``<sound>`` of a score: road map, rehearsal marks, tempo, feel, N.C., the label of a take.

A sign is believed in this order: the attributes of ``<sound>`` (what a player is told), the words, the glyph. Every
mark belongs to its bar: fine, to coda and jumps act at the bar's end, segno and coda at its beginning.
Sources: MusicXML 4.0 schema, types direction, sound, metronome; the wordings, common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from xml.etree.ElementTree import Element

from core.symbol import NO_CHORD

TAKE_LABEL = "Take: "
EVEN, SWUNG = "even eighths", "medium swing"
_BOXES = frozenset({"square", "rectangle", "circle", "oval"})
_LONGEST_BOXED = 12
# Letters without dots are a jump only as words of their own, in capitals or with what they go to: lyrics hold them too.
_JUMP = re.compile(r"\b(d\.\s*c\b\.?|da\s+capo|d\.\s*s\b\.?|dal\s+segno)(?=\s|$|\W)"
                   r"|^\W*(d\s?[cs]\b\.?(?=\s*(?:al|alla|to|till|until|with|con|senza)\b)|(?-i:D\s?[CS])\b\.?(?=\W*$))",
                   re.IGNORECASE)  # fmt: skip
_LETTERS = re.compile(r"\W*d\.?\s*[cs]\b\W*", re.IGNORECASE)
_AL_FINE = re.compile(r"\bfine\b", re.IGNORECASE)
_CODA = re.compile(r"\bcoda\b|[⊕𝄌]", re.IGNORECASE)
_WITH_REPEATS = re.compile(r"\bwith\s+repeats?\b|\bcon\s+rep", re.IGNORECASE)
_TO_CODA = re.compile(r"^\W*(to|al|alla)\s+(the\s+)?(coda|[⊕𝄌])\W*$", re.IGNORECASE)
_FINE = re.compile(r"^\W*fine\W*$", re.IGNORECASE)
_SEGNO = re.compile(r"^\W*segno\W*$|^\s*𝄋\s*$", re.IGNORECASE)
_ONLY_CODA = re.compile(r"^\W*coda\W*$", re.IGNORECASE)
_FEEL = re.compile(
    r"\b(swing|swung|shuffle|straight|bossa|samba|latin|ballad|waltz|blues|rock|funk|bop|bebop|stride|ragtime|march|"
    r"tango|bolero|calypso|afro|mambo|cha|slow(ly)?|medium|med|fast|bright(ly)?|up|lively|moderato|moderately|andante|"
    r"allegro|allegretto|adagio|largo|lento|presto|vivace|rubato|even|groove|jazz|gospel|foxtrot|two-?beat)\b",
    re.IGNORECASE,
)
_BEAT_UNITS = {name: Fraction(2) ** exponent for exponent, name in enumerate(
    ("32nd", "16th", "eighth", "quarter", "half", "whole", "breve", "long", "maxima"), start=-3)}  # fmt: skip


@dataclass(slots=True)
class Signs:
    """What stands in one bar. ``jump`` is a base ("da capo", "dal segno") and "fine", "coda" or None.

    ``doubt`` is set where a jump is known by words alone: "letters" for a bare "D.C.", "words" for any other that names
    no end, "named" for one that does.
    """

    section: str | None = None
    marks: set[str] | None = None
    coda_glyphs: int = 0
    jump: tuple[str, str | None] | None = None
    doubt: str = ""
    tempo: Fraction | None = None
    feel: str | None = None
    feel_is_guess: bool = False
    take: str | None = None
    no_chord: bool = False
    early: bool = False
    repeats_again: bool = False

    def mark(self, name: str) -> None:
        """Add a mark of :data:`core.form.MARKS`."""
        self.marks = (self.marks or set()) | {name}


def read_direction(element: Element) -> Signs:
    """The signs of a ``<direction>``; most directions (dynamics, fingerings) have none."""
    signs = Signs()
    types = [child for kind in element.findall("direction-type") for child in kind]
    texts = [(child.text or "").strip() for child in types if child.tag in ("words", "symbol")]
    words = " ".join(" ".join(texts).split())
    rehearsal = " ".join((child.text or "").strip() for child in types if child.tag == "rehearsal")
    signs.section = " ".join(rehearsal.split()) or _boxed(types)
    for child in types:
        if child.tag == "metronome":
            signs.tempo = _metronome(child)
    sound = element.find("sound")
    believed = sound is not None and _sound(sound, signs)
    if words:
        _words(words, signs, element, believed)
    if not believed and signs.jump is None and not (signs.marks or set()) & {"to coda"}:
        _glyphs([child.tag for child in types], signs)
    return signs


def _boxed(types: list[Element]) -> str | None:
    """A short word in a box is a rehearsal mark, whatever the program that wrote it calls it."""
    boxed = [(child.text or "").strip() for child in types if child.tag == "words" and child.get("enclosure") in _BOXES]
    return boxed[0] if len(boxed) == 1 and 0 < len(boxed[0]) <= _LONGEST_BOXED else None


def words_signs(words: str) -> Signs:
    """The signs of words that stand alone above the notes."""
    signs = Signs()
    _words(words, signs, Element("direction"), False)
    return signs


def merge_signs(own: Signs, signs: Signs, say: Callable[[str], None], at_start: bool = False) -> None:
    """Add to a bar's signs what a direction in it says; ``at_start``: it stands before the first note."""
    if signs.jump:
        own.doubt = signs.doubt if own.jump is None else own.doubt and signs.doubt
    if signs.marks:
        own.marks = (own.marks or set()) | signs.marks
        own.early = own.early or ("to coda" in signs.marks and at_start)
    own.coda_glyphs += signs.coda_glyphs
    own.repeats_again = own.repeats_again or signs.repeats_again
    for name in ("section", "jump", "tempo", "take"):
        if getattr(own, name) is None:
            setattr(own, name, getattr(signs, name))
        elif name == "tempo" and signs.tempo not in (None, own.tempo):
            say("a change of tempo is not kept")
        elif name == "section" and signs.section:
            say(f"a second rehearsal mark {signs.section!r} in the bar is not kept")
        elif name == "jump" and signs.jump and own.jump and own.jump[1] is None:
            own.jump = (own.jump[0], signs.jump[1])
    if signs.feel and (own.feel is None or (own.feel_is_guess and not signs.feel_is_guess)):
        own.feel, own.feel_is_guess = signs.feel, signs.feel_is_guess


def read_sound(element: Element) -> Signs:
    """The signs of a ``<sound>`` that stands alone in a measure."""
    signs = Signs()
    _sound(element, signs)
    return signs


def _sound(sound: Element, signs: Signs) -> bool:
    """Take over a sound's road map and tempo; True if it says anything about the road map."""
    tempo = _decimal(sound.get("tempo"))
    if tempo:
        signs.tempo = tempo
    swing = sound.find("swing")
    if swing is not None:
        _swing(swing, signs)
    if sound.get("dacapo") == "yes":
        signs.jump = ("da capo", None)
    if sound.get("dalsegno") is not None:
        signs.jump = ("dal segno", None)
    for attribute, mark in (("segno", "segno"), ("coda", "coda"), ("tocoda", "to coda"), ("fine", "fine")):
        if sound.get(attribute) is not None:
            signs.mark(mark)
    return signs.jump is not None or bool(signs.marks)


def _swing(element: Element, signs: Signs) -> None:
    """The standard's own word for how eighths are played: straight, or a ratio of two (MusicXML 4.0, type swing)."""
    style = " ".join((element.findtext("swing-style") or "").split())
    if element.find("straight") is not None:
        signs.feel = style or EVEN
    elif element.findtext("first") != element.findtext("second") or style:
        signs.feel = style or SWUNG


def _words(words: str, signs: Signs, element: Element, believed: bool) -> None:
    if words.startswith(TAKE_LABEL) and element.get("placement") == "below":
        signs.take = words.removeprefix(TAKE_LABEL)
    elif words in NO_CHORD:
        signs.no_chord = True
    elif match := _JUMP.search(words):
        base = "da capo" if "c" in (match[1] or match[2]).lower().replace("segno", "") else "dal segno"
        rest = words[match.end() :]
        al = "fine" if _AL_FINE.search(rest) else "coda" if _CODA.search(rest) else None
        if signs.jump is None:
            signs.doubt = "named" if al else "letters" if _LETTERS.fullmatch(words) else "words"
        signs.jump = ((signs.jump or (base,))[0], al)
        signs.repeats_again = bool(_WITH_REPEATS.search(rest))
    elif _TO_CODA.match(words):
        signs.mark("to coda")
    elif _FINE.match(words):
        signs.mark("fine")
    elif _SEGNO.match(words) and not believed:
        signs.mark("segno")
    elif _ONLY_CODA.match(words) and not believed:
        signs.mark("coda")
    elif signs.tempo is not None or _FEEL.search(words):
        signs.feel, signs.feel_is_guess = words, signs.tempo is None


def _glyphs(tags: list[str], signs: Signs) -> None:
    if "segno" in tags:
        signs.mark("segno")
    if "coda" in tags and "coda" not in (signs.marks or set()):
        signs.coda_glyphs = 1


def _metronome(element: Element) -> Fraction | None:
    """Quarter notes a minute of "dotted quarter = 80"; None for ranges, words and note = note."""
    unit = _BEAT_UNITS.get((element.findtext("beat-unit") or "").strip())
    minute = _decimal((element.findtext("per-minute") or "").strip())
    if unit is None or minute is None or element.findtext("beat-unit") is None:
        return None
    dots = len(element.findall("beat-unit-dot"))
    return minute * unit * (2 - Fraction(1, 2**dots)) if dots < 4 else None


def _decimal(text: str | None) -> Fraction | None:
    match = re.search(r"\d{1,4}(?:\.\d{1,6})?", text or "")
    return Fraction(match[0]) if match and Fraction(match[0]) > 0 else None
