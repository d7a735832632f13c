"""Which tones a grip must hold, may hold, and why others are left out.

Four strings are the practical limit, so a guitarist leaves out: the root where somebody plays the bass, the fifth,
and natural tensions under the highest that is written. Third (or fourth), seventh (or sixth) and every written
alteration stay. Where even those do not lie under one hand, the demand is given up step by step, the guide tones last.

Sources: tones as :mod:`core.voicing_sets` has them for the piano; the order of giving up common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal, get_args

from core.chord import Chord
from core.pitch import Degree, parse_degree, with_signs
from core.voicing_sets import ROOT, lean_set, required_degrees, tone_sets

GuitarStyle = Literal["grips", "shell", "rootless", "drop 2", "drop 3", "quartal", "inner"]
GUITAR_STYLES: tuple[GuitarStyle, ...] = get_args(GuitarStyle)
"""``grips``: whatever lies best; ``inner``: shapes on the inner strings in the middle of the neck; the others as on
the piano."""
WITH_COLOURS = frozenset({"rootless", "drop 2", "drop 3", "quartal"})
FEWEST_REQUIRED = 2

_PLAIN = tuple(map(parse_degree, ("1", "b9", "9", "b3", "3", "11", "b5", "5", "b13", "13", "b7", "7")))


@dataclass(frozen=True, slots=True)
class Demand:
    """Degrees that a grip must and may hold, ``required`` among ``allowed``; ``given_up`` were asked for in vain.

    ``bass`` is the pitch class that must lie lowest, None where any may.
    """

    required: tuple[Degree, ...]
    allowed: tuple[Degree, ...]
    cost: int = 0
    bass: int | None = None
    given_up: tuple[Degree, ...] = ()


def degree_at(chord: Chord, pitch_class: int) -> Degree:
    """The degree of a pitch class over a chord: as it is written there, else by its plain name (♭9 9 … ♭13 13)."""
    above = chord.degree_of(pitch_class)
    written = (degree for degree in chord.quality.sounding.degrees if degree.semitones % 12 == above)
    return next(written, _PLAIN[above])


@lru_cache(maxsize=2048)
def ladder(chord: Chord, kind: str, style: GuitarStyle, rooted: bool) -> tuple[tuple[Demand, ...], ...]:
    """Demands for a chord, the full ones first, then with one tone after the other given up.

    ``rooted``: nobody else plays the bass, so the chord's lowest note lies lowest.
    """
    full = tuple(dict.fromkeys(_full(chord, kind, style, rooted)))
    steps = [full]
    longest = max(len(demand.required) for demand in full)
    for count in range(1, longest - FEWEST_REQUIRED + 1):
        # The bass is free as soon as anything is given up: a chord without its root below beats none at all.
        steps.append(tuple(dict.fromkeys(_given_up(demand, count) for demand in full)))
    return tuple(steps)


def _full(chord: Chord, kind: str, style: GuitarStyle, rooted: bool) -> Iterator[Demand]:
    quality = chord.quality.sounding
    bass = chord.bass_pc if rooted else None
    below = (degree_at(chord, chord.bass_pc),) if rooted else ()
    if style == "shell":
        for tones in (lean_set(chord.quality, kind),):
            yield Demand((*tones.degrees, *below), _merged(tones.degrees, below, (ROOT,)), 0, bass)
        return
    if chord.upper is not None or style not in WITH_COLOURS:
        for required in _written(chord, kind):
            yield Demand(_merged(required, below), _merged(required, below, (ROOT,), quality.degrees), 0, bass)
    if chord.upper is None and (style in WITH_COLOURS or quality.id == "7alt"):
        for tones in tone_sets(chord.quality, kind):
            yield Demand(_merged(tones.degrees, below), _merged(tones.degrees, below), tones.cost, bass)
    if style in ("drop 2", "drop 3") and chord.upper is None and len(quality.degrees) >= 4:
        four = quality.degrees[:4]
        if all(set(required) <= set(four) for required in _written(chord, kind)) and quality.id != "7alt":
            yield Demand(_merged(four, below), _merged(four, below), 0, bass)


def _written(chord: Chord, kind: str) -> Iterator[tuple[Degree, ...]]:
    """What the symbol itself insists on; an altered dominant names more than one hand plays, so it has several."""
    quality = chord.quality.sounding
    if quality.id == "7alt":
        return
    guides = (chord.lower_quality if chord.upper is not None else quality).sounding.guide_degrees
    if guides is None:
        yield quality.degrees
        return
    required = required_degrees(quality, guides, kind == "as written")
    if chord.upper is not None:
        above = tuple(degree_at(chord, pitch_class) for pitch_class in sorted(chord.upper.pitch_classes))
        required = _merged(guides, above)
    # The root last: it is the first to go.
    yield tuple(sorted(required, key=lambda degree: degree == ROOT and guides[1] != ROOT))


def _merged(*parts: tuple[Degree, ...]) -> tuple[Degree, ...]:
    return tuple(dict.fromkeys(degree for part in parts for degree in part))


def _given_up(demand: Demand, count: int) -> Demand:
    keep = max(FEWEST_REQUIRED, len(demand.required) - count)
    return replace(demand, required=demand.required[:keep], bass=None, given_up=demand.required[keep:])


# --- words --------------------------------------------------------------------------------------------------------


def left_out(chord: Chord, held: frozenset[int]) -> tuple[Degree, ...]:
    """Written degrees whose pitch class (in ``held``, semitones above the root) does not sound, in order."""
    return tuple(degree for degree in chord.quality.sounding.degrees if degree.semitones % 12 not in held)


def why_left_out(
    chord: Chord,
    missing: tuple[Degree, ...],
    given_up: tuple[Degree, ...] = (),
    bass_plays: bool = True,
    otherwise: str = "for which no finger is free",
) -> str:
    """One sentence on the tones that a grip leaves out; "" where it holds all that is written."""
    reasons: dict[str, list[str]] = {}
    for degree in missing:
        reasons.setdefault(_reason(chord, degree, given_up, bass_plays) or otherwise, []).append(
            with_signs(str(degree))
        )
    parts = [f"{_listed(names)}, {reason}" for reason, names in reasons.items()]
    return f"Left out: {'; '.join(parts)}." if parts else ""


def _reason(chord: Chord, degree: Degree, given_up: tuple[Degree, ...], bass_plays: bool) -> str:
    if degree in given_up:
        return "beyond the hand together with the rest"
    if degree == ROOT and bass_plays:
        return "which the bass has"
    if chord.quality.sounding.id == "7alt" and degree.alteration and degree.number > 7:
        return "since one altered fifth and one altered ninth are enough"
    if degree == Degree(5):
        return "which adds least"
    if degree.number in (9, 11):
        return "for which a higher tension stands"
    return ""


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
