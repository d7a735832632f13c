"""Analysis: keys, numerals, functions, roles and targets against worked examples of the handbooks."""

from __future__ import annotations

import pytest

from core.analysis import ChordAnalysis, analyse
from core.bar_text import chart_from_bar_text
from core.chart import Chart
from core.edit import transposed
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
