"""Roles that neighbours give a chord, in all keys, each beside a row where the word would be false."""

from __future__ import annotations

import pytest

from core.analysis import ChordAnalysis, analyse
from core.bar_text import chart_from_bar_text
from core.edit import transposed

TWELVE = [(fifths, fifths * 7 % 12) for fifths in range(-5, 7)]


def read(text: str, key: str = "C major", interval: tuple[int, int] = (0, 0)) -> tuple[ChordAnalysis, ...]:
    chart = transposed(chart_from_bar_text(f"key: {key}\n\n| {text} |\n"), *interval)
    return analyse(chart.standard, chart.form, chart.key)


# Turnarounds of two bars: the row of I VI II V and its dominants, T. Seabrook's column as quoted in the encyclopedia
# article "Turnaround"; with substitutes and major sevenths, the same article; with bIII7 and bII7, rhythm changes in the
# test data of M. Granroth-Wilding's parser; with diminished sevenths, common practice, no source.
TURNAROUNDS = [
    "Cmaj7 Am7 | Dm7 G7", "Cmaj7 A7 | Dm7 G7", "Cmaj7 A7 | D7 G7", "Em7 Am7 | Dm7 G7", "Em7 A7 | Dm7 G7",
    "E7 A7 | D7 G7", "E7 Am7 | Dm7 G7", "Cmaj7 Eb7 | Ab7 Db7", "Cmaj7 Ebmaj7 | Abmaj7 Dbmaj7", "Cmaj7 Ebo7 | Dm7 G7",
    "Cmaj7 Eb7 | D7 Db7", "Cmaj7 A7 | Ab7 G7", "C7 A7 | Dm7 G7",
]  # fmt: skip
NO_TURNAROUNDS = [
    "Cmaj7 Am7 | Fmaj7 G7",
    "Cmaj7 | Am7 Dm7 | G7",
    "Cmaj7 Db7 | Dm7 G7",
    "Cmaj7 Am7 | Dm7 Eb7",
    "Cmaj7 Am7 | Dm7 Gm7",
]


@pytest.mark.parametrize("interval", TWELVE, ids=str)
@pytest.mark.parametrize("text", TURNAROUNDS)
def test_turnarounds_are_called_so(text: str, interval: tuple[int, int]) -> None:
    found = read(f"Cmaj7 | Cmaj7 | {text} | Cmaj7 | Cmaj7", interval=interval)
    assert ["turnaround" in one.role for one in found] == [False, False, True, True, True, True, False, False]
    assert {one.key.tonic_pc for one in found} == {found[0].key.tonic_pc}


@pytest.mark.parametrize("text", NO_TURNAROUNDS)
def test_other_rows_are_no_turnarounds(text: str) -> None:
    assert not any("turnaround" in one.role for one in read(f"Cmaj7 | Cmaj7 | {text} | Cmaj7 | Cmaj7"))


# Key, row, index, role. Sources stand above each group.
ROLES = [
    # bIII7, bVI7 and bII7 as substitutes of VI7, II7 and V7: D. Terefenko 2014, Jazz Theory, Fig. 13.5. A dominant that
    # leads to a substitute is the dominant of what that one stands for: common practice, no source.
    ("C major", "D7 | Db7 | Cmaj7 | Cmaj7", 0, "V of V"),
    ("C major", "Cmaj7 | E7 Eb7 | D7 Db7 | Cmaj7", 1, "V of VI, extended dominant"),
    ("C major", "Cmaj7 | E7 Eb7 | D7 Db7 | Cmaj7", 2, "substitute V of II, extended dominant"),
    ("C major", "Cmaj7 | E7 Eb7 | D7 Db7 | Cmaj7", 3, "V of V"),
    ("C major", "Cmaj7 | E7 Eb7 | D7 Db7 | Cmaj7", 4, "substitute V of I"),
    ("C major", "Cmaj7 | Ab7 Db7 | Gbmaj7 | G7", 1, "V of bII, extended dominant"), ("C major", "Cmaj7 | Ab7 Db7 | Cmaj7 | G7", 1, "substitute V of V"),
    # Related iis, half-step ii-Vs: D. Terefenko 2014, Fig. 19.4; blues B6 of J. Coker 1964, Improvising Jazz.
    ("C major", "Cmaj7 | Dbm7 Gb7 | F7 | Cmaj7", 1, "related ii of the substitute V of IV"),
    ("C major", "Dm7 G7 | Abm7 Db7 | Cmaj7 | C6", 2, "related ii of the substitute V"),
    ("C major", "Cmaj7 | Abm7 G7 | Cmaj7 | C6", 1, "related ii of the substitute V"),
    ("C major", "Em7 A7 | Ebm7 Ab7 | Dm7 G7 | C6", 2, "related ii of the substitute V of V"),
    ("C major", "Em7 Eb7 | Dm7 Db7 | Cmaj7 | C6", 0, "ii of ii"), ("C major", "Em7 Eb7 | Dm7 Db7 | Cmaj7 | C6", 2, "ii"),
    # Blues: plain form, whose V falls to IV: encyclopedia article "Twelve-bar blues".
    ("C major", "C7 | C7 | F7 | C7 | G7 | F7 | C7 | C7", 4, "V, falling back to IV"),
    ("C major", "C7 | C7 | F7 | C7 | G7 | F7 | C7 | C7", 5, "blues subdominant"),
    ("C major", "C7 | C7 | F7 | C7 | G7 | F7 | C7 | C7", 0, "blues tonic"),
    ("C major", "C7 | F7 | C7 | Gm7 C7 | F7 | F7 | C7 | C7", 2, "blues tonic"), ("C major", "C7 | F7 | C7 | Gm7 C7 | F7 | F7 | C7 | C7", 4, "V of IV"),
    ("C major", "Cmaj7 C7 | F7 | Cmaj7 | Cmaj7", 1, "V of IV"),  # no blues: the tonic has a major seventh
    # Backdoor: J. Coker 1997, Elements of the Jazz Language, p. 82; the same two chords on their way to E flat.
    ("C major", "Cmaj7 | Fm7 Bb7 | Cmaj7 | C6", 1, "backdoor ii"), ("C major", "Cmaj7 | Fm7 Bb7 | Cmaj7 | C6", 2, "backdoor"),
    ("C major", "Cmaj7 | Fm7 E7 | Am7 | Dm7 G7", 1, "related ii of the substitute V of vi"),
    # Deceptive V and what stands for I: iii and vi in the lexicon of Granroth-Wilding & Steedman 2014, bVI in minor too.
    ("C major", "Dm7 | G7 | Am7 | C6", 1, "V, deceptive"), ("C major", "Dm7 | G7 | Am7 | C6", 2, "tonic substitute"),
    ("C major", "Dm7 | G7 | Em7 | C6", 2, "tonic substitute"), ("C minor", "Dm7b5 | G7 | Abmaj7 | Cm6", 2, "tonic substitute"),
    ("C major", "Cmaj7 | Am7 | Fmaj7 | G7", 1, "tonic area"), ("C major", "G7 | F#m7b5 | Fm6 | Em7", 0, "V, deceptive"),
    ("C major", "Cmaj7 | G7 Dm7 | Ab7 Eb7 | Cmaj7", 1, "V, unresolved"),
    # Modal interchange, from here on common practice, no source.
    ("C major", "Cmaj7 | Fm6 | Cmaj7 | C6", 1, "minor subdominant, borrowed"), ("C major", "Cmaj7 | Abmaj7 | Cmaj7 | C6", 1, "borrowed"),
    ("C major", "Cmaj7 | Bbmaj7 | Cmaj7 | C6", 1, "borrowed"), ("C major", "Cmaj7 | Dm7b5 | G7 | C6", 1, "ii, borrowed"),
    ("C minor", "Cm6 | Dm7b5 | G7 | Cm6", 1, "ii"), ("C major", "Cmaj7 | F#maj7 | Cmaj7 | C6", 1, "chromatic"),
    # Passing, auxiliary, side step.
    ("C major", "Em7 Ebm7 | Dm7 G7 | Cmaj7 | C6", 1, "chromatic passing"), ("C major", "Cmaj7 | Dm7 D#m7 | Em7 | Dm7 G7", 2, "chromatic passing"),
    ("C major", "Dm7 | Ebm7 | Dm7 | G7", 1, "side step"), ("C major", "Dm7 | Ebm7 | Dm7 | G7", 0, "ii"),
    ("C major", "Em7 | Dm7 | Cmaj7 | C6", 1, "subdominant"), ("C major", "C6 Co7 | C6 | G7 Go7 | G7", 1, "auxiliary, common tone"),
    ("C major", "C6 | G7 Go7 | G7 | C6", 1, "V"), ("C major", "C6 | G7 G#o7 | Am7 | C6", 2, "V of vi"),
    # Pedal.
    ("C major", "C | F/C | G7/C | C", 1, "subdominant, over a pedal on I"), ("C major", "C | F/C | G7/C | C", 2, "V, over a pedal on I"),
    ("C major", "C | F/C | G7/C | C", 0, "tonic"), ("C major", "Dm7/G | G7 | Abo7/G | G7 | C", 2, "V, rootless, over a pedal on V"),
    ("C major", "Dm7/G | G7 | C | C", 0, "V"), ("C major", "C/G | G7 | C | C", 0, "tonic"),
    # Line cliché, minor down and up, major, in the bass, over a ii: Berklee reharmonization handout, figs. 11.1 and 11.2,
    # and teaching pages that repeat it.
    ("C minor", "Cm | CmM7 | Cm7 | Cm6", 2, "tonic, line cliché"), ("C minor", "Cm | Cm(b6) | Cm6 | Cm7", 1, "tonic, line cliché"),
    ("C major", "C | C+ | C6 | C7 | Fmaj7", 1, "tonic, line cliché"), ("C major", "C | C+ | C6 | C7 | Fmaj7", 3, "V of IV, line cliché"),
    ("C minor", "Cm | Cm/B | Cm/Bb | Cm/A", 3, "tonic, line cliché"), ("C major", "Dm DmM7 | Dm7 G7 | Cmaj7 | C6", 1, "ii, line cliché"),
    ("C minor", "Cm6 | Cm7 | Cm6 | Cm7", 1, "tonic"), ("C minor", "Cm | Cm7 | Cm6 | Fm6", 1, "tonic"),
    # Chains of dominants. The middle eight of rhythm changes: test data of M. Granroth-Wilding's parser.
    ("C major", "Cmaj7 | E7 | A7 | D7 | G7 | Cmaj7", 1, "V of VI, extended dominant"), ("C major", "Cmaj7 | E7 | A7 | D7 | G7 | Cmaj7", 2, "V of II, extended dominant"),
    ("C major", "Cmaj7 | E7 | A7 | D7 | G7 | Cmaj7", 3, "V of V"), ("C major", "Cmaj7 | A7 | Dm7 | G7", 1, "V of ii"),
    # Cycle of major thirds: encyclopedia article on three-tonic changes.
    ("C major", "Cmaj7 Eb7 | Abmaj7 B7 | Emaj7 G7 | Cmaj7", 2, "cycle of major thirds"),
    ("C major", "Cmaj7 Eb7 | Abmaj7 | Dm7 G7 | Cmaj7", 2, "borrowed"),
    # A minor tonic with its IV7 is at rest.
    ("C minor", "Cm7 | F7 | Cm7 | F7", 0, "tonic"), ("C minor", "Cm7 | F7 | Bbmaj7 | G7 | Cm6", 0, "ii of bVII"),
    ("C minor", "Cm7 | F7 | Bbmaj7 | G7 | Cm6", 4, "tonic"),
]  # fmt: skip


@pytest.mark.parametrize("interval", TWELVE, ids=str)
@pytest.mark.parametrize(
    ("key", "text", "index", "role"), ROLES, ids=[f"{row[1][:30]}-{row[2]}-{row[3]}" for row in ROLES]
)
def test_roles_in_all_keys(key: str, text: str, index: int, role: str, interval: tuple[int, int]) -> None:
    assert read(text, key, interval)[index].role.removesuffix(", turnaround") == role


def test_a_chain_of_dominants_makes_no_key_of_its_links() -> None:
    rows = ("Cmaj7 | E7 | E7 | A7 | A7 | D7 | D7 | G7 | G7", "Cmaj7 | Bm7 | E7 | Em7 | A7 | Am7 | D7 | Dm7 | G7")
    for text in rows:
        assert {str(one.key) for one in read(text)} == {"C major"}
    assert {str(one.key) for one in read("Cmaj7 | C7 | Bbm7 Eb7 | Abmaj7 | Abmaj7 | Abmaj7 | Dm7 G7")} > {"C major"}
