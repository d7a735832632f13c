"""Where techniques apply in a row, and what they put there. The melody chooses the colours."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from core.analysis import ChordAnalysis
from core.chart import Melody, notes_between
from core.checks.fit_table import fit_row
from core.checks.melody import EIGHTH, is_structural
from core.chord import Chord, in_context
from core.finding import VERDICTS
from core.form import Form
from core.function import acts_as_dominant, root_motion
from core.key import Key
from core.pitch import chromatic, within_double
from core.quality import QUALITIES
from core.row import Row, Slot, slot_index, span
from core.symbol import polychord
from core.techniques.technique import Part, Place, Rule, Technique, kinds_of

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
    if not _kinds_match(rule, ground.row, index):
        return None
    place = _place(ground, slots, index, last)
    if place is None or not _matches(rule, place):
        return None
    times = _times(rule, slots, ground.form)
    if times is None:
        return None
    start, end = times[0].onset, times[-1].end
    chords = _replacement(rule, place, times, ground)
    if chords is None:
        return None
    if _anticipates(rule, chords[-1], place.following):
        return None
    before = span(ground.row, start, end)
    after = tuple(replace(slot, chord=chord) for slot, chord in zip(times, chords, strict=True))
    if [slot.chord for slot in after] == [slot.chord for slot in before]:
        return None
    return Application(technique, rule, start, end, before, after, place.before, place.following, place.key)


def _anticipates(rule: Rule, last: Chord, following: Chord | None) -> bool:
    """A new chord that is only the next one come early is no change of its own."""
    if following is None or rule.parts[-1].kept is not None or last.bass is not None:
        return False
    return last.root_pc == following.root_pc and last.quality.family == following.quality.family


def _kinds_match(rule: Rule, row: Row, index: int) -> bool:
    """A quick look before anything is built: most rules fail here."""
    for step, kind in enumerate(rule.replaces):
        chord = row[index + step].chord
        if chord is None:
            return False
        if kind in kinds_of(chord):
            continue
        if kind != "dominant seventh" or "major" not in kinds_of(chord):
            return False
    return True


def _place(ground: Ground, slots: Row, index: int, last: int) -> Place | None:
    chords = tuple(slot.chord for slot in slots if slot.chord is not None)
    if len(chords) < len(slots):
        return None
    row = ground.row
    before = row[index - 1].chord if index else None
    following = row[(last + 1) % len(row)].chord if len(row) > 1 else None
    return Place(before, chords, following, _resolution_key(ground, last), ground.analysis[last].key,
                 slots[-1].end >= ground.form.length)  # fmt: skip


def _resolution_key(ground: Ground, last: int) -> Key:
    """The key of the chord that follows: a cadence is heard in the key it arrives in."""
    following = (last + 1) % len(ground.row)
    return ground.analysis[following if following else last].key


def _matches(rule: Rule, place: Place) -> bool:
    chords = (*place.replaced, place.following)
    for motion, one, two in zip(rule.motions, chords, chords[1:], strict=False):
        if motion is not None and (one is None or two is None or root_motion(one, two) != motion):
            return False
    for kind, chord, after in zip(rule.replaces, place.replaced, chords[1:], strict=True):
        if kind not in kinds_of(chord) and (after is None or not acts_as_dominant(chord, after, place.key)):
            return False
    if rule.following != "any" and (place.following is None or rule.following not in kinds_of(place.following)):
        return False
    if place.following is None and any(part.of == "following" for part in rule.parts):
        return False
    return rule.condition is None or rule.condition(place)


# --- when the new chords sound -------------------------------------------------------------------------------------


def _times(rule: Rule, slots: Row, form: Form) -> Row | None:
    """When the new chords sound: as many as before keep the old places, others are cut on beats by their weights."""
    bar = form.bar_at(slots[-1].onset)
    start, end, beat = slots[0].onset, slots[-1].end, bar.meter.beat
    if end - start < max(rule.min_beats * beat, rule.min_bars * bar.length):
        return None
    if rule.tail_beats:
        start = _cut(start, end, end - min(rule.tail_beats * beat, (end - start) / 2), form)
    elif rule.tail_bars:
        start = max(start, end - rule.tail_bars * bar.length)
    if len(rule.parts) == len(slots):
        places = [max(slot.onset, start) for slot in slots] + [end]
    else:
        whole, places, passed = sum(part.weight for part in rule.parts), [start], 0
        for part in rule.parts[:-1]:
            passed += part.weight
            places.append(_cut(start, end, start + (end - start) * Fraction(passed, whole), form))
        places.append(end)
    if any(two <= one for one, two in pairwise(places)):
        return None
    return tuple(Slot(one, two - one, None) for one, two in pairwise(places))


def _cut(start: Fraction, end: Fraction, wanted: Fraction, form: Form) -> Fraction:
    """The beat inside a span that is nearest to a wanted time; of two as near an accented one, then the later.

    A bar of three is cut 2 + 1 and a bar of five 3 + 2. ``end`` when no beat lies inside.
    """
    bar = form.bar_at(wanted)
    if wanted == bar.start and start < wanted < end:  # the usual case: a bar line
        return wanted
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


# --- what they are -------------------------------------------------------------------------------------------------


def _replacement(rule: Rule, place: Place, times: Row, ground: Ground) -> tuple[Chord, ...] | None:
    """The new chords, chosen from the last to the first since a chord is judged by the one after it.

    None where a part would need a chord that cannot be written (a foreign bass under a slash chord).
    """
    chosen: list[Chord] = []
    following = place.following
    for part, slot in zip(reversed(rule.parts), reversed(times), strict=True):
        found = _chord_for(part, place, slot, following, ground)
        if found is None:
            return None
        following = found
        chosen.insert(0, found)
    return tuple(chosen)


def _chord_for(part: Part, place: Place, slot: Slot, following: Chord | None, ground: Ground) -> Chord | None:
    origin = _origin(part, place)
    if part.kept is not None:
        kept = place.replaced[part.kept]
        return kept if part.bass_offset is None else _over_bass(kept, origin.root + part.bass_offset)
    root = within_double(origin.root + part.offset)
    bass = None if part.bass_offset is None else root + part.bass_offset - part.offset
    if not part.qualities:
        return replace(origin, root=root, bass=bass)
    candidates = [Chord(root, QUALITIES[quality], bass) for quality in part.qualities]
    if part.triads:
        candidates = [polychord(Chord(within_double(root + offset), QUALITIES[quality]), chord)
                      for offset, quality in part.triads for chord in candidates]  # fmt: skip
    return best_colour(candidates, slot, following, place.key, ground)


def _origin(part: Part, place: Place) -> Chord:
    """The chord whose root a part is measured from; see :data:`core.techniques.technique.ORIGINS`."""
    if part.of == "first":
        return in_context(place.replaced[0])
    if part.of == "following":
        assert place.following is not None
        return in_context(place.following)
    if part.of == "tonic":
        return replace(place.anchor, root=place.key.tonic)
    if part.of == "mirror":
        return replace(place.anchor, root=2 * place.here.tonic - place.anchor.root)
    return place.anchor


def _over_bass(chord: Chord, bass: int) -> Chord | None:
    """A chord over another bass; itself where that is its root, None where it stands over a bass already."""
    if chord.bass is not None or chord.upper is not None:
        return None
    return chord if chromatic(bass) == chord.root_pc else replace(chord, bass=within_double(bass))


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
