"""Which melody notes a chord carries: one row a kind of chord, and the rules that stand before the rows.

A note is measured in semitones above the root. ``ok`` notes are chord tones and free tensions; ``colour`` notes need
the colour written into the symbol; every other note clashes when it is structural. Two rules override the rows:
what the symbol writes is allowed and shuts out its rivals (an altered chord has no natural 5, 9 or 13), and twins
(♭9/♯9 against 9, ♭13 against 13, ♯5 or ♭5 against 5) shut each other out in pairs.

Sources: available tensions and avoid notes by the ♭9 rule, two Berklee-style chord-scale summaries; extension
inventory, Terefenko, *Jazz Theory*, ch. 5; the rest common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import lru_cache

from core.chord import Chord, in_context
from core.function import root_motion
from core.key import Key
from core.quality import Quality

# kind of chord: (fits freely, fits as a written colour); semitones above the root
FIT_ROWS: dict[str, tuple[frozenset[int], frozenset[int]]] = {
    "major seventh": (frozenset({2, 4, 6, 7, 9, 11}), frozenset({0, 8})),
    "sixth or triad": (frozenset({0, 2, 4, 6, 7, 9, 11}), frozenset({8})),
    "augmented": (frozenset({0, 2, 4, 6, 8}), frozenset({10, 11})),
    "minor seventh": (frozenset({0, 2, 3, 5, 7, 10}), frozenset({9, 11})),
    "minor seventh on iii": (frozenset({0, 3, 5, 7, 10}), frozenset({2, 9, 11})),
    "minor tonic": (frozenset({0, 2, 3, 5, 7, 9, 11}), frozenset({10})),
    "minor triad": (frozenset({0, 2, 3, 5, 7, 10}), frozenset({8, 9, 11})),
    "half-diminished": (frozenset({0, 3, 5, 6, 8, 10}), frozenset({2})),
    "diminished": (frozenset({0, 3, 6, 9}), frozenset({2, 5, 8, 11})),
    "diminished for a dominant in minor": (frozenset({0, 3, 6, 9}), frozenset({2, 4, 5, 8, 11})),
    "dominant to major": (frozenset({0, 2, 4, 7, 9, 10}), frozenset({1, 3, 6, 8})),
    "dominant to minor": (frozenset({0, 1, 3, 4, 7, 8, 10}), frozenset({2, 6, 9})),
    "dominant of ii": (frozenset({0, 1, 2, 3, 4, 7, 8, 10}), frozenset({6, 9})),
    "dominant, other": (frozenset({0, 2, 4, 6, 7, 9, 10}), frozenset({1, 3, 8})),
    "blues dominant": (frozenset({0, 2, 3, 4, 6, 7, 9, 10}), frozenset({1, 8})),
    "suspended": (frozenset({0, 2, 5, 7, 9, 10}), frozenset({1, 3, 4, 8})),
    "suspended second": (frozenset({0, 2, 5, 7, 9, 10, 11}), frozenset({3, 4, 6})),
    "open fifth": (frozenset({0, 2, 3, 4, 5, 7, 9, 10, 11}), frozenset({6, 8})),
}

# Two notes that shut each other out, semitones above the root. A fifth beside ♯11 is fine: that pair is not here.
_TWINS = ((1, 2), (3, 2), (8, 9))


@dataclass(frozen=True, slots=True)
class FitRow:
    """The verdict ("good", "caution" or "clash") on each of the twelve notes over a chord, and why it is so.

    ``cautions``, ``clashes`` and ``own`` are the same as bit masks: bit n stands for n semitones above the root.
    """

    kind: str
    verdicts: tuple[str, ...]
    written: frozenset[int]
    cautions: int = field(init=False, compare=False, repr=False)
    clashes: int = field(init=False, compare=False, repr=False)
    own: int = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "cautions", mask_of(n for n, v in enumerate(self.verdicts) if v == "caution"))
        object.__setattr__(self, "clashes", mask_of(n for n, v in enumerate(self.verdicts) if v == "clash"))
        object.__setattr__(self, "own", mask_of(self.written))


def mask_of(notes: Iterable[int]) -> int:
    """Distinct notes 0–11 as bits of one integer: ``mask_of({0, 4, 7}) == 0b10010001``."""
    return sum(1 << note for note in notes)


def kind_of_chord(chord: Chord, following: Chord | None, key: Key | None) -> str:
    """The row of :data:`FIT_ROWS` for a chord before another, in a key (None: unknown)."""
    quality = chord.quality.sounding
    family, seventh = quality.family, quality.degree(7)
    if family == "dominant":
        return _dominant_kind(chord, following, key)
    if family == "major" or (family == "augmented" and seventh):
        return "major seventh" if seventh else "sixth or triad"
    if family == "minor":
        return _minor_kind(chord, key)
    if family == "diminished":
        return _diminished_kind(chord, following)
    if family == "suspended":
        return "suspended second" if quality.degree(2) else "suspended"
    return {"half_diminished": "half-diminished", "augmented": "augmented", "power": "open fifth"}[family]


def _dominant_kind(chord: Chord, following: Chord | None, key: Key | None) -> str:
    if following is not None and root_motion(chord, following) == 5:
        if in_context(following).quality.family not in ("minor", "half_diminished"):
            return "dominant to major"
        return "dominant of ii" if _stands_on(chord, key, 9) else "dominant to minor"
    if following is not None and root_motion(chord, following) == 11:
        return "dominant, other"
    return "blues dominant" if _stands_on(chord, key, 0, 5) else "dominant, other"


def _stands_on(chord: Chord, key: Key | None, *degrees: int) -> bool:
    """Whether a chord stands on one of these degrees (semitones above the tonic) of a major key."""
    return key is not None and not key.is_minor and (chord.root_pc - key.tonic_pc) % 12 in degrees


def _minor_kind(chord: Chord, key: Key | None) -> str:
    quality = chord.quality
    seventh = quality.degree(7)
    if quality.degree(6) or (seventh and seventh.alteration == 0):
        return "minor tonic"
    if seventh is None:
        return "minor triad"
    return "minor seventh on iii" if _stands_on(chord, key, 4) else "minor seventh"


def _diminished_kind(chord: Chord, following: Chord | None) -> str:
    if following is None:
        return "diminished"
    leading = (in_context(following).root_pc - 1 - chord.root_pc) % 12
    minor = in_context(following).quality.family in ("minor", "half_diminished")
    return "diminished for a dominant in minor" if leading % 3 == 0 and minor else "diminished"


@lru_cache(maxsize=16384)
def fit_row(chord: Chord, following: Chord | None = None, key: Key | None = None, flag_altered: bool = False) -> FitRow:
    """The verdicts over one chord, before ``following``, in ``key``. Slash elevenths are read on their bass.

    ``flag_altered`` is for a chord that is being proposed, whose colours were chosen to suit the note: a dominant's
    altered colours stay a caution even where the symbol writes them, and a minor seventh refuses a major seventh.
    """
    sounding = in_context(chord)
    bass = None if chord.bass is None or sounding is not chord else (chord.bass_pc - chord.root_pc) % 12
    return _row(sounding.quality, kind_of_chord(sounding, following, key), bass, flag_altered)


@lru_cache(maxsize=4096)
def _row(quality: Quality, kind: str, bass: int | None, flag_altered: bool) -> FitRow:
    """The row of a quality on any root; ``bass`` is a foreign bass in semitones above the root."""
    ok, colour = FIT_ROWS[kind]
    written = frozenset(quality.sounding.semitones)
    verdicts = tuple(_verdict(note, quality, ok, colour, written) for note in range(12))
    if flag_altered and quality.family == "dominant":
        verdicts = tuple("caution" if v == "good" and n in colour else v for n, v in enumerate(verdicts))
    if flag_altered and quality.family == "minor" and 10 in written:
        # A proposed minor seventh cannot carry a major one, and its natural sixth spends the leading tone early.
        verdicts = (*verdicts[:9], "caution", verdicts[10], "clash")
    if bass is not None:
        verdicts = _with_bass(quality, bass, verdicts)
    return FitRow(kind, verdicts, written)


def _verdict(note: int, quality: Quality, ok: frozenset[int], colour: frozenset[int], written: frozenset[int]) -> str:
    if note in written:
        return "good"
    if _shut_out(note, quality, written):
        return "clash"
    return "good" if note in ok else "caution" if note in colour else "clash"


def _shut_out(note: int, quality: Quality, written: frozenset[int]) -> bool:
    """Whether something the symbol writes excludes a note it does not write."""
    if quality.id == "7alt":
        return note in (2, 5, 7, 9, 11)
    fifth = quality.degree(5)
    if (
        note == 7
        and fifth is not None
        and fifth.alteration != 0
        and quality.family not in ("half_diminished", "diminished")
    ):
        return True
    return any((note == one and other in written) or (note == other and one in written) for one, other in _TWINS
               if quality.family in ("dominant", "suspended", "augmented"))  # fmt: skip


def _with_bass(quality: Quality, bass: int, verdicts: tuple[str, ...]) -> tuple[str, ...]:
    """A foreign bass note is part of the chord; a melody a semitone above it is a ♭9 on the bass and wants care."""
    result = list(verdicts)
    if result[bass] == "clash":
        result[bass] = "good"
    above = (bass + 1) % 12
    if result[above] == "good" and above not in quality.semitones:
        result[above] = "caution"
    return tuple(result)
