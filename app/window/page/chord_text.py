"""A chord as it is printed: which characters are root, quality and bass. Plain Python.

What the user typed is printed back as typed, with real signs; a chord that a technique made is printed in simple
spelling for the key (the substitute F♭7 in E♭ reads E7) and in the house style chosen in the settings.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple

from core.chord import Chord
from core.key import Key
from core.pitch import with_signs
from core.row import Slot
from core.spelling import simple
from core.symbol import format_chord

_PARTS = re.compile(r"([A-G](?:♭♭|♭|♯♯|♯|𝄫|𝄪)?)([^/\\]*(?:/[^A-G/\\][^/\\]*)?)(.*)$")
_SIGN_BEFORE_NUMBER = re.compile(r"([b#])(?=\d)")
NO_CHORD_TEXT = "N.C."


class ChordParts(NamedTuple):
    """Root with its accidental, quality, and the rest ("/B♭", "\\C7")."""

    root: str
    quality: str
    bass: str

    @property
    def text(self) -> str:
        """All of it."""
        return self.root + self.quality + self.bass


def printed_slot(slot: Slot, signature: int, style: str = "plain") -> ChordParts:
    """The parts of a slot's chord as printed; N.C. has no root."""
    if slot.chord is None:
        return ChordParts("", NO_CHORD_TEXT, "")
    return printed(slot.chord, signature, style, slot.typed)


@lru_cache(maxsize=4096)
def printed(chord: Chord, signature: int, style: str = "plain", typed: str | None = None) -> ChordParts:
    """The parts of a chord as printed in a key signature; ``typed`` wins over the house style where there is one."""
    if typed and style == "plain":
        return chord_parts(signed_typing(typed))
    return chord_parts(format_chord(simple(chord, Key(signature)), style))


def signed_typing(typed: str) -> str:
    """Typed text with ♭ and ♯ where a sign is meant: ``signed_typing('Bb7b9/Ab') == 'B♭7♭9/A♭'``."""
    text = typed.strip()
    match = re.match(r"([A-Ga-g])(bb|b|##|#|)", text)
    if match is None:
        return text
    rest = _SIGN_BEFORE_NUMBER.sub(lambda found: with_signs(found[1]), text[match.end() :])
    rest = re.sub(r"([/\\|])([A-Ga-g])(bb|b|##|#|)", lambda m: m[1] + m[2].upper() + with_signs(m[3]), rest)
    return match[1].upper() + with_signs(match[2]) + rest


def chord_parts(text: str) -> ChordParts:
    """Printed text in parts: ``chord_parts('E♭m7/B♭') == ('E♭', 'm7', '/B♭')``; text without a root is all quality."""
    match = _PARTS.match(text)
    return ChordParts(match[1], match[2], match[3]) if match else ChordParts("", text, "")


def spoken(text: str) -> str:
    """For a screen reader: ``spoken('E♭7♯11') == 'E flat 7 sharp 11'``."""
    spaced = text.replace("♭", " flat ").replace("♯", " sharp ").replace("/", " over ")
    return " ".join(spaced.split())
