"""From less: chords for a tune that has none, or for a typed bass line.

Every chord of the vocabulary that the tune bears is offered for every bar and half bar (or for every note of the bass);
the search of :mod:`core.chorus` finds the cheapest row and the next that are unlike it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from operator import itemgetter

from core.analysis import analyse
from core.chart import Chart, ChartError, NamedRow
from core.checks.compiled import CLASH, judge_chord
from core.checks.compiled_melody import compile_melody
from core.chorus import PLANNING, ChorusTake, any_take, takes
from core.chorus.alternatives import Alternative
from core.chorus.lattice import layer
from core.chorus.planning import Plan
from core.chorus.progress import Progress, stretch, unheard
from core.chorus.request import Request, check_request
from core.chorus.roots import root_grid
from core.chorus.search import lattice
from core.chorus.segments import Segment, joints, segments
from core.form import Form
from core.harmonize.prices import TunePricing
from core.harmonize.vocabulary import ANYTHING, Offer, over_bass, vocabulary
from core.pitch import pretty_name
from core.row import ZERO, Row, Slot, span
from core.techniques.ground import Ground

OFFERED = 12
"""So many chords are offered for a stretch, those that suit the tune there best."""
CARE = 12
"""How a melody note that wants care weighs against a chord's price when they are picked."""


class HarmonizeError(ChartError):
    """A tune or a bass line that no chords can be found for: what, where, and what to change."""


@dataclass(frozen=True, slots=True)
class Asked:
    """``count`` rows; a ``bass`` row whose lowest notes are the line, its chords left aside; sections ``alike``."""

    count: int = 3
    bass: Row | None = None
    alike: bool = True


def harmonize(chart: Chart, asked: Asked, progress: Progress = unheard) -> Iterator[ChorusTake]:
    """Rows for the chart's tune, the best first; raises :class:`HarmonizeError` where there is nothing to go by.

    Where sections that are alike cannot have the same chords, since their tunes differ too much, each has its own.
    """
    check_request(Request(count=asked.count), chart.form)
    if not chart.melody and asked.bass is None:
        raise HarmonizeError("There is neither a melody nor a bass line to find chords for; write one of them first.")
    planned = _plan(chart, asked, stretch(progress, 0, PLANNING))
    if asked.alike and not any_take(planned.lattice):
        planned = _plan(chart, replace(asked, alike=False), unheard)
    if not any_take(planned.lattice):
        raise HarmonizeError("No row of chords carries the whole tune; make its busiest bars plainer.")
    yield from takes(planned, progress)


def _plan(chart: Chart, asked: Asked, progress: Progress) -> Plan:
    form = chart.form
    silence = tuple(Slot(bar.start, bar.length, None) for bar in form.bars)
    bare = replace(chart, references=(NamedRow(chart.reference, silence),), takes=())
    ground = Ground(silence, analyse(silence, form, chart.key), chart.melody, form)
    request = Request(count=asked.count, alike=asked.alike)
    rests = _rests(form, asked.bass)
    pricing = TunePricing(ground, compile_melody(chart.melody, form), form, request, home=chart.key, rests=rests)
    found = segments(bare, silence if asked.bass is None else asked.bass, asked.alike)
    layers = []
    for number, segment in enumerate(found):
        offered = [one for there in _stretches(form, asked.bass, segment, rests)
                   for one in _offered(chart, pricing, segment, *there)]  # fmt: skip
        here = stretch(progress, number / len(found), (number + 1) / len(found))
        layers.append(layer(pricing, segment, offered, here))
    grid = root_grid(silence, form, tuple(layers))
    return Plan(bare, request, pricing, lattice(pricing, tuple(layers), joints(found)), grid)


def _rests(form: Form, bass: Row | None) -> tuple[tuple[Fraction, Fraction], ...]:
    """Where no chord is looked for: under a pickup, or where the bass line is silent."""
    if bass is not None:
        return tuple((slot.onset, slot.end) for slot in bass if slot.chord is None)
    return ((ZERO, form.bars[0].end),) if form.pickup and len(form.bars) > 1 else ()


def _stretches(
    form: Form, bass: Row | None, segment: Segment, rests: tuple[tuple[Fraction, Fraction], ...]
) -> Iterator[tuple[Fraction, Fraction, int | None]]:
    """Where chords may stand, and the bass note (a spelled pitch class) they must stand over."""
    if bass is not None:
        for slot in span(bass, segment.start, segment.end):
            if slot.chord is not None:
                yield slot.onset, slot.end, slot.chord.root if slot.chord.bass is None else slot.chord.bass
        return
    for bar in form.bars:
        if not segment.start <= bar.start < segment.end or any(start <= bar.start < end for start, end in rests):
            continue
        yield bar.start, bar.end, None
        half = bar.start + bar.length / 2
        if bar.length / 2 in bar.meter.strong_places():
            yield bar.start, half, None
            yield half, bar.end, None


def _offered(
    chart: Chart, pricing: TunePricing, segment: Segment, start: Fraction, end: Fraction, bass: int | None
) -> list[Alternative]:
    """The chords that suit the tune best in a stretch; any chord at all where none of the key's does."""
    key = pricing.spot(start).key
    for choices in (vocabulary(key), ANYTHING):
        offers = choices if bass is None else tuple(over_bass(choices, bass))
        suited = _suited(pricing, offers, start, end, segment)
        if suited:
            return [Alternative(start, end, (Slot(start, end - start, offer.chord),), (), offer.price)
                    for offer in suited]  # fmt: skip
    bar = chart.form.bar_at(start)
    if bass is None and (start, end) != (bar.start, bar.end):
        return []  # the whole bar may have one
    over = "" if bass is None else f" over {pretty_name(bass)}"
    raise HarmonizeError(f"No chord{over} carries the tune in bar {bar.number}; change a note of it there.")


def _suited(
    pricing: TunePricing, offers: tuple[Offer, ...], start: Fraction, end: Fraction, segment: Segment
) -> list[Offer]:
    """Offers that clash with nothing wherever the segment stands, those with least care and price first."""
    found, key = [], pricing.spot(start).key
    for place, offer in enumerate(offers):
        tallies = [judge_chord(pricing.melody, start + moved, end + moved, offer.chord, None, key, True)
                   for moved in segment.moved]  # fmt: skip
        if all(tally.worst < CLASH for tally in tallies):
            care = sum(tally.cautions for tally in tallies) * CARE - sum(tally.named for tally in tallies)
            found.append((care + offer.price * len(tallies), place, offer))
    return [offer for _, _, offer in sorted(found, key=itemgetter(0, 1))[:OFFERED]]
