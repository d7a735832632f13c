"""What a technique is: a row of a table, in the field's own terms.

A technique has *rules*. A rule says which chords in a row it replaces (kinds of chord and the root motions between
them and to the chord that follows), what it puts there (parts, measured in fifths from the root of the last chord it
replaces, X), and a name of a further condition where kinds and motions are not enough. Reasons are names of claims
(:mod:`core.techniques.claims`), which are computed from the chords at hand and say nothing that is not so.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from core.chord import Chord, in_context
from core.function import is_dominant, is_tonic
from core.key import Key


def _family(name: str) -> Callable[[Chord], bool]:
    return lambda chord: in_context(chord).quality.sounding.family == name


# Kinds of chord a rule may ask for. Slash elevenths count as sus dominants.
KINDS: dict[str, Callable[[Chord], bool]] = {
    "any": lambda chord: True,
    "dominant": is_dominant,
    "dominant seventh": lambda chord: is_dominant(chord) and _family("dominant")(chord),
    "minor seventh": lambda chord: _family("minor")(chord) and chord.quality.degree(7) is not None,
    "ii": lambda chord: in_context(chord).quality.family in ("minor", "half_diminished"),
    "half-diminished": _family("half_diminished"),
    "diminished": _family("diminished"),
    "major": _family("major"),
    "minor": lambda chord: in_context(chord).quality.family in ("minor", "half_diminished"),
    "stable": lambda chord: _family("major")(chord) or _family("minor")(chord),
}


@dataclass(frozen=True, slots=True)
class Part:
    """A chord of the replacement.

    ``offset`` is in fifths from X (−6: the root a tritone away, spelled as a diminished fifth). ``qualities`` are ids
    of the quality table, preferred first; the melody chooses among them. ``weight`` is its share of the time.
    ``bass_offset`` writes a slash bass. ``kept`` keeps the replaced chord with that index instead. With
    ``of_following`` the offset is from the root of the chord that follows, and no qualities means that chord's own.
    """

    offset: int
    qualities: tuple[str, ...]
    weight: int = 1
    bass_offset: int | None = None
    kept: int | None = None
    of_following: bool = False


@dataclass(frozen=True, slots=True)
class Place:
    """Where a rule is tried: the replaced chords, their neighbours and the local key."""

    before: Chord | None
    replaced: tuple[Chord, ...]
    following: Chord | None
    key: Key

    @property
    def anchor(self) -> Chord:
        """X: the last replaced chord, slash elevenths read on their bass."""
        return in_context(self.replaced[-1])


Condition = Callable[[Place], bool]


@dataclass(frozen=True, slots=True)
class Rule:
    """One pattern and its replacement.

    ``replaces`` are :data:`KINDS`; ``motions`` are root motions in semitones from each replaced chord to the next and
    from the last to the chord that follows (None: any); ``following`` a kind; ``min_beats`` how long the replaced time
    lasts at least; ``condition`` what else must hold; ``tail_beats`` replaces only so many beats at the end of the
    last chord (the rest stays); ``title`` replaces the technique's where one rule has a name of its own.
    """

    replaces: tuple[str, ...]
    motions: tuple[int | None, ...]
    parts: tuple[Part, ...]
    following: str = "any"
    min_beats: int = 1
    condition: Condition | None = None
    tail_beats: int = 0
    title: str = ""
    boldness: int = 0


@dataclass(frozen=True, slots=True)
class Example:
    """Bar texts in a key: what stands there, what the technique makes of it (empty: it must not apply), the melody.

    ``bar`` is the bar that changes; ``melody`` are ABC bars, "" for none.
    """

    key: str
    before: str
    after: str
    bar: int = 1
    melody: str = ""


@dataclass(frozen=True, slots=True)
class Technique:
    """A row of the catalogue.

    ``id`` in the field's words, ``title`` as shown, ``seam`` the few words between the rows, ``rule_text`` the rule in
    one sentence, ``melody_text`` when the melody forbids it, ``boldness`` 0–100, ``reasons`` names of claims in order,
    ``leaves_out`` the tone of X (semitones) that is the point of leaving out, so that the tune must not hold it.
    """

    id: str
    title: str
    seam: str
    family: str
    rule_text: str
    melody_text: str
    rules: tuple[Rule, ...]
    reasons: tuple[str, ...]
    references: tuple[str, ...]
    examples: tuple[Example, ...]
    counterexamples: tuple[Example, ...]
    boldness: int = 30
    leaves_out: int | None = None


def tonic_follows(place: Place) -> bool:
    """The chord that follows is the tonic of the local key."""
    return place.following is not None and is_tonic(place.following, place.key)


def major_tonic_follows(place: Place) -> bool:
    """The chord that follows is a major tonic, not the resting seventh of a blues."""
    return tonic_follows(place) and not place.key.is_minor


def minor_follows(place: Place) -> bool:
    """The chord that follows is minor."""
    return place.following is not None and KINDS["minor"](place.following)


def no_ii_before(place: Place) -> bool:
    """The chord before is not already the ii of the replaced dominant."""
    if place.before is None or not KINDS["ii"](place.before):
        return True
    return (place.anchor.root_pc - in_context(place.before).root_pc) % 12 != 5
