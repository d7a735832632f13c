"""How a chart is written: durations that add up, repeats folded only where the passes agree, what others read."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from random import Random

import pytest
import verovio
from hypothesis import given, settings
from hypothesis import strategies as st
from music21 import converter, harmony
from music21 import note as music21_note

from core.chart import STANDARD, Chart, ChartError, NamedRow, Note, Take
from core.chord import chord
from core.foreign import write_musicxml
from core.foreign.musicxml_read import read_musicxml
from core.foreign.notation import TYPE_NAMES, dressed, written_pieces
from core.form import Form, WrittenBar, plain_form, played_order
from core.key import Key
from core.meter import Meter
from core.pitch import Pitch
from core.row import Slot, span
from core.symbol import parse_symbol
from tests.core.foreign.charts import METERS, random_chart

WHOLE = Fraction(4)


def tune(symbols: list[str], form: Form | None = None, melody: tuple[Note, ...] = (), **more: object) -> Chart:
    """One chord a bar of 4/4 on played time, typed."""
    row = tuple(Slot(WHOLE * at, WHOLE, parse_symbol(text), text) for at, text in enumerate(symbols))
    form = form or plain_form(len(symbols), Meter())
    return replace(Chart("Slack Water", Key(-3), form, (NamedRow(STANDARD, row),), melody=melody), **more)  # type: ignore[arg-type]


def repeated(*bars: WrittenBar) -> Form:
    return Form(bars, played_order(bars))


def bar(number: int, **more: object) -> WrittenBar:
    return WrittenBar(str(number), Meter(), WHOLE, **more)  # type: ignore[arg-type]


ENDINGS = (bar(1, repeat_start=True), bar(2, endings=(1,), repeat_end=2), bar(3, endings=(2,)))


# --- note shapes ----------------------------------------------------------------------------------------------------


@settings(max_examples=300, deadline=None)
@given(
    st.sampled_from(METERS), st.integers(0, 60), st.integers(1, 60), st.sampled_from([1, 2, 3, 4, 5, 6, 7, 8, 12, 16])
)
def test_written_values_add_up(meter: Meter, start: int, length: int, grid: int) -> None:
    """Type, dots and tuplet of every piece give its duration, and the pieces fill the time without a gap."""
    onset, end = Fraction(start, grid), Fraction(start + length, grid)
    pieces = written_pieces(onset, end, meter, Pitch(0, 4))
    assert pieces[0].onset == onset
    assert pieces[-1].end == end
    assert all(one.end == other.onset for one, other in pairwise(pieces))
    assert [piece.tie_start for piece in pieces] == [True] * (len(pieces) - 1) + [False]
    for piece in pieces:
        assert piece.type is not None
        actual, normal = piece.tuplet or (1, 1)
        value = Fraction(2) ** (TYPE_NAMES.index(piece.type) - 8) * (2 - Fraction(1, 2**piece.dots))
        assert value * normal / actual == piece.duration


SHAPES = {
    (0, 4): "whole", (0, 3): "half.", (1, 3): "half", (Fraction(1, 2), Fraction(3, 2)): "quarter",
    (Fraction(3, 2), Fraction(5, 2)): "eighth eighth", (0, Fraction(5, 2)): "half eighth",
    (Fraction(1, 2), 2): "quarter.", (Fraction(1, 2), 4): "quarter. half", (0, Fraction(1, 3)): "eighth/3",
    (Fraction(1, 3), 1): "quarter/3", (Fraction(2, 3), 2): "eighth/3 quarter", (0, Fraction(7, 4)): "quarter eighth.",
}  # fmt: skip


@pytest.mark.parametrize(("span", "expected"), SHAPES.items())
def test_shapes_in_common_time(span: tuple[Fraction, Fraction], expected: str) -> None:
    """Syncopations stay whole, but nothing that begins off the beat hides the middle of the bar (common practice)."""
    pieces = written_pieces(Fraction(span[0]), Fraction(span[1]), Meter(), Pitch(0, 4))
    assert " ".join(f"{p.type}{'.' * p.dots}{f'/{p.tuplet[0]}' if p.tuplet else ''}" for p in pieces) == expected


def test_accidentals_beams_and_brackets_of_a_bar() -> None:
    third = Fraction(1, 3)
    spans = [(0, third, 6), (third, 2 * third, 6), (2 * third, 1, 6), (1, Fraction(3, 2), -1), (Fraction(3, 2), 2, 6)]
    pieces = [piece for start, end, fifths in spans
              for piece in written_pieces(Fraction(start), Fraction(end), Meter(), Pitch(fifths, 4))]  # fmt: skip
    drawn = dressed(pieces, Meter(), 1)
    assert [piece.accidental for piece in drawn] == [None, None, None, 0, 1]  # F♯ is in the key of G; F needs ♮, then ♯
    assert [piece.beams for piece in drawn] == [("begin",), ("continue",), ("end",), ("begin",), ("end",)]
    assert [(piece.tuplet_start, piece.tuplet_stop) for piece in drawn[:3]] == \
        [(True, False), (False, False), (False, True)]  # fmt: skip


# --- repeats --------------------------------------------------------------------------------------------------------


def test_passes_that_agree_are_written_once() -> None:
    text = write_musicxml(tune(["Ebmaj7", "Bb7", "Ebmaj7", "Eb6"], repeated(*ENDINGS)))
    assert text.count("<measure ") == 3
    assert text.count("<harmony") == 3
    assert '<repeat direction="backward" times="2"' in text


def test_passes_that_differ_are_written_out_and_nothing_played_is_lost() -> None:
    chart = tune(["Ebmaj7", "Bb7", "Gm7", "Eb6"], repeated(*ENDINGS))
    text = write_musicxml(chart)
    assert text.count("<measure ") == 4
    assert "<repeat" not in text
    back, _ = read_musicxml([text.encode()], "x")
    assert (back.standard, back.form.length) == (chart.standard, chart.form.length)


def test_a_melody_that_differs_between_passes_is_written_out() -> None:
    notes = (Note(Fraction(0), Fraction(1), Pitch(0, 4)), Note(Fraction(8), Fraction(2), Pitch(0, 4)))
    text = write_musicxml(tune(["Ebmaj7", "Bb7", "Ebmaj7", "Eb6"], repeated(*ENDINGS), notes))
    assert "<repeat" not in text


def test_a_take_that_differs_between_passes_unfolds_only_with_the_take() -> None:
    chart = tune(["Ebmaj7", "Bb7", "Ebmaj7", "Eb6"], repeated(*ENDINGS))
    row = (*chart.standard[:2], replace(chart.standard[2], chord=parse_symbol("Gm7"), typed="Gm7"), chart.standard[3])
    chart = replace(chart, takes=(Take("Evening", row),))
    assert "<repeat" in write_musicxml(chart)
    assert "<repeat" not in write_musicxml(chart, "Evening")
    both = write_musicxml(chart, "both")
    assert "<repeat" not in both
    back, _ = read_musicxml([both.encode()], "x")
    assert (back.standard, back.takes) == (chart.standard, chart.takes)


# --- symbols --------------------------------------------------------------------------------------------------------


def test_function_spelling_is_kept_and_simple_spelling_printed() -> None:
    row = (Slot(Fraction(0), WHOLE, chord(-8, "7")),)
    chart = replace(tune(["Eb"]), references=(NamedRow(STANDARD, row),))
    text = write_musicxml(chart)
    assert "<root-step>E</root-step>" in text
    assert "<root-alter>" not in text
    assert "<?changewright house Fb7?>" in text
    assert read_musicxml([text.encode()], "x")[0].standard == row


def test_a_hint_that_no_longer_fits_is_not_believed() -> None:
    """Another program moved the root and kept our note: the element is what counts."""
    row = (Slot(Fraction(0), WHOLE, chord(-8, "7")),)
    text = write_musicxml(replace(tune(["Eb"]), references=(NamedRow(STANDARD, row),)))
    moved = text.replace("<root-step>E</root-step>", "<root-step>D</root-step>")
    assert read_musicxml([moved.encode()], "x")[0].standard[0].text == "D7"


def test_unknown_rows_and_takes_with_bars_of_their_own() -> None:
    chart = tune(["Eb", "Bb7"])
    with pytest.raises(ChartError, match="no row named 'Morning'"):
        write_musicxml(chart, "Morning")
    with pytest.raises(ChartError, match="has no take to export"):
        write_musicxml(chart, "both")
    longer = plain_form(3, Meter())
    row = tuple(Slot(WHOLE * at, WHOLE, parse_symbol("Eb"), "Eb") for at in range(3))
    chart = replace(chart, takes=(Take("Longer", row, form=longer),))
    with pytest.raises(ChartError, match="has bars of its own"):
        write_musicxml(chart, "both")
    assert write_musicxml(chart, "Longer").count("<measure ") == 3


def test_another_reference_row_keeps_its_name() -> None:
    chart = tune(["Eb", "Bb7"])
    record = NamedRow("the record", (Slot(Fraction(0), WHOLE * 2, parse_symbol("Eb6"), "Eb6"),))
    chart = replace(chart, references=(*chart.references, record))
    back, _ = read_musicxml([write_musicxml(chart, "the record").encode()], "x")
    assert (back.reference, back.references) == ("the record", (record,))


def test_characters_that_xml_cannot_hold_are_left_out() -> None:
    chart = tune(["Eb"], title="Bell\x07 & <Buoy> \U0001f3b7")
    assert read_musicxml([write_musicxml(chart).encode()], "x")[0].title == "Bell & <Buoy> \U0001f3b7"


# --- other programs -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(12))
def test_music21_reads_the_same_melody_and_symbols(seed: int, tmp_path: Path) -> None:
    """Every note and every chord symbol at its place, bar by bar of the written-out form. Source: music21 10.5."""
    chart = random_chart(Random(seed), False)
    chart = replace(chart, form=replace(chart.form, order=tuple(range(len(chart.form.written)))))
    length = chart.form.length
    chart = replace(chart, takes=(), melody=tuple(note for note in chart.melody if note.end <= length),
                    references=(NamedRow(STANDARD, span(chart.standard, Fraction(0), length)),))  # fmt: skip
    plain = replace(chart.form, written=tuple(replace(bar, repeat_start=False, repeat_end=0, endings=(), jump=None, marks=())
                                              for bar in chart.form.written))  # fmt: skip
    chart = replace(chart, form=plain)
    path = tmp_path / "tune.musicxml"
    path.write_text(write_musicxml(chart), encoding="utf-8")
    part = converter.parse(path).parts[0]
    symbols = [Fraction(s.getOffsetInHierarchy(part)).limit_denominator(60)
               for s in part.recurse().getElementsByClass(harmony.Harmony)]  # fmt: skip
    assert symbols == [slot.onset for slot in chart.standard]
    notes = [(Fraction(n.getOffsetInHierarchy(part)).limit_denominator(60), n.pitch.midi)
             for n in part.recurse().getElementsByClass(music21_note.Note)
             if n.tie is None or n.tie.type == "start"]  # fmt: skip
    assert notes == [(note.onset, note.pitch.midi) for note in chart.melody]


@pytest.mark.parametrize("seed", range(12))
def test_verovio_reads_every_bar_and_symbol(seed: int) -> None:
    chart = random_chart(Random(seed), True)
    text = write_musicxml(chart, "both", display=True)
    toolkit = verovio.toolkit()
    assert toolkit.loadData(text)
    mei = toolkit.getMEI()
    assert len(re.findall(r"<measure ", mei)) == text.count("<measure ")
    assert len(re.findall(r"<harm ", mei)) == text.count("<harmony")
    assert "<degree" not in text
