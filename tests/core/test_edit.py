"""Edits, takes, steps and seams: pure functions from chart to chart."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.bar_slots import parse_bar
from core.bar_text import chart_from_bar_text
from core.chart import (
    Chart,
    ChartError,
    Note,
    Take,
    aligned_melody,
    changed_bars,
    check_chart,
    notes_between,
    step_states,
)
from core.chart_json import chart_from_json, chart_to_json
from core.edit import (
    LockedError,
    add_reference,
    add_take,
    apply_steps,
    choose_reference,
    cleared,
    free_name,
    lengthen_note,
    new_chart,
    put_note,
    remove_note,
    remove_reference,
    remove_take,
    rename_reference,
    rename_take,
    repitch_note,
    restore_bars,
    set_bar,
    set_feel,
    set_melody_bar,
    set_seed,
    set_step_note,
    set_tempo,
    set_title,
    toggle_lock,
    transposed,
)
from core.files import load_chart
from core.form import Form, WrittenBar, plain_form
from core.key import Key
from core.meter import Meter
from core.pitch import Pitch
from core.propose import propose
from core.row import Slot, check_row, span
from core.seam import seams
from core.symbol import parse_symbol
from core.take_check import check_take, different_spans, summary

DEMOS = sorted((Path(__file__).parents[2] / "demo_charts").glob("*.changes.json"))


def tune() -> Chart:
    return add_take(chart_from_bar_text("| Dm7 | G7 | Cmaj7 | A7 |\nm: F8 | G4 B4 | E8 | G8 |"), "Evening")


def typed(chart: Chart, bar_index: int, text: str, row: str = "Evening", **options: bool) -> Chart:
    bar = chart.form.bars[bar_index]
    before = span(chart.row_named(row), chart.form.bars[bar_index - 1].start, bar.start) if bar_index else ()
    return set_bar(chart, row, bar_index, parse_bar(text, bar.start, bar.length, bar.meter, before), **options)


def take_of(chart: Chart) -> Take:
    return chart.take_named("Evening")


def texts(chart: Chart) -> list[str]:
    return [slot.text for slot in take_of(chart).row]


# --- rows ------------------------------------------------------------------------------------------------------------


def test_typing_over_a_bar_changes_that_bar_alone_and_keeps_what_was_typed() -> None:
    chart = typed(tune(), 1, "Ab-7 Db7")
    assert texts(chart) == ["Dm7", "Ab-7", "Db7", "Cmaj7", "A7"]
    assert changed_bars(chart, take_of(chart)) == (1,)
    assert chart.standard == tune().standard


def test_holding_a_chord_over_the_bar_line_makes_one_slot() -> None:
    chart = typed(tune(), 1, "~ G7")
    assert [(slot.text, slot.duration) for slot in take_of(chart).row[:2]] == [("Dm7", 6), ("G7", 2)]
    check_row(take_of(chart).row, chart.form.length)


def test_every_pass_of_a_written_bar_can_be_changed_at_once() -> None:
    chart = add_take(chart_from_bar_text("|: Dm7 | G7 :|"), "Evening")
    one, both = typed(chart, 1, "Db7"), typed(chart, 1, "Db7", every_pass=True)
    assert texts(one) == ["Dm7", "Db7", "Dm7", "G7"]
    assert texts(both) == ["Dm7", "Db7", "Dm7", "Db7"]


def test_a_locked_bar_refuses_every_edit() -> None:
    chart = toggle_lock(tune(), "Evening", (1, 2))
    bar = chart.form.bars[1]
    steps = propose(tune(), "Evening", bar.start, bar.end).proposals[0].steps
    for edit in (
        lambda: typed(chart, 1, "Db7"),
        lambda: apply_steps(chart, "Evening", steps),
        lambda: restore_bars(chart, "Evening", (2,)),
    ):
        with pytest.raises(LockedError, match="locked; unlock it first"):
            edit()
    assert toggle_lock(toggle_lock(chart, "Evening", (1,)), "Evening", (1,)) == chart


# --- steps and seams -----------------------------------------------------------------------------------------------


def substituted() -> Chart:
    chart = tune()
    bar = chart.form.bars[1]
    proposal = next(
        p for p in propose(chart, "Evening", bar.start, bar.end).proposals if p.technique == "tritone_substitution"
    )
    return apply_steps(chart, "Evening", proposal.steps)


def test_a_taken_proposal_leaves_a_step_and_a_seam() -> None:
    chart = substituted()
    (state,) = step_states(chart, take_of(chart))
    assert (state.edited, state.stale) == (False, False)
    (seam,) = seams(chart, take_of(chart))
    assert (seam.text, seam.kind, seam.onset) == ("tritone sub", "step", chart.form.bars[1].start)


def test_a_step_typed_over_is_edited_and_a_changed_standard_makes_it_stale() -> None:
    edited = typed(substituted(), 1, "Db13#11")
    assert [state.edited for state in step_states(edited, take_of(edited))] == [True]
    assert seams(edited, take_of(edited))[0].text == "tritone sub (edited)"
    other = typed(substituted(), 1, "F#m7b5")
    assert [(seam.text, seam.kind) for seam in seams(other, take_of(other))] == [("by hand", "typed")]
    stale = typed(substituted(), 1, "Dm7 G7", row="standard")
    assert [state.stale for state in step_states(stale, take_of(stale))] == [True]
    assert "standard changed" in seams(stale, take_of(stale))[0].text


def test_what_was_changed_by_hand_is_named_where_it_can_be_derived() -> None:
    chart = typed(typed(typed(tune(), 2, "C6/9"), 1, "Bb7"), 3, "F#maj7")
    found = [(seam.text, seam.kind) for seam in seams(chart, take_of(chart))]
    assert found == [("backdoor", "explained"), ("colour", "colour"), ("by hand", "typed")]
    assert seams(tune(), take_of(tune())) == ()


def test_restoring_bars_takes_their_steps_away() -> None:
    chart = restore_bars(substituted(), "Evening", (1,))
    assert take_of(chart) == take_of(tune())


def test_an_explanation_of_ones_own_stays_with_the_step() -> None:
    chart = set_step_note(substituted(), "Evening", 0, "my words")
    assert take_of(chart).steps[0].note == "my words"


# --- takes and references --------------------------------------------------------------------------------------------


def test_takes_are_added_copied_renamed_and_removed() -> None:
    chart = add_take(substituted(), "Copy", copy_of="Evening")
    assert chart.take_named("Copy").steps == take_of(chart).steps
    renamed = rename_take(chart, "Copy", "Later")
    assert [take.name for take in renamed.takes] == ["Evening", "Later"]
    assert [take.name for take in remove_take(renamed, "Evening").takes] == ["Later"]
    assert free_name(chart, "Evening") == "Evening 2"
    for name in ("Evening", "standard", " "):
        with pytest.raises(ChartError, match="unique"):
            rename_take(chart, "Copy", name)


def test_a_take_is_accompanied_otherwise_and_nothing_else_changes() -> None:
    before = add_take(substituted(), "Copy", copy_of="Evening")
    chart = set_seed(before, "Copy", 7)
    assert chart.take_named("Copy").seed == 7
    assert set_seed(chart, "Copy", before.take_named("Copy").seed) == before
    assert chart_from_json(chart_to_json(chart)).take_named("Copy").seed == 7
    with pytest.raises(ChartError):
        set_seed(chart, "no take", 7)


def test_another_reference_row_changes_what_takes_are_compared_with() -> None:
    chart = add_reference(tune(), "the record")
    chart = set_bar(chart, "the record", 1, parse_bar("Db7", Fraction(4), Fraction(4), Meter()))
    assert changed_bars(chart, take_of(chart)) == ()
    assert changed_bars(choose_reference(chart, "the record"), take_of(chart)) == (1,)


def test_reference_rows_are_renamed_and_removed_but_never_the_last() -> None:
    chart = choose_reference(add_reference(tune(), "the record"), "the record")
    renamed = rename_reference(chart, "the record", " the session ")
    assert [named.name for named in renamed.references] == ["standard", "the session"]
    assert renamed.reference == "the session", "the chosen row stays chosen under its new name"
    assert rename_reference(renamed, "standard", "the book").reference == "the session"
    for name in ("standard", "Evening", " "):
        with pytest.raises(ChartError, match="unique"):
            rename_reference(chart, "the record", name)
    assert remove_reference(chart, "standard").reference == "the record"
    left = remove_reference(chart, "the record")
    assert (left.reference, left.references) == ("standard", tune().references)
    with pytest.raises(ChartError, match="only reference row"):
        remove_reference(left, "standard")
    with pytest.raises(ChartError, match="no reference row"):
        remove_reference(left, "the record")


def own_form_chart() -> Chart:
    """A take with a bar dropped and a tag of two bars in another metre, in its own key."""
    chart = tune()
    written = [WrittenBar(str(n + 1), Meter(), Meter().length) for n in range(3)] + [
        WrittenBar("4", Meter(3, 4), Fraction(3))
    ] * 2
    form = Form(tuple(written), (0, 1, 2, 3, 4))
    row = tuple(Slot(bar.start, bar.length, parse_symbol("Cmaj7")) for bar in form.bars)
    take = Take("Own", row, form=form, key=Key(2), alignment=(0, 2, 3, None, None))
    return check_chart(replace(chart, takes=(*chart.takes, take)))


def test_a_take_may_have_bars_of_its_own_aligned_to_the_reference() -> None:
    chart = own_form_chart()
    take = chart.take_named("Own")
    assert changed_bars(chart, take) == (0, 2, 3, 4)  # its second bar answers bar 3 and agrees with it
    moved = aligned_melody(chart, take)
    assert [(note.onset, str(note.pitch)) for note in moved] == [(0, "F4"), (4, "E4"), (8, "G4")]
    restored = restore_bars(chart, "Own", (0,))
    assert restored.take_named("Own").row[0].text == "Dm7"
    with pytest.raises(ChartError, match="answers no bar"):
        restore_bars(chart, "Own", (3,))
    report = check_take(chart, take)
    assert report.changes == ()
    assert any(finding.check == "melody" for finding in report.findings)


# --- header and transposition ----------------------------------------------------------------------------------------


def test_header_edits() -> None:
    chart = set_feel(set_tempo(set_title(tune(), " Low Tide "), 96), "")
    assert (chart.title, chart.tempo, chart.feel) == ("Low Tide", 96, "medium swing")
    with pytest.raises(ChartError, match="from 30 to 360"):
        set_tempo(tune(), 1000)
    with pytest.raises(ChartError, match="1 to 999 bars"):
        new_chart("x", Key(0), Meter(), 0)
    fresh = new_chart("Fresh", Key(-3), Meter(3, 4), 8)
    assert (len(fresh.form.bars), fresh.takes[0].name, fresh.standard[0].chord) == (8, "First take", None)


@given(st.integers(-6, 6))
def test_transposing_there_and_back_is_where_we_were(fifths: int) -> None:
    chart = substituted()
    there = transposed(chart, fifths, fifths * 7 % 12)
    back = transposed(there, -fifths, -(fifths * 7 % 12))
    assert back == chart
    assert step_states(there, there.takes[0])[0].stale is False


# --- melody ----------------------------------------------------------------------------------------------------------

C5 = Pitch(0, 5)


def line(chart: Chart) -> list[tuple[float, float, str]]:
    return [(float(note.onset), float(note.duration), str(note.pitch)) for note in chart.melody]


def test_typing_a_bar_of_melody_replaces_that_bar_alone() -> None:
    chart = set_melody_bar(tune(), 1, "d4 z4")
    assert line(chart) == [(0, 4, "F4"), (4, 2, "D5"), (8, 4, "E4"), (12, 4, "G4")]
    tied = set_melody_bar(chart, 2, "G8-")
    assert line(tied)[-1] == (8, 8, "G4")
    assert line(set_melody_bar(tied, 3, "C8"))[-2:] == [(8, 4, "G4"), (12, 4, "C4")]


@given(st.fractions(0, 15, max_denominator=4), st.fractions(Fraction(1, 4), 6, max_denominator=4))
def test_a_written_note_silences_what_was_there_and_nothing_else(onset: Fraction, duration: Fraction) -> None:
    melody = tune().melody
    written = put_note(melody, onset, duration, C5)
    assert Note(onset, duration, C5) in written
    assert all(one.end <= two.onset for one, two in pairwise(written))
    kept = cleared(melody, onset, onset + duration)
    assert sum(note.duration for note in kept) == sum(n.duration for n in melody) - sum(
        max(Fraction(0), min(n.end, onset + duration) - max(n.onset, onset)) for n in melody
    )


def test_notes_are_moved_lengthened_and_removed() -> None:
    melody = tune().melody
    assert repitch_note(melody, 1, C5)[1] == replace(melody[1], pitch=C5)
    assert [note.duration for note in lengthen_note(melody, 1, Fraction(3))[1:3]] == [3, 1]
    assert len(remove_note(melody, 0)) == len(melody) - 1


@given(st.fractions(0, 16, max_denominator=4), st.fractions(0, 16, max_denominator=4))
def test_notes_between_finds_what_a_full_search_finds(start: Fraction, end: Fraction) -> None:
    start, end = sorted((start, end))
    melody = remove_note(tune().melody, 1)
    assert notes_between(melody, start, end) == tuple(note for note in melody if note.onset < end and note.end > start)


# --- checks of a whole take -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_the_demo_takes_pass_their_checks_and_every_step_stands(path: Path) -> None:
    chart, _ = load_chart(path)
    (take,) = chart.takes
    assert all(not state.edited and not state.stale for state in step_states(chart, take))
    report = check_take(chart, take)
    assert all(finding.verdict != "clash" for finding in report.findings)
    assert len({step.technique for step in take.steps}) >= 4
    changed = {bar.index for start, end in different_spans(chart.standard, take.row) for bar in chart.form.bars
               if bar.start < end and start < bar.end}  # fmt: skip
    assert changed == set(changed_bars(chart, take))
    assert summary(chart, take, report, len(changed)).startswith(
        f"{len(changed)} of {len(chart.form.bars)} bars changed"
    )


def test_bars_and_sections_of_a_form_with_a_pickup() -> None:
    chart = chart_from_bar_text("meter: 4/4\n\n[A]\n| {pickup} {length 1} N.C. | Dm7 | G7 |\n[B]\n| Cmaj7 |\n")
    form = chart.form
    assert [bar.number for bar in form.bars] == [0, 1, 2, 3]
    assert [(section.name, section.first, section.last) for section in form.sections] == [("A", 0, 3), ("B", 3, 4)]
    assert form.bar_numbered(0).length == 1
    assert plain_form(2, Meter()).bar_numbered(1).start == 0
