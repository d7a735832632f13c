"""What a chord does in a key, given the chord that follows: numeral, function, role and whether it resolves.

Function is T, S or D; N stands for passing, auxiliary and other chords that only colour or connect.
Sources: four dominants that may precede a tonic (a fifth above, a semitone above, a whole step below, a third above)
and the augmented triads that are V respelled, Granroth-Wilding & Steedman 2014, *Journal of New Music Research* 43(4);
function areas of the major key, J. Thomas, *Voice Leading for Guitar*, ch. 1; ♭III7 and ♭II7 as substitutes of VI7 and
V7, D. Terefenko 2014, *Jazz Theory*, Fig. 13.5; test of a diminished seventh (leading tone, root, neither), common
practice.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from core.chord import Chord, in_context
from core.key import Key
from core.pitch import Degree
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
              7: _ANY_MAJOR, 9: ("minor",), 11: ("half_diminished",)},
    "minor": {0: ("minor", "suspended", "power"), 2: ("half_diminished", "minor"), 3: (*_ANY_MAJOR, "augmented"),
              5: ("minor", "suspended"), 7: ("minor", *_ANY_MAJOR), 8: _ANY_MAJOR, 9: ("half_diminished",),
              10: _ANY_MAJOR},
}  # fmt: skip
# Degrees that take small letters where nothing but the degree is known.
_SMALL = {"major": frozenset({2, 4, 9}), "minor": frozenset({0, 5})}
# Where V goes instead of I, as degree and families: the deceptive resolutions of the trade. Common practice, no source.
_DECEPTIVE = {9: ("minor",), 8: ("major",), 5: ("major", "minor"), 4: ("minor",), 3: ("major",), 1: ("major",),
              6: ("half_diminished",)}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Reading:
    """What a chord does.

    ``role`` is in players' words; ``resolves`` says that the chord aims at the chord that follows. ``aim`` is the
    chromatic number of the root it works for in the end: of a dominant its goal, of a ii the goal of its dominant.
    ``substitute``: a dominant that stands for the one a tritone away.
    """

    numeral: str
    function: str
    role: str
    resolves: bool
    aim: int | None = None
    substitute: bool = False


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


@lru_cache(maxsize=16384)
def read(
    chord: Chord,
    following: Chord | None,
    key: Key,
    previous: Chord | None = None,
    ahead: Reading | None = None,
    blues: bool = True,
) -> Reading:
    """Read one chord against the one that follows (None at the end of everything), and the one before if it matters.

    ``ahead`` is the reading of the chord that follows, where it is known: a dominant that leads to a substitute is
    the V of what that one stands for. ``blues``: whether the tonic may rest on a seventh.
    """
    family = in_context(chord).quality.sounding.family
    if family == "diminished":
        return _read_diminished(chord, following, key)
    if following is not None and acts_as_dominant(chord, following, key):
        found = _read_dominant(chord, following, key, previous, ahead, blues)
        if found is not None:
            return found
    # In a row a chord of the key is read as itself; put there as a change it is an approach all the same.
    if following is not None and _planes_up(chord, following) and (ahead is None or not in_scale(chord, key)):
        return Reading(numeral(chord, key), "N", "chromatic approach", True)
    if family in _MINORS:
        return _read_minor(chord, following, key, ahead)
    return _by_degree(chord, following, key)


def acts_as_dominant(chord: Chord, following: Chord, key: Key) -> bool:
    """Dominant sevenths, and a plain major triad that falls a fifth where its third is not the key's own."""
    if is_dominant(chord):
        return True
    quality = in_context(chord).quality
    degree = (in_context(chord).root_pc - key.tonic_pc) % 12
    return quality.id in ("maj", "add9") and root_motion(chord, following) == 5 and degree in (7, 2, 4, 9, 11)


def in_scale(chord: Chord, key: Key) -> bool:
    """Whether root and kind of chord belong to the key."""
    sounding = in_context(chord)
    degree = (sounding.root_pc - key.tonic_pc) % 12
    return sounding.quality.family in _FAMILIES_IN_SCALE[key.mode].get(degree, ())


def _degree(chord: Chord, key: Key) -> int:
    return (in_context(chord).root_pc - key.tonic_pc) % 12


def _planes_up(chord: Chord, following: Chord) -> bool:
    """The same kind of chord a half step below the one that follows: every voice slides up."""
    same = in_context(chord).quality.semitones == in_context(following).quality.semitones
    return same and following.bass is None and root_motion(chord, following) == 1


# --- dominants -----------------------------------------------------------------------------------------------------


def _stands_in(following: Chord, key: Key, ahead: Reading | None) -> bool:
    """Whether the chord that follows is a substitute of a dominant; ♭II7 is one unless its reading says otherwise."""
    if ahead is not None:
        return ahead.substitute
    return is_dominant(following) and _degree(following, key) == 1


def _read_dominant(
    chord: Chord, following: Chord, key: Key, previous: Chord | None, ahead: Reading | None, blues: bool
) -> Reading | None:
    sounding = in_context(chord)
    motion, degree, goal_degree = root_motion(chord, following), _degree(chord, key), _degree(following, key)
    suffix = "7sus" if sounding.quality.family == "suspended" else "7" if is_dominant(chord) else ""
    home = goal_degree == 0
    if blues and motion == 5 and degree == 0 and sounding.quality.family == "dominant":
        prepared = previous is not None and is_minor(previous) and root_motion(previous, chord) == 5
        if is_dominant(following) and not key.is_minor and not prepared:
            return Reading(numeral(chord, key), "T", "blues tonic", True)
    if motion in (5, 11) and not (degree == 7 and motion == 11 and is_minor(following)):
        if _stands_in(following, key, ahead):
            goal = (goal_degree + 6) % 12
            return _secondary(degree_name(goal), suffix, motion == 5, goal, key)
        small = in_context(following).quality.family in _MINORS
        return _secondary(degree_name(goal_degree, small), suffix, motion == 11, goal_degree, key)
    if home and motion == 2:
        return Reading(f"bVII{suffix}", "D", "backdoor", True, key.tonic_pc)
    if motion == 8 and is_tonic(following, key) and not key.is_minor and sounding.quality.family == "dominant":
        return Reading(f"III{suffix}", "D", "dominant on III", True, key.tonic_pc)
    if motion in (1, 9) and home and sounding.quality.id == "aug":
        return Reading(numeral(chord, key), "D", "V, augmented and respelled", True, key.tonic_pc)
    return None


def _secondary(goal: str, suffix: str, substitute: bool, degree: int, key: Key) -> Reading:
    """A dominant of the chord on a degree, which is called ``goal``."""
    aim = (degree + key.tonic_pc) % 12
    if substitute:
        return Reading(f"subV{suffix}/{goal}", "D", f"substitute V of {goal}", True, aim, True)
    if degree == 0:
        return Reading(f"V{suffix}", "D", "V", True, aim)
    return Reading(f"V{suffix}/{goal}", "D", f"V of {goal}", True, aim)


def _read_diminished(chord: Chord, following: Chord | None, key: Key) -> Reading:
    rises = following is not None and root_motion(chord, following) == 1
    name = numeral(chord, key, raised=rises)
    if following is None:
        return Reading(name, "N", "diminished", False)
    tones = {(chord.root_pc + step) % 12 for step in (0, 3, 6, 9)}
    goal = in_context(following).root_pc
    if following.bass is not None and (following.bass_pc - 1) % 12 == chord.root_pc:
        goal = following.bass_pc
    if (goal - 1) % 12 in tones:
        home = goal == key.tonic_pc
        target = degree_name((goal - key.tonic_pc) % 12, is_minor(following))
        role = "V" if home else f"V of {target}"
        return Reading("viio7" if home else f"viio7/{target}", "D", role, True, goal)
    return Reading(name, "N", "auxiliary, common tone" if goal in tones else "chromatic passing", False)


# --- minor chords --------------------------------------------------------------------------------------------------


def _read_minor(chord: Chord, following: Chord | None, key: Key, ahead: Reading | None) -> Reading:
    degree = _degree(chord, key)
    if following is not None and _is_ii(chord, following, key, ahead):
        return _read_ii(chord, following, key, ahead)
    name = numeral(chord, key)
    if following is not None and degree == 3 and not key.is_minor and root_motion(chord, following) in (11, 1):
        return Reading(name, "N", "chromatic passing", False)
    if following is not None and degree == 6 and in_context(chord).quality.family == "half_diminished":
        return Reading(name, "S", "raised four half-diminished", False)
    if degree == 5 and not key.is_minor:
        return Reading(name, "S", "minor subdominant, borrowed", False)
    if degree == 11 and following is not None and is_tonic(following, key):
        return Reading(name, "D", "leading-tone chord", True)  # V9 without its root
    return _by_degree(chord, following, key)


def _is_ii(chord: Chord, following: Chord, key: Key, ahead: Reading | None) -> bool:
    """Before a dominant a fifth or a half step below. A tonic is one only with a ♭7, where that dominant goes on."""
    motion, goes_on = root_motion(chord, following), ahead is not None and ahead.resolves
    if is_tonic(chord, key) and in_context(chord).quality.degree(7) != Degree(7, -1):
        return False
    if not is_dominant(following):  # a plain triad is a dominant where it resolves as one
        return motion == 5 and ahead is not None and goes_on and ahead.function == "D" and not is_minor(following)
    return motion in (5, 11) and (goes_on or ahead is None or not is_tonic(chord, key))


def _read_ii(chord: Chord, following: Chord, key: Key, ahead: Reading | None) -> Reading:
    """A minor chord before a dominant a fifth below (its V) or a semitone below (its substitute V).

    The ii of a dominant stands a fifth above it. Where that dominant is a substitute, a chord a fifth above is the
    ii of the substitute, and one a semitone above is the ii of the dominant that was replaced.
    """
    degree, falls = _degree(chord, key), root_motion(chord, following) == 5
    name = numeral(chord, key)
    goal = (degree + 10) % 12
    if ahead is not None and ahead.role == "backdoor" and falls:
        return Reading(name, "S", "backdoor ii", True, key.tonic_pc)
    if ahead is not None and ahead.function == "D" and ahead.resolves:
        related = ahead.substitute == falls
    else:
        related = _stands_in(following, key, ahead) if falls else _degree(following, key) == 7
    if related:
        goal = (goal + 6) % 12
        of = "" if goal == 0 else f" of {degree_name(goal, goal in _SMALL[key.mode])}"
        return Reading(name, "S", f"related ii of the substitute V{of}", True, (goal + key.tonic_pc) % 12)
    aim = (goal + key.tonic_pc) % 12
    if degree == 2:
        borrowed = not key.is_minor and in_context(chord).quality.family == "half_diminished"
        return Reading(name, "S", "ii, borrowed" if borrowed else "ii", True, aim)
    if degree == 5 and not key.is_minor and falls and ahead is None:
        return Reading(name, "S", "backdoor ii", True, key.tonic_pc)
    tonic_area = is_tonic(chord, key) or (degree == 9 and not key.is_minor and in_scale(chord, key))
    return Reading(name, "T" if tonic_area else "S", f"ii of {degree_name(goal, goal in _SMALL[key.mode])}", True, aim)


# --- by degree -----------------------------------------------------------------------------------------------------


def _by_degree(chord: Chord, following: Chord | None, key: Key) -> Reading:
    family = in_context(chord).quality.family
    degree = _degree(chord, key)
    function = (_MINOR_KEY if key.is_minor else _MAJOR_KEY)[degree]
    name = numeral(chord, key)
    if is_tonic(chord, key):
        return Reading(name, "T", "tonic", False)
    if is_dominant(chord):
        return _unresolved(name, family, degree, following, key)
    if not in_scale(chord, key):
        if degree == 7 and family == "minor":
            function = "S"
        foreign = degree in _DIATONIC[key.mode] and degree not in (0, 2, 5, 7)
        return Reading(name, "N" if foreign else function, "borrowed" if _borrowed(chord, key) else "chromatic", False)
    roles = {"T": "tonic area", "S": "subdominant", "D": "dominant area"}
    return Reading(name, function, "tonic" if degree == 0 else roles[function], False)


def _borrowed(chord: Chord, key: Key) -> bool:
    """Whether the chord belongs to the parallel key, or is the ♭II of its Phrygian mode."""
    parallel = Key(key.tonic, "major" if key.is_minor else "minor")
    return in_scale(chord, parallel) or (_degree(chord, key) == 1 and in_context(chord).quality.family == "major")


def _unresolved(name: str, family: str, degree: int, following: Chord | None, key: Key) -> Reading:
    """A dominant that does not go where dominants go."""
    if degree == 0 and family == "dominant":
        return Reading(name, "T", "blues tonic", False)
    if degree == 5 and family == "dominant":
        return Reading(name, "S", "subdominant" if key.is_minor else "blues subdominant", False)
    if degree != 7:
        # It still sounds as a dominant, except where the key knows it as the minor subdominant's: ♭VI, ♭VII.
        return Reading(name, "S" if degree in (8, 10) else "D", "dominant that does not resolve", False)
    if following is None:
        return Reading(name, "D", "V", False)
    goal, kind = _degree(following, key), in_context(following).quality.family
    if goal == 5 and kind == "dominant":
        return Reading(name, "D", "V, falling back to IV", False)
    return Reading(name, "D", "V, deceptive" if kind in _DECEPTIVE.get(goal, ()) else "V, unresolved", False)
