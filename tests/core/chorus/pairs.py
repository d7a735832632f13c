"""Forty pairs of substitute rows over invented standards: a player's row, and one with its devices misplaced.

Both rows of a pair draw on the same techniques in about the same number. The first puts them where they belong; the
second is wrong for the reason in ``reason``, and for nothing random. Pairs are marked alternately ``set`` and ``held``:
weights may be set on the first half, the second only judges them.

Source: written by ear, common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from core.bar_text import chart_from_bar_text
from core.chart import Chart

FAULTS = ("melody", "leading", "bass", "function", "anchors", "rhythm", "density")


@dataclass(frozen=True, slots=True)
class Pair:
    """A standard row, a player's row and the misplaced one, as bar text; ``melody`` is ABC bars or empty.

    ``sections`` holds the first bar of each section, counted from 1, and its name. ``fault`` is one of
    :data:`FAULTS`, ``half`` is ``set`` or ``held``.
    """

    id: str
    key: str
    meter: str
    standard: str
    melody: str
    played: str
    misplaced: str
    reason: str
    fault: str
    half: str = ""
    sections: tuple[tuple[int, str], ...] = ((1, "A"),)


def chart_text(pair: Pair) -> str:
    """The pair as bar text with the takes ``played`` and ``misplaced``."""
    head = f"title: {pair.id}\nkey: {pair.key}\nmeter: {pair.meter}\n\n"
    bars, tune = _cells(pair.standard), _cells(pair.melody)
    starts = [bar - 1 for bar, _ in pair.sections]
    lines = []
    for (_, name), start, end in zip(pair.sections, starts, [*starts[1:], len(bars)], strict=True):
        lines += [f"[{name}]", _line(bars[start:end])]
        lines += [f"m: {_line(tune[start:end])[1:]}"] if tune else []
    rows = (("played", pair.played), ("misplaced", pair.misplaced))
    takes = [f"\ntake: {name}\n{_line(_cells(row))}" for name, row in rows]
    return head + "\n".join([*lines, *takes]) + "\n"


def chart_of(pair: Pair) -> Chart:
    """The pair as a chart; its takes are ``played`` and ``misplaced``, in that order."""
    return chart_from_bar_text(chart_text(pair))


def _cells(text: str) -> list[str]:
    return [bar.strip() for bar in text.strip().strip("|").split("|")] if text else []


def _line(cells: list[str]) -> str:
    return "| " + " | ".join(cells) + " |"


_WRITTEN = (
    # --- melody: the device is right for the chord and wrong for the note held over it
    Pair(
        "lantern_waltz", "G major", "3/4",
        "Gmaj7 | Em7 | Am7 | D7 | Gmaj7 | Em7 | Am7 / D7 | Gmaj7",
        "d6 | A6 | c4 E2 | d4 F2 | d6 | B4 d2 | G4 F2 | B6",
        "Gmaj7 | Em7 | Am7 | Ab7 | Gmaj7 | E7 | Am7 / D7 | Gmaj7",
        "Gmaj7 | E7 | Am7 | D7 | Gmaj7 | Em7 | Ab7 | Gmaj7",
        "E7 stands under a held A, its fourth, and A flat 7 under a held G, its major seventh.",
        "melody",
    ),
    Pair(
        "pilot_ballad", "Eb major", "4/4",
        "Ebmaj7 | Cm7 | Fm7 | Bb7 | Ebmaj7 | Abmaj7 | Fm7 Bb7 | Ebmaj7",
        "G8 | B8 | A8 | D8 | B4 G4 | c8 | A4 F4 | G8",
        "Ebmaj7 | C7 | Fm7 | Bb7 | Ebmaj7 Eb7 | Abmaj7 | Abm7 Db7 | Ebmaj7",
        "Ebmaj7 | C7 | Abm7 | Db7 | Ebmaj7 | Abm7 | Fm7 Bb7 | Ebmaj7",
        "The minor subdominant stands under the tune's held C, its major third, and the backdoor dominant under the "
        "held leading tone.",
        "melody",
    ),
    Pair(
        "net_loft", "C minor", "4/4",
        "Cm6 | Cm6 | Fm7 | Fm7 | Dm7b5 | G7 | Cm6 | Cm6",
        "G8 | E4 G4 | F8 | A8 | G8 | =B8 | E8 | G8",
        "Cm CmM7 | Cm7 Cm6 | Fm7 | Fm7 | Dm7b5 | Db7 | Cm6 | Cm6",
        "Cm6 | Cm6 | Fm FmM7 | Fm7 Fm6 | Ab7 | G7 | Cm6 | Cm6",
        "The moving voice rubs a half step under the held F, and A flat 7 meets a held G, its major seventh.",
        "melody",
    ),
    Pair(
        "ebb_bossa", "D major", "4/4",
        "Dmaj7 | Dmaj7 | Em7 | A7 | Em7 | A7 | Dmaj7 | Dmaj7",
        "A8 | F4 A4 | G8 | E4 C4 | B4 G4 | G4 C4 | F8 | A8",
        "Dmaj7 | Dmaj7 D#dim7 | Em7 | G/A A7 | Em7 | Eb7 | Dmaj7 | Dmaj7",
        "Dmaj7 | Dmaj7 | Em7 | G/A | Em7 | Ebmaj7 | Ddim7 Dmaj7 | Dmaj7",
        "The chords that leave out or flatten the leading tone stand where the tune sings it, and D diminished under a "
        "held F sharp.",
        "melody",
    ),
    Pair(
        "rope_walk", "Bb major", "4/4",
        "Bbmaj7 G7 | Cm7 F7 | Bbmaj7 G7 | Cm7 F7 | Bb7 | Ebmaj7 | Cm7 F7 | Bbmaj7",
        "d4 B4 | c4 A4 | d4 =B4 | e4 c4 | e4 d4 | G8 | G4 c4 | d8",
        "Bbmaj7 Db7 | Cm7 B7 | Bbmaj7 G7 | Cm7 F7 | Fm7 Bb7 | Ebmaj7 | Cm7 F7 | Bbmaj7",
        "Bbmaj7 G7 | Cm7 F7 | Bbmaj7 G7 | Cm7 B7 | E7 | Ebmaj7 | Cm7 B7 | Bbmaj7",
        "E7 meets the tune's E flat, its major seventh, and B7 twice a C, its flat ninth, while the plain bars go "
        "unused.",
        "melody",
    ),
    Pair(
        "winter_mooring", "G minor", "4/4",
        "Gm6 | Gm6 | Cm7 | F7 | Bbmaj7 | Ebmaj7 | Am7b5 D7 | Gm6",
        "d8 | B4 G4 | e8 | A8 | d4 A4 | G8 | e4 ^F4 | G8",
        "Gm6 | Gm6 G7 | Cm7 | B7 | Bbmaj7 | Ebmaj7 | Am7b5 Ab7 | Gm6",
        "Gm6 | Gm6 | C7 | F7 | Bbmaj7 Bb7 | Ebmaj7 | Am11 D7 | Gm6",
        "B flat 7 meets the tune's A, A minor 11 the held E flat, and C7 is given against a long E flat.",
        "melody",
    ),
    # --- leading: guide tones leap or march in parallel
    Pair(
        "chalk_steps", "C major", "4/4",
        "Cmaj7 | Cmaj7 | Dm7 | G7 | Cmaj7 | Fmaj7 | Dm7 G7 | Cmaj7",
        "",
        "Cmaj7 | Am7 | Dm7 | G7 | Am7 | Fmaj7 | Dm7 Db7 | Cmaj7",
        "Cmaj7 | Em7 | Fmaj7 | G7 | Am7 | Fmaj7 | Fmaj7 G7 | Cmaj7",
        "From bar 2 to bar 5 every voice climbs in parallel and not one tone is held or resolved.",
        "leading",
    ),
    Pair(
        "slow_tide", "Eb major", "4/4",
        "Ebmaj7 | Ebmaj7 | Bb7 | Bb7 | Ebmaj7 | Cm7 | Fm7 Bb7 | Ebmaj7",
        "B8 | B8 | A8 | F8 | G8 | G8 | A4 D4 | G8",
        "Ebmaj7 | Bmaj7 | Bb7 | Fm7 Bb7 | Ebmaj7 | C7 | Fm7 E7 | Ebmaj7",
        "Ebmaj7 | Ebmaj7 | Bb7 | E7 | Gmaj7 | C7 | Fm7 Bb7 | Ebmaj7",
        "E7 leaps to G major seventh, so its third and seventh have nowhere to go.",
        "leading",
    ),
    Pair(
        "gull_song", "F major", "4/4",
        "Fmaj7 | Dm7 | Gm7 | C7 | Fmaj7 | Bbmaj7 | C7 | Fmaj7",
        "",
        "Fmaj7 | D7 | Gm7 | C7 | Dm7 | Bbmaj7 | Bbm6 | Fmaj7",
        "Fmaj7 | D7 | Bbmaj7 | C7 | Dm7 | Bbm6 | C7 | Fmaj7",
        "B flat, C, D minor, B flat minor and C move in blocks, so the minor sixth of the key never falls to the "
        "fifth.",
        "leading",
    ),
    Pair(
        "breakwater", "G major", "4/4",
        "Bm7 | E7 | Am7 | D7 | Bm7 | E7 | Am7 D7 | Gmaj7",
        "",
        "Bm7 | Bbm7 | Am7 | D7 | Bm7 | Bb7 | Am7 Ab7 | Gmaj7",
        "Fm7 | E7 | Ebm7 | Ab7 | Bm7 | Bb7 | Ebm7 Ab7 | Gmaj7",
        "A flat 7 is left by a leap into B minor and B flat 7 never slides into A minor, so third and seventh jump "
        "at both.",
        "leading",
    ),
    Pair(
        "north_shed", "A minor", "4/4",
        "Am6 | Dm7 | Bm7b5 | E7 | Am6 | Fmaj7 | Bm7b5 E7 | Am6",
        "E8 | F8 | D8 | ^G8 | E8 | A8 | F4 ^G4 | A8",
        "Am6 A7 | Dm7 | Bm7b5 | Bb7 | Am6 | Fmaj7 | Bm7b5 Bb7 | Am6",
        "Am6 A7 | Dm7 | Bm7b5 | Bb7 | F#m7b5 | Fmaj7 | Bm7b5 Bb7 | Am6",
        "B flat 7 should slide into A minor, but both its guide tones must leap to reach F sharp half-diminished.",
        "leading",
    ),
    Pair(
        "veiled_waltz", "Db major", "3/4",
        "Dbmaj7 | Bbm7 | Ebm7 | Ab7 | Fm7 | Bbm7 | Ebm7 / Ab7 | Dbmaj7",
        "",
        "Dbmaj7 | Bb7 | Ebm7 | Ab7 | Fm7 | E7 | Ebm7 / D7 | Dbmaj7",
        "Dbmaj7 | Bbm7 | A7 | D7 | Fm7 | E7 | A7 / Ab7 | Dbmaj7",
        "D7 leaps to F minor instead of sliding into D flat, and A7 in place of E flat minor tears the line of the "
        "guide "
        "tones twice.",
        "leading",
    ),
    # --- bass: no line
    Pair(
        "stair_street", "C major", "4/4",
        "C6 | Am7 | Dm7 | G7 | Cmaj7 | Fmaj7 | G7 | Cmaj7",
        "",
        "C6 C/B | Am7 | Dm7 | Dm7/G G7 | C6 C6/E | Fmaj7 F#dim7 | G7 | Cmaj7",
        "C6 C/G | Am7 Am7/E | Dm7 | G7/D G7 | C6 C6/G | Fmaj7/C F#dim7 | G7 | Cmaj7",
        "The inversions put the fifths of the chords in the bass, which hops about and reaches nothing by step.",
        "bass",
    ),
    Pair(
        "anchor_chain", "F major", "4/4",
        "Fmaj7 | Bbmaj7 | Fmaj7 | Dm7 | Gm7 | C7 | C7 | Fmaj7",
        "A8 | d8 | c8 | A8 | B8 | G8 | E8 | A8",
        "Fmaj7 | Bbmaj7/F | Fmaj7 | Dm7 | Gm7/C | C7 | C7 | Fmaj7",
        "Fmaj7 | Bbmaj7 | Fmaj7/C | Dm7/C | Gm7/F | C7/F | C7 | Fmaj7",
        "The tonic is held in the bass under the cadence and the fifth under the rest, so neither pedal leads "
        "anywhere.",
        "bass",
    ),
    Pair(
        "coal_barge", "G minor", "4/4",
        "Gm7 | Gm7 | Cm7 | Cm7 | Am7b5 | D7 | Gm6 | Gm6",
        "",
        "Gm GmM7 | Gm7 Gm6 | Cm7 | Cm7/Bb | Am7b5 | Ab7 | Gm6 | Gm6",
        "Gm GmM7 | Gm7/D Gm6 | Cm7 | Cm7/G | Eb7 | Ab7 | Gm6 | Gm6",
        "The bass falls to the fifths and then leaps G, E flat, A flat where a line could have walked down to G.",
        "bass",
    ),
    Pair(
        "swing_bridge", "Ab major", "4/4",
        "Abmaj7 F7 | Bbm7 G7 | Cm7 F7 | Bbm7 Eb7 | Abmaj7 | Dbmaj7 | Bbm7 Eb7 | Abmaj7",
        "",
        "Abmaj7 Adim7 | Bbm7 Bdim7 | Cm7 B7 | Bbm7 Eb7 | Abmaj7 Ab7 | Dbmaj7 | Bbm7 A7 | Abmaj7",
        "Abmaj7 Ebdim7 | Bbm7 Fdim7 | Cm7 Ebdim7 | Bbm7 Dbdim7 | Abmaj7 Ab7 | Dbmaj7 | Bbm7 A7 | Abmaj7",
        "The diminished chords stand on the wrong one of their four roots, so the bass leaps in fifths and tritones "
        "and "
        "passes through nothing.",
        "bass",
    ),
    Pair(
        "ferry_blues", "Eb major", "4/4",
        "Eb7 | Ab7 | Eb7 | Eb7 | Ab7 | Ab7 | Eb7 | C7 | Fm7 | Bb7 | Eb7 | Bb7",
        "B4 G4 | c8 | B4 G4 | _d8 | c4 A4 | c8 | B8 | B8 | A4 F4 | D8 | G8 | F8",
        "Eb7 | Ab7 | Eb7 | Bbm7 Eb7 | Ab7 | Adim7 | Eb7/Bb | C7 | Fm7 | E7 | Eb7 | Bb7",
        "Eb7 | Ab7/Eb | Eb7/Bb | Bbm7 Eb7 | Ab7 | Cdim7 | Eb7/G | C7 | Fm7/C | E7 | Eb7 | Bb7",
        "Inversions and the diminished chord make the bass wander: it drops to fifths, misses the step from A flat "
        "through A to B flat and leaps into E7.",
        "bass",
    ),
    Pair(
        "salt_bossa", "E minor", "4/4",
        "Em7 | Em7 | Am7 | D7 | Gmaj7 | F#m7b5 B7 | Em7 | Em7",
        "B8 | G8 | c8 | F8 | B8 | A4 ^D4 | G8 | B8",
        "Em7 | Em7 E7 | Am7 | Ab7 | Gmaj7 | F#m7b5 F7 | Em6 | Em7",
        "Em7 | Em7/B E7 | Am7/E | D7 | Gmaj7/D | C7 B7 | Em6 | Em7",
        "The bass turns between E, B and D on fifths of the chords, where the same devices could carry it down by half "
        "steps to E.",
        "bass",
    ),
    # --- function: the goal that was promised does not come
    Pair(
        "false_lights", "C major", "4/4",
        "Cmaj7 | Cmaj7 | Fmaj7 | Fmaj7 | Dm7 | G7 | Cmaj7 | Cmaj7",
        "",
        "Cmaj7 | Gm7 C7 | Fmaj7 | Em7b5 A7 | Dm7 | Db7 | Cmaj7 | Cmaj7",
        "Cmaj7 | Gm7 C7 | Dm7 | Dm7 | Fmaj7 | Db7 | Am7 | Cmaj7",
        "C7 promises F and meets D minor, and D flat 7 promises C and meets A minor.",
        "function",
    ),
    Pair(
        "cobbled_lane", "G major", "4/4",
        "Gmaj7 | Em7 | Am7 | D7 | Gmaj7 | Em7 | Am7 D7 | Gmaj7",
        "d8 | B8 | c8 | F8 | d8 | d8 | c4 F4 | B8",
        "Gmaj7 | E7 | Am7 | Ab7 | Gmaj7 | Bb7 | Am7 Ab7 | Gmaj7",
        "Gmaj7 | Bb7 | Cmaj7 | Ab7 | Em7 | E7 | Cmaj7 D7 | Gmaj7",
        "B flat 7 and E7 are dominants of A minor, which is gone, and A flat 7 points at a G that does not follow.",
        "function",
    ),
    Pair(
        "tar_barrel", "D minor", "4/4",
        "Dm6 | Dm6 | Gm7 | Gm7 | Em7b5 | A7 | Dm6 | Dm6",
        "",
        "Dm69 | Am7b5 D7 | Gm11 | Gm11 | Em7b5 | Eb7 | Dm6 | Dm6",
        "Dm69 | Am7b5 D7 | Gm11 | Gm11 | Em7b5 | Eb7 | Bbmaj7 | Dm6",
        "E flat 7 points to D minor and lands on B flat, so the cadence that was prepared hangs in the air.",
        "function",
    ),
    Pair(
        "ropemakers_bridge", "Bb major", "4/4",
        "D7 | D7 | G7 | G7 | C7 | C7 | F7 | F7 | Bbmaj7 G7 | Cm7 F7 | Bbmaj7 | Bbmaj7",
        "",
        "Am7 | D7 | G7 | Db7 | C7 | Gb7 | F7 | B7 | Bbmaj7 G7 | Cm7 F7 | Bbmaj7 | Bbmaj7",
        "Am7 | D7 | Dm7 | G7 | Gb7 | C7 | B7 | F7 | Bbmaj7 G7 | Cm7 F7 | Bbmaj7 | Bbmaj7",
        "The substitutes come before the dominants they stand for, so neither falls a half step into its goal.",
        "function",
        sections=((1, "B"), (9, "A")),
    ),
    Pair(
        "backwater_waltz", "Eb major", "3/4",
        "Ebmaj7 | Ebmaj7 | Fm7 | Bb7 | Ebmaj7 | Abmaj7 | Bb7 | Ebmaj7",
        "G6 | B6 | A6 | F6 | G6 | c6 | A6 | G6",
        "Ebmaj7 | Ebmaj7 | Abm7 | Db7 | Ebmaj7 / Eb7 | Abmaj7 | E7 | Ebmaj7",
        "Ebmaj7 | Ebmaj7 | Abm7 | Db7 | Cm7 / Eb7 | Fm7 | E7 | Ebmaj7",
        "The backdoor opens on C minor instead of the tonic, and E flat 7 leads to no A flat.",
        "function",
    ),
    Pair(
        "south_pier", "A major", "4/4",
        "Amaj7 | F#m7 | Bm7 | E7 | C#m7 | F#7 | Bm7 E7 | Amaj7",
        "",
        "Amaj7 | F#7 | Bm7 | E7 | C#m7 | C7 | Bm7 Bb7 | Amaj7",
        "Amaj7 | C7 | Dmaj7 | Bb7 | C#m7 | F#7 | Dmaj7 E7 | Amaj7",
        "C7 and F sharp 7 lead to B minor and meet D, and B flat 7 has no A to fall to.",
        "function",
    ),
    # --- anchors: tonic and cadence lost
    Pair(
        "harbour_class", "F major", "4/4",
        "Fmaj7 | Gm7 C7 | Fmaj7 | Fmaj7 | Bbmaj7 | Am7 D7 | Gm7 C7 | Fmaj7",
        "c8 | B4 E4 | A8 | F8 | d8 | c4 ^F4 | B4 E4 | A8",
        "Fmaj7 | Gm7 Gb7 | Fmaj7 | Cm7 F7 | Bbmaj7 | Am7 D7 | Gm7 Gb7 | Fmaj7",
        "Am7 | Gm7 C7 | Dm7 | Cm7 F7 | Bbmaj7 | Am7 Ab7 | Gm7 C7 | Dm7",
        "The tune never rests: its first tonic, the cadence in bar 3 and the last F are all taken away.",
        "anchors",
        sections=((1, "A"), (5, "B")),
    ),
    Pair(
        "two_windows", "C minor", "4/4",
        "Cm6 | Fm7 | Dm7b5 | G7 | Abmaj7 | Fm7 | Dm7b5 G7 | Cm6",
        "",
        "Cm6 C7 | Fm7 | Dm7b5 | G7 | Abmaj7 | Fm7 | Dm7b5 Db7 | Cm6",
        "Cm6 | Fm7 | Ab7 | Db7 | Abmaj7 | Fm7 | Dm7b5 Db7 | Abmaj7",
        "The half cadence that closes the first section is dissolved and the last tonic is a deceptive A flat.",
        "anchors",
        sections=((1, "A"), (5, "B")),
    ),
    Pair(
        "sawmill_blues", "Bb major", "4/4",
        "Bb7 | Eb7 | Bb7 | Bb7 | Eb7 | Eb7 | Bb7 | G7 | Cm7 | F7 | Bb7 | F7",
        "",
        "Bb7 | Eb7 | Bb7 | Fm7 Bb7 | Eb7 | Edim7 | Bb7 | Dm7 G7 | Cm7 | B7 | Bb7 | F7",
        "Dm7 | Eb7 | Bb7 | Fm7 Bb7 | Cm7 | Edim7 | Gm7 | Dm7 G7 | Cm7 | F7 | Gm7 | F7",
        "The pillars of the blues are gone: no tonic in bars 1, 7 and 11 and no subdominant in bar 5.",
        "anchors",
    ),
    Pair(
        "long_promenade", "G major", "4/4",
        "Gmaj7 | Em7 | Am7 | D7 | Gmaj7 | C6 | Am7 D7 | Gmaj7 | Cmaj7 | Cmaj7 | Bm7 | E7 | Am7 | Am7 | D7 | D7",
        "",
        "Gmaj7 | E7 | Am7 | Ab7 | Gmaj7 G7 | C6 | Am7 D7 | Gmaj7 | Cmaj7 | Cmaj7 | Bm7 | Bb7 | Am7 | Am7 | C/D | D7",
        "Bm7 | E7 | Am7 | Ab7 | Em7 | C6 | Am7 D7 | Em7 | Cmaj7 | Cmaj7 | Bm7 | Bb7 | Am7 | Am7 | Ebm7 | Ab7",
        "Both the full cadence of the first section and the half cadence of the second are broken, and it opens away "
        "from home.",
        "anchors",
        sections=((1, "A"), (9, "B")),
    ),
    Pair(
        "last_boat_waltz", "Bb major", "3/4",
        "Bbmaj7 | Gm7 | Cm7 | F7 | Cm7 | F7 | Bbmaj7 | Bbmaj7",
        "d6 | F6 | G6 | A6 | G6 | e6 | F6 | B6",
        "Bbmaj7 | G7 | Cm7 | F7 | Cm7 | B7 | Bbmaj7 | Bb6",
        "Dm7 | G7 | Cm7 | F7 | Cm7 | B7 | Gm7 | Gbmaj7",
        "The tune ends on G flat and never says where home is.",
        "anchors",
    ),
    Pair(
        "shuttered_house", "A minor", "4/4",
        "Am6 | Am6 | Dm7 | Dm7 | Bm7b5 | E7 | Am6 | Am6",
        "E8 | c8 | A8 | F8 | E8 | ^G8 | E8 | A8",
        "Am6 | Em7b5 A7 | Dm7 | Dm7 | Bm11 | Bb7 | Am6 | Am6",
        "Fmaj7 | Em7b5 A7 | Dm7 | Dm7 | Bm11 | Bb7 | Fmaj7 | Fmaj7",
        "The tonic is withheld at the start and at the end, so the cadence that leads to it closes nothing.",
        "anchors",
    ),
    # --- rhythm: changes in the wrong place of the bar or the phrase
    Pair(
        "clock_tower", "C major", "4/4",
        "Cmaj7 | Am7 | Dm7 | G7 | Cmaj7 | Am7 | Dm7 G7 | Cmaj7",
        "",
        "Cmaj7 | A7 | Dm7 | G7 | Cmaj7 | Eb7 | Dm7 Db7 | Cmaj7",
        "Cmaj7 | Am7 | Dm7 | G7 | Cmaj7 | Am7 | Dm7 Ab7 G7 Db7 | Cmaj7",
        "Nothing moves for six bars, and then every device is crammed into one.",
        "rhythm",
    ),
    Pair(
        "limping_waltz", "F major", "3/4",
        "Fmaj7 | Dm7 | Gm7 | C7 | Am7 | Dm7 | Gm7 / C7 | Fmaj7",
        "c6 | A6 | B6 | G4 E2 | c6 | c6 | B4 E2 | A6",
        "Fmaj7 | D7 | Gm7 | Gm7 / C7 | Am7 | Ab7 | Gm7 / Gb7 | Fmaj7",
        "Fmaj7 | D7 | Gm7 | Gm7 C7 / | Am7 | Ab7 | Gm7 Gb7 / | Fmaj7",
        "Chords change on the second beat of the bar, against the waltz and against the tune.",
        "rhythm",
    ),
    Pair(
        "still_water", "D minor", "4/4",
        "Dm7 | Dm7 | Dm7 | Dm7 | Gm7 | A7 | Dm7 | Dm7",
        "",
        "Dm7 | Dm7 | Dm7 | Am7b5 D7 | Gm7 | Em7b5 A7 | Dm6 | Dm7",
        "Dm7 / / Ebm7 | Dm7 | Dm7 | Dm7 / / D7 | Gm7 / / Bb7 | A7 / / Eb7 | Dm6 | Dm7",
        "Every change is pushed to the last beat of its bar and none is given time to be heard.",
        "rhythm",
    ),
    Pair(
        "watchmans_blues", "G major", "4/4",
        "G7 | C7 | G7 | G7 | C7 | C7 | G7 | E7 | Am7 | D7 | G7 | D7",
        "",
        "G7 | C7 | G7 | Dm7 G7 | C7 | C#dim7 | G7 | Bm7 E7 | Am7 | D7 | G7 | D7",
        "G7 | C7 | G7 | G7 / / Db7 | C7 | C7 / / C#dim7 | G7 | E7 | Am7 Eb7 | D7 / / Ab7 | G7 | D7 / / Ab7",
        "The chords that lead into bars 5 and 7 come on a last beat, too short to lead, bar 8 lies still, and the "
        "motion is "
        "heaped on the last bars.",
        "rhythm",
    ),
    Pair(
        "market_half", "Bb major", "4/4",
        "Bbmaj7 | Gm7 | Cm7 | F7 | Bbmaj7 | Bb7 | Ebmaj7 | Ebm6 | Bbmaj7 | Gm7 | Cm7 F7 | Bbmaj7",
        "",
        "Bbmaj7 | G7 | Cm7 | F7 | Bbmaj7 | Fm7 Bb7 | Ebmaj7 | Ebm6 | Bbmaj7 | Db7 | Cm7 B7 | Bbmaj7",
        "Bbmaj7 | Gm7 / / Db7 | Cm7 | F7 / / B7 | Bbmaj7 | Bb7 | Ebmaj7 | Ebm6 | Bbmaj7 | Gm7 | Cm7 Gb7 F7 B7 | Bbmaj7",
        "The form stands almost still, and the changes it does get are squeezed into last beats and one crowded bar.",
        "rhythm",
        sections=((1, "A"), (5, "B")),
    ),
    # --- density: everything at once
    Pair(
        "crowded_quay", "C major", "4/4",
        "Cmaj7 Am7 | Dm7 G7 | Em7 A7 | Dm7 G7 | Cmaj7 C7 | Fmaj7 Fm6 | Dm7 G7 | Cmaj7",
        "",
        "Cmaj7 A7 | Dm7 G7 | Em7 Eb7 | Dm7 Db7 | Cmaj7 C7 | Fmaj7 Fm6 | Dm7 Db7 | Cmaj7",
        "Cmaj7 Bb7 Am7 Eb7 | Dm7 Ab7 G7 F7 | Em7 Bb7 A7 Eb7 | Dm7 Ab7 G7 Db7 | Cmaj7 Db7 C7 Gb7 | Fmaj7 Gb7 Fm6 Eb7 | "
        "Dm7 Ab7 G7 Db7 | Cmaj7",
        "Four chords in every bar: each chord has its own approach, and the ear cannot tell a goal from what leads "
        "to it.",
        "density",
    ),
    Pair(
        "boiler_room", "F major", "4/4",
        "F7 | Bb7 | F7 | F7 | Bb7 | Bb7 | F7 | D7 | Gm7 | C7 | F7 | C7",
        "",
        "F7 | Bb7 | F7 | Cm7 F7 | Bb7 | Bdim7 | F7 | Am7 D7 | Gm7 | Gb7 | F7 | C7",
        "Cm7 B7 | Bb7 Gb7 | F7 Gb7 F7 E7 | Cm7 F7 Gbm7 B7 | Bb7 Fm7 Bb7 B7 | Bb7 Bdim7 Bb7 Gb7 | F7 Eb7 | Am7 D7 "
        "Ebm7 Ab7 | "
        "Gm7 Db7 | Dbm7 Gb7 | F7 Db7 | C7 / / Gb7",
        "So many chords are put into a riff blues that the three chords of the form are no longer heard.",
        "density",
    ),
    Pair(
        "midnight_ballad", "Db major", "4/4",
        "Dbmaj7 Bbm7 | Ebm7 Ab7 | Dbmaj7 Db7 | Gbmaj7 Gbm6 | Fm7 Bb7 | Ebm7 Ab7 | Dbmaj7 | Dbmaj7",
        "F4 D4 | B4 G4 | A4 F4 | B4 A4 | A4 A4 | G4 c4 | F8 | A8",
        "Dbmaj7 Bbm7 | Ebm7 D7 | Dbmaj7 Db7 | Gbmaj7 Gbm6 | Fm7 E7 | Ebm7 D7 | Dbmaj7 | Dbmaj7",
        "Dbmaj7 F7 Bbm7 E7 | Ebm7 A7 Ab7 D7 | Dbmaj7 D7 Db7 G7 | Gbmaj7 G7 Gbm6 Gb7 | Fm7 B7 Bb7 E7 | Ebm7 A7 Ab7 D7 | "
        "Dbmaj7 | Dbmaj7",
        "A new chord on every beat of a slow tune buries the half notes that it sings.",
        "density",
    ),
    Pair(
        "engine_house", "C minor", "4/4",
        "Cm6 Ab7 | Dm7b5 G7 | Cm6 C7 | Fm7 Bb7 | Ebmaj7 Abmaj7 | Dm7b5 G7 | Cm6 | Cm6",
        "",
        "Cm6 Ab7 | Dm7b5 Db7 | Cm6 C7 | Fm7 E7 | Ebmaj7 Abmaj7 | Dm7b5 Db7 | Cm6 | Cm6",
        "Cm6 A7 Ab7 Eb7 | Dm7b5 Ab7 G7 Db7 | Cm6 Db7 C7 Gb7 | Fm7 B7 Bb7 E7 | Ebmaj7 A7 Abmaj7 Eb7 | "
        "Dm7b5 Ab7 Dm7b5 Db7 | Cm6 Db7 | Cm6",
        "Each chord gets a neighbour or a substitute within its own half bar, and nothing has any weight.",
        "density",
    ),
    Pair(
        "spinning_waltz", "G major", "3/4",
        "Gmaj7 | Em7 | Am7 | D7 | Gmaj7 | Cmaj7 | D7 | Gmaj7",
        "d6 | B6 | c6 | F6 | d6 | e6 | A6 | B6",
        "Gmaj7 | E7 | Am7 | D7 | Gmaj7 / G7 | Cmaj7 / C#dim7 | D7 | Gmaj7",
        "Gmaj7 F#7 B7 | Em7 Bm7 E7 | Am7 Bb7 Eb7 | Am7 D7 Ab7 | Gmaj7 Dm7 G7 | Cmaj7 C#dim7 Em7 | Am7 Eb7 D7 | Gmaj7",
        "A chord on every beat of a quick waltz leaves no bar with a first beat.",
        "density",
    ),
)  # fmt: skip

_HALVES = ("set", "held")
PAIRS = tuple(replace(pair, half=_HALVES[index % 2]) for index, pair in enumerate(_WRITTEN))
"""The forty pairs, the halves marked in turn."""
