"""The tune engraved and drawn out: every note is there, keeps its shape, and bar lines stand where the grid has them."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
import verovio

from core.bar_text import chart_from_bar_text
from core.files import load_chart
from core.places import folder
from core.sheet.content import Sheet, sheet_of
from core.sheet.engrave import Staff, engrave
from core.sheet.kinds import SheetOptions
from core.sheet.lines import Line, lines_of
from core.sheet.marks import Glyph, Mark, Outline, Stroke, box_of_all
from core.sheet.mei import mei_of, pieces_of
from core.sheet.spacing import SetLine, head_width, set_line

DEMOS = {path.name.partition(".")[0]: path for path in folder("demo_charts").glob("*.changes.json")}
WIDTH = 100.0
HARD = """key: Bb major

| Bb | Eb7 | Cm7 F7 | Bb |
m: (3B2c2d2 f4- | f2 ed c2 ^c2 | b/a/g/f/ e/d/c/B/ A/B/c/d/ e/f/g/a/ | z4 B,4 |
"""


def laid(sheet: Sheet) -> list[tuple[Line, Staff, SetLine]]:
    lines = lines_of(sheet)
    found = []
    for line, staff in zip(lines, engrave(sheet, lines), strict=True):
        head = head_width(staff)
        usual = (WIDTH - head) / sheet.options.bars
        places, at = [0.0], head
        for wide in line.widths:
            at += usual * wide
            places.append(at)
        found.append((line, staff, set_line(staff, sheet, line, tuple(places))))
    return found


def sheets() -> list[Sheet]:
    demos = [
        sheet_of(load_chart(path)[0], SheetOptions("standard", part)) for path in DEMOS.values() for part in ("C", "F")
    ]
    return [*demos, sheet_of(chart_from_bar_text(HARD), SheetOptions())]


def left_of(mark: Mark) -> float:
    return box_of_all([mark])[0]


@pytest.mark.parametrize("sheet", sheets(), ids=lambda sheet: f"{sheet.title} {sheet.part.id}")
def test_every_note_is_engraved_keeps_its_shape_and_its_order(sheet: Sheet) -> None:
    for line, staff, drawn in laid(sheet):
        names = [group.id for group in staff.groups if group.kind in ("note", "rest")]
        wanted = [f"{'r' if piece.pitch is None else 'n'}{index}.{at}" for index in range(line.first, line.last)
                  for at, piece in enumerate(pieces_of(sheet.bars[index], sheet.pickup and index == 0))]  # fmt: skip
        assert sorted(names) == sorted(wanted)
        marks = iter(drawn.marks)
        for group in staff.groups:
            moved = [next(marks) for _ in group.marks]
            if group.kind == "note":
                shifts = [left_of(after) - left_of(before) for before, after in zip(group.marks, moved, strict=True)]
                assert max(shifts) - min(shifts) < 0.02, "head, stem, accidental and dots move together"
        for places in drawn.places:
            assert all(one[1] < other[1] for one, other in pairwise(places))


@pytest.mark.parametrize("sheet", sheets(), ids=lambda sheet: f"{sheet.title} {sheet.part.id}")
def test_bar_lines_stand_on_the_grid_and_the_staff_ends_with_them(sheet: Sheet) -> None:
    for line, _, drawn in laid(sheet):
        upright = [mark for mark in drawn.marks if isinstance(mark, Stroke) and mark.x1 == mark.x2
                   and (mark.y1, mark.y2) == (0.0, 4.0)]  # fmt: skip
        for place in drawn.bar_lines[1:]:
            assert any(place - 0.7 < mark.x1 + mark.width / 2 <= place + 0.05 for mark in upright), (line, place)
        level = [mark for mark in drawn.marks if isinstance(mark, Stroke) and mark.y1 == mark.y2 and 0 <= mark.y1 <= 4
                 and mark.width < 0.1 and mark.x2 - mark.x1 > 6]  # fmt: skip
        assert max(mark.x2 for mark in level) == pytest.approx(drawn.bar_lines[-1], abs=0.1)
        assert {mark.y1 for mark in level} == {0.0, 1.0, 2.0, 3.0, 4.0}


def test_time_stands_in_order_between_the_notes_too() -> None:
    sheet = sheet_of(chart_from_bar_text(HARD), SheetOptions())
    for line, _, drawn in laid(sheet):
        for bar in range(line.last - line.first):
            places = [drawn.x_at(bar, Fraction(at, 4), Fraction(4)) for at in range(16)]
            assert all(one < other for one, other in pairwise(places))
            assert drawn.bar_lines[bar] < places[0]
            assert places[-1] < drawn.bar_lines[bar + 1]


def test_beams_ties_and_tuplets_are_there() -> None:
    sheet = sheet_of(chart_from_bar_text(HARD), SheetOptions())
    (_, staff, _), *_ = laid(sheet)
    kinds = [group.kind for group in staff.groups]
    assert kinds.count("tie") >= 1
    assert "tupletNum" in kinds or "tuplet" in kinds
    beams = [group for group in staff.groups if group.kind == "beam"]
    assert all(isinstance(mark, Outline) for group in beams for mark in group.marks)
    assert len(beams) >= 5


def test_the_engraver_reads_the_same_notes_that_were_sung() -> None:
    # verovio's own MIDI of the engraving holds the tune: pitches in order, ties counted once (package verovio).
    chart = load_chart(DEMOS["harbour_lamps"])[0]
    sheet = sheet_of(chart, SheetOptions("standard"))
    toolkit = verovio.toolkit()
    toolkit.loadData(mei_of(sheet, lines_of(sheet)))
    events = toolkit.renderToTimemap({"includeMeasures": False, "includeRests": False})
    heard = [toolkit.getMIDIValuesForElement(name)["pitch"] for event in events for name in event.get("on", [])]
    assert heard == [note.pitch.midi for note in chart.melody]


def test_low_tunes_are_written_in_the_bass_clef() -> None:
    low = sheet_of(chart_from_bar_text("key: C major\n\n| C |\nm: C,,4 G,,4 |"), SheetOptions())
    assert low.clef == "F"
    (_, staff, _), *_ = laid(low)
    clefs = [
        mark.code for group in staff.groups if group.kind == "clef" for mark in group.marks if isinstance(mark, Glyph)
    ]
    assert clefs == ["E062"]  # SMuFL 1.4: fClef
