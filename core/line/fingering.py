"""A line on the fretboard: string, fret and finger for every note, the hand moved as little as the line allows.

The hand lies in a position: its first finger over a fret, one finger a fret, the first and the fourth reaching one
further. An exact dynamic programme over all ways to play every note weighs moving the hand, reaching, one finger on
two notes in a row, strings skipped and open strings (:data:`COSTS`, judgement, no source); moving is cheap over a
rest or an open string. A note may be fixed; the rest is planned around it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from core.hands.fretboard import Fretboard
from core.line.limits import GAP
from core.line.solo import LineError, LineNote

FINGERS = 4
COSTS = {"move": 3.0, "move_fret": 0.5, "eased": 0.3, "reach": 1.2, "same_finger": 1.0, "barre": 0.4, "skip": 0.4,
         "open": 0.4, "high": 0.06}  # fmt: skip
_HOME = 5
"""The position that the hand likes best."""


class Touch(NamedTuple):
    """How a note is played: string from 1 (the highest), fret from the capo (0 open), finger 1 to 4 (0 open), and the
    position of the hand, the fret under the first finger."""

    string: int
    fret: int
    finger: int
    position: int


@dataclass(frozen=True, slots=True)
class Fingering:
    """A touch for each note; ``shifts`` are the notes before which the hand moves."""

    touches: tuple[Touch, ...]
    shifts: tuple[int, ...]
    cost: float


def positions(fingering: Fingering) -> tuple[tuple[int, int, int], ...]:
    """Stretches in one position as (first note, last note, position)."""
    starts = (0, *fingering.shifts)
    ends = (*(shift - 1 for shift in fingering.shifts), len(fingering.touches) - 1)
    return tuple((first, last, fingering.touches[first].position) for first, last in zip(starts, ends, strict=True))


def touches_of(midi: int, board: Fretboard) -> tuple[Touch, ...]:
    """Every way to play a note; an open string in every position."""
    found = []
    for place, open_note in enumerate(reversed(board.strings), 1):
        fret = midi - open_note - board.capo
        last = board.frets - board.capo
        if fret == 0:
            found += [Touch(place, 0, 0, position) for position in range(1, last)]
        elif 0 < fret <= last:
            spread = [(finger, fret - finger + 1) for finger in range(1, FINGERS + 1)]
            spread += [(1, fret + 1), (FINGERS, fret - FINGERS)]
            found += [Touch(place, fret, finger, position) for finger, position in spread if 1 <= position <= last]
    return tuple(found)


def touch_cost(touch: Touch) -> float:
    """What a note costs by itself."""
    high = COSTS["high"] * abs(touch.position - _HOME)
    if touch.fret == 0:
        return COSTS["open"] + high
    return high + (COSTS["reach"] if touch.fret - touch.position != touch.finger - 1 else 0.0)


def move_cost(one: Touch, other: Touch, rested: bool) -> float:
    """What going from one note to the next costs; ``rested`` where there is time to move the hand."""
    cost = COSTS["skip"] * max(0, abs(one.string - other.string) - 1)
    moved = abs(one.position - other.position)
    if moved:
        ease = COSTS["eased"] if rested or one.fret == 0 else 1.0
        cost += ease * (COSTS["move"] + COSTS["move_fret"] * moved)
    elif one.finger and one.finger == other.finger and (one.string, one.fret) != (other.string, other.fret):
        cost += COSTS["barre"] if one.fret == other.fret else COSTS["same_finger"]
    return cost


def finger_line(notes: tuple[LineNote, ...], board: Fretboard, fixed: Mapping[int, tuple[int, int]] | None = None
                ) -> Fingering:  # fmt: skip
    """The cheapest fingering; ``fixed`` gives string and fret of notes by their index.

    Raises :class:`LineError` for a note that the fretboard has not, or not at the fixed place.
    """
    layers = [_choices(index, note, board, (fixed or {}).get(index)) for index, note in enumerate(notes)]
    if not layers:
        return Fingering((), (), 0.0)
    costs = [touch_cost(touch) for touch in layers[0]]
    back: list[list[int]] = []
    for index in range(1, len(layers)):
        rested = notes[index].onset - notes[index - 1].end >= GAP
        reached = [min((cost + move_cost(old, touch, rested), at) for at, (cost, old) in
                       enumerate(zip(costs, layers[index - 1], strict=True))) for touch in layers[index]]  # fmt: skip
        costs = [cost + touch_cost(touch) for (cost, _), touch in zip(reached, layers[index], strict=True)]
        back.append([at for _, at in reached])
    at = costs.index(total := min(costs))
    chosen = [layers[-1][at]]
    for index in range(len(back) - 1, -1, -1):
        at = back[index][at]
        chosen.append(layers[index][at])
    touches = tuple(reversed(chosen))
    shifts = tuple(i for i in range(1, len(touches)) if touches[i].position != touches[i - 1].position)
    return Fingering(touches, shifts, total)


def _choices(index: int, note: LineNote, board: Fretboard, fixed: tuple[int, int] | None) -> tuple[Touch, ...]:
    found = touches_of(note.pitch.midi, board)
    if not found:
        raise LineError(f"Note {index + 1}, {note.pitch}, lies outside this fretboard; move the line an octave or "
                        "choose another tuning.")  # fmt: skip
    if fixed is None:
        return found
    kept = tuple(touch for touch in found if (touch.string, touch.fret) == fixed)
    if not kept:
        places = ", ".join(f"{touch[0]}:{touch[1]}" for touch in sorted({(t.string, t.fret) for t in found}))
        raise LineError(f"Note {index + 1}, {note.pitch}, is not on string {fixed[0]} at fret {fixed[1]}; it lies at "
                        f"{places}.")  # fmt: skip
    return kept
