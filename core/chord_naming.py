"""From the notes that were played to the name of a chord: the plainest first, and the other names it can go by.

A chord is looked for on all twelve roots in every row of the quality table, as it stands, turned over, over a foreign
bass, or with tones left out as players leave them out: the fifth, the natural tensions under the highest, and the
root where somebody else plays it. What is ranked is how much a reader must swallow; sources: inversions and omitted
tones, D. Terefenko 2014, *Jazz Theory*, ch. 4 to 6 (from memory); the weights themselves are
common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from core.chord import Chord
from core.key import Key
from core.pitch import Degree, chromatic, parse_degree, spell_near
from core.quality import QUALITIES, Quality, compose
from core.spelling import simple

MOST_NAMES = 8
ROOT_REGISTER = 48
"""MIDI number (C3) from which the lowest note may be a pianist's hand over another player's bass."""

# What a name costs by itself; everything else 2.
_PLAIN = {
    **dict.fromkeys(("maj", "m", "7", "m7", "maj7"), 0),
    **dict.fromkeys(("6", "m6", "m7b5", "dim7", "dim", "aug", "sus", "7sus", "9", "m9", "maj9", "13", "69", "7b9",
                     "m11", "m69", "9sus", "13sus", "mM7", "7#11", "maj7#11", "5"), 1),
    **dict.fromkeys(("mb6", "m#5", "maj7b5", "dimM7", "maj11", "69#11", "sus2", "7#9#11", "7b9#11", "13b9#11"), 3),
}  # fmt: skip
_USUAL, _COMPOSED = 2, 5
_INVERSIONS = {1: ("root position", 0), 3: ("first inversion", 2), 5: ("second inversion", 2),
               7: ("third inversion", 3)}  # fmt: skip
_OTHER_BASS, _FOREIGN_BASS = 4, 5
_NO_FIFTH, _NO_TENSION, _NO_ROOT, _ROOT_HEARD = 1, 1, 4, -2
_OUT_OF_KEY, _IN_CONTEXT = 1, -1
_SCALE = {"major": frozenset((0, 2, 4, 5, 7, 9, 11)), "minor": frozenset((0, 2, 3, 5, 7, 8, 10, 11))}
_TENSIONS = tuple(map(parse_degree, ("b9", "9", "#9", "11", "#11", "b13", "13", "7")))


@dataclass(frozen=True, slots=True)
class NamedChord:
    """A name for what was played: ``position`` in words, ``left_out`` what the name writes and nobody played.

    Lower ``cost`` is plainer; costs can be compared only within one answer.
    """

    chord: Chord
    position: str
    left_out: tuple[Degree, ...]
    cost: int

    @property
    def rootless(self) -> bool:
        """Whether the root was not played."""
        return Degree(1) in self.left_out

    @property
    def words(self) -> str:
        """How it was played: ``'first inversion, without its fifth'``."""
        names = {1: "root", 5: "fifth"}
        missing = [names.get(degree.number, str(degree)) for degree in self.left_out]
        without = f"without its {' and '.join(missing)}" if missing else ""
        return ", ".join(filter(None, ("" if self.rootless else self.position, without)))


@dataclass(frozen=True, slots=True)
class _Context:
    key: Key
    heard: Chord | None
    following: Chord | None
    lowest: int


def name_chord(
    pitches: Iterable[int], key: Key, *, heard: Chord | None = None, following: Chord | None = None,
    most: int = MOST_NAMES
) -> tuple[NamedChord, ...]:  # fmt: skip
    """Names for MIDI pitches, the plainest first; none for fewer than two different notes.

    ``heard`` is the chord that stands where this one would go: its root and bass are what the band plays there.
    ``following`` is the chord after it. ``name_chord((60, 64, 67, 70), Key(0))[0].chord.canonical == 'C7'``.
    """
    played = sorted(set(pitches))
    classes = frozenset(pitch % 12 for pitch in played)
    if len(classes) < 2:
        return ()
    context = _Context(key, heard, following, played[0])
    found = list(_from_table(classes, context))
    if not any(not name.left_out and name.position != "" and name.cost < _FOREIGN_BASS for name in found):
        found += _composed(classes, context)
    best: dict[Chord, NamedChord] = {}
    for name in sorted(found, key=lambda name: _rank(name, key)):
        best.setdefault(name.chord, name)
    return tuple(best.values())[:most]


def _rank(name: NamedChord, key: Key) -> tuple[int, bool, int, int, str]:
    return (
        name.cost,
        name.position != "root position",
        len(name.left_out),
        abs(name.chord.root - key.signature - 1),
        name.chord.canonical,
    )


def _from_table(classes: frozenset[int], context: _Context) -> Iterator[NamedChord]:
    for root in range(12):
        above = frozenset((one - root) % 12 for one in classes)
        for quality in QUALITIES.values():
            name = _fit(root, quality, above, context)
            if name is not None:
                yield name


def _fit(root: int, quality: Quality, above: frozenset[int], context: _Context) -> NamedChord | None:
    """The name if the notes, as semitones above the root, are this quality."""
    low = (context.lowest - root) % 12
    tones = frozenset(quality.semitones)
    extra = above - tones
    if extra and (extra != {low} or not tones <= above):
        return None
    left_out = tuple(degree for degree in quality.degrees if degree.semitones % 12 not in above)
    if not _may_be_left_out(quality, left_out, len(above)):
        return None
    return _named(root, quality, left_out, _PLAIN.get(quality.id, _USUAL), context)


def _may_be_left_out(quality: Quality, left_out: tuple[Degree, ...], played: int) -> bool:
    """Whether players leave all of these out of this quality and it is still itself."""
    if not left_out:
        return True
    top = max(degree.number for degree in quality.degrees)
    for degree in left_out:
        fifth, root = degree == Degree(5), degree == Degree(1)
        under = degree.number in (9, 11) and degree.alteration == 0 and degree.number < top and top >= 11
        altered = quality.id == "7alt" and degree.number > 7
        if not (fifth or root or under or altered):
            return False
    if quality.id == "7alt" and len(left_out) > 2:
        return False
    if Degree(1) in left_out:
        guides = quality.guide_degrees
        return guides is not None and guides[1] != Degree(1) and played >= 2
    return len(quality.degrees) - len(left_out) >= 2 and quality.family != "power"


def _named(
    root: int, quality: Quality, left_out: tuple[Degree, ...], plain: int, context: _Context
) -> NamedChord | None:  # fmt: skip
    rootless = Degree(1) in left_out
    spelled = _spelled_root(root, quality, context)
    low = context.lowest % 12
    position, cost, bass = "root position", plain, None
    if not rootless and low != root:
        degree = next((one for one in quality.degrees if (root + one.semitones) % 12 == low), None)
        bass = spell_near(low, context.key.signature) if degree is None else spelled + degree.fifths
        name, more = _INVERSIONS.get(degree.number if degree else 0, ("", _OTHER_BASS))
        position = name or ("over a foreign bass" if degree is None else f"over its {degree}")
        cost += _FOREIGN_BASS if degree is None else more
    if rootless and not _root_is_heard(root, context) and not _stands_alone(quality, left_out):
        return None
    cost += sum(_price(degree, root, context) for degree in left_out)
    cost += _context_cost(root, quality, context)
    return NamedChord(simple(Chord(spelled, quality, bass), context.key), position, left_out, cost)


def _price(degree: Degree, root: int, context: _Context) -> int:
    if degree == Degree(1):
        return _ROOT_HEARD if _root_is_heard(root, context) else _NO_ROOT
    return _NO_FIFTH if degree == Degree(5) else _NO_TENSION


def _root_is_heard(root: int, context: _Context) -> bool:
    """Whether the bass player plays the root: the hand must be high enough to be over one."""
    heard = context.heard
    return heard is not None and context.lowest >= ROOT_REGISTER and root in (heard.bass_pc, heard.root_pc)


def _stands_alone(quality: Quality, left_out: tuple[Degree, ...]) -> bool:
    """Whether a hand without its root is heard as this chord though nobody plays the root: by three or four notes."""
    left = len(quality.degrees) - len(left_out)
    return left >= 3 and (left_out == (Degree(1),) or (left >= 4 and set(left_out) <= {Degree(1), Degree(5)}))


def _context_cost(root: int, quality: Quality, context: _Context) -> int:
    """What key and neighbours say: a root of the key, a name that leads to the next chord or stays with this one."""
    cost = 0 if (root - context.key.tonic_pc) % 12 in _SCALE[context.key.mode] else _OUT_OF_KEY
    following = context.following
    if following is not None:
        down = (root - following.root_pc) % 12
        leads = {"dominant": (7, 1), "suspended": (7,), "minor": (7,), "half_diminished": (7,), "diminished": (11,)}
        cost += _IN_CONTEXT if down in leads.get(quality.family, ()) else 0
    if context.heard is not None and root == context.heard.root_pc:
        cost += _IN_CONTEXT
    return cost


def _spelled_root(root: int, quality: Quality, context: _Context) -> int:
    """The root nearest to the key; of a diminished chord that rises a half step, a raised degree."""
    spelled = spell_near(root, context.key.signature)
    following = context.following
    if quality.family == "diminished" and following is not None and (following.root_pc - root) % 12 == 1:
        raised = following.root + 7 - 2  # the letter below
        return raised if chromatic(raised) == root else spelled
    return spelled


def _composed(classes: frozenset[int], context: _Context) -> Iterator[NamedChord]:
    """Names with alterations in brackets, for what no row of the table holds."""
    for root in range(12):
        above = frozenset((one - root) % 12 for one in classes)
        if 0 not in above:
            continue
        for base in ("maj", "m", "7", "m7", "maj7", "6", "m6", "sus", "7sus", "m7b5", "dim7", "aug", "7#5", "mM7"):
            name = _compose(root, base, above, context)
            if name is not None:
                yield name


def _compose(root: int, base: str, above: frozenset[int], context: _Context) -> NamedChord | None:
    row = QUALITIES[base]
    extra = above - frozenset(row.semitones)
    left_out = tuple(degree for degree in row.degrees if degree.semitones % 12 not in above)
    if not extra or len(extra) > 3 or any(degree != Degree(5) for degree in left_out):
        return None
    added = [degree for degree in _TENSIONS if degree.semitones % 12 in extra]
    if len(added) != len(extra) or (Degree(7) in added and row.degree(7) is not None):
        return None
    modifiers = tuple("maj7" if one == Degree(7) else str(one) if one.alteration else f"add{one}" for one in added)
    try:
        quality = compose(base, modifiers)
    except ValueError:
        return None
    if frozenset(quality.semitones) | {0} < above:
        return None
    missing = tuple(degree for degree in quality.degrees if degree.semitones % 12 not in above)
    return _named(root, quality, missing, _COMPOSED + len(added), context)
