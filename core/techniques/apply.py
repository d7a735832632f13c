"""Where techniques apply in a row, and what they put there. The melody chooses the colours."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from core.analysis import ChordAnalysis
from core.chart import Melody, notes_between
from core.checks.fit_table import fit_row
from core.checks.melody import EIGHTH, is_structural
from core.chord import Chord, in_context
from core.finding import VERDICTS
from core.form import Form
from core.function import acts_as_dominant, root_motion
from core.key import Key
from core.pitch import within_double
from core.quality import QUALITIES
from core.row import Row, Slot, slot_index, span
from core.techniques.technique import KINDS, Part, Place, Rule, Technique

LAST_RESORTS = frozenset({"mM7", "7alt", "maj7#5"})
"""Colours that change what a chord is; worth a caution, so taken only where nothing plainer carries the melody."""


@dataclass(frozen=True, slots=True)
class Ground:
    """What techniques work on: a row with neighbours joined, its reading, the melody and the form under it."""

    row: Row
    analysis: tuple[ChordAnalysis, ...]
    melody: Melody
    form: Form


@dataclass(frozen=True, slots=True)
class Application:
    """A rule applied: the span it changes, chords before and after, the neighbours and the key it was judged in."""

    technique: Technique
    rule: Rule
    start: Fraction
    end: Fraction
    before: Row
    after: Row
    previous: Chord | None
    following: Chord | None
    key: Key

    @property
    def title(self) -> str:
        """The rule's own title, or the technique's."""
        return self.rule.title or self.technique.title


def applications(
    ground: Ground, techniques: tuple[Technique, ...], start: Fraction, end: Fraction
) -> Iterator[Application]:
    """Every application whose change begins in the time from start to end, technique by technique."""
    first = slot_index(ground.row, start)
    stop = bisect_left(ground.row, end, key=lambda slot: slot.onset)
    for technique in techniques:
        for rule in technique.rules:
            for index in range(first, min(stop, len(ground.row) - len(rule.replaces) + 1)):
                found = apply_rule(ground, technique, rule, index)
                if found is not None and start <= found.start < end:
                    yield found


def apply_rule(ground: Ground, technique: Technique, rule: Rule, index: int) -> Application | None:
    """A rule tried on the slots from ``index``; None where its kinds, motions, length or condition do not hold."""
    last = index + len(rule.replaces) - 1
    slots = ground.row[index : last + 1]
    place = _place(ground, slots, index, last)
    if place is None or not _matches(rule, place):
        return None
    beat = ground.form.bar_at(slots[-1].onset).meter.beat
    if slots[-1].end - slots[0].onset < rule.min_beats * beat:
        return None
    start, end = slots[0].onset, slots[-1].end
    if rule.tail_beats:
        start = _cut(start, end, end - min(rule.tail_beats * beat, (end - start) / 2), ground.form)
    times = _times(rule, slots, start, end, ground.form)
    if start == end or any(slot.duration <= 0 for slot in times):
        return None
    chords = _replacement(rule, place, times, ground)
    before = span(ground.row, start, end)
    after = tuple(replace(slot, chord=chord) for slot, chord in zip(times, chords, strict=True))
    if [slot.chord for slot in after] == [slot.chord for slot in before]:
        return None
    return Application(technique, rule, start, end, before, after, place.before, place.following, place.key)


def _place(ground: Ground, slots: Row, index: int, last: int) -> Place | None:
    chords = tuple(slot.chord for slot in slots if slot.chord is not None)
    if len(chords) < len(slots):
        return None
    row = ground.row
    before = row[index - 1].chord if index else None
    following = row[(last + 1) % len(row)].chord if len(row) > 1 else None
    return Place(before, chords, following, _resolution_key(ground, last))


def _resolution_key(ground: Ground, last: int) -> Key:
    """The key of the chord that follows: a cadence is heard in the key it arrives in."""
    following = (last + 1) % len(ground.row)
    return ground.analysis[following if following else last].key


def _matches(rule: Rule, place: Place) -> bool:
    chords = (*place.replaced, place.following)
    for kind, chord, after in zip(rule.replaces, place.replaced, chords[1:], strict=True):
        plain_dominant = kind == "dominant seventh" and after is not None and acts_as_dominant(chord, after, place.key)
        if not KINDS[kind](chord) and not plain_dominant:
            return False
    for motion, one, two in zip(rule.motions, chords, chords[1:], strict=False):
        if motion is not None and (one is None or two is None or root_motion(one, two) != motion):
            return False
    if rule.following != "any" and (place.following is None or not KINDS[rule.following](place.following)):
        return False
    if any(part.of_following for part in rule.parts) and place.following is None:
        return False
    return rule.condition is None or rule.condition(place)


def _times(rule: Rule, slots: Row, start: Fraction, end: Fraction, form: Form) -> Row:
    """When the new chords sound: as many as before keep the old places, one chord is split on a beat."""
    if len(rule.parts) == len(slots):
        return tuple(Slot(max(slot.onset, start), slot.end - max(slot.onset, start), None) for slot in slots)
    if len(rule.parts) == 1:
        return (Slot(start, end - start, None),)
    weights = [part.weight for part in rule.parts]
    cut = _cut(start, end, start + (end - start) * Fraction(weights[0], sum(weights)), form)
    return (Slot(start, cut - start, None), Slot(cut, end - cut, None))


def _cut(start: Fraction, end: Fraction, wanted: Fraction, form: Form) -> Fraction:
    """The beat inside a span that is nearest to a wanted time; of two as near an accented one, then the later.

    A bar of three is cut 2 + 1 and a bar of five 3 + 2. ``end`` when no beat lies inside.
    """
    beats = [place for place in _beats(start, end, form) if start < place[0] < end]
    if not beats:
        return end
    return min(beats, key=lambda place: (abs(place[0] - wanted), not place[1], -place[0]))[0]


def _beats(start: Fraction, end: Fraction, form: Form) -> Iterator[tuple[Fraction, bool]]:
    """(time, whether accented) of every beat in the bars that a span touches."""
    bar = form.bar_at(start)
    while bar.start < end:
        strong = bar.meter.strong_places()
        for beat in range(int(bar.length / bar.meter.beat) + 1):
            yield bar.start + beat * bar.meter.beat, beat * bar.meter.beat in strong
        if bar.index + 1 == len(form.bars):
            return
        bar = form.bars[bar.index + 1]


def _replacement(rule: Rule, place: Place, times: Row, ground: Ground) -> tuple[Chord, ...]:
    """The new chords, chosen from the last to the first since a chord is judged by the one after it."""
    chosen: list[Chord] = []
    following = place.following
    for part, slot in zip(reversed(rule.parts), reversed(times), strict=True):
        following = _chord_for(part, place, slot, following, ground)
        chosen.insert(0, following)
    return tuple(chosen)


def _chord_for(part: Part, place: Place, slot: Slot, following: Chord | None, ground: Ground) -> Chord:
    if part.kept is not None:
        return place.replaced[part.kept]
    anchor = place.anchor
    if part.of_following:
        assert place.following is not None
        anchor = in_context(place.following)
    root = within_double(anchor.root + part.offset)
    bass = None if part.bass_offset is None else anchor.root + part.bass_offset
    if not part.qualities:
        return replace(anchor, root=root, bass=bass)
    candidates = [Chord(root, QUALITIES[quality], bass) for quality in part.qualities]
    return best_colour(candidates, slot, following, place.key, ground)


def best_colour(candidates: list[Chord], slot: Slot, following: Chord | None, key: Key, ground: Ground) -> Chord:
    """The candidate that carries the melody best: worst verdict, number of cautions, tensions named, then order."""
    if len(candidates) == 1:
        return candidates[0]
    notes = []
    for note in notes_between(ground.melody, slot.onset, slot.end):
        onset, end = max(note.onset, slot.onset), min(note.end, slot.end)
        if note.duration > EIGHTH / 2:
            notes.append((note.pitch.midi, is_structural(onset, end - onset, ground.form)))

    def rank(chord: Chord) -> tuple[int, int, int]:
        row = fit_row(chord, following, key, flag_altered=True)
        root = in_context(chord).root_pc
        places = [((midi - root) % 12, structural) for midi, structural in notes]
        verdicts = [(VERDICTS.index(row.verdicts[place]) if structural else VERDICTS.index(row.verdicts[place]) // 2)
                    for place, structural in places]  # fmt: skip
        named = sum(structural and place in row.written for place, structural in places)
        forced = int(chord.quality.id in LAST_RESORTS)
        return max([*verdicts, forced]), sum(verdicts) + forced, -named

    return min(candidates, key=rank)
