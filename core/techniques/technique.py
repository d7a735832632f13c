"""What a technique is: a row of a table, in the field's own terms.

A technique has *rules*. A rule says which chords in a row it replaces (kinds of chord and the root motions between
them and to the chord that follows), what it puts there (parts, measured in fifths from an origin, mostly the root of
the last chord it replaces, X), and a further condition where kinds and motions are not enough. Reasons are names of
claims (:mod:`core.techniques.claims`), which are computed from the chords at hand and say nothing that is not so.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from core.chord import Chord, in_context
from core.function import is_dominant
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
    "minor": lambda chord: in_context(chord).quality.family == "minor",
    "stable": lambda chord: _family("major")(chord) or _family("minor")(chord),
    "root position": lambda chord: chord.bass is None and (_family("major")(chord) or _family("minor")(chord)),
}


@lru_cache(maxsize=8192)
def kinds_of(chord: Chord) -> frozenset[str]:
    """The names of all :data:`KINDS` that a chord is of."""
    return frozenset(name for name, holds in KINDS.items() if holds(chord))


ORIGINS = ("X", "first", "following", "tonic", "mirror")
"""What the offset of a part is measured from: the root of the last or the first chord replaced, of the chord that
follows, of the key; or X mirrored, as far below the tonic as it lies above."""


@dataclass(frozen=True, slots=True, eq=False)  # rows of a table: each is only itself
class Part:
    """A chord of the replacement.

    ``offset`` is in fifths from the origin ``of`` (−6 from X: the root a tritone away, spelled as a diminished fifth).
    ``qualities`` are ids of the quality table, preferred first; the melody chooses among them; none means the quality
    of the chord at the origin. ``weight`` is its share of the time. ``bass_offset`` writes a slash bass, in fifths from
    the same origin. ``kept`` keeps the replaced chord with that index instead. ``triads`` are (offset from the root,
    quality) of triads to put over the chord; of these too the melody chooses.
    """

    offset: int = 0
    qualities: tuple[str, ...] = ()
    weight: int = 1
    bass_offset: int | None = None
    kept: int | None = None
    of: str = "X"
    triads: tuple[tuple[int, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Place:
    """Where a rule is tried: the replaced chords and their neighbours.

    ``key`` is the key of the chord that follows, ``here`` the key of the last replaced chord; ``last`` says that
    nothing follows but the first chord of the next chorus.
    """

    before: Chord | None
    replaced: tuple[Chord, ...]
    following: Chord | None
    key: Key
    here: Key
    last: bool = False

    @property
    def anchor(self) -> Chord:
        """X: the last replaced chord, slash elevenths read on their bass."""
        return in_context(self.replaced[-1])


Condition = Callable[[Place], bool]


@dataclass(frozen=True, slots=True, eq=False)
class Rule:
    """One pattern and its replacement.

    ``replaces`` are :data:`KINDS`; ``motions`` are root motions in semitones from each replaced chord to the next and
    from the last to the chord that follows (None: any); ``following`` a kind. ``min_beats`` and ``min_bars`` are how
    long the replaced time lasts at least; ``tail_beats`` and ``tail_bars`` replace only so much at its end (beats: half
    of it at most). ``condition`` is what else must hold; ``title`` replaces the technique's where one rule has a name
    of its own; ``boldness`` and ``cost`` are added to the technique's.
    """

    replaces: tuple[str, ...]
    motions: tuple[int | None, ...]
    parts: tuple[Part, ...]
    following: str = "any"
    min_beats: int = 1
    min_bars: int = 0
    condition: Condition | None = None
    tail_beats: int = 0
    tail_bars: int = 0
    title: str = ""
    boldness: int = 0
    cost: int = 0


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


@dataclass(frozen=True, slots=True, eq=False)
class Technique:
    """A row of the catalogue.

    ``id`` in the field's words, ``title`` as shown, ``seam`` the few words between the rows, ``rule_text`` the rule in
    one sentence, ``melody_text`` when the melody forbids it, ``boldness`` 0–100, ``reasons`` names of claims in order.
    ``cost`` is what it takes to believe that a player did this, lower for what bands do every day (tenths of a
    :data:`core.explain.EXPLAINED_UP_TO`-sized doubt; judgement after counts of recorded solos, no source).
    ``melody_law`` names a further condition of :mod:`core.techniques.melody_laws`, with ``leaves_out`` the tone of X
    (semitones) that is the point of leaving out, so that the tune must not hold it.
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
    cost: int = 10
    leaves_out: int | None = None
    melody_law: str = ""
