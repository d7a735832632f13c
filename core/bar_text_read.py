"""Bar text to chart. The grammar is described in :mod:`core.bar_text`."""

from __future__ import annotations

import difflib
import json
import re
from dataclasses import replace
from fractions import Fraction

from core.abc_notes import MelodyTextError, join_tied, parse_abc_bar
from core.bar_slots import BarError, parse_bar, parse_slot
from core.bar_text_blocks import HEADER_WORDS, MAX_BARS, BarTextError, Block, Cell, blocks_of
from core.chart import (
    DEFAULT_TEMPO,
    STANDARD,
    TEMPO_RANGE,
    Chart,
    ChartError,
    Melody,
    NamedRow,
    Step,
    Take,
    check_chart,
)
from core.class_json import class_in
from core.class_notes import NOTHING, ClassNotes
from core.errors import ChangewrightError
from core.form import JUMPS, MARKS, Bar, Form, FormError, WrittenBar, played_order
from core.json_reader import Reader
from core.key import Key, KeyTextError, parse_key
from core.meter import Meter, MeterError, parse_meter
from core.row import Row, Slot, check_row, exact

_ENDING = re.compile(r"([0-9]{1,3}(?:,[0-9]{1,3})*)\.$")
_DIRECTIVE = re.compile(r"\{([^{}]*)\}")


def chart_from_bar_text(text: str, names: str = "english") -> Chart:
    """Read bar text; raises :class:`BarTextError` with line, column, what is wrong and what would be right."""
    blocks = blocks_of(text.lstrip("\ufeff"))
    main = blocks[0]
    if not main.cells:
        raise BarTextError(
            main.line, 1, "There are no bars; write chords between | signs, like | Dm7 | G7 | Cmaj7 | % |."
        )
    key = _key(main, Key(0))
    form = _form(main, key)
    row = _row(main, form, names)
    melody = _melody(main, form, key)
    references: list[NamedRow] = [NamedRow(main.word("row") or STANDARD, row)]
    takes: list[Take] = []
    for block in blocks[1:]:
        if block.kind == "melody":
            melody = _played_tune(block, form, key)
        elif block.kind == "row" and block.name == references[0].name:
            references[0] = NamedRow(block.name, _row(block, form, names))
        elif block.kind == "row":
            references.append(NamedRow(block.name, _row(block, form, names)))
        elif block.kind == "played_take":
            takes[-1] = replace(takes[-1], row=_row(block, takes[-1].form or form, names))
        elif block.kind == "take_melody":
            own = takes[-1].form or form
            takes[-1] = replace(takes[-1], melody=_played_tune(block, own, takes[-1].key or key))
        else:
            takes.append(_take(block, form, key, names))
    chart = Chart(main.word("title") or "Untitled", key, form, tuple(references), tuple(takes), melody,
                  main.word("composer") or "", _tempo(main), main.word("feel") or "medium swing",
                  main.word("reference") or references[0].name, _lines_of(main.word("note")),
                  _for_class(main))  # fmt: skip
    try:
        return check_chart(chart)
    except ChartError as error:
        raise BarTextError(main.line, 1, str(error)) from error


def _for_class(main: Block) -> ClassNotes:
    """What a teacher keeps with the chart: one line of JSON."""
    text = main.word("class")
    if not text:
        return NOTHING
    try:
        return class_in(Reader(json.loads(text), "class"))
    except (ValueError, RecursionError, ChangewrightError) as error:
        line = next((number for word, _, number in main.words if word == "class"), main.line)
        raise BarTextError(line, 1, f"Cannot read what is kept for the class: {str(error).rstrip('.')}.") from error


def _key(block: Block, default: Key) -> Key:
    for word, value, line in block.words:
        if word == "key":
            try:
                return parse_key(value)
            except KeyTextError as error:
                raise BarTextError(line, 1, str(error)) from error
    return default


def _tempo(block: Block) -> int:
    for word, value, line in block.words:
        if word == "tempo":
            if re.fullmatch("[0-9]{1,3}", value) is None or not TEMPO_RANGE[0] <= int(value) <= TEMPO_RANGE[1]:
                low, high = TEMPO_RANGE
                raise BarTextError(
                    line, 1, f"Cannot use the tempo {value!r}; write a whole number from {low} to {high}."
                )
            return int(value)
    return DEFAULT_TEMPO


def _form(block: Block, key: Key) -> Form:
    meter = Meter()
    for word, value, line in block.words:
        if word == "meter":
            try:
                meter = parse_meter(value)
            except MeterError as error:
                raise BarTextError(line, 1, str(error)) from error
    written: list[WrittenBar] = []
    pickup = False
    for index, cell in enumerate(block.cells):
        bar, meter, is_pickup = _written_bar(cell, index, meter, pickup)
        pickup = pickup or is_pickup
        written.append(bar)
    asked = _order(block, len(written))
    try:
        order = asked or played_order(tuple(written))
    except FormError as error:
        raise BarTextError(block.cells[0].line, 1, str(error)) from error
    if not order:
        raise BarTextError(block.cells[0].line, 1, "No bar is ever played, since there is no first ending; write 1.")
    return Form(tuple(written), order, pickup)


def _order(block: Block, count: int) -> tuple[int, ...]:
    """The order of play where it is not what the signs say; empty where none is given."""
    for word, value, line in block.words:
        if word == "order":
            numbers = value.split()
            known = all(re.fullmatch("[0-9]{1,4}", number) and 1 <= int(number) <= count for number in numbers)
            if not known or not 0 < len(numbers) <= MAX_BARS:
                raise BarTextError(line, 1, f"order: takes the bars as they are played, each from 1 to {count}.")
            return tuple(int(number) - 1 for number in numbers)
    return ()


_LED_BY_LETTER = re.compile(r"[A-H]['’]?\d?\s*\|.*\|$")


def is_ours(text: str, form: Form) -> bool:
    """Whether text that can be read as bar text was meant so: elsewhere a letter before the first bar line is the name
    of a section, and an ending is written once and lasts to its repeat sign."""
    lines = [line.strip() for line in text.splitlines() if "|" in line]
    if all(_LED_BY_LETTER.match(line) for line in lines):
        return False
    for at, bar in enumerate(form.written[:-1]):
        following = form.written[at + 1]
        if bar.endings and not bar.repeat_end and following.repeat_end and not following.endings:
            return False
    return True


def _written_bar(cell: Cell, index: int, meter: Meter, pickup: bool) -> tuple[WrittenBar, Meter, bool]:
    bar = WrittenBar(
        str(index if pickup else index + 1), meter, meter.length, cell.section, None, cell.repeat_start, cell.repeat_end
    )
    is_pickup = False
    for match in _DIRECTIVE.finditer(cell.text):
        directive = match[1].strip()
        word, _, rest = directive.partition(" ")
        try:
            if directive == "pickup":
                if index:
                    raise BarTextError(cell.line, cell.column + match.start(), "{pickup} stands in the first bar only.")
                is_pickup, bar = True, replace(bar, number="0")
            elif directive in MARKS:
                bar = replace(bar, marks=(*bar.marks, directive))
            elif directive in JUMPS:
                bar = replace(bar, jump=directive)
            elif word == "key":
                bar = replace(bar, key=parse_key(rest))
            elif word == "bar" and rest:
                bar = replace(bar, number=rest)
            elif word == "length":
                bar = replace(bar, length=exact(rest))
            else:
                meter = parse_meter(directive)
                bar = replace(bar, meter=meter, length=meter.length)
        except (KeyTextError, MeterError, ValueError, ZeroDivisionError):
            raise _bad_directive(cell, match) from None
        if bar.length <= 0:
            raise _bad_directive(cell, match)
    ending = _ENDING.match(cell.text.split()[0]) if cell.text.split() else None
    return (replace(bar, endings=tuple(map(int, ending[1].split(",")))) if ending else bar), meter, is_pickup


def _bad_directive(cell: Cell, match: re.Match[str]) -> BarTextError:
    known = (*MARKS, *JUMPS, "pickup", "key Bb major", "length 2", "bar 12", "3/4")
    close = difflib.get_close_matches(match[1], known, n=1)
    advice = (
        f"did you mean {{{close[0]}}}?" if close else "known are " + ", ".join(f"{{{word}}}" for word in known) + "."
    )
    return BarTextError(cell.line, cell.column + match.start(), f"Cannot read {match[0]!r}; {advice}")


def _chord_text(cell: Cell) -> str:
    """The chords of a cell; signs are blanked so that columns stay right."""
    blanked = _DIRECTIVE.sub(lambda match: " " * len(match[0]), cell.text)
    return re.sub(r"^\s*[0-9]{1,3}(?:,[0-9]{1,3})*\.(?=\s|$)", lambda match: " " * len(match[0]), blanked)


def _row(block: Block, form: Form, names: str) -> Row:
    """The row of a block on played time: its cells are the written bars, or the played ones if it says so."""
    needed = len(form.bars) if block.as_played else len(form.written)
    if len(block.cells) != needed:
        line = block.cells[-1].line if block.cells else block.line
        raise BarTextError(line, 1, f"The row {block.name!r} has {len(block.cells)} bars and the form has {needed}.")
    slots: list[Slot] = []
    previous: Row = ()
    for bar in form.bars:
        cell = block.cells[bar.index if block.as_played else bar.written]
        try:
            part = parse_bar(_chord_text(cell), bar.start, bar.length, bar.meter, previous, names)
        except BarError as error:
            raise BarTextError(cell.line, cell.column + error.position, error.problem) from error
        previous = part
        if part[0].typed == "~" and slots:
            slots[-1] = replace(slots[-1], duration=slots[-1].duration + part[0].duration)
            previous = (replace(part[0], typed=slots[-1].typed), *part[1:])
            part = part[1:]
        slots.extend(part)
    check_row(tuple(slots), form.length)
    return tuple(slots)


def _melody(block: Block, form: Form, key: Key) -> Melody:
    bars = []
    for bar in form.bars:
        cell = block.cells[bar.written]
        bars.append(_tune_bar(cell.melody, bar, form.key_at(bar.index, key)))
    return join_tied(bars)


def _played_tune(block: Block, form: Form, key: Key) -> Melody:
    if len(block.tune) > len(form.bars):
        raise BarTextError(block.line, 1, f"The melody has {len(block.tune)} bars and the form {len(form.bars)}.")
    padded = [*block.tune, *[None] * (len(form.bars) - len(block.tune))]
    return join_tied([_tune_bar(part, bar, form.key_at(bar.index, key))
                      for part, bar in zip(padded, form.bars, strict=True)])  # fmt: skip


def _tune_bar(part: tuple[int, int, str] | None, bar: Bar, key: Key) -> tuple[Melody, bool]:
    if part is None:
        return (), False
    line, column, text = part
    try:
        return parse_abc_bar(text, bar, key)
    except MelodyTextError as error:
        raise BarTextError(line, column + error.position, str(error)) from error


def _take(block: Block, form: Form, key: Key, names: str) -> Take:
    own_form = block.word("form") == "own"
    own_key = _key(block, key) if block.word("key") else None
    take_form = _form(block, own_key or key) if own_form else form
    row = _row(block, take_form, names)
    steps = tuple(_step(value, line) for word, value, line in block.words if word == "step")
    locked = frozenset(take_form.bar_numbered(n).index for n in _numbers(block, "lock"))
    tunes = own_form and any(cell.melody for cell in block.cells)
    melody = _melody(block, take_form, own_key or key) if tunes else None
    seed = (_numbers(block, "seed") or [1])[0]
    return Take(block.name, row, steps, locked, take_form if own_form else None, own_key, melody,
                _alignment(block, form), seed, _lines_of(block.word("note")))  # fmt: skip


def _lines_of(value: str | None) -> str:
    """A note with its line ends back."""
    return (value or "").replace("\\n", "\n")


def _numbers(block: Block, name: str) -> list[int]:
    for word, value, line in block.words:
        if word == name:
            try:
                return [int(part) for part in value.split()]
            except ValueError:
                raise BarTextError(line, 1, f"{name}: takes whole numbers, not {value!r}.") from None
    return []


def _alignment(block: Block, form: Form) -> tuple[int | None, ...] | None:
    for word, value, line in block.words:
        if word == "align":
            try:
                return tuple(None if part == "-" else form.bar_numbered(int(part)).index for part in value.split())
            except (ValueError, FormError) as error:
                raise BarTextError(line, 1, f"align: takes bar numbers and '-': {error}") from error
    return None


def _step(value: str, line: int) -> Step:
    parts = [part.strip() for part in value.split(" ; ", 5)]
    try:
        technique, start, end = parts[0], exact(parts[1]), exact(parts[2])
        before, after = _timed(parts[3], start), _timed(parts[4], start)
    except (ValueError, IndexError, ZeroDivisionError, ChangewrightError) as error:
        raise BarTextError(line, 1, "Cannot read this step; it is written 'technique ; start ; end ; chords ; chords'"
                                    f" with chords like Bb7*4 ({error}).") from error  # fmt: skip
    return Step(technique, start, end, before, after, _lines_of(parts[5] if len(parts) > 5 else ""))


def _timed(text: str, start: Fraction) -> Row:
    slots, at = [], start
    for word in text.split():
        symbol, _, duration = word.rpartition("*")
        slots.append(parse_slot(symbol, 0, at, exact(duration), (), "english"))
        at += exact(duration)
    return tuple(slots)


__all__ = ["HEADER_WORDS", "BarTextError", "chart_from_bar_text", "is_ours"]
