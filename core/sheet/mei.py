"""The tune of a sheet as MEI 5.0, for the engraver: notes, rests, beams, tuplets, ties, bar lines; no words.

Chords, sections, endings and everything else that is set in type is placed by ``app/sheet`` at the places that the
engraver gives the notes. Notes are called ``n3.1`` (bar 3, second piece), rests ``r3.0``, bars ``b3``.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction
from xml.etree.ElementTree import Element, SubElement, tostring

from core.foreign.notation import Piece, dressed, written_pieces
from core.meter import Meter
from core.pitch import alteration_of, letter_of
from core.row import ZERO
from core.sheet.content import Sheet, SheetBar
from core.sheet.lines import Line

_DURATIONS = {"breve": "breve", "long": "long", "maxima": "long", "whole": "1", "half": "2", "quarter": "4",
              "eighth": "8", "16th": "16", "32nd": "32", "64th": "64", "128th": "128", "256th": "256",
              "512th": "512", "1024th": "1024"}  # fmt: skip
_SIGNS = {-2: "ff", -1: "f", 0: "n", 1: "s", 2: "x"}
_TIES = {(True, True): "m", (True, False): "t", (False, True): "i"}


def pieces_of(bar: SheetBar, pickup: bool = False) -> list[Piece]:
    """The notes and rests of a bar in order, times from the bar's start; an empty bar has none and is a whole rest.

    A pickup is read as the end of a full bar, so that its beats are seen.
    """
    if not bar.melody:
        return []
    lead = max(ZERO, bar.meter.length - bar.length) if pickup else ZERO
    pieces: list[Piece] = []
    at = ZERO
    for sung in bar.melody:
        pieces += _rests(at + lead, sung.onset + lead, bar.meter)
        pieces += written_pieces(sung.onset + lead, sung.end + lead, bar.meter, sung.pitch, sung.tied_in, sung.tied_on)
        at = sung.end
    pieces += _rests(at + lead, bar.length + lead, bar.meter)
    shown = dressed(pieces, bar.meter, bar.signature)
    return [replace(piece, onset=piece.onset - lead) for piece in shown] if lead else shown


def _rests(start: Fraction, end: Fraction, meter: Meter) -> list[Piece]:
    return written_pieces(start, end, meter) if start < end else []


def mei_of(sheet: Sheet, lines: tuple[Line, ...]) -> str:
    """The text of an MEI file with one system for each line."""
    root = Element("mei", xmlns="http://www.music-encoding.org/ns/mei", meiversion="5.0")
    _head(root)
    score = SubElement(SubElement(SubElement(SubElement(root, "music"), "body"), "mdiv"), "score")
    definition = SubElement(score, "scoreDef")
    first = sheet.bars[0]
    staff = {"n": "1", "lines": "5", "keysig": _signature(first.signature), **_meter(first.meter)}
    staff |= {"clef.shape": "F", "clef.line": "4"} if sheet.clef == "F" else {"clef.shape": "G", "clef.line": "2"}
    SubElement(SubElement(definition, "staffGrp"), "staffDef", staff)
    section = SubElement(score, "section")
    for number, line in enumerate(lines):
        if number:
            SubElement(section, "sb")
        for index in range(line.first, line.last):
            _measure(section, sheet, index)
    return tostring(root, encoding="unicode")


def _head(root: Element) -> None:
    description = SubElement(SubElement(root, "meiHead"), "fileDesc")
    SubElement(SubElement(description, "titleStmt"), "title")
    SubElement(description, "pubStmt")


def _signature(signature: int) -> str:
    return f"{abs(signature)}{'s' if signature > 0 else 'f'}" if signature else "0"


def _meter(meter: Meter) -> dict[str, str]:
    return {"meter.count": str(meter.numerator), "meter.unit": str(meter.denominator)}


def _measure(section: Element, sheet: Sheet, index: int) -> None:
    bar = sheet.bars[index]
    before = sheet.bars[index - 1] if index else bar
    changes = {}
    if bar.signature != before.signature:
        changes["keysig"] = _signature(bar.signature)
    if bar.meter != before.meter:
        changes |= _meter(bar.meter)
    if changes:
        SubElement(section, "scoreDef", changes)
    attributes = {"xml:id": f"b{index}", "n": str(index + 1), "metcon": "false", **_bar_lines(sheet, index)}
    staff = SubElement(SubElement(section, "measure", attributes), "staff", n="1")
    layer = SubElement(staff, "layer", n="1")
    pieces = pieces_of(bar, sheet.pickup and index == 0)
    if not pieces:
        SubElement(layer, "mRest", {"xml:id": f"r{index}.0"})
    _fill(layer, pieces, index)


def _bar_lines(sheet: Sheet, index: int) -> dict[str, str]:
    written = sheet.bars[index].written
    last = index + 1 == len(sheet.bars)
    following = None if last else sheet.bars[index + 1].written
    found = {"left": "rptstart"} if written.repeat_start else {}
    if written.repeat_end:
        found["right"] = "rptend"
    elif last or written.jump or "fine" in written.marks:
        found["right"] = "end"
    elif following is not None and following.section is not None and not following.repeat_start:
        found["right"] = "dbl"
    return found


def _fill(layer: Element, pieces: list[Piece], index: int) -> None:
    """Notes and rests, nested in the beams and tuplets they are in."""
    spans = _spans(pieces)
    open_: list[tuple[int, Element]] = [(len(pieces), layer)]
    for at, piece in enumerate(pieces):
        for start, end, tag, attributes in spans:
            if start == at:
                open_.append((end, SubElement(open_[-1][1], tag, attributes)))
        open_[-1][1].append(_event(piece, f"{'r' if piece.pitch is None else 'n'}{index}.{at}"))
        while open_[-1][0] == at:
            open_.pop()


_Span = tuple[int, int, str, dict[str, str]]


def _spans(pieces: list[Piece]) -> list[_Span]:
    """Beams and tuplets as (first, last, tag, attributes), an outer one before what it contains."""
    tuplets = _pairs(pieces, (piece.tuplet_start for piece in pieces), (piece.tuplet_stop for piece in pieces))
    beams = _pairs(pieces, (piece.beams[:1] == ("begin",) for piece in pieces),
                   (piece.beams[:1] == ("end",) for piece in pieces))  # fmt: skip
    found: list[_Span] = []
    for start, end in tuplets:
        actual, normal = pieces[start].tuplet or (3, 2)
        found.append((start, end, "tuplet", {"num": str(actual), "numbase": str(normal)}))
    for start, end in beams:  # one that crosses a tuplet's edge cannot be nested and stays flags
        if not any(first < start <= last < end or start < first <= end < last for first, last in tuplets):
            found.append((start, end, "beam", {}))
    return sorted(found, key=lambda span: (span[0], -span[1]))


def _pairs(pieces: list[Piece], starts: Iterable[bool], stops: Iterable[bool]) -> list[tuple[int, int]]:
    found, begun = [], None
    for at, (start, stop) in enumerate(zip(starts, stops, strict=True)):
        begun = at if start else begun
        if stop and begun is not None:
            found.append((begun, at))
            begun = None
    return found


def _event(piece: Piece, name: str) -> Element:
    attributes = {"xml:id": name, "dur": _DURATIONS.get(piece.type or "quarter", "4")}
    if piece.dots:
        attributes["dots"] = str(piece.dots)
    if piece.pitch is None:
        return Element("rest", attributes)
    attributes |= {"pname": letter_of(piece.pitch.fifths).lower(), "oct": str(piece.pitch.octave)}
    alteration = alteration_of(piece.pitch.fifths)
    if piece.accidental is not None:
        attributes["accid"] = _SIGNS.get(piece.accidental, "n")
    elif alteration:
        attributes["accid.ges"] = _SIGNS.get(alteration, "n")
    tie = _TIES.get((piece.tie_stop, piece.tie_start))
    if tie:
        attributes["tie"] = tie
    return Element("note", attributes)
