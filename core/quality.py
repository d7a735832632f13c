"""The chord quality table: what every chord symbol means.

To add a quality, add a row: id (which is also the plain ASCII symbol after the root), degrees on the major scale of
the root, family, and the other spellings players type. Parser, printer, checks, voicings, MusicXML and docs read
this table; the tests compare every row with music21 and mir_eval wherever those can read it.

Sources: degrees of the plain qualities, music21 10.5 ``harmony.CHORD_TYPES`` and mir_eval 0.8 ``chord.QUALITIES``;
readings of 11 (= 9sus), 13 (no natural 11), alt, and the spellings, common practice, no source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import lru_cache

from core.pitch import Degree, parse_degree

FAMILIES = ("major", "minor", "dominant", "half_diminished", "diminished", "augmented", "suspended", "power")

# id | degrees | family | other spellings of the text after the root
_ROWS = """
maj | 1 3 5 | major | M maj ma MA Maj major
maj7 | 1 3 5 7 | major | maj7 Maj7 ma7 MA7 Ma7 M7 Δ Δ7 ^ ^7 j7 7M MAJ7 major7
maj9 | 1 3 5 7 9 | major | maj9 Maj9 ma9 MA9 M9 Δ9 ^9 maj7(9) j9
maj11 | 1 3 5 7 9 11 | major | maj11 M11 Δ11 ^11 ma11 Maj11 MA11 major11
maj13 | 1 3 5 7 9 13 | major | maj13 M13 Δ13 ^13 ma13 Maj13 MA13
maj7#11 | 1 3 5 7 #11 | major | maj7#11 maj7(#11) M7+11 M7#11 Δ#11 Δ7#11 ^#11 ^7#11 ma7(#11) ma7#11 lyd Δ+4
maj9#11 | 1 3 5 7 9 #11 | major | maj9#11 maj9(#11) M9#11 Δ9#11 ma9#11
maj13#11 | 1 3 5 7 9 #11 13 | major | maj13#11 maj13(#11) M13#11 Δ13#11
maj7#5 | 1 3 #5 7 | augmented | maj7#5 maj7(#5) M7+5 M7#5 +M7 +maj7 Δ#5 Δ7#5 ^#5 ^7#5 +Δ augmaj7
maj7b5 | 1 3 b5 7 | major | maj7b5 maj7(b5) M7b5 Δb5 Δ7b5 ma7b5
6 | 1 3 5 6 | major | 6 maj6 M6 ma6 add6 MA6
69 | 1 3 5 6 9 | major | 69 6/9 6(9) 6add9 maj6/9 6,9 maj69 M69 ma6/9
69#11 | 1 3 5 6 9 #11 | major | 69#11 6/9#11 6/9(#11) 69(#11)
add9 | 1 3 5 9 | major | add9 (add9) add2 2 /9 majadd9
5 | 1 5 | power | 5 (no3) omit3 no3
m | 1 b3 5 | minor | m min mi MI - minor MIN Min
m7 | 1 b3 5 b7 | minor | m7 min7 mi7 MI7 -7 min.7 MIN7 Min7 minor7
m9 | 1 b3 5 b7 9 | minor | m9 min9 mi9 -9 m7(9) MI9
m11 | 1 b3 5 b7 9 11 | minor | m11 min11 mi11 -11 m7(11) MI11
m13 | 1 b3 5 b7 9 13 | minor | m13 -13 min13 mi13 MI13
m6 | 1 b3 5 6 | minor | m6 min6 mi6 -6 MI6
m69 | 1 b3 5 6 9 | minor | m69 m6/9 -6/9 mi6/9 min6/9 -69 MI6/9
mM7 | 1 b3 5 7 | minor | mM7 m(maj7) mmaj7 mMaj7 -Δ -Δ7 mΔ mΔ7 m^7 -^7 min(maj7) mi(MA7) MI(MA7) m+7 m#7 -(maj7) m(M7) minmaj7 min(MA7)
mM9 | 1 b3 5 7 9 | minor | mM9 m(maj9) mmaj9 -Δ9 mΔ9 min(maj9) MI(MA9)
madd9 | 1 b3 5 9 | minor | madd9 m(add9) -(add9) m2 minadd9 -add9 MIadd9 min(add9) MI(add9)
mb6 | 1 b3 5 b6 | minor | m(b6) mb6 minb6 min(b6) MI(b6) -b6 -(b6)
m#5 | 1 b3 #5 | minor | m#5 m(#5) min#5 min(#5) MI(#5) -#5 -(#5) m+5
m7b5 | 1 b3 b5 b7 | half_diminished | m7b5 m7(b5) min7b5 min7(b5) mi7(b5) mi7b5 MI7(b5) -7b5 -7(b5) m7-5 -7-5 ø ø7 h7 h half-dim
m9b5 | 1 b3 b5 b7 9 | half_diminished | m9b5 m9(b5) ø9 -9b5 min9b5 min9(b5) MI9(b5) h9
m11b5 | 1 b3 b5 b7 9 11 | half_diminished | m11b5 m11(b5) ø11 -11b5 min11b5 min11(b5) MI11(b5) h11
dim | 1 b3 b5 | diminished | dim o ° mb5 0
dim7 | 1 b3 b5 bb7 | diminished | dim7 o7 °7 07
dimM7 | 1 b3 b5 7 | diminished | dim(maj7) dimM7 oM7 °M7 o(maj7) °(maj7) dim(MA7) dimmaj7 °Δ °Δ7 oΔ7
aug | 1 3 #5 | augmented | + aug (#5) +5 #5
7 | 1 3 5 b7 | dominant | 7 dom7 x 7th dom
9 | 1 3 5 b7 9 | dominant | 9 7(9) 7/9
13 | 1 3 5 b7 9 13 | dominant | 13 7(13) 7/6 7add13
7b9 | 1 3 5 b7 b9 | dominant | 7b9 7(b9) 7-9 7(-9)
7#9 | 1 3 5 b7 #9 | dominant | 7#9 7(#9) 7+9 7(+9)
7b5 | 1 3 b5 b7 | dominant | 7b5 7(b5) 7-5
9b5 | 1 3 b5 b7 9 | dominant | 9b5 9(b5) 9-5
7#5 | 1 3 #5 b7 | dominant | 7#5 7(#5) 7+5 +7 7+ aug7
9#5 | 1 3 #5 b7 9 | dominant | 9#5 9(#5) +9 9+5 9+ aug9
7b13 | 1 3 5 b7 b13 | dominant | 7b13 7(b13) 7-13
9b13 | 1 3 5 b7 9 b13 | dominant | 9b13 9(b13)
7#11 | 1 3 5 b7 #11 | dominant | 7#11 7(#11) 7+11 7+4
9#11 | 1 3 5 b7 9 #11 | dominant | 9#11 9(#11) 9+11
13#11 | 1 3 5 b7 9 #11 13 | dominant | 13#11 13(#11) 13+11
13b9 | 1 3 5 b7 b9 13 | dominant | 13b9 13(b9) 13-9
13#9 | 1 3 5 b7 #9 13 | dominant | 13#9 13(#9) 13+9
7b9b13 | 1 3 5 b7 b9 b13 | dominant | 7b9b13 7(b9,b13) 7(b9b13) 7-9-13
7#9b13 | 1 3 5 b7 #9 b13 | dominant | 7#9b13 7(#9,b13) 7(#9b13)
7#9#5 | 1 3 #5 b7 #9 | dominant | 7#9#5 7#5#9 7+5+9 7+9+5 7(#9,#5) 7(#5#9) 7(#9#5) 7(#5,#9) +7#9 +7(#9)
7b9#5 | 1 3 #5 b7 b9 | dominant | 7b9#5 7#5b9 7+5-9 +7b9 7(b9,#5) 7(b9#5) 7(#5b9) 7(#5,b9) +7(b9)
7b5b9 | 1 3 b5 b7 b9 | dominant | 7b5b9 7b9b5 7(b5b9) 7(b9,b5) 7(b5,b9)
7b5#9 | 1 3 b5 b7 #9 | dominant | 7b5#9 7#9b5 7(b5#9) 7(#9,b5) 7(b5,#9)
7b9#11 | 1 3 5 b7 b9 #11 | dominant | 7b9#11 7(b9,#11) 7(b9#11)
7#9#11 | 1 3 5 b7 #9 #11 | dominant | 7#9#11 7(#9,#11) 7(#9#11)
13b9#11 | 1 3 5 b7 b9 #11 13 | dominant | 13b9#11 13(b9,#11) 13(b9#11)
7alt | 1 3 b7 b9 #9 #11 b13 | dominant | 7alt alt 7(alt) alt7 alt.
sus | 1 4 5 | suspended | sus sus4 4 (sus4) (sus)
sus2 | 1 2 5 | suspended | sus2 (sus2)
7sus | 1 4 5 b7 | suspended | 7sus 7sus4 7(sus4) sus7 7/4 sus4(7) 7(sus)
9sus | 1 4 5 b7 9 | suspended | 9sus 9sus4 9(sus4) sus9 11 7sus4(9) 7sus(9) 9(sus)
13sus | 1 4 5 b7 9 13 | suspended | 13sus 13sus4 13(sus4) 7sus(13) 13(sus)
7susb9 | 1 4 5 b7 b9 | suspended | 7susb9 7sus4b9 7b9sus 7b9sus4 susb9 7(b9)sus phryg 7sus(b9) 7sus4(b9)
"""

# In a jazz chart a bare diminished sign sounds and is analysed as a diminished seventh. Common practice, no source.
SOUNDS_AS = {"dim": "dim7"}


@dataclass(frozen=True, slots=True)
class Quality:
    """A chord quality without a root. ``id`` is its plain ASCII symbol ("" is printed for the major triad)."""

    id: str
    degrees: tuple[Degree, ...]
    family: str
    semitones: tuple[int, ...] = field(init=False, compare=False, repr=False)
    """Semitones of the degrees above the root, folded into one octave, in the order of the degrees."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "semitones", tuple(degree.semitones % 12 for degree in self.degrees))

    def __hash__(self) -> int:
        # Ids are unique, and chords are looked up in caches thousands of times a proposal.
        return hash(self.id)

    def degree(self, number: int) -> Degree | None:
        """The degree with this number (the first, if there are two such as ♭9 and ♯9), or None."""
        return next((degree for degree in self.degrees if degree.number == number), None)

    @property
    def sounding(self) -> Quality:
        """The quality that is played and analysed: a bare diminished triad is a diminished seventh."""
        return QUALITIES[SOUNDS_AS[self.id]] if self.id in SOUNDS_AS else self

    @property
    def guide_degrees(self) -> tuple[Degree, Degree] | None:
        """3 (4 or 2 in sus) and 7 (6 in sixth chords, the root in triads); None without a third."""
        sounding = self.sounding
        third = sounding.degree(3) or sounding.degree(4) or sounding.degree(2)
        seventh = sounding.degree(7) or sounding.degree(6) or (sounding.degree(13) if third else None)
        if third is None:
            return None
        return third, seventh or Degree(1)


def _read_rows() -> tuple[dict[str, Quality], dict[str, Quality]]:
    qualities: dict[str, Quality] = {}
    suffixes: dict[str, Quality] = {}
    for line in _ROWS.strip().splitlines():
        identifier, degrees, family, spellings = (cell.strip() for cell in line.split("|"))
        quality = Quality(identifier, tuple(parse_degree(text) for text in degrees.split()), family)
        qualities[identifier] = quality
        for spelling in dict.fromkeys((identifier, *spellings.split())):
            if suffixes.setdefault(spelling, quality) is not quality:
                raise AssertionError(f"{spelling!r} stands in two rows of the quality table")
    suffixes[""] = qualities["maj"]
    return qualities, suffixes


QUALITIES, SUFFIXES = _read_rows()
"""Rows by id, and every listed spelling after the root (ASCII, with Δ ø °) to its row."""

_MODIFIER = re.compile(r"(?P<sign>[b#+-])(?P<altered>4|5|6|9|11|13)|add(?P<add>[b#]?(?:2|3|4|6|7|9|11|13))|"
                       r"(?:omit|no)(?P<omit>[135]|9)|(?P<sus>sus[24]?)|(?P<maj7>maj7|M7|Δ7?)|"
                       r"(?P<natural>9|11|13)")  # fmt: skip
_TENSION_NUMBER = {2: 9, 4: 11, 6: 13}


@lru_cache(maxsize=4096)
def compose(base_id: str, modifiers: tuple[str, ...]) -> Quality:
    """A quality outside the table: a row with alterations, additions and omissions, each as ASCII text ("b9").

    Raises ValueError when a modifier is unknown or contradicts another (an omission of what is not there).
    """
    base = QUALITIES[base_id]
    left_out = tuple(sorted(f"omit{modifier[-1]}" for modifier in modifiers if modifier.startswith(("omit", "no"))))
    if left_out:
        full = compose(base_id, tuple(m for m in modifiers if not m.startswith(("omit", "no"))))
        stem = "" if full.id == "maj" else full.id
        return _known(_changed(full, left_out)) or Quality(
            stem + "".join(f"({omission})" for omission in left_out), _changed(full, left_out), _family(full, left_out)
        )
    # Alterations come before additions, so that "♭13 and 13" keeps both whatever the order they were typed in.
    ordered = _changed(base, tuple(sorted(modifiers, key=lambda modifier: modifier.startswith("add"))))
    return _known(ordered) or Quality(_composed_id(base, modifiers, ordered), ordered, _family(base, modifiers))


def quality_named(identifier: str) -> Quality:
    """A quality by its id, composed ones included: ``quality_named('7b9(#11)')``. Raises KeyError or ValueError."""
    stem, bracket, rest = identifier.partition("(")
    if not bracket:
        return QUALITIES[identifier]
    return compose(stem or "maj", split_modifiers(bracket + rest) or (rest,))


def _changed(base: Quality, modifiers: tuple[str, ...]) -> tuple[Degree, ...]:
    degrees = list(base.degrees)
    for modifier in modifiers:
        _modify(degrees, modifier)
    return tuple(sorted(set(degrees)))


def _known(ordered: tuple[Degree, ...]) -> Quality | None:
    return next((row for row in QUALITIES.values() if tuple(sorted(row.degrees)) == ordered), None)


def _family(base: Quality, modifiers: tuple[str, ...]) -> str:
    numbers = {degree.number for degree in _changed(base, modifiers)}
    if not numbers & {2, 3, 4}:
        return "power"
    return "suspended" if 4 in numbers and 3 not in numbers else base.family


def _composed_id(base: Quality, modifiers: tuple[str, ...], ordered: tuple[Degree, ...]) -> str:
    """One name per set of degrees: the largest row inside it, and what that row lacks in brackets."""
    # Only tensions can be added in brackets, so the row must hold every degree below the sixth itself.
    body = {degree for degree in ordered if degree.number < 6}
    # A bracketed alteration takes the place of the natural degree, so the row must not hold that one.
    altered = {degree.number for degree in ordered if degree.alteration and degree.number > 7}
    inside = [row for row in QUALITIES.values() if body <= set(row.degrees) <= set(ordered)
              and not any(degree.number in altered and not degree.alteration for degree in row.degrees)]  # fmt: skip
    if inside:
        base = max(inside, key=lambda row: len(row.degrees))
        rest = [degree for degree in ordered if degree not in base.degrees]
        modifiers = tuple(_as_modifier(degree) for degree in rest)
    stem = "" if base.id == "maj" else base.id
    return stem + "".join(f"({modifier})" for modifier in modifiers)


def _as_modifier(degree: Degree) -> str:
    return "maj7" if degree == Degree(7) else str(degree) if degree.alteration else f"add{degree}"


def _modify(degrees: list[Degree], modifier: str) -> None:
    match = _MODIFIER.fullmatch(modifier)
    if match is None:
        raise ValueError(modifier)
    if match["altered"]:
        number, alteration = int(match["altered"]), 1 if match["sign"] in "#+" else -1
        if number in (4, 6) and not (number == 6 and alteration < 0):
            number = _TENSION_NUMBER[number]
        _alter(degrees, Degree(number, alteration))
    elif match["add"]:
        added = parse_degree(match["add"])
        seventh = Degree(7, -1 if added.number == 7 else 0)
        degrees.append(seventh if added.number == 7 and not added.alteration
                       else Degree(_TENSION_NUMBER.get(added.number, added.number), added.alteration))  # fmt: skip
    elif match["natural"]:
        _alter(degrees, Degree(int(match["natural"])))
    elif match["omit"]:
        _omit(degrees, int(match["omit"]), modifier)
    elif match["sus"]:
        _omit(degrees, 3, modifier)
        degrees.append(Degree(2 if match["sus"] == "sus2" else 4))
    else:
        degrees[:] = [degree for degree in degrees if degree.number != 7] + [Degree(7)]


def _alter(degrees: list[Degree], degree: Degree) -> None:
    """An altered 5 takes the place of the 5; an altered 9 or 13 takes the place of the natural one."""
    degrees[:] = [old for old in degrees if not (old.number == degree.number and old.alteration == 0)]
    degrees.append(degree)


def _omit(degrees: list[Degree], number: int, modifier: str) -> None:
    kept = [degree for degree in degrees if degree.number != number]
    if len(kept) == len(degrees):
        raise ValueError(modifier)
    degrees[:] = kept


def split_modifiers(text: str) -> tuple[str, ...] | None:
    """Text after a known quality as modifiers ("(b9,#11)" → ("b9", "#11")), brackets and commas ignored; else None."""
    bare = text.replace("(", "").replace(")", "").replace(",", "").replace(" ", "")
    if text.count("(") != text.count(")"):
        return None
    found: list[str] = []
    position = 0
    while position < len(bare):
        match = _MODIFIER.match(bare, position)
        if match is None:
            return None
        found.append(match[0])
        position = match.end()
    return tuple(found)
