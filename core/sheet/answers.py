"""The answers of an answer key: every change of a take, named, with its reason and the voicings of the new chords."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from core.chart import Chart, Step, Take, step_at, step_states
from core.chord import Chord, in_context
from core.explain import COLOUR, ExplainedStep, Explanation, alternatives, explain_take
from core.hands.grips import Player
from core.hands.guitar import plan_row
from core.hands.marks import mark_of
from core.pitch import Degree, with_signs
from core.row import Row, Slot, merged, slot_index
from core.sheet.change import Change, Voiced
from core.techniques.catalogue import BY_ID
from core.voicing import voice_row

UNKNOWN = "By hand"
NO_DERIVATION = "No derivation by the techniques of the book is known."


def changes_of(
    chart: Chart, take: Take, numbers: Mapping[int, str], on_guitar: bool = False, above: int = 0
) -> tuple[Change, ...]:
    """The changes of a take that begin in printed bars; ``numbers`` gives the printed number by played bar index.

    With ``on_guitar`` the new chords are grips; the tune is then written ``above`` semitones over where it sounds.
    """
    form = chart.form_of(take)
    hand = _grips(chart, take, above) if on_guitar else _hand(chart, take)
    found = _explained(chart, take, hand) if take.form is None else _from_steps(chart, take, hand)
    bars = [form.bar_at(change.onset).index for change in found]
    return tuple(replace(change, bar=numbers[bar]) for change, bar in zip(found, bars, strict=True) if bar in numbers)


_Hand = tuple[Voiced | None, ...]
"""Each chord of a take's row as a hand holds it, None at N.C."""


def _hand(chart: Chart, take: Take) -> _Hand:
    melody = chart.melody_of(take)
    voicings = voice_row(take.row, melody, voice_row(chart.standard, melody) if take.form is None else ())
    return tuple(
        None if voicing is None or slot.chord is None
        else _voiced(slot, in_context(slot.chord), voicing.notes, voicing.degrees)
        for slot, voicing in zip(take.row, voicings, strict=True)
    )  # fmt: skip


def _grips(chart: Chart, take: Take, above: int) -> _Hand:
    sounding = tuple(replace(note, pitch=note.pitch.transposed(0, -above)) for note in chart.melody_of(take))
    player = Player()
    plan = plan_row(take.row, player, sounding, others=0)
    return tuple(
        None if choice is None
        else replace(_voiced(slot, choice.chord, choice.grip.notes, choice.grip.degrees), grip=choice.grip,
                     board=player.board)
        for slot, choice in zip(take.row, plan.choices, strict=True)
    )  # fmt: skip


def _voiced(slot: Slot, chord: Chord, notes: tuple[int, ...], degrees: tuple[Degree, ...]) -> Voiced:
    return Voiced(slot, notes, tuple(with_signs(str(degree)) for degree in degrees),
                  tuple(mark_of(chord, degree) for degree in degrees))  # fmt: skip


def _explained(chart: Chart, take: Take, hand: _Hand) -> list[Change]:
    taken = [state.step for state in step_states(chart, take) if not state.edited and not state.stale]
    changes = []
    for item in explain_take(chart, take):
        item = _as_taken(chart, take, item, taken)
        named = [step for step in item.steps if step.technique != COLOUR] or list(item.steps)
        title = " + ".join(dict.fromkeys(step.title for step in named)) or UNKNOWN
        short = ", ".join(dict.fromkeys(_seam(step) for step in named)) or UNKNOWN.lower()
        why = " ".join(step.why for step in item.steps if step.why) or NO_DERIVATION
        onset = _first_difference(item.before, item.after)
        changes.append(Change(onset, "", title, short, why, _words(take, onset),
                              _new_voicings(take.row, hand, item.before, item.start, item.end)))  # fmt: skip
    return changes


def _as_taken(chart: Chart, take: Take, item: Explanation, taken: list[Step]) -> Explanation:
    """The reading that names what the arranger took there, where the book knows one."""
    wished = {step.technique for step in taken if step.start < item.end and item.start < step.end}
    if not wished or wished <= {step.technique for step in item.steps}:
        return item
    ways = alternatives(chart, take, item.start, item.end)
    return next((way for way in ways if wished <= {step.technique for step in way.steps}), item)


def _from_steps(chart: Chart, take: Take, hand: _Hand) -> list[Change]:
    """A take with bars of its own is not derived from the standard; its steps are what is known."""
    changes = []
    for state in step_states(chart, take):
        step, technique = state.step, BY_ID.get(state.step.technique)
        if state.edited or technique is None or step_at(take, step.start) is not step:
            continue
        onset = _first_difference(step.before, step.after)
        changes.append(Change(onset, "", technique.title, technique.seam, "", step.note,
                              _new_voicings(take.row, hand, step.before, step.start, step.end)))  # fmt: skip
    return sorted(changes, key=lambda change: change.onset)


def _seam(step: ExplainedStep) -> str:
    return BY_ID[step.technique].seam if step.technique in BY_ID else step.title.lower()


def _words(take: Take, onset: Fraction) -> str:
    step = step_at(take, onset)
    return step.note if step is not None else ""


def _first_difference(before: Row, after: Row) -> Fraction:
    for slot in after:
        there = before[slot_index(before, slot.onset)]
        if there.chord != slot.chord or there.onset != slot.onset:
            return slot.onset
    return after[0].onset


def _new_voicings(row: Row, hand: _Hand, before: Row, start: Fraction, end: Fraction) -> tuple[Voiced, ...]:
    """Voicings of the take's chords in a stretch that the standard does not have at that moment."""
    old = merged(before)
    found: list[Voiced] = []
    for slot, voicing in zip(row, hand, strict=True):
        if not start <= slot.onset < end or voicing is None or old[slot_index(old, slot.onset)].chord == slot.chord:
            continue
        if found and found[-1].slot.chord == slot.chord:
            continue
        found.append(voicing)
    return tuple(found)
