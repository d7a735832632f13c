"""Timelines to practise with: the same chart, heard otherwise."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from core.arrange import arrange
from core.bar_text import chart_from_bar_text
from core.chart import Chart
from core.files import load_chart
from core.form import Form, WrittenBar
from core.meter import Meter, parse_meter
from core.places import folder
from core.sound.practice import (
    AS_WRITTEN,
    PARTS_OF_BAND,
    Practice,
    Ramp,
    click,
    click_places,
    held_tempo,
    rehearsed,
    silent_parts,
)
from core.timeline import TimelineError


@pytest.fixture(scope="module")
def tune() -> Chart:
    return load_chart(folder("demo_charts") / "harbour_lamps.changes.json")[0]


def take_of(chart: Chart) -> str:
    return chart.takes[0].name


def test_as_written_it_is_the_arrangement(tune):
    assert rehearsed(tune, take_of(tune)) == arrange(tune, take_of(tune))
    assert rehearsed(tune, None, AS_WRITTEN) == arrange(tune, None)


def test_a_practice_tempo_is_heard_and_the_chart_keeps_its_own(tune):
    slow = rehearsed(tune, take_of(tune), AS_WRITTEN.at(66.0))
    assert slow.bpm == 66.0
    assert tune.tempo != 66
    assert {event.pitch for event in slow.events if event.part == "tune"} == {
        note.pitch.midi for note in tune.melody
    }, "the pitch is kept"


# Where the hi-hat closes: common practice, no source.
@pytest.mark.parametrize(
    ("meter", "beat", "places"),
    [
        ("4/4", 1, (1, 3)),
        ("2/2", 1, (1, 3)),
        ("3/4", 1, (1,)),
        ("2/4", 1, (1,)),
        ("5/4", 1, (1, 4)),
        ("7/4", 1, (1, 3, 5)),
        ("6/8", Fraction(3, 2), (1,)),
        ("9/8", Fraction(3, 2), (1,)),
        ("12/8", Fraction(3, 2), (1, 3)),
        ("1/4", 1, (0,)),
    ],
)
def test_the_click_is_on_two_and_four_and_on_what_stands_for_them(meter, beat, places):
    assert click_places(parse_meter(meter), "backbeat") == (beat, places)


@pytest.mark.parametrize("meter", [Meter(n, d) for n in (1, 2, 3, 4, 5, 6, 7, 8, 9, 11, 12) for d in (2, 4, 8)])
def test_the_click_lies_in_the_bar_in_every_metre(meter):
    for kind in ("backbeat", "beats"):
        beat, places = click_places(meter, kind)
        assert places
        assert all(0 <= beat * place < meter.length for place in places)
        assert list(places) == sorted(set(places))


def test_clicks_stand_in_every_bar_and_are_heard_on_both_sides(tune):
    events = click(tune.form, "backbeat")
    assert [event.onset for event in events] == [float(bar.start + beat) for bar in tune.form.bars for beat in (1, 3)]
    assert {(event.part, event.side) for event in events} == {("click", "both")}
    assert not click(tune.form, "off")
    assert [e for e in rehearsed(tune, None, Practice(click="backbeat")).events if e.part == "click"] == events


def test_a_pickup_is_clicked_as_the_end_of_a_bar(tune):
    first = replace(tune.form.written[0], length=Fraction(1))
    form = replace(tune.form, written=(first, *tune.form.written[1:]), pickup=True)
    assert [event.onset for event in click(form, "backbeat")[:3]] == [0.0, 2.0, 4.0]


def test_a_tune_with_a_pickup_is_counted_to_its_own_beat_and_elsewhere_to_the_bar_line():
    full = chart_from_bar_text("meter: 4/4\n\n| Cmaj7 | Dm7 | G7 |")
    written = (WrittenBar("0", Meter(), Fraction(1)), *(WrittenBar(str(n), Meter(), Fraction(4)) for n in (1, 2)))
    row = tuple(replace(slot, onset=onset, duration=length) for slot, onset, length in zip(
        full.standard, map(Fraction, (0, 1, 5)), map(Fraction, (1, 4, 4)), strict=True))  # fmt: skip
    form = Form(written, (0, 1, 2), pickup=True)
    chart = replace(full, form=form, references=(replace(full.references[0], row=row),))
    first, elsewhere = rehearsed(chart, None), rehearsed(chart, None, from_bar_line=True)
    assert (first.lead_in, elsewhere.lead_in) == (7.0, 8.0)
    assert elsewhere.count_in[-1].onset == -1.0
    assert elsewhere.events == first.events


def test_a_ramp_rises_to_its_target_and_stays():
    ramp = Ramp(60, 15, 2, 100)
    assert ramp.count == 4
    assert [ramp.percent(index) for index in range(6)] == [60, 75, 90, 100, 100, 100]
    assert ramp.bpm(0, 200) == 120.0
    assert ramp.bpm(0, 50) == 40.0, "no slower than can be played"
    assert Ramp(100, 5, 1, 100).count == 1
    assert held_tempo(999) == 320.0


@pytest.mark.parametrize("values", [(10, 5, 1, 100), (80, 5, 1, 60), (60, 0, 1, 100), (60, 5, 0, 100), (60, 5, 1, 300)])
def test_a_ramp_that_does_not_rise_is_refused_in_one_sentence(values):
    with pytest.raises(TimelineError, match="does not rise") as error:
        Ramp(*values)
    assert str(error.value).endswith(".")


def test_mute_and_solo():
    none: frozenset[str] = frozenset()
    assert silent_parts(none, none) == none
    assert silent_parts(frozenset({"tune"}), none) == {"tune"}
    assert silent_parts(frozenset({"bass"}), frozenset({"bass", "tune"})) == {"piano", "drums"}
    assert all(silent_parts(none, frozenset({part})) == {*PARTS_OF_BAND} - {part} for part in PARTS_OF_BAND)
