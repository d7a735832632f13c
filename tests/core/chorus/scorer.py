"""A second opinion on what a take costs: the sentences of core/chorus/cost.py worked out anew from checks in words.

It shares the tables of weights with the program, and nothing else.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

from core.chart import Melody, notes_between
from core.checks.function_check import effect_of
from core.checks.leading import chord_motion, guide_motion
from core.checks.melody import melody_check
from core.chord import Chord
from core.chorus.alternatives import Alternative
from core.chorus.cost import BASS_MOTION, BOLD_PULL, EFFECTS, FREE_MOTION, PULL, WEIGHTS
from core.form import Form
from core.function import read
from core.key import Key
from core.row import Slot, merged, span

Change = tuple[Chord, Chord]


class Scorer:
    """Scores for a standard row in one key, with one chord in every bar of four."""

    def __init__(self, row: tuple[Slot, ...], melody: Melody, form: Form, key: Key, boldness: float) -> None:
        self.row, self.melody, self.form, self.key = row, melody, form, key
        self.chord, self.missing = (WEIGHTS[what] + round(WEIGHTS[f"bold {what}"] * boldness)
                                    for what in ("chord", "missing"))  # fmt: skip
        self.earned = round(PULL * boldness + BOLD_PULL * boldness**4)

    def voices(self, one: Chord, two: Chord) -> int:
        """Leading and bass of a change of chord."""
        motion = guide_motion(one, two) + chord_motion(one, two) // 2
        interval = min((one.bass_pc - two.bass_pc) % 12, (two.bass_pc - one.bass_pc) % 12)
        return WEIGHTS["motion"] * max(0, motion - FREE_MOTION) + WEIGHTS["bass"] * BASS_MOTION[interval]

    def cautions(self, chords: tuple[Slot, ...], following: Chord) -> int | None:
        """Of the notes over all these chords; None where one clashes."""
        if not notes_between(self.melody, chords[0].onset, chords[-1].end):
            return 0
        check = melody_check(self.melody, chords, following, self.key, self.form, True)
        verdicts = [finding.verdict for finding in check.findings]
        return None if "clash" in verdicts else verdicts.count("caution")

    def standard_at(self, at: Fraction) -> Chord:
        """The standard's chord, the first at the end."""
        chord = self.row[int(at) // 4 % len(self.row)].chord
        assert chord is not None
        return chord

    def own(self, one: Alternative) -> int | None:
        """What an alternative costs by itself."""
        chords = [slot.chord for slot in one.chords if slot.chord]
        cost = WEIGHTS["belief"] * one.price
        for first, second in pairwise(chords):
            cost += self.voices(first, second)
            reading = read(first, second, self.key)
            cost += WEIGHTS["unresolved"] * (reading.function == "D" and not reading.resolves)
        if len(chords) > 1:
            notes = self.cautions(one.chords[:-1], chords[-1])
            if notes is None:
                return None
            cost += WEIGHTS["caution"] * notes
        before = merged(span(self.row, one.start, one.end))
        more = len(one.chords) - len(before)
        if more > 0:
            short = [slot for slot in one.chords if slot.duration < self.form.bar_at(slot.onset).length / 2]
            cost += self.chord * more + WEIGHTS["quick"] * len(short)
        else:
            cost -= self.missing * more
        eighth = Fraction(1, 2)
        at, elsewhere = one.start, 0
        while at < one.end:
            now = next(slot.chord for slot in one.chords if slot.onset <= at < slot.end)
            assert now is not None
            elsewhere += now.root_pc != self.standard_at(at).root_pc
            at += eighth
        return cost - self.earned * elsewhere // 10

    def anchors(self, one: Alternative, anchored: dict[Fraction, str]) -> int:
        """Other roots under the chords that hold the form."""
        return sum(WEIGHTS[weight] for at, weight in anchored.items() if one.start <= at < one.end
                   for slot in one.chords if slot.onset <= at < slot.end
                   and slot.chord is not None and slot.chord.root_pc != self.standard_at(at).root_pc)  # fmt: skip

    def meeting(self, left: Alternative | None, at: Fraction, right: Chord) -> int | None:
        """What it costs that a piece (None: the standard) ends at a time where a chord begins."""
        around = at if at < self.row[-1].end else Fraction(0)
        goal, before = self.standard_at(around), self.standard_at(at - 1)
        last = before if left is None else left.chords[-1].chord
        assert last is not None
        cost = self.voices(last, right)
        if left is None and right == goal:
            return cost
        if last == right:
            cost += self.missing
        if left is None:
            was, now = read(before, goal, self.key), read(before, right, self.key)
            waits = right.quality.family in ("minor", "half_diminished") and (goal.root_pc - right.root_pc) % 12 == 5
            led = was.function == "D" and was.resolves
            lost = led and not now.resolves and not waits and right.root_pc != goal.root_pc
            return cost + WEIGHTS["unresolved"] * lost
        effect = effect_of(before, last, right, self.key).name
        notes = self.cautions((left.chords[-1],), right)
        if effect not in EFFECTS or notes is None:
            return None
        return cost + WEIGHTS["function"] * EFFECTS[effect] + WEIGHTS["caution"] * notes
