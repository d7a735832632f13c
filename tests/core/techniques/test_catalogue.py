"""Every technique of the catalogue: examples in all keys, claims proved by other means, laws that hold for all."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import music21
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from core.bar_text import chart_from_bar_text
from core.chart import Chart, NamedRow, Note
from core.chord import Chord
from core.edit import transposed
from core.form import plain_form
from core.meter import Meter
from core.pitch import Pitch
from core.propose import Proposal, Proposals, propose, take_proposal
from core.quality import QUALITIES
from core.row import Slot, check_row, merged, span, splice
from core.symbol import format_chord, parse_symbol
from core.techniques.catalogue import BY_ID, TECHNIQUES
from core.techniques.claims import CLAIMS, Case, Claim, reasons
from core.techniques.technique import KINDS, Example, Technique

TWELVE = [(fifths, fifths * 7 % 12) for fifths in range(-5, 7)]
EXAMPLES = [(t, example) for t in TECHNIQUES for example in t.examples]
FOILS = [(t, example) for t in TECHNIQUES for example in t.counterexamples]


def chart_of(example: Example, bars: str) -> Chart:
    melody = f"\nm: {example.melody} |" if example.melody else ""
    return chart_from_bar_text(f"key: {example.key}\n\n| {bars} |{melody}\n")


def offered(chart: Chart, technique: Technique, bar: int) -> Proposals:
    here = chart.form.bars[bar - 1]
    return propose(chart, None, here.start, here.end, techniques=(technique,))


def sounds_like(chart: Chart, proposal: Proposal, wanted: Chart) -> bool:
    """Whether taking a proposal gives the wanted roots, families and basses at the same times."""
    row = merged(splice(chart.standard, proposal.start, proposal.end, proposal.after))
    aim = merged(wanted.standard)

    def content(slots: tuple[Slot, ...]) -> list[object]:
        return [(s.onset, s.chord and (s.chord.root_pc, s.chord.quality.family, s.chord.bass_pc)) for s in slots]

    return content(row) == content(aim)


# --- the table itself ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("technique", TECHNIQUES, ids=lambda technique: technique.id)
def test_every_row_is_whole(technique: Technique) -> None:
    assert technique.references
    assert all(reference.strip() for reference in technique.references)
    assert len(technique.examples) >= 2
    assert technique.counterexamples
    assert technique.rule_text.endswith(".")
    assert technique.melody_text.endswith(".")
    assert set(technique.reasons) <= set(CLAIMS)
    for rule in technique.rules:
        assert len(rule.replaces) == len(rule.motions)
        assert set(rule.replaces) <= set(KINDS)
        assert {quality for part in rule.parts for quality in part.qualities} <= set(QUALITIES)
        assert all(part.kept is None or part.kept < len(rule.replaces) for part in rule.parts)


def test_ids_titles_and_seams_are_distinct() -> None:
    assert len(BY_ID) == len(TECHNIQUES)
    assert len({technique.title for technique in TECHNIQUES}) == len(TECHNIQUES)
    assert len({technique.seam for technique in TECHNIQUES}) == len(TECHNIQUES)


# --- examples in all twelve keys -----------------------------------------------------------------------------------


@pytest.mark.parametrize("interval", TWELVE, ids=str)
@pytest.mark.parametrize(("technique", "example"), EXAMPLES, ids=[f"{t.id}-{e.after}" for t, e in EXAMPLES])
def test_examples_apply(technique: Technique, example: Example, interval: tuple[int, int]) -> None:
    chart = transposed(chart_of(example, example.before), *interval)
    wanted = transposed(chart_of(example, example.after), *interval)
    found = offered(chart, technique, example.bar)
    assert any(sounds_like(chart, proposal, wanted) for proposal in found.proposals), [
        [slot.text for slot in p.after] for p in found.proposals
    ]


@pytest.mark.parametrize("interval", TWELVE, ids=str)
@pytest.mark.parametrize(("technique", "example"), FOILS, ids=[f"{t.id}-{e.before}-{e.melody}" for t, e in FOILS])
def test_counterexamples_do_not(technique: Technique, example: Example, interval: tuple[int, int]) -> None:
    """Without a melody nothing may be offered at all; with one, what is offered there must be refused by a note."""
    chart = transposed(chart_of(example, example.before), *interval)
    found = offered(chart, technique, example.bar)
    if example.melody:
        assert found.refused
        plain = [p for p in found.proposals if p.title == technique.title]
        assert plain == [], [[slot.text for slot in p.after] for p in plain]
    else:
        assert found.proposals == ()


# --- claims proved by other means ----------------------------------------------------------------------------------


def notes_of(chord: Chord) -> set[int]:
    """Pitch classes by music21 from the spelled tones, not by our own arithmetic."""
    from core.pitch import name_of

    return {music21.pitch.Pitch(name_of(tone).replace("b", "-")).pitchClass for tone in chord.tones}


def prove(claim: Claim) -> bool:
    """Whether a claim's facts are so, worked out again from music21's pitches."""
    facts = dict(claim.facts)
    if claim.kind == "shared_tritone":
        return (set(facts["tones"]) <= notes_of(facts["old"]) & notes_of(facts["new"])
                and (facts["tones"][0] - facts["tones"][1]) % 12 == 6)  # fmt: skip
    if claim.kind in ("common_tones",):
        return set(facts["tones"]) <= notes_of(facts["old"]) & notes_of(facts["new"])
    if claim.kind == "holds_through":
        return all(set(facts["tones"]) <= notes_of(chord) for chord in facts["new"])
    if claim.kind == "resolution":
        return (
            facts["goal"] in notes_of(facts["into"])
            and min((facts["tone"] - facts["goal"]) % 12, (facts["goal"] - facts["tone"]) % 12) <= 2
        )
    if claim.kind == "ii_of":
        ii, dominant = facts["ii"], facts["dominant"]
        return (dominant.root_pc - ii.root_pc) % 12 == 5 and (ii.root_pc + 3) % 12 in notes_of(ii)
    if claim.kind == "guide_tone_step":
        return (facts["tone"] - facts["goal"]) % 12 == 1 and facts["goal"] in notes_of(facts["into"])
    if claim.kind == "aims_at":
        return (facts["following"].root_pc - facts["dominant"].root_pc) % 12 in (
            facts["motion"],
            (facts["motion"] + 0) % 12,
        )
    if claim.kind == "fourth_for_third":
        return facts["fourth"] in notes_of(facts["new"]) and facts["third"] not in notes_of(facts["new"])
    if claim.kind == "third_arrives":
        return facts["third"] in notes_of(facts["new"])
    if claim.kind == "natural_fifth":
        flat, natural = facts["opened"]
        both = notes_of(facts["old"]) & notes_of(facts["new"])
        return set(facts["tones"]) <= both and flat in notes_of(facts["old"]) and natural in notes_of(facts["new"])
    if claim.kind in ("holds_the_tonic",):
        return facts["tone"] in notes_of(facts["new"])
    if claim.kind == "minor_subdominant":
        return any(facts["tone"] in notes_of(chord) for chord in facts["new"])
    if claim.kind == "chromatic_into":
        return {(note + facts["motion"]) % 12 for note in notes_of(facts["new"])} == notes_of(facts["following"])
    if claim.kind == "bass_into_target":
        return (facts["to"] - facts["from"]) % 12 in (0, 1, 2, 5, 7, 10, 11)
    return claim.kind == "bass_line"


@pytest.mark.parametrize("interval", TWELVE, ids=str)
@pytest.mark.parametrize(("technique", "example"), EXAMPLES, ids=[f"{t.id}-{e.after}" for t, e in EXAMPLES])
def test_every_claim_of_every_example_is_true(
    technique: Technique, example: Example, interval: tuple[int, int]
) -> None:
    chart = transposed(chart_of(example, example.before), *interval)
    for proposal in offered(chart, technique, example.bar).proposals:
        assert proposal.claims, proposal.title
        assert proposal.why.endswith(".")
        for claim in proposal.claims:
            assert prove(claim), claim


def test_bass_claims_name_the_bass_that_sounds() -> None:
    chart = chart_from_bar_text("key: Eb major\n\n| Fm7 | Bb7 | Ebmaj7 |")
    found = offered(chart, BY_ID["related_ii_of_substitute"], 2)
    line = next(claim for p in found.proposals for claim in p.claims if claim.kind == "bass_line")
    assert line.text == "the bass goes B, E, E♭"
    assert dict(line.facts)["bass"] == (11, 4, 3)


MUTANTS = ["E7", "Gb7", "Dbmaj7", "Dbm7", "D7", "Db7b5"]


@pytest.mark.parametrize("wrong", MUTANTS)
def test_a_wrong_note_takes_the_claim_with_it(wrong: str) -> None:
    """The shared tritone is claimed of D♭7 for G7 and of none of its neighbours."""
    old, new, following = (parse_symbol(text) for text in ("G7", wrong, "Cmaj7"))
    assert old is not None
    assert new is not None
    case = Case(None, (old,), (new,), following, chart_from_bar_text("| C |").key)
    claims = reasons(("shared_tritone",), case)
    assert claims == () or wrong == "Db7b5"  # a flat fifth leaves third and seventh alone
    assert all(prove(claim) for claim in claims)


# --- laws ------------------------------------------------------------------------------------------------------------

ROOTS = st.integers(-6, 6)
SEVENTHS = st.sampled_from(["maj7", "7", "m7", "m7b5", "6", "m6", "dim7", "7b9", "9sus", "maj", "m"])


@st.composite
def charts(draw: st.DrawFn) -> Chart:
    """Rows that a player could write: chains of fifths and half steps mixed with leaps, one or two chords a bar."""
    meter = draw(st.sampled_from([Meter(4, 4), Meter(3, 4), Meter(6, 8)]))
    form = plain_form(draw(st.integers(2, 6)), meter)
    root, slots = draw(ROOTS), []
    for bar in form.bars:
        halves = draw(st.sampled_from([(1,), (1, 1)]))
        for index, _ in enumerate(halves):
            root = ((root + draw(st.sampled_from([-1, -1, 5, -7, 2, 3])) + 6) % 13) - 6
            duration = bar.length / len(halves)
            slots.append(Slot(bar.start + index * duration, duration, Chord(root, QUALITIES[draw(SEVENTHS)])))
    notes = [
        Note(bar.start, bar.length, Pitch(draw(st.integers(-5, 6)), 4)) for bar in form.bars if draw(st.booleans())
    ]
    return Chart("Random", draw(st.builds(lambda t: chart_from_bar_text("| C |").key.transposed(t), st.integers(-5, 6))), form,
                 (NamedRow("standard", tuple(slots)),), melody=tuple(notes))  # fmt: skip


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(charts(), st.integers(-5, 6))
def test_laws(chart: Chart, fifths: int) -> None:
    found = propose(chart, None, Fraction(0), chart.form.length)
    again = propose(chart, None, Fraction(0), chart.form.length)
    assert found == again
    for proposal in found.proposals:
        check_row(splice(chart.standard, proposal.start, proposal.end, proposal.after), chart.form.length)
        assert all(step.start >= proposal.start and step.end <= proposal.end for step in proposal.steps)
        assert proposal.cost == sum(value for _, value in proposal.terms)
        assert 0 <= proposal.boldness <= 1
        assert [claim for claim in proposal.claims if not prove(claim)] == []
        assert all(check.verdict != "clash" for check in proposal.checks)
    costs = [proposal.cost for proposal in found.proposals]
    assert costs == sorted(costs)
    assume(all(abs(slot.chord.root + fifths) <= 8 for slot in chart.standard if slot.chord))
    moved = transposed(chart, fifths, fifths * 7 % 12)
    there = propose(moved, None, Fraction(0), chart.form.length)

    def content(result: Proposals, back: int) -> list[object]:
        return [(p.technique, p.title, p.start, p.end, p.cost,
                 [(s.onset, s.chord and (s.chord.root_pc - back) % 12, s.chord and s.chord.quality.id) for s in p.after])
                for p in result.proposals]  # fmt: skip

    assert content(found, 0) == content(there, fifths * 7 % 12)


@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
@given(charts())
def test_deeper_proposals_replay_to_what_they_promise(chart: Chart) -> None:
    found = propose(chart, None, Fraction(0), chart.form.bars[1].end, depth=2)
    contents = [(p.start, p.end, tuple((s.onset, s.chord) for s in merged(p.after))) for p in found.proposals]
    assert len(set(contents)) == len(contents)
    for proposal in found.proposals:
        row = merged(chart.standard)
        for step in proposal.steps:
            row = splice(row, step.start, step.end, step.after)
        assert merged(span(row, proposal.start, proposal.end)) == merged(proposal.after)


def test_a_locked_bar_is_left_alone() -> None:
    from core.edit import add_take, toggle_lock

    chart = add_take(chart_from_bar_text("| Dm7 | G7 | Cmaj7 |"), "Evening")
    free = propose(chart, "Evening", Fraction(0), chart.form.length)
    locked = propose(toggle_lock(chart, "Evening", (1,)), "Evening", Fraction(0), chart.form.length)
    bar = chart.form.bars[1]
    assert any(p.start < bar.end and bar.start < p.end for p in free.proposals)
    assert not any(p.start < bar.end and bar.start < p.end for p in locked.proposals)


def test_the_melody_writes_its_note_into_the_symbol() -> None:
    # "The tension stands in the symbol when it is the melody note": common practice, no source.
    chart = chart_from_bar_text("| Dm7 | G7 | Cmaj7 |\nm: z8 | G4 B4 | z8 |")
    proposal = offered(chart, BY_ID["tritone_substitution"], 2).proposals[0]
    assert [format_chord(slot.chord) for slot in proposal.after if slot.chord] == ["D♭7♯11"]
    plain = replace(chart, melody=())
    proposal = offered(plain, BY_ID["tritone_substitution"], 2).proposals[0]
    assert [format_chord(slot.chord) for slot in proposal.after if slot.chord] == ["D♭7"]


def test_a_changed_bar_still_offers_what_the_standard_would() -> None:
    from core.edit import add_take

    chart = add_take(chart_from_bar_text("key: Eb major\n\n| Fm7 | Bb7 | Ebmaj7 |"), "Evening")
    bar = chart.form.bars[1]
    first = {p.title: p for p in propose(chart, "Evening", bar.start, bar.end).proposals}
    taken = take_proposal(chart, "Evening", first["Substitute V with its ii"])
    again = {p.title: p for p in propose(taken, "Evening", bar.start, bar.end).proposals}
    assert again["Substitute V with its ii"].taken
    assert not again["Tritone substitution"].taken
    assert set(first) <= set(again)
    changed = take_proposal(taken, "Evening", again["Tritone substitution"])
    assert [slot.text for slot in changed.takes[0].row] == ["Fm7", "Fb7", "Ebmaj7"]
    assert len(changed.takes[0].steps) == 1  # the step that made the chords it replaced is gone
    assert changed == take_proposal(chart, "Evening", first["Tritone substitution"])
