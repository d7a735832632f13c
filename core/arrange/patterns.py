"""Tables of the band: which feel a chart asks for, and what drums, bass and piano may play in it.

Patterns are written a sign per unit (half a felt beat; a pulse in compound metres), by the size of the group of beats
they cover: 8 units are four beats, 6 three, 4 two, 2 one; in the compound feel 6 and 3 pulses.
``x`` is an attack, ``-`` holds it, ``.`` is silence; in the drums a digit is an attack with its weight, 1 to 9.

Sources: Charleston (beat 1 and and-of-2), its displacement, and-of-2 with and-of-4, as stock comping rhythms of the
jazz piano handbooks (M. Levine, The Jazz Piano Book, 1989, from memory); the rest common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TypeVar

from core.meter import Meter


@dataclass(frozen=True, slots=True)
class Feel:
    """How the band plays: pattern tables by name, whether eighths swing, and how densely the piano comps.

    ``density`` shifts the choice of comping cells (-1 sparser, 0, 1 busier); ``push_hold`` is how many units an
    anticipation rings on, ``push_liking`` how much likelier a cell with one is than a cell without; ``count_bars``
    are bars of count-in and ``snaps`` whether fingers snap on 2 and 4.
    """

    name: str
    swings: bool
    drums: str
    bass: str
    comp: str
    density: int = 0
    push_hold: int = 3
    push_liking: float = 1.5
    count_bars: int = 2
    snaps: bool = False


MEDIUM_SWING = Feel("medium swing", True, "swing", "walk", "swing", snaps=True)
BALLAD = Feel("ballad", True, "ballad", "two", "ballad", -1, 7, 0.3, count_bars=1)
JAZZ_WALTZ = Feel("jazz waltz", True, "swing", "waltz", "swing")
FIVE = Feel("five", True, "swing", "walk", "swing")
EVEN_EIGHTHS = Feel("even eighths", False, "even", "even", "even", push_liking=0.5)
BOSSA = Feel("bossa", False, "bossa", "bossa", "bossa")
SIX_EIGHT = Feel("six-eight", False, "six", "six", "six")

# Words in the chart's feel, in lower case, tried from the top; the last row takes everything else.
FEEL_WORDS: tuple[tuple[tuple[str, ...], Feel], ...] = (
    (("ballad", "slow", "rubato"), BALLAD),
    (("bossa", "samba", "latin"), BOSSA),
    (("even", "straight"), EVEN_EIGHTHS),
    (("",), MEDIUM_SWING),
)
# The metre goes before the words: felt beats in the bar, or 0 for compound metres.
FEEL_METERS: Mapping[int, Feel] = MappingProxyType({0: SIX_EIGHT, 3: JAZZ_WALTZ, 5: FIVE})
EVEN_WORDS = ("even", "straight", "bossa", "samba", "latin")


def choose_feel(text: str, meter: Meter) -> Feel:
    """The feel for a chart's words and metre.

    Compound metres are played in six-eight, three beats as a jazz waltz, five as 3 + 2; other metres go by their
    words, medium swing where none is known. A waltz or a five that asks for even eighths does not swing.
    """
    words = text.lower()
    by_meter = FEEL_METERS.get(0 if meter.is_compound else meter.beats)
    if by_meter is None:
        feel = next(feel for keys, feel in FEEL_WORDS if any(key in words for key in keys))
        return feel if meter.denominator <= 4 else replace(feel, swings=False)
    if by_meter.swings and "swing" not in words and any(word in words for word in EVEN_WORDS):
        return replace(by_meter, swings=False, drums="even", comp="even")
    return by_meter


_COMPOUND, _SIMPLE = "six", "even"
_Row = TypeVar("_Row")


def table_for(tables: Mapping[str, Mapping[int, _Row]], name: str, per_beat: int) -> Mapping[int, _Row]:
    """The rows of a feel for a bar with ``per_beat`` units in a beat.

    A compound bar in the middle of a tune in four is played in six, and the other way round.
    """
    if (per_beat == 3) == (name == _COMPOUND):
        return tables[name]
    return tables[_COMPOUND if per_beat == 3 else _SIMPLE]


# Comping cells by feel and group size: sparse, medium, busy.
CellTable = Mapping[int, tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]]
COMPING: Mapping[str, CellTable] = MappingProxyType({
    "swing": {
        8: (("x--.....", "...x....", ".......x", "x-----..", "...x--..", "..x.....", "........", ".....x.."),
            ("x-.x....", ".x..x-..", "...x...x", "x--....x", "..x..x..", "...x-..x", "x-...x..", ".....x.x"),
            ("x-.x...x", ".x.x...x", "x.x..x..", "x..x..x.", ".x..x..x", "..xx...x")),
        6: (("x--...", "...x..", ".....x", "..x...", "x-----", "......"),
            ("x-.x..", "..x..x", ".x.x..", "...x.x", "x--..x", "..x.x."),
            ("x..x.x", ".x.x.x", "x.x.x.", ".xx..x")),
        4: (("x-..", "...x", ".x..", "....", "x--."), ("x..x", ".x.x", "x-..", "...x"), ("x.x.", ".x.x", "x..x")),
        2: (("x.", "..", ".x"), ("x.", ".x"), ("x.", ".x")),
        1: ((".", "x"), ("x",), ("x",)),
    },
    "ballad": {
        8: (("x-------", "x-----..", "x------x", "..x-----", ".......x"),
            ("x---x---", "x-----.x", "x-----x-", "x--x---x", "x--x----", "...x---x"),
            ("x---x--x", "x--x--x-", "x----x-x", "x-x---x-")),
        6: (("x-----", "x----x", ".....x"), ("x---x-", "x--x--", "x----x"), ("x-x-x-", "x--x-x")),
        4: (("x---", "x--.", "...x"), ("x-x-", "x--x"), ("x-x-", "x--x")),
        2: (("x-", ".."), ("x-", "x."), ("x-", "xx")),
        1: ((".", "x"), ("x",), ("x",)),
    },
    "even": {
        8: (("x-------", "...x----", "x----...", "........", "x------x"),
            ("x--x----", "x----x--", "...x---x", "x--x---x", "..x--x--", "x-----.x"),
            ("x--x--x-", ".x-x--x-", "x--x---x", "x-x--x-x")),
        6: (("x-----", "...x--", "x----x", "..x---"), ("x--x--", "..x--x", "x---x-", "x--..x"), ("x--x-x", ".x-x-x")),
        4: (("x---", "...x", "...."), ("x--x", ".x-x", "x-x-"), ("x-xx", ".x-x")),
        2: (("x-", "..", ".x"), ("x-", ".x"), ("x-", "xx")),
        1: ((".", "x"), ("x",), ("x",)),
    },
    "bossa": {
        8: (("x-.x....", "..x--x..", "x-----.x", "...x--.x", "x--x----"),
            ("x--x--x.", "..x--x..", "x-.x--.x", "..x--x.x", "x--x..x.", ".x-x--.x"),
            ("x-.x-.xx", "x-x--x.x", ".x-x-.xx")),
        6: (("x-.x..", "..x--x", "x-----"), ("x--x-.", "..x-.x", "x-.x.x"), ("x-x-.x", ".x-x.x")),
        4: (("x-..", "...x", ".x.."), ("x--x", ".x-x", "x-.x"), ("x-xx", ".x-x")),
        2: (("x.", "..", ".x"), ("x.", ".x"), ("x.", "xx")),
        1: ((".", "x"), ("x",), ("x",)),
    },
    "six": {
        6: (("x-----", "x--...", "...x--", "x----x"),
            ("x--x--", "x-..x-", "x--..x", "..x..x", "...x-x"),
            ("x-xx--", "x--x-x", "..xx-x")),
        3: (("x--", "...", "x.."), ("x--", "..x", "x.x"), ("x-x", ".xx")),
        2: (("x-",), ("x-",), ("xx",)),
        1: (("x",), ("x",), ("x",)),
    },
})  # fmt: skip

# Bass rhythms by style and group size; a chord change in between always gets a note. Repeated rows weigh more.
BASS: Mapping[str, Mapping[int, tuple[str, ...]]] = MappingProxyType({
    "walk": {8: ("x-x-x-x-",), 6: ("x-x-x-",), 4: ("x-x-",), 2: ("x-",), 1: ("x",)},
    "two": {8: ("x---x---", "x---x-x-", "x-----x-"), 6: ("x---x-",), 4: ("x---", "x-x-"), 2: ("x-",), 1: ("x",)},
    "waltz": {8: ("x-x-x-x-",), 6: ("x-x-x-", "x---x-", "x-x-x-"), 4: ("x-x-",), 2: ("x-",), 1: ("x",)},
    "even": {8: ("x--x----", "x--x--x-", "x----xx-", "x---x-x-"), 6: ("x---x-", "x--x--"), 4: ("x--x", "x-x-"),
             2: ("x-",), 1: ("x",)},
    "bossa": {8: ("x--xx--x",), 6: ("x--xx-",), 4: ("x--x",), 2: ("x-",), 1: ("x",)},
    "six": {6: ("x--x--", "x--x-x", "x----x"), 3: ("x--",), 2: ("x-",), 1: ("x",)},
})  # fmt: skip

RIDE, PEDAL_HAT, CLOSED_HAT, SIDE_STICK, SNARE, KICK = 51, 44, 42, 37, 38, 36
"""General MIDI Level 1 percussion keys (RP003)."""

# Drum patterns: feel, group size, then for each drum one or more rows that take turns bar by bar.
DRUMS: Mapping[str, Mapping[int, tuple[tuple[int, tuple[str, ...]], ...]]] = MappingProxyType({
    "swing": {
        8: ((RIDE, ("6.745.74",)), (PEDAL_HAT, ("..6...6.",)), (KICK, ("2...2...", "2...2..."))),
        6: ((RIDE, ("6.745.", "6.7454")), (PEDAL_HAT, ("..6...", "..6.5.")), (KICK, ("3.....",))),
        4: ((RIDE, ("6.74",)), (PEDAL_HAT, ("..6.",)), (KICK, ("2...",))),
        2: ((RIDE, ("6.",)),),
        1: ((RIDE, ("5",)),),
    },
    "ballad": {
        8: ((RIDE, ("4.4.4.43", "4.4.4.4.")), (PEDAL_HAT, ("..4...4.",)), (KICK, ("2.......",))),
        6: ((RIDE, ("4.4.43",)), (PEDAL_HAT, ("..4.4.",))),
        4: ((RIDE, ("4.4.",)), (PEDAL_HAT, ("..4.",))),
        2: ((RIDE, ("4.",)),),
        1: ((RIDE, ("4",)),),
    },
    "even": {
        8: ((RIDE, ("64546454", "64546455")), (PEDAL_HAT, ("..5...5.",)), (SIDE_STICK, ("......4.", "...4..4.")),
            (KICK, ("4.......", "4....3.."))),
        6: ((RIDE, ("645464",)), (PEDAL_HAT, ("..5...",)), (KICK, ("4.....",))),
        4: ((RIDE, ("6454",)), (PEDAL_HAT, ("..5.",)), (KICK, ("4...",))),
        2: ((RIDE, ("64",)),),
        1: ((RIDE, ("5",)),),
    },
    "bossa": {
        8: ((CLOSED_HAT, ("53435343",)), (SIDE_STICK, ("5..5..5.", "..5..5..")), (KICK, ("5..35..3",)),
            (PEDAL_HAT, ("..4...4.",))),
        6: ((CLOSED_HAT, ("534343",)), (SIDE_STICK, ("5..5..", "..5..5")), (KICK, ("5..35.",))),
        4: ((CLOSED_HAT, ("5343",)), (SIDE_STICK, ("5..5", "..5.")), (KICK, ("5..3",))),
        2: ((CLOSED_HAT, ("53",)),),
        1: ((CLOSED_HAT, ("4",)),),
    },
    "six": {
        6: ((RIDE, ("645645", "645654")), (PEDAL_HAT, ("...5..",)), (KICK, ("4.....", "4....3"))),
        3: ((RIDE, ("645",)),),
        2: ((RIDE, ("64",)),),
        1: ((RIDE, ("5",)),),
    },
})  # fmt: skip
