"""What a take costs: integers, lower is better, every term local to one change or to two neighbours.

A take is a chain of *pieces* that tile the form: stretches of the standard, and alternatives. A piece has terms of its
own; where two pieces meet, the last chord of the one and the first of the other have terms together; nothing else
costs. The weights are judgement, no source; forty pairs of rows in tests/core/chorus/pairs.py try them, half of which
may be used to set them. The size of a guide-tone or chord motion is that of :mod:`core.checks.leading`.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from operator import itemgetter
from typing import NamedTuple

from core.checks.compiled import CLASH, judge_chord, judge_row
from core.checks.compiled_melody import CompiledMelody
from core.checks.function_check import effect_of
from core.checks.leading import chord_motion, guide_motion
from core.chord import Chord
from core.chorus.alternatives import Alternative, same_roots
from core.chorus.request import Request, bass_may, planned
from core.form import Form
from core.function import is_minor, read, root_motion
from core.key import Key
from core.row import ZERO, Row, later, merged, slot_index, span
from core.techniques.ground import Ground

TERMS = ("melody", "leading", "bass", "function", "anchors", "rhythm", "distance", "technique", "reuse")
WEIGHTS = {
    "caution": 12,  # a melody note that wants care
    "motion": 4,  # a semitone of the guide tones, or two of the four voices
    "bass": 6,  # times what BASS_MOTION says of the bass's interval
    "stays": 12,  # a bass that a plan wants to move and that does not
    "function": 16,  # times what EFFECTS says of the work that is no longer done
    "unresolved": 32,  # a dominant that led somewhere and no longer does
    "section": 16,  # another root under the first chord of a section
    "arrival": 24,  # another root under the last chord of a section
    "final": 60,  # another root under the last chord of the form
    "chord": 10,  # a chord more than stood there
    "missing": 24,  # a change less than the standard has: the tune stands still
    "bold chord": -8,  # added to a chord more at boldness 1, and in its share below: the bold want motion
    "bold missing": 60,  # and to a change less
    "quick": 8,  # a chord shorter than half a bar that stands where there was none
    "belief": 2,  # times the price of the steps
    "apart": 3,  # for each ten points between how bold a change is and how bold it is wanted
    "favour": -30,  # a step with a favoured technique
}
BASS_MOTION = (1, 0, 0, 1, 1, 0, 2)
"""By the shorter way round in semitones: steps and fifths carry, thirds less, a tritone jumps, and a bass that stays
goes nowhere."""
FREE_MOTION = 2
"""As far as the voices of a ii–V–I move; only what goes beyond costs, so that few chords are no merit."""
EFFECTS = {"kept": 0, "sharpened": 0, "softened": 1, "redirected": 3}
"""Effects of :mod:`core.checks.function_check`; what is lost is not done at all."""
PULL, BOLD_PULL = 80, 60
"""What an eighth note on another root earns, in tenths: at boldness b ``PULL * b + BOLD_PULL * b ** 4``. Most changes
cost 20 to 40 a bar, so that what changes grows evenly with a slow beginning; the rest is for the bold."""

BOLDEST = 75
"""The boldness of a technique that is wanted at boldness 1: a cycle of major thirds."""

Terms = tuple[int, ...]
NO_TERMS: Terms = (0,) * len(TERMS)


class Spot(NamedTuple):
    """A time in the form: the key and the standard's chord there, whether that begins there, and the bass plan."""

    at: Fraction
    key: Key
    standing: Chord | None
    begins: bool
    plan: str | None


class End(NamedTuple):
    """How a piece ends: its last chord, since when it sounds, the standard's chord there, whether the piece is kept."""

    chord: Chord | None
    onset: Fraction
    replaced: Chord | None
    kept: bool


def pull(boldness: float) -> int:
    """Tenths that an eighth note on another root earns at a boldness from 0 to 1."""
    return round(PULL * boldness + BOLD_PULL * boldness**4)


def motion(what: str, boldness: float) -> int:
    """What a chord more ("chord") or a change less ("missing") costs at a boldness from 0 to 1."""
    return WEIGHTS[what] + round(WEIGHTS[f"bold {what}"] * boldness)


def _apart(boldness: int | None, wanted: float) -> int:
    """What a change costs that is tamer or bolder than wanted; what is asked for is as bold as it is."""
    return 0 if boldness is None else WEIGHTS["apart"] * abs(boldness - round(BOLDEST * wanted)) // 10


@dataclass(frozen=True, slots=True)
class Pricing:
    """All that costs hang on: the standard's ground, its melody on integers, the form and the request."""

    ground: Ground
    melody: CompiledMelody
    form: Form
    request: Request
    anchors: tuple[tuple[Fraction, Chord, str], ...] = field(init=False)
    anchor_times: tuple[float, ...] = field(init=False)
    """For a fast search: a fraction rounds to one float, so equal times stay equal."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "anchors", _anchors(self.ground, self.form))
        object.__setattr__(self, "anchor_times", tuple(float(at) for at, _, _ in self.anchors))

    def end_of(self, at: Fraction, alternative: Alternative | None) -> End:
        """How a piece ends at a time: a stretch of the standard (None) or an alternative."""
        row = self.ground.row
        index = slot_index(row, at)
        standing = row[index - (row[index].onset == at)].chord
        if alternative is None:
            return End(standing, ZERO, None, True)
        last = alternative.chords[-1]
        return End(last.chord, last.onset, standing, False)

    def own(self, alternative: Alternative, moves: tuple[Fraction, ...] = (ZERO,)) -> Terms | None:
        """An alternative's own terms; ``moves``: how much later it stands, each time.

        None where a note clashes, the bass leaves its plan or a target is missed.
        """
        if not self.on_target(alternative.chords, moves):
            return None
        shared = self._shared(alternative.chords, self.spot(alternative.end).key)
        leading, bass, function, rhythm, distance = (len(moves) * term for term in shared)
        melody = anchors = 0
        for moved in moves:
            chords = later(alternative.chords, moved)
            tally = judge_row(self.melody, chords[:-1], chords[-1].chord, self.spot(alternative.end + moved).key, True)
            line = self._line(chords)
            if tally.worst == CLASH or line is None:
                return None
            bass += line
            melody += WEIGHTS["caution"] * tally.cautions
            anchors += self._anchored(alternative, moved)
        favoured = WEIGHTS["favour"] * len(alternative.techniques & self.request.favour)
        apart = _apart(alternative.boldness, self.request.boldness)
        technique = len(moves) * (WEIGHTS["belief"] * alternative.price + apart + favoured)
        return melody, leading, bass, function, anchors, rhythm, distance, technique, 0

    def _shared(self, chords: Row, key: Key) -> tuple[int, int, int, int, int]:
        """Leading, bass, function, rhythm and distance: the same wherever the alternative stands."""
        leading = bass = function = 0
        for before, slot in pairwise(chords):
            motion, low = voices(before.chord, slot.chord)
            leading, bass = leading + motion, bass + low
            function += WEIGHTS["unresolved"] * _unresolved(before.chord, slot.chord, key)
        start, end = chords[0].onset, chords[-1].end
        standard = span(self.ground.row, start, end)
        changed = int(2 * (end - start - same_roots(standard, chords)))
        return leading, bass, function, self._rhythm(chords, standard), -(pull(self.request.boldness) * changed // 10)

    def _rhythm(self, chords: Row, before: Row) -> int:
        more = len(merged(chords)) - len(merged(before))
        if more <= 0:
            return motion("missing", self.request.boldness) * -more
        quick = sum(2 * slot.duration < self.form.bar_at(slot.onset).length for slot in chords)
        return motion("chord", self.request.boldness) * more + WEIGHTS["quick"] * quick

    def _anchored(self, alternative: Alternative, moved: Fraction) -> int:
        total = 0
        first = bisect_left(self.anchor_times, float(alternative.start + moved))
        last = bisect_left(self.anchor_times, float(alternative.end + moved))
        for at, chord, weight in self.anchors[first:last]:
            new = alternative.chords[slot_index(alternative.chords, at - moved)].chord
            total += WEIGHTS[weight] * (new is None or new.root_pc != chord.root_pc)
        return total

    def on_target(self, chords: Row, moves: tuple[Fraction, ...]) -> bool:
        """Whether chords meet every target that lies in their time, wherever they stand."""
        for target in self.request.targets:
            bar = self.form.bars[target.bar]
            for moved in moves:
                at = bar.start - moved
                if chords[0].onset <= at < chords[-1].end and not target.met_by(chords[slot_index(chords, at)].chord):
                    return False
        return True

    def _line(self, chords: Row) -> int | None:
        """What the changes inside an alternative cost for the bass plans; None where the bass leaves one."""
        total = 0
        for before, slot in pairwise(chords) if self.request.plans else ():
            stays = self._in_plan(before.chord, slot.chord, planned(self.request, self.form, slot.onset))
            if stays is None:
                return None
            total += stays
        return total

    def _in_plan(self, one: Chord | None, two: Chord | None, plan: str | None) -> int | None:
        """What a change of chord costs for a bass plan; None where the bass leaves it."""
        if plan is None:
            return 0
        if not bass_may(one, two, plan):
            return None
        moves = plan == "pedal" or one is None or two is None or one.bass_pc != two.bass_pc
        return 0 if moves else WEIGHTS["stays"]

    def spot(self, at: Fraction) -> Spot:
        """What the standard does at a time; at the end of the form what it does at its beginning."""
        row = self.ground.row
        index = slot_index(row, at) if at < row[-1].end else 0
        plan = planned(self.request, self.form, at) if self.request.plans else None
        begins = at >= row[-1].end or row[index].onset == at
        return Spot(at, self.ground.analysis[index].key, row[index].chord, begins, plan)

    def meeting(self, left: End, right: Chord | None, spot: Spot, moved: Fraction = ZERO) -> Terms | None:
        """The terms of a piece that ends at a spot (``moved`` later than ``left`` says) and of what begins there.

        None where they may not meet: a note clashes, the function is lost, the bass leaves its plan.
        """
        if left.chord == right and left.kept and not spot.begins:
            return NO_TERMS  # one chord of the standard goes on
        stays = self._in_plan(left.chord, right, spot.plan)
        if stays is None:
            return None
        leading, bass = voices(left.chord, right)
        bass += stays
        if left.chord is None:
            return (0, leading, bass, 0, 0, 0, 0, 0, 0)
        still = motion("missing", self.request.boldness) * (spot.begins and left.chord == right)
        if left.kept:
            if right == spot.standing:
                return (0, leading, bass, 0, 0, 0, 0, 0, 0)
            lost = _loses(left.chord, spot.standing, right, spot.key)
            return (0, leading, bass, WEIGHTS["unresolved"] * lost, 0, still, 0, 0, 0)
        effect = _effect(left.replaced, left.chord, right, spot.key)
        if effect is None:
            return None
        tally = judge_chord(self.melody, left.onset + moved, spot.at, left.chord, right, spot.key, True)
        if tally.worst == CLASH:
            return None
        return (WEIGHTS["caution"] * tally.cautions, leading, bass, WEIGHTS["function"] * effect, 0, still, 0, 0, 0)


def _anchors(ground: Ground, form: Form) -> tuple[tuple[Fraction, Chord, str], ...]:
    """Chords that hold the form, in order: the first of every section, and tonics that begin in its last two bars."""
    found = []
    for section in form.sections:
        start, near_end = form.bars[section.first].start, form.bars[max(section.first, section.last - 2)].start
        end = form.bars[section.last - 1].end
        for slot, reading in zip(ground.row, ground.analysis, strict=True):
            if slot.chord is None:
                continue
            if near_end <= slot.onset < end and slot.onset > start and reading.function == "T":
                found.append((slot.onset, slot.chord, "final" if end == form.length else "arrival"))
            if slot.onset == start:
                found.append((start, slot.chord, "section"))
    return tuple(sorted(found, key=itemgetter(0)))


@lru_cache(maxsize=262144)
def voices(one: Chord | None, two: Chord | None) -> tuple[int, int]:
    """Leading and bass of a change of chord; nothing over silence."""
    if one is None or two is None:
        return 0, 0
    away = (two.bass_pc - one.bass_pc) % 12
    motion = guide_motion(one, two) + chord_motion(one, two) // 2
    return WEIGHTS["motion"] * max(0, motion - FREE_MOTION), WEIGHTS["bass"] * BASS_MOTION[min(away, 12 - away)]


@lru_cache(maxsize=262144)
def _unresolved(one: Chord | None, two: Chord | None, key: Key) -> bool:
    """A dominant that leads nowhere inside a change; over the ii of its goal it only waits."""
    if one is None or two is None:
        return False
    reading = read(one, two, key)
    return reading.function == "D" and not reading.resolves


@lru_cache(maxsize=262144)
def _loses(chord: Chord, goal: Chord | None, following: Chord | None, key: Key) -> bool:
    """A kept dominant that led to the standard's next chord, and no longer leads, not even over that chord's ii."""
    if goal is None:
        return False
    was = read(chord, goal, key)
    if not was.resolves or was.function != "D" or following is None:
        return False
    if read(chord, following, key).resolves or following.root_pc == goal.root_pc:
        return False
    return not (is_minor(following) and root_motion(following, goal) == 5)


@lru_cache(maxsize=262144)
def _effect(old: Chord | None, new: Chord, following: Chord | None, key: Key) -> int | None:
    """What :data:`EFFECTS` says of a replaced last chord; None where its work is lost."""
    if old is None:
        return EFFECTS["redirected"]
    return EFFECTS.get(effect_of(old, new, following, key).name)


def added(one: Terms, two: Terms) -> Terms:
    """Term by term."""
    return tuple(a + b for a, b in zip(one, two, strict=True))
