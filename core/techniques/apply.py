"""Where techniques apply in a row, and what they put there. The melody chooses the colours."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import lru_cache
from operator import itemgetter

from core.checks.compiled import masks_of
from core.chord import Chord, in_context
from core.function import acts_as_dominant, root_motion
from core.key import Key
from core.pitch import chromatic, within_double
from core.quality import QUALITIES
from core.row import Row, Slot, slot_index
from core.symbol import polychord
from core.techniques.claims.case import Case
from core.techniques.ground import SILENT, Ground, Heard
from core.techniques.technique import Part, Place, Rule, Technique, kinds_of

LAST_RESORTS = frozenset({"7alt", "maj7#5"})
"""Colours that change what a chord is; worth a caution, so taken only where nothing plainer carries the melody."""


@dataclass(frozen=True, slots=True)
class Application:
    """A rule applied: the span it changes, chords before and after, the neighbours and the key it was judged in.

    ``previous`` and ``following`` stand around the chords that the rule reads, ``around`` around the time it changes.
    """

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
    around: tuple[Chord | None, Chord | None] = field(compare=False, repr=False)

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
    place = ground.place(index, last)
    if place is None or not _holds(rule, place):
        return None
    cut = ground.cut(rule, index)
    if cut is None:
        return None
    times, before, around, heard = cut
    chords = _replacement(rule, place, heard)
    if chords is None:
        return None
    if _anticipates(rule, chords[-1], place.following):
        return None
    if chords == tuple(slot.chord for slot in before):
        return None
    after = tuple(Slot(slot.onset, slot.duration, chord) for slot, chord in zip(times, chords, strict=True))
    return Application(technique, rule, times[0].onset, times[-1].end, before, after, place.before, place.following,
                       place.key, place.here, around)  # fmt: skip


def _anticipates(rule: Rule, last: Chord, following: Chord | None) -> bool:
    """A new chord that is only the next one come early is no change of its own."""
    if following is None or rule.parts[-1].kept is not None or last.bass is not None:
        return False
    return last.root_pc == following.root_pc and last.quality.family == following.quality.family


def _holds(rule: Rule, place: Place) -> bool:
    """What a pattern cannot say: plain triads that act as dominants, and the rule's own condition."""
    chords = (*place.replaced, place.following)
    for kind, chord, after in zip(rule.replaces, place.replaced, chords[1:], strict=True):
        if kind not in kinds_of(chord) and (after is None or not acts_as_dominant(chord, after, place.key)):
            return False
    if place.following is None and any(part.of == "following" for part in rule.parts):
        return False
    return rule.condition is None or rule.condition(place)


# --- what they are -------------------------------------------------------------------------------------------------


def _replacement(rule: Rule, place: Place, heard: tuple[Heard, ...]) -> tuple[Chord, ...] | None:
    """The new chords, chosen from the last to the first since a chord is judged by the one after it.

    None where a part would need a chord that cannot be written (a foreign bass under a slash chord).
    """
    chosen: list[Chord] = []
    following = place.following
    for index in range(len(rule.parts) - 1, -1, -1):
        found = _chord_for(rule.parts[index], place, following, heard[index] if heard else SILENT)
        if found is None:
            return None
        following = found
        chosen.insert(0, found)
    return tuple(chosen)


def _chord_for(part: Part, place: Place, following: Chord | None, heard: Heard) -> Chord | None:
    origin = _origin(part, place)
    if part.kept is not None:
        kept = place.replaced[part.kept]
        return kept if part.bass_offset is None else _over_bass(kept, origin.root + part.bass_offset)
    root = within_double(origin.root + part.offset)
    bass = None if part.bass_offset is None else root + part.bass_offset - part.offset
    if not part.qualities:
        return replace(origin, root=root, bass=bass)
    return best_colour(_candidates_of(part, root, bass), following, place.key, heard)


@lru_cache(maxsize=16384)
def _candidates_of(part: Part, root: int, bass: int | None) -> tuple[Chord, ...]:
    """The chords a part may be on a root, in the order of its qualities."""
    plain = tuple(Chord(root, QUALITIES[quality], bass) for quality in part.qualities)
    if not part.triads:
        return plain
    return tuple(polychord(Chord(within_double(root + offset), QUALITIES[quality]), chord)
                 for offset, quality in part.triads for chord in plain)  # fmt: skip


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


def best_colour(candidates: tuple[Chord, ...], following: Chord | None, key: Key, heard: Heard) -> Chord:
    """The candidate that carries the melody best: worst verdict, number of cautions, tensions named, then order."""
    if len(candidates) == 1 or heard == SILENT:
        return candidates[0]
    perfect = (0, 0, -heard.structural.bit_count())  # nothing after it can be better
    best, least = candidates[0], _rank(candidates[0], following, key, heard)
    for chord in candidates[1:]:
        if least == perfect:
            break
        found = _rank(chord, following, key, heard)
        if found < least:
            best, least = chord, found
    return best


def _rank(chord: Chord, following: Chord | None, key: Key, heard: Heard) -> tuple[int, int, int]:
    """Worst verdict, sum of the verdicts, tensions named: lower is better. A loose note wants care at most."""
    masks = masks_of(chord, following, key, True)
    clashes = (heard.structural & masks.clashes * heard.ones).bit_count()
    cautions = (heard.structural & masks.cautions * heard.ones).bit_count()
    cautions += (heard.loose & masks.clashes * heard.ones).bit_count()
    cautions += chord.quality.id in LAST_RESORTS
    named = (heard.structural & masks.written * heard.ones).bit_count()
    return 2 if clashes else min(cautions, 1), 2 * clashes + cautions, -named
