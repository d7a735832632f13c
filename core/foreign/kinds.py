"""MusicXML chord kinds and degrees against our quality table, both ways.

Source: MusicXML 4.0 schema, types kind-value (33 values, with their tones), degree, degree-alter and
degree-type-value: an added degree is measured on a dominant chord (major and perfect intervals, minor seventh), an
altered or subtracted one on the degree that the kind holds. The functional kinds have no tones in the schema; theirs
are those of the textbooks (common practice, no source), named as a player would.

Two readings of the trade (common practice, no source): a thirteenth chord holds no natural eleventh, and a dominant
eleventh is a ninth sus. Both hold only for a kind that is left as it stands; a degree that touches the eleventh or the
third is taken at its word.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from core.chord import Chord
from core.errors import ChangewrightError
from core.pitch import Degree, parse_degree
from core.quality import QUALITIES, Quality, compose
from core.symbol import parse_symbol

_KINDS = """
major | 1 3 5
minor | 1 b3 5
augmented | 1 3 #5
diminished | 1 b3 b5
dominant | 1 3 5 b7
major-seventh | 1 3 5 7
minor-seventh | 1 b3 5 b7
diminished-seventh | 1 b3 b5 bb7
augmented-seventh | 1 3 #5 b7
half-diminished | 1 b3 b5 b7
major-minor | 1 b3 5 7
major-sixth | 1 3 5 6
minor-sixth | 1 b3 5 6
dominant-ninth | 1 3 5 b7 9
major-ninth | 1 3 5 7 9
minor-ninth | 1 b3 5 b7 9
dominant-11th | 1 3 5 b7 9 11
major-11th | 1 3 5 7 9 11
minor-11th | 1 b3 5 b7 9 11
dominant-13th | 1 3 5 b7 9 11 13
major-13th | 1 3 5 7 9 11 13
minor-13th | 1 b3 5 b7 9 11 13
suspended-second | 1 2 5
suspended-fourth | 1 4 5
power | 1 5
pedal | 1
other | 1
"""
KINDS: dict[str, tuple[Degree, ...]] = {
    name.strip(): tuple(map(parse_degree, degrees.split()))
    for name, degrees in (line.split("|") for line in _KINDS.strip().splitlines())
}
"""Every kind that is made of degrees over its root; ``none`` and :data:`FUNCTIONAL` are the rest of the 33."""

# Kind → root in fifths above the tonic that is written, quality, modifiers, bass in fifths above the tonic.
FUNCTIONAL: dict[str, tuple[int, str, tuple[str, ...], int | None]] = {
    "Neapolitan": (-5, "maj", (), -1),
    "Italian": (-4, "7", ("no5",), None),
    "French": (-4, "7b5", (), None),
    "German": (-4, "7", (), None),
    "Tristan": (0, "m7b5", (), None),
}
NO_CHORD_KIND = "none"
# Kinds that are not in the standard but in files (from memory of such files), and what they stand for.
STRANGERS = {
    "minor-major": "major-minor", "minor-major-seventh": "major-minor", "dominant-seventh": "dominant",
    "half-diminished-seventh": "half-diminished", "suspended": "suspended-fourth", "maj": "major", "min": "minor",
    "aug": "augmented", "dim": "diminished", "7": "dominant", "maj7": "major-seventh", "min7": "minor-seventh",
    "dim7": "diminished-seventh", "6": "major-sixth", "min6": "minor-sixth", "9": "dominant-ninth",
    "maj9": "major-ninth", "min9": "minor-ninth", "sus4": "suspended-fourth", "sus2": "suspended-second",
    **{kind.lower(): kind for kind in FUNCTIONAL},
}  # fmt: skip
_NATURAL_11 = Degree(11)
_NOT_WRITTEN = frozenset({"pedal", "other", "power"})


@dataclass(frozen=True, slots=True)
class DegreeEdit:
    """A ``<degree>``: number, alteration in semitones, and "add", "alter" or "subtract"."""

    number: int
    alteration: int
    type: str


# --- kind and degrees to quality ------------------------------------------------------------------------------------


def edited_degrees(kind: str, edits: tuple[DegreeEdit, ...]) -> tuple[frozenset[Degree], tuple[str, ...]]:
    """The degrees of a kind after its edits by the standard's rules, and a sentence for each edit that did not fit."""
    degrees = list(KINDS[kind])
    problems = [problem for edit in edits if (problem := _apply(degrees, edit))]
    touched = {edit.number for edit in edits}
    wants_11 = any(edit.number in (4, 11) and edit.type == "add" and not edit.alteration for edit in edits)
    if kind.endswith("-13th") and not wants_11:
        degrees = [degree for degree in degrees if degree != _NATURAL_11]
    if kind == "dominant-11th" and not touched & {3, 4, 11}:
        degrees = [degree for degree in degrees if degree.number != 3]
    return frozenset(_in_the_trade(degrees)), tuple(problems)


def _apply(degrees: list[Degree], edit: DegreeEdit) -> str | None:
    """Edit the degrees in place; a sentence if the edit had to be bent to make sense."""
    number = _folded(edit.number)
    there = next((degree for near in (number, number + 7) for degree in degrees
                  if degree.number == near), None)  # fmt: skip
    if edit.type == "subtract":
        if there is None or number == 1:
            return f"degree {number} cannot be taken from a chord that {'needs its root' if there else 'lacks it'}"
        degrees.remove(there)
        return None
    if edit.type == "alter" and there is not None:
        altered = Degree(there.number, there.alteration + edit.alteration)
        if abs(altered.alteration) > 1 and altered.number != 7:
            return f"the degree {there} is altered already; it is left so"
        degrees[degrees.index(there)] = altered
        return None
    return _add(degrees, number, edit)


def _add(degrees: list[Degree], number: int, edit: DegreeEdit) -> str | None:
    added = Degree(number, edit.alteration - (1 if number == 7 else 0))
    problem = None
    if edit.type == "alter":
        problem = f"an altered degree {number} that the chord does not hold was added"
    if added == Degree(7, -2) and Degree(5, -1) not in degrees:
        added, problem = Degree(7, -1), "an added flat seventh is read as the minor seventh"
    if added not in degrees:
        degrees.append(added)
    return problem


def _folded(number: int) -> int:
    """Degree numbers as chords use them: 8, 10, 12 and 14 are 1, 3, 5 and 7 an octave up, 15 and above fold down."""
    while number > 14:
        number -= 7
    return number - 7 if number in (8, 10, 12, 14) else number


def _in_the_trade(degrees: list[Degree]) -> list[Degree]:
    """The same tones under the numbers the trade gives them: 2, 4, 6 or 9, 11, 13, and one third and fifth each."""
    has_third = any(degree.number == 3 for degree in degrees)
    has_seventh = any(degree.number == 7 for degree in degrees)
    natural_third, natural_fifth = Degree(3) in degrees, Degree(5) in degrees

    def renamed(degree: Degree) -> Degree:
        number, alteration = degree.number, degree.alteration
        if number == 2 and (has_third or alteration):
            return Degree(9, alteration)
        if number == 4 and (has_third or alteration):
            return Degree(11, alteration)
        if number == 11 and not has_third and not alteration:
            return Degree(4)
        if number == 6 and has_seventh:
            return Degree(13, alteration)
        if number == 13 and not has_seventh:
            return Degree(6, alteration)
        if number == 3 and alteration == -1 and natural_third:
            return Degree(9, 1)
        if number == 5 and alteration and natural_fifth:
            return Degree(11, 1) if alteration < 0 else Degree(13 if has_seventh else 6, -1)
        return degree

    return [renamed(degree) for degree in degrees]


def nearest_quality(degrees: frozenset[Degree]) -> Quality:
    """The row of the table that shares most with degrees that no name fits."""
    return min(QUALITIES.values(), key=lambda row: len(frozenset(row.degrees) ^ degrees))


def without_doubles(degrees: frozenset[Degree]) -> frozenset[Degree]:
    """The degrees without a natural 9, 11 or 13 that stands beside an altered one."""
    altered = {degree.number for degree in degrees if degree.alteration}
    return frozenset(degree for degree in degrees
                     if degree.alteration or degree.number < 9 or degree.number not in altered)  # fmt: skip


@lru_cache(maxsize=4096)
def quality_of(degrees: frozenset[Degree]) -> Quality | None:
    """The quality with exactly these degrees: a row of the table, or one composed from a row; None if no name fits."""
    for row in QUALITIES.values():
        if frozenset(row.degrees) == degrees:
            return row
    sounds = frozenset(degree.semitones % 12 for degree in degrees)
    for row in QUALITIES.values():
        if frozenset(row.semitones) == sounds and len(row.degrees) == len(degrees):
            return row
    as_tensions = {2: 9, 6: 13}
    return _composed(degrees) or _composed(
        frozenset(Degree(as_tensions.get(degree.number, degree.number), degree.alteration) for degree in degrees)
    )


def _composed(degrees: frozenset[Degree]) -> Quality | None:
    """The composition of fewest modifiers whose symbol reads back as itself."""
    rows = sorted(QUALITIES.values(), key=lambda row: len(frozenset(row.degrees) ^ degrees))
    for row in rows:
        modifiers = _modifiers(frozenset(row.degrees), degrees)
        if modifiers is None:
            continue
        try:
            quality = compose(row.id, modifiers)
            reread = parse_symbol(Chord(0, quality).canonical)
        except (ValueError, ChangewrightError):
            continue
        if frozenset(quality.degrees) == degrees and reread == Chord(0, quality):
            return quality
    return None


def _modifiers(base: frozenset[Degree], target: frozenset[Degree]) -> tuple[str, ...] | None:
    kept = {degree.number for degree in target}
    omitted = [f"no{degree.number}" for degree in sorted(base - target) if degree.number not in kept]
    added = []
    for degree in sorted(target - base):
        if abs(degree.alteration) > 1:
            return None
        replaces = any(old.number == degree.number for old in base - target)
        added.append(str(degree) if degree.alteration and (replaces or degree.number > 7) else f"add{degree}")
    return (*omitted, *added)


# --- quality to kind and degrees ------------------------------------------------------------------------------------

# What an edit costs a reader: added tensions and altered fifths are what programs write and understand; taking the
# natural 11 from a thirteenth is what the trade does anyway.
_COSTS = {"add": 2, "alter": 3, "subtract": 3}
_ALTERED_FIFTH, _DROPPED_11, _ALTERED_THIRD = 2, 1, 6


@lru_cache(maxsize=4096)
def kind_of(degrees: tuple[Degree, ...]) -> tuple[str, tuple[DegreeEdit, ...]]:
    """The kind nearest to a chord's degrees and the edits that make it exact by the standard's own rules."""
    target = frozenset(degrees)
    written = [kind for kind, own in KINDS.items() if kind not in _NOT_WRITTEN or frozenset(own) == target]
    found = [(_edits(frozenset(KINDS[kind]), target), kind) for kind in written if kind != "other"]
    edits, kind = min(found, key=lambda pair: sum(map(_cost, pair[0])))
    return kind, tuple(edits)


def _cost(edit: DegreeEdit) -> int:
    if edit.type == "alter" and edit.number == 5 and abs(edit.alteration) == 1:
        return _ALTERED_FIFTH
    if edit.number == 3 or abs(edit.alteration) > 1:
        return _ALTERED_THIRD
    return _DROPPED_11 if (edit.number, edit.type) == (11, "subtract") else _COSTS[edit.type]


def _edits(base: frozenset[Degree], target: frozenset[Degree]) -> list[DegreeEdit]:
    extra = sorted(target - base)
    edits = []
    for old in sorted(base - target):
        new = next((degree for degree in extra if degree.number == old.number), None)
        if new is None:
            edits.append(DegreeEdit(old.number, 0, "subtract"))
        else:
            extra.remove(new)
            edits.append(DegreeEdit(old.number, new.alteration - old.alteration, "alter"))
    edits += [DegreeEdit(new.number, new.alteration + (1 if new.number == 7 else 0), "add") for new in extra]
    return sorted(edits, key=lambda edit: (edit.number, edit.alteration))
