"""How a stretch of time is written: note types, dots, tuplets and ties, accidentals and beams of one bar.

A duration is one note where the trade would write one, else it is split at the beats so that the metre stays visible:
a note that begins off the beat is not drawn across the middle of the bar. Common practice, no source; the tests check
that the written values always add up to the time they stand for.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from core.meter import Meter
from core.pitch import Pitch, alteration_of, letter_of

TYPE_NAMES = ("1024th", "512th", "256th", "128th", "64th", "32nd", "16th", "eighth", "quarter", "half", "whole",
              "breve", "long", "maxima")  # fmt: skip
_SHORTEST = -8
_MAX_DOTS = 1
_MAX_TUPLET = 31
_DOTS_OF = {1: 0, 3: 1, 7: 2}
_FLATS_AND_SHARPS = "FCGDAEB"


@dataclass(frozen=True, slots=True)
class Piece:
    """One written note or rest (``pitch`` None). ``type`` is None for a length that no note shape has."""

    onset: Fraction
    duration: Fraction
    pitch: Pitch | None = None
    tie_stop: bool = False
    tie_start: bool = False
    type: str | None = None
    dots: int = 0
    tuplet: tuple[int, int] | None = None
    tuplet_start: bool = False
    tuplet_stop: bool = False
    accidental: int | None = None
    beams: tuple[str, ...] = ()

    @property
    def end(self) -> Fraction:
        """Exclusive end."""
        return self.onset + self.duration


def written_pieces(onset: Fraction, end: Fraction, meter: Meter, pitch: Pitch | None = None,
                   tie_stop: bool = False, tie_start: bool = False) -> list[Piece]:  # fmt: skip
    """A note or rest as the pieces it is written in, tied to each other; times from the bar's start."""
    places = list(_split(onset, end, meter))
    last = len(places) - 1
    return [Piece(first, after - first, pitch, tie_stop if at == 0 else pitch is not None,
                  tie_start if at == last else pitch is not None, *(_shape(after - first) or (None, 0, None)))
            for at, (first, after) in enumerate(places)]  # fmt: skip


def _split(onset: Fraction, end: Fraction, meter: Meter) -> Iterator[tuple[Fraction, Fraction]]:
    cut = _cut(onset, end, meter)
    if cut is None:
        yield onset, end
    else:
        yield from _split(onset, cut, meter)
        yield from _split(cut, end, meter)


def _cut(onset: Fraction, end: Fraction, meter: Meter) -> Fraction | None:
    """Where a stretch must be divided, or None if it is written as one."""
    beat = meter.beat
    strong = [place for place in meter.strong_places() if onset < place < end]
    first_beat = (onset // beat + 1) * beat
    if onset % beat:
        if strong:
            return strong[0]
        if first_beat < end and (meter.is_compound or onset % (beat / 2)):
            return first_beat
    shape = _shape(end - onset)
    if shape is not None and shape[1] <= _MAX_DOTS:
        return None
    last_beat = (-(-end // beat) - 1) * beat
    if strong:
        return strong[-1]
    if onset < last_beat < end:
        return last_beat
    return _largest_note(onset, end)


def _largest_note(onset: Fraction, end: Fraction) -> Fraction | None:
    """Inside a beat: the end of the longest undotted note that fits, None when nothing can be split off."""
    duration = end - onset
    actual, normal = _ratio(duration)
    notated = duration * actual / normal
    exponent = notated.numerator.bit_length() - notated.denominator.bit_length()
    exponent -= Fraction(2) ** exponent > notated
    if exponent <= _SHORTEST or actual > _MAX_TUPLET:
        return None
    cut = onset + Fraction(2) ** exponent * normal / actual
    return cut if cut < end else None


def _ratio(duration: Fraction) -> tuple[int, int]:
    """Actual to normal notes: the odd part of the denominator against the power of two below it (3:2, 5:4, 7:4)."""
    odd = duration.denominator
    while odd % 2 == 0:
        odd //= 2
    return odd, 1 if odd == 1 else 1 << (odd.bit_length() - 1)


def _shape(duration: Fraction) -> tuple[str, int, tuple[int, int] | None] | None:
    """Type, dots and tuplet of a single note of this length, or None."""
    actual, normal = _ratio(duration)
    notated = duration * actual / normal
    odd = notated.numerator
    while odd % 2 == 0:
        odd //= 2
    if odd not in _DOTS_OF or actual > _MAX_TUPLET:
        return None
    dots = _DOTS_OF[odd]
    base = notated * Fraction(1 << dots, odd)
    exponent = base.numerator.bit_length() - base.denominator.bit_length()
    if not _SHORTEST <= exponent < _SHORTEST + len(TYPE_NAMES):
        return None
    return TYPE_NAMES[exponent - _SHORTEST], dots, None if actual == 1 else (actual, normal)


# --- over a whole bar -----------------------------------------------------------------------------------------------


def dressed(pieces: list[Piece], meter: Meter, signature: int) -> list[Piece]:
    """The pieces of a bar with tuplet brackets, accidentals and beams."""
    return _beamed(_with_accidentals(_bracketed(pieces), signature), meter)


def _bracketed(pieces: list[Piece]) -> list[Piece]:
    result: list[Piece] = []
    start: Fraction | None = None
    for at, piece in enumerate(pieces):
        if piece.tuplet is None:
            result.append(piece)
            continue
        opens = start is None
        start = piece.onset if start is None else start
        after = pieces[at + 1] if at + 1 < len(pieces) else None
        closes = after is None or after.tuplet != piece.tuplet or _ratio(piece.end - start)[0] == 1
        result.append(replace(piece, tuplet_start=opens, tuplet_stop=closes))
        start = None if closes else start
    return result


def _with_accidentals(pieces: list[Piece], signature: int) -> list[Piece]:
    """Accidentals against the signature and the notes before in the bar; a tied note needs none."""
    order = _FLATS_AND_SHARPS if signature > 0 else _FLATS_AND_SHARPS[::-1]
    sign = 1 if signature > 0 else -1
    counts = {letter: sign * (abs(signature) // 7 + (at < abs(signature) % 7)) for at, letter in enumerate(order)}
    heard: dict[tuple[str, int], int] = {}
    result = []
    for piece in pieces:
        if piece.pitch is not None and not piece.tie_stop:
            letter, alteration = letter_of(piece.pitch.fifths), alteration_of(piece.pitch.fifths)
            place = (letter, piece.pitch.octave)
            if heard.get(place, counts[letter]) != alteration:
                piece = replace(piece, accidental=alteration)
            heard[place] = alteration
        result.append(piece)
    return result


def _beamed(pieces: list[Piece], meter: Meter) -> list[Piece]:
    """Beams join the flagged notes of one beat."""
    result = list(pieces)
    group: list[int] = []
    for at, piece in enumerate([*pieces, None]):
        beat = piece.onset // meter.beat if piece is not None else None
        joins = piece is not None and piece.pitch is not None and _flags(piece) > 0
        if group and (not joins or beat != pieces[group[0]].onset // meter.beat):
            _beam(result, group)
            group = []
        if joins:
            group.append(at)
    return result


def _flags(piece: Piece) -> int:
    return 0 if piece.type is None else max(0, TYPE_NAMES.index("quarter") - TYPE_NAMES.index(piece.type))


def _beam(pieces: list[Piece], group: list[int]) -> None:
    if len(group) < 2:
        return
    flags = [_flags(pieces[at]) for at in group]
    for place, at in enumerate(group):
        levels = []
        for level in range(1, min(flags[place], 8) + 1):
            before = place > 0 and flags[place - 1] >= level
            after = place + 1 < len(group) and flags[place + 1] >= level
            alone = "forward hook" if place == 0 else "backward hook"
            levels.append("continue" if before and after else "end" if before else "begin" if after else alone)
        pieces[at] = replace(pieces[at], beams=tuple(levels))
