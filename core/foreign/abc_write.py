"""A chart to ABC 2.1: the tune with one row of chord symbols, as any program of ABC reads it.

What the file holds and our reader takes back equal: title, composer, key, tempo, feel, note, metre, bars and their
lengths, sections, repeats, endings, road map, key and metre changes, the melody with its spelling, the row with what
was typed. As in MusicXML, repeats are written as repeats where all passes agree; otherwise the bars are written out.

What ABC cannot hold: a second row, steps, locked bars, seeds; printed bar numbers of one's own; a pickup as long as its
metre, or a short first bar that is no pickup; an empty feel; more than two accidentals on a note or one on a tonic
(they are respelled); quotation marks in the feel, square brackets in names of sections; white space doubled or at ends.

Source: the ABC standard, version 2.1 (December 2011), sections 2.2 (version field), 3.1 (fields), 4.1 to 4.20.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from core.abc_notes import DEFAULT_UNIT, SIGNS, format_length, format_letter, scale_alteration
from core.chart import STANDARD, Chart, ChartError
from core.foreign.notation import Piece
from core.foreign.plain_text import escaped
from core.foreign.write_bars import Page, Symbol, WrittenFor, page_of
from core.foreign.write_pieces import all_pieces
from core.form import WrittenBar
from core.key import Key
from core.pitch import Pitch, alteration_of, letter_of, name_of, pitch_from_midi, within_double

BARS_A_LINE = 4
_LARGEST_TUPLET = 9
_LOW = 50
_LONGEST_FIELD = 180


def write_abc(chart: Chart, row: str = STANDARD, written_for: WrittenFor | None = None) -> str:
    """The text of an .abc file with the row of a name; ``written_for`` as in MusicXML.

    Raises :class:`ChartError` for an unknown row.
    """
    slots = chart.row_named(row)
    take = next((take for take in chart.takes if take.name == row), None)
    form, key, melody = chart.form_of(take), chart.key_of(take), chart.melody_of(take)
    if not form.bars:
        raise ChartError("The chart has no bars to export.")
    page = page_of(form, key, melody, (slots,), ties_jump=False)
    low = bool(melody) and sum(note.pitch.midi for note in melody) < _LOW * len(melody)
    words = " clef=bass" if low or (written_for and written_for.clef == "F") else ""
    words += f" transpose={-written_for.semitones}" if written_for and written_for.semitones else ""
    return "\n".join([*_header(chart, page, f"{_key(key)}{words}"), *_Body(page, key).lines()]) + "\n"


def _header(chart: Chart, page: Page, key: str) -> list[str]:
    title, composer = escaped(chart.title), escaped(chart.composer)
    remarks = [f"N:{escaped(line)}" for line in chart.note.split("\n")] if chart.note.strip() else []
    feel = escaped(chart.feel).replace('"', "'")
    meter = page.bars[0].meter
    dotted = page.bars[-1].meter.is_compound and chart.tempo * 2 % 3 == 0
    tempo = f"3/8={chart.tempo * 2 // 3}" if dotted else f"1/4={chart.tempo}"
    return [
        "%abc-2.1", "X:1", f"T:{title}", *([f"C:{composer}"] if composer else []), *remarks, f"M:{meter}", "L:1/8",
        f'Q:"{feel}" {tempo}' if feel else f"Q:{tempo}", f"K:{key}",
    ]  # fmt: skip


def _key(key: Key) -> str:
    return name_of(_nameable(key).tonic) + ("m" if key.is_minor else "")


def _nameable(key: Key) -> Key:
    """The key, or its enharmonic if its tonic has two accidentals, which ABC has no word for."""
    alteration = alteration_of(key.tonic)
    return key if abs(alteration) < 2 else key.transposed(-12 if alteration > 0 else 12)


class _Body:
    """The bars in lines of four, anew at each section."""

    def __init__(self, page: Page, home: Key) -> None:
        self._page, self._home = page, home
        self._pieces = all_pieces(page, home, cut_notes=True)
        self._has_to_coda = any("to coda" in bar.marks for bar in page.bars)

    def lines(self) -> list[str]:
        """Lines of music."""
        bars, lines, start = list(self._bars()), [], 0
        while start < len(bars):
            sections = (at for at in range(start + 1, len(bars)) if self._page.bars[at].section is not None)
            stop = min(start + BARS_A_LINE, next(sections, len(bars)), len(bars))
            lines.append(" ".join(bars[start:stop]))
            start = stop
        return lines

    def _bars(self) -> Iterator[str]:
        key, meter = self._home, self._page.bars[0].meter
        for index, bar in enumerate(self._page.bars):
            fields = [f"[P:{_section(bar.section)}]"] if bar.section is not None else []
            if bar.meter != meter:
                meter = bar.meter
                fields.append(f"[M:{meter}]")
            if bar.key is not None and index:
                key = bar.key
                fields.append(f"[K:{_key(key)}]")
            yield " ".join([*self._opening(index, bar), *fields, *self._signs(bar), self._music(index, bar, key),
                            self._closing(index, bar)])  # fmt: skip

    # --- bar lines ----------------------------------------------------------------------------------------------------

    def _endings(self, index: int) -> tuple[int, ...]:
        return self._page.bars[index].endings if 0 <= index < len(self._page.bars) else ()

    def _opening(self, index: int, bar: WrittenBar) -> list[str]:
        begins = bar.endings and (self._endings(index - 1) != bar.endings or self._page.bars[index - 1].repeat_end)
        signs = ["|" + ":" * self._times_from(index)] if bar.repeat_start else []
        return [*signs, f"[{_passes(bar.endings)}"] if begins else signs

    def _times_from(self, index: int) -> int:
        """Colons of a repeat's beginning: one less than the times that it is played."""
        return next((max(1, bar.repeat_end - 1) for bar in self._page.bars[index:] if bar.repeat_end), 1)

    def _closing(self, index: int, bar: WrittenBar) -> str:
        if bar.repeat_end:
            return ":" * max(1, bar.repeat_end - 1) + "|"
        if index + 1 == len(self._page.bars):
            return "|]"
        return "||" if bar.endings and self._endings(index + 1) != bar.endings else "|"

    # --- signs --------------------------------------------------------------------------------------------------------

    def _signs(self, bar: WrittenBar) -> list[str]:
        signs = ["!segno!"] if "segno" in bar.marks else []
        if "coda" in bar.marks:  # a bare coda sign without a "to coda" would be read as one
            signs.append("!coda!" if self._has_to_coda else '"^Coda"')
        return signs

    @staticmethod
    def _last_signs(bar: WrittenBar) -> str:
        """What acts at the bar's end stands at its last note."""
        signs = ["!dacoda!"] if "to coda" in bar.marks else []
        signs += ["!fine!"] if "fine" in bar.marks else []
        if bar.jump is not None:
            base, _, al = bar.jump.partition(" al ")
            letters = "D.C." if base == "da capo" else "D.S."
            signs.append(f'"^{letters} al {al.capitalize()}"' if al else f"!{letters}!")
        return "".join(signs)

    # --- notes --------------------------------------------------------------------------------------------------------

    def _music(self, index: int, bar: WrittenBar, key: Key) -> str:
        pieces = self._pieces[index]
        waiting = list(self._page.contents[index].rows[0])
        accidentals = _Accidentals(_nameable(key))
        groups = _tuplets(pieces)
        text = ""
        for at, piece in enumerate(pieces):
            symbols = ""
            while waiting and waiting[0].onset <= piece.onset:
                symbols += _symbol(waiting.pop(0))
            signs = self._last_signs(bar) if at + 1 == len(pieces) else ""
            joined = piece.beams and piece.beams[0] in ("begin", "continue")
            text += groups[at][0] + symbols + signs + _note(piece, groups[at][1], accidentals)
            text += "" if joined or at + 1 == len(pieces) else " "
        return text


def _section(name: str | None) -> str:
    return escaped((name or "").replace("[", "(").replace("]", ")"))[:_LONGEST_FIELD]


def _passes(endings: tuple[int, ...]) -> str:
    """Passes of an ending, a run of them as a range: ``1,2`` and ``1-4,6``."""
    runs: list[list[int]] = []
    for number in endings:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ",".join(f"{run[0]}-{run[-1]}" if len(run) > 2 else ",".join(map(str, run)) for run in runs)


def _symbol(symbol: Symbol) -> str:
    text = escaped(symbol.slot.text)
    return f'"({text})"' if symbol.slot.optional else f'"{text}"'


def _tuplets(pieces: Sequence[Piece]) -> list[tuple[str, Fraction]]:
    """For each piece the sign that opens its tuplet, or nothing, and by how much its length is written longer."""
    result: list[tuple[str, Fraction]] = []
    for at, piece in enumerate(pieces):
        if piece.tuplet is None or piece.tuplet[0] > _LARGEST_TUPLET:
            result.append(("", Fraction(1)))
            continue
        actual, normal = piece.tuplet
        count = next(number for number, other in enumerate(pieces[at:], 1) if other.tuplet_stop)
        result.append((f"({actual}:{normal}:{count}" if piece.tuplet_start else "", Fraction(actual, normal)))
    return result


def _note(piece: Piece, longer: Fraction, accidentals: _Accidentals) -> str:
    length = format_length(piece.duration * longer / DEFAULT_UNIT)
    if piece.pitch is None:
        return "z" + length
    return accidentals.written(piece.pitch) + length + ("-" if piece.tie_start else "")


class _Accidentals:
    """Writes an accidental wherever readers could differ: some keep one for its octave, others for all octaves."""

    def __init__(self, key: Key) -> None:
        self._key = key
        self._heard: dict[str, int] = {}

    def written(self, pitch: Pitch) -> str:
        """Accidental, letter and octave of the next note of the bar."""
        if abs(alteration_of(pitch.fifths)) > max(SIGNS):
            pitch = pitch_from_midi(pitch.midi, within_double(pitch.fifths))
        letter, alteration = letter_of(pitch.fifths), alteration_of(pitch.fifths)
        scale = scale_alteration(letter, self._key)
        places = letter, f"{letter}{pitch.octave}"
        if all(self._heard.get(place, scale) == alteration for place in places):
            return format_letter(pitch)
        self._heard |= dict.fromkeys(places, alteration)
        return SIGNS[alteration] + format_letter(pitch)
