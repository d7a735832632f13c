"""What a harmonization costs: the tune's own fit first, then whether chords lead where they should.

The same cost terms, integers and search as for whole-form takes (:mod:`core.chorus.cost`), with other sentences: there
is no standard row to keep to. Weights are judgement, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from core.checks.compiled import CLASH, judge_chord
from core.chord import Chord
from core.chorus.alternatives import Alternative
from core.chorus.cost import NO_TERMS, End, Pricing, Spot, Terms, voices
from core.function import is_minor, read, root_motion
from core.key import Key
from core.row import ZERO, Row

WEIGHTS = {
    "caution": 12,  # a melody note that wants care
    "foreign": 3,  # an accented or long note that is a tension and no tone of the chord
    "price": 2,  # times the price of the chord in the vocabulary
    "resolved": -6,  # a dominant that goes where it leads
    "prepared": -8,  # a minor chord a fifth above the dominant that follows
    "bare": 12,  # the tonic goes straight to its own dominant, as in a see-saw
    "unresolved": 26,  # a dominant that leads nowhere
    "held": 10,  # the chord of the bar before goes on
    "half": 7,  # a chord of half a bar
    "same": 24,  # two half bars of one chord
    "first": 24,  # a form that does not begin on the tonic
    "last": 70,  # a form that does not end on it
    "open": 12,  # a section that ends neither on the tonic nor on the dominant
}


@dataclass(frozen=True, slots=True, kw_only=True)
class TunePricing(Pricing):
    """The cost of chords for a tune without any, or over a bass line; see :class:`core.chorus.cost.Pricing`.

    ``home`` is the key of the tune, ``rests`` are stretches without chords.
    """

    home: Key
    rests: tuple[tuple[Fraction, Fraction], ...] = ()

    def spot(self, at: Fraction) -> Spot:
        """No chord stands anywhere; the key is the signature's."""
        place = at if at < self.form.length else ZERO
        return Spot(at, self.form.key_at(self.form.bar_at(place).index, self.home), None, True, None)

    def on_target(self, chords: Row, moves: tuple[Fraction, ...]) -> bool:
        """Silence is no harmonization, but for where a rest is."""
        return all(slot.chord is not None or any(start <= slot.onset < end for start, end in self.rests)
                   for slot in chords)  # fmt: skip

    def own(self, alternative: Alternative, moves: tuple[Fraction, ...] = (ZERO,)) -> Terms | None:
        """Price and length of a chord, and the places of the form that want the tonic."""
        (slot,) = alternative.chords
        assert slot.chord is not None
        bar = self.form.bar_at(slot.onset)
        rhythm = WEIGHTS["half"] * (slot.duration < bar.length)
        anchors = sum(self._anchored(alternative, moved) for moved in moves)
        return terms(rhythm=rhythm * len(moves), anchors=anchors,
                     technique=WEIGHTS["price"] * alternative.price * len(moves))  # fmt: skip

    def _anchored(self, alternative: Alternative, moved: Fraction) -> int:
        start, end = alternative.start + moved, alternative.end + moved
        chord, key = alternative.chords[0].chord, self.spot(start).key
        assert chord is not None
        degree = (chord.root_pc - key.tonic_pc) % 12
        home = degree == 0 and (is_minor(chord) if key.is_minor else chord.quality.family == "major")
        total = WEIGHTS["first"] * (start == self._first and not home)
        if end == self.form.length:
            return total + WEIGHTS["last"] * (not home)
        return total + WEIGHTS["open"] * (end in self.form.section_starts and degree not in (0, 7))

    @property
    def _first(self) -> Fraction:
        """When the first full bar begins."""
        return self.form.bars[1 if self.form.pickup and len(self.form.bars) > 1 else 0].start

    def meeting(self, left: End, right: Chord | None, spot: Spot, moved: Fraction = ZERO) -> Terms | None:
        """How the tune over a chord fits it before the next, and how the one leads to the other."""
        if left.chord is None or right is None:
            return NO_TERMS
        tally = judge_chord(self.melody, left.onset + moved, spot.at, left.chord, right, spot.key, True)
        if tally.worst == CLASH:
            return None
        stretch = self.melody.stretch(left.onset + moved, spot.at)
        foreign = max(0, stretch.structural.bit_count() - tally.named)
        melody = WEIGHTS["caution"] * tally.cautions + WEIGHTS["foreign"] * foreign
        leading, bass = voices(left.chord, right)
        if left.chord == right:
            inside = spot.at < self.form.length and self.form.bar_at(spot.at).start != spot.at
            return terms(melody=melody, rhythm=WEIGHTS["same" if inside else "held"])
        return terms(melody=melody, leading=leading, bass=bass, function=_leads(left.chord, right, spot.key))


def terms(
    melody: int = 0, leading: int = 0, bass: int = 0, function: int = 0, anchors: int = 0, rhythm: int = 0,
    technique: int = 0,
) -> Terms:  # fmt: skip
    """Terms in the order of :data:`core.chorus.cost.TERMS`."""
    return melody, leading, bass, function, anchors, rhythm, 0, technique, 0


@lru_cache(maxsize=65536)
def _leads(chord: Chord, following: Chord, key: Key) -> int:
    reading = read(chord, following, key)
    if reading.function == "D":
        return WEIGHTS["resolved" if reading.resolves else "unresolved"]
    dominant = following.quality.family in ("dominant", "suspended")
    if not dominant or root_motion(chord, following) not in (5, 7):
        return 0
    if root_motion(chord, following) == 5:
        return WEIGHTS["prepared"] * is_minor(chord)
    return WEIGHTS["bare"] * (chord.root_pc == key.tonic_pc)
