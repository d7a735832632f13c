"""Analysis of a row: key areas by dynamic programming, then each chord's numeral, function, role and target.

The key of every slot is the cheapest path through 24 keys: what a chord costs in a key (:func:`chord_cost`), what a
pair of chords proves (a V that resolves to its tonic, a ii before its V), and what a change of key costs. All costs
are integers, tenths of a "chord out of key"; weights are judgement, no source. ``second`` is the best other key of
the slot when reading it so costs at most :data:`CLOSE` more.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from core.chord import Chord, in_context
from core.form import Form
from core.function import Reading, is_dominant, is_tonic, read, root_motion
from core.key import Key
from core.pitch import Degree
from core.row import Row, Slot

CLOSE = 24
KEY_CHANGE = 34
STEP_ON_CIRCLE = 3
RELATIVE = 6
FOREIGN_START = 10
CADENCE, PREPARED = 14, 7
OUT_OF_KEY = 24
AWAY = 1
"""What every half bar away from the home key costs: a key is left for a reason."""

# Cost of a quality family on a chromatic degree of a key; unlisted chords are out of the key.
_MAJOR_COSTS: dict[tuple[int, str], int] = {
    (0, "major"): 0, (2, "minor"): 0, (4, "minor"): 4, (5, "major"): 2, (7, "dominant"): 0, (7, "suspended"): 0,
    (7, "major"): 2, (9, "minor"): 4, (11, "half_diminished"): 8, (0, "dominant"): 10, (5, "dominant"): 12,
    (2, "dominant"): 12, (9, "dominant"): 12, (4, "dominant"): 13, (11, "dominant"): 16, (10, "dominant"): 13,
    (1, "dominant"): 12, (8, "dominant"): 14, (3, "dominant"): 16, (5, "minor"): 12, (2, "half_diminished"): 10,
    (6, "half_diminished"): 12, (4, "half_diminished"): 14, (8, "major"): 14, (1, "major"): 14, (10, "major"): 14,
    (3, "major"): 14, (7, "minor"): 14, (3, "minor"): 17, (0, "augmented"): 4, (7, "augmented"): 8, (0, "power"): 2,
    (2, "major"): 13, (9, "major"): 13, (4, "major"): 14, (5, "suspended"): 12, (0, "suspended"): 8,
    (2, "suspended"): 10, (9, "suspended"): 12,
}  # fmt: skip
_MINOR_COSTS: dict[tuple[int, str], int] = {
    (0, "minor"): 0, (2, "half_diminished"): 0, (7, "dominant"): 1, (7, "suspended"): 2, (5, "minor"): 3,
    (8, "major"): 6, (10, "dominant"): 9, (3, "major"): 7, (7, "minor"): 8, (2, "minor"): 9, (8, "dominant"): 10,
    (1, "dominant"): 12, (1, "major"): 12, (5, "dominant"): 12, (9, "half_diminished"): 10, (0, "dominant"): 14,
    (2, "dominant"): 13, (10, "major"): 10, (4, "dominant"): 18, (0, "half_diminished"): 16, (3, "augmented"): 10,
    (7, "augmented"): 6, (0, "power"): 2, (11, "dominant"): 18, (6, "half_diminished"): 14, (0, "suspended"): 8,
}  # fmt: skip
_DIMINISHED = 12


@dataclass(frozen=True, slots=True)
class ChordAnalysis:
    """One slot read in its local key. ``target`` is the index of the slot it resolves to, or None.

    For a silent slot the key is its neighbours', the numeral empty and the function "N".
    """

    key: Key
    second: Key | None
    numeral: str
    function: str
    role: str
    target: int | None


@lru_cache(maxsize=65536)
def chord_cost(root_from_tonic: int, family: str, mode: str) -> int:
    """Cost of a chord in a key, tenths; 0 for the chords that make the key, :data:`OUT_OF_KEY` for strangers."""
    if family == "diminished":
        return _DIMINISHED
    return (_MAJOR_COSTS if mode == "major" else _MINOR_COSTS).get((root_from_tonic, family), OUT_OF_KEY)


@lru_cache(maxsize=64)
def keys_around(home: Key) -> tuple[Key, ...]:
    """24 keys, spelled as near to the home key as they can be."""
    low = home.signature - 5
    majors = tuple(Key(low + step, "major") for step in range(12))
    return majors + tuple(Key(key.tonic + 3, "minor") for key in majors)


_FROM = tuple(
    tuple(KEY_CHANGE + (STEP_ON_CIRCLE * min((to - place) % 12, (place - to) % 12) or -RELATIVE) for to in range(12))
    for place in range(12)
)
"""What a change costs from a signature to every other, in order of fifths; a relative key is nearest."""
_FARTHEST = 6 * STEP_ON_CIRCLE + RELATIVE


def _reached(costs: list[int]) -> list[int]:
    """The cheapest way into each of the 24 keys from costs in all of them: stay, or change.

    A signature that costs so much more than the best one that even the farthest change from there is cheaper leads
    nowhere, which leaves one to three to try.
    """
    nearest = list(map(min, costs[:12], costs[12:]))
    bound = min(nearest) + _FARTHEST
    ways = [[cost + change for change in _FROM[place]] for place, cost in enumerate(nearest) if cost <= bound]
    change = ways[0] if len(ways) == 1 else list(map(min, *ways))
    return list(map(min, costs, change + change))


@lru_cache(maxsize=8)  # the page, the form strip and the proposals all read the row that is on the screen
def analyse(row: Row, form: Form, home: Key) -> tuple[ChordAnalysis, ...]:
    """Read every slot of a row. ``home`` is the key signature of the tune; the form's key changes count as home too."""
    if not row:
        return ()
    keys, seconds = _key_path(row, form, home)
    targets = _following(row)
    result = []
    for index, slot in enumerate(row):
        if slot.chord is None:
            result.append(ChordAnalysis(keys[index], seconds[index], "", "N", "silence", None))
            continue
        reading, target = _reading(row, index, targets, keys[index])
        result.append(
            ChordAnalysis(keys[index], seconds[index], reading.numeral, reading.function, reading.role, target)
        )
    return tuple(result)


def _following(row: Row) -> list[int | None]:
    """For every slot the next slot with another chord, wrapping to the start for the last (a chorus comes round)."""
    result: list[int | None] = []
    count = len(row)
    for index, slot in enumerate(row):
        found = None
        for step in range(1, count):
            other = row[(index + step) % count]
            if other.chord is None:
                break
            if slot.chord is None or not _same_root_colour(slot.chord, other.chord):
                found = (index + step) % count
                break
        result.append(found)
    return result


def _same_root_colour(one: Chord, other: Chord) -> bool:
    """Same root and same family: a colour change, not a new chord. A sus and its dominant count as one."""
    first, second = in_context(one), in_context(other)
    if first.root_pc != second.root_pc:
        return False
    return first.quality.family == second.quality.family or (is_dominant(one) and is_dominant(other))


def _reading(row: Row, index: int, targets: list[int | None], key: Key) -> tuple[Reading, int | None]:
    chord = row[index].chord
    assert chord is not None
    following = targets[index]
    after = row[following].chord if following is not None else None
    before = row[index - 1].chord if index else None
    reading = read(chord, after, key, before)
    if reading.resolves or following is None or after is None or not is_dominant(chord):
        return reading, following if reading.resolves else None
    # A dominant may reach its target over a chord that does the same work: its substitute, or the ii of its target.
    later = targets[following]
    beyond = row[later].chord if later is not None else None
    if beyond is None or not _delays(chord, after, beyond):
        return reading, None
    through = read(chord, beyond, key)
    return (through, later) if through.resolves else (reading, None)


def _delays(chord: Chord, between: Chord, beyond: Chord) -> bool:
    if root_motion(chord, beyond) not in (5, 11):
        return False
    same_work = is_dominant(between) and root_motion(between, beyond) in (5, 11)
    same_root_ii = root_motion(chord, between) == 0 and is_dominant(beyond)
    return same_work or same_root_ii


# --- key areas -----------------------------------------------------------------------------------------------------


def is_blues(row: Row, home: Key) -> bool:
    """Whether the tonic itself is a dominant seventh for at least a fifth of the time and never a major seventh."""
    tonics = [slot for slot in row if slot.chord and in_context(slot.chord).root_pc == home.tonic_pc]
    sevenths = sum(
        slot.duration for slot in tonics if slot.chord and in_context(slot.chord).quality.family == "dominant"
    )
    return 5 * sevenths >= row[-1].end and not any(slot.chord and is_tonic(slot.chord, home) for slot in tonics)


def _key_path(row: Row, form: Form, home: Key) -> tuple[list[Key], list[Key | None]]:
    keys = keys_around(home)
    emissions = [_emission(row, index, home, form) for index in range(len(row))]
    if is_blues(row, home):
        _settle_blues(row, home, emissions, keys.index(home))
    # A tune that begins on its own tonic begins at home.
    at_home = row[0].chord is not None and is_tonic(row[0].chord, home)
    away = FOREIGN_START * (3 if at_home else 1)
    start = [0 if key == home else away + (0 if key.signature == home.signature else 6) for key in keys]
    forward = [list(map(int.__add__, emissions[0], start))]
    for costs in emissions[1:]:
        forward.append(list(map(int.__add__, costs, _reached(forward[-1]))))
    backward = [start]  # the chorus comes round, so it should end where it can begin
    for costs in reversed(emissions[1:]):
        backward.append(_reached(list(map(int.__add__, costs, backward[-1]))))
    backward.reverse()
    through = [list(map(int.__add__, one, two)) for one, two in zip(forward, backward, strict=True)]
    return _best_and_second(through, keys, home)


def _best_and_second(through: list[list[int]], keys: tuple[Key, ...], home: Key) -> tuple[list[Key], list[Key | None]]:
    best: list[Key] = []
    second: list[Key | None] = []
    for costs in through:
        least = min(costs)
        near = [k for k in range(len(keys)) if costs[k] <= least + CLOSE]
        order = sorted(near, key=lambda k: (costs[k], keys[k] != home, best[-1:] != [keys[k]], k))
        best.append(keys[order[0]])
        second.append(keys[order[1]] if len(order) > 1 else None)
    return best, second


def _settle_blues(row: Row, home: Key, emissions: list[list[int]], place: int) -> None:
    """In a blues the sevenths on I and IV are at rest: they cost nothing in the home key."""
    for slot, costs in zip(row, emissions, strict=True):
        if slot.chord and (in_context(slot.chord).root_pc - home.tonic_pc) % 12 in (0, 5):
            costs[place] = min(costs) - 2


def _emission(row: Row, index: int, home: Key, form: Form) -> list[int]:
    slot = row[index]
    if slot.chord is None:
        return [0] * 24
    weight = _weight(slot, form)
    before = row[index - 1].chord if index else None
    proofs = _proofs(before, slot.chord, home)
    costs = _chord_costs(slot.chord, home)
    return [weight * cost - proof for cost, proof in zip(costs, proofs, strict=True)]


@lru_cache(maxsize=4096)
def _chord_costs(chord: Chord, home: Key) -> tuple[int, ...]:
    """What a chord costs in each of the 24 keys."""
    sounding = in_context(chord)
    family = sounding.quality.sounding.family
    return tuple(
        chord_cost((sounding.root_pc - key.tonic_pc) % 12, family, key.mode) + (AWAY if key != home else 0)
        for key in keys_around(home)
    )


@lru_cache(maxsize=8192)
def _proofs(before: Chord | None, chord: Chord, home: Key) -> tuple[int, ...]:
    """What two successive chords prove for each of the 24 keys."""
    return tuple(0 if before is None else _proof(before, chord, key) for key in keys_around(home))


def _weight(slot: Slot, form: Form) -> int:
    """Half bars that a chord lasts, 1 to 4: long chords prove more, but a pedal of eight bars is not eight proofs.

    A dominant, however long, only promises a key.
    """
    most = 2 if slot.chord is not None and is_dominant(slot.chord) else 4
    return max(1, min(most, round(2 * slot.duration / form.bar_at(slot.onset).length)))


def _proof(before: Chord, chord: Chord, key: Key) -> int:
    """What two successive chords prove for a key: V to tonic, or ii to V."""
    first = (in_context(before).root_pc - key.tonic_pc) % 12
    second = (in_context(chord).root_pc - key.tonic_pc) % 12
    if is_tonic(chord, key) and is_dominant(before) and first in (7, 1, 10):
        # A minor seventh after its dominant is as likely the next ii as a tonic.
        full = CADENCE // 2 if key.is_minor and chord.quality.degree(7) == Degree(7, -1) else CADENCE
        return full if first == 7 else full - 4
    if (
        second == 7
        and is_dominant(chord)
        and first == 2
        and in_context(before).quality.family in ("minor", "half_diminished")
    ):
        return PREPARED if (in_context(before).quality.family == "half_diminished") == key.is_minor else 2
    return 0


# --- the home key --------------------------------------------------------------------------------------------------

# A tune is at home where it ends, and mostly where it begins; a dominant at the end leads home to the next chorus.
ENDS_AT_HOME, ENDS_BEFORE_HOME, BEGINS_AT_HOME = 50, 32, 25
ESCAPE = 30
"""The most that one slot can speak against a home key: another key area is entered for a price."""
UNSURE = 60


def home_key(row: Row, form: Form) -> Key:
    """The home key of a row whose key is not known, spelled with six accidentals at most; C major for silence.

    What all chords cost in each key, less what the ends of the row prove, finds the likely keys; of those that lie
    close, the one whose key path is cheapest. Weights are judgement, no source.
    """
    if not any(slot.chord for slot in row):
        return Key(0)
    keys = keys_around(Key(0))
    weights = [0 if slot.chord is None else _weight(slot, form) for slot in row]
    costs = _homeless_costs(row, weights)
    frames = [_frame(row, key) for key in keys]
    scores = [whole - frame for whole, frame in zip(_whole_costs(costs), frames, strict=True)]
    order = sorted(range(24), key=lambda place: (scores[place], abs(keys[place].signature)))
    sure, framed = scores[order[0]] + UNSURE, BEGINS_AT_HOME + ENDS_AT_HOME
    near = [place for place in order if scores[place] <= sure or frames[place] == framed][:3]
    if len(near) > 1:
        near.sort(key=lambda place: _path_cost(row, keys, place, weights, costs) - frames[place])
    best = keys[near[0]]
    roots = [slot.chord.root for slot in row if slot.chord is not None]
    written_flat = sum(root < -1 for root in roots) > sum(root > 5 for root in roots)
    return best.transposed(-12) if best.signature == 6 and written_flat else best


def _homeless_costs(row: Row, weights: list[int]) -> list[list[int]]:
    """What every slot costs in each of the 24 keys around C while none of them is home: all are away."""
    result, before = [], None
    for slot, weight in zip(row, weights, strict=True):
        costs = [0] * 24
        if slot.chord is not None:
            proofs = _proofs(before, slot.chord, Key(0))
            costs = [weight * cost - proof
                     for cost, proof in zip(_chord_costs(slot.chord, Key(0)), proofs, strict=True)]  # fmt: skip
            costs[_PLACE_OF_C] += weight * AWAY
        result.append(costs)
        before = slot.chord
    return result


_PLACE_OF_C = keys_around(Key(0)).index(Key(0))


def _whole_costs(costs: list[list[int]]) -> list[int]:
    """What the row costs if it is read in one key throughout, for each of the 24 keys."""
    totals = [0] * 24
    for here in costs:
        most = min(here) + ESCAPE
        totals = [total + (cost if cost < most else most) for total, cost in zip(totals, here, strict=True)]
    return totals


def _frame(row: Row, home: Key) -> int:
    """What the first and the last chord prove for a home key."""
    first, last = row[0].chord, row[-1].chord
    proof = BEGINS_AT_HOME if first is not None and _rests(first, row, home) else 0
    if last is not None and _rests(last, row, home):
        return proof + ENDS_AT_HOME
    leads = last is not None and is_dominant(last) and (home.tonic_pc - in_context(last).root_pc) % 12 in (5, 11)
    return proof + (ENDS_BEFORE_HOME if leads else 0)


def _rests(chord: Chord, row: Row, home: Key) -> bool:
    at_root = in_context(chord).root_pc == home.tonic_pc
    return at_root and (is_tonic(chord, home) or (is_dominant(chord) and not home.is_minor and is_blues(row, home)))


def _path_cost(row: Row, keys: tuple[Key, ...], place: int, weights: list[int], costs: list[list[int]]) -> int:
    """The cost of the cheapest path through the keys that leaves the home key at ``place`` and comes back."""
    emissions = [here.copy() for here in costs]
    for here, weight in zip(emissions, weights, strict=True):
        here[place] -= weight * AWAY
    if is_blues(row, keys[place]):
        _settle_blues(row, keys[place], emissions, place)
    ends = [FOREIGN_START] * 24
    ends[place] = 0
    path = list(map(int.__add__, emissions[0], ends))
    for emission in emissions[1:]:
        path = list(map(int.__add__, emission, _reached(path)))
    return min(map(int.__add__, path, ends))
