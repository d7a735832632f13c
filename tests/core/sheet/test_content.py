"""What stands on a sheet: folding, lines, rows, degrees and answers."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from random import Random

import pytest

from core.bar_text import chart_from_bar_text
from core.chart import Chart, Take
from core.explain import explain_take
from core.files import load_chart
from core.form import plain_form
from core.pitch import parse_degree
from core.places import folder
from core.row import Slot
from core.sheet.content import sheet_of
from core.sheet.folding import printed_bars
from core.sheet.kinds import KINDS, SheetError, SheetOptions
from core.sheet.lines import lines_of
from tests.core.foreign.charts import random_chart

DEMOS = {path.name.partition(".")[0]: path for path in folder("demo_charts").glob("*.changes.json")}


def demo(name: str) -> Chart:
    return load_chart(DEMOS[name])[0]


def test_a_repeat_is_folded_where_the_row_allows_and_written_out_where_not() -> None:
    standard = sheet_of(demo("ferry_steps"), SheetOptions("standard"))
    assert len(standard.bars) == 18
    assert [bar.written.repeat_end for bar in standard.bars if bar.written.repeat_end] == [2]
    take = sheet_of(demo("ferry_steps"), SheetOptions("take"))  # its two passes differ in bars 4 and 12
    assert len(take.bars) == 24
    assert not any(bar.written.repeat_end or bar.written.endings or bar.written.repeat_start for bar in take.bars)
    assert [bar.number for bar in take.bars] == [str(number) for number in range(1, 25)]


def test_only_the_repeat_that_differs_is_written_out() -> None:
    tune = chart_from_bar_text("key: C major\n\n[A]\n|: C | G7 :|\n[B]\n|: F | Bb7 :|")
    played = chart_from_bar_text("key: C major\n\n| C | G7 | C | G7 | F | Bb7 | F | B7 |")
    chart = replace(tune, takes=(Take("one", played.standard),))
    sheet = sheet_of(chart, SheetOptions("take"))
    assert [(bar.number, bar.written.repeat_end) for bar in sheet.bars] == [
        ("1", 0), ("2", 2), ("5", 0), ("6", 0), ("7", 0), ("8", 0),
    ]  # fmt: skip


def test_every_played_bar_is_shown_by_a_printed_one() -> None:
    for seed in range(150):
        chart = random_chart(Random(seed), agreeing=seed % 3 == 0)
        shown = [tuple(slot.chord.sound if slot.chord else None for slot in chart.takes[0].row
                       if bar.start <= slot.onset < bar.end) for bar in chart.form.bars]  # fmt: skip
        printed = printed_bars(chart.form, shown)
        covered = sorted(index for bar in printed for index in bar.passes)
        assert covered == list(range(len(chart.form.bars)))
        for bar in printed:
            assert {shown[index] for index in bar.passes} == {shown[bar.first]}


def test_four_bars_a_line_and_a_section_begins_one() -> None:
    sheet = sheet_of(demo("harbour_lamps"), SheetOptions("both"))
    lines = lines_of(sheet)
    assert [(line.first, line.last) for line in lines] == [(at, at + 4) for at in range(0, 32, 4)]
    assert {line.widths for line in lines} == {(1.0, 1.0, 1.0, 1.0)}
    text = "key: C major\n\n[A]\n| C | C | C | C | C | C |\n[B]\n| F | F | F |"
    uneven = lines_of(sheet_of(chart_from_bar_text(text), SheetOptions()))
    assert [(line.first, line.last) for line in uneven] == [(0, 4), (4, 6), (6, 9)]


def test_a_second_ending_stands_under_the_first() -> None:
    lines = lines_of(sheet_of(demo("ferry_steps"), SheetOptions("standard")))
    assert [(line.first, line.last, line.column) for line in lines] == [
        (0, 4, 0.0), (4, 8, 0.0), (8, 10, 2.0), (10, 14, 0.0), (14, 18, 0.0),
    ]  # fmt: skip


def test_crowded_bars_are_wider_and_the_line_still_holds_four() -> None:
    text = ("key: C major\n\n| Cmaj7 A7b9 Dm7b5 G7b9 | C6 | F6 | Fm6 |\n"
            "m: c/B/A/G/ F/E/D/C/ c/B/A/G/ F/E/D/C/ | c8 | c8 | c8 |")  # fmt: skip
    (line,) = lines_of(sheet_of(chart_from_bar_text(text), SheetOptions()))
    assert (line.first, line.last) == (0, 4)
    assert line.widths[0] > 1.3 * line.widths[1]
    assert sum(line.widths) == pytest.approx(4)


@pytest.mark.parametrize("kind", KINDS)
def test_each_sheet_holds_its_rows_and_no_other(kind: str) -> None:
    sheet = sheet_of(demo("harbour_lamps"), SheetOptions(kind))
    assert any(bar.standard for bar in sheet.bars) == KINDS[kind].standard
    assert any(bar.take for bar in sheet.bars) == KINDS[kind].take
    assert bool(sheet.changes) == any(bar.degrees for bar in sheet.bars) == KINDS[kind].answers
    assert all(bar.melody for bar in sheet.bars)
    assert not any(bar.melody for bar in sheet_of(demo("harbour_lamps"), SheetOptions(kind, melody=False)).bars)


def test_what_the_rows_share_is_quiet_in_the_take() -> None:
    sheet = sheet_of(demo("harbour_lamps"), SheetOptions("both"))
    assert [(chord.slot.text, chord.quiet) for chord in sheet.bars[1].take] == [("Cm7", True), ("Gb7", False)]


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("part", ["C", "Eb"])
def test_an_answer_key_names_every_change_with_its_reason(name: str, part: str) -> None:
    chart = demo(name)
    sheet = sheet_of(chart, SheetOptions("answers", part))
    assert len(sheet.changes) == len(explain_take(chart, chart.takes[0]))
    assert [number for bar in sheet.bars for _, number in bar.changes] == list(range(1, len(sheet.changes) + 1))
    for change in sheet.changes:
        assert change.why.endswith(".")
        assert change.title != "By hand"
        assert change.voiced
        for voiced in change.voiced:
            assert voiced.slot.chord is not None
            assert list(voiced.notes) == sorted(voiced.notes)
            assert len(voiced.notes) == len(voiced.degrees)


def test_degrees_are_those_of_the_notes_over_each_row() -> None:
    # Bar 4: D and B♭ over B♭7 are 3 and 1, over Bm7 E7♯11 the flat third and the raised eleventh.
    sheet = sheet_of(demo("harbour_lamps"), SheetOptions("answers"))
    assert [(degree.standard, degree.take) for degree in sheet.bars[3].degrees] == [("3", "♭3"), ("1", "♯11")]


def test_voicings_hold_the_degrees_they_name() -> None:
    for change in sheet_of(demo("low_water_blues"), SheetOptions("answers")).changes:
        for voiced in change.voiced:
            assert voiced.slot.chord is not None
            if voiced.slot.chord.bass is not None:
                continue  # a slash chord's degrees are counted from its bass
            for note, degree in zip(voiced.notes, voiced.degrees, strict=True):
                plain = parse_degree(degree.replace("♭", "b").replace("♯", "#"))
                assert (note - voiced.slot.chord.root_pc) % 12 == plain.semitones % 12


def test_what_cannot_be_made_is_said_in_one_sentence() -> None:
    plain = chart_from_bar_text("key: C major\n\n| C | G7 |")
    with pytest.raises(SheetError, match="needs a take and the chart has none"):
        sheet_of(plain, SheetOptions("both"))
    for wrong in ({"kind": "poster"}, {"part": "Q"}, {"paper": "A0"}, {"style": "runes"}, {"bars": 0}):
        with pytest.raises(SheetError):
            SheetOptions(**wrong)  # type: ignore[arg-type]


def test_a_take_with_bars_of_its_own_has_the_standard_moved_beside_it() -> None:
    chart = demo("low_water_blues")
    longer = plain_form(13, chart.meter)
    row = (*chart.takes[0].row, Slot(Fraction(48), Fraction(4), chart.standard[0].chord))
    take = replace(chart.takes[0], form=longer, row=row, steps=(), alignment=(*range(12), None))
    sheet = sheet_of(replace(chart, takes=(take,)), SheetOptions("both"))
    assert len(sheet.bars) == 13
    assert sheet.bars[0].standard[0].slot.text == "Cm7"
    assert sheet.bars[12].standard == ()
    assert sheet.bars[12].take
