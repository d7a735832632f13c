"""How long voicing and arranging take, and what leading over the whole row gains over chord by chord.

``python -m tests.bench.bench_arrange`` prints a table. Times are the best of several runs in milliseconds; *cold*
empties every cache first, *warm* is what an edit costs.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from time import perf_counter

from core.arrange import arrange, audition
from core.chart import Chart, Note, take_step
from core.chart import Step as TakeStep
from core.guide_line import guide_threads
from core.pitch import pitch_from_midi
from core.row import Row, Slot, span
from core.sound.placement import place
from core.symbol import parse_symbol
from core.voicing import Voicing, voice_chord, voice_row
from tests.caches import empty_caches
from tests.core.arrange.charts import TWO_A_BAR, TWO_SUBSTITUTED, chart

Result = tuple[str, float, str, str, float]
BUDGET = "budget of a keystroke"


def thirty_two_bars() -> Chart:
    """Two chords a bar on both sides, a melody note every two beats."""
    melody = tuple(
        Note(Fraction(2 * index), Fraction(3, 2), pitch_from_midi(70 + index * 5 % 9)) for index in range(64)
    )
    return chart(" | ".join([TWO_A_BAR] * 4), " | ".join([TWO_SUBSTITUTED] * 4), melody=melody)


def run() -> list[Result]:
    """Name, value, unit, name and value of what it is measured against."""
    built = thirty_two_bars()
    row, melody = built.takes[0].row, built.melody
    edits, later = ([_edited(built, bar) for bar in bars] for bars in (range(12), range(12, 24)))
    moved = [_moved(built, fifths) for fifths in (1, -3, 5, 2, -1)]
    return [
        ("arrange both rows, 32 bars, cold", _best(lambda: arrange(built, "sub"), 3, empty_caches), "ms", BUDGET, 60.0),
        ("arrange both rows after an edit", _each([lambda e=e: arrange(e, "sub") for e in edits]), "ms", BUDGET, 60.0),
        ("the same, and laid out on frames", _each([lambda e=e: place(arrange(e, "sub")) for e in later]), "ms", BUDGET,
         60.0),
        ("arrange both rows, every chord of the take new", _each([lambda e=e: arrange(e, "sub") for e in moved]), "ms",
         BUDGET, 60.0),
        ("audition of four bars", _best(lambda: audition(built, built.standard, row, Fraction(32), Fraction(48)), 5),
         "ms", BUDGET, 60.0),
        ("voice a 32-bar row, cold", _best(lambda: voice_row(row, melody), 3, empty_caches), "ms", BUDGET, 60.0),
        ("voice a 32-bar row, warm", _best(lambda: voice_row(row, melody), 5), "ms", BUDGET, 60.0),
        ("voice one chord", _best(lambda: voice_chord(built.standard[0].chord), 20), "ms", "one frame at 60 Hz", 16.7),
        ("guide threads of a 32-bar row", _best(lambda: guide_threads(row), 5), "ms", "one frame at 60 Hz", 16.7),
        ("mean motion of a voice", _motion(list(voice_row(row))), "semitones", "chord by chord", _motion(_greedy(row))),
    ]  # fmt: skip


def _edited(built: Chart, bar: int) -> Chart:
    """The chart with one chord of the take typed over."""
    start, end = Fraction(4 * bar), Fraction(4 * bar + 4)
    take = built.takes[0]
    half = (end - start) / 2
    after = (Slot(start, half, parse_symbol("F#m7b5")), Slot(start + half, half, parse_symbol("B7b9")))
    step = TakeStep("typed", start, end, span(take.row, start, end), after)
    return replace(built, takes=(take_step(take, step),))


def _moved(built: Chart, fifths: int) -> Chart:
    """The chart with every chord of the take in another key."""
    take = built.takes[0]
    row = tuple(replace(slot, chord=slot.chord and slot.chord.transposed(fifths)) for slot in take.row)
    return replace(built, takes=(replace(take, row=row),))


def _best(call: Callable[[], object], times: int, before: Callable[[], None] | None = None) -> float:
    spent = []
    for _ in range(times):
        if before is not None:
            before()
        start = perf_counter()
        call()
        spent.append(perf_counter() - start)
    return 1000 * min(spent)


def _each(calls: list[Callable[[], object]]) -> float:
    """The middle time of calls that are each made once."""
    return sorted(_best(call, 1) for call in calls)[len(calls) // 2]


def _greedy(row: Row) -> list[Voicing | None]:
    """Each chord as near as it can be to the one before."""
    voiced: list[Voicing | None] = []
    for slot in row:
        voiced.append(None if slot.chord is None else voice_chord(slot.chord, voiced[-1] if voiced else None))
    return voiced


def _motion(voiced: list[Voicing | None]) -> float:
    pairs = [(a.notes, b.notes) for a, b in pairwise(voiced) if a is not None and b is not None]
    moves = [abs(old - new) for one, other in pairs if len(one) == len(other)
             for old, new in zip(one, other, strict=True)]  # fmt: skip
    return sum(moves) / len(moves)


if __name__ == "__main__":
    for name, value, unit, reference, limit in run():
        print(f"{name:34} {value:8.2f} {unit:10} {reference}: {limit:.2f}")
