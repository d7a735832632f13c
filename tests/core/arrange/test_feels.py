"""Which feel is played: the words of a chart, its metre and its tempo; what each feel's row promises."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from core.arrange import arrange, arrange_rows
from core.arrange.grid import TICKS, grid_of
from core.arrange.patterns import BASS, COMPING, DRUMS, FILLS, PULSES, SIMPLE, SNARE
from core.arrange.settings import Settings
from core.feel import BRUSH_KIT, BY_METER, FEEL_NAMES, FEELS, choose_feel, kind_of_meter
from core.form import Form, WrittenBar, plain_form
from core.meter import Meter, parse_meter
from core.swing import STYLES
from core.timeline import NoteEvent
from tests.core.arrange.charts import ONE_A_BAR, ONE_SUBSTITUTED, chart

METER_OF = {"four": "4/4", "three": "3/4", "five": "5/4", "odd": "7/4", "compound": "12/8", "additive": "7/8"}


@pytest.mark.parametrize(
    ("words", "meter", "name", "swings"),
    [
        ("medium swing", "4/4", "medium swing", True),
        ("something of our own", "4/4", "medium swing", True),
        ("Slow Ballad", "4/4", "ballad", True),
        ("slow swing", "4/4", "slow swing", True),
        ("fast swing", "4/4", "up swing", True),
        ("Two-beat, gently", "2/2", "two-beat", True),
        ("bossa nova", "4/4", "bossa", False),
        ("even 8ths", "4/4", "even eighths", False),
        ("in seven", "7/4", "medium swing", True),
        ("ballad", "3/4", "ballad", True),
        ("medium swing", "3/4", "jazz waltz", True),
        ("even eighths", "3/4", "even eighths", False),
        ("bossa", "3/4", "jazz waltz", False),
        ("jazz waltz", "4/4", "medium swing", True),
        ("", "5/4", "five-four", True),
        ("swing", "6/8", "six-eight", False),
        ("minor blues", "4/4", "medium swing", True),
        ("minor blues", "12/8", "twelve-eight blues", False),
        ("shuffle", "4/4", "shuffle", True),
        ("swing", "7/8", "even eighths", False),
    ],
)
def test_the_feel_is_chosen_by_metre_and_words(words: str, meter: str, name: str, swings: bool) -> None:
    feel = choose_feel(words, parse_meter(meter))
    assert (feel.name, feel.swings) == (name, swings)


def test_just_swing_is_an_up_tune_when_it_is_fast() -> None:
    assert choose_feel("swing", Meter(), 240).name == "up swing"
    assert choose_feel("swing", Meter(), 180).name == "medium swing"
    assert choose_feel("medium swing", Meter(), 240).name == "medium swing"


@pytest.mark.parametrize("feel", FEELS, ids=lambda feel: feel.name)
def test_every_feel_is_found_by_its_name_in_every_metre_it_suits(feel) -> None:
    for kind in feel.meters:
        meter = parse_meter(METER_OF[kind])
        assert kind_of_meter(meter) == kind
        assert choose_feel(feel.name, meter) is feel


@pytest.mark.parametrize("feel", FEELS, ids=lambda feel: feel.name)
def test_every_row_names_tables_that_are_there(feel) -> None:
    units = {PULSES if kind in ("compound", "additive") else SIMPLE for kind in feel.meters}
    for table, name in ((DRUMS, feel.drums), (BASS, feel.bass), (COMPING, feel.comp)):
        assert any((name, unit) in table for unit in units)
    assert feel.swing in STYLES


def test_the_list_of_names_is_the_table() -> None:
    assert sorted(FEEL_NAMES) == sorted(feel.name for feel in FEELS)
    assert set(BY_METER.values()) <= set(FEELS)
    assert {table for table, _ in FILLS} <= {table for table, _ in DRUMS}


# --- metres in groups ---------------------------------------------------------------------------------------------


# Groups of two and three pulses: 7/8 as 2 + 2 + 3 beside Meter.strong_places, the rest threes first. Common practice.
@pytest.mark.parametrize(
    ("meter", "sizes"),
    [
        ("5/8", [3, 2]), ("7/8", [2, 2, 3]), ("8/8", [3, 3, 2]), ("10/8", [3, 3, 2, 2]), ("11/8", [3, 3, 3, 2]),
        ("3/8", [3]), ("4/8", [2, 2]), ("1/8", [1]), ("6/8", [6]), ("9/8", [6, 3]), ("12/8", [6, 6]),
        ("4/4", [8]), ("7/4", [8, 6]), ("5/4", [6, 4]), ("1/4", [2]),
    ],
)  # fmt: skip
def test_bars_fall_into_groups(meter: str, sizes: list[int]) -> None:
    bar = grid_of(plain_form(1, parse_meter(meter)))[0]
    assert [group.size for group in bar.groups] == sizes
    assert sum(group.size * group.unit for group in bar.groups) == bar.length == parse_meter(meter).length * TICKS


def test_the_bass_of_eleven_eight_plays_its_four_felt_beats() -> None:
    timeline = arrange(chart("Dm7 | G7", meter="11/8"), None)
    onsets = [event.onset for event in timeline.events if event.part == "bass" and event.onset < 5.5]
    assert set(onsets) >= {0.0, 1.5, 3.0, 4.5}
    assert len(onsets) <= 7
    assert [event.onset for event in timeline.count_in if event.onset >= -5.5] == [-5.5, -4.0, -2.5, -1.0]


def test_eighths_of_a_compound_bar_in_a_swung_tune_are_even() -> None:
    meters = (Meter(), Meter(6, 8), Meter(), Meter())
    written = tuple(WrittenBar(str(index), meter, meter.length) for index, meter in enumerate(meters))
    built = chart("Dm7 | G7 | Cmaj7 | A7")
    row, at = [], Fraction(0)
    for slot, meter in zip(built.standard, meters, strict=True):
        row.append(replace(slot, onset=at, duration=meter.length))
        at += meter.length
    timeline = arrange_rows(replace(built, form=Form(written, (0, 1, 2, 3))), tuple(row), None)
    rides = [event.onset for event in timeline.events if event.pitch == 51]
    assert {onset % 0.5 for onset in rides if 4 <= onset < 7} == {0.0}
    assert any(onset % 0.5 for onset in rides if onset >= 7)


def test_the_band_grows_over_a_phrase_and_starts_again() -> None:
    hats = {int(event.onset // 4): event.velocity for event in drums_of("medium swing") if event.pitch == 44}
    for first in (0, 8):
        assert hats[first + 7] > hats[first]
    assert hats[8] < hats[7]


# --- what the drums play with --------------------------------------------------------------------------------------


def drums_of(feel: str, meter: str = "4/4") -> list[NoteEvent]:
    timeline = arrange(chart(ONE_A_BAR, feel=feel, meter=meter), None)
    return [event for event in timeline.events if event.part == "drums"]


# General MIDI Level 1 (RP003): 37 side stick, 38 and 40 snares, 42, 44 and 46 hi-hat closed, by pedal and open, 51 ride.
# Which feel asks for which: common practice, no source.
@pytest.mark.parametrize(
    ("feel", "meter", "has", "lacks"),
    [
        ("medium swing", "4/4", {51, 44}, {37, 42, 46}),
        ("up swing", "4/4", {51, 44}, {37, 42, 46}),
        ("ballad", "4/4", {38, 40, 44}, {51, 37, 42}),
        ("two-beat", "4/4", {46, 42, 36}, {51, 37}),
        ("bossa", "4/4", {42, 37, 36, 44}, {51, 38}),
        ("even eighths", "4/4", {51, 37, 36}, {46}),
        ("jazz waltz", "3/4", {51, 44, 36}, {37, 42}),
        ("five-four", "5/4", {51, 44}, {37, 42}),
        ("six-eight", "6/8", {51, 44, 36}, {37, 42}),
        ("twelve-eight blues", "12/8", {51, 38, 36}, {37, 42}),
        ("shuffle", "4/4", {51, 38, 36}, {37, 42}),
    ],
)
def test_each_feel_has_its_own_instruments(feel: str, meter: str, has: set[int], lacks: set[int]) -> None:
    played = {event.pitch for event in drums_of(feel, meter)}
    assert has <= played
    assert not lacks & played


def test_a_ballad_is_played_with_brushes_and_softer() -> None:
    timeline = arrange(chart(ONE_A_BAR, feel="ballad"), None)
    assert timeline.program_of("drums") == timeline.program_of("click") == BRUSH_KIT  # one channel, one kit
    assert arrange(chart(ONE_A_BAR), None).program_of("drums") == 0
    for part in ("piano", "bass", "drums"):
        means = []
        for feel in ("ballad", "medium swing"):
            loud = [e.velocity for e in arrange(chart(ONE_A_BAR, feel=feel), None).events if e.part == part]
            means.append(sum(loud) / len(loud))
        assert means[0] < means[1]


def test_backbeats_of_a_twelve_eight_blues_fall_on_two_and_four() -> None:
    snares = [event.onset % 6 for event in drums_of("blues", "12/8") if event.pitch == 38 and event.velocity >= 40]
    assert {1.5, 4.5} <= set(snares)
    assert sum(onset in (1.5, 4.5) for onset in snares) > 0.8 * len(snares)


def test_the_rim_of_a_bossa_is_a_figure_of_two_bars() -> None:
    rim = [event.onset for event in drums_of("bossa") if event.pitch == 37]
    for bar in (0, 4, 8):  # away from the section's last bar, where a fill stands
        assert [onset - bar * 4 for onset in rim if 4 * bar <= onset < 4 * bar + 8] == [0, 1.5, 3, 5, 6.5]


def test_the_ride_changes_now_and_then_but_mostly_plays_its_usual_figure() -> None:
    bars: dict[int, tuple[float, ...]] = {}
    for event in drums_of("medium swing"):
        if event.pitch == 51:
            bars[int(event.onset // 4)] = (*bars.get(int(event.onset // 4), ()), round(event.onset % 4, 2))
    figures = list(bars.values())
    usual = max(set(figures), key=figures.count)
    assert len(usual) == 6
    assert figures.count(usual) >= 0.6 * len(figures)
    assert len(set(figures)) > 1


@pytest.mark.parametrize(("feel", "meter", "beats"), [("shuffle", "4/4", (1.0, 3.0)),
                                                      ("twelve-eight blues", "12/8", (1.5, 4.5))])  # fmt: skip
def test_the_backbeat_is_the_loudest_of_the_snare(feel: str, meter: str, beats: tuple[float, float]) -> None:
    # Snare on 2 and 4 above all that the left hand plays beside them. Common practice, no source.
    built = chart(ONE_A_BAR, ONE_SUBSTITUTED, feel=feel, meter=meter)
    bar = float(parse_meter(meter).length)
    for seed in range(1, 9):
        played = arrange(built, "sub", settings=Settings(seed=seed))
        for start in played.bars[:-1]:
            snare = [(note.onset - start, note.velocity) for note in played.events
                     if note.part == "drums" and note.pitch == SNARE and start <= note.onset < start + bar]  # fmt: skip
            back = [loud for place, loud in snare if round(place, 3) in beats]
            beside = [loud for place, loud in snare if round(place, 3) not in beats]
            assert len(back) == 2
            assert max(beside, default=0) < min(back)
