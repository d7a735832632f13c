"""Which dominant leads home: the fifth, its tritone substitute, the altered fifth, the backdoor, the diminished chord.

The same bar of the tune is played with one of them; only those are asked for that the tune allows there.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from random import Random
from types import MappingProxyType

from core.analysis import analyse
from core.chart import Chart
from core.checks.melody import fits
from core.chord import Chord, chord
from core.ear.ask import Ask, Ground
from core.ear.cutting import around, excerpt
from core.ear.question import Answer, Question
from core.function import root_motion
from core.key import Key
from core.row import Slot, merged, splice
from core.spelling import printed

FALLS_A_FIFTH = 5
LEAST_BEATS = Fraction(2)
LEAST_CHOICES = 3


@dataclass(frozen=True, slots=True)
class Kind:
    """A dominant: its name, how far its root lies from the fifth's (in fifths), its quality, the technique it is."""

    words: str
    offset: int
    quality: str
    technique: str = ""
    to_major: bool = False


KINDS: Mapping[str, Kind] = MappingProxyType(
    {
        "fifth": Kind("the dominant", 0, "9"),
        "tritone": Kind("the tritone substitute", -6, "7#11", "tritone_substitution"),
        "altered": Kind("the altered dominant", 0, "7alt"),
        "backdoor": Kind("the backdoor dominant", -3, "9", "backdoor", to_major=True),
        "diminished": Kind("the diminished chord", 4, "dim7", "diminished_for_dominant"),
    }
)
"""Offsets on the line of fifths: a tritone away −6, a whole step under the tonic −3, a half step under it 4 (handbook
knowledge, see the references of the techniques named here)."""


@dataclass(frozen=True, slots=True)
class _Place:
    slot: Slot
    following: Chord
    key: Key


def dominant_asks(ground: Ground) -> Iterator[Ask]:
    """Each dominant of the standard that falls a fifth into its target, with each kind that the tune allows there."""
    for place in _places(ground.chart):
        allowed = _allowed(ground, place)
        if len(allowed) >= LEAST_CHOICES:
            for kind in allowed:
                yield Ask("dominant", kind, place.slot.onset, partial(_question, ground, place, allowed, kind))


def _places(chart: Chart) -> Iterator[_Place]:
    row = merged(chart.standard)
    for slot, read in zip(row, analyse(row, chart.form, chart.key), strict=True):
        target = None if read.target is None or read.function != "D" else row[read.target]
        if slot.chord is None or target is None or target.chord is None or slot.duration < LEAST_BEATS:
            continue
        if target.onset == slot.end and slot.chord.bass is None and _falls(slot.chord, target.chord):
            yield _Place(slot, target.chord, read.key)


def _falls(dominant: Chord, target: Chord) -> bool:
    return dominant.quality.sounding.family == "dominant" and root_motion(dominant, target) == FALLS_A_FIFTH


def chord_of(kind: str, dominant: Chord) -> Chord:
    """A kind of dominant where the fifth is ``dominant``: ``chord_of("tritone", Bb7)`` is F♭7♯11."""
    row = KINDS[kind]
    return chord(dominant.root + row.offset, row.quality)


def _allowed(ground: Ground, place: _Place) -> dict[str, Chord]:
    assert place.slot.chord is not None
    found = {}
    for kind, row in KINDS.items():
        if row.technique and not ground.knows(row.technique):
            continue
        if row.to_major and place.following.quality.sounding.family != "major":
            continue
        tried = chord_of(kind, place.slot.chord)
        if _fits(ground.chart, place, tried):
            found[kind] = tried
    return found


def _fits(chart: Chart, place: _Place, tried: Chord) -> bool:
    row = (replace(place.slot, chord=tried, typed=None),)
    judged = fits(chart.melody, row, place.following, place.key, chart.form, flag_altered=False)
    return all(fit.verdict != "clash" for fit in judged)


def _question(ground: Ground, place: _Place, allowed: dict[str, Chord], right: str, _random: Random) -> Question:
    chart, slot = ground.chart, place.slot
    asked = slot.onset, slot.end
    low, high = around(chart.form, *asked)
    answers = []
    for kind, made in allowed.items():
        row = splice(chart.standard, *asked, (Slot(slot.onset, slot.duration, made),))
        heard = excerpt(chart, None, row, low, high, asked)
        tones = made.pitch_classes
        answers.append(Answer(kind, KINDS[kind].words, printed(made, place.key), tones, made.bass_pc, heard))
    named = next(answer for answer in answers if answer.id == right)
    assert named.excerpt is not None
    home = printed(place.following, place.key)
    return Question("dominant", f"Which dominant leads to {home}?", asked[0], low, high, named.excerpt,
                    tuple(answers), right, f"That was {named.detail}, {named.words}, before {home}.")  # fmt: skip
