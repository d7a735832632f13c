"""What the class view shows and says, as plain values. No Qt."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from app.window.page.page_model import PageModel, Reading, page_model
from app.window.reading import read_chart
from core.chart import Chart
from core.pitch import pretty_name

if TYPE_CHECKING:
    from core.revealing import Stage
    from core.singer_key import KeyChoice

WAY_ORDER = ("prepared", "techniques", "bars")
KEYS_HINT = (
    "→ next    ← back    Space plays    S other row    W another way    1–9 section    + − key    N note on a bar    "
    "M tune    Esc leaves"
)
NOTHING_PREPARED = "No step is prepared yet; select bars on the page and press Ctrl+F5. Technique by technique instead."


NOTHING_TO_REVEAL = "The take changes nothing yet, so there is nothing to reveal; the page is shown as it is."


@dataclass(frozen=True, slots=True)
class ClassState:
    """Where the lesson stands: the stages of one way, and which of them is shown."""

    way: str
    stages: tuple[Stage, ...]
    at: int = 0

    @property
    def stage(self) -> Stage:
        """The stage that is shown."""
        return self.stages[self.at]

    def moved(self, by: int) -> ClassState:
        """The next or an earlier stage; the ends hold."""
        return replace(self, at=max(0, min(len(self.stages) - 1, self.at + by)))

    @property
    def place_words(self) -> str:
        """``'3 of 9, technique by technique'``."""
        from core.revealing import WAYS

        if len(self.stages) == 1:
            return ""
        return f"{self.at} of {len(self.stages) - 1}, {WAYS[self.way]}"


def begin(chart: Chart, take_name: str | None, way: str) -> ClassState:
    """The first stage of a way; where nothing was prepared technique by technique."""
    from core.revealing import stages

    take = chart.take_named(take_name) if take_name else None
    if way == "prepared" and not chart.for_class.steps:
        way = "techniques"
    return ClassState(way, stages(chart, take, way))


def next_way(way: str) -> str:
    """The way after this one."""
    return WAY_ORDER[(WAY_ORDER.index(way) + 1) % len(WAY_ORDER)]


def covered(chart: Chart, take_name: str | None, stage: Stage) -> Chart:
    """The chart as far as it is shown."""
    from core.revealing import masked

    return chart if take_name is None else masked(chart, chart.take_named(take_name), stage.shown)


def class_page(chart: Chart, take_name: str | None, style: str) -> tuple[PageModel, Reading]:
    """The page with everything that analysis says of it; runs in the background."""
    reading = read_chart(chart, take_name)
    return page_model(chart, take_name, reading, style), reading


def first_run(bars: tuple[int, ...]) -> tuple[int, int]:
    """First and last of the bars that stand together at the beginning: ``first_run((1, 2, 7)) == (1, 2)``."""
    last = bars[0]
    while last + 1 in bars:
        last += 1
    return bars[0], last


def key_words(chart: Chart) -> str:
    """``'E♭ major'``."""
    return f"{pretty_name(chart.key.tonic)} {chart.key.mode}"


def moved_words(before: KeyChoice, after: KeyChoice) -> str:
    """What another key does to the tune: ``'G♭ major: the tune goes from B♭3 to F5 to D♭4 to A♭5'``."""
    name = f"{pretty_name(after.key.tonic)} {after.key.mode}"
    if not after.range_words:
        return f"{name}. There is no tune whose range could be told."
    return f"{name}: the tune, {before.range_words} before, runs from {after.range_words}."


def note_words(chart: Chart, bars: tuple[int, ...]) -> str:
    """The notes on some bars, with their numbers."""
    form = chart.form
    found = [(form.bars[n.bar].number, n.text) for n in chart.for_class.notes if n.bar in bars]
    return "    ".join(f"Bar {number}: {text}" for number, text in found)
