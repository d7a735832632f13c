"""The harmony book's speed: symbols, analysis, proposals, checks."""

from __future__ import annotations

import csv
import random
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import music21
import pychord

from core.analysis import analyse
from core.chart import Chart
from core.chart_json import chart_from_json, chart_to_json
from core.checks.compiled import judge_chord, masks_of
from core.checks.compiled_melody import compile_melody
from core.checks.fit_table import fit_row
from core.checks.melody import melody_check
from core.chord import Chord
from core.explain import explain_rows, explain_take
from core.files import load_chart
from core.places import folder
from core.propose import propose
from core.quality import QUALITIES
from core.row import Row as RowOfChords
from core.row import Slot, splice
from core.symbol import parse_symbol
from core.take_check import check_take

Row = tuple[str, float, str, str, float]
_TABLE = Path(__file__).parents[1] / "reference" / "spellings.tsv"
ROOTS = [letter + sign for letter in "ABCDEFG" for sign in ("", "b", "#", "♭", "♯")]


def seconds(work: Callable[[], object], repeat: int = 7) -> float:
    """The best of several runs, in seconds: the least disturbed by whatever else the machine does."""
    best = float("inf")
    for _ in range(repeat):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return best


def symbols() -> list[Row]:
    """Reading every spelling on every root; the references read what they can of the plain ones."""
    spellings = [
        row["spelling"][1:] for row in csv.DictReader(_TABLE.read_text(encoding="utf-8").splitlines(), delimiter="\t")
    ]
    texts = [root + suffix for root in ROOTS for suffix in spellings]
    ours = seconds(lambda: [parse_symbol(text) for text in texts]) / len(texts)
    plain = [
        root + suffix for root in ("C", "F", "G") for suffix in ("", "m", "7", "m7", "maj7", "dim7", "m7b5", "9", "6")
    ]
    theirs = seconds(lambda: [pychord.Chord(text) for text in plain]) / len(plain)
    scores = seconds(lambda: [music21.harmony.ChordSymbol(text).pitches for text in plain], 1) / len(plain)
    return [("symbol read, all spellings on all roots", ours * 1e6, "µs", "pychord, plain spellings", theirs * 1e6),
            ("symbol read, all spellings on all roots", ours * 1e6, "µs", "music21, plain spellings", scores * 1e6)]  # fmt: skip


def proposals() -> list[Row]:
    """All proposals with all checks over a tune of 32 bars; the row's reading is computed anew each time."""
    chart, _ = load_chart(folder("demo_charts") / "harbour_lamps.changes.json")
    take = chart.takes[0]

    def one_bar(bar_index: int) -> Callable[[], object]:
        bar = chart.form.bars[bar_index]

        def work() -> object:
            analyse.cache_clear()
            return propose(chart, None, bar.start, bar.end)

        return work

    def whole() -> object:
        analyse.cache_clear()
        return propose(chart, None, chart.form.bars[0].start, chart.form.length)

    whole()
    each = sorted(seconds(one_bar(index), 5) for index in range(len(chart.form.bars)))
    budget_bar, budget_all = 5.0, 150.0
    return [
        ("proposals for one bar, median of 32", each[16] * 1e3, "ms", "aim", budget_bar),
        ("proposals for one bar, slowest of 32", each[-1] * 1e3, "ms", "aim", budget_bar),
        ("proposals for all 32 bars", seconds(whole) * 1e3, "ms", "aim", budget_all),
        ("analysis of 32 bars", seconds(lambda: (analyse.cache_clear(), analyse(chart.standard, chart.form, chart.key))) * 1e3,
         "ms", "aim", budget_bar),
        ("checking a whole take", seconds(lambda: check_take(chart, take)) * 1e3, "ms", "aim", budget_all),
    ]  # fmt: skip


def explanations() -> list[Row]:
    """Explaining a take of 32 bars, every bar of its proposals alone, and a take that differs everywhere."""
    chart, _ = load_chart(folder("demo_charts") / "harbour_lamps.changes.json")
    found = propose(chart, None, chart.form.bars[0].start, chart.form.length).proposals[::7]
    rows = [splice(chart.standard, proposal.start, proposal.end, proposal.after) for proposal in found]

    def one(row: RowOfChords) -> Callable[[], object]:
        return lambda: explain_rows(chart.standard, row, chart.form, chart.key)

    each = sorted(seconds(one(row), 3) for row in rows)
    strange = tuple(replace(slot, chord=slot.chord and slot.chord.transposed(6), typed=None) for slot in chart.standard)
    rng = random.Random(3)

    def anything(slot: Slot) -> Slot:
        return replace(slot, chord=Chord(rng.randrange(-5, 7), QUALITIES[rng.choice(ALTERNATIVES)]), typed=None)

    halves = tuple(Slot(slot.onset + half * slot.duration / 2, slot.duration / 2, slot.chord)
                   for slot in chart.standard for half in (0, 1))  # fmt: skip
    random_row, random_halves = tuple(map(anything, chart.standard)), tuple(map(anything, halves))
    return [
        ("explaining one change, median", each[len(each) // 2] * 1e3, "ms", "aim", 20.0),
        ("explaining one change, slowest", each[-1] * 1e3, "ms", "aim", 1000.0),
        ("explaining a take of 32 bars", seconds(lambda: explain_take(chart, chart.takes[0]), 3) * 1e3, "ms", "aim", 1000.0),
        ("explaining a take that differs everywhere", seconds(one(strange), 1) * 1e3, "ms", "aim", 1000.0),
        ("explaining random chords", seconds(one(random_row), 1) * 1e3, "ms", "aim", 1000.0),
        ("explaining twice as many random chords", seconds(one(random_halves), 1) * 1e3, "ms", "aim", 1000.0),
    ]  # fmt: skip


ALTERNATIVES = ("7", "7#11", "13", "7b9", "m7", "maj7", "9sus", "m7b5")


def _alternatives(chart: Chart) -> list[tuple[Slot, Chord | None]]:
    """Eight qualities on twelve roots in the place of every chord of a tune, and the chord that follows there."""
    row = chart.standard
    return [(Slot(slot.onset, slot.duration, Chord(root, QUALITIES[quality])), after.chord)
            for slot, after in zip(row, (*row[1:], row[0]), strict=True)
            for quality in ALTERNATIVES for root in range(-5, 7)]  # fmt: skip


def checks() -> list[Row]:
    """One alternative against the melody: on integers, and by the check in words that it answers like."""
    chart, _ = load_chart(folder("demo_charts") / "harbour_lamps.changes.json")
    melody, form, key = chart.melody, chart.form, chart.key
    tried = [(slot.onset, slot.end, slot.chord, (slot,), after) for slot, after in _alternatives(chart) if slot.chord]
    compiled = compile_melody(melody, form)

    def on_integers() -> None:
        for start, end, chord, _, after in tried:
            judge_chord(compiled, start, end, chord, after, key, True)

    def never_seen() -> None:
        masks_of.cache_clear()
        fit_row.cache_clear()
        fresh = compile_melody(melody, form)
        for start, end, chord, _, after in tried:
            judge_chord(fresh, start, end, chord, after, key, True)

    def in_words() -> None:
        for *_, chords, after in tried:
            melody_check(melody, chords, after, key, form, True)

    each = 1e6 / len(tried)
    words, integers = seconds(in_words, 2) * each, seconds(on_integers, 15) * each
    compiling = seconds(lambda: compile_melody(melody, form)) * 1e3
    return [
        ("melody check of an alternative, compiled", integers, "µs", "the check in words", words),
        ("the same, compiled anew, chords never seen", seconds(never_seen) * each, "µs", "the check in words", words),
        ("melody check of an alternative, compiled", integers, "µs", "aim", 10.0),
        ("compiling a tune of 32 bars", compiling, "ms", "one check in words", words / 1e3),
    ]


def files() -> list[Row]:
    """Writing and reading a chart as JSON."""
    chart, _ = load_chart(folder("demo_charts") / "harbour_lamps.changes.json")
    text = chart_to_json(chart)
    import json

    plain = seconds(lambda: json.loads(text)) * 1e3
    return [("chart to JSON", seconds(lambda: chart_to_json(chart)) * 1e3, "ms", "json.loads of the same text", plain),
            ("chart from JSON", seconds(lambda: chart_from_json(text)) * 1e3, "ms", "json.loads of the same text", plain)]  # fmt: skip


def run() -> list[Row]:
    """All figures as (what, value, unit, reference, its value)."""
    return [*symbols(), *checks(), *proposals(), *explanations(), *files()]


if __name__ == "__main__":
    for row in run():
        print(row)
