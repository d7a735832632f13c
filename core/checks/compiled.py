"""The melody check on integers: how a chord fits the melody in a few microseconds, for whoever tries many chords.

What there is to know of the notes whatever the chord is worked out once (:mod:`core.checks.compiled_melody`). A chord
is a few bit masks, and judging it a few ANDs. The answer is that of :func:`core.checks.melody.melody_check`, without
sentences.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from core.checks.compiled_melody import LOOSE, NO_NOTE, PASSING, STRUCTURAL, CompiledMelody, Stretch
from core.checks.fit_table import FitRow, fit_row
from core.checks.melody import target_after
from core.chord import Chord, in_context
from core.finding import VERDICTS
from core.key import Key
from core.row import Row

GOOD, CAUTION, CLASH = range(len(VERDICTS))


class Tally(NamedTuple):
    """How notes fit: the worst verdict as an index of :data:`core.finding.VERDICTS`, how many clash, how many want
    care, and how many structural notes the symbol itself writes."""

    worst: int
    clashes: int
    cautions: int
    named: int


NO_NOTES = Tally(GOOD, 0, 0, 0)


class Masks(NamedTuple):
    """A chord's row of fits on pitch classes C = bit 0 … B = bit 11.

    ``ranks`` orders how well each pitch class belongs to the chord: twice the verdict, and one more where the symbol
    does not write it. ``rubbing`` is the root of a major seventh chord, which may not be held long.
    """

    ranks: tuple[int, ...]
    cautions: int
    clashes: int
    written: int
    rubbing: int


@lru_cache(maxsize=16384)
def masks_of(chord: Chord, following: Chord | None, key: Key | None, flag_altered: bool = False) -> Masks:
    """A chord's row of :func:`core.checks.fit_table.fit_row` on pitch classes."""
    return _masks(fit_row(chord, following, key, flag_altered), in_context(chord).root_pc)


@lru_cache(maxsize=4096)
def _masks(row: FitRow, root: int) -> Masks:
    above = [(pitch_class - root) % 12 for pitch_class in range(12)]
    ranks = tuple(2 * VERDICTS.index(row.verdicts[note]) + (note not in row.written) for note in above)
    rubbing = 1 << root if row.kind == "major seventh" else 0
    return Masks(ranks, _turned(row.cautions, root), _turned(row.clashes, root), _turned(row.own, root), rubbing)


def _turned(mask: int, root: int) -> int:
    """Bits counted from a root, counted from C."""
    return (mask << root | mask >> (12 - root)) & 0xFFF


def judge_chord(
    melody: CompiledMelody, start: Fraction, end: Fraction, chord: Chord, following: Chord | None, key: Key | None,
    flag_altered: bool = False,
) -> Tally:  # fmt: skip
    """How one chord from start to end (quarter notes) fits the melody, before ``following``, in a key.

    The verdict and the number of cautions are those of :func:`core.checks.melody.melody_check`, whose
    ``flag_altered`` this is.
    """
    stretch = melody.stretch(start, end)
    here = masks_of(chord, following, key, flag_altered)
    if stretch.last == NO_NOTE or following is None or following == chord:
        return weigh(stretch, here, None)
    return weigh(stretch, here, masks_of(following, following, key))


def judge_row(
    melody: CompiledMelody, chords: Row, following: Chord | None, key: Key | None, flag_altered: bool = False
) -> Tally:
    """How a row of chords fits the melody, before ``following``; silence is not judged."""
    worst, clashes, cautions, named = NO_NOTES
    for index, slot in enumerate(chords):
        if slot.chord is None:
            continue
        stretch = melody.stretch(slot.onset, slot.end)
        here = masks_of(slot.chord, target_after(chords, index, following), key, flag_altered)
        after = chords[index + 1].chord if index + 1 < len(chords) else following
        there = None
        if stretch.last != NO_NOTE and after is not None and after != slot.chord:
            beyond = chords[index + 2].chord if index + 2 < len(chords) else following
            there = masks_of(after, beyond, key)
        found = weigh(stretch, here, there)
        worst = max(worst, found.worst)
        clashes, cautions, named = clashes + found.clashes, cautions + found.cautions, named + found.named
    return Tally(worst, clashes, cautions, named)


def weigh(stretch: Stretch, here: Masks, there: Masks | None) -> Tally:
    """The notes of a stretch over a chord, and over the chord that may be anticipated (None: it is the same)."""
    ones, structural, loose, held, last, _, _ = stretch
    _, care, clash, written, rubbing = here
    clashes = (structural & clash * ones).bit_count()
    cautions = (structural & care * ones).bit_count()
    named = (structural & written * ones).bit_count()
    if loose:
        cautions += (loose & (care | clash) * ones).bit_count()
    if held:
        cautions += (held & rubbing * ones).bit_count()
    if last != NO_NOTE:
        verdict, own = _weigh_last(stretch, here, there)
        clashes += verdict == CLASH
        cautions += verdict == CAUTION
        named += own
    return Tally(CLASH if clashes else CAUTION if cautions else GOOD, clashes, cautions, named)


def _weigh_last(stretch: Stretch, here: Masks, there: Masks | None) -> tuple[int, bool]:
    """The verdict on the note that may anticipate, and whether it is structural and the symbol writes it."""
    note, weight = stretch.last, stretch.last_weight
    if there is not None and there.ranks[note] < here.ranks[note]:
        return there.ranks[note] >> 1, False  # no clash: what clashes is foreign, and ranks last over both chords
    if stretch.last_held and here.rubbing >> note & 1:
        return CAUTION, weight == STRUCTURAL
    verdict = here.ranks[note] >> 1
    if weight == PASSING:
        return GOOD, False
    if weight == LOOSE:
        return min(verdict, CAUTION), False
    return verdict, bool(here.written >> note & 1)
