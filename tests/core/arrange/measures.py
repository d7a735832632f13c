"""What is measured on a performance: aim of the bass, anticipation, variety, room for the tune, tops under it."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from pathlib import Path

from core.arrange import arrange_rows, comping
from core.arrange.grid import TICKS, TickRow, grid_of, to_ticks
from core.arrange.settings import Settings
from core.chart import Chart, Melody
from core.chart_json import chart_from_json
from core.chord import in_context
from core.feel import choose_feel
from core.pitch import Degree
from core.row import Row, slot_index
from core.timeline import NoteEvent, Timeline

FOLDER = Path(__file__).parents[3] / "demo_charts"
DEMO_CHARTS = tuple(sorted(path.name for path in FOLDER.glob("*.changes.json")))
TOGETHER = 0.1
"""Quarter notes that two notes must sound together to be heard so."""


@lru_cache
def demo(name: str) -> Chart:
    return chart_from_json((FOLDER / name).read_text(encoding="utf-8"))


class Performance:
    """A chart's standard row and first take as the band plays them, with the comping rhythm behind the notes."""

    def __init__(self, chart: Chart, settings: Settings) -> None:
        self.chart = chart
        self.take = chart.takes[0]
        self.rows: dict[str, Row] = {"standard": chart.standard, "take": self.take.row}
        self.timeline: Timeline = arrange_rows(chart, chart.standard, self.take.row, settings=settings)
        self.feel = choose_feel(settings.feel if settings.feel is not None else chart.feel, chart.meter, chart.tempo)
        changes = tuple(sorted(set[int]().union(*(TickRow(row).changes() for row in self.rows.values()))))
        self.changes = changes
        self.grid = grid_of(chart.form)
        self.attacks = comping.rhythm(self.grid, self.feel, changes, chart.melody, chart.tempo,
                                      settings.seed or 1)  # fmt: skip

    def part(self, name: str, side: str) -> list[NoteEvent]:
        return [event for event in self.timeline.events if event.part == name and event.side == side]

    def tune(self) -> list[NoteEvent]:
        return [event for event in self.timeline.events if event.part == "tune"]

    def chords(self, side: str) -> list[tuple[comping.CompAttack, list[NoteEvent]]]:
        """Every comped chord of a side: its attack and its notes, lowest first."""
        struck: dict[float, list[NoteEvent]] = {}
        for event in self.part("piano", side):
            struck.setdefault(event.onset, []).append(event)
        assert len(struck) == len(self.attacks)
        return [(attack, sorted(notes, key=lambda note: note.pitch))
                for attack, notes in zip(self.attacks, struck.values(), strict=True)]  # fmt: skip


def aims(played: Performance, side: str) -> list[int]:
    """For each change, semitones from the note that sounds on the beat before it to the one on it, round the repeat."""
    bass, row = played.part("bass", side), played.rows[side]
    length = played.timeline.length
    beat = float(played.chart.meter.beat)
    found = []
    for before, slot in (*pairwise(row), (row[-1], row[0])):
        if slot.chord is None or before.chord is None or before.chord == slot.chord:
            continue
        place = float(slot.onset) or length
        early = [note for note in bass if note.onset < place - beat + 0.01][-1:]
        late = [note for note in bass if abs(note.onset - float(slot.onset)) < 0.01]
        if early and late and early[0].end > place - beat + 0.01:
            found.append(late[0].pitch - early[0].pitch)
    return found


def anticipated(played: Performance) -> float:
    """Share of attacks that strike the next chord before it begins."""
    return sum(attack.anticipates for attack in played.attacks) / len(played.attacks)


def rhythms(played: Performance) -> list[tuple[int, ...]]:
    """The comping rhythm of each bar, as ticks from its start."""
    return [tuple(attack.tick - bar.start for attack in played.attacks if bar.start <= attack.tick < bar.end)
            for bar in played.grid if not bar.silent]  # fmt: skip


def longest_run(shapes: list[tuple[int, ...]]) -> int:
    """How many bars running have the same rhythm, at most."""
    best = run = 1
    for one, other in pairwise(shapes):
        run = run + 1 if one == other else 1
        best = max(best, run)
    return best


def room(played: Performance) -> tuple[float, float]:
    """Comping attacks a beat where the tune holds or rests, and where a note of it begins."""
    onsets = [to_ticks(note.onset) for note in played.chart.melody]
    beats: dict[bool, list[int]] = {True: [], False: []}
    for bar in played.grid:
        for group in bar.groups:
            step = group.beat * group.unit
            for start in range(group.start, group.end, step):
                moves = any(start <= onset < start + step for onset in onsets)
                beats[moves].append(sum(start <= attack.tick < start + step for attack in played.attacks))
    return sum(beats[False]) / len(beats[False]), sum(beats[True]) / len(beats[True])


def missing_tones(played: Performance, side: str) -> Iterator[tuple[str, set[Degree]]]:
    """Comped chords without their third (4, 2) or seventh (6) or an alteration that is written."""
    row = played.rows[side]
    for attack, notes in played.chords(side):
        written = row[slot_index(row, Fraction(attack.sounds_at, TICKS))].chord
        assert written is not None
        chord = in_context(written)
        held = {(note.pitch - chord.root_pc) % 12 for note in notes}
        guides = chord.quality.guide_degrees or ()
        needed = {degree for degree in guides if degree != Degree(1)}
        needed |= {degree for degree in chord.quality.degrees if degree.alteration and degree.number not in (3, 7)}
        lacking = {degree for degree in needed if degree.semitones % 12 not in held}
        if Degree(7) in lacking and 9 in held:  # the sixth stands for a major seventh under a melody on the root
            lacking.discard(Degree(7))
        if lacking:
            yield written.canonical, lacking


def sounding_with(note: NoteEvent, melody: list[NoteEvent]) -> list[NoteEvent]:
    """The melody notes that are heard together with a note."""
    return [other for other in melody
            if min(note.end, other.end) - max(note.onset, other.onset) >= min(TOGETHER, note.duration)]  # fmt: skip


def held_notes(melody: Melody) -> int:
    """Melody notes of two beats and more."""
    return sum(note.duration >= 2 for note in melody)
