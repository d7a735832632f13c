"""The seam between the rows: a few words on how one became the other, and nothing where they agree."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from core.chart import Chart, StepState, Take, step_states
from core.chord import Chord, in_context
from core.row import Row, same_chords, slot_index, span
from core.techniques.catalogue import BY_ID


@dataclass(frozen=True, slots=True)
class Seam:
    """Words at a place: ``kind`` is "step", "edited", "stale", "colour" or "typed"; ``step`` the state it came from."""

    onset: Fraction
    end: Fraction
    kind: str
    text: str
    step: StepState | None


def seams(chart: Chart, take: Take) -> tuple[Seam, ...]:
    """Every seam of a take, in order: one for each step still in force, then one for each other stretch that differs.

    A take with a form of its own has only the seams of its steps; its bars are compared by alignment elsewhere.
    """
    found = [_step_seam(state) for state in step_states(chart, take)]
    # A later step over the same time speaks for the earlier one, whose chords it replaced.
    visible = [seam for index, seam in enumerate(found) if not any(_covers(o, seam) for o in found[index + 1 :])]
    if take.form is not None:
        return tuple(sorted(visible, key=lambda seam: seam.onset))
    for bar in chart.form.bars:
        covered = any(seam.onset < bar.end and bar.start < seam.end for seam in visible)
        old, new = span(chart.standard, bar.start, bar.end), span(take.row, bar.start, bar.end)
        if not covered and not same_chords(old, new):
            kind = "colour" if only_colour(old, new) else "typed"
            words = "colour" if kind == "colour" else "by hand"
            visible.append(Seam(_first_difference(old, new), bar.end, kind, words, None))
    return tuple(sorted(visible, key=lambda seam: seam.onset))


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


def only_colour(old: Row, new: Row) -> bool:
    """Whether two rows have the same roots and kinds of chord at the same times, and differ in colour only."""
    if [slot.onset for slot in old] != [slot.onset for slot in new]:
        return False
    return all(one.chord is not None and two.chord is not None and _same_kind(one.chord, two.chord)
               for one, two in zip(old, new, strict=True))  # fmt: skip


def _same_kind(one: Chord, two: Chord) -> bool:
    first, second = in_context(one), in_context(two)
    if first.root_pc != second.root_pc:
        return False
    kinds = {first.quality.family, second.quality.family}
    return len(kinds) == 1 or kinds <= {"dominant", "suspended"} or kinds <= {"major", "augmented"}
