"""Everything that is worked out once for a chart and a request: what can be put where, and what it costs."""

from __future__ import annotations

from dataclasses import dataclass

from core.chart import Chart
from core.checks.compiled_melody import compile_melody
from core.chorus.alternatives import Alternative, Stretch, alternatives, spares
from core.chorus.asked import asked_for
from core.chorus.basses import BassLines
from core.chorus.cost import Pricing
from core.chorus.lattice import layer
from core.chorus.playable import playable
from core.chorus.progress import Progress, stretch, unheard
from core.chorus.request import Request, check_request
from core.chorus.roots import RootGrid, root_grid
from core.chorus.search import Lattice, lattice
from core.chorus.segments import Segment, joints, segments
from core.form import Form, Section
from core.propose import ground_for
from core.row import Row, Slot, later, span


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """Everything that is worked out once for a chart and a request."""

    chart: Chart
    request: Request
    pricing: Pricing
    lattice: Lattice
    grid: RootGrid


def plan(chart: Chart, request: Request, progress: Progress = unheard) -> Plan:
    """Gather and price the alternatives; raises :class:`core.chorus.request.RequestError`."""
    check_request(request, chart.form)
    ground = ground_for(chart, None, chart.standard)
    melody = compile_melody(chart.melody, chart.form)
    pricing = Pricing(ground, melody, chart.form, request)
    layers = []
    found = segments(chart, ground.row, request.alike)
    for number, segment in enumerate(found):
        here = stretch(progress, number / len(found), (number + 1) / len(found))
        kept = kept_stretches(request, chart.form, segment)
        there = alternatives(ground, melody, segment.start, segment.end, request.depth, request.forbid, kept,
                             stretch(here, 0, 0.5))  # fmt: skip
        there += asked_for(ground, chart.form, request, segment)
        there += BassLines(ground, chart.form, request, segment, chart.key).variants(there)
        offered = [one for one in there if _sparse(chart.form, request, ground.row, one)
                   and spares(ground.row, one.chords, kept) and _in_hand(chart, request, segment, one)]  # fmt: skip
        layers.append(layer(pricing, segment, offered, stretch(here, 0.5, 1)))
    grid = root_grid(ground.row, chart.form, tuple(layers))
    return Plan(chart, request, pricing, lattice(pricing, tuple(layers), joints(found)), grid)


def _sparse(form: Form, request: Request, row: Row, one: Alternative) -> bool:
    """Whether an alternative is no denser than asked; chords of the standard may be as short as they are."""
    return all(slot.duration * request.chords_a_bar >= form.bar_at(slot.onset).length or _stood(row, slot)
               for slot in one.chords)  # fmt: skip


def _in_hand(chart: Chart, request: Request, segment: Segment, one: Alternative) -> bool:
    """Whether an alternative can be played with the tune on top, wherever it stands, where that is asked for."""
    return not request.playable or all(playable(request.playable, chart.melody, later(one.chords, moved))
                                       for moved in segment.moved)  # fmt: skip


def kept_stretches(request: Request, form: Form, segment: Segment) -> tuple[Stretch, ...]:
    """What of a segment stays as it is, wherever it stands: apart from each other, in order of time."""
    bars = {form.bars[index] for index in request.keep}
    if request.keep_cadences:
        ruled = {target.bar for target in request.targets}.union(*(range(one.first, one.last) for one in request.plans))
        bars |= {bar for section in form.sections for bar in form.bars[cadence_of(section) : section.last]
                 if bar.index not in ruled}  # fmt: skip
    inside = sorted((bar.start - moved, bar.end - moved) for bar in bars for moved in segment.moved
                    if segment.start < bar.end - moved and bar.start - moved < segment.end)  # fmt: skip
    kept: list[Stretch] = []
    for start, end in inside:
        if kept and start <= kept[-1][1]:
            kept[-1] = kept[-1][0], max(end, kept[-1][1])
        else:
            kept.append((start, end))
    return tuple(kept)


def cadence_of(section: Section) -> int:
    """Index of the bar with which the last two bars of a section begin, its only bar where it has one."""
    return max(section.first, section.last - 2)


def _stood(row: Row, slot: Slot) -> bool:
    return all(other.chord == slot.chord for other in span(row, slot.onset, slot.end))
