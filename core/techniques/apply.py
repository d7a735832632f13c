"""Where techniques apply in a row, and what they put there. The melody chooses the colours."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from operator import itemgetter

from core.analysis import ChordAnalysis
from core.chart import Melody
from core.checks.fit_table import fit_row
from core.checks.melody import EIGHTH, sounding_notes
from core.chord import Chord, in_context
from core.finding import VERDICTS
from core.form import Form
from core.function import acts_as_dominant, root_motion
from core.key import Key
from core.pitch import chromatic, within_double
from core.quality import QUALITIES
from core.row import Row, Slot, slot_index, span
from core.symbol import polychord
from core.techniques.claims.case import Case
from core.techniques.technique import Part, Place, Rule, Technique, kinds_of

LAST_RESORTS = frozenset({"7alt", "maj7#5"})
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
    here: Key

    @property
    def case(self) -> Case:
        """What the reasons are computed from."""
        old = tuple(slot.chord for slot in self.before if slot.chord is not None)
        new = tuple(slot.chord for slot in self.after if slot.chord is not None)
        return Case(self.previous, old, new, self.following, self.key, self.here)

    @property
    def title(self) -> str:
        """The rule's own title, or the technique's."""
        return self.rule.title or self.technique.title


def applications(
    ground: Ground, techniques: tuple[Technique, ...], start: Fraction, end: Fraction
) -> Iterator[Application]:
    """Every application whose change begins in the time from start to end, technique by technique."""
    for _, technique, rule, index in sorted(candidates(ground.row, techniques, start, end), key=_ORDER):
        found = apply_rule(ground, technique, rule, index)
        if found is not None and start <= found.start < end:
            yield found


Candidate = tuple[int, Technique, Rule, int]
_ORDER = itemgetter(0, 3)


def candidates(row: Row, techniques: tuple[Technique, ...], start: Fraction, end: Fraction) -> Iterator[Candidate]:
    """(place in the catalogue, technique, rule, slot) where kinds of chord and root motions match; most rules do not.

    Slots that begin in the time from start to end, and the one that sounds at the start.
    """
    for index in range(slot_index(row, start), bisect_left(row, end, key=lambda slot: slot.onset)):
        chord, following = row[index].chord, row[(index + 1) % len(row)].chord
        if chord is None:
            continue
        if following is None or len(row) == 1:
            fitting = _rules_for(techniques, kinds_of(chord), None, frozenset())
        else:
            fitting = _rules_for(techniques, kinds_of(chord), root_motion(chord, following), kinds_of(following))
        for order, technique, rule in fitting:
            if len(rule.replaces) == 1 or (index + len(rule.replaces) <= len(row) and _rest_fits(rule, row, index)):
                yield order, technique, rule, index


@lru_cache(maxsize=8192)
def _rules_for(
    techniques: tuple[Technique, ...], kinds: frozenset[str], motion: int | None, following: frozenset[str]
) -> tuple[tuple[int, Technique, Rule], ...]:
    """The rules that may begin with a chord of some kinds, before one of others, in the order of the catalogue."""
    rules = [(technique, rule) for technique in techniques for rule in technique.rules]
    return tuple((order, technique, rule) for order, (technique, rule) in enumerate(rules)
                 if _begins(rule, kinds, motion, following))  # fmt: skip


def _begins(rule: Rule, kinds: frozenset[str], motion: int | None, following: frozenset[str]) -> bool:
    if not _of_kind(rule.replaces[0], kinds) or rule.motions[0] not in (None, motion):
        return False
    if len(rule.replaces) > 1:
        return bool(following) and _of_kind(rule.replaces[1], following)
    return rule.following == "any" or rule.following in following


def _of_kind(kind: str, kinds: frozenset[str]) -> bool:
    """A plain major triad may act as a dominant seventh; whether it does is seen in its place."""
    return kind in kinds or (kind == "dominant seventh" and "major" in kinds)


def _rest_fits(rule: Rule, row: Row, index: int) -> bool:
    """Kinds and motions of a longer pattern from its second chord on."""
    for step in range(1, len(rule.replaces)):
        chord, following = row[index + step].chord, row[(index + step + 1) % len(row)].chord
        last, motion = step + 1 == len(rule.replaces), rule.motions[step]
        if chord is None or (following is None and (not last or motion is not None or rule.following != "any")):
            return False
        if following is None:
            return True
        if motion is not None and root_motion(chord, following) != motion:
            return False
        wanted = rule.following if last else rule.replaces[step + 1]
        if not _of_kind(wanted, kinds_of(following)):
            return False
    return True


def apply_rule(ground: Ground, technique: Technique, rule: Rule, index: int) -> Application | None:
    """A :func:`candidate <candidates>` worked out; None where its condition or its length does not hold."""
    last = index + len(rule.replaces) - 1
    slots = ground.row[index : last + 1]
    place = _place(ground, slots, index, last)
    if place is None or not _holds(rule, place):
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
    return Application(technique, rule, start, end, before, after, place.before, place.following, place.key,
                       place.here)  # fmt: skip


def _anticipates(rule: Rule, last: Chord, following: Chord | None) -> bool:
    """A new chord that is only the next one come early is no change of its own."""
    if following is None or rule.parts[-1].kept is not None or last.bass is not None:
        return False
    return last.root_pc == following.root_pc and last.quality.family == following.quality.family


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


def _holds(rule: Rule, place: Place) -> bool:
    """What a pattern cannot say: plain triads that act as dominants, and the rule's own condition."""
    chords = (*place.replaced, place.following)
    for kind, chord, after in zip(rule.replaces, place.replaced, chords[1:], strict=True):
        if kind not in kinds_of(chord) and (after is None or not acts_as_dominant(chord, after, place.key)):
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
    if start < wanted < end and (wanted - bar.start) % bar.meter.beat == 0:  # the usual case
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
    if len(candidates) == 1 or not ground.melody:
        return candidates[0]
    notes = [(note.midi, note.structural) for note in sounding_notes(ground.melody, slot.onset, slot.end, ground.form)
             if note.duration > EIGHTH / 2 or note.structural]  # fmt: skip
    if not notes:
        return candidates[0]

    def rank(chord: Chord) -> tuple[int, int, int]:
        row = fit_row(chord, following, key, flag_altered=True)
        root = in_context(chord).root_pc
        places = [((midi - root) % 12, structural) for midi, structural in notes]
        verdicts = [(VERDICTS.index(row.verdicts[place]) if structural else VERDICTS.index(row.verdicts[place]) // 2)
                    for place, structural in places]  # fmt: skip
        named = sum(structural and place in row.written for place, structural in places)
        forced = int(chord.quality.id in LAST_RESORTS)
        return max([*verdicts, forced]), sum(verdicts) + forced, -named

    perfect = (0, 0, -sum(structural for _, structural in notes))  # nothing after it can be better
    best, least = candidates[0], rank(candidates[0])
    for chord in candidates[1:]:
        if least == perfect:
            break
        found = rank(chord)
        if found < least:
            best, least = chord, found
    return best
