"""Published variants of blues, rhythm changes, turnarounds and cycles, derived from their plain forms.

Sources: blues and rhythm-changes rows after J. Coker 1964, *Improvising Jazz*, as the test data of M. Granroth-Wilding's
jazz parser prints them; the plain blues is the axiom of M. Steedman 1984, *Music Perception* 2(1):52–77 (six symbols of
two bars each); the common jazz blues, "Twelve-bar blues", encyclopedia article; turnarounds, "Turnaround (music)" and
"Tadd Dameron turnaround", encyclopedia articles; thirds, "Coltrane changes", encyclopedia article; line clichés, a
Berklee reharmonization workbook excerpt, figs. 11.1 and 11.2, and teaching pages.
"""

from __future__ import annotations

import re

import pytest

from core.bar_text import chart_from_bar_text
from core.derivation import MOST_STEPS
from core.edit import transposed
from core.explain import Explanation, explain_rows

SOME_KEYS = [(0, 0), (-6, 6)]
_DEGREES = {"I": "C", "bII": "Db", "II": "D", "#II": "D#", "bIII": "Eb", "III": "E", "IV": "F", "#IV": "F#",
            "bV": "Gb", "V": "G", "bVI": "Ab", "VI": "A", "bVII": "Bb", "VII": "B"}  # fmt: skip


def in_c(numerals: str) -> str:
    """Roman numerals on the major scale (bIIm7, IVM7) as bar text in C."""

    def symbol(match: re.Match[str]) -> str:
        return _DEGREES[match[1]] + match[2].replace("M7", "maj7")

    return re.sub(r"([b#]?[IV]+)([^\s|]*)", symbol, numerals)


AXIOM = "I | I | I7 | I7 | IV | IV | I | I | V7 | V7 | I | I"
MINOR_AXIOM = "Im | Im | I7 | I7 | IVm | IVm | Im | Im | V7 | V7 | Im | Im"
PLAIN_BLUES = "I7 | I7 | I7 | I7 | IV7 | IV7 | I7 | I7 | V7 | IV7 | I7 | I7"
PLAIN_A1 = "IM7 | V7 | IM7 | V7 | I7 | IVM7 | V7 | IM7"
PLAIN_A2 = "IM7 | V7 | IM7 | V7 | I7 | IVM7 | IM7 | IM7"
BRIDGE = "III7 | III7 | VI7 | VI7 | II7 | II7 | V7 | V7 | IM7"
OTHER_BRIDGE = "I7 | I7 | IVM7 | IVM7 | II7 | II7 | V7 | V7 | IM7"
TU1 = "IM7 VIm7 | IIm7 V7 | IM7 | I6"

VARIANTS = {
    "blues 1": (AXIOM, "IM7 | IV7 | IM7 | I7 | IV7 | IV7 | IM7 | IM7 | V7 | V7 | IM7 | IM7"),
    "blues 2": (AXIOM, "IM7 | IV7 | IM7 | Vm7 I7 | IV7 | #IVo7 | IM7 | VI7 | IIm7 | V7 | IM7 | IM7"),
    "blues 3": (AXIOM, "IM7 | IV7 | IM7 | Vm7 I7 | IVM7 | IVm7 | IIIm7 | VI7 | IIm7 | V7 | IM7 | IM7"),
    "blues 6": (AXIOM, "IM7 | IV7 | IM7 | bIIm7 bV7 | IV7 | #IVo7 | IIIm7 | VI7 | IIm7 V7 | bVIm7 bII7 | IM7 | IM7"),
    "minor blues": (MINOR_AXIOM,
                    "Im6 | IIm7b5 V7 | Im6 | I7 | IVm6 | IVm6 | Im6 | Im6 | IIm7b5 | V7 | Im6 | Im6"),
    "jazz blues": (PLAIN_BLUES, "I7 | IV7 | I7 | I7 | IV7 | IV7 | I7 | IIIm7 VI7 | IIm7 | V7 | I7 VI7 | IIm7 V7"),
    "rhythm A 1": (PLAIN_A1, "IM7 | IIm7 V7 | IM7 | IIm7 V7 | IM7 I7 | IVM7 #IVo7 | V7 | IM7"),
    "rhythm A 2": (PLAIN_A2, "IM7 VIm7 | IIm7 V7 | IM7 VIm7 | IIm7 V7 | Vm7 I7 | IVM7 IVm7 | IM7 | IM7"),
    "rhythm A 3": (PLAIN_A2, "IM7 | IIm7 #IIo7 | IIIm7 VI7 | IIm7 V7 | Vm7 I7 | IVM7 #IVo7 | IM7 | IM7"),
    "rhythm A 5": (PLAIN_A2, "IM7 bIII7 | II7 bII7 | IM7 bIII7 | II7 bII7 | Vm7 I7 | IVM7 IVm7 | IM7 | IM7"),
    "bridge 2": (BRIDGE, "VIIm7 | III7 | IIIm7 | VI7 | VIm7 | II7 | IIm7 | V7 | IM7"),
    "bridge 6": (OTHER_BRIDGE, "Vm7 | I7 | IVM7 | IVM7 | VIm7 | II7 | IIm7 | V7 | IM7"),
    "turnaround 1 to 3": (TU1, "IM7 VI7 | II7 V7 | IM7 | I6"),
    "turnaround 3 to 8": ("IM7 VI7 | II7 V7 | IM7 | I6", "IM7 bIII7 | bVI7 bII7 | IM7 | I6"),
    "turnaround 8 to 9": ("IM7 bIII7 | bVI7 bII7 | IM7 | I6", "IM7 bIIIM7 | bVIM7 bIIM7 | IM7 | I6"),
    "turnaround 1 to 8": (TU1, "IM7 bIII7 | bVI7 bII7 | IM7 | I6"),
    "turnaround 1 to 9": (TU1, "IM7 bIIIM7 | bVIM7 bIIM7 | IM7 | I6"),
    "turnaround 2": (TU1, "IM7 VI7 | IIm7 V7 | IM7 | I6"),
    "turnaround 4": (TU1, "IIIm7 VIm7 | IIm7 V7 | IM7 | I6"),
    "turnaround 5": (TU1, "IIIm7 VI7 | IIm7 V7 | IM7 | I6"),
    "turnaround 6": (TU1, "III7 VI7 | II7 V7 | IM7 | I6"),
    "turnaround 7": (TU1, "III7 VIm7 | IIm7 V7 | IM7 | I6"),
    "turnaround 11": ("IM7 VIm7 | IIm7 V7 | IIIm7 | VI7", "IM7 #Io7 | IIm7 #IIo7 | IIIm7 | VI7"),
    "turnaround 12": (TU1, "IM7 bIIIo7 | IIm7 V7 | IM7 | I6"),
    "turnaround 13": (TU1, "IM7 bIII7 | II7 bII7 | IM7 | I6"),
    "turnaround 14": (TU1, "IM7 VI7 | bVI7 V7 | IM7 | I6"),
    "thirds from ii": ("IIm7 | V7 | IM7 | IM7", "IIm7 bIII7 | bVIM7 VII7 | IIIM7 V7 | IM7"),
    "thirds from I": ("IM7 | IM7 | IM7 | IM7 | IIm7 | V7", "IM7 bIII7 | bVIM7 VII7 | IIIM7 V7 | IM7 | IIm7 | V7"),
    "line in minor, down": ("Im | Im | IVm7 | V7", "Im ImM7 | Im7 Im6 | IVm7 | V7"),
    "line in minor, up": ("Im | Im | IVm7 | V7", "Im Im#5 | Im6 Im7 | IVm7 | V7"),
    "line in major": ("I | I | IIm7 | V7", "I I+ | I6 I7 | IIm7 | V7"),
    "line through ii-V": ("IIm7 | V7 | IM7", "IIm IImM7 | IIm7 V7 | IM7"),
}  # fmt: skip
_DEGREES["#I"] = "C#"


def explained(before: str, after: str, interval: tuple[int, int]) -> tuple[Explanation, ...]:
    key = "C minor" if before.startswith("Im ") else "C major"
    one, other = (
        transposed(chart_from_bar_text(f"key: {key}\n\n| {in_c(row)} |"), *interval) for row in (before, after)
    )
    return explain_rows(one.standard, other.standard, one.form, one.key)


@pytest.mark.parametrize("interval", SOME_KEYS, ids=str)
@pytest.mark.parametrize("name", VARIANTS)
def test_every_published_variant_is_derived(name: str, interval: tuple[int, int]) -> None:
    found = explained(*VARIANTS[name], interval)
    assert found
    assert [item.after for item in found if not item.explained] == []
    assert all(0 < len(item.steps) <= MOST_STEPS + 1 for item in found)


# The name that a reader would look for (same sources).
NAMES = {
    "turnaround 3 to 8": "mixed_chain", "turnaround 8 to 9": "constant_structure", "turnaround 1 to 3": "extended_dominants",
    "thirds from ii": "major_third_cycle", "thirds from I": "major_third_cycle", "line in major": "line_cliche",
    "line in minor, down": "line_cliche", "line in minor, up": "line_cliche", "line through ii-V": "line_cliche",
    "turnaround 2": "secondary_dominant", "bridge 2": "two_five_interpolation", "rhythm A 5": "turnaround",
    "blues 6": "related_ii_of_substitute", "blues 2": "raised_four_diminished",
}  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_by_the_name_that_is_printed(name: str) -> None:
    found = explained(*VARIANTS[name], (0, 0))
    assert NAMES[name] in [step.technique for item in found for step in item.steps]


@pytest.mark.parametrize("chord", ["Dm7", "Fmaj7", "Am7", "Bm7b5", "C6"])
def test_a_tritone_away_from_what_is_no_dominant_gets_no_such_name(chord: str) -> None:
    """Order matters: the rule is for a chord a fifth above the next (M. Steedman 1984)."""
    root = {"Dm7": "Ab7", "Fmaj7": "B7", "Am7": "Eb7", "Bm7b5": "F7", "C6": "Gb7"}[chord]
    one, other = (chart_from_bar_text(f"key: C major\n\n| Cmaj7 | {symbol} | Cmaj7 | C6 |") for symbol in (chord, root))
    found = explain_rows(one.standard, other.standard, one.form, one.key)
    assert "tritone_substitution" not in [step.technique for item in found for step in item.steps]
