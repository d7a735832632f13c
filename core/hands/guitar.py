"""A row on the guitar: grips chosen together by an exact dynamic programme, with locks, under the tune or with it on
top.

Each place keeps the best grips of every hand position, so that the hand may go anywhere on the neck; the search over
what is kept is exact. The same row is played the same way every time.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from core.chart import Melody
from core.chord import Chord, in_context
from core.errors import ChangewrightError
from core.hands.fingers import Frets, fingering
from core.hands.grips import Grip, Player, grips_of
from core.hands.motion import guitar_motion
from core.hands.path import cheapest
from core.hands.terms import WEIGHT
from core.hands.tones import degree_at, left_out, why_left_out
from core.hands.tune import tops_of
from core.row import Row
from core.voicing_choice import NOTHING_HELD, Held, Over, Spot, clear_of_all, clear_of_held, top_below
from core.voicing_sets import kinds_of

PER_POSITION = 3
"""Grips that are kept for each place of the hand; more change next to nothing."""
OCTAVE = 12
_TOP_STRINGS = 2


class GripError(ChangewrightError):
    """A grip that is asked for and cannot be held."""


@dataclass(frozen=True, slots=True)
class Choice:
    """The grip for a slot, the others that were open there (the best in this place first), and what must be said.

    ``chord`` is the chord that is played (a slash chord in its context); ``remarks`` are finished sentences.
    """

    chord: Chord
    grip: Grip
    others: tuple[Grip, ...]
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """A choice for every slot of a row, None at N.C. or where nothing of the chord can be played.

    ``cost`` is the sum of :data:`core.hands.terms.TERMS`; ``octave`` is by how many semitones the tune was moved where
    it is on top; ``remarks`` concern the whole row.
    """

    choices: tuple[Choice | None, ...]
    cost: int
    octave: int = 0
    remarks: tuple[str, ...] = ()


def plan_row(
    row: Row, player: Player | None = None, melody: Melody = (), *, on_top: bool = False,
    locked: Mapping[int, Frets] | None = None, others: int = 5
) -> Plan:  # fmt: skip
    """Grips for a row, led over the whole of it.

    ``melody`` lies on the row's time: grips stay below it, or with ``on_top`` have the note that sounds with the chord
    (the first one over it) as their highest. ``locked`` fixes frets by slot index and the rest is planned around them;
    ``others`` is how many more grips are kept for each. Raises :class:`GripError` for a lock that cannot be held.
    """
    player = player or Player()
    played = [None if slot.chord is None else in_context(slot.chord) for slot in row]
    tops = tops_of(melody, row) if on_top else ()
    octave = _octave(player, [top for top in tops if top is not None])
    over = Over(melody)
    places: list[_Open | None] = []
    for index, (slot, chord, kind) in enumerate(zip(row, played, kinds_of(played), strict=True)):
        if chord is None or kind is None:
            places.append(None)
        elif locked and index in locked:
            places.append(((grip_from(chord, locked[index], player),), ()))
        elif on_top:
            top = tops[index]
            places.append(_topped(chord, kind, player, None if top is None else top + octave))
        else:
            held = over.held(Spot(index, float(slot.onset), float(slot.end)))
            places.append(candidates(chord, kind, player, held))
    layers = [place[0] if place and place[0] else None for place in places]
    chosen, cost = cheapest(layers, _own, between)
    choices = tuple(_choice(played[index], layers, chosen, index, place[1] if place else (), others, player)
                    for index, place in enumerate(places))  # fmt: skip
    return Plan(choices, cost, octave, (*_of_the_row(octave), *_silent(row, places)))


_Open = tuple[tuple[Grip, ...], tuple[str, ...]]
"""The grips that are open at a place, and what must be said of them."""


def _own(grip: Grip) -> int:
    return grip.cost


def _choice(chord: Chord | None, layers: list[tuple[Grip, ...] | None], chosen: list[Grip | None], index: int,
            remarks: tuple[str, ...], others: int, player: Player) -> Choice | None:  # fmt: skip
    layer, grip = layers[index], chosen[index]
    if chord is None or layer is None or grip is None:
        return None
    before = next((other for other in reversed(chosen[:index]) if other is not None), None)
    after = next((other for other in chosen[index + 1 :] if other is not None), None)

    def here(other: Grip) -> int:
        return other.cost + (between(before, other) if before else 0) + (between(other, after) if after else 0)

    ranked = sorted((other for other in layer if other is not grip), key=here)
    why = why_left_out(chord, grip.missing, grip.given_up, player.bass)
    return Choice(chord, grip, tuple(ranked[:others]), (*remarks, why) if why else remarks)


# --- what is open at a place -----------------------------------------------------------------------------------------


@lru_cache(maxsize=4096)
def candidates(chord: Chord, kind: str, player: Player, held: Held = NOTHING_HELD) -> _Open:
    """The grips that are kept for a chord under a melody, and what must be said of them."""
    found, remarks = _in_style(chord, kind, player, None)
    if not held.sounding:
        return _kept(found), remarks
    # In the style if it can be; else any grip rather than a rub or a top above the tune.
    for laws in ((clear_of_all, clear_of_held), (top_below,)):
        for style in dict.fromkeys((player.style, "grips")):
            grips, said = _in_style(chord, kind, replace(player, style=style), None)
            for law in laws:
                under = tuple(grip for grip in grips if law(grip, held))
                if under:
                    return _kept(under), said
    return _kept(found), (*remarks, "The tune lies too low for a chord below it; the grip stands without regard to it.")


@lru_cache(maxsize=4096)
def _topped(chord: Chord, kind: str, player: Player, top: int | None) -> _Open:
    """The grips with a note of the tune on top."""
    found, remarks = _in_style(chord, kind, player, top)
    if not found and top is not None:
        found, _ = _in_style(chord, kind, player, None)
        return _kept(found), ("The tune's note is out of reach above this chord; the grip is given without it.",)
    return _kept(found), remarks


def _in_style(chord: Chord, kind: str, player: Player, top: int | None) -> _Open:
    """Grips in the style that is asked for, or, where none holds the chord, whatever does."""
    found = grips_of(chord, kind, player, top)
    whole = tuple(grip for grip in found if not grip.given_up)
    if player.style == "grips" or whole:
        return whole or found, ()
    others = grips_of(chord, kind, replace(player, style="grips"), top)
    if not others:
        return found, ()
    words = {"shell": "shell", "inner": "inner shape"}.get(player.style, f"{player.style} voicing")
    return others, (f"No {words} of this chord lies under one hand; another grip is given.",)


_NOTHING = "No grip of {} can be held on this instrument; change the tuning or the limits of the hand."


def _kept(found: tuple[Grip, ...]) -> tuple[Grip, ...]:
    """The best of every hand position, the best of all first."""
    counts: dict[int, int] = {}
    kept = []
    for grip in found:
        counts[grip.position] = counts.get(grip.position, 0) + 1
        if counts[grip.position] <= PER_POSITION:
            kept.append(grip)
    return tuple(kept)


def grip_from(chord: Chord, frets: Frets, player: Player) -> Grip:
    """A grip that somebody chose; raises :class:`GripError` where no hand can hold it."""
    strings = len(player.board.strings)
    text = " ".join("x" if fret is None else str(fret) for fret in frets)
    if len(frets) != strings:
        raise GripError(f"The grip {text} names {len(frets)} strings and the instrument has {strings}; give a fret, "
                        "0 or x for each.")  # fmt: skip
    if all(fret is None for fret in frets):
        raise GripError(f"The grip {text} has no string that sounds; give a fret or 0 for one.")
    if any(fret is not None and not 0 <= fret <= player.board.highest_fret for fret in frets):
        raise GripError(f"The grip {text} leaves the neck; its frets are 0 to {player.board.highest_fret}.")
    held = fingering(frets, player.limits, player.board.capo)
    if held is None:
        raise GripError(f"The grip {text} cannot be held by one hand; bring its frets closer together.")
    notes = sorted(note + fret for note, fret in zip(player.board.open_notes, frets, strict=True) if fret is not None)
    degrees = tuple(degree_at(chord, note % 12) for note in notes)
    missing = left_out(chord, frozenset(chord.degree_of(note % 12) for note in notes))
    return Grip(frets, held[0], tuple(notes), degrees, WEIGHT["effort"] * held[1], missing)


# --- the tune on top ---------------------------------------------------------------------------------------------


def _octave(player: Player, tops: Sequence[int]) -> int:
    """By how many octaves the tune is moved, so that most of it lies on the two highest strings."""
    if not tops:
        return 0
    strings = sorted(player.board.open_notes)[-_TOP_STRINGS:]
    low, high = strings[0], strings[-1] + OCTAVE

    def outside(shift: int) -> tuple[int, int]:
        return sum(max(0, low - top - shift, top + shift - high) for top in tops), abs(shift)

    return min((0, -OCTAVE, OCTAVE, -2 * OCTAVE, 2 * OCTAVE), key=outside)


def _silent(row: Row, places: Sequence[_Open | None]) -> tuple[str, ...]:
    """What is said of chords that this instrument cannot play at all."""
    lost = dict.fromkeys(slot.text for slot, place in zip(row, places, strict=True) if place and not place[0])
    return (f"{_NOTHING.format(', '.join(lost))}",) if lost else ()


def _of_the_row(octave: int) -> tuple[str, ...]:
    if not octave:
        return ()
    far = "an octave" if abs(octave) == OCTAVE else "two octaves"
    return (f"The tune is played {far} {'higher' if octave > 0 else 'lower'}.",)


# --- from one grip to the next --------------------------------------------------------------------------------------


def between(old: Grip, new: Grip) -> int:
    """What it costs to go from one grip to the next: shift, fingers lifted, the motion of the voices."""
    before, after = old.stands, new.stands
    lifted = max(len(before), len(after)) - len(before & after)
    return _SHIFT * abs(old.position - new.position) + _LIFTED * lifted + guitar_motion(old.notes, new.notes)


_SHIFT, _LIFTED = WEIGHT["shift"], WEIGHT["lifted"]
