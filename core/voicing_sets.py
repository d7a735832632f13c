"""Which degrees a rootless piano voicing holds, per family of chord.

A voicing holds the third (4 or 2 in suspended chords), the seventh (6 in sixth chords), every written alteration and
the highest written tension; a *fill* from the table below brings it to four voices. The bass has the root, so the
hand leaves it out, except where practice keeps it: half-diminished, diminished, triads, and under a foreign bass.

Sources: 3-5-7-9 and 7-9-3-13 forms, E. MacDonald, University of Connecticut jazz piano lesson page; half-diminished
with its root, same; tensions by target of the dominant, Berklee-style chord-scale summaries agreeing with
D. Terefenko, Jazz Theory (2014), ch. 5. Everything else common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from core.chord import Chord
from core.pitch import Degree, parse_degree
from core.quality import Quality

# kind of chord: fills, best first, with a cost each. A fill names one degree for the place of the fifth and one for
# the place of the ninth; a place that a written degree holds already is not filled.
FILLS_TEXT = """
triad             | 5 0
sixth             | 5 9 0
major seventh     | 5 9 0 ; 13 9 7 ; 5 14
minor seventh     | 5 9 0 ; 5 11 5 ; 9 11 5
phrygian minor    | 5 11 0
minor major       | 5 9 0 ; 5 14
half-diminished   | b5 1 0 ; b5 11 2
diminished        | b5 1 0
diminished major  | b5 9 0 ; b5 10
dominant          | 13 9 0 ; 5 9 1 ; 5 b9 14 ; b13 9 14 ; b13 b9 16 ; 5 #9 16
dominant coloured | 5 9 0 ; 13 9 2 ; b13 9 4
dominant to minor | b13 b9 0 ; 5 b9 1 ; b13 #9 2 ; 5 #9 9 ; 5 9 12 ; 13 9 16
substitute        | 13 9 0 ; 5 9 1
suspended seventh | 5 9 0 ; 13 9 3
as written        | 5 1 0
"""
ALTERED_FILLS = (("b13 #9", 0), ("b13 b9", 1), ("#11 #9", 4), ("#11 b9", 4))
"""7alt names four alterations; the hand plays one altered fifth and one altered ninth, those of the melody first."""

BARE_COST = 6
"""What two voices cost beside three."""
# Which place a degree takes; a natural 11 stands where the 9 would, a ♯11 where the 5 would.
FIFTH_PLACE = frozenset({5, 6, 13})
MINOR_TARGETS = frozenset({"minor", "half_diminished", "diminished"})


@dataclass(frozen=True, slots=True)
class ToneSet:
    """Degrees for the hand, the two guide degrees first; ``cost`` ranks sets; ``free`` of them were not written."""

    degrees: tuple[Degree, ...]
    cost: int
    free: frozenset[Degree] = frozenset()


def _read_fills() -> dict[str, tuple[tuple[tuple[Degree, ...], int], ...]]:
    table = {}
    for line in FILLS_TEXT.strip().splitlines():
        kind, cells = (part.strip() for part in line.split("|"))
        fills = [cell.split() for cell in cells.split(";")]
        table[kind] = tuple((tuple(map(parse_degree, fill[:-1])), int(fill[-1])) for fill in fills)
    table["altered"] = tuple((tuple(map(parse_degree, text.split())), cost) for text, cost in ALTERED_FILLS)
    return table


FILLS = _read_fills()
ROOT, FIFTH, SIXTH = Degree(1), Degree(5), Degree(6)


def kind_of(chord: Chord, previous: Chord | None, following: Chord | None) -> str:
    """The row of :data:`FILLS` for a chord between its neighbours.

    A dominant takes its colours from its target; a minor seventh with the ♭9 in its neighbours (the III of a major
    key) takes no 9; a chord over a foreign bass is played as written.
    """
    quality = chord.quality.sounding
    guides = quality.guide_degrees
    if guides is None:
        return "triad"
    if chord.bass_pc != chord.root_pc:
        return "as written"
    if guides[1] == ROOT:
        return "triad"
    if quality.id == "7alt":
        return "altered"
    if quality.family == "suspended":
        return "suspended seventh" if guides[1].number == 7 else "sixth"
    if quality.family == "dominant":
        return _dominant_kind(chord, following)
    if quality.family == "half_diminished":
        return "half-diminished"
    if quality.family == "diminished":
        return "diminished major" if guides[1] == Degree(7) else "diminished"
    if guides[1].number != 7:
        return "sixth"
    if guides[0] == Degree(3, -1):
        return "minor major" if guides[1] == Degree(7) else _minor_kind(chord, previous, following)
    return "major seventh"


def kinds_of(played: Sequence[Chord | None]) -> list[str | None]:
    """The kind of each chord of a row between its neighbours, None at N.C."""
    return [None if chord is None else kind_of(chord, _before(played, index), _after(played, index))
            for index, chord in enumerate(played)]  # fmt: skip


def _before(played: Sequence[Chord | None], index: int) -> Chord | None:
    return next((chord for chord in reversed(played[max(0, index - 2) : index]) if chord is not None), None)


def _after(played: Sequence[Chord | None], index: int) -> Chord | None:
    """The next chord on another root, at most three slots on: a sus chord and its dominant have one target.

    The row comes round again: its last chord leads to its first.
    """
    here = played[index]
    ahead = [*played[index + 1 : index + 4], *played[: max(0, index + 4 - len(played))]]
    return next((chord for chord in ahead
                 if chord is not None and here is not None and chord.root_pc != here.root_pc), None)  # fmt: skip


def _dominant_kind(chord: Chord, following: Chord | None) -> str:
    fall = 0 if following is None else (chord.root_pc - following.root_pc) % 12
    if fall == 7 and following is not None and following.quality.sounding.family in MINOR_TARGETS:
        return "dominant to minor"
    if any(degree.number == 9 and degree.alteration for degree in chord.quality.degrees):
        return "dominant coloured"
    return "substitute" if fall == 1 else "dominant"


def _minor_kind(chord: Chord, previous: Chord | None, following: Chord | None) -> str:
    around = (other for other in (previous, following) if other is not None)
    return "phrygian minor" if any(_makes_third_degree(chord, other) for other in around) else "minor seventh"


def _makes_third_degree(chord: Chord, other: Chord) -> bool:
    """Whether a neighbour says that a minor seventh is III: it is the II, IV or V of that key and holds the ♭9."""
    flat_nine, nine = (chord.root_pc + 1) % 12, (chord.root_pc + 2) % 12
    family = other.quality.sounding.family
    in_key = {1: family == "major", 3: family in ("dominant", "suspended"), 10: family == "minor"}
    return in_key.get((other.root_pc - chord.root_pc) % 12, False) and (
        flat_nine in other.pitch_classes and nine not in other.pitch_classes
    )


@lru_cache(maxsize=4096)
def tone_sets(quality: Quality, kind: str) -> tuple[ToneSet, ...]:
    """The sets of degrees that can stand for a quality, best first."""
    sounding = quality.sounding
    guides = sounding.guide_degrees
    if guides is None:
        return (ToneSet(sounding.degrees, 0),)
    required = required_degrees(sounding, guides, kind == "as written")
    found: dict[frozenset[Degree], ToneSet] = {}
    for fill, cost in FILLS[kind]:
        free = [degree for degree in _open_places(required, fill) if degree in sounding.degrees or degree != FIFTH]
        degrees = (*required, *free[: max(0, 4 - len(required))])
        unwritten = frozenset(degree for degree in degrees if degree not in sounding.degrees)
        found.setdefault(frozenset(degrees), ToneSet(degrees, cost, unwritten))
    return tuple(found.values())


def sixth_for_seventh(tones: ToneSet) -> ToneSet:
    """The same set with the 6 in place of a major 7, for a melody that holds the root; a 13 would be the same note."""
    if Degree(7) not in tones.degrees:
        return tones
    degrees = tuple(SIXTH if degree == Degree(7) else degree for degree in tones.degrees if degree != Degree(13))
    return ToneSet(degrees, tones.cost, tones.free)


@lru_cache(maxsize=4096)
def lean_set(quality: Quality, kind: str) -> ToneSet:
    """A shell: the guide tones and what is written beside them, nothing added; a triad's third and fifth."""
    sounding = quality.sounding
    guides = sounding.guide_degrees
    if guides is None:
        return ToneSet(sounding.degrees, 0)
    if quality.id == "7alt":
        return tone_sets(quality, kind)[0]
    required = tuple(degree for degree in required_degrees(sounding, guides, False) if degree != ROOT)
    if len(required) > 1:
        return ToneSet(required, 0)
    fifth = sounding.degree(5)
    return ToneSet((*required, FIFTH if fifth is None else fifth), 0)


def lean_sets(quality: Quality, kind: str) -> tuple[ToneSet, ...]:
    """The shell, rather with its fifth where that makes three voices; of an altered chord every choice."""
    if quality.id == "7alt":
        return tone_sets(quality, kind)
    shell = lean_set(quality, kind)
    fifths = [degree for degree in quality.sounding.degrees if degree.number == 5 and degree not in shell.degrees]
    bare = ToneSet(shell.degrees, BARE_COST)
    return (ToneSet((*shell.degrees, fifths[0]), 0), bare) if len(shell.degrees) == 2 and fifths else (shell,)


def guides_only(quality: Quality) -> ToneSet:
    """Third (4 or 2) and seventh (6) alone; the fifth where there is no seventh."""
    sounding = quality.sounding
    guides = sounding.guide_degrees
    if guides is None:
        return ToneSet(sounding.degrees, 0)
    fifth = sounding.degree(5)
    return ToneSet((guides[0], (fifth or FIFTH) if guides[1] == ROOT else guides[1]), 0)


def required_degrees(quality: Quality, guides: tuple[Degree, Degree], with_root: bool) -> tuple[Degree, ...]:
    """Guide tones, written alterations, a written sixth and the highest written natural tension."""
    others = () if quality.id == "7alt" else tuple(degree for degree in quality.degrees if degree not in guides)
    altered = tuple(degree for degree in others if degree.alteration and degree.number not in (3, 7))
    sixth = tuple(degree for degree in others if degree == SIXTH)
    natural = tuple(degree for degree in others if degree.number in (2, 4, 9, 11, 13) and not degree.alteration)
    if guides[1] == ROOT and natural and not with_root:
        guides_kept: tuple[Degree, ...] = guides[:1]
    else:
        guides_kept = (*guides, ROOT) if with_root and ROOT not in guides else guides
    return (*guides_kept, *altered, *sixth, *natural[-1:])


def _open_places(required: tuple[Degree, ...], fill: tuple[Degree, ...]) -> tuple[Degree, ...]:
    """What a fill adds: nothing in a place that a written degree beside the two guide tones holds."""
    beside = [degree for degree in required[1:] if degree.number not in (1, 3, 7) and degree != required[1]]
    fifth = any(degree.number in FIFTH_PLACE or degree == Degree(11, 1) for degree in beside)
    ninth = any(degree.number == 9 or degree == Degree(11) for degree in required)
    wanted = (None if fifth else fill[0], None if ninth or len(fill) < 2 else fill[1])
    return tuple(degree for degree in wanted if degree is not None and degree not in required)
