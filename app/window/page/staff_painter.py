"""The tune on its staff: lines, clef, signature, metre, notes, rests."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainterPath

from app.window.fonts import advance
from app.window.music_font import ACCIDENTALS, width
from app.window.page.brush import Brush
from app.window.page.geometry import BOTTOM_LINE_STEP, SIGNATURE_STEP, STAFF_SPACE, TOP_LINE_STEP, BarBox
from app.window.page.notation import BarNotation, NoteMark, RestMark, signature_steps

HALF = STAFF_SPACE / 2
STEM = 3.4 * STAFF_SPACE
HEADS = {1: "whole", 2: "half"}
MIDDLE_STEP = 34
REST_STEP = {1: 36, 2: 34}
BEAM_THICK = 3.4
NAME_SIZE = 11.0


def y_of(step: int, staff_top: float) -> float:
    """Height of a staff step."""
    return staff_top + (TOP_LINE_STEP - step) * HALF


def step_at(y: float, staff_top: float) -> int:
    """The staff step nearest to a height."""
    return round(TOP_LINE_STEP - (y - staff_top) / HALF)


def draw_lines(brush: Brush, left: float, right: float, staff_top: float) -> None:
    """The five lines."""
    for line in range(5):
        y = staff_top + line * STAFF_SPACE
        brush.line(left, y, right, y, "hair", 0.8)


def draw_head(brush: Brush, x: float, staff_top: float, signature: int, meter: tuple[int, int] | None) -> None:
    """Clef, key signature and (where given) metre before the first bar."""
    brush.glyph("clef", x, y_of(32, staff_top), "ink")
    x += width("clef") * STAFF_SPACE + 5
    name = ACCIDENTALS[1 if signature > 0 else -1]
    for step in signature_steps(signature):
        brush.glyph(name, x, y_of(step, staff_top), "ink")
        x += SIGNATURE_STEP
    if meter:
        draw_meter(brush, x + 4, staff_top, *meter)


def draw_meter(brush: Brush, x: float, staff_top: float, numerator: int, denominator: int,
               space: float = STAFF_SPACE) -> None:  # fmt: skip
    """A metre, one number over the other."""
    digits = (str(numerator), str(denominator))
    wide = max(_digits_width(text, space) for text in digits)
    for text, line in zip(digits, (1, 3), strict=True):
        at = x + (wide - _digits_width(text, space)) / 2
        for digit in text:
            brush.glyph(f"digit{digit}", at, staff_top + line * STAFF_SPACE, "ink", space)
            at += width(f"digit{digit}") * space + 1


def _digits_width(text: str, space: float) -> float:
    return sum(width(f"digit{digit}") * space + 1 for digit in text)


def draw_notation(brush: Brush, box: BarBox, staff_top: float, notation: BarNotation, chosen: int | None = None,
                  tied_in: int | None = None) -> None:  # fmt: skip
    """Everything of one bar. ``chosen`` is the melody note in hand; ``tied_in`` the step of a tie from before."""
    for rest in notation.rests:
        _draw_rest(brush, box, staff_top, rest)
    stems = _stem_ends(box, staff_top, notation.notes)
    for mark in notation.notes:
        ink = "second" if mark.source == chosen else "ink"
        _draw_note(brush, box, staff_top, mark, stems[mark], ink)
    _draw_beams(brush, notation.notes, stems)
    _draw_ties(brush, box, staff_top, notation.notes, tied_in)
    _draw_tuplets(brush, box, staff_top, notation, stems)


def draw_names(brush: Brush, box: BarBox, baseline: float, notation: BarNotation) -> None:
    """The letter of every note under the staff, for those who do not read it."""
    for mark in notation.notes:
        if mark.name:
            x = box.x_at(box.start + mark.offset) + width(HEADS.get(mark.value, "black")) * STAFF_SPACE / 2
            brush.text(x - advance(mark.name, "sans", NAME_SIZE) / 2, baseline, mark.name, "label", "sans", NAME_SIZE)


StemEnd = tuple[float, float, bool]  # x, y of the tip, whether it points up


def _stem_ends(box: BarBox, staff_top: float, notes: Iterable[NoteMark]) -> dict[NoteMark, StemEnd]:
    notes = tuple(notes)
    ends: dict[NoteMark, StemEnd] = {}
    for mark in notes:
        group = [other for other in notes if other.beam is not None and other.beam == mark.beam] or [mark]
        up = sum(other.step for other in group) / len(group) < MIDDLE_STEP
        head = width(HEADS.get(mark.value, "black")) * STAFF_SPACE
        x = box.x_at(box.start + mark.offset) + (head - 0.6 if up else 0.6)
        tip = y_of(mark.step, staff_top) + (-STEM if up else STEM)
        if len(group) > 1:
            steps = [other.step for other in group]
            tip = y_of(max(steps), staff_top) - STEM if up else y_of(min(steps), staff_top) + STEM
            tip += _slant(group, mark)
        elif up:
            tip = min(tip, y_of(MIDDLE_STEP, staff_top))
        else:
            tip = max(tip, y_of(MIDDLE_STEP, staff_top))
        ends[mark] = (x, tip, up)
    return ends


def _slant(group: list[NoteMark], mark: NoteMark) -> float:
    """A beam leans by at most one space in the direction of its notes."""
    first, last = group[0], group[-1]
    rise = max(-1.0, min(1.0, (first.step - last.step) / 4)) * STAFF_SPACE * 0.8
    spread = float(last.offset - first.offset) or 1.0
    share = float(mark.offset - first.offset) / spread
    return rise * (share - 0.5)


def _draw_note(brush: Brush, box: BarBox, staff_top: float, mark: NoteMark, stem: StemEnd, ink: str) -> None:
    x, y = box.x_at(box.start + mark.offset), y_of(mark.step, staff_top)
    head = HEADS.get(mark.value, "black")
    wide = width(head) * STAFF_SPACE
    _draw_ledgers(brush, x, wide, staff_top, mark.step)
    if mark.accidental is not None:
        name = ACCIDENTALS[mark.accidental]
        brush.glyph(name, x - width(name) * STAFF_SPACE - 2.4, y, ink)
    brush.glyph(head, x, y, ink)
    for dot in range(mark.dots):
        lift = HALF if mark.step % 2 == 0 else 0.0
        brush.glyph("dot", x + wide + 3 + dot * 4, y - lift, ink)
    if mark.value == 1:
        return
    tip_x, tip_y, up = stem
    brush.line(tip_x, y + (-1 if up else 1), tip_x, tip_y, ink, 1.1)
    if mark.value >= 8 and mark.beam is None:
        brush.glyph(f"flag{mark.value}_{'up' if up else 'down'}", tip_x - 0.5, tip_y, ink)


def _draw_ledgers(brush: Brush, x: float, wide: float, staff_top: float, step: int) -> None:
    above = range(TOP_LINE_STEP + 2, step + 1, 2)
    below = range(BOTTOM_LINE_STEP - 2, step - 1, -2)
    for line in (*above, *below):
        y = y_of(line, staff_top)
        brush.line(x - 3, y, x + wide + 3, y, "ink", 0.9)


def _draw_rest(brush: Brush, box: BarBox, staff_top: float, rest: RestMark) -> None:
    x = box.x_at(box.start + rest.offset)
    if rest.value == 1:
        x = (box.x + box.right) / 2 - width("rest1") * STAFF_SPACE / 2
    brush.glyph(f"rest{rest.value}", x, y_of(REST_STEP.get(rest.value, MIDDLE_STEP), staff_top), "label")
    for dot in range(rest.dots):
        brush.glyph("dot", x + 10 + dot * 4, y_of(35, staff_top), "label")


def _draw_beams(brush: Brush, notes: tuple[NoteMark, ...], stems: dict[NoteMark, StemEnd]) -> None:
    for number in dict.fromkeys(mark.beam for mark in notes if mark.beam is not None):
        group = [mark for mark in notes if mark.beam == number]
        for level, value in enumerate((8, 16, 32)):
            for first, last in _beam_runs(group, value):
                _beam(brush, stems[first], stems[last], level, first is last, group)


def _beam_runs(group: list[NoteMark], value: int) -> list[tuple[NoteMark, NoteMark]]:
    runs: list[tuple[NoteMark, NoteMark]] = []
    open_: list[NoteMark] = []
    for mark in [*group, None]:
        if mark is not None and mark.value >= value:
            open_.append(mark)
        elif open_:
            runs.append((open_[0], open_[-1]))
            open_ = []
    return runs


def _beam(brush: Brush, first: StemEnd, last: StemEnd, level: int, stub: bool, group: list[NoteMark]) -> None:
    (x1, y1, up), (x2, y2, _) = first, last
    if stub:
        if len(group) < 2:
            return
        x1, x2 = x1 - 5, x2
    drop = (1 if up else -1) * level * (BEAM_THICK + 2)
    thick = BEAM_THICK if up else -BEAM_THICK
    path = QPainterPath(QPointF(x1 - 0.5, y1 + drop))
    for x, y in ((x2 + 0.5, y2 + drop), (x2 + 0.5, y2 + drop + thick), (x1 - 0.5, y1 + drop + thick)):
        path.lineTo(QPointF(x, y))
    path.closeSubpath()
    brush.fill(path, "ink")


def _draw_ties(brush: Brush, box: BarBox, staff_top: float, notes: tuple[NoteMark, ...], tied_in: int | None) -> None:
    head = width("black") * STAFF_SPACE
    for index, mark in enumerate(notes):
        if mark.tied:
            following = notes[index + 1] if index + 1 < len(notes) else None
            end = box.x_at(box.start + following.offset) if following else box.right + 6
            _tie(brush, box.x_at(box.start + mark.offset) + head + 1, end - 2, y_of(mark.step, staff_top), mark.step)
    if tied_in is not None and notes:
        _tie(brush, box.x + 1, box.x_at(box.start + notes[0].offset) - 2, y_of(tied_in, staff_top), tied_in)


def _tie(brush: Brush, x1: float, x2: float, y: float, step: int) -> None:
    down = step < MIDDLE_STEP
    sign = 1 if down else -1
    y += sign * 5
    path = QPainterPath(QPointF(x1, y))
    middle, depth = (x1 + x2) / 2, min(8.0, 3 + (x2 - x1) / 16)
    path.quadTo(QPointF(middle, y + sign * depth), QPointF(x2, y))
    path.quadTo(QPointF(middle, y + sign * (depth - 2)), QPointF(x1, y))
    brush.fill(path, "ink")


def _draw_tuplets(brush: Brush, box: BarBox, staff_top: float, notation: BarNotation, stems: dict[NoteMark, StemEnd]
                  ) -> None:  # fmt: skip
    for number in dict.fromkeys(mark.tuplet for mark in notation.notes if mark.tuplet is not None):
        group = [mark for mark in notation.notes if mark.tuplet == number]
        first, last = group[0], group[-1]
        x1 = box.x_at(box.start + first.offset)
        x2 = box.x_at(box.start + last.offset) + width("black") * STAFF_SPACE
        y = min(
            [staff_top - 2, *(stems[mark][1] if stems[mark][2] else y_of(mark.step, staff_top) - 6 for mark in group)]
        )
        y -= 6
        middle = (x1 + x2) / 2
        brush.text(middle - 3, y + 4, str(first.ratio), "ink", "serif", 11, italic=True)
        if first.beam is None:
            brush.line(x1, y, middle - 7, y, "label", 0.8)
            brush.line(middle + 7, y, x2, y, "label", 0.8)
            brush.line(x1, y, x1, y + 4, "label", 0.8)
            brush.line(x2, y, x2, y + 4, "label", 0.8)
