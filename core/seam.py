"""The seam between the rows: a few words on how one became the other, and nothing where they agree."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from core.chart import Chart, StepState, Take, step_states
from core.explain import COLOUR, explain_rows
from core.row import Row, merged, slot_index, span, splice
from core.techniques.catalogue import BY_ID
from core.techniques.kinds import shape


@dataclass(frozen=True, slots=True)
class Seam:
    """Words at a place: ``kind`` is "step", "edited", "stale", "explained", "colour" or "typed"; ``step`` its state."""

    onset: Fraction
    end: Fraction
    kind: str
    text: str
    step: StepState | None


def seams(chart: Chart, take: Take) -> tuple[Seam, ...]:
    """Every seam of a take, in order: one for each step still in force, one for each other stretch that differs.

    A take with a form of its own has only the seams of its steps; its bars are compared by alignment elsewhere.
    """
    # A step typed over with other roots or kinds of chord has nothing to say any more; what stands there is read anew.
    found = [_step_seam(state) for state in step_states(chart, take) if not state.edited or _still_itself(take, state)]
    # A later step over the same time speaks for the earlier one, whose chords it replaced.
    visible = [seam for index, seam in enumerate(found) if not any(_covers(o, seam) for o in found[index + 1 :])]
    if take.form is None:
        visible += _by_hand(chart, take, visible)
    return tuple(sorted(visible, key=lambda seam: seam.onset))


def _still_itself(take: Take, state: StepState) -> bool:
    """Whether a step that was typed over differs from what it made in colour only."""
    step = state.step
    return shape(merged(span(take.row, step.start, step.end))) == shape(merged(step.after))


def _by_hand(chart: Chart, take: Take, stepped: list[Seam]) -> list[Seam]:
    """Seams of what was typed or imported: named where the catalogue can derive it, else "by hand"."""
    row = take.row
    for seam in stepped:
        row = splice(row, seam.onset, seam.end, span(chart.standard, seam.onset, seam.end))
    found = []
    for item in explain_rows(chart.standard, row, chart.form, chart.key):
        names = dict.fromkeys(BY_ID[step.technique].seam for step in item.steps if step.technique != COLOUR)
        kind = "typed" if not item.explained else "explained" if names else "colour"
        words = ", ".join(names) if names else {"colour": "colour", "typed": "by hand"}[kind]
        found.append(Seam(_first_difference(item.before, item.after), item.end, kind, words, None))
    return found


def _covers(later: Seam, earlier: Seam) -> bool:
    return later.onset <= earlier.onset and earlier.end <= later.end


def _step_seam(state: StepState) -> Seam:
    step = state.step
    technique = BY_ID.get(step.technique)
    words = technique.seam if technique else step.technique.replace("_", " ")
    kind = "stale" if state.stale else "edited" if state.edited else "step"
    suffix = {"stale": " (standard changed)", "edited": " (edited)", "step": ""}[kind]
    return Seam(step.start, step.end, kind, words + suffix, state)


def _first_difference(old: Row, new: Row) -> Fraction:
    for slot in new:
        there = old[slot_index(old, slot.onset)]
        if there.chord != slot.chord or there.onset != slot.onset:
            return slot.onset
    return new[0].onset
