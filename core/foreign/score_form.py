"""The written form of a score: bars and lengths, repeats, endings, road map, and the order of play."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from core.foreign.events import Measure
from core.foreign.report import Report
from core.foreign.signs import Signs
from core.form import MARKS, Form, FormError, WrittenBar, played_order
from core.key import Key

MAX_ENDING = 30


def read_form(parts: list[list[Measure]], chosen: int, home: Key, report: Report) -> Form:
    """The form of a score. The chosen part gives numbers, metre and key; lengths and signs come from all parts."""
    columns = [[part[index] for part in parts if index < len(part)] for index in range(max(map(len, parts)))]
    firsts = [parts[chosen][index] if index < len(parts[chosen]) else column[0] for index, column in enumerate(columns)]
    signs = [_merged_signs(column) for column in columns]
    bars = [_bar(index, columns[index], firsts[index], signs[index], report) for index in range(len(columns))]
    _keys(bars, firsts, home)
    _repeats(bars, columns)
    _endings(bars, columns, report)
    _drop_doubtful(bars, columns, signs, report)
    _road_map(bars, signs, report)
    pickup = _is_pickup(firsts[0], bars)
    _report_lengths(bars, pickup, report)
    written, order = _played(tuple(bars), report)
    return Form(written, order, pickup)


def _merged_signs(column: list[Measure]) -> Signs:
    """Signs of a bar over all parts; most scores write them once, some in every part."""
    merged = Signs()
    for measure in column:
        signs = measure.signs
        merged.section = merged.section or signs.section
        if signs.jump:
            merged.doubt = signs.doubt if merged.jump is None else merged.doubt and signs.doubt
        merged.jump = merged.jump or signs.jump
        merged.marks = (merged.marks or set()) | (signs.marks or set())
        merged.coda_glyphs = max(merged.coda_glyphs, signs.coda_glyphs)
        merged.early = merged.early or signs.early
        merged.repeats_again = merged.repeats_again or signs.repeats_again
    return merged


def _bar(index: int, column: list[Measure], first: Measure, signs: Signs, report: Report) -> WrittenBar:
    filled = max(measure.length for measure in column)
    length = filled or first.meter.length
    if signs.early and index:
        report.add("a To Coda at the start of the bar is taken at its end", index)
    return WrittenBar(first.number, first.meter, length, signs.section)


def _keys(bars: list[WrittenBar], firsts: list[Measure], home: Key) -> None:
    current = home
    for index, measure in enumerate(firsts):
        key = measure.key
        if key is not None and not measure.mode_given and key.signature == current.signature:
            key = current
        if key is not None and key != current and index:
            bars[index] = replace(bars[index], key=key)
            current = key


def _repeats(bars: list[WrittenBar], columns: list[list[Measure]]) -> None:
    for index, column in enumerate(columns):
        start = any(measure.forward for measure in column)
        start = start or (index > 0 and any(measure.forward_after for measure in columns[index - 1]))
        end = max(measure.backward for measure in column)
        if index + 1 < len(columns):
            end = max(end, *(measure.backward_before for measure in columns[index + 1]))
        bars[index] = replace(bars[index], repeat_start=start, repeat_end=end)


# --- numbered endings -----------------------------------------------------------------------------------------------


def _endings(bars: list[WrittenBar], columns: list[list[Measure]], report: Report) -> None:
    """Give every bar under an ending bracket its passes.

    A bracket without an end stops at its repeat; an end without a start is a bracket over that one bar.
    """
    current: tuple[int, ...] = ()
    last = 0
    for index, column in enumerate(columns):
        start = next((measure.ending_start for measure in column if measure.ending_start is not None), None)
        stops = any(measure.ending_stop for measure in column)
        if start is not None or (stops and not current):
            current = _passes(start or "")
            if not current:
                current = (last + 1,)
                report.add(f"an ending without a number or a beginning is read as ending {last + 1}", index)
        if current:
            bars[index] = replace(bars[index], endings=current)
        if stops or (current and bars[index].repeat_end):
            last, current = max(current, default=0), ()
        elif not current:
            last = 0


def _passes(number: str) -> tuple[int, ...]:
    """``"1, 2"`` and ``"1-3"`` and ``"1. 2."`` as passes."""
    found: set[int] = set()
    for first, last in re.findall(r"(\d{1,3})(?:\s*[-–]\s*(\d{1,3}))?", number):
        found.update(range(int(first), min(MAX_ENDING, int(last or first)) + 1))
    return tuple(sorted(found))


# --- road map -------------------------------------------------------------------------------------------------------


def _drop_doubtful(bars: list[WrittenBar], columns: list[list[Measure]], signs: list[Signs], report: Report) -> None:
    """Words that only look like a jump: in the first bar they are a heading; a bare "D.C." inside the music, with no
    mark to go to, is a syllable or a slip of the scanner. Common practice, no source.
    """
    has_marks = any(sign.coda_glyphs or set(sign.marks or ()) & {"fine", "to coda", "coda"} for sign in signs)
    for index, sign in enumerate(signs):
        closes = _closes(bars, columns, index)
        heading = sign.doubt in ("words", "letters") and index == 0 and len(bars) > 1
        if not heading and sign.doubt and not closes and _closes_next(bars, columns, signs, index):
            report.add("the jump's words are read at the double bar or repeat sign that ends the next bar", index)
            signs[index + 1].jump, sign.jump, sign.doubt = sign.jump, None, ""
        elif heading or (sign.doubt == "letters" and not closes and not has_marks):
            report.add("words that look like a jump are not read as one", index)
            sign.jump, sign.doubt = None, ""


def _closes(bars: list[WrittenBar], columns: list[list[Measure]], index: int) -> bool:
    return index + 1 == len(bars) or bool(bars[index].repeat_end) or any(bar.closes for bar in columns[index])


def _closes_next(bars: list[WrittenBar], columns: list[list[Measure]], signs: list[Signs], index: int) -> bool:
    """Whether the next bar ends what these words end: they are wide, and begin before the bar that they belong to."""
    after = signs[index + 1]
    marked = after.jump or after.marks or after.coda_glyphs or after.section
    ended = bool(bars[index + 1].repeat_end) or any(bar.closes for bar in columns[index + 1])
    return ended and not marked and not bars[index + 1].endings


def _road_map(bars: list[WrittenBar], signs: list[Signs], report: Report) -> None:
    jumps = [index for index, sign in enumerate(signs) if sign.jump]
    for index in jumps[1:]:
        report.add("a second jump is not kept", index)
    marks: list[set[str]] = [set(sign.marks or ()) for sign in signs]
    _settle_codas(marks, [index for index, sign in enumerate(signs) if sign.coda_glyphs], jumps)
    for index, names in enumerate(marks):
        bars[index] = replace(bars[index], marks=tuple(mark for mark in MARKS if mark in names))
    if jumps:
        jump = signs[jumps[0]].jump
        assert jump is not None
        bars[jumps[0]] = replace(bars[jumps[0]], jump=_jump_name(jump, marks, jumps[0], report))


def _settle_codas(marks: list[set[str]], glyphs: list[int], jumps: list[int]) -> None:
    """A bare coda sign is a "to coda" before the jump and the coda itself after it, or first and last of several."""
    known = {"to coda": any("to coda" in names for names in marks), "coda": any("coda" in names for names in marks)}
    for place, index in enumerate(glyphs):
        before = index <= jumps[0] if jumps else place + 1 < len(glyphs)
        name = "to coda" if before and not known["to coda"] else "coda"
        if name == "to coda" or not known["coda"]:
            marks[index].add(name)


def _jump_name(jump: tuple[str, str | None], marks: list[set[str]], at: int, report: Report) -> str:
    base, al = jump
    if al is None:
        guess = next((name for name, mark in (("fine", "fine"), ("coda", "to coda"))
                      if any(mark in names for names in marks)), None)  # fmt: skip
        if guess is None:
            return base
        report.add(f"the bare {base} is read as {base} al {guess}, since the tune has that mark", at)
        al = guess
    return f"{base} al {al}"


# --- pickup, lengths, order -----------------------------------------------------------------------------------------


def _is_pickup(first: Measure, bars: list[WrittenBar]) -> bool:
    if len(bars) < 2:
        return False
    if first.implicit is not None:
        return first.implicit
    return bars[0].length < bars[0].meter.length or first.number == "0"


def _report_lengths(bars: list[WrittenBar], pickup: bool, report: Report) -> None:
    for index in odd_bars(bars, pickup):
        bar = bars[index]
        size = "longer" if bar.length > bar.meter.length else "shorter"
        report.add(f"{size} than its metre {bar.meter} ({_quarters(bar.length)}), kept so", index)


def odd_bars(bars: Sequence[WrittenBar], pickup: bool) -> list[int]:
    """Bars that differ from their metre: not the pickup, nor the two halves of a bar that a repeat sign cuts."""
    opening = {bars[0].length} if bars and pickup else set()
    halves = opening | {bar.length for bar in bars if bar.repeat_start and bar.length < bar.meter.length}
    odd = []
    for index, bar in enumerate(bars):
        missing = bar.meter.length - bar.length
        near = {bars[at].length for at in (index - 1, index + 1) if 0 <= at < len(bars)}
        whole = missing > 0 and (missing in near or missing in halves)
        if missing and not whole and not (pickup and index == 0):
            odd.append(index)
    return odd


def _quarters(length: Fraction) -> str:
    count = f"{float(length):g}" if length.denominator in (1, 2, 4, 8) else str(length)
    return f"{count} quarter note{'' if length == 1 else 's'}"


def _played(written: tuple[WrittenBar, ...], report: Report) -> tuple[tuple[WrittenBar, ...], tuple[int, ...]]:
    """The played order; a road map that cannot be played loses its jump, then its repeats, and the report says so."""
    try:
        order = played_order(written)
        if order:
            return written, order
        raise FormError("No bar is played the first time, since there is no first ending.")
    except FormError as error:
        report.add(f"the jump is not taken: {str(error)[0].lower()}{str(error)[1:].rstrip('.')}")
    without = tuple(replace(bar, jump=None) for bar in written)
    try:
        order = played_order(without)
        if order:
            return without, order
        raise FormError("No bar is played the first time, since there is no first ending.")
    except FormError as error:
        report.add(f"the repeats are not taken: {str(error)[0].lower()}{str(error)[1:].rstrip('.')}")
    plain = tuple(replace(bar, repeat_start=False, repeat_end=0, endings=()) for bar in without)
    return plain, played_order(plain, limit=len(plain) + 1)
