"""The table of feels: the metres each suits, how it swings, how bass, piano and drums play it, how it is counted in.

The names of patterns and swings are those of the tables in ``core.arrange.patterns`` and ``core.swing``. A chart names
its feel in words of its own; :func:`choose_feel` finds the row, and a metre that a feel does not suit is played in the
nearest feel that does.

Sources: eighths swing in a medium tempo and even out when fast, Friberg and Sundström, Music Perception 19(3), 2002
(the figures are in ``core.swing``); all else common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Literal

from core.meter import Meter

MeterKind = Literal["four", "three", "five", "odd", "compound", "additive"]
SwingStyle = Literal["cymbal", "triplet", "straight"]

BRUSH_KIT, STANDARD_KIT = 40, 0
"""Programs of the drum channel, from 0. Level 1 of General MIDI has one kit; 40 as brushes: common practice."""


@dataclass(frozen=True, slots=True)
class Feel:
    """How the band plays.

    ``words`` in a chart's feel ask for it and ``meters`` are the kinds of metre it suits. ``swing`` names a row of
    ``core.swing.STYLES``; ``drums``, ``bass`` and ``comp`` name pattern tables. ``density`` shifts the choice of
    comping cells (-1 sparser, 0, 1 busier); ``push_hold`` is how many units an anticipation rings on, ``push_liking``
    how much likelier a cell with one is than a cell without. ``loudness`` is a MIDI velocity added to every part.
    ``count_bars`` are bars of count-in and ``snaps`` whether fingers snap on 2 and 4.
    """

    name: str
    words: tuple[str, ...]
    meters: frozenset[MeterKind]
    swing: SwingStyle
    drums: str
    bass: str
    comp: str
    density: int = 0
    push_hold: int = 3
    push_liking: float = 1.5
    loudness: int = 0
    kit: int = STANDARD_KIT
    count_bars: int = 2
    snaps: bool = False

    @property
    def swings(self) -> bool:
        """Whether eighths are uneven."""
        return self.swing != "straight"


def _on(*kinds: MeterKind) -> frozenset[MeterKind]:
    return frozenset(kinds)


_SIMPLE: tuple[MeterKind, ...] = ("four", "three", "five", "odd")

MEDIUM_SWING = Feel("medium swing", ("swing",), _on("four", "odd"), "cymbal", "swing", "walk", "swing", snaps=True)
UP_SWING = Feel("up swing", ("up swing", "up-tempo", "up tempo", "uptempo", "fast", "bebop", "bop"), _on("four", "odd"),
                "cymbal", "up", "walk", "up", loudness=2, snaps=True)  # fmt: skip
SLOW_SWING = Feel("slow swing", ("slow swing",), _on("four", "odd"), "cymbal", "swing", "walk", "swing", push_hold=4,
                  loudness=-3, snaps=True)  # fmt: skip
TWO_BEAT = Feel("two-beat", ("two-beat", "two beat", "2-beat", "in two", "in 2", "two-feel", "dixie"), _on("four"),
                "cymbal", "two-beat", "two", "two-beat", snaps=True)  # fmt: skip
BALLAD = Feel("ballad", ("ballad", "rubato", "slow"), _on(*_SIMPLE), "cymbal", "brushes", "ballad", "ballad", -1, 5,
              0.6, loudness=-9, kit=BRUSH_KIT, count_bars=1)  # fmt: skip
BOSSA = Feel("bossa", ("bossa", "samba", "latin", "brazil"), _on("four", "odd"), "straight", "bossa", "bossa", "bossa",
             loudness=-3)  # fmt: skip
EVEN_EIGHTHS = Feel("even eighths", ("even", "straight"), _on(*_SIMPLE, "additive"), "straight", "even", "even",
                    "even")  # fmt: skip
JAZZ_WALTZ = Feel("jazz waltz", ("waltz",), _on("three"), "cymbal", "waltz", "waltz", "waltz", push_liking=3.0)
FIVE_FOUR = Feel("five-four", ("five", "5/4"), _on("five"), "cymbal", "swing", "walk", "swing")
SIX_EIGHT = Feel("six-eight", ("six", "6/8", "afro"), _on("compound"), "straight", "six", "six", "six")
TWELVE_EIGHT = Feel("twelve-eight blues", ("blues", "12/8", "twelve", "shuffle"), _on("compound"), "straight", "blues",
                    "blues", "blues")  # fmt: skip
SHUFFLE = Feel("shuffle", ("shuffle", "12/8", "twelve"), _on("four", "odd"), "triplet", "blues", "walk", "swing",
               loudness=2, snaps=True)  # fmt: skip

FEELS: tuple[Feel, ...] = (TWO_BEAT, SLOW_SWING, UP_SWING, BALLAD, BOSSA, EVEN_EIGHTHS, JAZZ_WALTZ, FIVE_FOUR,
                           TWELVE_EIGHT, SIX_EIGHT, SHUFFLE, MEDIUM_SWING)  # fmt: skip
"""Every feel, in the order in which a chart's words are tried: a row with longer words before one with shorter."""

FEEL_NAMES = (MEDIUM_SWING.name, UP_SWING.name, SLOW_SWING.name, BALLAD.name, TWO_BEAT.name, SHUFFLE.name, BOSSA.name,
              EVEN_EIGHTHS.name, JAZZ_WALTZ.name, FIVE_FOUR.name, SIX_EIGHT.name, TWELVE_EIGHT.name)  # fmt: skip
"""What a list of feels offers, everyday ones first. Each is found again by its own name."""

# What is played where no word fits the metre.
BY_METER: Mapping[MeterKind, Feel] = MappingProxyType({
    "four": MEDIUM_SWING, "three": JAZZ_WALTZ, "five": FIVE_FOUR, "odd": MEDIUM_SWING, "compound": SIX_EIGHT,
    "additive": EVEN_EIGHTHS,
})  # fmt: skip
UP_FROM = 200
"""Quarter notes a minute from which a chart marked just "swing" is played as an up tune. Common practice, no source."""


def kind_of_meter(meter: Meter) -> MeterKind:
    """How a metre is felt: additive are 5/8, 7/8, 11/8 and their like, in groups of two and three pulses."""
    if meter.is_compound:
        return "compound"
    if meter.denominator >= 8:
        return "additive"
    kinds: dict[int, MeterKind] = {2: "four", 3: "three", 4: "four", 5: "five", 8: "four", 12: "four"}
    return kinds.get(meter.beats, "odd")


def choose_feel(text: str, meter: Meter, tempo: float = 0.0) -> Feel:
    """The feel for a chart's words, metre and tempo (quarter notes a minute, where it is known).

    The first row that the words ask for and the metre suits; otherwise what the metre is usually played in, in even
    eighths where the words ask for those.
    """
    words = text.lower()
    asked = [feel for feel in FEELS if any(re.search(rf"\b{re.escape(word)}", words) for word in feel.words)]
    kind = kind_of_meter(meter)
    found = next((feel for feel in asked if kind in feel.meters), None)
    if found is None:
        found = BY_METER[kind]
        if found.swings and any("four" in feel.meters for feel in asked) and not any(feel.swings for feel in asked):
            return replace(found, swing="straight", drums="even", comp="even")
    if found is MEDIUM_SWING and tempo >= UP_FROM and "medium" not in words:
        return UP_SWING
    return found
