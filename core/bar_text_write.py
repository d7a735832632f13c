"""Chart to bar text. The grammar is described in :mod:`core.bar_text`."""

from __future__ import annotations

import json

from core.abc_notes import format_abc_bar
from core.chart import Chart, Melody, NamedRow, Step, Take
from core.class_json import class_out
from core.class_notes import NOTHING
from core.form import Bar, Form, FormError, WrittenBar, played_order
from core.key import Key
from core.row import Row, Slot, span

BARS_A_LINE = 4
AS_PLAYED = "(as played)"


def chart_to_bar_text(chart: Chart) -> str:
    """The whole chart as bar text; ``chart_from_bar_text`` gives the same chart back."""
    first = chart.references[0]
    lines = _header(chart, first)
    lines += _written_block(chart.form, first.row, chart.melody, chart.key)
    lines += _played_blocks(chart.form, first, chart.melody, chart.key)
    for named in chart.references[1:]:
        lines += ["", f"row: {named.name}{_played_mark(chart.form, named.row)}"]
        lines += _row_block(chart.form, named.row)
    for take in chart.takes:
        lines += _take_block(chart, take)
    return "\n".join(lines) + "\n"


def _header(chart: Chart, first: NamedRow) -> list[str]:
    pairs = [("title", chart.title), ("composer", chart.composer), ("key", str(chart.key)), ("meter", str(chart.meter)),
             ("tempo", str(chart.tempo)), ("feel", chart.feel), ("note", chart.note.replace("\n", "\\n")),
             ("row", "" if first.name == "standard" else first.name),
             ("reference", "" if chart.reference == first.name else chart.reference), ("order", _order(chart.form)),
             ("class", _for_class(chart))]  # fmt: skip
    return [f"{name}: {value}" for name, value in pairs if value] + [""]


def _for_class(chart: Chart) -> str:
    """What a teacher keeps with the chart, as one line of JSON."""
    return "" if chart.for_class == NOTHING else json.dumps(class_out(chart.for_class), ensure_ascii=False)


def _order(form: Form) -> str:
    """The written bars as they are played, counted from 1, where that is not what repeats and jumps say; else ""."""
    try:
        said = played_order(form.written)
    except FormError:
        said = ()
    return "" if said == form.order else " ".join(str(index + 1) for index in form.order)


def _written_block(form: Form, row: Row, melody: Melody, key: Key) -> list[str]:
    """The written bars with their signs, the chords and the melody of the first pass of each."""
    first_pass = {written: bar for bar in reversed(form.bars) for written in [bar.written]}
    cells, tunes, starts = [], [], []
    previous: WrittenBar | None = None
    for index, written in enumerate(form.written):
        bar = first_pass.get(index)
        text = bar_to_text(row, bar) if bar else "N.C."
        cells.append(_signs(form, index, previous) + text)
        tunes.append(format_abc_bar(melody, bar, form.key_at(bar.index, key)) if bar else "")
        starts.append(written.section)
        previous = written
    return _lines(cells, tunes, starts, [bar.repeat_start for bar in form.written], [_close(b) for b in form.written])


def _signs(form: Form, index: int, previous: WrittenBar | None) -> str:
    written = form.written[index]
    meter_before = previous.meter if previous else form.written[min(int(form.pickup), len(form.written) - 1)].meter
    signs = [",".join(map(str, written.endings)) + "."] if written.endings else []
    if form.pickup and index == 0:
        signs.append("{pickup}")
    if written.meter != meter_before:
        signs.append(f"{{{written.meter}}}")
    if written.length != written.meter.length:
        signs.append(f"{{length {written.length}}}")
    if written.key is not None:
        signs.append(f"{{key {written.key}}}")
    if written.number != str(index if form.pickup else index + 1):
        signs.append(f"{{bar {written.number}}}")
    signs += [f"{{{mark}}}" for mark in written.marks] + ([f"{{{written.jump}}}"] if written.jump else [])
    return "".join(sign + " " for sign in signs)


def _close(bar: WrittenBar) -> str:
    return "" if not bar.repeat_end else ":|" if bar.repeat_end == 2 else f":|x{bar.repeat_end}"


def _lines(
    cells: list[str], tunes: list[str], sections: list[str | None], opens: list[bool], closes: list[str]
) -> list[str]:
    lines: list[str] = []
    start = 0
    while start < len(cells):
        if sections[start] is not None:
            lines.append(f"[{sections[start]}]")
        stop = next((i for i in range(start + 1, len(cells)) if sections[i] is not None or i - start == BARS_A_LINE),
                    len(cells))  # fmt: skip
        line = ""
        for index in range(start, stop):
            line += ("|: " if opens[index] else "" if line.endswith("| ") else "| ") + cells[index] + " "
            line += closes[index] + " " if closes[index] else ""
        lines.append(line.rstrip() if closes[stop - 1] else line + "|")
        if any(tunes[start:stop]):
            lines.append("m: " + " | ".join(tunes[start:stop]) + " |")
        start = stop
    return lines


def _played_blocks(form: Form, named: NamedRow, melody: Melody, key: Key) -> list[str]:
    """What the written block cannot say: a row or melody whose passes of one written bar differ."""
    lines: list[str] = []
    if not folds(form, named.row):
        lines += ["", f"row: {named.name} {AS_PLAYED}", *_row_block(form, named.row)]
    return lines if _melody_folds(form, melody, key) else [*lines, "", *_played_melody(form, melody, key)]


def folds(form: Form, row: Row) -> bool:
    """Whether every pass of each written bar has the same chords, so that the row can be written once."""
    texts: dict[int, str] = {}
    return len(form.order) == len(set(form.order)) == len(form.written) or (
        len(set(form.order)) == len(form.written)
        and all(texts.setdefault(bar.written, bar_to_text(row, bar)) == bar_to_text(row, bar) for bar in form.bars)
    )


def _melody_folds(form: Form, melody: Melody, key: Key) -> bool:
    texts: dict[int, str] = {}
    for bar in form.bars:
        text = format_abc_bar(melody, bar, form.key_at(bar.index, key))
        if texts.setdefault(bar.written, text) != text:
            return False
        # A tie out of the bar must be taken up by the bar that follows on paper, or the passes are not alike.
        if text.endswith("-") and bar.index + 1 < len(form.bars) and form.order[bar.index + 1] != bar.written + 1:
            return False
    return True


def _played_mark(form: Form, row: Row) -> str:
    return "" if folds(form, row) else f" {AS_PLAYED}"


def _row_block(form: Form, row: Row) -> list[str]:
    if folds(form, row):
        firsts = {bar.written: bar for bar in reversed(form.bars)}
        bars = [firsts[index] for index in range(len(form.written))]
    else:
        bars = list(form.bars)
    cells = [bar_to_text(row, bar) for bar in bars]
    plain = [""] * len(cells)
    return _lines(cells, plain, [None] * len(cells), [False] * len(cells), plain)


def _take_block(chart: Chart, take: Take) -> list[str]:
    form, key = chart.form_of(take), chart.key_of(take)
    lines = ["", f"take: {take.name}{_played_mark(form, take.row) if take.form is None else ''}"]
    lines += [f"seed: {take.seed}"] if take.seed != 1 else []
    lines += [f"note: {take.note}".replace("\n", "\\n")] if take.note else []
    lines += [f"lock: {' '.join(str(form.bars[index].number) for index in sorted(take.locked))}"] if take.locked else []
    lines += [f"key: {take.key}"] if take.key is not None else []
    if take.alignment is not None:
        numbers = ["-" if index is None else str(chart.form.bars[index].number) for index in take.alignment]
        lines.append("align: " + " ".join(numbers))
    lines += [_step_line(step) for step in take.steps]
    if take.form is None:
        lines += _row_block(form, take.row)
    else:
        meter = form.written[min(int(form.pickup), len(form.written) - 1)].meter
        order = _order(form)
        lines += ["form: own", f"meter: {meter}", *([f"order: {order}"] if order else [])]
        lines += [*_written_block(form, take.row, (), key)]
        lines += [] if folds(form, take.row) else ["", f"row: {take.name} {AS_PLAYED}", *_row_block(form, take.row)]
    return lines if take.melody is None else lines + _played_melody(form, take.melody, key)


def _played_melody(form: Form, melody: Melody, key: Key) -> list[str]:
    tunes = [format_abc_bar(melody, bar, form.key_at(bar.index, key)) for bar in form.bars]
    lines = ["m: " + " | ".join(tunes[i : i + BARS_A_LINE]) + " |" for i in range(0, len(tunes), BARS_A_LINE)]
    return [f"melody: {AS_PLAYED}", *lines]


def _step_line(step: Step) -> str:
    def chords(row: Row) -> str:
        return " ".join(f"{_slot_text(slot)}*{slot.duration}" for slot in row)

    words = [step.technique, str(step.start), str(step.end), chords(step.before), chords(step.after)]
    return "step: " + " ; ".join(words) + (f" ; {step.note}".replace("\n", "\\n") if step.note else "")


def bar_to_text(row: Row, bar: Bar) -> str:
    """The chords of one bar as bar text: ``'Dm7 G7'``, ``'Dm7 / / G7'``, ``'~ / G7 /'``."""
    part = span(row, bar.start, bar.end)
    texts = [_slot_text(slot) for slot in part]
    if part and any(slot.onset < part[0].onset < slot.end for slot in row):
        texts[0] = "~"
    durations = [slot.duration for slot in part]
    if len(set(durations)) == 1:
        return " ".join(texts)
    beat = bar.meter.beat if all(d % bar.meter.beat == 0 for d in durations) else bar.meter.pulse
    if all(duration % beat == 0 for duration in durations) and bar.length % beat == 0:
        held = [[text] + ["/"] * int(d / beat - 1) for text, d in zip(texts, durations, strict=True)]
        return " ".join(word for group in held for word in group)
    return " ".join(f"{text}*{d}" for text, d in zip(texts, durations, strict=True))


def _slot_text(slot: Slot) -> str:
    text = slot.text.replace("|", "\\").replace(" ", "")
    return f"({text})" if slot.optional else text
