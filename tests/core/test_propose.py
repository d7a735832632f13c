"""Proposing on top of what a take has already."""

from __future__ import annotations

from core.bar_text import chart_from_bar_text
from core.edit import add_take
from core.explain import explain_rows
from core.propose import propose, take_proposal
from core.row import same_chords


def test_what_was_taken_is_offered_as_taken_and_never_onto_itself() -> None:
    """Common practice, no source: A♭/B♭ stands for B♭7; asked again, the place still names the choice made."""
    chart = add_take(chart_from_bar_text("key: Eb major\n\n| Fm7 | Bb7 | Ebmaj7 |\n"), "Take")
    bar = chart.form.bars[1]
    slash = next(p for p in propose(chart, "Take", bar.start, bar.end).proposals
                 if p.technique == "slash_chord_eleventh" and len(p.after) == 1)  # fmt: skip
    again = propose(take_proposal(chart, "Take", slash), "Take", bar.start, bar.end).proposals
    assert [p.technique for p in again if p.taken] == ["slash_chord_eleventh"]
    assert not any(same_chords(p.before, p.after) for p in again)


def test_a_section_that_ends_on_the_tonic_may_turn_round_before_one_that_begins_on_it() -> None:
    """Common practice, no source: the last two bars of an A turn round, whether or not the next A begins on I."""
    a = "[A]\n| Cmaj7 | Am7 | Dm7 | G7 |\n| Em7 | A7 | Cmaj7 | % |\n"
    plain = chart_from_bar_text(f"key: C major\n\n{a}{a}")
    turned = chart_from_bar_text(f"key: C major\n\n{a.replace('| Cmaj7 | % |', '| Cmaj7 A7 | Dm7 G7 |')}{a}")
    bars = plain.form.bars
    offered = {proposal.technique for proposal in propose(plain, None, bars[6].start, bars[8].start).proposals}
    assert "turnaround" in offered
    found = explain_rows(plain.standard, turned.standard, plain.form, plain.key)
    assert [step.technique for one in found for step in one.steps] == ["turnaround"]
