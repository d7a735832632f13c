"""Every technique of the catalogue: examples in all keys, claims proved by other means, laws that hold for all."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from functools import cache

import music21
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from core.bar_text import chart_from_bar_text
from core.chart import Chart, NamedRow, Note
from core.chord import Chord, in_context
from core.edit import transposed
from core.explain import EXPLAINED_UP_TO, FOR_EACH_FURTHER_CHORD
from core.form import plain_form
from core.meter import Meter
from core.pitch import Pitch, name_of
from core.propose import Proposal, Proposals, propose, take_proposal
from core.quality import QUALITIES
from core.row import Slot, check_row, merged, sounding, span, splice
from core.symbol import format_chord, parse_symbol
from core.techniques.catalogue import BY_ID, TECHNIQUES
from core.techniques.claims import CLAIMS, Case, Claim, reasons
from core.techniques.claims.motion import BASS_WORDS
from core.techniques.melody_laws import MELODY_LAWS
from core.techniques.technique import KINDS, Example, Technique

TWELVE = [(fifths, fifths * 7 % 12) for fifths in range(-5, 7)]
EXAMPLES = [(t, example) for t in TECHNIQUES for example in t.examples]
FOILS = [(t, example) for t in TECHNIQUES for example in t.counterexamples]


FAMILIES = ("dominants", "cadences", "approach", "diminished", "tonic and key", "colour", "same root", "cycles",
            "lines and pedals")  # fmt: skip


def chart_of(example: Example, bars: str) -> Chart:
    melody = f"\nm: {example.melody} |" if example.melody else ""
    return chart_from_bar_text(f"key: {example.key}\n\n| {bars} |{melody}\n")


def offered(chart: Chart, technique: Technique, bar: int) -> Proposals:
    here = chart.form.bars[bar - 1]
    return propose(chart, None, here.start, here.end, techniques=(technique,))


def sounds_like(chart: Chart, proposal: Proposal, wanted: Chart) -> bool:
    """Whether taking a proposal gives the very chords that are wanted, colours too, at the same times."""
    return sounding(splice(chart.standard, proposal.start, proposal.end, proposal.after)) == sounding(wanted.standard)


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
    assert technique.melody_law in ("", *MELODY_LAWS)
    assert technique.family in FAMILIES
    for rule in technique.rules:
        assert len(rule.replaces) == len(rule.motions), f"{rule.title}: one motion for each replaced chord"
        alone = len(rule.replaces) == 1 and len(rule.parts) == 1
        room = EXPLAINED_UP_TO if alone else EXPLAINED_UP_TO + FOR_EACH_FURTHER_CHORD
        assert technique.cost + rule.cost <= room, f"{rule.title}: dearer than what explanation believes"
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


@cache
def music21_pitch_class(tone: int) -> int:
    return int(music21.pitch.Pitch(name_of(tone).replace("b", "-")).pitchClass)


def notes_of(chord: Chord) -> set[int]:
    """Pitch classes by music21 from the spelled tones, not by our own arithmetic."""
    return {music21_pitch_class(tone) for tone in chord.tones}


def held(claim: Claim) -> list[tuple[Chord, tuple[int, ...]]]:
    """(chord, pitch classes it must hold) for every chord whose tones a claim names."""
    facts = dict(claim.facts)
    pairs = list(facts.get("holds", ()))
    if claim.kind in ("shared_tritone", "common_tones"):
        pairs += [(facts["old"], facts["tones"]), (facts["new"], facts["tones"])]
    elif claim.kind == "natural_fifth":
        flat, natural = facts["opened"]
        pairs += [(facts["old"], (*facts["tones"], flat)), (facts["new"], (*facts["tones"], natural))]
    elif claim.kind == "holds_through":
        pairs += [(chord, facts["tones"]) for chord in facts["new"]]
    elif claim.kind in ("resolution", "guide_tone_step"):
        pairs.append((facts["into"], (facts["goal"],)))
    elif claim.kind == "fourth_for_third":
        pairs.append((facts["new"], (facts["fourth"],)))
    elif claim.kind == "third_arrives":
        pairs.append((facts["new"], (facts["third"],)))
    elif claim.kind == "holds_the_tonic":
        pairs.append((facts["new"], (facts["tone"],)))
    elif claim.kind == "ii_of":
        pairs.append((facts["ii"], ((facts["ii"].root_pc + 3) % 12,)))
    return pairs


def tones_are_there(claim: Claim, notes: Callable[[Chord], set[int]]) -> bool:
    return all(set(tones) <= notes(chord) for chord, tones in held(claim))


def relations_hold(claim: Claim, notes: Callable[[Chord], set[int]]) -> bool:
    """Whether the intervals that a claim states are so, by arithmetic of the test's own."""
    facts = dict(claim.facts)
    if not all((two - one - step) % 12 == 0 for one, two, step in facts.get("moves", ())):
        return False
    if "chords" in facts and [lowest(chord, notes) for chord in facts["chords"]] != list(facts["bass"]):
        return False
    if claim.kind == "shared_tritone":
        return (facts["tones"][0] - facts["tones"][1]) % 12 == 6
    if claim.kind == "resolution":
        return (facts["goal"] - facts["tone"]) % 12 in (0, 1, 2, 10, 11)
    if claim.kind == "ii_of":
        return (facts["dominant"].root_pc - facts["ii"].root_pc) % 12 == 5
    if claim.kind == "guide_tone_step":
        return (facts["tone"] - facts["goal"]) % 12 == 1
    if claim.kind == "aims_at":
        away = (notes_in_order(facts["following"])[0] - notes_in_order(facts["dominant"])[0]) % 12
        return away == facts["motion"]
    if claim.kind == "minor_subdominant":
        return any(facts["tone"] in notes(chord) for chord in facts["new"])
    if claim.kind in ("chromatic_into", "steps_aside"):
        return {(note + facts["motion"]) % 12 for note in notes(facts["new"])} == notes(facts["following"])
    if claim.kind == "bass_into_target":
        word = BASS_WORDS[(facts["to"] - facts["from"]) % 12]
        return f" {word} " in claim.text
    if claim.kind == "parallel_minor":
        return set(facts["degrees"]) <= {3, 8, 10}
    if claim.kind == "mirrored":
        tonic, one, two = facts["mirror"]
        return all((a - tonic) % 12 == (tonic + 7 - b) % 12 for a, b in zip(one, two, strict=True))
    if claim.kind == "rootless_flat_nine":
        return {(facts["root"] + step) % 12 for step in (1, 4, 7, 10)} == notes(facts["holds"][0][0])
    if claim.kind == "thirds_cycle":
        return {(one - other) % 12 for one in facts["thirds"] for other in facts["thirds"]} == {0, 4, 8}
    if claim.kind == "held_bass":
        return len(set(facts["bass"])) == 1
    if claim.kind == "constant_kind":
        shapes = {tuple(sorted((note - c.root_pc) % 12 for note in notes(c))) for c in facts["kind"]}
        return len(shapes) == 1 and len({(two - one) % 12 for one, two, _ in facts["moves"]}) == 1
    if claim.kind == "arrives_elsewhere":
        return len({chord.root_pc for chord in facts["differs"]}) == 2
    if claim.kind == "held_back":
        return facts["order"][1] == facts["old"] != facts["order"][0]
    if claim.kind == "left_out":
        return facts["kept"] in facts["old"] and facts["gone"] != facts["kept"]
    return True


def notes_in_order(chord: Chord) -> list[int]:
    """Root (the bass of a slash eleventh) first."""
    return [in_context(chord).root_pc]


def lowest(chord: Chord, notes: Callable[[Chord], set[int]]) -> int | None:
    """The bass by music21, None where it is not among the notes."""
    bass = music21_pitch_class(chord.root if chord.bass is None else chord.bass)
    return bass if bass in notes(chord) else None


def prove(claim: Claim, notes: Callable[[Chord], set[int]] = notes_of) -> bool:
    """Whether a claim is so, worked out again from music21's pitches."""
    return tones_are_there(claim, notes) and relations_hold(claim, notes)


def named(claim: Claim) -> Iterator[tuple[Chord, int]]:
    """Every tone that a claim says something of: (chord, pitch class)."""
    facts = dict(claim.facts)
    for chord, tones in held(claim):
        yield from ((chord, tone) for tone in tones)
    for chord, bass in zip(facts.get("chords", ()), facts.get("bass", ()), strict=True):
        yield chord, bass
    whole = list(facts.get("kind", ())) + ([facts["new"]] if claim.kind in ("chromatic_into", "steps_aside") else [])
    for chord in whole:
        yield from ((chord, tone) for tone in notes_of(chord))


@pytest.mark.parametrize("technique", TECHNIQUES, ids=lambda technique: technique.id)
def test_one_wrong_pitch_disproves_the_claim(technique: Technique) -> None:
    """Every tone that a sentence names, taken out of its chord and put a half step away, makes the proof fail."""
    mutated = 0
    for example in technique.examples:
        for proposal in offered(chart_of(example, example.before), technique, example.bar).proposals:
            for claim in proposal.claims:
                for chord, tone in named(claim):
                    wrong = notes_of(chord) - {tone} | {(tone + 1) % 12}
                    assert not prove(claim, lambda c, c0=chord, w=wrong: w if c == c0 else notes_of(c)), claim
                    mutated += 1
    assert mutated


@pytest.mark.parametrize("technique", TECHNIQUES, ids=lambda technique: technique.id)
def test_one_wrong_interval_disproves_the_claim(technique: Technique) -> None:
    for example in technique.examples:
        for proposal in offered(chart_of(example, example.before), technique, example.bar).proposals:
            for claim in proposal.claims:
                facts = dict(claim.facts)
                if "moves" in facts:
                    one, two, step = facts["moves"][0]
                    wrong = {**facts, "moves": ((one, (two + 1) % 12, step), *facts["moves"][1:])}
                    assert not relations_hold(replace(claim, facts=tuple(wrong.items())), notes_of)
                if claim.kind == "bass_into_target":
                    wrong = {**facts, "to": (facts["to"] + 1) % 12}
                    assert not relations_hold(replace(claim, facts=tuple(wrong.items())), notes_of)


@pytest.mark.parametrize("interval", TWELVE[::3], ids=str)
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


@settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck))
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


@settings(max_examples=5, deadline=None, suppress_health_check=list(HealthCheck))
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
    taken = take_proposal(chart, "Evening", first["Tritone substitution with its ii"])
    again = {p.title: p for p in propose(taken, "Evening", bar.start, bar.end).proposals}
    assert again["Tritone substitution with its ii"].taken
    assert not again["Tritone substitution"].taken
    assert set(first) <= set(again)
    changed = take_proposal(taken, "Evening", again["Tritone substitution"])
    assert [slot.text for slot in changed.takes[0].row] == ["Fm7", "Fb7", "Ebmaj7"]
    assert len(changed.takes[0].steps) == 1  # the step that made the chords it replaced is gone
    assert changed == take_proposal(chart, "Evening", first["Tritone substitution"])
