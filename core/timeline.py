"""A timeline: every note of an arrangement at its place, as plain immutable data.

It is the whole of what the arranger hands to sound: the mixer, the wave file, the MIDI file and the MIDI
port all read the same value. Time is counted in quarter notes from the start of the first bar; swing is
already in the onsets. Nothing here needs more than the standard library, so the window may hold a timeline
without loading any sound code.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from math import inf, isfinite
from types import MappingProxyType
from typing import Literal, get_args

from core.errors import ChangewrightError

Side = Literal["both", "standard", "take"]
MarkerKind = Literal["section", "chord_standard", "chord_take"]

SIDES: tuple[Side, ...] = get_args(Side)
MARKER_KINDS: tuple[MarkerKind, ...] = get_args(MarkerKind)
HEARD_SIDES: tuple[Side, ...] = ("standard", "take")

MIN_BPM, MAX_BPM = 40.0, 320.0
DRUM_CHANNEL = 9
"""Channel 10 in print, index 9 on the wire (General MIDI Level 1, RP003)."""

DEFAULT_MASTER_LEVEL = 0.5
"""Gain 0..1 after the parts are added: moderate on purpose, see ``LISTENING_ADVICE``."""
LISTENING_ADVICE = (
    "Sound starts at half level behind a limiter; turn your headphones down before the first note, then up slowly."
)


@dataclass(frozen=True, slots=True)
class Part:
    """One player of the band.

    Programs are General MIDI, counted from 0, as channels are; ``level`` is a gain 0..1; ``pan`` runs from -1
    (left) to 1 (right).
    """

    name: str
    program: int
    channel: int
    level: float
    pan: float

    @property
    def is_drums(self) -> bool:
        """True where a pitch names a drum and a note rings until it has died away."""
        return self.channel == DRUM_CHANNEL


# The click shares the percussion kit (wood blocks 76, 77) and keeps a level of its own.
PARTS: Mapping[str, Part] = MappingProxyType(
    {
        part.name: part
        for part in (
            Part("piano", program=0, channel=0, level=0.7, pan=-0.25),
            Part("bass", program=32, channel=1, level=0.8, pan=0.0),
            Part("drums", program=0, channel=DRUM_CHANNEL, level=0.9, pan=0.15),
            Part("tune", program=11, channel=2, level=0.8, pan=0.2),
            Part("click", program=0, channel=DRUM_CHANNEL, level=0.5, pan=0.0),
        )
    }
)


class TimelineError(ChangewrightError):
    """A timeline that cannot be played; the sentence names the value and the range."""

    def __init__(self, where: str, problem: str, advice: str) -> None:
        super().__init__(f"{where}: {problem}; {advice}.")


@dataclass(frozen=True, slots=True)
class NoteEvent:
    """One note. Onset and duration in quarter notes, pitch as MIDI number 0..127, velocity 1..127."""

    part: str
    side: Side
    onset: float
    duration: float
    pitch: int
    velocity: int

    @property
    def end(self) -> float:
        """Where the note is let go, in quarter notes."""
        return self.onset + self.duration


@dataclass(frozen=True, slots=True)
class Marker:
    """A text at a place in quarter notes: the name of a section, or a chord of one of the two rows."""

    onset: float
    text: str
    kind: MarkerKind = "section"


@dataclass(frozen=True, slots=True)
class Timeline:
    """All that sounds. A value that cannot be played is refused here with ``TimelineError``.

    ``bpm`` is quarter notes per minute, 40..320; ``length`` and all places are quarter notes. ``count_in``
    holds notes at onsets in ``[-lead_in, 0)``, counted from wherever playing starts. ``bars`` are bar starts,
    ascending; ``meters`` are ``(onset, numerator, denominator)``. ``programs`` replaces the program of a
    part: ``(("piano", 26),)``.
    """

    bpm: float
    length: float
    lead_in: float = 0.0
    events: tuple[NoteEvent, ...] = ()
    count_in: tuple[NoteEvent, ...] = ()
    bars: tuple[float, ...] = (0.0,)
    meters: tuple[tuple[float, int, int], ...] = ((0.0, 4, 4),)
    markers: tuple[Marker, ...] = ()
    title: str = ""
    programs: tuple[tuple[str, int], ...] = ()

    def __post_init__(self) -> None:
        _check_frame(self)
        for event in self.events:
            _check_event(event, 0.0, self.length)
        for event in self.count_in:
            _check_event(event, -self.lead_in, 0.0)
        _check_ascending("events", [event.onset for event in self.events])
        _check_ascending("count-in", [event.onset for event in self.count_in])
        _check_ascending("bars", self.bars)
        _check_ascending("meters", [meter[0] for meter in self.meters])

    def seconds_at(self, quarter: float) -> float:
        """Seconds from the first bar to ``quarter`` (negative in a count-in)."""
        return quarter * 60.0 / self.bpm

    def quarter_at(self, seconds: float) -> float:
        """The inverse of ``seconds_at``."""
        return seconds * self.bpm / 60.0

    def bar_at(self, quarter: float) -> int:
        """Index into ``bars`` of the bar that holds ``quarter``; 0 before the first."""
        return max(0, bisect_right(self.bars, quarter) - 1)

    def program_of(self, part: str) -> int:
        """The General MIDI program (from 0) a part plays here."""
        return dict(self.programs).get(part, PARTS[part].program)

    def for_side(self, side: Side) -> Timeline:
        """The same timeline with only what is heard on one side: its own notes and those of both."""
        if side == "both":
            return self
        kinds = ("section", f"chord_{side}")
        return replace(
            self,
            events=tuple(event for event in self.events if event.side in ("both", side)),
            count_in=tuple(event for event in self.count_in if event.side in ("both", side)),
            markers=tuple(marker for marker in self.markers if marker.kind in kinds),
        )

    def at_tempo(self, bpm: float) -> Timeline:
        """The same music at another tempo."""
        return replace(self, bpm=bpm)


def sort_events(events: Iterable[NoteEvent]) -> tuple[NoteEvent, ...]:
    """Events by onset, then part, side and pitch: the order a timeline wants, equal for equal music."""
    places = {(part, side): (index, at) for index, part in enumerate(PARTS) for at, side in enumerate(SIDES)}
    last = (len(PARTS), 0)
    return tuple(sorted(events, key=lambda e: (e.onset, places.get((e.part, e.side), last), e.pitch)))


def _check_frame(timeline: Timeline) -> None:
    if not MIN_BPM <= timeline.bpm <= MAX_BPM:
        raise TimelineError(
            "tempo",
            f"{timeline.bpm:g} is not between {MIN_BPM:g} and {MAX_BPM:g} quarter notes a minute",
            "choose a tempo in that range",
        )
    for name, value in (("length", timeline.length), ("lead-in", timeline.lead_in)):
        if not (isfinite(value) and value >= 0):
            raise TimelineError(name, f"{value!r} is not a length in quarter notes", "give zero or more")
    for onset, numerator, denominator in timeline.meters:
        if numerator < 1 or denominator not in (1, 2, 4, 8, 16, 32):
            raise TimelineError(
                f"metre at {onset:g}",
                f"{numerator}/{denominator} is not a metre",
                "use one such as 4/4 or 6/8",
            )
    for part, program in timeline.programs:
        if part not in PARTS or not 0 <= program <= 127:
            raise TimelineError(
                f"program of {part}", f"{program} does not fit", "use a part of the band and a program 0..127"
            )
    for marker in timeline.markers:
        if not isfinite(marker.onset) or marker.kind not in MARKER_KINDS:
            raise TimelineError(f"marker “{marker.text}”", "it has no place or no kind", "give both")


def _check_event(event: NoteEvent, low: float, high: float) -> None:
    if (
        event.part in PARTS
        and event.side in SIDES
        and low <= event.onset < high
        and 0 < event.duration < inf
        and 0 <= event.pitch <= 127
        and 1 <= event.velocity <= 127
    ):
        return
    where = f"note {event.pitch} of {event.part} at {event.onset!r}"
    if event.part not in PARTS:
        raise TimelineError(where, "no such part", f"use one of {', '.join(PARTS)}")
    if event.side not in SIDES:
        raise TimelineError(where, f"“{event.side}” is no side", f"use one of {', '.join(SIDES)}")
    if not low <= event.onset < high:
        raise TimelineError(where, f"it lies outside {low:g} to {high:g}", "move it or lengthen the timeline")
    if not 0 < event.duration < inf:
        raise TimelineError(where, f"it lasts {event.duration!r} quarter notes", "give it a length above zero")
    raise TimelineError(
        where,
        f"pitch {event.pitch} or velocity {event.velocity} is out of range",
        "use 0..127 and 1..127",
    )


def _check_ascending(name: str, places: Iterable[float]) -> None:
    for before, after in pairwise(places):
        if not before <= after:
            raise TimelineError(name, f"{after!r} comes after {before!r}", "sort them by onset")
