"""Random charts out and in again: ``python -m tests.tools.round_trips [COUNT] [FIRST]`` tries seeds from FIRST on.

Each chart goes through JSON, bar text, MusicXML (both rows) and ABC; what a format cannot hold, as its writer says, is
left out of the comparison and nothing else. Prints every seed that fails. A small sample is in the test suite.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from random import Random

from core.bar_text import chart_from_bar_text, chart_to_bar_text
from core.chart import Chart, Melody, NamedRow, Step, Take, check_chart
from core.chart_json import chart_from_json, chart_to_json
from core.foreign import write_abc, write_musicxml
from core.foreign.abc_read import abc_reading
from core.foreign.musicxml_read import read_musicxml
from core.form import Form
from core.key import Key
from core.pitch import alteration_of
from core.row import Row, span
from tests.core.foreign.charts import is_foldable, random_chart, random_row

COUNT = 10_000


def full_chart(random: Random) -> Chart:
    """A chart with all that our own formats hold: another row, steps, locks, seeds, notes, a take of its own form."""
    chart, other = (random_chart(random, random.random() < 0.5) for _ in range(2))
    bar = random.choice(chart.form.bars)
    before = span(chart.standard, bar.start, bar.end)
    step = Step("tritone_substitution", bar.start, bar.end, before, before, random.choice(["", "My own\nwords"]))
    take = replace(chart.takes[0], steps=(step,), locked=frozenset({bar.index}), seed=random.randint(1, 99),
                   note=random.choice(["", "Two\nlines"]))  # fmt: skip
    own = Take("With bars of its own", other.standard, form=other.form, key=random.choice([None, other.key]),
               melody=random.choice([None, other.melody]),
               alignment=tuple(random.choice([None, random.randrange(len(chart.form.bars))]) for _ in other.form.bars))  # fmt: skip
    record = NamedRow("the record", random_row(random, chart.form))
    return check_chart(replace(chart, references=(*chart.references, record), takes=(take, own),
                               reference=random.choice(["standard", "the record"])))  # fmt: skip


def through_json(chart: Chart) -> bool:
    """Lossless, and the same text again."""
    text = chart_to_json(chart)
    return chart_from_json(text) == chart and chart_to_json(chart_from_json(text)) == text


def through_bar_text(chart: Chart) -> bool:
    """Lossless, but that what was typed is kept only where it differs from the canonical symbol."""
    plain = _canonical_chart(chart)
    return chart_from_bar_text(chart_to_bar_text(chart)) == plain


def through_musicxml(chart: Chart) -> bool:
    """Both rows: rows, melody, words and bars always; the written form where every pass of each bar agrees."""
    plain = _without_what_is_not_written(chart)
    back, report = read_musicxml([write_musicxml(plain, "both").encode()], "untitled")
    if not _same_music(back, plain) or any("than its metre" not in line for line in report):
        return False
    if back.references != plain.references or back.takes != plain.takes or back.melody != plain.melody:
        return False
    pickup = plain.form.pickup and len(plain.form.written) > 1
    return not _is_written_once(back, plain) or back == replace(plain, form=replace(plain.form, pickup=pickup))


def through_abc(chart: Chart) -> bool:
    """One row; typed only where it differs from the canonical symbol, bars numbered anew, a tonic with one accidental."""
    plain = _with_nameable_keys(_without_what_is_not_written(chart))
    imported = abc_reading(write_abc(plain).encode(), "untitled", {})
    back = imported.chart
    if not _same_music(back, plain) or any("than its metre" not in line for line in imported.report):
        return False
    if canonical(back.standard) != canonical(plain.standard) or not same_notes(back.melody, plain.melody):
        return False
    written = tuple(replace(bar, number="") for bar in plain.form.written)
    bars = tuple(replace(bar, number="") for bar in back.form.written)
    return not _is_written_once(back, plain) or (bars, back.form.order) == (written, plain.form.order)


def _without_what_is_not_written(chart: Chart) -> Chart:
    """What two rows of one form hold."""
    return replace(
        chart, references=chart.references[:1], reference="standard", takes=(Take("Evening", chart.takes[0].row),)
    )


def _with_nameable_keys(chart: Chart) -> Chart:
    def key(one: Key) -> Key:
        alteration = alteration_of(one.tonic)
        return one if abs(alteration) < 2 else one.transposed(-12 if alteration > 0 else 12)

    written = tuple(replace(bar, key=bar.key and key(bar.key)) for bar in chart.form.written)
    return replace(chart, key=key(chart.key), form=replace(chart.form, written=written))


def _is_written_once(back: Chart, chart: Chart) -> bool:
    return is_foldable(chart) and len(back.form.written) == len(chart.form.written) < len(chart.form.bars)


def _same_music(back: Chart, chart: Chart) -> bool:
    words = all(
        getattr(back, name) == getattr(chart, name) for name in ("title", "composer", "key", "tempo", "feel", "note")
    )
    return words and _bars(back.form) == _bars(chart.form) and _keys(back) == _keys(chart)


def _bars(form: Form) -> list[tuple[Fraction, object]]:
    return [(bar.start, bar.meter) for bar in form.bars]


def _keys(chart: Chart) -> list[object]:
    return [chart.form.key_at(bar.index, chart.key) for bar in chart.form.bars]


def canonical(row: Row) -> Row:
    """What was typed kept only where it differs from the canonical symbol."""
    texts = [slot.chord.canonical if slot.chord else "N.C." for slot in row]
    return tuple(replace(slot, typed=None if slot.typed == text else slot.typed)
                 for slot, text in zip(row, texts, strict=True))  # fmt: skip


def _canonical_chart(chart: Chart) -> Chart:
    def take(one: Take) -> Take:
        steps = tuple(replace(step, before=canonical(step.before), after=canonical(step.after)) for step in one.steps)
        return replace(one, row=canonical(one.row), steps=steps)

    references = tuple(replace(named, row=canonical(named.row)) for named in chart.references)
    return replace(chart, references=references, takes=tuple(map(take, chart.takes)))


def same_notes(one: Melody, other: Melody) -> bool:
    """The same notes, spelled alike but for three accidentals, which ABC has no sign for."""

    def place(melody: Melody) -> list[tuple[Fraction, Fraction, int]]:
        return [(note.onset, note.duration, note.pitch.midi) for note in melody]

    return place(one) == place(other) and all(
        a.pitch == b.pitch or abs(alteration_of(b.pitch.fifths)) > 2 for a, b in zip(one, other, strict=True)
    )


FORMATS: dict[str, Callable[[Chart], bool]] = {
    "JSON": through_json, "bar text": through_bar_text, "MusicXML": through_musicxml, "ABC": through_abc,
}  # fmt: skip


def failures(seed: int) -> list[str]:
    """The formats that a chart does not come back from, and what went wrong."""
    chart, found = full_chart(Random(seed)), []
    for name, comes_back in FORMATS.items():
        try:
            if not comes_back(chart):
                found.append(f"{name}: it came back different")
        except Exception as error:
            found.append(f"{name}: {type(error).__name__}: {error}")
    return found


def main(arguments: list[str]) -> int:
    """Try them all; the exit code is 1 if any failed."""
    count = int(arguments[0]) if arguments else COUNT
    first = int(arguments[1]) if len(arguments) > 1 else 0
    failed = 0
    for seed in range(first, first + count):
        for fault in failures(seed):
            failed += 1
            print(f"seed {seed}: {fault}", flush=True)
    print(f"{count} charts through {', '.join(FORMATS)}: {failed} failures")
    return int(failed > 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
