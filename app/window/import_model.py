"""What the import sheet says of a chart that was read: a line of facts, its first bars, what was guessed."""

from __future__ import annotations

import re

from app.window.page.chord_text import signed_typing
from core.chart import Chart
from core.imported import Imported
from core.pitch import pretty_name, with_signs

BARS_SHOWN = 8
_KEY = re.compile(r"\b[A-G](?:bb|##|b|#)(?= (?:major|minor)\b)")


def facts(chart: Chart) -> str:
    """Key, metre, length, tempo, feel: ``E♭ major · 4/4 · 32 bars · 132 · medium swing``."""
    bars = len(chart.form.bars) - int(chart.form.pickup)
    length = f"{bars} bar{'' if bars == 1 else 's'}" + (" and a pickup" if chart.form.pickup else "")
    melody = f"{len(chart.melody)} melody notes" if chart.melody else "no melody"
    key = f"{pretty_name(chart.key.tonic)} {chart.key.mode}"
    return " · ".join((key, str(chart.meter), length, melody, f"♩ = {chart.tempo}", chart.feel))


def first_bars(chart: Chart) -> str:
    """The chords of the first bars with chords, between bar lines."""
    slots = list(chart.standard)
    first = next((slot.onset for slot in slots if slot.chord is not None), None)
    if first is None:
        return "No chords"
    start = chart.form.bar_at(first).index
    texts = []
    for bar in chart.form.bars[start : start + BARS_SHOWN]:
        inside = [slot for slot in slots if bar.start <= slot.onset < bar.end]
        texts.append(" ".join(signed_typing(slot.text) for slot in inside) or "%")
    return "| " + " | ".join(texts) + (" |" if start + BARS_SHOWN >= len(chart.form.bars) else " | …")


def with_key_signs(text: str) -> str:
    """A sentence with the names of keys as they are printed: ``E♭ major``."""
    return _KEY.sub(lambda match: with_signs(match[0]), text)


def heading(count: int) -> str:
    """What stands over the list."""
    if not count:
        return "Nothing had to be guessed or left out."
    return f"{count} thing{' was' if count == 1 else 's were'} guessed or left out:"


def must_ask(imported: Imported) -> bool:
    """Whether the sheet is shown at all; a file that leaves nothing open is simply opened."""
    return bool(imported.report or imported.questions)
