"""Tables of the band: what piano, bass and drums may play in each feel.

Patterns are written a sign per unit, by the size of the group of beats they cover. In simple metres a unit is half a
beat: 8 units are four beats, 6 three, 4 two, 2 one. In compound and additive metres it is a pulse: 6 are two felt beats
of three, 3 and 2 one beat each. ``x`` is an attack, ``-`` holds it, ``.`` is silence; in the drums a digit is an attack
with its weight, 1 to 9.

Sources: Charleston (beat 1 and and-of-2), its displacement, and-of-2 with and-of-4, as stock comping rhythms of the
jazz piano handbooks (M. Levine, The Jazz Piano Book, 1989, from memory); the rest common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import TypeVar

_Row = TypeVar("_Row")
SIMPLE, PULSES = 2, 3
"""Units in a beat: the second half of a table's key."""
FALLBACK: Mapping[int, str] = MappingProxyType({SIMPLE: "even", PULSES: "six"})


def table_for(tables: Mapping[tuple[str, int], Mapping[int, _Row]], name: str, per_beat: int) -> Mapping[int, _Row]:
    """The rows of a feel for a bar with ``per_beat`` units in a beat.

    A feel without rows for such a bar (a compound bar in the middle of a tune in four) lends it those of the metre.
    """
    return tables.get((name, per_beat)) or tables[FALLBACK[per_beat], per_beat]


# Comping cells by feel and group size: sparse, medium, busy.
CellTable = Mapping[int, tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]]
COMPING: Mapping[tuple[str, int], CellTable] = MappingProxyType({
    ("swing", SIMPLE): {
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
    ("up", SIMPLE): {
        8: (("x--.....", "...x--..", ".......x", "x-----..", "........", "...x----"),
            ("x--x----", "...x...x", "x--....x", ".x----..", "...x-..x", ".....x-x"),
            ("x-.x...x", ".x-....x", "x--x--..", ".....x.x")),
        6: (("x-----", "...x--", ".....x", "......"), ("x--x--", "...x.x", "x--..x"), ("x..x.x", ".x-..x")),
        4: (("x-..", "...x", "....", "x---"), ("x..x", "x-..", "...x"), (".x.x", "x..x")),
        2: (("x.", "..", ".x"), ("x.", ".x"), ("x.", ".x")),
        1: ((".", "x"), ("x",), ("x",)),
    },
    ("two-beat", SIMPLE): {
        8: (("..x.....", "......x.", "..x....x", "x--.....", ".......x", "........"),
            ("..x...x.", "x-.x....", "..x-...x", "..x..x..", "......xx", "...x..x."),
            ("..x...xx", "..xx..x.", "x-.x..x.", "..x..x.x")),
        6: (("..x...", ".....x", "x--..."), ("..x.x.", "..x..x", "...x.x"), ("..x.xx", "x-.x.x")),
        4: (("..x.", "...x", "...."), ("..x.", ".x.x", "x..x"), ("..xx", ".x.x")),
        2: (("x.", "..", ".x"), ("x.", ".x"), ("x.", ".x")),
        1: ((".", "x"), ("x",), ("x",)),
    },
    ("waltz", SIMPLE): {
        8: (("x--.....", "...x....", ".......x"), ("x-.x....", "...x...x", "..x..x.."), ("x-.x...x", "x..x..x.")),
        6: (("x--...", "...x--", ".....x", "..x-..", "x-----", "......", ".x----"),
            ("x-.x--", "..x..x", ".x.x..", "...x.x", "x--..x", "..x-x-", ".x--.x"),
            ("x..x.x", ".x.x.x", "..x-xx", ".x-x.x")),
        4: (("x-..", "...x", ".x..", "...."), ("x..x", ".x.x", "..x-"), (".x.x", "x..x")),
        2: (("x.", "..", ".x"), ("x.", ".x"), ("x.", ".x")),
        1: ((".", "x"), ("x",), ("x",)),
    },
    ("ballad", SIMPLE): {
        8: (("x-------", "x-----..", "x------x", "..x-----", ".......x", "...x----"),
            ("x---x---", "x-----.x", "x-----x-", "x--x---x", "x--x----", "...x---x", "...x----"),
            ("x---x--x", "x--x--x-", "x----x-x", "...x---x")),
        6: (("x-----", "x----x", ".....x", "...x--"), ("x---x-", "x--x--", "x----x", "...x-x"), ("x-x-x-", "x--x-x")),
        4: (("x---", "x--.", "...x"), ("x-x-", "x--x", "...x"), ("x-x-", "x--x")),
        2: (("x-", ".."), ("x-", "x."), ("x-", "xx")),
        1: ((".", "x"), ("x",), ("x",)),
    },
    ("even", SIMPLE): {
        8: (("x-------", "...x----", "x----...", "........", "x------x"),
            ("x--x----", "x----x--", "...x---x", "x--x---x", "..x--x--", "x-----.x"),
            ("x--x--x-", ".x-x--x-", "x--x---x", "x-x--x-x")),
        6: (("x-----", "...x--", "x----x", "..x---"), ("x--x--", "..x--x", "x---x-", "x--..x"), ("x--x-x", ".x-x-x")),
        4: (("x---", "...x", "...."), ("x--x", ".x-x", "x-x-"), ("x-xx", ".x-x")),
        2: (("x-", "..", ".x"), ("x-", ".x"), ("x-", "xx")),
        1: ((".", "x"), ("x",), ("x",)),
    },
    ("bossa", SIMPLE): {
        8: (("x-.x....", "..x--x..", "x-----.x", "...x--.x", "x--x----"),
            ("x--x--x.", "..x--x..", "x-.x--.x", "..x--x.x", "x--x..x.", ".x-x--.x"),
            ("x-.x-.xx", "x-x--x.x", ".x-x-.xx")),
        6: (("x-.x..", "..x--x", "x-----"), ("x--x-.", "..x-.x", "x-.x.x"), ("x-x-.x", ".x-x.x")),
        4: (("x-..", "...x", ".x.."), ("x--x", ".x-x", "x-.x"), ("x-xx", ".x-x")),
        2: (("x.", "..", ".x"), ("x.", ".x"), ("x.", "xx")),
        1: ((".", "x"), ("x",), ("x",)),
    },
    ("six", PULSES): {
        6: (("x-----", "x--...", "...x--", "x----x", ".....x"),
            ("x--x--", "x-..x-", "x--..x", "..x..x", "...x-x"),
            ("x-xx--", "x--x-x", "..xx-x")),
        3: (("x--", "...", "x..", "..x"), ("x--", "..x", "x.x"), ("x-x", ".xx")),
        2: (("x-", ".."), ("x-", ".x"), ("xx",)),
        1: (("x",), ("x",), ("x",)),
    },
    ("blues", PULSES): {
        6: (("x--...", "...x..", ".....x", "..x...", "......"),
            ("...x-.", "..x..x", "x-...x", "..xx..", "x-.x.."),
            ("x-.x.x", "..xx.x", ".xx..x")),
        3: (("x--", "...", "..x"), ("x-.", "..x", "x.x"), ("x-x", ".xx")),
        2: (("x-",), ("x-",), ("xx",)),
        1: (("x",), ("x",), ("x",)),
    },
})  # fmt: skip

# Bass rhythms by style and group size; a chord change in between always gets a note. Repeated rows weigh more.
BASS: Mapping[tuple[str, int], Mapping[int, tuple[str, ...]]] = MappingProxyType({
    ("walk", SIMPLE): {8: ("x-x-x-x-",), 6: ("x-x-x-",), 4: ("x-x-",), 2: ("x-",), 1: ("x",)},
    ("two", SIMPLE): {8: ("x---x---", "x---x---", "x---x-x-"), 6: ("x---x-",), 4: ("x---", "x-x-"), 2: ("x-",),
                      1: ("x",)},
    ("ballad", SIMPLE): {8: ("x---x-x-", "x---x---", "x-----x-", "x---x--x"), 6: ("x---x-", "x---x-", "x-----"),
                         4: ("x---", "x-x-"), 2: ("x-",), 1: ("x",)},
    ("waltz", SIMPLE): {8: ("x-x-x-x-",), 6: ("x-x-x-", "x---x-", "x-x-x-"), 4: ("x-x-",), 2: ("x-",), 1: ("x",)},
    ("even", SIMPLE): {8: ("x--x----", "x--x--x-", "x----xx-", "x---x-x-"), 6: ("x---x-", "x--x--"),
                       4: ("x--x", "x-x-"), 2: ("x-",), 1: ("x",)},
    ("bossa", SIMPLE): {8: ("x--xx--x",), 6: ("x--xx-",), 4: ("x--x",), 2: ("x-",), 1: ("x",)},
    ("six", PULSES): {6: ("x--x--", "x--x-x", "x----x"), 3: ("x--", "x--", "x-x"), 2: ("x-",), 1: ("x",)},
    ("blues", PULSES): {6: ("x--x--", "x--x--", "x--x-x"), 3: ("x--",), 2: ("x-",), 1: ("x",)},
})  # fmt: skip

RIDE, CRASH, PEDAL_HAT, OPEN_HAT, CLOSED_HAT, SIDE_STICK, SNARE, KICK = 51, 49, 44, 46, 42, 37, 38, 36
"""General MIDI Level 1 percussion keys (RP003)."""
BRUSH_TAP, BRUSH_SWIRL = 38, 40
"""The keys of the two snares, which a brush kit gives to a tap and a swirl. Common practice, no source."""

# Drum patterns: feel, group size, then for each drum the usual row and others that now and then take its place.
DrumRows = tuple[tuple[int, tuple[str, ...]], ...]
DRUMS: Mapping[tuple[str, int], Mapping[int, DrumRows]] = MappingProxyType({
    ("swing", SIMPLE): {
        8: ((RIDE, ("6.745.74", "6.745.74", "6.7.5.74", "6.745.7.", "6.745474")), (PEDAL_HAT, ("..6...6.",)),
            (KICK, ("2.2.2.2.",))),
        6: ((RIDE, ("6.745.", "6.7454", "6.74.4")), (PEDAL_HAT, ("..6...", "..6...")), (KICK, ("3.....",))),
        4: ((RIDE, ("6.74", "6.74", "6.7.")), (PEDAL_HAT, ("..6.",)), (KICK, ("2.2.",))),
        2: ((RIDE, ("6.",)),),
        1: ((RIDE, ("5",)),),
    },
    ("up", SIMPLE): {
        8: ((RIDE, ("6.746.74", "6.7.6.74", "6.746.7.", "6.7.6.7.")), (PEDAL_HAT, ("..7...7.",)),
            (KICK, ("2.2.2.2.",))),
        6: ((RIDE, ("6.746.", "6.7.6.")), (PEDAL_HAT, ("..7...",))),
        4: ((RIDE, ("6.74", "6.7.")), (PEDAL_HAT, ("..7.",)), (KICK, ("2.2.",))),
        2: ((RIDE, ("6.",)),),
        1: ((RIDE, ("5",)),),
    },
    ("two-beat", SIMPLE): {
        8: ((OPEN_HAT, ("4...4...",)), (CLOSED_HAT, ("..64..64", "..64..6.")), (KICK, ("5...4...",)),
            (SNARE, ("........", "......2.", ".......2"))),
        6: ((OPEN_HAT, ("4.....",)), (CLOSED_HAT, ("..645.",)), (KICK, ("5.....",))),
        4: ((OPEN_HAT, ("4...",)), (CLOSED_HAT, ("..64",)), (KICK, ("5...",))),
        2: ((CLOSED_HAT, ("5.",)),),
        1: ((CLOSED_HAT, ("4",)),),
    },
    ("waltz", SIMPLE): {
        8: ((RIDE, ("6.745.74",)), (PEDAL_HAT, ("..6...6.",)), (KICK, ("3.......",))),
        6: ((RIDE, ("6.745.", "6.745.", "6.7454", "6.74.4", "6..45.")), (PEDAL_HAT, ("..6...", "..6.4.")),
            (KICK, ("4.....", "3.....", "3....2"))),
        4: ((RIDE, ("6.74",)), (PEDAL_HAT, ("..6.",)), (KICK, ("3...",))),
        2: ((RIDE, ("6.",)),),
        1: ((RIDE, ("5",)),),
    },
    ("brushes", SIMPLE): {
        8: ((BRUSH_SWIRL, ("4...4...",)), (BRUSH_TAP, ("..4...4.", "..4...43", "..42..4.")), (PEDAL_HAT, ("..4...4.",)),
            (KICK, ("2.......",))),
        6: ((BRUSH_SWIRL, ("4.....",)), (BRUSH_TAP, ("..4.3.", "..4.32")), (PEDAL_HAT, ("..4.3.",)),
            (KICK, ("2.....",))),
        4: ((BRUSH_SWIRL, ("4...",)), (BRUSH_TAP, ("..4.", "..43")), (PEDAL_HAT, ("..4.",))),
        2: ((BRUSH_TAP, ("4.",)),),
        1: ((BRUSH_TAP, ("3",)),),
    },
    ("even", SIMPLE): {
        8: ((RIDE, ("64546454", "64546455", "6.546.54")), (PEDAL_HAT, ("..5...5.",)),
            (SIDE_STICK, ("......4.", "...4..4.")), (KICK, ("4.......", "4....3.."))),
        6: ((RIDE, ("645464", "6.5464")), (PEDAL_HAT, ("..5...",)), (KICK, ("4.....",))),
        4: ((RIDE, ("6454",)), (PEDAL_HAT, ("..5.",)), (KICK, ("4...",))),
        2: ((RIDE, ("64",)),),
        1: ((RIDE, ("5",)),),
    },
    ("bossa", SIMPLE): {
        8: ((CLOSED_HAT, ("53435343",)), (KICK, ("5..35..3",)), (PEDAL_HAT, ("..4...4.",))),
        6: ((CLOSED_HAT, ("534343",)), (SIDE_STICK, ("5..5..", "..5..5")), (KICK, ("5..35.",))),
        4: ((CLOSED_HAT, ("5343",)), (SIDE_STICK, ("5..5", "..5.")), (KICK, ("5..3",))),
        2: ((CLOSED_HAT, ("53",)),),
        1: ((CLOSED_HAT, ("4",)),),
    },
    ("six", PULSES): {
        6: ((RIDE, ("645645", "645654")), (PEDAL_HAT, ("...5..",)), (KICK, ("4.....", "4....3"))),
        3: ((RIDE, ("645", "64.")), (KICK, ("3..",))),
        2: ((RIDE, ("64",)), (PEDAL_HAT, ("4.",))),
        1: ((RIDE, ("5",)),),
    },
    ("blues", PULSES): {
        6: ((RIDE, ("6.57.5", "6457.5")), (PEDAL_HAT, ("...5..",)), (SNARE, ("...6..",)), (KICK, ("5.....", "5....3"))),
        3: ((RIDE, ("6.5",)), (KICK, ("4..",))),
        2: ((RIDE, ("64",)),),
        1: ((RIDE, ("5",)),),
    },
    ("blues", SIMPLE): {
        8: ((RIDE, ("64746474", "6.746.74")), (PEDAL_HAT, ("..5...5.",)), (SNARE, ("..6...6.", "..6...62")),
            (KICK, ("4...4...", "4...4..3"))),
        6: ((RIDE, ("647464",)), (PEDAL_HAT, ("..5...",)), (KICK, ("4.....",))),
        4: ((RIDE, ("6474",)), (PEDAL_HAT, ("..5.",)), (SNARE, ("..6.",)), (KICK, ("4...",))),
        2: ((RIDE, ("64",)),),
        1: ((RIDE, ("5",)),),
    },
})  # fmt: skip

USUAL = 0.6
"""How often a drum plays the first of its rows."""
# The rim of a bossa is a figure of two bars, so it turns with the bars and not with the die: 3 + 2 and 2 + 3.
TWO_BAR_FIGURES: Mapping[str, tuple[int, tuple[str, str]]] = MappingProxyType({
    "bossa": (SIDE_STICK, ("5..5..5.", "..5..5..")),
})  # fmt: skip
CHATTING = frozenset({"swing", "up", "waltz"})
"""Feels in which the left hand chats softly on the snare."""
# What leads out of a section, one drawn each time: drum, units before its end, weight.
Fill = tuple[tuple[int, int, int], ...]
FILLS: Mapping[tuple[str, int], tuple[Fill, ...]] = MappingProxyType({
    ("swing", SIMPLE): (((SNARE, 3, 3), (SNARE, 2, 4), (SNARE, 1, 5), (KICK, 1, 3)),
                        ((SNARE, 5, 3), (SNARE, 3, 4), (KICK, 2, 3), (SNARE, 1, 5)),
                        ((SNARE, 4, 3), (SNARE, 3, 2), (SNARE, 2, 4), (KICK, 1, 4)),
                        ((SNARE, 1, 5), (KICK, 1, 3))),
    ("up", SIMPLE): (((SNARE, 3, 4), (KICK, 2, 4), (SNARE, 1, 5)), ((SNARE, 1, 5), (KICK, 1, 4)),
                     ((SNARE, 4, 4), (SNARE, 2, 4), (KICK, 1, 4))),
    ("two-beat", SIMPLE): (((SNARE, 3, 3), (SNARE, 2, 4), (SNARE, 1, 4)), ((SNARE, 2, 4), (SNARE, 1, 3))),
    ("waltz", SIMPLE): (((SNARE, 2, 3), (SNARE, 1, 4)), ((SNARE, 3, 3), (SNARE, 1, 4), (KICK, 1, 2))),
    ("brushes", SIMPLE): (((BRUSH_TAP, 3, 3), (BRUSH_TAP, 1, 4)), ((BRUSH_TAP, 2, 4), (BRUSH_TAP, 1, 3))),
    ("even", SIMPLE): (((SNARE, 2, 3), (SNARE, 1, 4), (KICK, 1, 3)), ((SNARE, 3, 3), (SNARE, 1, 4))),
    ("bossa", SIMPLE): (((SIDE_STICK, 1, 4),), ((SIDE_STICK, 2, 4), (SIDE_STICK, 1, 4))),
    ("six", PULSES): (((SNARE, 2, 3), (SNARE, 1, 4)), ((SNARE, 3, 3), (SNARE, 1, 4))),
    ("blues", PULSES): (((SNARE, 3, 4), (SNARE, 2, 3), (SNARE, 1, 5)), ((SNARE, 2, 4), (SNARE, 1, 5), (KICK, 1, 4))),
    ("blues", SIMPLE): (((SNARE, 3, 3), (SNARE, 2, 5), (SNARE, 1, 5)), ((SNARE, 2, 5), (SNARE, 1, 4), (KICK, 1, 4))),
})  # fmt: skip

# How a drummer catches an anticipated chord with the piano: out of how many, and with what (drum, weight), drawn alike.
# Where there is no row the drums keep time: a bossa's kick is on the last eighth of the bar by itself.
Catch = tuple[tuple[int, int], ...]
CATCHES: Mapping[tuple[str, int], tuple[float, tuple[Catch, ...]]] = MappingProxyType({
    ("swing", SIMPLE): (0.4, (((KICK, 5), (RIDE, 7)), ((SNARE, 4),), ((KICK, 5),), ((KICK, 5), (SNARE, 3)))),
    ("up", SIMPLE): (0.35, (((KICK, 5),), ((SNARE, 5),), ((KICK, 5), (RIDE, 8)))),
    ("two-beat", SIMPLE): (0.3, (((SNARE, 4),), ((KICK, 5), (CLOSED_HAT, 6)))),
    ("waltz", SIMPLE): (0.35, (((KICK, 4), (RIDE, 7)), ((SNARE, 3),), ((KICK, 5),))),
    ("brushes", SIMPLE): (0.25, (((BRUSH_TAP, 4),), ((BRUSH_TAP, 4), (KICK, 3)))),
    ("even", SIMPLE): (0.35, (((KICK, 5), (RIDE, 7)), ((KICK, 5),), ((SIDE_STICK, 4),))),
    ("six", PULSES): (0.3, (((KICK, 5), (RIDE, 7)), ((SNARE, 3),))),
    ("blues", PULSES): (0.3, (((KICK, 5),), ((SNARE, 3),))),
    ("blues", SIMPLE): (0.35, (((KICK, 6),), ((SNARE, 4),), ((KICK, 5), (RIDE, 7)))),
})  # fmt: skip
