"""The signs of an ABC tune's music: notes, chords, bar lines, tuplets, decorations, texts.

Source: the ABC standard, version 2.1 (December 2011), sections 4.1 to 4.20.
"""

from __future__ import annotations

import re
from fractions import Fraction

from core.foreign.xml_stream import Refused

NOTE = (
    r"(?:(?P<sign>\^\^|\^|__|_|=)(?:\d{0,2}/\d{0,2})?)?(?P<letter>[A-Ga-g])(?P<octave>[',]{0,8})"
    r"(?P<length>\d{0,5}(?:/{1,6}\d{0,5})?)"
)
TOKENS = re.compile(
    r"(?P<space>[\s`$\\]+)"
    r'|"(?P<text>[^"]{0,400})"'
    r"|\[(?P<field>[A-Za-z]):(?P<value>[^\]]{0,200})\]"
    r"|(?P<bar>\.?(?::*(?:\[\||\|+\]?)(?:\||\])*:*|::+))(?:(?:\s*\[)?(?P<ending>[1-9]\d?(?:[,.-]\s*\d{1,2}){0,12}\.?))?"
    r'|\[(?P<bracket>[1-9]\d?(?:[,.-]\s*\d{1,2}){0,12}\.?|"[^"]{0,20}")'
    r"|\[(?P<chord>[^\]|]{0,200})\](?P<chord_length>\d{0,5}(?:/{1,6}\d{0,5})?)"
    r"|\((?P<tuplet>[2-9])(?::(?P<into>\d{0,2}))?(?::(?P<count>\d{0,2}))?"
    r"|(?P<grace>\{[^}]{0,200}\})"
    r"|[!+](?P<decoration>[A-Za-z0-9.<>()^/~-][^!+|\n]{0,24})[!+]"
    r"|(?P<rest>[zx])(?P<rest_length>\d{0,5}(?:/{1,6}\d{0,5})?)|(?P<bars_rest>[ZX])(?P<bars>\d{0,3})"
    r"|(?P<broken>>{1,4}|<{1,4})|(?P<tie>-)|(?P<overlay>&)"
    r"|(?P<mark>[SO](?=\s*[\"\[A-Ga-gz^_=(|]))"
    r"|(?P<slur>[()])|(?P<spacer>y\d*)|(?P<shorthand>[.~HIJKLMNOPQRSTUVWhijklmnopqrstuvw!*;?@#,'])"
    r"|(?P<colon>:)|" + NOTE
)  # fmt: skip
CHORD_NOTE = re.compile(NOTE + r"(?P<tie>-?)")
TUPLET_TIME = {2: 3, 3: 2, 4: 3, 6: 2, 8: 3}
"""Notes of a tuplet to notes in whose time they go; 5, 7 and 9 depend on the metre."""
ROAD_MAP = {
    "segno": "$ segno", "coda": "$ coda", "fine": "Fine", "d.c.": "D.C.", "d.s.": "D.S.", "dacapo": "D.C.",
    "dacoda": "To Coda", "tocoda": "To Coda", "d.c.alcoda": "D.C. al Coda", "d.c.alfine": "D.C. al Fine",
    "d.s.alcoda": "D.S. al Coda", "d.s.alfine": "D.S. al Fine",
}  # fmt: skip


def fifths_of(semitones: int) -> int:
    """The nearest spelling of a number of semitones, as fifths."""
    return (semitones * 7 + 5) % 12 - 5


def abc_length(written: str | None) -> Fraction:
    """``3/2``, ``/``, ``//`` and nothing as a number of units; raises :class:`Refused` for zero."""
    numerator, slashes, denominator = (written or "").partition("/")
    if slashes and set(denominator) <= {"/"}:
        denominator = str(2 ** (1 + len(denominator)))
    below = int(denominator.strip("/") or 1) if slashes else 1
    if not below or (numerator.strip("0") == "" and numerator):
        raise Refused("has a note of no length or of an endless one", "mend that note and open it again")
    return Fraction(int(numerator or 1), below)
