"""A chord slot to a ``<harmony>`` element, written so that any program reads its tones and ours reads it back whole.

Kind and degrees give the tones exactly; the kind's ``text`` is what is printed, and the degrees it covers are marked
as not printed, as the standard asks. What was typed is printed as typed. A chord that was not typed is printed in
plain style and simple spelling; what that loses (F♭7 printed E7, a polychord printed by its tones) stands beside it in
a processing instruction, which other programs pass over: ``<?changewright house Fb7?>`` for a chord that was not
typed, ``<?changewright typed Fb7 TEXT?>`` for a typed text that root, text and bass cannot hold.
"""

from __future__ import annotations

import re
from fractions import Fraction
from xml.etree.ElementTree import Element, ProcessingInstruction, SubElement

from core.chord import Chord
from core.errors import ChangewrightError
from core.foreign.kinds import kind_of, quality_of
from core.pitch import alteration_of, letter_of, name_of, simple_spelling, within_double
from core.row import Slot
from core.symbol import NO_CHORD, format_quality, parse_symbol

_TYPED = re.compile(r"([A-G](?:bb|b|##|#)?)(.*?)(?:/([A-G](?:bb|b|##|#)?))?$")
_ILLEGAL = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def clean(text: str) -> str:
    """Text without the characters that XML 1.0 cannot hold."""
    return _ILLEGAL.sub("", text)


def harmony_element(slot: Slot, offset: Fraction | int, signature: int, placement: str | None,
                    display: bool) -> Element:  # fmt: skip
    """The element for a slot; ``offset`` in divisions; ``display`` leaves the degrees out, for engravers that print
    them although they are marked as not printed.
    """
    element = Element("harmony", {} if placement is None else {"placement": placement})
    if slot.chord is None:
        _no_chord(element, slot)
    else:
        _chord(element, slot, slot.chord, signature, display)
    if offset:
        SubElement(element, "offset").text = str(offset)
    return element


def _no_chord(element: Element, slot: Slot) -> None:
    text = slot.typed if slot.typed in NO_CHORD else "N.C."
    if slot.typed is None:
        element.append(ProcessingInstruction("changewright", "house"))
    root = SubElement(element, "root")
    SubElement(root, "root-step", text="").text = "C"
    SubElement(element, "kind", text=f"({text})" if slot.optional else str(text)).text = "none"


def _chord(element: Element, slot: Slot, chord: Chord, signature: int, display: bool) -> None:
    parts = _as_typed(slot.typed, chord)
    if parts is None:
        words = "house" if slot.typed is None else f"typed {chord.canonical} {clean(slot.typed).replace('?>', '')}"
        text = format_quality(_printable(chord).quality)
        chord = Chord(within_double(chord.root), chord.quality, chord.bass)
        root = simple_spelling(chord.root, signature)
        bass = None if chord.bass is None else simple_spelling(chord.bass, signature)
        if words == "house":
            words = f"house {(slot.chord or chord).canonical}"
        element.append(ProcessingInstruction("changewright", words))
    else:
        root, text, bass = chord.root, parts, chord.bass
    opening, closing = ("(", ")") if slot.optional else ("", "")
    _step(SubElement(element, "root"), "root", root, opening)
    kind, edits = kind_of(chord.quality.degrees)
    SubElement(element, "kind", text=text + (closing if bass is None else "")).text = kind
    if bass is not None:
        _step(SubElement(element, "bass"), "bass", bass, "", closing)
    for edit in () if display else edits:
        degree = SubElement(element, "degree", {"print-object": "no"})
        SubElement(degree, "degree-value").text = str(edit.number)
        SubElement(degree, "degree-alter").text = str(edit.alteration)
        SubElement(degree, "degree-type").text = edit.type


def _as_typed(typed: str | None, chord: Chord) -> str | None:
    """The text between root and bass if what was typed is plainly root, text, bass; else None."""
    match = _TYPED.match(typed or "")
    if typed is None or match is None or chord.upper is not None or " ".join(typed.split()) != typed:
        return None
    root, text, bass = match.groups()
    if root != name_of(chord.root) or (bass or None) != (None if chord.bass is None else name_of(chord.bass)):
        return None
    try:
        same = parse_symbol(typed) == chord
    except ChangewrightError:
        return None
    return text if same and clean(text) == text else None


def _printable(chord: Chord) -> Chord:
    """A polychord by the name of all its tones, where they have one."""
    if chord.upper is None:
        return chord
    quality = quality_of(frozenset(chord.quality.degrees))
    return Chord(chord.root, quality or chord.lower_quality, chord.bass)


def _step(parent: Element, name: str, fifths: int, before: str = "", after: str = "") -> None:
    letter, alteration = letter_of(fifths), alteration_of(fifths)
    attributes = {"text": f"{before}{name_of(fifths) if after else letter}{after}"} if before or after else {}
    SubElement(parent, f"{name}-step", attributes).text = letter
    if alteration:
        hidden = {"print-object": "no"} if after else {}
        SubElement(parent, f"{name}-alter", hidden).text = str(alteration)
