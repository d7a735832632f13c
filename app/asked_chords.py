"""Chords asked for in certain bars, as they are typed: "5:Ebmaj7", or "5:*7alt" for that colour on any root."""

from __future__ import annotations

from typing import NamedTuple

from core.chord import Chord
from core.errors import ChangewrightError
from core.form import Form
from core.symbol import parse_symbol


class AskedError(ChangewrightError):
    """Text that does not ask for a chord in a bar."""


class AskedChord(NamedTuple):
    """A chord where a bar (an index) begins; with ``any_root`` only its colour."""

    bar: int
    chord: Chord
    any_root: bool


def read_asked(form: Form, text: str) -> AskedChord:
    """Raises :class:`AskedError`, :class:`core.form.FormError` or the error of a symbol that cannot be read."""
    number, _, symbol = (part.strip() for part in text.partition(":"))
    if not (number.isascii() and number.isdecimal()) or len(number) > 4 or not symbol:
        raise AskedError(f"{text.strip()!r} asks for no chord; type a bar and a chord, such as 5:Ebmaj7 or 5:*7alt.")
    any_root = symbol.startswith("*")
    chord = parse_symbol("C" + symbol[1:] if any_root else symbol)
    if chord is None:
        raise AskedError(f"{text.strip()!r} asks for silence; type a chord.")
    return AskedChord(form.bar_numbered(int(number)).index, chord, any_root)
