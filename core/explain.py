"""Explanation, the inverse of proposing: which techniques turn the standard's chords into the substitute's.

A stretch where two rows differ is cut at times where both change chord, and every piece is derived from the standard's
chords by a uniform-cost search over the catalogue, preconditions included and melody left aside (the recorded chord
is a fact). Colour (tensions, sixths, sus, slash) is a step of its own and cheap. A piece whose cheapest derivation
costs :data:`EXPLAINED_UP_TO` or less is explained; for any other the answer is that no derivation is known. Read
without that bound a catalogue "explains" almost anything, since any chord can be called a dominant of something.
"""

from __future__ import annotations

import heapq
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from itertools import count

from core.analysis import ChordAnalysis, analyse
from core.chart import Chart, Take
from core.chord import Chord, in_context
from core.form import Form
from core.key import Key
from core.pitch import chromatic
from core.row import Row, Slot, merged, slot_index, span, splice
from core.techniques.apply import Application, Ground, applications
from core.techniques.catalogue import TECHNIQUES
from core.techniques.claims import Case, reasons, sentence

EXPLAINED_UP_TO = 40
STEP_COST, COLOUR_COST = 10, 2
MOST_STEPS = 3
LONGEST_PIECE = 4
"""How many pieces between common changes may be derived together (a cadence of two bars has two to four)."""
UNEXPLAINED = 1000
COLOUR = "colour"

_Shape = tuple[tuple[Fraction, int, str, int], ...]


@dataclass(frozen=True, slots=True)
class ExplainedStep:
    """A named step: technique id (or "colour"), its title, the time it changes, the chords, and why it works."""

    technique: str
    title: str
    start: Fraction
    end: Fraction
    before: Row
    after: Row
    why: str


@dataclass(frozen=True, slots=True)
class Explanation:
    """A stretch that differs, and its cheapest derivation; no steps and ``explained`` False where none is known."""

    start: Fraction
    end: Fraction
    before: Row
    after: Row
    explained: bool
    cost: int
    steps: tuple[ExplainedStep, ...]


def explain_take(chart: Chart, take: Take) -> tuple[Explanation, ...]:
    """Every stretch where a take on the chart's form differs from the reference, in order."""
    if take.form is not None:
        return ()
    return explain_rows(chart.standard, take.row, chart.form, chart.key)


def explain_rows(standard: Row, substitute: Row, form: Form, key: Key) -> tuple[Explanation, ...]:
    """Explain one row as a reharmonization of another over the same time."""
    one, other = merged(standard), merged(substitute)
    ground = Ground(one, analyse(one, form, key), (), form)
    found: list[Explanation] = []
    for cuts in _stretches(one, other):
        found.extend(_cheapest_cover(ground, other, cuts))
    return tuple(found)


def _stretches(one: Row, other: Row) -> list[list[Fraction]]:
    """Times where both rows change chord, stretch by stretch from where they part to where they agree again."""
    places = sorted({slot.onset for slot in (*one, *other)})
    both = {slot.onset for slot in one} & {slot.onset for slot in other} | {one[-1].end}
    stretches: list[list[Fraction]] = []
    current: list[Fraction] = []
    for at in places:
        differ = one[slot_index(one, at)].chord != other[slot_index(other, at)].chord
        if differ and not current:
            current = [max(place for place in both if place <= at)]
        elif current and at in both and at != current[-1]:
            current.append(at)
        if current and not differ and at in both:
            stretches.append(current)
            current = []
    if current:
        stretches.append([*current, one[-1].end])
    return stretches


def _cheapest_cover(ground: Ground, other: Row, cuts: list[Fraction]) -> list[Explanation]:
    """Cut a stretch into pieces so that their derivations cost least together."""
    best: list[tuple[int, list[Explanation]]] = [(0, [])]
    for end in range(1, len(cuts)):
        options = []
        for start in range(max(0, end - LONGEST_PIECE), end):
            piece = _explain_piece(ground, other, cuts[start], cuts[end])
            cost = piece.cost if piece.explained else UNEXPLAINED * (end - start)
            options.append((best[start][0] + cost, [*best[start][1], piece]))
        best.append(min(options, key=lambda option: (option[0], -len(option[1]))))  # of equals the finer cut
    return [piece for piece in best[-1][1] if piece.steps or not piece.explained]


def _explain_piece(ground: Ground, other: Row, start: Fraction, end: Fraction) -> Explanation:
    before, after = merged(span(ground.row, start, end)), merged(span(other, start, end))
    steps = _derive(ground, other, start, end)
    if steps is None:
        return Explanation(start, end, before, after, False, 0, ())
    return Explanation(start, end, before, after, True, _cost(steps), steps)


def _cost(steps: tuple[ExplainedStep, ...]) -> int:
    return sum(COLOUR_COST * len(step.after) if step.technique == COLOUR else STEP_COST for step in steps)


# --- the search ------------------------------------------------------------------------------------------------------


def _derive(ground: Ground, other: Row, start: Fraction, end: Fraction) -> tuple[ExplainedStep, ...] | None:
    """The cheapest steps from the ground's chords to the other row's in a piece; None above the bound.

    The chord that follows is the standard's, or the substitute's where that gives an answer: steps of neighbouring
    pieces may be taken in either order.
    """
    wanted = merged(span(other, start, end))
    for context in (ground.row, other):
        around = splice(context, start, end, span(ground.row, start, end))
        found = _search(_mini(ground, merged(around), start, end), wanted, start, end)
        if found is not None:
            return found
    return None


def _search(ground: Ground, wanted: Row, start: Fraction, end: Fraction) -> tuple[ExplainedStep, ...] | None:
    goal, order = shape(wanted), count()
    queue: list[tuple[int, int, Ground, tuple[ExplainedStep, ...]]] = [(0, next(order), ground, ())]
    seen: dict[_Shape, int] = {}
    while queue:
        cost, _, here, steps = heapq.heappop(queue)
        now = merged(span(here.row, start, end))
        if shape(now) == goal:
            coloured = _colour_step(now, wanted)
            total = cost + (COLOUR_COST * len(coloured.after) if coloured else 0)
            return None if total > EXPLAINED_UP_TO else (*steps, *((coloured,) if coloured else ()))
        if len(steps) == MOST_STEPS or seen.get(shape(now), EXPLAINED_UP_TO + 1) <= cost:
            continue
        seen[shape(now)] = cost
        if cost + STEP_COST > EXPLAINED_UP_TO:
            continue
        for application in applications(here, TECHNIQUES, start, end):
            if application.end > end:
                continue
            row = splice(here.row, application.start, application.end, application.after)
            heapq.heappush(
                queue, (cost + STEP_COST, next(order), _mini(ground, row, start, end), (*steps, _named(application)))
            )
    return None


def _mini(ground: Ground, row: Row, start: Fraction, end: Fraction) -> Ground:
    """The piece with its neighbours only: what a rule looks at, small enough to be searched."""
    joined = merged(row)
    first, last = slot_index(joined, start), slot_index(joined, end)
    around = joined[max(0, first - (joined[first].onset == start)) : last + 1]
    if end >= joined[-1].end:  # the chorus comes round
        around = (*around, replace(joined[0], onset=joined[-1].end))
    readings = tuple(ground.analysis[slot_index(ground.row, slot.onset)] for slot in around)
    keys = tuple(_key_only(reading) for reading in readings)
    return Ground(around, keys, (), ground.form)


def _key_only(reading: ChordAnalysis) -> ChordAnalysis:
    return ChordAnalysis(reading.key, None, "", "N", "", None)


@lru_cache(maxsize=4096)
def _kind(chord: Chord) -> tuple[int, str, int]:
    """A chord without its colour: root, family with sus and augmented folded in, and a bass that is no chord tone."""
    sounding = in_context(chord)
    family = sounding.quality.sounding.family
    folded = {
        "suspended": "dominant" if sounding.quality.degree(7) else "major",
        "augmented": "major",
        "power": "major",
    }
    if sounding.quality.id == "aug":
        folded = {"augmented": "dominant"}
    tones = {chromatic(tone) for tone in sounding.tones if sounding.bass is None or tone != sounding.bass}
    bass = sounding.bass_pc if sounding.bass is not None and sounding.bass_pc not in tones else sounding.root_pc
    return sounding.root_pc, folded.get(family, family), bass


def shape(row: Row) -> _Shape:
    """A row without colour: times, roots, kinds and foreign basses, neighbours that are alike joined."""
    result: list[tuple[Fraction, int, str, int]] = []
    for slot in row:
        kind = (-1, "silence", -1) if slot.chord is None else _kind(slot.chord)
        if not result or result[-1][1:] != kind:
            result.append((slot.onset, *kind))
    return tuple(result)


def _named(application: Application) -> ExplainedStep:
    old = tuple(slot.chord for slot in application.before if slot.chord is not None)
    new = tuple(slot.chord for slot in application.after if slot.chord is not None)
    case = Case(application.previous, old, new, application.following, application.key)
    why = sentence(reasons(application.technique.reasons, case))
    return ExplainedStep(application.technique.id, application.title, application.start, application.end,
                         application.before, application.after, why)  # fmt: skip


def _colour_step(now: Row, wanted: Row) -> ExplainedStep | None:
    """The chords that are the same but for their colour, as one step; None where nothing differs."""
    changed: list[Slot] = []
    for slot in wanted:
        if now[slot_index(now, slot.onset)].chord != slot.chord:
            changed.append(slot)
    if not changed:
        return None
    start, end = changed[0].onset, changed[-1].end
    why = "Same roots and kinds of chord; the tensions, sixths, sus or bass are other ones."
    return ExplainedStep(COLOUR, "Colour", start, end, span(now, start, end), span(wanted, start, end), why)
