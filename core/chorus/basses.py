"""Chords over other basses, where a bass plan asks for a line: inversions, and a pedal under what goes on above it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from core.chart import Step
from core.chord import Chord
from core.chorus.alternatives import Alternative, trimmed
from core.chorus.request import BassPlan, Request, bass_may
from core.chorus.segments import Segment
from core.form import Form
from core.key import Key
from core.pitch import chromatic, within_double
from core.row import Row, Slot, merged, slot_index, span
from core.techniques.ground import Ground

BASS_PRICE = 3
"""What a chord over another bass costs to believe."""
MOST_VARIANTS = 32
"""Of one alternative; the first in the order root, third, fifth, seventh."""
INVERTED = (3, 4, 5, 6, 7)
"""Degrees that a chord may stand over; tensions below make another chord of it."""


@dataclass(frozen=True, slots=True)
class BassLines:
    """What the bass plans of a request say over a segment, wherever that stands."""

    ground: Ground
    form: Form
    request: Request
    segment: Segment
    home: Key

    def variants(self, offered: list[Alternative]) -> list[Alternative]:
        """Alternatives and the standard's own chords over the basses that a plan has use for.

        A plan by thirds has none: its line is made of roots.
        """
        if all(plan.kind == "thirds" for plan in self.request.plans):
            return []
        standing = [Alternative(slot.onset, slot.end, self._barwise(slot), (), 0)
                    for slot in span(self.ground.row, self.segment.start, self.segment.end)
                    if slot.chord is not None]  # fmt: skip
        found: dict[object, Alternative] = {}
        for one, asked in (*((one, False) for one in standing), *((one, not one.steps) for one in offered)):
            for variant in self._over(one, asked):
                chords = trimmed(self.ground.row, variant.chords)
                key = chords[0].onset, chords[-1].end, tuple((slot.onset, slot.chord) for slot in chords)
                found.setdefault(key, replace(variant, start=key[0], end=key[1], chords=chords))
        return list(found.values())

    def _barwise(self, slot: Slot) -> Row:
        """A long chord bar by bar, so that the bass may move under it."""
        bars = [bar.start for bar in self.form.bars[self.form.bar_at(slot.onset).index + 1 :
                                                    self.form.bar_at(slot.end).index + 1]]  # fmt: skip
        edges = [slot.onset, *(at for at in bars if slot.onset < at < slot.end), slot.end]
        return tuple(Slot(one, two - one, slot.chord) for one, two in pairwise(edges))

    def _plan_at(self, at: Fraction) -> BassPlan | None:
        """The plan in whose bars a chord begins, wherever the segment stands."""
        for plan in self.request.plans:
            start, end = self.form.bars[plan.first].start, self.form.bars[plan.last - 1].end
            if plan.kind != "thirds" and any(start <= at + moved < end for moved in self.segment.moved):
                return plan
        return None

    def _over(self, one: Alternative, asked: bool) -> Iterator[Alternative]:
        """Chords over other basses; those that were asked for are so with any bass."""
        plans = [self._plan_at(slot.onset) for slot in one.chords]
        kinds = {plan.kind for plan in plans if plan is not None}
        technique = "pedal_point" if kinds == {"pedal"} else "stepwise_bass"
        if not kinds or technique in self.request.forbid:
            return
        count = 0
        for row in self._rows(one.chords, plans, ()):
            after = merged(row)
            changed = sum(new.chord != old.chord for new, old in zip(row, one.chords, strict=True))
            if not changed:
                continue
            step = Step(technique, one.start, one.end, merged(one.chords), after)
            yield replace(one, chords=after, price=one.price + BASS_PRICE * changed,
                          bass_step=None if asked else step)  # fmt: skip
            count += 1
            if count == MOST_VARIANTS:
                return

    def _rows(self, chords: Row, plans: list[BassPlan | None], done: Row) -> Iterator[Row]:
        if len(done) == len(chords):
            yield done
            return
        slot, plan = chords[len(done)], plans[len(done)]
        before = plans[len(done) - 1] if done else None
        for chord in self._choices(slot, plan):
            ruled = plan is not None and before is plan
            if not ruled or bass_may(done[-1].chord, chord, plan.kind if plan else ""):
                yield from self._rows(chords, plans, (*done, replace(slot, chord=chord, typed=None)))

    def _choices(self, slot: Slot, plan: BassPlan | None) -> Iterator[Chord | None]:
        chord = slot.chord
        yield chord
        if plan is None or chord is None or chord.bass is not None or chord.upper is not None:
            return
        tones = [chord.tone(degree) for degree in chord.quality.degrees if degree.number in INVERTED]
        if plan.kind == "pedal":
            keys = self.home, self.ground.analysis[slot_index(self.ground.row, slot.onset)].key
            tones += [key.tonic + fifths for key in keys for fifths in (0, 1)]
        seen = {chord.root_pc}
        for tone in tones:
            if chromatic(tone) not in seen:
                seen.add(chromatic(tone))
                yield replace(chord, bass=within_double(tone))
