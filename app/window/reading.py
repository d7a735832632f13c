"""The questions the window asks of the harmony book, as pure functions that run in the background. No Qt.

Each imports what it needs when it is asked, so that nothing of it stands between the start and the first paint.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple

from app.window.page.page_model import Bond, Reading, SlotReading, ThreadNode, Threads
from app.window.proposal_view import numeral_text
from core.chart import Chart, changed_bars
from core.pitch import with_signs
from core.row import Row

if TYPE_CHECKING:
    from core.analysis import ChordAnalysis
    from core.propose import Proposal, Proposals, Refusal
    from core.sound.practice import Practice
    from core.timeline import Timeline


def read_chart(chart: Chart, take_name: str | None) -> Reading:
    """Functions, seams, guide threads, tension and the summary of one chart and take."""
    from core.analysis import analyse
    from core.seam import seams
    from core.tension import tension_curve

    take = chart.take_named(take_name) if take_name else None
    form, key, row = chart.form_of(take), chart.key_of(take), take.row if take else chart.standard
    standard = analyse(chart.standard, chart.form, chart.key)
    mine = analyse(take.row, form, key) if take else standard
    return Reading(
        standard=_slots(standard),
        take=_slots(mine) if take else (),
        seams=tuple((seam.onset, seam.text) for seam in seams(chart, take)) if take else (),
        standard_threads=threads_of(chart.standard),
        take_threads=threads_of(take.row) if take else (),
        tension=tuple((float(onset), value) for onset, value in tension_curve(row, form, key, mine)),
        standard_bonds=bonds_of(chart.standard, standard),
        take_bonds=bonds_of(take.row, mine) if take else (),
    )


def bonds_of(row: Row, analysis: tuple[ChordAnalysis, ...]) -> tuple[Bond, ...]:
    """Every ii with the V that follows it, and every dominant with the later chord that it resolves to."""
    found = []
    for place, said in enumerate(analysis):
        target = said.target
        if target is None or target <= place:
            continue
        if said.function == "D":
            kind = "substitute" if said.numeral.startswith("subV") else "resolves"
            found.append(Bond(row[place].onset, row[target].onset, kind))
        elif target == place + 1 and analysis[target].function == "D" and "ii" in said.role:
            kind = "substitute pair" if analysis[target].numeral.startswith("subV") else "pair"
            found.append(Bond(row[place].onset, row[target].onset, kind))
    return tuple(found)


def _slots(analysis: tuple[ChordAnalysis, ...]) -> tuple[SlotReading, ...]:
    return tuple(SlotReading(said.function, numeral_text(said.numeral), said.role) for said in analysis)


def threads_of(row: Row) -> Threads:
    """The guide threads of a row, as the page draws them."""
    from core.guide_line import guide_threads

    def node(found: object) -> ThreadNode:
        return ThreadNode(found.midi, str(found.degree.number))  # type: ignore[attr-defined]

    return tuple((node(pair[0]), node(pair[1])) if pair else None for pair in guide_threads(row))


def summarise(chart: Chart, take_name: str | None) -> str:
    """ "7 of 32 bars changed · melody good, 1 caution"."""
    if take_name is None:
        return f"{len(chart.form.bars)} bars · no take yet"
    from core.take_check import check_take, summary

    take = chart.take_named(take_name)
    changed = len(changed_bars(chart, take))
    if not chart.melody_of(take):
        return f"{changed} of {len(chart.form_of(take).bars)} bars changed · no tune to check against"
    return summary(chart, take, check_take(chart, take), changed)


class Concern(NamedTuple):
    """The cautions and clashes of one bar, in words."""

    bar_index: int
    words: str


def list_concerns(chart: Chart, take_name: str | None) -> tuple[Concern, ...]:
    """Every bar in which a check minds something, in order; without a take the tune over the standard row."""
    from core.chart import Take
    from core.take_check import check_take

    take = chart.take_named(take_name) if take_name else Take("standard", chart.standard)
    form = chart.form_of(take)
    minded: dict[int, list[str]] = {}
    for finding in check_take(chart, take).findings:
        if finding.verdict != "good":
            words = minded.setdefault(form.bar_at(finding.where).index, [])
            words.append(f"{finding.verdict}, {finding.text}")
    return tuple(
        Concern(index, f"Bar {form.bars[index].number}: {'; '.join(words)}.") for index, words in minded.items()
    )


def find_proposals(
    chart: Chart, take_name: str | None, start: Fraction, end: Fraction, depth: int = 1,
    taught: frozenset[str] | None = None,
) -> Proposals:  # fmt: skip
    """What could stand between two moments; of the techniques taught so far where they are given."""
    from core.propose import propose
    from core.techniques.catalogue import TECHNIQUES

    allowed = TECHNIQUES if taught is None else tuple(one for one in TECHNIQUES if one.id in taught)
    return propose(chart, take_name, start, end, depth, allowed)


@dataclass(frozen=True, slots=True)
class PianoNotes:
    """A voicing for the picture: which chord, the keys to show, the degree of each."""

    title: str
    notes: tuple[int, ...] = ()
    degrees: tuple[str, ...] = ()


def voice_proposal(row: Row, slot: int, title: str) -> PianoNotes:
    """The voicing of one chord of a row, in the context of the row."""
    from core.voicing import voice_row

    found = voice_row(row)[slot] if row else None
    if found is None:
        return PianoNotes(title)
    return PianoNotes(title, found.notes, tuple(with_signs(str(degree)) for degree in found.degrees))


def make_timeline(
    chart: Chart, take_name: str | None, practice: Practice | None = None, from_bar_line: bool = False
) -> Timeline:
    """Everything that sounds, for the player."""
    from core.sound.practice import AS_WRITTEN, rehearsed

    return rehearsed(chart, take_name, practice or AS_WRITTEN, from_bar_line=from_bar_line)


def audition(
    chart: Chart, take_name: str | None, proposal: Proposal | Refusal, practice: Practice | None = None
) -> Timeline:
    """The timeline as if a proposal had been taken (a refused one too: hearing why is the lesson)."""
    from dataclasses import replace

    from core.edit import add_take, free_name
    from core.propose import Proposal, take_proposal
    from core.row import splice

    name = take_name
    if name is None:
        name = free_name(chart, "audition")
        chart = add_take(chart, name)
    if isinstance(proposal, Proposal):
        return make_timeline(take_proposal(chart, name, proposal), name, practice)
    take = chart.take_named(name)
    changed = replace(take, row=splice(take.row, proposal.start, proposal.end, proposal.after))
    takes = tuple(changed if other.name == name else other for other in chart.takes)
    return make_timeline(replace(chart, takes=takes), name, practice)
