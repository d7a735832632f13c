"""Proposing on top of what a take has already."""

from __future__ import annotations

from core.bar_text import chart_from_bar_text
from core.edit import add_take
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
