"""Chords that a request names: put where they are wanted, whether or not a technique would have put them there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from core.chorus.alternatives import Alternative
from core.chorus.request import Request, Target
from core.chorus.segments import Segment
from core.form import Form
from core.row import Slot, slot_index
from core.techniques.ground import Ground

ASKED = 15
"""What a chord that was asked for costs to believe: a technique that puts it there goes first."""


def asked_for(ground: Ground, form: Form, request: Request, segment: Segment) -> list[Alternative]:
    """The targets of a request inside a segment, each for as long as the standard's chord and for half of its bar."""
    return [one for target in request.targets for moved in segment.moved
            for one in _placed(ground, form, segment, target, form.bars[target.bar].start - moved)]  # fmt: skip


def _placed(ground: Ground, form: Form, segment: Segment, target: Target, at: Fraction) -> Iterator[Alternative]:
    if not segment.start <= at < segment.end:
        return
    bar = form.bars[target.bar]
    standing = ground.row[slot_index(ground.row, at)]
    if target.met_by(standing.chord):
        return
    chord = target.chord
    if target.any_root:
        if standing.chord is None:
            return
        chord = replace(chord, root=standing.chord.root)
    longest = min(standing.end, at + bar.length, segment.end)
    for end in sorted({longest, min(longest, at + bar.length / 2)}):
        yield Alternative(at, end, (Slot(at, end - at, chord),), (), ASKED)
