"""Whole takes for the window: the wish, bars in words, the search's process, what a take shows."""

from __future__ import annotations

import base64
import json
import pickle
import subprocess
import sys
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.asked_chords import AskedError, read_asked
from app.bar_ranges import BarsError, bars_text, read_bars
from app.chorus.__main__ import NAME, priced, request_of
from app.chorus.view import TITLES, TakeView, view_of
from app.chorus.wish import BASS_WORDS, DENSITY_WORDS, PLAYABLE_WORDS, Wish, wish_from_json, wish_to_json
from core.chart import Chart, Take, step_states
from core.chart_json import chart_to_json
from core.chorus import chorus
from core.chorus.cost import TERMS
from core.chorus.given import REFUSED, cost_of_row, terms_of_row
from core.chorus.request import BASS_PLANS, INSTRUMENTS, Request, check_request
from core.files import load_chart
from core.form import Form, FormError, plain_form
from core.harmonize import Asked, harmonize
from core.meter import Meter
from core.row import merged, span

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def chart() -> Chart:
    return load_chart(ROOT / "demo_charts" / "low_water_blues.changes.json")[0]


def answered(chart: Chart, job: str, wish: Wish, rows: tuple[str, ...] = ()) -> tuple[list[str], list[TakeView]]:
    """The first words of all lines, and the takes."""
    asked = {"job": job, "chart": chart_to_json(chart), "wish": wish_to_json(wish), "rows": rows}
    done = subprocess.run([sys.executable, "-m", "app.chorus"], input=json.dumps(asked), capture_output=True, text=True,
                          cwd=ROOT, timeout=120, check=False)  # fmt: skip
    assert done.stderr == ""
    lines = done.stdout.splitlines()
    takes = [pickle.loads(base64.b64decode(line[5:])) for line in lines if line.startswith("take ")]
    return [line if line.startswith("fault") else line.split()[0] for line in lines], takes


def test_the_bass_plans_are_those_of_the_search() -> None:
    assert set(BASS_WORDS) == {"", *BASS_PLANS}
    assert len(set(BASS_WORDS.values())) == len(BASS_WORDS)
    assert set(PLAYABLE_WORDS) == {"", *INSTRUMENTS}


def test_a_wish_goes_through_the_pipe_and_becomes_a_request(chart: Chart) -> None:
    wish = Wish(2, 0.8, 1, (0, 4), False, False, ("backdoor_dominant",), ("tritone_substitution",), "descending", ((0, 4), (8, 10)), ("5:Bb7", "6:*7"), "piano", "bass", "a take")  # fmt: skip
    assert wish_from_json(json.loads(json.dumps(wish_to_json(wish)))) == wish
    request = request_of(chart, wish)
    assert (request.count, request.boldness, request.chords_a_bar, request.keep) == (2, 0.8, 1, {0, 4})
    assert (request.keep_cadences, request.alike, request.forbid) == (False, False, {"backdoor_dominant"})
    assert [(plan.kind, plan.first, plan.last) for plan in request.plans] == [
        ("descending", 0, 4),
        ("descending", 8, 10),
    ]
    assert [(t.bar, t.chord.canonical, t.any_root) for t in request.targets] == [(4, "Bb7", False), (5, "C7", True)]
    assert request.playable == "piano"
    assert request_of(chart, Wish(plan_bars=((0, 4),))).plans == ()
    for density in DENSITY_WORDS:
        for plan in BASS_WORDS:
            check_request(request_of(chart, Wish(chords_a_bar=density, plan=plan, plan_bars=((0, 2),))), chart.form)


def test_the_process_finds_what_the_search_finds(chart: Chart) -> None:
    wish = Wish(boldness=0.6)
    words, views = answered(chart, "search", wish)
    made = list(chorus(chart, request_of(chart, wish)))
    assert words[-1] == "end"
    assert words.index("progress") < words.index("take")
    assert [view.take.name for view in views] == [NAME, f"{NAME} 2", f"{NAME} 3"][: len(made)]
    for view, found in zip(views, made, strict=True):
        assert (view.take.row, view.take.steps) == (found.row, found.steps)
        assert (view.cost, view.terms, view.names) == (found.cost, found.terms, TERMS)
        assert not any(state.stale or state.edited for state in step_states(chart, view.take))
        assert dict(view.techniques) == {title: sum(TITLES[step.technique] == title for step in found.steps)
                                         for title in {TITLES[step.technique] for step in found.steps}}  # fmt: skip


def test_the_process_finds_chords_from_the_tune_or_a_bass_line(chart: Chart) -> None:
    words, views = answered(chart, "search", Wish(count=1, source="tune"))
    assert words[-1] == "end"
    assert views[0].take.row == next(harmonize(chart, Asked(1))).row
    line = chart.takes[0]
    _, (over,) = answered(chart, "search", Wish(count=1, source="bass", over=line.name))
    for slot in line.row:
        assert slot.chord is not None
        assert {one.chord.bass_pc for one in span(over.take.row, slot.onset, slot.end) if one.chord} == {
            slot.chord.bass_pc
        }


def test_what_cannot_be_had_is_one_sentence(chart: Chart) -> None:
    words, views = answered(chart, "search", Wish(plan="pedal", plan_bars=((0, 99),)))
    assert views == []
    assert words[-1].startswith("fault There is no bar 99;")


def test_takes_of_the_chart_are_priced(chart: Chart) -> None:
    rows = ("standard", *(take.name for take in chart.takes))
    words, views = answered(chart, "price", Wish(boldness=0.5), rows)
    assert words == ["take"] * len(rows) + ["end"]
    assert views == list(priced(chart, Wish(boldness=0.5), rows))
    for name, view in zip(rows, views, strict=True):
        assert view.cost == cost_of_row(chart, chart.row_named(name), Request(boldness=0.5))
        assert len(view.terms) == len(view.density) == len(chart.form.bars)
    assert views[0].changed == frozenset()
    assert views[1].changed


def test_a_clash_costs_in_the_bar_where_it_stands() -> None:
    made, _ = load_chart(ROOT / "demo_charts" / "harbour_lamps.changes.json")
    melody, function = TERMS.index("melody"), TERMS.index("function")
    plain = terms_of_row(made, made.standard, Request())
    assert max(term for bar in plain for term in bar) < REFUSED
    seen = 0
    for take in made.takes:
        bars = terms_of_row(made, take.row, Request())
        same = {bar.index for bar in made.form.bars} - view_of(made, take).changed
        for index in same:
            assert bars[index][melody] == 0, "a bar that is not changed has no melody to judge"
        seen += sum(bar[melody] + bar[function] > 0 for bar in bars)
    assert seen


def test_a_take_with_bars_of_its_own_is_shown_without_a_cost(chart: Chart) -> None:
    form = plain_form(2, Meter())
    short = Take("short", span(chart.standard, form.bars[0].start, form.bars[1].end), form=form, alignment=(0, 1))
    (view,) = priced(replace(chart, takes=(short,)), Wish(), ("short",))
    assert view.cost is None
    assert len(view.density) == 2


def test_density_counts_the_chords_of_a_bar(chart: Chart) -> None:
    for take in chart.takes:
        view = view_of(chart, take)
        for bar, count in zip(chart.form.bars, view.density, strict=True):
            inside = [slot for slot in merged(take.row) if slot.onset < bar.end and bar.start < slot.end]
            assert count == len(inside)


# --- bars in words --------------------------------------------------------------------------------------------------

FORM = plain_form(20, Meter())


@given(st.frozensets(st.integers(0, 19)))
def test_bars_are_read_as_they_are_written(bars: frozenset[int]) -> None:
    stretches = read_bars(FORM, bars_text(FORM, bars))
    assert frozenset(index for first, last in stretches for index in range(first, last)) == bars
    assert all(one[1] < two[0] for one, two in pairwise(stretches)), "as few as can be"


def test_bars_of_a_tune_with_a_pickup_are_counted_from_the_first_full_bar() -> None:
    form = Form(FORM.written, FORM.order, pickup=True)
    assert read_bars(form, "0, 3") == ((0, 1), (3, 4))
    assert bars_text(form, frozenset({0, 1, 5})) == "0–1, 5"


@pytest.mark.parametrize(("text", "said"), [("1-x", "'1-x' names no bars"), ("4-2", "Bars 4-2 go backwards"), ("١", "names no bars")])  # fmt: skip
def test_what_names_no_bars_is_said(text: str, said: str) -> None:
    with pytest.raises(BarsError, match=said):
        read_bars(FORM, text)
    with pytest.raises(FormError, match="no bar 21"):
        read_bars(FORM, "1, 21")


@pytest.mark.parametrize(("text", "said"), [("5", "asks for no chord"), ("x:C7", "asks for no chord"), ("3:N.C.", "asks for silence")])  # fmt: skip
def test_what_asks_for_no_chord_is_said(text: str, said: str) -> None:
    with pytest.raises(AskedError, match=said):
        read_asked(FORM, text)
    assert read_asked(FORM, " 20: *maj7 ")[0] == 19
    with pytest.raises(FormError, match="no bar 21"):
        read_asked(FORM, "21:C7")
