"""A chart to MusicXML 4.0: melody on a staff, one row of chord symbols above it, a second row below it if asked.

What the file holds and our reader takes back equal: title, composer, key, tempo, feel, note, metre, bars and their
lengths and printed numbers, sections, repeats, endings, road map, key and metre changes, pickup, melody with spelling,
the written rows with what was typed. Repeats are written as repeats where all passes agree in melody and rows;
otherwise the bars are written out as played, so nothing that is played is lost, but the written form is.

With both rows the reference stands above the staff and the take below it, under the label "Take: NAME"; our reader
makes a take of it, other programs show a second line of symbols.

What MusicXML cannot hold: other takes and reference rows than the ones written, steps, locked bars, seeds and notes of
takes; an empty feel; a signature of more than eleven accidentals, one restated without a change or other than the
chart's key in the first bar; a pickup that is the only bar; white space at the ends of texts or doubled, and control
characters.
"""

from __future__ import annotations

from fractions import Fraction
from math import lcm
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from core.chart import STANDARD, Chart, ChartError, Melody, Take
from core.foreign.harmony_write import clean, harmony_element
from core.foreign.notation import Piece
from core.foreign.signs import TAKE_LABEL
from core.foreign.write_bars import Content, Page, Symbol, WrittenFor, page_of
from core.foreign.write_pieces import WHOLE_BAR, all_pieces
from core.form import Form, WrittenBar
from core.key import Key
from core.meter import Meter
from core.pitch import Pitch, alteration_of, letter_of
from core.row import Row

BOTH = "both"
_HEAD = ('<?xml version="1.0" encoding="UTF-8"?>\n<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 '
         'Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd">\n')  # fmt: skip
_ACCIDENTALS = {-3: "triple-flat", -2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp",
                3: "triple-sharp"}  # fmt: skip
_JUMP_TEXTS = {"da capo": "D.C.", "dal segno": "D.S."}
_BASS_CLEF_BELOW = 50


def write_musicxml(chart: Chart, row: str = STANDARD, take: str | None = None, display: bool = False,
                   written_for: WrittenFor | None = None) -> str:  # fmt: skip
    """The text of a .musicxml file.

    ``row`` is "standard", the name of a reference row or of a take, or "both" for the reference with ``take`` below it
    (the first take if None). ``display`` leaves out the degrees of chord symbols, for engravers that print them twice.
    ``written_for`` says that the chart stands as a transposing part reads it; the file then sounds at concert pitch.
    Raises :class:`ChartError` for an unknown row, or when both rows do not share one form.
    """
    form, key, melody, rows, below = _chosen(chart, row, take)
    if not form.bars:
        raise ChartError("The chart has no bars to export.")
    page = page_of(form, key, melody, rows)
    root = Element("score-partwise", version="4.0")
    _header(root, chart, row, written_for)
    _Part(SubElement(root, "part", id="P1"), chart, key, page, below, form.pickup, display, written_for).write()
    indent(root)
    return _HEAD + tostring(root, encoding="unicode") + "\n"


def _chosen(chart: Chart, row: str, take: str | None) -> tuple[Form, Key, Melody, tuple[Row, ...], Take | None]:
    if row == BOTH:
        below = chart.take_named(take) if take is not None else chart.takes[0] if chart.takes else None
        if below is None:
            raise ChartError("The chart has no take to export beside the standard; make one or export one row.")
        if below.form is not None and below.form != chart.form:
            raise ChartError(f"The take {below.name!r} has bars of its own; export it by itself.")
        return chart.form, chart.key, chart.melody, (chart.standard, below.row), below
    alone = next((other for other in chart.takes if other.name == row), None)
    return chart.form_of(alone), chart.key_of(alone), chart.melody_of(alone), (chart.row_named(row),), None


def _header(root: Element, chart: Chart, row: str, written_for: WrittenFor | None) -> None:
    work = SubElement(root, "work")
    SubElement(work, "work-title").text = clean(chart.title)
    identification = SubElement(root, "identification")
    if chart.composer:
        SubElement(identification, "creator", type="composer").text = clean(chart.composer)
    encoding = SubElement(identification, "encoding")
    SubElement(encoding, "software").text = "Changewright"
    name = chart.reference if row in (STANDARD, BOTH) else row
    is_reference = any(named.name == name for named in chart.references)
    fields = {"reference row": name if is_reference and name != STANDARD else "", "note": chart.note}
    if any(fields.values()):
        miscellaneous = SubElement(identification, "miscellaneous")
        for field, text in fields.items():
            if text:
                SubElement(miscellaneous, "miscellaneous-field", name=field).text = clean(text)
    part = SubElement(SubElement(root, "part-list"), "score-part", id="P1")
    SubElement(part, "part-name").text = written_for.name if written_for else "Melody"


class _Part:
    """Writes the measures of the one part."""

    def __init__(self, part: Element, chart: Chart, key: Key, page: Page, below: Take | None, pickup: bool,
                 display: bool, written_for: WrittenFor | None) -> None:  # fmt: skip
        self._part, self._chart, self._key, self._page = part, chart, key, page
        self._below, self._pickup, self._display = below, pickup, display
        self._written_for = written_for
        self._meter: Meter | None = None
        self._pieces = all_pieces(page, key)
        self._divisions = _divisions(page, self._pieces)

    def write(self) -> None:
        for index, (bar, content) in enumerate(zip(self._page.bars, self._page.contents, strict=True)):
            attributes = {"number": clean(bar.number)}
            if index == 0:
                attributes["implicit"] = "yes" if self._pickup else "no"
            measure = SubElement(self._part, "measure", attributes)
            self._barline_left(measure, index, bar)
            self._attributes(measure, index, bar)
            self._opening(measure, index, bar)
            self._music(measure, content, self._pieces[index])
            self._closing(measure, bar)
            self._barline_right(measure, index, bar)

    # --- head and foot of a bar -------------------------------------------------------------------------------------

    def _ending_at(self, index: int) -> tuple[int, ...]:
        return self._page.bars[index].endings if 0 <= index < len(self._page.bars) else ()

    def _barline_left(self, measure: Element, index: int, bar: WrittenBar) -> None:
        begins = bar.endings and (self._ending_at(index - 1) != bar.endings or self._page.bars[index - 1].repeat_end)
        if not begins and not bar.repeat_start:
            return
        barline = SubElement(measure, "barline", location="left")
        if bar.repeat_start:
            SubElement(barline, "bar-style").text = "heavy-light"
        if begins:
            SubElement(barline, "ending", number=", ".join(map(str, bar.endings)), type="start")
        if bar.repeat_start:
            SubElement(barline, "repeat", direction="forward")

    def _barline_right(self, measure: Element, index: int, bar: WrittenBar) -> None:
        ends = bar.endings and (self._ending_at(index + 1) != bar.endings or bar.repeat_end)
        last = index + 1 == len(self._page.bars)
        if not ends and not bar.repeat_end and not last:
            return
        barline = SubElement(measure, "barline", location="right")
        if bar.repeat_end or last:
            SubElement(barline, "bar-style").text = "light-heavy"
        if ends:
            kind = "stop" if bar.repeat_end or last else "discontinue"
            SubElement(barline, "ending", number=", ".join(map(str, bar.endings)), type=kind)
        if bar.repeat_end:
            SubElement(barline, "repeat", direction="backward", times=str(max(2, bar.repeat_end)))

    def _attributes(self, measure: Element, index: int, bar: WrittenBar) -> None:
        attributes = Element("attributes")
        if index == 0:
            SubElement(attributes, "divisions").text = str(self._divisions)
        if index == 0 or bar.key is not None:
            shown = self._key if index == 0 or bar.key is None else bar.key
            key = SubElement(attributes, "key")
            SubElement(key, "fifths").text = str(shown.signature)
            SubElement(key, "mode").text = shown.mode
        if bar.meter != self._meter:
            self._meter = bar.meter
            time = SubElement(attributes, "time")
            SubElement(time, "beats").text = str(bar.meter.numerator)
            SubElement(time, "beat-type").text = str(bar.meter.denominator)
        if index == 0:
            self._clef(attributes)
            _transpose(attributes, self._written_for)
        if len(attributes):
            measure.append(attributes)

    def _clef(self, attributes: Element) -> None:
        heights = [sung.pitch.midi for content in self._page.contents for sung in content.melody]
        low = bool(heights) and sum(heights) < _BASS_CLEF_BELOW * len(heights)
        low = low or (self._written_for is not None and self._written_for.clef == "F")
        clef = SubElement(attributes, "clef")
        SubElement(clef, "sign").text, SubElement(clef, "line").text = ("F", "4") if low else ("G", "2")

    def _opening(self, measure: Element, index: int, bar: WrittenBar) -> None:
        if bar.section is not None:
            _direction(measure, "above", "rehearsal", clean(bar.section))
        if index == 0:
            self._tempo(measure)
            if self._below is not None:
                _direction(measure, "below", "words", TAKE_LABEL + clean(self._below.name))
        if "segno" in bar.marks:
            _direction(measure, "above", "segno", None, segno="segno")
        if "coda" in bar.marks:
            _direction(measure, "above", "coda", None, coda="coda")

    def _tempo(self, measure: Element) -> None:
        tempo, meter = self._chart.tempo, self._page.bars[-1].meter
        direction = SubElement(measure, "direction", placement="above")
        if self._chart.feel.strip():
            SubElement(SubElement(direction, "direction-type"), "words").text = clean(self._chart.feel)
        metronome = SubElement(SubElement(direction, "direction-type"), "metronome")
        SubElement(metronome, "beat-unit").text = "quarter"
        dotted = meter.is_compound and tempo * 2 % 3 == 0
        if dotted:
            SubElement(metronome, "beat-unit-dot")
        SubElement(metronome, "per-minute").text = str(tempo * 2 // 3 if dotted else tempo)
        SubElement(direction, "sound", tempo=str(tempo))

    def _closing(self, measure: Element, bar: WrittenBar) -> None:
        if "to coda" in bar.marks:
            _direction(measure, "above", "words", "To Coda", tocoda="coda")
        if "fine" in bar.marks:
            _direction(measure, "above", "words", "Fine", fine="yes")
        if bar.jump is not None:
            base, _, al = bar.jump.partition(" al ")
            text = _JUMP_TEXTS[base] + (f" al {al.capitalize()}" if al else "")
            sound = {"dacapo": "yes"} if base == "da capo" else {"dalsegno": "segno"}
            _direction(measure, "above", "words", text, **sound)

    # --- symbols and notes ------------------------------------------------------------------------------------------

    def _music(self, measure: Element, content: Content, pieces: list[Piece]) -> None:
        symbols = [(symbol.onset, line, symbol) for line, row in enumerate(content.rows) for symbol in row]
        waiting = sorted(symbols, key=lambda entry: entry[:2])
        for at, piece in enumerate(pieces):
            end = piece.end if at + 1 < len(pieces) else None
            while waiting and (end is None or waiting[0][0] < end):
                onset, line, symbol = waiting.pop(0)
                self._symbol(measure, line, symbol, onset - piece.onset)
            measure.append(self._note(piece))

    def _symbol(self, measure: Element, line: int, symbol: Symbol, offset: Fraction) -> None:
        placement = None if self._below is None else ("above", "below")[line]
        divided = offset * self._divisions
        measure.append(harmony_element(symbol.slot, divided, self._key.signature, placement, self._display))

    def _note(self, piece: Piece) -> Element:
        note = Element("note")
        if piece.pitch is None:
            whole_bar = {"measure": "yes"} if piece.type == WHOLE_BAR else {}
            SubElement(note, "rest", whole_bar)
        else:
            _pitch(note, piece.pitch)
        SubElement(note, "duration").text = str(piece.duration * self._divisions)
        ties = [kind for kind, present in (("stop", piece.tie_stop), ("start", piece.tie_start)) if present]
        for kind in ties:
            SubElement(note, "tie", type=kind)
        SubElement(note, "voice").text = "1"
        if piece.type is not None and piece.type != WHOLE_BAR:
            SubElement(note, "type").text = piece.type
            for _ in range(piece.dots):
                SubElement(note, "dot")
        if piece.accidental in _ACCIDENTALS:
            SubElement(note, "accidental").text = _ACCIDENTALS[piece.accidental or 0]
        if piece.tuplet is not None:
            modification = SubElement(note, "time-modification")
            SubElement(modification, "actual-notes").text = str(piece.tuplet[0])
            SubElement(modification, "normal-notes").text = str(piece.tuplet[1])
        for level, beam in enumerate(piece.beams, 1):
            SubElement(note, "beam", number=str(level)).text = beam
        _notations(note, piece, ties)
        return note


def _notations(note: Element, piece: Piece, ties: list[str]) -> None:
    tuplets = [kind for kind, present in (("start", piece.tuplet_start), ("stop", piece.tuplet_stop)) if present]
    if not ties and not tuplets:
        return
    notations = SubElement(note, "notations")
    for kind in ties:
        SubElement(notations, "tied", type=kind)
    for kind in tuplets:
        SubElement(notations, "tuplet", type=kind, number="1")


def _pitch(note: Element, pitch: Pitch) -> None:
    element = SubElement(note, "pitch")
    SubElement(element, "step").text = letter_of(pitch.fifths)
    if alteration_of(pitch.fifths):
        SubElement(element, "alter").text = str(alteration_of(pitch.fifths))
    SubElement(element, "octave").text = str(pitch.octave)


def _transpose(attributes: Element, written_for: WrittenFor | None) -> None:
    """From written to sounding pitch (type transpose): steps and semitones, whole octaves apart."""
    if written_for is None or not (written_for.fifths or written_for.semitones):
        return
    # A fifth is 7 semitones and 4 steps, an octave 12 and 7: c semitones that are f fifths are (7c − f) / 12 steps.
    octaves, semitones = divmod(written_for.semitones, 12)
    transpose = SubElement(attributes, "transpose")
    SubElement(transpose, "diatonic").text = str(-((7 * semitones - written_for.fifths) // 12))
    SubElement(transpose, "chromatic").text = str(-semitones)
    if octaves:
        SubElement(transpose, "octave-change").text = str(-octaves)


def _direction(measure: Element, placement: str, tag: str, text: str | None, **sound: str) -> None:
    direction = SubElement(measure, "direction", placement=placement)
    SubElement(SubElement(direction, "direction-type"), tag).text = text
    if sound:
        SubElement(direction, "sound", sound)


def _divisions(page: Page, pieces: list[list[Piece]]) -> int:
    """The smallest number of divisions of a quarter in which everything is whole."""
    times = [piece.duration for bar in pieces for piece in bar]
    times += [symbol.onset for content in page.contents for row in content.rows for symbol in row]
    times += [piece.onset for bar in pieces for piece in bar]
    return lcm(*(time.denominator for time in times))
