"""Explanation: every proposal explains itself, published chains are derived, and what is not so is not named."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from core.bar_text import chart_from_bar_text
from core.edit import add_take, transposed
from core.explain import COLOUR, Explanation, alternatives, explain_rows, explain_take, explained_up_to
from core.files import load_chart
from core.propose import propose
from core.row import merged, splice
from core.techniques.kinds import shape

DEMOS = sorted((Path(__file__).parents[2] / "demo_charts").glob("*.changes.json"))
TWELVE = [(fifths, fifths * 7 % 12) for fifths in range(-5, 7)]


def explained(
    before: str, after: str, key: str = "C major", interval: tuple[int, int] = (0, 0)
) -> tuple[Explanation, ...]:
    one, other = (transposed(chart_from_bar_text(f"key: {key}\n\n| {text} |"), *interval) for text in (before, after))
    return explain_rows(one.standard, other.standard, one.form, one.key)


def techniques(found: tuple[Explanation, ...]) -> list[str]:
    return [step.technique for item in found for step in item.steps]


# Standard, substitute, key, techniques in the order of time. Chains of the tritone substitution: encyclopedia article
# "Tadd Dameron turnaround"; ii-V pairs a half step away: D. Terefenko 2014, Jazz Theory, Fig. 19.4; backdoor:
# J. Coker 1997, Elements of the Jazz Language, p. 82; the rest common practice, no source.
CASES = [
    ("Dm7 | G7 | Cmaj7 | C6", "Dm7 | Db7 | Cmaj7 | C6", "C major", ["tritone_substitution"]),
    ("Dm7 | G7 | Cmaj7 | C6", "Dm7 | Db9#11 | Cmaj7 | C6", "C major", ["tritone_substitution", COLOUR]),
    ("Cmaj7 A7 | D7 G7 | Cmaj7 | C6", "Cmaj7 Eb7 | Ab7 Db7 | Cmaj7 | C6", "C major", ["mixed_chain"]),
    ("Dm7 | G7 | Cmaj7 | C6", "Dm7 | Abm7 Db7 | Cmaj7 | C6", "C major", ["related_ii_of_substitute"]),
    ("Dm7 | G7 | Cmaj7 | C6", "Fm7 | Bb7 | Cmaj7 | C6", "C major", ["backdoor"]),
    ("Cm6 | G7 | Cm6 | Cm6", "Cm6 | Dm7b5 G7 | Cm6 | Cm6", "C minor", ["two_five_interpolation"]),
    ("Cmaj7 | G7 | Cmaj7 | C6", "Cmaj7 | Dm7 Db7 | Cmaj7 | C6", "C major", ["two_five_interpolation", "tritone_substitution"]),
    ("Dm7 | G7 | Cmaj7 | C6", "Dm7 | Dbmaj7 | Cmaj7 | C6", "C major", ["flat_two_major_seventh"]),
    ("Bm7b5 | E7 | Am6 | Am6", "Bm11 | E7 | Am6 | Am6", "A minor", ["minor_eleventh_for_half_diminished"]),
    ("Dm7 | G7 | Cmaj7 | C6", "Dm7 | F/G G7 | Cmaj7 | C6", "C major", ["slash_chord_eleventh"]),
    ("Dm7 | G7 | Cmaj7 | C6", "Dm9 | G13 | C6 | C6", "C major", [COLOUR] * 3),
]  # fmt: skip


@pytest.mark.parametrize("interval", TWELVE, ids=str)
@pytest.mark.parametrize(("before", "after", "key", "expected"), CASES, ids=[case[1] for case in CASES])
def test_what_the_trade_would_say(
    before: str, after: str, key: str, expected: list[str], interval: tuple[int, int]
) -> None:
    found = explained(before, after, key, interval)
    assert all(
        item.explained and item.cost <= explained_up_to(item.before, item.after) + 2 * len(item.after) for item in found
    )
    assert techniques(found) == expected
    assert all(step.why for item in found for step in item.steps)


# Foils: a right root of the wrong kind, the right chord before the wrong target, right notes with another function.
FOILS = [
    ("Dm7 | G7 | Cmaj7 | C6", "Dm7 | Dbm7 | Cmaj7 | C6"), ("Dm7 | G7 | Am7 | C6", "Dm7 | Db7 | Am7 | C6"),
    ("Dm7 | G7 | Fmaj7 | C6", "Dm7 | Db7 | Fmaj7 | C6"), ("Dm7 | Gm7 | Cmaj7 | C6", "Dm7 | Dbm7 | Cmaj7 | C6"),
    ("Dm7 | G7 | Cm7 | F7", "Dm7 | Bb7 | Cm7 | F7"), ("Cmaj7 | Fmaj7 | C6 | C6", "Cmaj7 | Bmaj7 | C6 | C6"),
    ("Dm7 | G7 | Cmaj7 | C6", "Dm7 | Emaj7 | Cmaj7 | C6"), ("Dm7 | G7 | Cmaj7 | C6", "F#m7 | B7 | Cmaj7 | C6"),
]  # fmt: skip


@pytest.mark.parametrize("interval", TWELVE, ids=str)
@pytest.mark.parametrize(("before", "after"), FOILS, ids=[foil[1] for foil in FOILS])
def test_foils_get_no_name(before: str, after: str, interval: tuple[int, int]) -> None:
    found = explained(before, after, "C major", interval)
    assert any(not item.explained for item in found), techniques(found)
    assert all(item.steps == () for item in found if not item.explained)


def test_rows_that_agree_are_explained_by_nothing() -> None:
    assert explained("Dm7 | G7 | Cmaj7 | C6", "Dm7 | G7 | Cmaj7 | C6") == ()


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_the_demo_takes_are_explained_in_every_bar(path: Path) -> None:
    chart, _ = load_chart(path)
    found = explain_take(chart, chart.takes[0])
    assert all(item.explained for item in found)
    # Slash elevenths are a colour of their dominant, so they may be named so; every other technique is found again.
    taken = {step.technique for step in chart.takes[0].steps} - {"slash_chord_eleventh"}
    assert taken <= set(techniques(found))


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_every_proposal_explains_itself(path: Path) -> None:
    chart, _ = load_chart(path)
    # Every second one: sections of a tune offer the same things again.
    for proposal in propose(chart, None, chart.form.bars[0].start, chart.form.length).proposals[::2]:
        row = splice(chart.standard, proposal.start, proposal.end, proposal.after)
        found = explain_rows(chart.standard, row, chart.form, chart.key)
        assert all(item.explained for item in found), (proposal.title, [slot.text for slot in proposal.after])
        assert sum(step.technique != COLOUR for item in found for step in item.steps) <= len(proposal.steps)


def test_the_steps_replay_to_the_substitute() -> None:
    chart, _ = load_chart(next(path for path in DEMOS if path.name.startswith("harbour")))
    row = merged(chart.standard)
    for item in explain_take(chart, chart.takes[0]):
        for step in item.steps:
            row = splice(row, step.start, step.end, step.after)
    assert shape(merged(row)) == shape(merged(chart.takes[0].row))


def test_compositions_explain_themselves_too() -> None:
    chart, _ = load_chart(next(path for path in DEMOS if path.name.startswith("ferry")))
    composed = 0
    for bar in chart.form.bars[:4]:
        for proposal in propose(chart, None, bar.start, bar.end, depth=3).proposals:
            row = splice(chart.standard, proposal.start, proposal.end, proposal.after)
            found = explain_rows(chart.standard, row, chart.form, chart.key)
            assert all(item.explained for item in found), proposal.title
            assert sum(step.technique != COLOUR for item in found for step in item.steps) <= len(proposal.steps)
            composed += len(proposal.steps) > 1
    assert composed > 10


def test_other_readings_are_offered_cheapest_first() -> None:
    chart = add_take(chart_from_bar_text("| Cmaj7 | Am7 | Dm7 | G7 |"), "Evening")
    other = chart_from_bar_text("| Cmaj7 | C#o7 | Dm7 | G7 |").standard
    chart = replace(chart, takes=(replace(chart.takes[0], row=other),))
    bar = chart.form.bars[1]
    found = alternatives(chart, chart.takes[0], bar.start, bar.end)
    assert len(found) >= 2
    assert [item.cost for item in found] == sorted(item.cost for item in found)
    assert all(shape(merged(item.after)) == shape(merged(found[0].after)) for item in found)
