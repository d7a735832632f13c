"""The tune as signs on a staff: note values, dots, ties, rests, beams, tuplets, accidentals. Plain Python.

A melody is cut at bar lines and at the middle of the bar, so that the beat can be seen; what is cut is tied.
Common practice, no source.
"""

from __future__ import annotations

from bisect import bisect_right
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from core.chart import Melody
from core.meter import Meter
from core.pitch import LETTERS, NATURAL_FIFTHS, Pitch, alteration_of, pretty_name

# Written values: quarter notes → (denominator of the value, dots).
VALUES: dict[Fraction, tuple[int, int]] = {
    Fraction(4, value) * (1 + Fraction(dots, 2)): (value, dots) for value in (1, 2, 4, 8, 16, 32) for dots in (1, 0)
}
SHORTEST, NOTHING = Fraction(1, 8), Fraction(0)
TUPLETS = {3: Fraction(3, 2), 5: Fraction(5, 4), 7: Fraction(7, 4)}


class NoteMark(NamedTuple):
    """One written note: ``offset`` from the bar's start in quarters, ``value`` 1 2 4 8 16 32, ``step`` (C4 is 28).

    ``accidental`` is what is printed (semitones) or None; ``tied`` leads to the next mark; ``source`` is the index
    of the melody note; ``beam`` and ``tuplet`` number groups inside the bar (None: no group); ``ratio`` is the
    tuplet's number. ``name`` is the note's letter with its sign, "" where it is only held on.
    """

    offset: Fraction
    duration: Fraction
    value: int
    dots: int
    step: int
    accidental: int | None
    tied: bool
    source: int
    beam: int | None = None
    tuplet: int | None = None
    ratio: int = 0
    name: str = ""


class RestMark(NamedTuple):
    """One written rest."""

    offset: Fraction
    duration: Fraction
    value: int
    dots: int
    tuplet: int | None = None
    ratio: int = 0


class BarNotation(NamedTuple):
    """Everything on the staff of one bar, in order of time."""

    notes: tuple[NoteMark, ...] = ()
    rests: tuple[RestMark, ...] = ()


class _Piece(NamedTuple):
    offset: Fraction
    duration: Fraction
    pitch: Pitch | None
    source: int
    tied: bool = False
    begins: bool = True


def write_bar(melody: Melody, start: Fraction, length: Fraction, meter: Meter, signature: int) -> BarNotation:
    """The signs of one bar; an empty bar of a tune is a whole rest, a bar without any melody at all is empty."""
    if not melody:
        return BarNotation()
    first = max(0, bisect_right(melody, start, key=lambda note: note.onset) - 1)
    if melody[first].end <= start:
        first += 1
    end = start + length
    inside = []
    for note in melody[first:]:
        if note.onset >= end:
            break
        inside.append((note.onset - start, note.duration, note.pitch))
    lead = meter.length - length if length < meter.length and start == 0 else NOTHING
    return _with_sources(_written(tuple(inside), length, meter, signature, lead), first)


def _with_sources(signs: BarNotation, first: int) -> BarNotation:
    """The marks with their places in the whole melody."""
    if first == 0 or not signs.notes:
        return signs
    return BarNotation(tuple(mark._replace(source=mark.source + first) for mark in signs.notes), signs.rests)


Sounding = tuple[Fraction, Fraction, Pitch]  # onset from the bar's start (perhaps before it), duration, pitch


@lru_cache(maxsize=2048)
def _written(
    notes: tuple[Sounding, ...], length: Fraction, meter: Meter, signature: int, lead: Fraction
) -> BarNotation:
    """The signs of a bar wherever it stands: a form repeats itself, and an edit changes one bar of many."""
    if not notes:
        return BarNotation((), (RestMark(NOTHING, length, 1, 0),))
    written = [mark for group in _grouped(_pieces(notes, length), meter, lead) for mark in group]
    return _finished(written, signature, meter, lead)


def _pieces(notes: tuple[Sounding, ...], length: Fraction) -> list[_Piece]:
    pieces, at = [], NOTHING
    for index, (start, duration, pitch) in enumerate(notes):
        onset, end = max(start, NOTHING), start + duration
        stop = min(end, length)
        if onset > at:
            pieces.append(_Piece(at, onset - at, None, -1))
        pieces.append(_Piece(onset, stop - onset, pitch, index, end > length, start >= 0))
        at = stop
    if at < length:
        pieces.append(_Piece(at, length - at, None, -1))
    return pieces


Written = tuple[_Piece, int, int, "tuple[int, int] | None"]  # piece, value, dots, (tuplet group, its number)


def _grouped(pieces: list[_Piece], meter: Meter, lead: Fraction) -> list[list[Written]]:
    """Cut pieces into written values, tuplets first."""
    spans = _tuplet_spans(pieces)
    result: list[list[Written]] = []
    for piece in pieces:
        found = next((s for s in spans if s[0] <= piece.offset and piece.offset + piece.duration <= s[1]), None)
        if found:
            factor = TUPLETS[found[2]]
            value, dots = _nearest(piece.duration * factor)
            result.append([(piece, value, dots, (spans.index(found), found[2]))])
        else:
            result.append([(part, value, dots, None) for part, value, dots in _cut(piece, meter, lead)])
    return result


def _tuplet_spans(pieces: list[_Piece]) -> list[tuple[Fraction, Fraction, int]]:
    """Stretches of one or two beats that hold thirds, fifths or sevenths of a beat."""
    spans: list[tuple[Fraction, Fraction, int]] = []
    for piece in pieces:
        for number in TUPLETS:
            odd = [value for value in (piece.offset, piece.offset + piece.duration) if value.denominator % number == 0]
            if not odd or any(start <= piece.offset < end for start, end, _ in spans):
                continue
            beats = 2 if (piece.duration * number) % 2 == 0 and piece.duration > Fraction(1, 3) else 1
            first = Fraction(int(piece.offset) // beats * beats)
            spans.append((first, first + beats, number))
    return spans


def _nearest(duration: Fraction) -> tuple[int, int]:
    return VALUES.get(duration) or VALUES[min(VALUES, key=lambda value: abs(value - duration))]


def _cut(piece: _Piece, meter: Meter, lead: Fraction) -> list[tuple[_Piece, int, int]]:
    """Written values of a piece, cut where a beat would be hidden; ``lead`` shifts a pickup to the bar's end."""
    offset = piece.offset + lead
    cut_at = _must_cut(offset, piece.duration, meter)
    if cut_at is None and piece.duration in VALUES:
        return [(piece, *VALUES[piece.duration])]
    if cut_at is None:
        cut_at = offset + max((value for value in VALUES if value < piece.duration), default=SHORTEST)
        if piece.duration <= SHORTEST:
            return [(piece, *_nearest(piece.duration))]
    first = cut_at - offset
    head = piece._replace(duration=first, tied=piece.pitch is not None)
    tail = piece._replace(offset=piece.offset + first, duration=piece.duration - first, begins=False)
    return _cut(head, meter, lead) + _cut(tail, meter, lead)


def _must_cut(offset: Fraction, duration: Fraction, meter: Meter) -> Fraction | None:
    """The place where a note must be cut so that the beat stays visible, or None."""
    end, beat = offset + duration, meter.beat
    middle = {4: 2 * beat, 5: 3 * beat, 6: 3 * beat}.get(meter.beats)
    on_beat = offset % beat == 0
    if meter.is_compound:
        following = (offset // beat + 1) * beat
        return following if end > following and not (on_beat and duration % beat == 0) else None
    if middle is not None and offset < middle < end:
        whole = offset == 0 and duration in VALUES
        syncopation = offset == beat and duration == 2 * beat and meter.beats == 4
        return None if whole or syncopation else middle
    if not on_beat and duration > beat * Fraction(3, 2):
        return (offset // beat + 1) * beat
    return None


def _finished(written: list[Written], signature: int, meter: Meter, lead: Fraction) -> BarNotation:
    notes: list[NoteMark] = []
    rests: list[RestMark] = []
    state: dict[int, int] = {}
    for piece, value, dots, group in written:
        tuplet, ratio = group if group else (None, 0)
        if piece.pitch is None:
            rests.append(RestMark(piece.offset, piece.duration, value, dots, tuplet, ratio))
            continue
        step, alteration = piece.pitch.staff_step, alteration_of(piece.pitch.fifths)
        shown = (
            alteration
            if piece.begins and state.get(step, signature_alteration(step, signature)) != alteration
            else None
        )
        if piece.begins:
            state[step] = alteration
        name = pretty_name(piece.pitch.fifths) if piece.begins else ""
        notes.append(NoteMark(piece.offset, piece.duration, value, dots, step, shown, piece.tied, piece.source,
                              None, tuplet, ratio, name))  # fmt: skip
    return BarNotation(tuple(_beamed(notes, rests, meter, lead)), tuple(rests))


def signature_alteration(step: int, signature: int) -> int:
    """What a key signature does to a staff step: ``signature_alteration(34, -3) == -1`` (B in three flats)."""
    place = NATURAL_FIFTHS[LETTERS[step % 7]] + 1
    if signature > 0:
        return 1 if place < signature else 0
    return -1 if place >= 7 + signature else 0


def signature_steps(signature: int) -> tuple[int, ...]:
    """Staff steps of the accidentals of a key signature in the treble clef, in printed order."""
    sharps = (38, 35, 39, 36, 33, 37, 34)
    flats = (34, 37, 33, 36, 32, 35, 31)
    return sharps[:signature] if signature > 0 else flats[:-signature] if signature < 0 else ()


def _beamed(notes: list[NoteMark], rests: list[RestMark], meter: Meter, lead: Fraction) -> list[NoteMark]:
    """Neighbouring flags inside one beat become a beam."""
    result: list[NoteMark] = []
    group, open_ = 0, False
    rest_places = {rest.offset for rest in rests}
    for index, mark in enumerate(notes):
        before = result[-1] if result else None
        joins = (
            before is not None and mark.value >= 8 and before.value >= 8
            and before.offset + before.duration == mark.offset and mark.offset not in rest_places
            and (before.offset + lead) // meter.beat == (mark.offset + lead) // meter.beat
        )  # fmt: skip
        if joins and before is not None:
            if not open_:
                group, open_ = group + 1, True
                result[-1] = before._replace(beam=group)
            result.append(notes[index]._replace(beam=group))
        else:
            open_ = False
            result.append(mark)
    return result
