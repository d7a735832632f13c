"""Analysis: keys, numerals, functions, roles and targets against worked examples of the handbooks."""

from __future__ import annotations

import pytest

from core.analysis import ChordAnalysis, analyse
from core.bar_text import chart_from_bar_text
from core.chart import Chart
from core.edit import transposed
from core.home_key import home_key
from core.key import Key, parse_key
from core.key_areas import is_blues, keys_around
from core.tension import tension_curve

# Interval of each of the twelve transpositions as (fifths, semitones).
TWELVE = [(fifths, fifths * 7 % 12) for fifths in range(-5, 7)]


def read(text: str, key: str = "C major") -> tuple[Chart, tuple[ChordAnalysis, ...]]:
    chart = chart_from_bar_text(f"key: {key}\n\n{text}\n")
    return chart, analyse(chart.standard, chart.form, chart.key)


# Row, key, what stands there as "numeral function", and where it was read.
WORKED = [
    # Function areas of the sevenths of a major key: J. Thomas, Voice Leading for Guitar, ch. 1.
    ("| Cmaj7 | Am7 | Dm7 | G7 | Cmaj7 | Fmaj7 | Em7 | Am7 | Dm7 | G7 | C6 |", "C major",
     "Imaj7 T, vi7 T, ii7 S, V7 D, Imaj7 T, IVmaj7 S, iii7 T, vi7 T, ii7 S, V7 D, I6 T"),
    # Secondary dominants: M. Lavengood, "Substitutions", Open Music Theory.
    ("| Cmaj7 A7 | Dm7 D7 | G7 | C6 |", "C major", "Imaj7 T, V7/ii D, ii7 S, V7/V D, V7 D, I6 T"),
    # bII7 for V7 and bIII7 for VI7: D. Terefenko 2014, Jazz Theory, Fig. 13.5. The second turnaround is I VI7 II7 V7 with
    # the substitutes of all but the first: encyclopedia article "Turnaround".
    ("| Dm7 Db7 | Cmaj7 | Cmaj7 Eb7 | Ab7 Db7 | Cmaj7 |", "C major",
     "ii7 S, subV7/I D, Imaj7 T, Imaj7 T, subV7/II D, subV7/V D, subV7/I D, Imaj7 T"),
    # Backdoor: J. Coker 1997, Elements of the Jazz Language, p. 82.
    ("| Cmaj7 | Fm7 Bb7 | Cmaj7 |", "C major", "Imaj7 T, iv7 S, bVII7 D, Imaj7 T"),
    # Minor key with a half-diminished ii: common practice, no source.
    ("| Cm6 | Dm7b5 G7 | Cm6 | Fm7 | Dm7b5 | G7 | Cm6 |", "C minor", "i6 T, iiø7 S, V7 D, i6 T, iv7 S, iiø7 S, V7 D, i6 T"),
    # Ascending passing diminished is the dominant of what follows; descending is chromatic: common practice, no source.
    ("| Cmaj7 C#o7 | Dm7 G7 | Em7 Ebo7 | Dm7 G7 | C6 Co7 | C6 |", "C major",
     "Imaj7 T, viio7/ii D, ii7 S, V7 D, iii7 T, biiio7 N, ii7 S, V7 D, I6 T, io7 N, I6 T"),
    # Plain triads: a major triad on II that falls a fifth is a secondary dominant. Common practice, no source.
    ("| C | D | G | C |", "C major", "I T, V/V D, V D, I T"),
]  # fmt: skip


@pytest.mark.parametrize("interval", TWELVE, ids=str)
@pytest.mark.parametrize(("text", "key", "expected"), WORKED, ids=[row[0][:24] for row in WORKED])
def test_worked_examples_in_all_keys(text: str, key: str, expected: str, interval: tuple[int, int]) -> None:
    chart = chart_from_bar_text(f"key: {key}\n\n{text}\n")
    moved = transposed(chart, *interval)
    result = analyse(moved.standard, moved.form, moved.key)
    assert ", ".join(f"{one.numeral} {one.function}" for one in result) == expected


# Blues variants (B) and rhythm changes (RA whole sections, RB middle eights between the tonics that frame them): test data of
# M. Granroth-Wilding's parser, headed as examples of J. Coker 1964, Improvising Jazz; P4 and P5, common forms of the blues.
# Numerals and targets in our reading; "-" is no target.
PUBLISHED = {
    "B1": ("C major", "Cmaj7 | F7 | Cmaj7 | C7 | F7 | F7 | Cmaj7 | Cmaj7 | G7 | G7 | Cmaj7 | Cmaj7",
           "Imaj7 IV7 Imaj7 V7/IV IV7 IV7 Imaj7 Imaj7 V7 V7 Imaj7 Imaj7", "- - - 4 - - - - 10 10 - -"),
    "B2": ("C major", "Cmaj7 | F7 | Cmaj7 | Gm7 C7 | F7 | F#o7 | Cmaj7 | A7 | Dm7 | G7 | Cmaj7 | Cmaj7",
           "Imaj7 IV7 Imaj7 v7 V7/IV IV7 #ivo7 Imaj7 V7/ii ii7 V7 Imaj7 Imaj7", "- - - 4 5 - - - 9 10 11 - -"),
    "B3": ("C major", "Cmaj7 | F7 | Cmaj7 | Gm7 C7 | Fmaj7 | Fm7 | Em7 | A7 | Dm7 | G7 | Cmaj7 | Cmaj7",
           "Imaj7 IV7 Imaj7 v7 V7/IV IVmaj7 iv7 iii7 V7/ii ii7 V7 Imaj7 Imaj7", "- - - 4 5 - - 8 9 10 11 - -"),
    "B6": ("C major", "Cmaj7 | F7 | Cmaj7 | Dbm7 Gb7 | F7 | F#o7 | Em7 | A7 | Dm7 G7 | Abm7 Db7 | Cmaj7 | Cmaj7",
           "Imaj7 IV7 Imaj7 bii7 subV7/IV IV7 viio7/iii iii7 V7/ii ii7 V7 bvi7 subV7/I Imaj7 Imaj7",
           "- - - 4 5 - 7 8 9 10 13 12 13 - -"),
    "B8": ("C minor", "Cm6 | Dm7b5 G7 | Cm6 | C7 | Fm6 | Fm6 | Cm6 | Cm6 | Dm7b5 | G7 | Cm6 | Cm6",
           "i6 iiø7 V7 i6 V7/iv iv6 iv6 i6 i6 iiø7 V7 i6 i6", "- 2 3 - 5 - - - - 10 11 - -"),
    "P4": ("C major", "C7 | F7 | C7 | C7 | F7 | F7 | C7 | Em7 A7 | Dm7 | G7 | C7 A7 | Dm7 G7",
           "I7 IV7 I7 I7 IV7 IV7 I7 iii7 V7/ii ii7 V7 I7 V7/ii ii7 V7", "1 - 4 4 - - - 8 9 10 11 - 13 14 0"),
    "P5": ("C major", "C7 | C7 | C7 | C7 | F7 | F7 | C7 | C7 | G7 | F7 | C7 | C7",
           "I7 I7 I7 I7 IV7 IV7 I7 I7 V7 IV7 I7 I7", "4 4 4 4 - - - - - - 4 4"),
    "RA1": ("C major", "Cmaj7 | Dm7 G7 | Cmaj7 | Dm7 G7 | Cmaj7 C7 | Fmaj7 F#o7 | G7 | Cmaj7",
            "Imaj7 ii7 V7 Imaj7 ii7 V7 Imaj7 V7/IV IVmaj7 viio7/V V7 Imaj7", "- 2 3 - 5 6 - 8 - 10 11 -"),
    "RA2": ("C major", "Cmaj7 Am7 | Dm7 G7 | Cmaj7 Am7 | Dm7 G7 | Gm7 C7 | Fmaj7 Fm7 | Cmaj7 | Cmaj7",
            "Imaj7 vi7 ii7 V7 Imaj7 vi7 ii7 V7 v7 V7/IV IVmaj7 iv7 Imaj7 Imaj7", "- - 3 4 - - 7 9 9 10 - - - -"),
    "RA3": ("C major", "Cmaj7 | Dm7 D#o7 | Em7 A7 | Dm7 G7 | Gm7 C7 | Fmaj7 F#o7 | Cmaj7 | Cmaj7",
            "Imaj7 ii7 viio7/iii iii7 V7/ii ii7 V7 v7 V7/IV IVmaj7 #ivo7 Imaj7 Imaj7", "- - 3 4 5 6 8 8 9 - - - -"),
    "RA5": ("C major", "Cmaj7 Eb7 | D7 Db7 | Cmaj7 Eb7 | D7 Db7 | Gm7 C7 | Fmaj7 Fm7 | Cmaj7 | Cmaj7",
            "Imaj7 subV7/II V7/V subV7/I Imaj7 subV7/II V7/V subV7/I v7 V7/IV IVmaj7 iv7 Imaj7 Imaj7",
            "- 2 3 4 - 6 7 9 9 10 - - - -"),
    "RB1": ("C major", "Cmaj7 | E7 | E7 | A7 | A7 | D7 | D7 | G7 | G7 | Cmaj7",
            "Imaj7 V7/VI V7/VI V7/II V7/II V7/V V7/V V7 V7 Imaj7", "- 3 3 5 5 7 7 9 9 -"),
    "RB2": ("C major", "Cmaj7 | Bm7 | E7 | Em7 | A7 | Am7 | D7 | Dm7 | G7 | Cmaj7",
            "Imaj7 vii7 V7/VI iii7 V7/II vi7 V7/V ii7 V7 Imaj7", "- 2 4 4 6 6 8 8 9 -"),
    "RB5": ("C major", "Cmaj7 | C7 | C7 | Fmaj7 | Fmaj7 | D7 | D7 | G7 | G7 | Cmaj7",
            "Imaj7 V7/IV V7/IV IVmaj7 IVmaj7 V7/V V7/V V7 V7 Imaj7", "- 3 3 - - 7 7 9 9 -"),
    "RB6": ("C major", "Cmaj7 | Gm7 | C7 | Fmaj7 | Fmaj7 | Am7 | D7 | Dm7 | G7 | Cmaj7",
            "Imaj7 v7 V7/IV IVmaj7 IVmaj7 vi7 V7/V ii7 V7 Imaj7", "- 2 3 - - 6 8 8 9 -"),
}  # fmt: skip


@pytest.mark.parametrize("interval", TWELVE, ids=str)
@pytest.mark.parametrize("name", PUBLISHED)
def test_published_rows_stay_at_home(name: str, interval: tuple[int, int]) -> None:
    key, text, numerals, targets = PUBLISHED[name]
    chart = transposed(chart_from_bar_text(f"key: {key}\n\n| {text} |\n"), *interval)
    result = analyse(chart.standard, chart.form, chart.key)
    assert " ".join(one.numeral for one in result) == numerals
    assert " ".join("-" if one.target is None else str(one.target) for one in result) == targets
    assert {one.key for one in result} == {chart.key}
    assert home_key(chart.standard, chart.form).tonic_pc == chart.key.tonic_pc


# The same ii-V as part of one key and as one of its own. Common practice, no source.
SECONDS = [
    ("Cmaj7 | Fm7 Bb7 | Cmaj7 | C6", 1, "Eb major"), ("Cmaj7 | Fm7 Bb7 | Cmaj7 | C6", 2, "Eb major"),
    ("Cmaj7 | Em7b5 A7 | Dm7 | G7", 1, "D minor"), ("Cmaj7 | Em7 A7 | Dm7 | G7", 2, "D minor"),
    ("Cmaj7 | Abm7 Db7 | Cmaj7 | C6", 1, "Gb major"), ("Cmaj7 | Gm7 C7 | Fmaj7 | G7", 1, "F major"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "index", "second"), SECONDS)
def test_a_ii_v_of_another_key_names_it_second(text: str, index: int, second: str) -> None:
    _, result = read(f"| {text} |")
    assert (str(result[index].key), str(result[index].second)) == ("C major", second)
    assert result[0].second != result[index].second


def test_rows_of_any_size_are_read() -> None:
    for text, length in (("Cmaj7", 1), ("N.C.", 1), ("N.C. | N.C.", 2), (" | ".join(["C6"] * 900), 900)):
        _, result = read(f"| {text} |")
        assert len(result) == length
        assert {(one.function, one.target, one.second) for one in result} == {("N" if "N" in text else "T", None, None)}
    _, long = read("| " + " | ".join(["Dm7", "G7"] * 450) + " |")
    assert [one.target for one in long[::2]] == list(range(1, 900, 2))
    assert {one.target for one in long[1::2]} == {None}  # a V that only goes back to its ii arrives nowhere
    _, around = read("| " + " | ".join(["G7"] * 450 + ["Cmaj7"] * 450) + " |")
    assert {one.target for one in around[:450]} == {450}


def test_the_last_chord_is_read_into_the_next_chorus_and_silence_stops_it() -> None:
    assert [one.target for one in read("| Cmaj7 | Am7 | Dm7 | G7 |")[1]] == [None, None, 3, 0]
    assert [one.target for one in read("| N.C. | Cmaj7 | Dm7 | G7 |")[1]] == [None, None, 3, None]
    assert [one.target for one in read("| Cmaj7 | G7 | G7sus | N.C. |")[1]] == [None, None, None, None]


def test_targets_are_what_a_chord_resolves_to() -> None:
    chart, result = read("| Dm7 G7 | Cmaj7 A7 | Dm7 D7 | Dm7 G7 | Cmaj7 |")
    names = [chart.standard[one.target].text if one.target is not None else "-" for one in result]
    # D7 reaches G7 over the ii of G's own key: common practice, no source.
    assert names == ["G7", "Cmaj7", "-", "Dm7", "-", "G7", "G7", "Cmaj7", "-"]


def test_a_dominant_reaches_its_target_over_its_own_substitute() -> None:
    chart, result = read("| Dm7 | G7 Db7 | Cmaj7 | C6 |")
    assert [chart.standard[one.target or 0].text for one in result[1:3]] == ["Cmaj7", "Cmaj7"]


def test_a_bridge_that_falls_by_whole_steps_is_read_in_its_own_keys() -> None:
    # Local keys of ii-V-I's a whole step apart: common practice, no source.
    _, result = read("| Cmaj7 | Cmaj7 | Cm7 | F7 | Bbmaj7 | Bbmaj7 | Bbm7 | Eb7 | Abmaj7 | Abmaj7 | Dm7b5 | G7 |")
    keys = [str(one.key) for one in result]
    assert keys[:2] == ["C major"] * 2
    assert keys[2:6] == ["Bb major"] * 4
    assert keys[6:9] == ["Ab major"] * 3
    assert keys[-1].startswith("C")


def test_a_short_secondary_ii_v_stays_in_the_key_with_a_second_reading() -> None:
    _, result = read("| Cmaj7 | Bm7b5 E7 | Am7 D7 | Dm7 G7 | C6 |")
    assert {str(one.key) for one in result} == {"C major"}
    assert str(result[2].second) == "A minor"


# Jazz blues and its plain form: J. Coker 1964, Improvising Jazz, as in the test data of M. Granroth-Wilding's parser.
BLUES = "| C7 | F7 | C7 | C7 | F7 | F7 | C7 | Em7 A7 | Dm7 | G7 | C7 A7 | Dm7 G7 |"


def test_a_blues_is_at_home_on_its_sevenths() -> None:
    chart, result = read(BLUES)
    assert is_blues(chart.standard, chart.key)
    assert {str(one.key) for one in result} == {"C major"}
    assert [one.function for one in result[:3]] == ["T", "S", "T"]
    assert result[-1].numeral == "V7"
    assert result[-1].target == 0  # the last chord prepares the next chorus


def test_the_last_dominant_belongs_to_the_key_it_leads_to() -> None:
    # Keys a third apart, and a last chord that is a dominant of the first: common practice, no source.
    _, result = read("| Fm7 | Bbm7 | Eb7 | Abmaj7 | Abmaj7 | F#m7b5 | B7 | Emaj7 | Emaj7 | Emaj7 | C7 |", "Ab major")
    assert (str(result[-1].key), result[-1].numeral, result[-1].target) == ("Ab major", "V7/vi", 0)
    assert str(result[-2].key) == "E major"  # and not F flat, which needs eight flats


def test_silence_has_no_numeral() -> None:
    _, result = read("| Cmaj7 | N.C. | G7 | C6 |")
    assert (result[1].numeral, result[1].function) == ("", "N")


def test_twenty_four_keys_are_all_there_and_spelled_near_home() -> None:
    keys = keys_around(parse_key("Eb major"))
    assert len({(key.tonic_pc, key.mode) for key in keys}) == 24
    assert Key(-3) in keys
    assert all(-9 <= key.signature <= 3 for key in keys)


def test_tension_is_higher_on_dominants_than_at_home() -> None:
    chart, _ = read("| Cmaj7 | Dm7 | G7alt | Cmaj7 | N.C. |")
    values = [value for _, value in tension_curve(chart.standard, chart.form, chart.key)]
    assert values[0] == values[3] < values[1] < values[2] <= 1
    assert values[4] == 0
