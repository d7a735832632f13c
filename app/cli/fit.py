"""``changewright fit``: a chord over the tune, and the least that the tune would have to change to bear it.

``fit --lines`` is the window's own check on JSON lines: everything is quarter notes from the start of the bar in which
the chord begins; ``beat`` counts from 1, onsets from 0.
"""

from __future__ import annotations

import argparse
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from math import ceil
from pathlib import Path
from typing import Any

from app.cli import UsageError, document
from app.cli.lines import Fields, LineError, answer_lines, chord_of, key_of, meter_of, quarters
from app.cli.reading import read_chart
from core.chart import Chart, Melody, Note
from core.checks.melody import melody_check
from core.chord import Chord
from core.files import save_chart
from core.form import Form, FormError, plain_form
from core.meter import Meter
from core.pitch import pitch_from_midi
from core.refit import Moved, sentences, smallest_change
from core.row import Row, Slot, slot_index
from core.symbol import parse_symbol

MOST_BARS, MOST_NOTES = 100, 1000
MIDI_RANGE = range(128)


def add_to(commands: Any) -> None:
    """Add the command's words."""
    parser = commands.add_parser("fit", help="melody notes against a chord, and the least change that admits it")
    parser.add_argument("file", nargs="?", help="a chart, or - for stdin")
    parser.add_argument("--bar", type=int, metavar="N", help="the played bar that the chord fills")
    parser.add_argument("--beat", type=int, metavar="B", default=1, help="the beat it begins on (1)")
    parser.add_argument("--chord", metavar="SYMBOL", help="the chord to try, such as Db7")
    parser.add_argument("--save", metavar="OUT", help="write the chart with the tune changed")
    parser.add_argument("--json", action="store_true", help="one JSON document")
    parser.add_argument("--lines", action="store_true", help="JSON lines from stdin to stdout")
    parser.set_defaults(command=run)


def run(arguments: argparse.Namespace) -> int:
    """Judge line after line, or one chord in a chart."""
    if arguments.lines:
        return answer_lines(_answer)
    if arguments.file is None or arguments.bar is None or arguments.chord is None:
        raise UsageError("fit takes a chart, --bar and --chord, or JSON lines with --lines")
    chart = read_chart(arguments.file)
    chords, following = _tried(chart, arguments.bar, arguments.beat, arguments.chord)
    key = chart.form.key_at(chart.form.bar_numbered(arguments.bar).index, chart.key)
    checked = melody_check(chart.melody, chords, following, key, chart.form)
    found = smallest_change(chart.melody, chords, following, key, chart.form)
    if arguments.save:
        save_chart(replace(chart, melody=found.melody), Path(arguments.save))
    if arguments.json:
        findings = [document.finding(chart.form, one) for one in checked.findings]
        moved = [_moved(chart, one) for one in found.moved]
        document.write({"verdict": checked.verdict, "findings": findings, "moved": moved,
                        "unsolved": len(found.unsolved)})  # fmt: skip
        return 0
    print(f"{checked.verdict}: {checked.summary}")
    print(*sentences(found, chords, key, chart.form), sep="\n")
    return 0


def _tried(chart: Chart, number: int, beat: int, symbol: str) -> tuple[Row, Chord | None]:
    """The chord from its beat to the end of the bar, and the standard's chord after it."""
    bar = chart.form.bar_numbered(number)
    start = bar.start + (beat - 1) * bar.meter.beat
    if not bar.start <= start < bar.end:
        raise FormError(f"Bar {number} has beats 1 to {ceil(bar.length / bar.meter.beat)}, not {beat}.")
    chord = parse_symbol(symbol)
    if chord is None:
        raise FormError("Silence bears any tune; try a chord, such as Db7.")
    following = chart.standard[slot_index(chart.standard, bar.end % chart.form.length)].chord
    return (Slot(start, bar.end - start, chord),), following


def _moved(chart: Chart, one: Moved) -> document.Document:
    return {**document.place(chart.form, one.onset), "before": one.before.midi, "after": one.after.midi,
            "was": one.was, "now": one.now}  # fmt: skip


def _answer(fields: Fields) -> document.Document:
    key, meter = key_of(fields), meter_of(fields)
    chord = chord_of(fields, "chord")
    following = chord_of(fields, "next") if "next" in fields else None
    slot = _slot(fields, meter)
    melody = _melody(fields.get("melody"), 0 if key is None else key.signature)
    form = _form_until(max(slot.end, melody[-1].end if melody else slot.end), meter)
    checked = melody_check(melody, (Slot(slot.onset, slot.duration, chord),), following, key, form)
    return {"verdict": checked.verdict, "findings": [document.finding(form, found) for found in checked.findings]}


def _slot(fields: Fields, meter: Meter) -> Slot:
    """When the chord sounds: from the first beat and to the end of the bar where nothing else is said."""
    onset = quarters(fields.get("beat", 1), "beat") - 1
    if not 0 <= onset < meter.length:
        raise LineError(f"beat lies in the bar, from 1 to below {1 + meter.length} in {meter}, not at {onset + 1}.")
    duration = quarters(fields.get("duration", meter.length - onset), "duration")
    if duration <= 0:
        raise LineError(f"duration is more than 0 quarter notes, not {duration}.")
    return Slot(onset, duration, None)


def _melody(found: object, signature: int) -> Melody:
    if not isinstance(found, list):
        raise LineError("melody takes a list of notes [onset, midi, duration] in quarter notes; write [] for none.")
    if len(found) > MOST_NOTES:
        raise LineError(f"melody has {len(found)} notes; {MOST_NOTES} are the most.")
    notes: list[Note] = []
    for number, item in enumerate(found, 1):
        note = _note(item, f"melody note {number}", signature)
        if notes and note.onset < notes[-1].end:
            raise LineError(f"melody note {number} begins before note {number - 1} ends; a melody is one voice.")
        notes.append(note)
    return tuple(notes)


def _note(item: object, name: str, signature: int) -> Note:
    if not isinstance(item, list) or len(item) != 3:
        raise LineError(f"{name} takes three values, [onset, midi, duration].")
    onset, midi, duration = item
    if not isinstance(midi, int) or isinstance(midi, bool) or midi not in MIDI_RANGE:
        raise LineError(f"{name}: midi takes a whole number from 0 to 127.")
    length = quarters(duration, f"{name}: duration")
    if length <= 0:
        raise LineError(f"{name}: duration is more than 0 quarter notes, not {length}.")
    return Note(quarters(onset, f"{name}: onset"), length, pitch_from_midi(midi, None, signature))


_form = lru_cache(256)(plain_form)


def _form_until(end: Fraction, meter: Meter) -> Form:
    bars = ceil(end / meter.length)
    if bars > MOST_BARS:
        raise LineError(f"The chord or the melody reaches over {bars} bars; {MOST_BARS} are the most.")
    return _form(bars, meter)
