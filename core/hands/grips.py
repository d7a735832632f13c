"""Every grip of a chord on a fretboard, found by search: string by string, hand position by hand position.

A grip holds what :mod:`core.hands.tones` asks for, no tone twice where four different ones are to be had, one note a
string, as many silent inner strings as the limits allow, and can be held (:mod:`core.hands.fingers`). The laws of
sound are those of the piano: low interval limits with the assumed root below, no minor ninth but a root's under its ♭9.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise

from core.chord import Chord
from core.hands.fingers import Fingering, Frets, fingering
from core.hands.fretboard import STANDARD_BOARD, Fretboard, Limits
from core.hands.search import Query, searched
from core.hands.terms import ALONE, HIGHEST_BASS, INNER, MIDDLE, OPEN_POSITION, REGISTER, WEIGHT
from core.hands.tones import Demand, GuitarStyle, degree_at, ladder, left_out
from core.pitch import Degree
from core.voicing_sets import ROOT, SIXTH
from core.voicing_shapes import is_lawful

FULL = 4
"""Voices of a full chord."""


@dataclass(frozen=True, slots=True)
class Player:
    """The instrument and how it is played; ``bass``: somebody else plays the bass."""

    board: Fretboard = STANDARD_BOARD
    style: GuitarStyle = "grips"
    bass: bool = True
    limits: Limits = field(default_factory=Limits)


@dataclass(frozen=True, slots=True)
class Grip:
    """A way to hold a chord. ``frets`` and ``fingers`` by string, the lowest of the diagram first.

    ``frets`` count from the capo, 0 is open, None silent; ``notes`` (MIDI, from below) with their ``degrees`` over the
    chord; ``missing`` are written tones that it leaves out; ``given_up`` are those that it should have held.
    """

    frets: Frets
    fingers: Fingering
    notes: tuple[int, ...]
    degrees: tuple[Degree, ...]
    cost: int
    missing: tuple[Degree, ...] = ()
    given_up: tuple[Degree, ...] = ()
    position: int = field(init=False, compare=False, repr=False)
    """The fret where the index finger is or would be, counted from the capo; 1 where nothing is pressed."""
    stands: frozenset[tuple[int, int | None, int]] = field(init=False, compare=False, repr=False)
    """String, fret and finger of all that is pressed."""

    def __post_init__(self) -> None:
        pressed = [(string, fret, finger) for string, (fret, finger) in enumerate(zip(self.frets, self.fingers,
                   strict=True)) if fret and finger]  # fmt: skip
        object.__setattr__(self, "stands", frozenset(pressed))
        object.__setattr__(self, "position", position_of(self.frets, self.fingers))

    @property
    def text(self) -> str:
        """What a player reads, the lowest string first: ``x 3 2 4 1 x``."""
        return " ".join("x" if fret is None else str(fret) for fret in self.frets)


def position_of(frets: Frets, fingers: Fingering) -> int:
    """The fret where the index finger is or would be; 1 where nothing is pressed."""
    places = [fret - finger + 1 for fret, finger in zip(frets, fingers, strict=True) if fret and finger]
    return max(1, min(places, default=1))


@lru_cache(maxsize=4096)
def grips_of(chord: Chord, kind: str, player: Player, top: int | None = None) -> tuple[Grip, ...]:
    """Every grip of a chord, the best by itself first; with ``top`` (MIDI) that note is the highest of each.

    A tone that lies in no grip is given up, the guide tones last; only where the instrument has none of it is the
    answer empty.
    """
    for demands in ladder(chord, kind, player.style, not player.bass):
        for lawful in (True, False):
            found: dict[Frets, Grip] = {}
            for demand in demands:
                for grip in _held(chord, demand, player, top, lawful):
                    if grip.frets not in found or grip.cost < found[grip.frets].cost:
                        found[grip.frets] = grip
            if found:
                return tuple(sorted(found.values(), key=lambda grip: (grip.cost, grip.position, grip.notes)))
    return ()


def _held(chord: Chord, demand: Demand, player: Player, top: int | None, lawful: bool) -> Iterator[Grip]:
    demand = demand if top is None else _under(chord, demand, top)
    names = {(chord.root_pc + degree.semitones) % 12: degree for degree in reversed(demand.allowed)}
    if top is not None:
        names.setdefault(top % 12, degree_at(chord, top % 12))
    open_notes = player.board.open_notes
    for frets in _searched(chord, demand, names, player, top):
        notes = tuple(sorted(note + fret for note, fret in zip(open_notes, frets, strict=True) if fret is not None))
        if not _in_style(notes, frets, player) or (lawful and not _sounds(notes, chord, player, top)):
            continue
        held = fingering(frets, player.limits, player.board.capo)
        if held is not None:
            yield _grip(chord, demand, player, frets, held, notes, tuple(names[note % 12] for note in notes))


def _under(chord: Chord, demand: Demand, top: int) -> Demand:
    """A demand under a tune: what lies a semitone below it gives way (but the root of a dominant under its ♭9), and
    the 7 under the root is played as the 6."""
    above = chord.degree_of(top % 12)
    own = degree_at(chord, top % 12)
    rubs = (above - 1) % 12
    kept_root = above == 1 and chord.quality.family == "dominant"
    clear = tuple(d for d in demand.allowed if d.semitones % 12 != rubs or kept_root or d == own)
    six = (SIXTH,) if above == 0 and Degree(7) in demand.allowed else ()
    kept = tuple(d for d in demand.required if d in clear)
    gone = tuple(d for d in demand.required if d not in clear and d in chord.quality.sounding.degrees)
    return Demand((*kept, *six), (*clear, *six), demand.cost, demand.bass, (*gone, *demand.given_up))


def _searched(
    chord: Chord, demand: Demand, names: dict[int, Degree], player: Player, top: int | None
) -> Iterator[Frets]:
    """Frets for every string that hold the demand, each once: with the lowest pressed fret in turn."""
    voices = max(player.limits.voices, len(demand.required))
    guides = {(chord.root_pc + degree.semitones) % 12 for degree in demand.required if degree != ROOT}
    doubles = frozenset(names) - guides if len(names) < FULL and player.style != "shell" else frozenset()
    needed = frozenset((chord.root_pc + degree.semitones) % 12 for degree in demand.required)
    least = min(3, len(names)) if player.style != "shell" else 2
    query = Query(frozenset(names), needed, doubles, demand.bass, top, least, voices)
    return searched(player.board, player.limits, query)


def _in_style(notes: tuple[int, ...], frets: Frets, player: Player) -> bool:
    if player.style in ("drop 2", "drop 3"):
        return _is_dropped(notes, 2 if player.style == "drop 2" else 3)
    if player.style == "quartal":
        gaps = [high - low for low, high in pairwise(notes)]
        return all(4 <= gap <= 6 for gap in gaps) and gaps.count(4) <= 1
    if player.style == "inner":
        pressed = [fret + player.board.capo for fret in frets if fret is not None]
        return frets[0] is None and INNER[0] <= min(pressed) and max(pressed) <= INNER[1]
    return True


def _is_dropped(notes: tuple[int, ...], voice: int) -> bool:
    """Whether the lowest note, an octave higher, is the second (third) voice from the top of a close position."""
    close = sorted((*notes[1:], notes[0] + 12))
    return len(notes) == FULL and close[-1] - close[0] < 12 and close.index(notes[0] + 12) == FULL - voice


def _sounds(notes: tuple[int, ...], chord: Chord, player: Player, top: int | None) -> bool:
    if top is not None and any(top - note == 1 for note in notes):
        return False
    return is_lawful(notes, chord, rooted=player.bass)


def _grip(chord: Chord, demand: Demand, player: Player, frets: Frets, held: tuple[Fingering, int],
          notes: tuple[int, ...], degrees: tuple[Degree, ...]) -> Grip:  # fmt: skip
    fingers, effort = held
    above = frozenset([chord.degree_of(note % 12) for note in notes])
    missing, left = _missing(chord, above, player.bass)
    given_up = tuple(d for d in demand.given_up if d.semitones % 12 not in above)
    cost = demand.cost + WEIGHT["effort"] * effort + left + _tones(notes, degrees, player)
    position = position_of(frets, fingers)
    return Grip(frets, fingers, notes, degrees, cost + _place(frets, position, notes[-1], player), missing, given_up)


@lru_cache(maxsize=8192)
def _missing(chord: Chord, above: frozenset[int], bass: bool) -> tuple[tuple[Degree, ...], int]:
    """The written degrees that do not sound, and what it costs to leave them out."""
    missing = left_out(chord, above)
    root = 0 if bass else WEIGHT["root_left_out"]
    return missing, sum(
        root if degree == ROOT else WEIGHT["fifth_left_out" if degree == Degree(5) else "tone_left_out"]
        for degree in missing
    )


def _place(frets: Frets, position: int, top: int, player: Player) -> int:
    at = position + player.board.capo
    away = max(0, MIDDLE[0] - at, at - MIDDLE[1]) if any(frets) else MIDDLE[0]
    ringing = WEIGHT["open"] + (WEIGHT["open_far"] if position > OPEN_POSITION else 0)
    outside = max(0, (REGISTER[0] if player.bass else ALONE) - top, top - REGISTER[1])
    return WEIGHT["off_middle"] * away + WEIGHT["off_register"] * outside + ringing * frets.count(0)


def _tones(notes: tuple[int, ...], degrees: tuple[Degree, ...], player: Player) -> int:
    cost = WEIGHT["thin"] * max(0, FULL - len(notes)) + WEIGHT["doubled"] * (len(degrees) - len(set(degrees)))
    if len(notes) > 1 and notes[-1] - notes[-2] == 1:
        cost += WEIGHT["rub"]
    if not player.bass:
        return cost + WEIGHT["high_bass"] * max(0, notes[0] - HIGHEST_BASS)
    return cost + WEIGHT["root_below"] * (degrees[0] == ROOT)
