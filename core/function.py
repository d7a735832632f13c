"""What a chord does in a key, given the chord that follows: numeral, function, role and whether it resolves.

Function is T, S or D; N stands for passing, auxiliary and other chords that only colour or connect.
Sources: four dominants that may precede a tonic (a fifth above, a semitone above, a whole step below, a third above),
Granroth-Wilding & Steedman 2014, *Journal of New Music Research* 43(4); function areas of the major key, J. Thomas,
*Voice Leading for Guitar*, ch. 1; test of a diminished seventh (leading tone, root, neither), common practice.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from core.chord import Chord, in_context
from core.key import Key
from core.roman import degree_name, numeral

_MINORS = frozenset({"minor", "half_diminished"})

# Function of a chord that resolves to nothing in particular, by chromatic degree, in major and in minor keys.
_MAJOR_KEY = {0: "T", 2: "S", 4: "T", 5: "S", 7: "D", 9: "T", 11: "D", 1: "S", 3: "T", 6: "N", 8: "S", 10: "S"}
_MINOR_KEY = {0: "T", 2: "S", 3: "T", 5: "S", 7: "D", 8: "S", 10: "S", 11: "D", 1: "S", 4: "N", 6: "N", 9: "T"}
_DIATONIC = {"major": frozenset({0, 2, 4, 5, 7, 9, 11}), "minor": frozenset({0, 2, 3, 5, 7, 8, 10})}


# Kinds of chord that belong on each degree; another kind there is borrowed or chromatic.
_ANY_MAJOR = ("major", "suspended", "power")
_FAMILIES_IN_SCALE: dict[str, dict[int, tuple[str, ...]]] = {
    "major": {0: (*_ANY_MAJOR, "augmented"), 2: ("minor", "suspended"), 4: ("minor",), 5: _ANY_MAJOR,
              7: (*_ANY_MAJOR, "minor"), 9: ("minor",), 11: ("half_diminished",)},
    "minor": {0: ("minor", "suspended", "power"), 2: ("half_diminished", "minor"), 3: (*_ANY_MAJOR, "augmented"),
              5: ("minor", "suspended"), 7: ("minor", *_ANY_MAJOR), 8: _ANY_MAJOR, 10: _ANY_MAJOR},
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Reading:
    """``resolves`` says that the chord aims at the chord that follows; ``role`` is in players' words."""

    numeral: str
    function: str
    role: str
    resolves: bool


def is_dominant(chord: Chord) -> bool:
    """A chord that can act as a dominant: a dominant seventh, a sus seventh, an augmented triad."""
    sounding = in_context(chord)
    quality = sounding.quality
    if quality.family == "suspended":
        return quality.degree(7) is not None
    return quality.family == "dominant" or quality.id == "aug"


def is_minor(chord: Chord) -> bool:
    """Minor or half-diminished."""
    return in_context(chord).quality.family in _MINORS


def is_tonic(chord: Chord, key: Key) -> bool:
    """The tonic chord of a key: its root and a stable quality of its mode."""
    sounding = in_context(chord)
    if sounding.root_pc != key.tonic_pc:
        return False
    family = sounding.quality.family
    return family in ("major", "augmented") if not key.is_minor else family == "minor"


def root_motion(chord: Chord, following: Chord) -> int:
    """Semitones from root up to the next root, 0–11, slash elevenths read on their bass."""
    return (in_context(following).root_pc - in_context(chord).root_pc) % 12


@lru_cache(maxsize=65536)
def read(chord: Chord, following: Chord | None, key: Key, previous: Chord | None = None) -> Reading:
    """Read one chord against the one that follows (None at the end of everything), and the one before if it matters."""
    sounding = in_context(chord)
    family = sounding.quality.sounding.family
    if family == "diminished":
        return _read_diminished(chord, following, key)
    if following is not None and acts_as_dominant(chord, following, key):
        found = _read_dominant(chord, following, key, previous)
        if found is not None:
            return found
    if following is not None and _planes_up(chord, following):
        return Reading(numeral(chord, key), "N", "chromatic approach", True)
    if family in _MINORS:
        return _read_minor(chord, following, key)
    return _by_degree(chord, following, key)


def acts_as_dominant(chord: Chord, following: Chord, key: Key) -> bool:
    """Dominant sevenths, and a plain major triad that falls a fifth where its third is not the key's own."""
    if is_dominant(chord):
        return True
    quality = in_context(chord).quality
    degree = (in_context(chord).root_pc - key.tonic_pc) % 12
    return quality.id in ("maj", "add9") and root_motion(chord, following) == 5 and degree in (7, 2, 4, 9, 11)


def _goal(following: Chord, key: Key) -> str:
    """The degree a secondary dominant aims at: ``'ii'``, ``'IV'``, ``'V'``."""
    sounding = in_context(following)
    small = sounding.quality.family in _MINORS
    return degree_name((sounding.root_pc - key.tonic_pc) % 12, small)


def _planes_up(chord: Chord, following: Chord) -> bool:
    """The same kind of chord a half step below the one that follows: every voice slides up."""
    same = in_context(chord).quality.semitones == in_context(following).quality.semitones
    return same and following.bass is None and root_motion(chord, following) == 1


def _read_dominant(chord: Chord, following: Chord, key: Key, previous: Chord | None) -> Reading | None:
    motion = root_motion(chord, following)
    sounding = in_context(chord)
    degree = (sounding.root_pc - key.tonic_pc) % 12
    home = (in_context(following).root_pc - key.tonic_pc) % 12 == 0
    suffix = "7sus" if sounding.quality.family == "suspended" else "7" if is_dominant(chord) else ""
    prepared = previous is not None and is_minor(previous) and root_motion(previous, chord) == 5
    blues = is_dominant(following) and not key.is_minor and not home and not prepared
    if motion == 5 and degree == 0 and blues and sounding.quality.family == "dominant":
        return Reading(numeral(chord, key), "T", "blues tonic", True)
    if motion == 5:
        goal = _goal(following, key)
        name = f"V{suffix}" if home else f"V{suffix}/{goal}"
        return Reading(name, "D", "V" if home else f"V of {goal}", True)
    if motion == 11:
        goal = _goal(following, key)
        return Reading(f"subV{suffix}/{goal}", "D", f"substitute V of {goal}", True)
    if motion == 2 and home and degree == 10:
        return Reading(f"bVII{suffix}", "D", "backdoor", True)
    return None


def _read_minor(chord: Chord, following: Chord | None, key: Key) -> Reading:
    sounding = in_context(chord)
    degree = (sounding.root_pc - key.tonic_pc) % 12
    if following is not None and is_dominant(following) and root_motion(chord, following) in (5, 11):
        return _read_ii(chord, following, key)
    name = numeral(chord, key)
    if following is not None and degree == 3 and not key.is_minor and root_motion(chord, following) in (11, 1):
        return Reading(name, "N", "passing", False)
    if following is not None and degree == 6 and sounding.quality.family == "half_diminished":
        return Reading(name, "S", "raised four half-diminished", False)
    if degree == 5 and not key.is_minor:
        return Reading(name, "S", "minor subdominant", False)
    return _by_degree(chord, following, key)


def _read_ii(chord: Chord, following: Chord, key: Key) -> Reading:
    """A minor chord before a dominant a fifth below (its V) or a semitone below (its substitute V)."""
    degree = (in_context(chord).root_pc - key.tonic_pc) % 12
    goal = (degree + 10) % 12
    name = numeral(chord, key)
    if degree == 2:
        return Reading(name, "S", "ii", True)
    if degree == 5:
        return Reading(name, "S", "backdoor ii" if not key.is_minor else "iv", True)
    in_scale = degree in _DIATONIC[key.mode]
    place = degree_name(goal, goal in (2, 4, 9))
    if degree == 8 and not key.is_minor:
        return Reading(name, "S", "related ii of the substitute V", True)
    diatonic_home = in_scale and _by_degree(chord, following, key).function == "T"
    return Reading(name, "T" if diatonic_home and degree == 9 else "S", f"ii of {place}", True)


def _read_diminished(chord: Chord, following: Chord | None, key: Key) -> Reading:
    rises = following is not None and root_motion(chord, following) == 1
    name = numeral(chord, key, raised=rises)
    if following is None:
        return Reading(name, "N", "auxiliary", False)
    tones = {(chord.root_pc + step) % 12 for step in (0, 3, 6, 9)}
    goal = in_context(following).root_pc
    if following.bass is not None and (following.bass_pc - 1) % 12 == chord.root_pc:
        goal = following.bass_pc
    if (goal - 1) % 12 in tones:
        home = goal == key.tonic_pc
        target = degree_name((goal - key.tonic_pc) % 12, is_minor(following))
        return Reading("viio7" if home else f"viio7/{target}", "D", "V" if home else f"V of {target}", True)
    return Reading(name, "N", "auxiliary" if goal in tones else "passing", False)


def _by_degree(chord: Chord, following: Chord | None, key: Key) -> Reading:
    sounding = in_context(chord)
    degree = (sounding.root_pc - key.tonic_pc) % 12
    family = sounding.quality.family
    function = (_MINOR_KEY if key.is_minor else _MAJOR_KEY)[degree]
    name = numeral(chord, key)
    if is_tonic(chord, key):
        return Reading(name, "T", "tonic", False)
    if family == "dominant" or is_dominant(chord):
        if degree in (0, 5) and family == "dominant":
            return Reading(
                name, "T" if degree == 0 else "S", "blues tonic" if degree == 0 else "blues subdominant", False
            )
        if degree == 7:
            return Reading(name, "D", "V, deceptive" if following is not None else "V", False)
        # It still sounds as a dominant, except where the key knows it as the minor subdominant's: ♭VI, ♭VII.
        return Reading(name, "S" if degree in (8, 10) else "D", "dominant that does not resolve", False)
    if degree not in _DIATONIC[key.mode] or family not in _FAMILIES_IN_SCALE[key.mode].get(degree, ()):
        foreign = degree in _DIATONIC[key.mode] and degree not in (0, 2, 5, 7)
        return Reading(name, "N" if foreign else function, "chromatic" if foreign else "borrowed", False)
    roles = {"T": "tonic area", "S": "subdominant", "D": "dominant area", "N": "passing"}
    if degree == 7 and family == "minor":
        function = "D" if key.is_minor else "S"
    return Reading(name, function, roles[function], False)
