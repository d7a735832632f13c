"""Explanation, the inverse of proposing: which techniques turn the standard's chords into the substitute's.

The rows are cut at times where both change chord, and every piece that differs is derived from the standard's chords
(:mod:`core.derivation`), preconditions included. Colour (tensions, sixths, sus, inversions) is told apart from changes
of root or kind; where one technique gives exactly the colours that stand there, it has the name. A piece whose cheapest
derivation costs more than :func:`explained_up_to` is not explained: no derivation is known. Without that bound a
catalogue "explains" almost anything, since any chord can be called a dominant of something.

A name must be true of the row as it stands: a substitute for a dominant must lead on in the substitute row too, not
only in the standard it was derived from.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from operator import itemgetter

from core.analysis import analyse
from core.chart import Chart, Take
from core.checks.leading import INSTANT
from core.chord import Chord, in_context
from core.derivation import MOST_STEPS, Derivation, derivations, step_cost, surroundings
from core.form import Form
from core.function import root_motion
from core.key import Key
from core.row import Row, Slot, merged, slot_index, sounding, span
from core.techniques.apply import Application, apply_rule, candidates
from core.techniques.catalogue import TECHNIQUES
from core.techniques.claims import Case, Claim, reasons, sentence
from core.techniques.ground import Ground
from core.techniques.technique import Rule

EXPLAINED_UP_TO, FOR_EACH_FURTHER_CHORD = 17, 5
"""How much a derivation of one chord may cost, and how much more for every further chord of the piece. Chosen so that
every single technique passes and at most one random replacement in ten does; tests/core/test_honesty.py prints the
curve."""
COLOUR_COST = 2
UNEXPLAINED = 1000
LONG_PIECE_STEPS = 1
"""Steps for a piece that has common changes inside: what takes more is found in its parts."""
LONGEST_PIECE = 4
"""How many pieces between common changes may be derived together (a cadence of two bars has two to four)."""
COLOUR = "colour"


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


def explained_up_to(before: Row, after: Row) -> int:
    """The cost below which a derivation of a piece is believed; see :data:`EXPLAINED_UP_TO`."""
    return EXPLAINED_UP_TO + FOR_EACH_FURTHER_CHORD * (max(len(before), len(after)) - 1)


def explain_take(chart: Chart, take: Take) -> tuple[Explanation, ...]:
    """Every stretch where a take on the chart's form differs from the reference, in order."""
    if take.form is not None:
        return ()
    return explain_rows(chart.standard, take.row, chart.form, chart.key)


def explain_rows(standard: Row, substitute: Row, form: Form, key: Key) -> tuple[Explanation, ...]:
    """Explain one row as a reharmonization of another over the same time."""
    one, other = merged(standard, form.section_starts), merged(substitute, form.section_starts)
    if one == other:
        return ()
    ground = Ground(one, analyse(one, form, key), (), form)
    return tuple(_cheapest_cover(ground, other, _leads(other, form, key)))


def alternatives(chart: Chart, take: Take, start: Fraction, end: Fraction, most: int = 5) -> tuple[Explanation, ...]:
    """Other ways to derive a stretch of a take from the standard, cheapest first, the one that is shown among them.

    ``start`` and ``end`` are times at which both rows change chord. Dearer derivations than those that are believed
    are offered too, up to twice the bound, since here a reader chooses.
    """
    breaks = chart.form.section_starts
    one, other = merged(chart.standard, breaks), merged(take.row, breaks)
    ground = Ground(one, analyse(one, chart.form, chart.key), (), chart.form)
    before, after = merged(span(one, start, end)), merged(span(other, start, end))
    piece = _Piece(ground, other, _leads(other, chart.form, chart.key), before, after)
    found: dict[tuple[tuple[str, str], ...], Explanation] = {}
    for derivation in piece.ways(2 * piece.bound):
        explanation = piece.explained(derivation)
        found.setdefault(tuple((step.technique, step.title) for step in explanation.steps), explanation)
        if len(found) == most:
            break
    return tuple(sorted(found.values(), key=lambda explanation: explanation.cost))


# --- pieces ----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Piece:
    """The time between two common changes of chord."""

    ground: Ground
    other: Row
    leads: tuple[bool, ...]  # for every slot of the other row, whether it aims at a chord and reaches it
    before: Row
    after: Row
    inner: tuple[Fraction, ...] = ()  # common changes inside; a derivation must reach over one of them

    @property
    def start(self) -> Fraction:
        return self.before[0].onset

    @property
    def end(self) -> Fraction:
        return self.before[-1].end

    @property
    def key(self) -> Key:
        """The standard's key there."""
        return self.ground.analysis[slot_index(self.ground.row, self.start)].key

    @property
    def bound(self) -> int:
        return explained_up_to(self.before, self.after)

    def ways(self, limit: int) -> Iterator[Derivation]:
        """Derivations that are true of the substitute row: among the standard's neighbours, then among its own.

        Steps of neighbouring pieces may be taken in either order, so both are tried.
        """
        wanted, most_steps = self.after, LONG_PIECE_STEPS if self.inner else MOST_STEPS
        tried: list[tuple[Chord | None, Chord | None]] = []
        for context in (self.ground.row, self.other):
            here = surroundings(self.ground, context, self.start, self.end)
            neighbours = here.row[0].chord, here.row[-1].chord
            if neighbours in tried:
                continue
            tried.append(neighbours)
            for derivation in derivations(here, wanted, limit, most_steps):
                if self._spans(derivation) and all(self._true(step) for step in derivation.steps):
                    yield derivation

    def _spans(self, derivation: Derivation) -> bool:
        return not self.inner or any(step.start < cut < step.end for step in derivation.steps for cut in self.inner)

    def _true(self, step: Application) -> bool:
        """Whether a step that leads somewhere leads there, or on, in the substitute row too."""
        if step.end != self.end or not _aims(step.rule):
            return True
        there = _chord_at(self.other, self.end)
        if there is None or step.following is None:
            return False
        if in_context(there).root_pc == in_context(step.following).root_pc:
            return True
        at = slot_index(self.other, self.end - INSTANT)
        last = self.other[at].chord
        return self.leads[at] or (last is not None and root_motion(last, there) in (5, 11))

    def explained(self, derivation: Derivation | None) -> Explanation:
        """The derivation in words; without one, the plain statement that none is known."""
        before, after = self.before, self.after
        if derivation is None:
            return Explanation(self.start, self.end, before, after, False, 0, ())
        steps = tuple(_named(step) for step in derivation.steps)
        now = before
        for step in derivation.steps:
            now = merged(_splice_within(now, step.start, step.end, step.after))
        coloured = _colour_step(now, after, self.key)
        if coloured is None:
            return Explanation(self.start, self.end, before, after, True, derivation.cost, steps)
        cost = derivation.cost + COLOUR_COST * len(coloured.after)
        exact = self._exact()
        if exact is not None and (not steps or step_cost(exact) <= cost):
            return Explanation(self.start, self.end, before, after, True, step_cost(exact), (_named(exact),))
        return Explanation(self.start, self.end, before, after, True, cost, (*steps, coloured))

    def _exact(self) -> Application | None:
        """The one technique that gives the very chords that stand here, colours and all."""
        wanted = sounding(self.after)
        here = surroundings(self.ground, self.ground.row, self.start, self.end)
        first, last = _differing(here.row, self.after)
        tried = candidates(here.row, TECHNIQUES, self.start, here.row[first].end)
        for _, technique, rule, index in sorted(tried, key=itemgetter(0, 3)):
            if index + len(rule.replaces) <= last:
                continue
            application = apply_rule(here, technique, rule, index)
            if application is not None and self.start <= application.start and application.end <= self.end:
                row = _splice_within(self.before, application.start, application.end, application.after)
                if sounding(row) == wanted:
                    return application
        return None


def _differing(row: Row, wanted: Row) -> tuple[int, int]:
    """The first and the last slot of a row that do not sound as wanted in the time that ``wanted`` covers."""
    differ = [index for index, slot in enumerate(row) if wanted[0].onset <= slot.onset < wanted[-1].end
              and not _alike((slot,), span(wanted, slot.onset, slot.end))]  # fmt: skip
    return differ[0], differ[-1]


def _leads(row: Row, form: Form, key: Key) -> tuple[bool, ...]:
    return tuple(reading.target is not None for reading in analyse(row, form, key))


def _aims(rule: Rule) -> bool:
    """Whether a rule says where its last new chord goes: by a root motion, or by naming the chord that follows.

    A chord that it only keeps goes where it went before.
    """
    if rule.parts[-1].kept is not None:
        return False
    return rule.motions[-1] is not None or any(part.of == "following" for part in rule.parts)


def _chord_at(row: Row, at: Fraction) -> Chord | None:
    """The chord that begins at a time, the first one at the end: the chorus comes round."""
    return row[0].chord if at >= row[-1].end else row[slot_index(row, at)].chord


def _splice_within(row: Row, start: Fraction, end: Fraction, new: Row) -> Row:
    """:func:`core.row.splice` for a row that does not begin at 0."""
    low, high = row[0].onset, row[-1].end
    left = span(row, low, start) if start > low else ()
    right = span(row, end, high) if end < high else ()
    return left + new + right


# --- the cheapest way to cut the rows into pieces --------------------------------------------------------------------


_Cheapest = dict[tuple[int, int], tuple[int, Explanation | None]]


def _cheapest_cover(ground: Ground, other: Row, leads: tuple[bool, ...]) -> list[Explanation]:
    """Cut the rows where both change chord so that the derivations of all pieces cost least together.

    Longer pieces are searched only for what they could save over the shorter ones that they are made of.
    """
    one = ground.row
    places = {slot.onset: index for index, slot in enumerate(other)}
    cuts = [(index, places[slot.onset]) for index, slot in enumerate(one) if slot.onset in places]
    cuts.append((len(one), len(other)))
    same = [_alike(one[here:end], other[there:stop]) for (here, there), (end, stop) in pairwise(cuts)]
    cheapest: _Cheapest = {}
    for length in range(1, LONGEST_PIECE + 1):
        for start in range(len(cuts) - length):
            stop = start + length
            if all(same[start:stop]):
                cheapest.setdefault((start, start + 1), (0, None))
                continue
            (here, there), *inner, (end, until) = cuts[start : stop + 1]
            piece = _Piece(ground, other, leads, one[here:end], other[there:until],
                           tuple(one[index].onset for index, _ in inner))  # fmt: skip
            worth = UNEXPLAINED if length == 1 else _cover(cheapest, start, stop)[0]
            found = _piece_explained(piece, worth)
            if found is not None:
                cheapest[start, stop] = (found.cost, found)
            elif length == 1:
                cheapest[start, stop] = (UNEXPLAINED, piece.explained(None))
    return _cover(cheapest, 0, len(cuts) - 1)[1]


def _piece_explained(piece: _Piece, worth: int) -> Explanation | None:
    """The cheapest explanation of a piece, if it costs less than ``worth``."""
    found = next(piece.ways(min(piece.bound, worth - 1)), None)
    explanation = piece.explained(found) if found else None
    return explanation if explanation and explanation.cost < worth else None


def _cover(cheapest: _Cheapest, low: int, high: int) -> tuple[int, list[Explanation]]:
    """The pieces that cover the time between two cuts at least cost, and that cost."""
    best: list[tuple[int, list[Explanation]]] = [(0, [])]
    for end in range(low + 1, high + 1):
        options = []
        for start in range(max(low, end - LONGEST_PIECE), end):
            if (start, end) in cheapest:
                cost, explanation = cheapest[start, end]
                before = best[start - low]
                options.append((before[0] + cost, [*before[1], *([explanation] if explanation else [])]))
        best.append(min(options, key=itemgetter(0)))
    return best[-1]


def _alike(one: Row, other: Row) -> bool:
    return sounding(one) == sounding(other)


# --- in words --------------------------------------------------------------------------------------------------------


def _named(application: Application) -> ExplainedStep:
    why = sentence(reasons(application.technique.reasons, application.case))
    return ExplainedStep(application.technique.id, application.title, application.start, application.end,
                         application.before, application.after, why)  # fmt: skip


def _colour_step(now: Row, wanted: Row, key: Key) -> ExplainedStep | None:
    """The chords that are the same but for their colour, as one step; None where nothing differs."""
    changed: list[Slot] = []
    for slot in wanted:
        before = now[slot_index(now, slot.onset)].chord
        if (before and before.sound) != (slot.chord and slot.chord.sound):
            changed.append(slot)
    if not changed:
        return None
    start, end = changed[0].onset, changed[-1].end
    why = sentence(tuple(_what_differs(now, changed, key))[:3])
    return ExplainedStep(COLOUR, "Colour", start, end, span(now, start, end), span(wanted, start, end), why)


def _what_differs(now: Row, changed: list[Slot], key: Key) -> Iterator[Claim]:
    for slot in changed:
        before = now[slot_index(now, slot.onset)].chord
        if before is not None and slot.chord is not None:
            yield from reasons(("recoloured",), Case(None, (before,), (slot.chord,), None, key))
