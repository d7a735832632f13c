"""The home key of a row whose key is not known.

What all chords cost in each key, less what the ends of the row prove, finds the likely keys; of those that lie close,
the one whose key path is cheapest. Weights are judgement, no source.
"""

from __future__ import annotations

from core.form import Form
from core.key import Key
from core.key_areas import (
    AWAY,
    FOREIGN_START,
    STABLE,
    Costs,
    RowCosts,
    Sound,
    added,
    blues_tonics,
    keys_around,
    reached,
    row_costs,
    settle_blues,
)
from core.row import Row

# A tune is at home where it ends, and mostly where it begins; a dominant at the end leads home to the next chorus.
ENDS_AT_HOME, ENDS_BEFORE_HOME, BEGINS_AT_HOME = 50, 32, 25
ESCAPE = 30
"""The most that one slot can speak against a home key: another key area is entered for a price."""
UNSURE = 60


def home_key(row: Row, form: Form) -> Key:
    """The home key, spelled with six accidentals at most; C major for silence."""
    if not any(slot.chord for slot in row):
        return Key(0)
    keys = keys_around(Key(0))
    found = row_costs(row, form, Key(0))
    tonics = blues_tonics(row)
    blues = [not key.is_minor and key.tonic_pc in tonics for key in keys]
    ends = found.sounds[0], found.sounds[-1]
    frames = [_frame(*ends, key, blue) for key, blue in zip(keys, blues, strict=True)]
    scores = [whole - frame for whole, frame in zip(_whole_costs(found), frames, strict=True)]
    order = sorted(range(24), key=lambda place: (scores[place], abs(keys[place].signature)))
    sure, framed = scores[order[0]] + UNSURE, BEGINS_AT_HOME + ENDS_AT_HOME
    near = [place for place in order if scores[place] <= sure or frames[place] == framed][:3]
    if len(near) > 1:
        near.sort(key=lambda place: _path_cost(found, keys[place], place, blues[place]) - frames[place])
    return _spelled(keys[near[0]], row)


def _spelled(best: Key, row: Row) -> Key:
    """Six sharps become six flats where the row is written so."""
    roots = [slot.chord.root for slot in row if slot.chord is not None]
    written_flat = sum(root < -1 for root in roots) > sum(root > 5 for root in roots)
    return best.transposed(-12) if best.signature == 6 and written_flat else best


def _whole_costs(found: RowCosts) -> Costs:
    """What the row costs if it is read in one key throughout, for each of the 24 keys; all of them count as away."""
    totals = [0] * 24
    for here in found.costs:
        most = min(here) + ESCAPE
        totals = [total + (cost if cost < most else most) for total, cost in zip(totals, here, strict=True)]
    return totals


def _frame(first: Sound | None, last: Sound | None, home: Key, blues: bool) -> int:
    """What the first and the last chord prove for a home key."""
    proof = BEGINS_AT_HOME if first is not None and _rests(first, home, blues) else 0
    if last is None:
        return proof
    if _rests(last, home, blues):
        return proof + ENDS_AT_HOME
    leads = last.dominant and (home.tonic_pc - last.root) % 12 in (5, 11)
    return proof + (ENDS_BEFORE_HOME if leads else 0)


def _rests(here: Sound, home: Key, blues: bool) -> bool:
    if here.root != home.tonic_pc:
        return False
    return here.family in STABLE[home.mode] or (here.dominant and blues)


def _path_cost(found: RowCosts, home: Key, place: int, blues: bool) -> int:
    """The cost of the cheapest path through the keys that leaves the home key at ``place`` and comes back."""
    tried = found._replace(costs=[here.copy() for here in found.costs])
    for here, weight in zip(tried.costs, tried.weights, strict=True):
        here[place] -= weight * AWAY
    if blues:
        settle_blues(tried, home, place)
    ends = [FOREIGN_START] * 24
    ends[place] = 0
    path = added(tried.costs[0], ends)
    for emission in tried.costs[1:]:
        path = added(emission, reached(path))
    return min(added(path, ends))
