"""Proposals: techniques tried on a take, checked, explained and put in order, best first; and what was refused."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

from core.analysis import analyse
from core.chart import Chart, Step, Take, changed_bars
from core.checks.function_check import function_check
from core.checks.leading import chord_motion, guide_motion, leading_check
from core.checks.melody import fits, melody_findings, melody_verdict
from core.chord import Chord
from core.derivation import COLOUR_FAMILY, step_cost
from core.edit import apply_steps, restore_bars
from core.explain import explained_up_to
from core.finding import Check, Finding
from core.form import Bar
from core.row import Row, merged, same_chords, span, splice
from core.techniques.apply import Application, applications
from core.techniques.catalogue import TECHNIQUES
from core.techniques.claims import Claim, reasons, sentence
from core.techniques.ground import Ground
from core.techniques.melody_laws import law_findings
from core.techniques.technique import Technique

# What a proposal costs: one table. Judgement, no source; the terms are kept in the proposal so that they can be read.
WEIGHTS = {"melody": 9, "leading": 2, "function": 8, "distance": 1, "rhythm": 4}
_FUNCTION_STEPS = {"kept": 0, "sharpened": 0, "softened": 1, "redirected": 2, "lost": 5}
BREADTH = 16
"""How many proposals a deeper search goes on from."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """A change that passed: its span, chords, the steps that make it, why it works, three checks, cost and boldness.

    ``cost`` is an integer, lower first; ``terms`` are its parts by the names of :data:`WEIGHTS`; ``boldness`` is 0
    (safe) to 1 (bold); ``claims`` are what ``why`` says, with the pitches it was computed from. ``restores`` are bars
    that get their standard chords back first; ``taken`` says that the take already has just these chords there;
    ``applied`` are the rules behind the steps.
    """

    technique: str
    title: str
    start: Fraction
    end: Fraction
    before: Row
    after: Row
    steps: tuple[Step, ...]
    why: str
    claims: tuple[Claim, ...]
    melody: Check
    leading: Check
    function: Check
    cost: int
    terms: tuple[tuple[str, int], ...]
    boldness: float
    restores: tuple[int, ...] = ()
    taken: bool = False
    applied: tuple[Application, ...] = ()

    @property
    def checks(self) -> tuple[Check, Check, Check]:
        """Melody, voice leading, function."""
        return self.melody, self.leading, self.function


@dataclass(frozen=True, slots=True)
class Refusal:
    """A change that a technique offers and a check refuses; ``why`` names the note or the lost target."""

    technique: str
    title: str
    start: Fraction
    end: Fraction
    before: Row
    after: Row
    why: str
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Proposals:
    """Best first, and the refused ones in the order of the catalogue."""

    proposals: tuple[Proposal, ...]
    refused: tuple[Refusal, ...]


def ground_for(chart: Chart, take: Take | None, row: Row) -> Ground:
    """Any row over a take's form, key and melody."""
    form = chart.form_of(take)
    joined = merged(row, form.section_starts)
    return Ground(joined, analyse(joined, form, chart.key_of(take)), chart.melody_of(take), form)


def propose(
    chart: Chart,
    take_name: str | None,
    start: Fraction,
    end: Fraction,
    depth: int = 1,
    techniques: tuple[Technique, ...] = TECHNIQUES,
) -> Proposals:
    """Changes that begin in the time from start to end of a take (None: the standard row).

    Where the take has changed a bar already, what the standard's chords offer there is proposed too, so that one
    choice can be weighed against another. ``depth`` is how many techniques may be applied one to the result of
    another, 1 to 4. Locked bars are left alone. Results that are the same chords are one proposal, with its shortest
    derivation.
    """
    take = None if take_name is None else chart.take_named(take_name)
    whole = chart.standard if take is None else take.row
    found, refused = _tried(chart, take, ground_for(chart, take, whole), start, end, depth, techniques)
    for bar in _changed_in(chart, take, start, end):
        assert take is not None
        restored = splice(whole, bar.start, bar.end, span(chart.standard, bar.start, bar.end))
        ground = ground_for(chart, take, restored)
        more, no = _tried(chart, take, ground, max(start, bar.start), min(end, bar.end), depth, techniques)
        found += [_from_the_standard(proposal, take, restored, bar) for proposal in more]
        refused += no
    return Proposals(tuple(_distinct(found)), tuple(dict.fromkeys(refused)))


def _tried(
    chart: Chart, take: Take | None, ground: Ground, start: Fraction, end: Fraction, depth: int,
    techniques: tuple[Technique, ...],
) -> tuple[list[Proposal], list[Refusal]]:  # fmt: skip
    """Every technique tried on one row, and on its own results down to a depth."""
    found: list[Proposal] = []
    refused: list[Refusal] = []
    for application in applications(ground, techniques, start, end):
        if take is not None and _touches_lock(take, ground, application.start, application.end):
            continue
        if same_chords(application.before, application.after):
            continue  # the take has it already; offered anew from the standard's chords, it is marked as taken
        result = judge(ground, (application,))
        (found if isinstance(result, Proposal) else refused).append(result)  # type: ignore[arg-type]
    best = _distinct(found)
    for _ in range(1, max(1, min(depth, 4))):
        best = _distinct([*best, *_deeper(chart, take, ground, best, techniques)])
    return best, refused


def _changed_in(chart: Chart, take: Take | None, start: Fraction, end: Fraction) -> list[Bar]:
    """The bars of a stretch that a take has changed already: what the standard offers there is still wanted."""
    if take is None or take.form is not None:
        return []
    bars = [chart.form.bars[index] for index in changed_bars(chart, take) if index not in take.locked]
    return [bar for bar in bars if bar.start < end and start < bar.end]


def _from_the_standard(proposal: Proposal, take: Take, restored: Row, bar: Bar) -> Proposal:
    """A proposal for the standard's chords where the take has others; it may be the very one that was taken."""
    result = splice(restored, proposal.start, proposal.end, proposal.after)
    low, high = min(bar.start, proposal.start), max(bar.end, proposal.end)
    taken = same_chords(span(result, low, high), span(take.row, low, high))
    return replace(proposal, restores=(bar.index,), taken=taken)


def take_proposal(chart: Chart, take_name: str, proposal: Proposal) -> Chart:
    """The chart with a proposal taken; raises :class:`core.edit.LockedError` where a bar is locked."""
    if proposal.restores:
        chart = restore_bars(chart, take_name, proposal.restores)
    return apply_steps(chart, take_name, proposal.steps)


def _touches_lock(take: Take, ground: Ground, start: Fraction, end: Fraction) -> bool:
    return any(ground.form.bars[index].start < end and start < ground.form.bars[index].end for index in take.locked
               if index < len(ground.form.bars))  # fmt: skip


def _distinct(proposals: Iterable[Proposal]) -> list[Proposal]:
    """Sorted by cost; of those that are the same chords over the same time the shortest, then cheapest, derivation."""
    kept: dict[tuple[Fraction, Fraction, tuple[tuple[Fraction, Chord | None], ...]], Proposal] = {}
    for proposal in proposals:
        content = tuple((slot.onset, slot.chord) for slot in merged(proposal.after))
        place = (proposal.start, proposal.end, content)
        other = kept.get(place)
        if other is None or _plainness(proposal) < _plainness(other):
            kept[place] = proposal
    return sorted(kept.values(), key=lambda proposal: proposal.cost)


def _plainness(proposal: Proposal) -> tuple[int, bool, int]:
    """The shortest derivation, from the standard rather than from what a take made of it, then the cheapest."""
    return len(proposal.steps), not proposal.restores, proposal.cost


def _deeper(
    chart: Chart, take: Take | None, ground: Ground, best: list[Proposal], techniques: tuple[Technique, ...]
) -> list[Proposal]:
    """Every technique tried on the results of the best proposals, inside what they changed."""
    found = []
    longest = max((len(proposal.steps) for proposal in best), default=0)
    bases = [p for p in best if len(p.steps) == longest and p.applied[-1].technique.family != COLOUR_FAMILY]
    for proposal in bases[:BREADTH]:
        row = splice(ground.row, proposal.start, proposal.end, proposal.after)
        changed = ground_for(chart, take, row)
        used = {step.technique for step in proposal.steps}
        fresh = tuple(technique for technique in techniques
                      if technique.id not in used and technique.family != COLOUR_FAMILY)  # fmt: skip
        for application in applications(changed, fresh, proposal.start, proposal.end):
            if take is not None and _touches_lock(take, ground, application.start, application.end):
                continue
            result = judge(ground, (proposal, application))
            if isinstance(result, Proposal) and _is_one_idea(result):
                found.append(result)
    return found


def _is_one_idea(proposal: Proposal) -> bool:
    """Whether steps make one change together that explanation would believe: one piece, within its bound.

    Two changes side by side are two proposals.
    """
    if same_chords(proposal.before, proposal.after):
        return False
    before, after = merged(proposal.before), merged(proposal.after)
    if {slot.onset for slot in before[1:]} & {slot.onset for slot in after[1:]}:
        return False
    return sum(step_cost(step) for step in proposal.applied) <= explained_up_to(before, after)


# --- judging -------------------------------------------------------------------------------------------------------


def judge(ground: Ground, derivation: tuple[Application] | tuple[Proposal, Application]) -> Proposal | Refusal:
    """Check a change against what stood there: an application, or a proposal and an application to its result."""
    application = derivation[-1]
    assert isinstance(application, Application)
    earlier = derivation[0] if isinstance(derivation[0], Proposal) else None
    start, end, before, after, steps = _whole_change(ground, earlier, application)
    previous, following = ground.neighbours(start, end) if earlier else application.around
    key = application.key
    judged = fits(ground.melody, after, following, key, ground.form, flag_altered=True)
    clashes = law_findings(application, ground.melody, ground.form)
    clashes = clashes or melody_findings((fit for fit in judged if fit.verdict == "clash"), key)
    if not clashes:
        function = function_check(previous, before, after, following, end, key)
        clashes = tuple(finding for finding in function.findings if finding.verdict == "clash")
    title = (
        application.title
        if earlier is None
        else f"{earlier.title}, then {application.title[0].lower()}{application.title[1:]}"
    )
    identifier = application.technique.id
    if clashes:
        why = clashes[0].text[0].upper() + clashes[0].text[1:] + _already(clashes[0], before, after) + "."
        return Refusal(identifier, title, start, end, before, after, why, clashes)
    melody = melody_verdict(judged, key)
    leading = leading_check(previous, after, following, end, ground.melody, before, key)
    claims = _claims(application, earlier)
    terms = _terms(before, after, previous, following, melody, function, application, earlier)
    boldness = _boldness(application, melody)
    if earlier is not None:
        boldness = min(1.0, max(boldness, earlier.boldness) + min(boldness, earlier.boldness) / 2)
    return Proposal(identifier, title, start, end, before, after, steps, sentence(claims), claims, melody, leading,
                    function, sum(value for _, value in terms), terms, round(boldness, 2),
                    applied=(*(earlier.applied if earlier else ()), application))  # fmt: skip


def _whole_change(
    ground: Ground, earlier: Proposal | None, application: Application
) -> tuple[Fraction, Fraction, Row, Row, tuple[Step, ...]]:
    step = Step(application.technique.id, application.start, application.end, application.before, application.after)
    if earlier is None:
        return application.start, application.end, application.before, application.after, (step,)
    start, end = min(earlier.start, application.start), max(earlier.end, application.end)
    row = splice(ground.row, earlier.start, earlier.end, earlier.after)
    row = splice(row, application.start, application.end, application.after)
    return start, end, span(ground.row, start, end), merged(span(row, start, end)), (*earlier.steps, step)


def _already(clash: Finding, before: Row, after: Row) -> str:
    """What to add when the note clashes under a chord that the change keeps: it is the standard that clashes there."""
    old = next((slot.chord for slot in before if slot.onset <= clash.where < slot.end), None)
    new = next((slot.chord for slot in after if slot.onset <= clash.where < slot.end), None)
    return ", and clashes there already" if clash.check == "melody" and old is not None and old == new else ""


def _claims(application: Application, earlier: Proposal | None) -> tuple[Claim, ...]:
    claims = reasons(application.technique.reasons, application.case)
    return claims if earlier is None else (*earlier.claims[:1], *claims[:2])


def _terms(
    before: Row, after: Row, previous: Chord | None, following: Chord | None, melody: Check, function: Check,
    application: Application, earlier: Proposal | None,
) -> tuple[tuple[str, int], ...]:  # fmt: skip
    cautions = sum(finding.verdict == "caution" for finding in melody.findings)
    unresolved = sum(finding.verdict == "caution" for finding in function.findings[1:])
    effect = str(dict(function.findings[0].numbers).get("effect", "redirected"))
    bold = application.technique.boldness + application.rule.boldness
    counts = {
        "melody": cautions,
        "leading": max(0, _motion(previous, after, following) - _motion(previous, before, following)),
        "function": _FUNCTION_STEPS[effect] + unresolved,
        "distance": bold // 4 + (dict(earlier.terms)["distance"] if earlier else 0),
        "rhythm": max(0, len(merged(after)) - len(merged(before))),
    }
    return tuple((name, WEIGHTS[name] * count) for name, count in counts.items())


def _motion(previous: Chord | None, chords: Row, following: Chord | None) -> int:
    """Twice the average motion of a change of chord: guide tones, and half of all four voices, in semitones."""
    path = [chord for chord in (previous, *(slot.chord for slot in chords), following) if chord is not None]
    steps = [_easiest(one, two) for one, two in pairwise(path)]
    return round(2 * sum(steps) / len(steps)) if steps else 0


@lru_cache(maxsize=65536)
def _easiest(one: Chord, two: Chord) -> int:
    """Motion into a chord; into a resting major chord its sixth or its seventh, whichever a player would reach for."""
    resting = two.quality.id in ("maj", "6", "69", "maj7", "maj9")
    into = [two.with_quality(quality) for quality in ("6", "maj7")] if resting else [two]
    start = [one.transposed(-3 * turn) for turn in range(4)] if one.quality.sounding.id == "dim7" else [one]
    return min(guide_motion(first, other) + chord_motion(first, other) // 2 for first in start for other in into)


def _boldness(application: Application, melody: Check) -> float:
    cautions = sum(finding.verdict == "caution" for finding in melody.findings)
    return min(1.0, (application.technique.boldness + application.rule.boldness + 8 * cautions) / 100)
