"""Bars written out in the order they are played, for what the signs of a form cannot say.

A form plays no repeat again after a jump. Where a score asks for it (``after-jump`` of a repeat, or "with repeats"),
and where an ABC tune names the order of its parts, the bars are written out instead.
"""

from __future__ import annotations

import copy
from collections.abc import Sequence
from dataclasses import replace

from core.foreign.events import Measure
from core.foreign.signs import Signs
from core.form import FormError, WrittenBar, played_order
from core.key import Key


def in_order(measures: Sequence[Measure], order: Sequence[int], *, signs: bool) -> list[Measure]:
    """Copies of the bars of a part in an order; ``signs`` keeps repeats and jumps. Keys are set where they change."""
    keys: list[Key | None] = []
    for measure in measures:
        keys.append(measure.key or (keys[-1] if keys else None))
    result: list[Measure] = []
    current: Key | None = None
    for at in order:
        if at >= len(measures):
            continue
        bar = copy.deepcopy(measures[at])
        bar.key = keys[at] if keys[at] != current else None
        current = keys[at]
        result.append(bar if signs else _plain(bar))
    return result


def _plain(bar: Measure) -> Measure:
    old = bar.signs
    bar.signs = Signs(
        section=old.section, tempo=old.tempo, feel=old.feel, feel_is_guess=old.feel_is_guess, take=old.take
    )
    bar.forward = bar.forward_after = bar.ending_stop = False
    bar.backward = bar.backward_before = 0
    bar.ending_start = None
    return bar


def order_with_repeats(written: Sequence[WrittenBar]) -> list[int] | None:
    """The played order where repeats are taken after the jump too; None where there is no jump or no such order."""
    jump = next((at for at, bar in enumerate(written) if bar.jump), None)
    if jump is None:
        return None
    name = written[jump].jump or ""
    bars = tuple(replace(bar, jump=None) for bar in written)
    try:
        first = list(played_order(bars[: jump + 1]))
        start = 0 if name.startswith("da capo") else _place(bars, "segno")
        stop = _place(bars, "fine" if name.endswith("fine") else "to coda") if " al " in name else len(bars) - 1
        again = [start + at for at in played_order(bars[start : stop + 1])]
        coda = _place(bars, "coda") if name.endswith("coda") else len(bars)
        return first + again + [coda + at for at in played_order(bars[coda:])]
    except FormError:
        return None


def _place(bars: Sequence[WrittenBar], mark: str) -> int:
    found = next((at for at, bar in enumerate(bars) if mark in bar.marks), None)
    if found is None:
        raise FormError(f"There is no {mark}.")
    return found
