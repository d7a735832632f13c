"""Cycles: turnarounds, divisions of the octave, constant structures."""

from __future__ import annotations

from core.techniques.catalogue.shared import (
    COKER_BLUES,
    COMMON,
    DAMERON,
    DOMINANT,
    LYDIAN,
    LYDIAN_DOMINANT,
    MINOR_PLAIN,
    TEREFENKO,
    THIRDS,
    TURNAROUND,
)
from core.techniques.conditions import (
    first_is_tonic,
    in_major,
)
from core.techniques.technique import Condition, Example, Part, Rule, Technique

_CYCLE_V = ("7", "9", "13", "7b9", "7#9", "7b13", "7#11")
_CYCLE_I = ("maj7", "6", "maj9", "69", "maj7#11")

_I = (0, None)
_III = ("m7", "m11")
_O = ("dim7",)

# Two bars, four chords, offsets in fifths from the tonic: title, chords, boldness and cost to be added.
_TURNS = (
    ("I vi ii V", (_I, (3, MINOR_PLAIN), (2, MINOR_PLAIN), (1, DOMINANT)), -10, 0),
    ("I VI7 ii V", (_I, (3, DOMINANT), (2, MINOR_PLAIN), (1, DOMINANT)), -8, 0),
    ("I VI7 II7 V", (_I, (3, DOMINANT), (2, DOMINANT), (1, DOMINANT)), 0, 1),
    ("iii VI7 ii V", ((4, _III), (3, DOMINANT), (2, MINOR_PLAIN), (1, DOMINANT)), -4, 0),
    ("iii vi ii V", ((4, _III), (3, MINOR_PLAIN), (2, MINOR_PLAIN), (1, DOMINANT)), -4, 0),
    ("III7 vi ii V", ((4, DOMINANT), (3, MINOR_PLAIN), (2, MINOR_PLAIN), (1, DOMINANT)), 2, 2),
    ("III7 VI7 II7 V", ((4, DOMINANT), (3, DOMINANT), (2, DOMINANT), (1, DOMINANT)), 6, 2),
    (
        "I with three tritone substitutes",
        (_I, (-3, LYDIAN_DOMINANT), (-4, LYDIAN_DOMINANT), (-5, LYDIAN_DOMINANT)),
        25,
        4,
    ),
    ("I and three major sevenths", (_I, (-3, LYDIAN), (-4, LYDIAN), (-5, LYDIAN)), 32, 5),
    ("I ♯I diminished ii V", (_I, (7, _O), (2, MINOR_PLAIN), (1, DOMINANT)), 4, 1),
    ("I ♯I diminished ii ♯II diminished", (_I, (7, _O), (2, MINOR_PLAIN), (9, _O)), 6, 2),
    ("I ♭III diminished ii V", (_I, (-3, _O), (2, MINOR_PLAIN), (1, DOMINANT)), 6, 1),
    ("I ♭III7 II7 ♭II7", (_I, (-3, LYDIAN_DOMINANT), (2, DOMINANT), (-5, LYDIAN_DOMINANT)), 22, 3),
    ("I VI7 ♭VI7 V", (_I, (3, DOMINANT), (-4, LYDIAN_DOMINANT), (1, DOMINANT)), 14, 2),
)
# Where a turnaround may stand: kinds, motions, bars at least, what else must hold.
_TURNED: tuple[tuple[tuple[str, ...], tuple[int | None, ...], int, Condition], ...] = (
    (("major",), (0,), 2, in_major(0)),
    (("dominant seventh",), (0,), 2, in_major(0)),
    (("major", "dominant seventh"), (7, 5), 2, first_is_tonic),
    (("major", "minor", "minor", "dominant seventh"), (9, 5, 5, 5), 1, first_is_tonic),
    (("major", "dominant seventh", "minor", "dominant seventh"), (9, 5, 5, 5), 1, first_is_tonic),
    (("major", "minor", "minor", "dominant seventh"), (9, 5, 5, 9), 1, first_is_tonic),
)


def _turn_parts(chords: tuple[tuple[int, tuple[str, ...] | None], ...]) -> tuple[Part, ...]:
    return tuple(Part(kept=0) if kinds is None else Part(offset, kinds, of="first") for offset, kinds in chords)


TECHNIQUES: tuple[Technique, ...] = (
    Technique(
        id="turnaround",
        title="Turnaround",
        seam="turnaround",
        family="cycles",
        rule_text="Two bars of tonic before its return, or I vi ii V in their place, are filled by a turnaround: "
        "diatonic, of dominants, of their tritone substitutes, of major sevenths or of diminished chords.",
        melody_text="Each chord is tested over its own two beats.",
        rules=tuple(
            Rule(kinds, motions, _turn_parts(chords), min_bars=bars, tail_bars=2, condition=holds, title=title,
                 boldness=boldness, cost=cost)
            for kinds, motions, bars, holds in _TURNED
            for title, chords, boldness, cost in _TURNS
            if (motions[-1] == 9) == (chords[-1][1] is _O)
        ),
        reasons=("roots_by_fifths", "constant_kind", "bass_line"),
        references=(TURNAROUND, DAMERON, COKER_BLUES, TEREFENKO + ", Fig. 13.5"),
        examples=(
            Example("C major", "Cmaj7 | Dm7 G7 | Cmaj7 | Cmaj7", "Cmaj7 | Dm7 G7 | Cmaj7 Am7 | Dm7 G7", 3),
            Example("C major", "Cmaj7 Am7 | Dm7 G7 | Cmaj7", "Cmaj7 Eb7 | Ab7 Db7 | Cmaj7", 1),
            Example("C major", "Cmaj7 Am7 | Dm7 G7 | Cmaj7", "Cmaj7 Ebmaj7 | Abmaj7 Dbmaj7 | Cmaj7", 1),
            Example("C major", "Cmaj7 Am7 | Dm7 G7 | Cmaj7", "Cmaj7 Eb7 | D7 Db7 | Cmaj7", 1),
        ),
        counterexamples=(
            Example("C major", "Cmaj7 Am7 | Dm7 G7 | Am7", "", 1),
            Example("C major", "Cmaj7 | Dm7 G7 | Cmaj7 | Cmaj7", "", 3, "z8 | z8 | z4 _A4 | z8"),
        ),
        boldness=20,
        cost=9,
    ),
    Technique(
        id="major_third_cycle",
        title="Major-third cycle",
        seam="major-third cycle",
        family="cycles",
        rule_text="Four bars of ii–V–I, or of tonic, go through the three keys a major third apart, each entered by "
        "its own dominant; from the ii the tonic is reached a bar later than before.",
        melody_text="The strictest of all: every half bar is in another key and is tested there.",
        rules=(
            Rule(("minor seventh", "dominant seventh", "major"), (5, 5, None),
                 (Part(2, ("m7",)), Part(-3, _CYCLE_V), Part(-4, _CYCLE_I), Part(5, _CYCLE_V), Part(4, _CYCLE_I),
                  Part(1, _CYCLE_V), Part(0, ("maj7", "6", "69"), weight=2)), min_bars=4,
                 title="Major-third cycle from ii"),
            Rule(("major",), (None,),
                 (Part(0, ("maj7", "6")), Part(-3, _CYCLE_V), Part(-4, _CYCLE_I), Part(5, _CYCLE_V), Part(4, _CYCLE_I),
                  Part(1, _CYCLE_V), Part(0, ("maj7", "6", "69"), weight=2)), min_bars=4, tail_bars=4,
                 condition=in_major(0)),
        ),
        reasons=("thirds_cycle", "bass_line"),
        references=(THIRDS,),
        examples=(
            Example("C major", "Dm7 | G7 | Cmaj7 | Cmaj7", "Dm7 Eb7 | Abmaj7 B7 | Emaj7 G7 | Cmaj7", 1),
            Example("C major", "Cmaj7 | Cmaj7 | Cmaj7 | Cmaj7 | Dm7 | G7",
                    "Cmaj7 Eb7 | Abmaj7 B7 | Emaj7 G7 | Cmaj7 | Dm7 | G7", 1),
        ),
        counterexamples=(
            Example("C major", "Dm7 | G7 | Cmaj7", "", 1),
            Example("C major", "Dm7 | G7 | Cmaj7 | Cmaj7", "", 1, "z8 | A8 | z8 | z8"),
        ),
        boldness=75,
        cost=16,
    ),
    Technique(
        id="constant_structure",
        title="Constant structure",
        seam="constant structure",
        family="cycles",
        rule_text="One kind of chord moves by one interval: over a tonic that stays, or in place of a chain of "
        "substitute dominants, which all become major sevenths.",
        melody_text="The tune must fit every chord; it is often the same degree of each.",
        rules=(
            *(Rule(("major",), (None,), tuple(Part(offset, ("maj7",)) for offset in offsets), min_bars=2, tail_bars=2,
                   condition=in_major(0), title=f"Constant structure in {name}", boldness=boldness)
              for name, offsets, boldness in (
                  ("minor thirds", (0, -3, -6, 3), 5), ("major thirds", (0, -4, 4, 0), 0),
                  ("whole steps down", (0, -2, -4, -6), 0))),
            *(Rule(("minor seventh",), (None,), tuple(Part(offset, ("m7",)) for offset in offsets), min_bars=2,
                   tail_bars=2, title=f"Minor sevenths in {name}", boldness=boldness)
              for name, offsets, boldness in (
                  ("minor thirds", (0, -3, -6, 3), 8), ("whole steps down", (0, -2, -4, -6), 5))),
            Rule(("dominant seventh",) * 3, (5, 5, 11), tuple(Part(offset, LYDIAN) for offset in (2, 1, 0)),
                 title="Major sevenths for a chain of substitutes"),
            Rule(("dominant seventh",) * 2, (5, 11), tuple(Part(offset, LYDIAN) for offset in (1, 0)),
                 title="Major sevenths for two substitutes"),
        ),
        reasons=("constant_kind", "bass_line"),
        references=(DAMERON, COMMON),
        examples=(
            Example("C major", "Cmaj7 | Cmaj7 | Dm7 | G7", "Cmaj7 Ebmaj7 | Gbmaj7 Amaj7 | Dm7 | G7", 1),
            Example("C major", "Cmaj7 Eb7 | Ab7 Db7 | Cmaj7", "Cmaj7 Ebmaj7 | Abmaj7 Dbmaj7 | Cmaj7", 1),
        ),
        counterexamples=(
            Example("C major", "Cmaj7 | Dm7 | G7 | Cmaj7", "", 2),
            Example("C major", "Cmaj7 | Cmaj7 | Dm7 | G7", "", 1, "G8 | E8 | z8 | z8"),
        ),
        boldness=60,
        cost=15,
    ),
)  # fmt: skip
