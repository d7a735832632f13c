"""What a player practises with: a tempo of the moment, a click, a tempo that rises by itself, parts left out.

All of it makes another timeline of the same chart; the chart is never changed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from types import MappingProxyType
from typing import Literal, get_args

from core.arrange import Settings, arrange, choose_feel, count_in
from core.chart import Chart
from core.form import Bar, Form
from core.meter import Meter
from core.timeline import MAX_BPM, MIN_BPM, NoteEvent, Timeline, TimelineError, sort_events

Click = Literal["off", "backbeat", "beats"]
CLICKS: tuple[Click, ...] = get_args(Click)
PARTS_OF_BAND = ("piano", "bass", "drums", "tune")

CLICK_PITCH, CLICK_VELOCITY, CLICK_LENGTH = 77, 84, 0.2
"""Low wood block (General MIDI Level 1, RP003), every stroke alike: it gives time and accents nothing."""
# Where the hi-hat closes in a group of beats: 2 and 4 of four, 2 of three, 2 of two. Common practice, no source.
BACKBEATS: Mapping[int, tuple[int, ...]] = MappingProxyType({1: (), 2: (1,), 3: (1,), 4: (1, 3)})
GROUPS: Mapping[int, tuple[int, ...]] = MappingProxyType({5: (3, 2), 6: (3, 3), 7: (4, 3)})


BAND_AS_IT_IS = Settings()


@dataclass(frozen=True, slots=True)
class Practice:
    """How the chart is to be heard: what the arranger is told (a ``bpm`` of None is the chart's), and the click."""

    settings: Settings = BAND_AS_IT_IS
    click: Click = "off"

    def at(self, bpm: float | None) -> Practice:
        """The same at another tempo in quarter notes a minute, None for the chart's own."""
        return replace(self, settings=replace(self.settings, bpm=bpm))


AS_WRITTEN = Practice()


@dataclass(frozen=True, slots=True)
class Ramp:
    """A tempo that rises by itself, in percent of another: from ``start`` by ``step`` every ``passes`` passes of a loop
    to ``target``.

    Raises TimelineError for a ramp that does not rise.
    """

    start: int = 60
    step: int = 5
    passes: int = 2
    target: int = 100

    def __post_init__(self) -> None:
        if not (20 <= self.start <= self.target <= 200 and 1 <= self.step <= 100 and 1 <= self.passes <= 64):
            raise TimelineError(
                "slow-down",
                f"{self.start} % to {self.target} % by {self.step} % every {self.passes} passes does not rise",
                "begin at 20 % or more, end at 200 % or less and no lower than you begin",
            )

    @property
    def count(self) -> int:
        """How many tempos there are."""
        return 1 + -(-(self.target - self.start) // self.step)

    def percent(self, index: int) -> int:
        """The tempo of step ``index`` from 0, the last one for all later."""
        return min(self.target, self.start + self.step * max(0, index))

    def bpm(self, index: int, tempo: float) -> float:
        """Quarter notes a minute of a step, held to what can be played."""
        return held_tempo(tempo * self.percent(index) / 100)

    def of(self, practice: Practice, tempo: float, index: int) -> Practice:
        """A practice at the tempo of a step; ``tempo`` is the chart's, for one that has none of its own."""
        return practice.at(self.bpm(index, practice.settings.bpm or tempo))


def held_tempo(bpm: float) -> float:
    """A tempo within 40 to 320 quarter notes a minute."""
    return min(MAX_BPM, max(MIN_BPM, bpm))


def rehearsed(
    chart: Chart, take_name: str | None, practice: Practice = AS_WRITTEN, *, from_bar_line: bool = False
) -> Timeline:
    """The chart against a take (or alone) as a player wants to practise it.

    The count-in of a tune with a pickup stops early; ``from_bar_line`` asks for a whole one, to begin elsewhere.
    """
    timeline = arrange(chart, take_name, settings=practice.settings)
    form = chart.form_of(chart.take_named(take_name)) if take_name else chart.form
    if from_bar_line and form.pickup and len(form.bars) > 1:
        meter = form.bars[1].meter
        words = chart.feel if practice.settings.feel is None else practice.settings.feel
        clicks, lead_in = count_in(choose_feel(words, meter, chart.tempo), meter)
        timeline = replace(timeline, count_in=clicks, lead_in=lead_in)
    if practice.click == "off":
        return timeline
    return replace(timeline, events=sort_events((*timeline.events, *click(form, practice.click))))


def click(form: Form, kind: Click) -> list[NoteEvent]:
    """A click on every beat, or on 2 and 4 and what stands for them in other metres; in a pickup as in its full bar."""
    if kind == "off":
        return []
    return [
        NoteEvent("click", "both", float(place), CLICK_LENGTH, CLICK_PITCH, CLICK_VELOCITY)
        for bar in form.bars
        for place in _places(bar, kind)
        if bar.start <= place < bar.end
    ]


def _places(bar: Bar, kind: Click) -> list[Fraction]:
    beat, offsets = click_places(bar.meter, kind)
    # A pickup ends where a full bar would; a bar that is too long goes on from its first beat.
    first = min(bar.start, bar.end - bar.meter.length) if bar.length < bar.meter.length else bar.start
    return [first + beat * offset for offset in offsets]


def click_places(meter: Meter, kind: Click) -> tuple[Fraction, tuple[int, ...]]:
    """The beat in quarter notes and the beats (from 0) of a bar that are clicked. Halves count as two quarters each."""
    beat = meter.beat if meter.is_compound else min(meter.beat, Fraction(1))
    count = int(meter.length / beat)
    if kind == "beats":
        return beat, tuple(range(count))
    groups = GROUPS.get(count) or (4,) * (count // 4) + ((count % 4,) if count % 4 else ())
    found, start = [], 0
    for group in groups:
        found += [start + place for place in BACKBEATS[group]]
        start += group
    return beat, tuple(found) or (0,)


def silent_parts(muted: frozenset[str], soloed: frozenset[str]) -> frozenset[str]:
    """The parts of the band that do not sound: all but the soloed where there are any, else the muted."""
    return frozenset(PARTS_OF_BAND) - soloed if soloed else muted
