"""One system of the page: staff, both rows of chords, seams and threads."""

from __future__ import annotations

from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainterPath

from app.window.fonts import advance, elided
from app.window.page.bond_painter import draw_bonds
from app.window.page.brush import Brush
from app.window.page.chord_painter import chord_width, draw_chord, draw_function, fitting_size
from app.window.page.geometry import MARGIN, BarBox, PageGeometry, SystemBox
from app.window.page.page_model import SHORT_NAME, BarView, Bond, PageModel, SlotView, ThreadPoint
from app.window.page.staff_painter import draw_head, draw_lines, draw_meter, draw_names, draw_notation
from app.window.page.thread_painter import draw_threads

STANDARD_SIZE, TAKE_SIZE = 23.0, 25.0
SEAM_SIZE, SMALLEST_SEAM = 12.0, 10.0
UNDERLINE = 24.0
METER_CHANGE_SPACE = 6.2  # a change of metre stands between the bar line and the first note
BRACKETS = 0.72  # of the size: both of a chord that may be left out
REMARK, REMARK_SIZE = "●", 9.0  # someone wrote on this bar; the pointer shows what
NAMES_LIFT = 33.0
NUMERAL_LIFT = 21.5  # over the baseline of its chord


class PageOptions(NamedTuple):
    """What the reader wants to see."""

    staff: bool = True
    numerals: bool = False
    threads: bool = True
    bonds: bool = True
    names: bool = False
    per_line: int = 0  # bars in a system, 0 as many as suit the width


class SystemContent(NamedTuple):
    """Everything a system's picture depends on, and nothing else: equal contents have equal pictures."""

    bars: tuple[BarView, ...]
    take_threads: tuple[ThreadPoint, ...]
    standard_threads: tuple[ThreadPoint, ...]
    signature: int
    meter: tuple[int, int] | None
    tied_in: int | None
    chosen_note: int | None
    has_take: bool
    box: SystemBox
    options: PageOptions
    take_bonds: tuple[Bond, ...]
    standard_bonds: tuple[Bond, ...]


def system_content(model: PageModel, geometry: PageGeometry, index: int, options: PageOptions,
                   chosen_note: int | None = None) -> SystemContent:  # fmt: skip
    """Collect the content of a system."""
    box = geometry.systems[index]
    first, last = box.bars[0].index, box.bars[-1].index
    bars = model.bars[first : last + 1]
    start, end = bars[0].start, bars[-1].start + bars[-1].length

    def near(points: tuple[ThreadPoint, ...]) -> tuple[ThreadPoint, ...]:
        return tuple(p for p in points if p.onset < end and p.end > start) if options.threads else ()

    def bound(bonds: tuple[Bond, ...]) -> tuple[Bond, ...]:
        return tuple(bond for bond in bonds if start <= bond.start < end) if options.bonds else ()

    before = model.bars[first - 1].notation.notes if first else ()
    tied_in = before[-1].step if before and before[-1].tied else None
    sources = {mark.source for bar in bars for mark in bar.notation.notes}
    return SystemContent(bars, near(model.take_threads), near(model.standard_threads),
                         model.form.key_at(first, model.key).signature, model.meter if index == 0 else None, tied_in,
                         chosen_note if chosen_note in sources else None, model.has_take, box, options,
                         bound(model.take_bonds), bound(model.standard_bonds))  # fmt: skip


def draw_system(brush: Brush, content: SystemContent) -> None:
    """Paint a system at its place on the page."""
    box = content.box
    _draw_margin(brush, content)
    if content.options.staff:
        staff_top = box.top + box.lanes.staff_top
        draw_lines(brush, MARGIN + 34, box.right, staff_top)
        draw_head(brush, MARGIN + 38, staff_top, content.signature, content.meter)
    tied = content.tied_in
    for bar, place in zip(content.bars, box.bars, strict=True):
        if content.options.staff:
            draw_notation(brush, place, box.top + box.lanes.staff_top, bar.notation, content.chosen_note, tied)
            tied = None
            if content.options.names:
                draw_names(brush, place, box.top + box.lanes.standard - NAMES_LIFT, bar.notation)
        _draw_bar(brush, content, bar, place)
    _draw_bar_lines(brush, content)
    draw_bonds(brush, box, content.standard_bonds, box.top + box.lanes.standard, "hair")
    draw_bonds(brush, box, content.take_bonds, box.top + box.lanes.take, "second")
    draw_threads(brush, box, content.take_threads, content.standard_threads)


def _draw_margin(brush: Brush, content: SystemContent) -> None:
    first, box = content.bars[0], content.box
    lanes = box.lanes
    if first.section:
        over = len(first.section) > SHORT_NAME
        size = 13.0 if over else 15.0
        words = advance(first.section, "serif", size, "strong")
        y = lanes.staff_top if content.options.staff and not over else lanes.standard - 26
        frame = QRectF(MARGIN - 12, box.top + y + 2, max(23.0, words + 12), 23)
        if over:
            frame = QRectF(MARGIN - 12, box.top + 2, words + 14, 20)
        brush.outline(frame, 3, "ink", 1.2)
        brush.text(frame.center().x() - words / 2, frame.center().y() + size / 3, first.section, "ink", "serif", size,
                   "strong")  # fmt: skip
    brush.text(box.left + 4, box.top + lanes.staff_top - 7, str(first.number), "label", "sans", 10.5)


def _draw_bar_lines(brush: Brush, content: SystemContent) -> None:
    box = content.box
    lanes = box.lanes
    for place in box.bars:
        for x in {place.x, place.right}:
            if content.options.staff:
                brush.line(x, box.top + lanes.staff_top, x, box.top + lanes.staff_bottom, "ink", 1.1)
            brush.line(x, box.top + lanes.staff_bottom, x, box.top + lanes.take + 10, "edge", 1.0)


def _draw_bar(brush: Brush, content: SystemContent, bar: BarView, place: BarBox) -> None:
    top, lanes = content.box.top, content.box.lanes
    _draw_row(brush, place, bar.standard, top + lanes.standard, standard=True, numerals=content.options.numerals)
    if content.has_take:
        _draw_row(brush, place, bar.take, top + lanes.take, standard=False, numerals=False)
        if bar.changed:
            _draw_seams(brush, place, top + lanes.seam, bar)
    if bar.remark:
        brush.text(place.right - 15, top + lanes.staff_top - 5, REMARK, "playhead", "sans", REMARK_SIZE)
    if bar.locked:
        _draw_lock(brush, place.right - 16, top + lanes.take - 9)
    if bar.meter and content.options.staff:
        draw_meter(brush, place.x + 2, top + lanes.staff_top, *bar.meter, space=METER_CHANGE_SPACE)


def _draw_row(brush: Brush, place: BarBox, slots: tuple[SlotView, ...], baseline: float, *, standard: bool,
              numerals: bool) -> None:  # fmt: skip
    for index, slot in enumerate(slots):
        x = place.x_at(slot.onset)
        until = place.x_at(slots[index + 1].onset) - 6 if index + 1 < len(slots) else place.right - 4
        if not slot.begins:
            brush.line(x, baseline - 7, x + 12, baseline - 7, "pale", 1.0)
            continue
        weight = "regular" if standard or slot.quiet else "strong"
        ink = "ink" if standard else "pale" if slot.quiet else "second"
        full = STANDARD_SIZE if standard else (TAKE_SIZE - 3 if slot.quiet else TAKE_SIZE)
        size = fitting_size(slot.parts, full, until - x - (BRACKETS * full if slot.optional else 0), weight)
        _draw_slot(brush, x, baseline, slot, size, ink, weight)
        if standard or not slot.quiet:
            draw_function(brush, x, baseline + 6.5, slot.function, min(UNDERLINE, until - x))
        if numerals and slot.numeral:
            shown = elided(slot.numeral, until - x, "sans", 11)
            brush.text(x, baseline - NUMERAL_LIFT, shown, "label", "sans", 11)


def _draw_slot(brush: Brush, x: float, baseline: float, slot: SlotView, size: float, ink: str, weight: str) -> float:
    if not slot.optional:
        return draw_chord(brush, x, baseline, slot.parts, size, ink, weight)
    lead = brush.text(x, baseline, "(", ink, "serif", size)
    draw_chord(brush, x + lead, baseline, slot.parts, size, ink, weight)
    wide = lead + chord_width(slot.parts, size, weight)
    return wide + brush.text(x + wide, baseline, ")", ink, "serif", size)


def _draw_seams(brush: Brush, place: BarBox, baseline: float, bar: BarView) -> None:
    """A wave where one row became the other, and in words how; a change that began before has the wave alone.

    Words stand right of their wave, or left of it where only there is room.
    """
    seams = bar.seams or ((bar.start, ""),)
    taken = place.x + 3
    for index, (onset, words) in enumerate(seams):
        x = place.x_at(onset) + 3
        until = place.x_at(seams[index + 1][0]) if index + 1 < len(seams) else place.right - 2
        _draw_wave(brush, x, baseline)
        right, left = until - x - 13, x - 8 - taken
        wide = advance(words, "sans", SEAM_SIZE, italic=True)
        goes_left = wide > right and left > right
        size, shown = _fitted(words, left if goes_left else right)
        start = x - 8 - advance(shown, "sans", size, italic=True) if goes_left else x + 11
        brush.text(start, baseline, shown, "second", "sans", size, italic=True)
        taken = x + 11 + min(wide, right)


def _fitted(words: str, room: float) -> tuple[float, str]:
    """The largest size at which words fit, and the words, cut with dots where even the smallest is too large."""
    for size in (SEAM_SIZE, SEAM_SIZE - 1, SMALLEST_SEAM):
        if advance(words, "sans", size, italic=True) <= room:
            return size, words
    return SMALLEST_SEAM, elided(words, room, "sans", SMALLEST_SEAM, italic=True)


def _draw_wave(brush: Brush, x: float, baseline: float) -> None:
    path = QPainterPath(QPointF(x, baseline - 13))
    path.cubicTo(QPointF(x + 5, baseline - 8), QPointF(x - 5, baseline - 3), QPointF(x, baseline + 4))
    brush.stroke(path, "second", 1.2)


def _draw_lock(brush: Brush, x: float, y: float) -> None:
    shackle = QPainterPath(QPointF(x + 2, y - 1))
    shackle.arcTo(QRectF(x + 2, y - 6, 6, 9), 180, -180)
    brush.stroke(shackle, "label", 1.3)
    brush.patch(QRectF(x, y - 1.5, 10, 7.5), 0, "label")
