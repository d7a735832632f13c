"""What is kept for a class: in the file, marked, revealed; and another key for the singer."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core import class_edit
from core.assignment import (
    AssignmentError,
    assignment_words,
    bar_list,
    mark_assignment,
    parse_assignment,
    techniques_used,
)
from core.bar_text import BarTextError, chart_from_bar_text, chart_to_bar_text
from core.chart import Chart, ChartError, Take, changed_bars
from core.chart_json import VERSION, chart_from_json, chart_to_json
from core.class_notes import NOTHING, Assignment, PreparedStep
from core.edit import set_bar
from core.files import load_chart
from core.json_reader import ChartFileError
from core.propose import propose, take_proposal
from core.revealing import masked, stages
from core.row import span
from core.singer_key import in_key, key_choices, melody_range
from core.techniques.catalogue import TECHNIQUES
from tests.app.window.sample import sample_chart

REFERENCE = Path(__file__).parents[1] / "reference" / "charts"


def prepared() -> Chart:
    chart = class_edit.set_bar_note(sample_chart(), 3, "Listen to the bass: it falls by half steps")
    chart = class_edit.add_step(chart, PreparedStep("The tune alone", 0, 7, "standard"))
    chart = class_edit.add_step(chart, PreparedStep("Its first surprise", 1, 3))
    chart = class_edit.set_taught(chart, "tritone_substitution", True)
    text = "two tritone substitutions, keep bars 7-8"
    return class_edit.add_assignment(chart, parse_assignment(text, chart.form))


# --- kept ------------------------------------------------------------------------------------------------------------


def test_both_formats_give_back_what_was_kept() -> None:
    chart = prepared()
    assert chart_from_json(chart_to_json(chart)) == chart
    assert chart_from_bar_text(chart_to_bar_text(chart)).for_class == chart.for_class


def test_a_file_of_version_1_still_opens_and_a_chart_without_a_class_says_nothing_of_it() -> None:
    assert json.loads((REFERENCE / "version_1.changes.json").read_text(encoding="utf-8"))["version"] == 1
    chart, report = load_chart(REFERENCE / "version_1.changes.json")
    assert chart.for_class == NOTHING
    assert not report
    written = json.loads(chart_to_json(chart))
    assert written["version"] == VERSION == 2
    assert "class" not in written


@pytest.mark.parametrize(
    ("kept", "where"),
    [
        ({"notes": [["x", "y"]]}, r"class\.notes\[0\]"),
        ({"steps": [{"words": "a", "first": 4, "last": 2}]}, r"class\.steps\[0\]"),
        ({"taught": [3]}, r"class\.taught\[0\]"),
        ({"assignments": [{"wants": [["tritone_substitution"]]}]}, r"class\.assignments\[0\]\.wants\[0\]"),
        ({"assignments": [{"keep": ["7"]}]}, r"class\.assignments\[0\]\.keep"),
        ({"notes": [[99, "far"]]}, "names a bar that is not there"),
    ],
)
def test_damage_is_said_with_its_place(kept: object, where: str) -> None:
    document = json.loads(chart_to_json(sample_chart())) | {"class": kept}
    with pytest.raises((ChartFileError, ChartError), match=where):
        chart_from_json(json.dumps(document))


def test_damage_in_bar_text_is_said_with_its_line() -> None:
    text = chart_to_bar_text(sample_chart()).replace("key: Eb major", "key: Eb major\nclass: {nothing}")
    with pytest.raises(BarTextError, match="kept for the class"):
        chart_from_bar_text(text)


def test_edits() -> None:
    chart = prepared()
    assert chart.for_class.note_on(3).startswith("Listen")
    assert class_edit.set_bar_note(chart, 3, " ").for_class.notes == ()
    assert class_edit.move_step(chart, 1, -1).for_class.steps[0].words == "Its first surprise"
    assert class_edit.move_step(chart, 0, -1) == chart
    assert len(class_edit.remove_step(chart, 0).for_class.steps) == 1
    assert class_edit.set_taught(chart, "tritone_substitution", False).for_class.taught == ()
    assert class_edit.remove_assignment(chart, 0).for_class.assignments == ()
    with pytest.raises(ChartError, match="at most 400"):
        class_edit.set_bar_note(chart, 0, "x" * 401)


# --- assignments -----------------------------------------------------------------------------------------------------


def test_an_assignment_is_read() -> None:
    form = sample_chart().form
    text = "Two tritone substitutions, a backdoor and keep bars 7–8, 12, change at least 4 bars, no clashes."
    assert parse_assignment(text, form) == Assignment(
        (("tritone_substitution", 2), ("backdoor", 1)), (6, 7, 11), least=4, clean=True
    )
    assert bar_list((6, 7, 11), form) == "7-8, 12"


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("two tritone subsitutions", "nearest is 'tritone substitution'"),
        ("keep bars 7-99", "99"),
        ("keep bars 8-7", "backwards"),
        ("", "asks for nothing"),
        ("change at least 400 bars", "32 bars"),
        ("keep bars x", "'x' is no bar"),
    ],
)
def test_what_cannot_be_read_is_said(text: str, problem: str) -> None:
    with pytest.raises(AssignmentError, match=problem):
        parse_assignment(text, sample_chart().form)


@given(
    wants=st.lists(st.tuples(st.sampled_from([t.id for t in TECHNIQUES]), st.integers(1, 12)), max_size=3),
    keep=st.sets(st.integers(0, 31), max_size=6), least=st.integers(0, 32), most=st.integers(0, 32),
    clean=st.booleans(),
)  # fmt: skip
def test_an_assignment_told_reads_back(
    wants: list[tuple[str, int]], keep: set[int], least: int, most: int, clean: bool
) -> None:
    assignment = Assignment(tuple(wants), tuple(sorted(keep)), least, most, clean)
    if assignment == Assignment():
        return
    form = sample_chart().form
    assert parse_assignment(assignment_words(assignment, form), form) == assignment


def taken(chart: Chart, technique: str, count: int) -> Chart:
    """The chart with a fresh take in which a technique was taken so often."""
    chart = replace(chart, takes=(Take("exercise", chart.standard),))
    for _ in range(count):
        found = propose(chart, "exercise", chart.form.bars[0].start, chart.form.length)
        fresh = [p for p in found.proposals if p.technique == technique and not p.taken and not p.restores]
        chart = take_proposal(chart, "exercise", fresh[0])
    return chart


@pytest.mark.parametrize(("count", "met"), [(1, False), (2, True)])
def test_marking_counts_what_was_taken(count: int, met: bool) -> None:
    chart = taken(sample_chart(), "tritone_substitution", count)
    take = chart.takes[0]
    (wanted, kept) = mark_assignment(
        chart,
        take,
        Assignment((("tritone_substitution", 2),), keep=tuple(set(range(32)) - set(changed_bars(chart, take)))),
    )
    assert wanted.met is met
    assert len(wanted.bars) == count
    assert kept.met


def test_marking_counts_what_was_typed_by_hand() -> None:
    chart = replace(sample_chart(), takes=(Take("exercise", sample_chart().standard),))
    chart = set_bar(chart, "exercise", 3, tuple(replace(s, typed=None) for s in span(
        sample_chart().takes[0].row, chart.form.bars[3].start, chart.form.bars[3].end)))  # fmt: skip
    used = techniques_used(chart, chart.takes[0])
    assert not chart.takes[0].steps
    for bars in used.values():
        assert bars == (3,)
    typed = chart_from_bar_text(
        "title: By hand\nkey: C major\nmeter: 4/4\n\n| Dm7 | G7 | Cmaj7 | Cmaj7 |\n\n"
        "take: mine\n| Dm7 | Db7 | Cmaj7 | Cmaj7 |\n"
    )
    assert techniques_used(typed, typed.takes[0]) == {"tritone_substitution": (1,)}


def test_a_bar_to_be_kept_that_was_changed_and_a_clash_are_named() -> None:
    chart = sample_chart()
    take = chart.takes[0]
    kept, most = mark_assignment(chart, take, Assignment(keep=(6, 7), most=3))
    assert not kept.met
    assert kept.bars == (7,)
    assert "bar 8" in kept.words
    assert not most.met
    text = "title: Clash\nkey: C major\nmeter: 4/4\n\n| G7 | Cmaj7 |\nm: c8 | c8 |\n\ntake: t\n| Db7 | Bmaj7 |\n"
    clashing = chart_from_bar_text(text)
    (clean,) = mark_assignment(clashing, clashing.takes[0], Assignment(clean=True))
    assert not clean.met
    assert clean.words.startswith("Bar ")


# --- revealing -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("way", ["bars", "techniques"])
def test_stages_begin_with_nothing_and_end_with_everything(way: str) -> None:
    chart = sample_chart()
    take = chart.takes[0]
    found = stages(chart, take, way)
    assert found[0].shown == frozenset()
    assert found[-1].shown == frozenset(changed_bars(chart, take))
    for before, after in pairwise(found):
        assert before.shown < after.shown or set(after.new) <= before.shown
        assert after.words


def test_prepared_stages_follow_the_plan() -> None:
    chart = prepared()
    found = stages(chart, chart.takes[0], "prepared")
    assert [stage.words for stage in found[1:]] == ["The tune alone", "Its first surprise"]
    assert found[2].shown == {1, 2, 3}


@given(st.sets(st.integers(0, 31)))
def test_a_masked_take_shows_its_own_chords_only_where_it_may(shown: set[int]) -> None:
    chart = sample_chart()
    covered = masked(chart, chart.takes[0], frozenset(shown)).takes[0]
    for bar in chart.form.bars:
        source = chart.takes[0].row if bar.index in shown else chart.standard
        assert [s.chord for s in span(covered.row, bar.start, bar.end)] == [
            s.chord for s in span(source, bar.start, bar.end)
        ]


# --- another key -----------------------------------------------------------------------------------------------------


def test_twelve_keys_with_the_range_of_the_tune_in_each() -> None:
    chart = sample_chart()
    before = melody_range(chart)
    assert before is not None
    choices = key_choices(chart)
    assert len({choice.key.tonic_pc for choice in choices}) == 12
    assert all(abs(choice.key.signature) <= 6 for choice in choices)
    for choice in choices:
        moved = in_key(chart, choice)
        after = melody_range(moved)
        assert after is not None
        assert (after[0].midi, after[1].midi) == (before[0].midi + choice.semitones, before[1].midi + choice.semitones)
        assert moved.key == choice.key
        assert [s.chord and (s.chord.root_pc - choice.semitones) % 12 for s in moved.takes[0].row] == [
            s.chord and s.chord.root_pc for s in chart.takes[0].row
        ]
        assert (choice.low, choice.high) == after
    assert in_key(chart, next(c for c in choices if c.semitones == 0)) is chart
    assert melody_range(replace(chart, melody=())) is None
