"""Analysis of a row: each chord's key area, numeral, function, role and target.

Chords are read from the end, so that a dominant knows what the chord it leads to stands for; then what only the
neighbours show (a pedal, a turnaround, a line cliché) is added to the roles.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from core.chord import Chord, in_context
from core.form import Form
from core.function import Reading, is_dominant, is_minor, read, root_motion
from core.key import Key
from core.key_areas import is_blues, key_path, keys_around
from core.roles import with_roles
from core.row import Row


@dataclass(frozen=True, slots=True)
class ChordAnalysis:
    """One slot read in its local key. ``target`` is the index of the slot it resolves to, or None.

    ``second`` is the other key it can be read in, where that lies close. For a silent slot the key is its
    neighbours', the numeral empty and the function "N".
    """

    key: Key
    second: Key | None
    numeral: str
    function: str
    role: str
    target: int | None


@dataclass(frozen=True, slots=True)
class _Read:
    reading: Reading
    target: int | None


ROOTLESS = "rootless"
_SILENCE = _Read(Reading("", "N", "silence", False), None)


@lru_cache(maxsize=8)  # the page, the form strip and the proposals all read the row that is on the screen
def analyse(row: Row, form: Form, home: Key) -> tuple[ChordAnalysis, ...]:
    """Read every slot of a row. ``home`` is the key signature of the tune; the form's key changes count as home too."""
    if not row:
        return ()
    keys, seconds = key_path(row, form, home)
    found = _readings(row, keys, home)
    targets = [one.target for one in found]
    said = with_roles(row, form, keys, [one.reading for one in found], targets)
    others = _other_keys(row, keys, seconds, targets)
    return tuple(
        ChordAnalysis(key, other, reading.numeral, reading.function, reading.role, one.target)
        for key, other, reading, one in zip(keys, others, said, found, strict=True)
    )


def _following(row: Row) -> list[int | None]:
    """For every slot the next slot with another chord, wrapping to the start for the last (a chorus comes round).

    None where silence comes first, or where there is no other chord.
    """
    count = len(row)
    colours = [None if slot.chord is None else _root_colour(slot.chord) for slot in row]
    result: list[int | None] = [None] * count
    for step in range(2 * count - 1, -1, -1):
        index, after = step % count, (step + 1) % count
        if colours[after] is None:
            result[index] = None
        else:
            result[index] = result[after] if colours[index] == colours[after] else after
    return result


def _root_colour(chord: Chord) -> tuple[int, str]:
    """Root and family: what does not change where only the colour does. A sus seventh and its dominant count as one."""
    sounding = in_context(chord)
    return sounding.root_pc, "dominant" if is_dominant(chord) else sounding.quality.family


def _readings(row: Row, keys: list[Key], home: Key) -> list[_Read]:
    """Every slot read, from the end: what a chord does depends on what the next one does."""
    nexts, blues = _following(row), is_blues(row, home)
    found: list[_Read] = [_SILENCE] * len(row)

    def one(index: int, ahead: Reading | None) -> Reading:
        """The slot read against the chord that follows it."""
        chord, following = row[index].chord, nexts[index]
        assert chord is not None
        after = None if following is None else row[following].chord
        before = row[index - 1].chord if index else None
        return read(chord, after, keys[index], before, ahead, blues and keys[index] == home)

    for index in range(len(row) - 1, -1, -1):
        chord, following = row[index].chord, nexts[index]
        if chord is None:
            continue
        if following is None:
            found[index] = _Read(one(index, None), None)
            continue
        # Beyond the end the chorus begins again, with chords that are read without looking further.
        ahead = found[following].reading if following > index else one(following, None)
        reading = one(index, ahead)
        if _is_rootless(chord, row[following].chord, ahead) and following > index:
            found[index] = _Read(replace(ahead, numeral=reading.numeral, role=f"{ahead.role}, {ROOTLESS}"),
                                 found[following].target)  # fmt: skip
            continue
        if reading.resolves or not is_dominant(chord):
            found[index] = _Read(reading, following if reading.resolves else None)
            continue
        found[index] = _held_up(row, index, nexts, keys[index], found) or _Read(reading, None)
    return found


def _is_rootless(chord: Chord, following: Chord | None, ahead: Reading) -> bool:
    """A diminished seventh that is 3, 5, ♭7 and ♭9 of the dominant that follows it: the same dominant already."""
    if following is None or not _is_diminished(chord) or not is_dominant(following):
        return False
    return ahead.resolves and ahead.function == "D" and root_motion(chord, following) % 3 == 2


def _is_diminished(chord: Chord) -> bool:
    return in_context(chord).quality.sounding.family == "diminished"


def _held_up(row: Row, index: int, nexts: list[int | None], key: Key, found: list[_Read]) -> _Read | None:
    """A dominant that reaches its target later: over its substitute, a ii-V aimed there too, or the target's own ii."""
    chord, following = row[index].chord, nexts[index]
    assert chord is not None
    if following is None or following < index:
        return None
    after, between = row[following].chord, found[following]
    if after is None or not between.reading.resolves or between.target is None:
        return None
    goals = {(in_context(chord).root_pc + motion) % 12 for motion in (5, 11)}
    goal = between.target
    if is_minor(after):
        if root_motion(chord, after) not in (0, 6) and between.reading.aim in goals:
            later = found[goal].target if goal > following else None
            if later is None:
                return None
            goal = later
    elif between.reading.aim not in goals or not (is_dominant(after) or between.reading.role.endswith(ROOTLESS)):
        return None
    beyond = row[goal].chord
    if beyond is None or goal == index:
        return None
    through = read(chord, beyond, key, None, found[goal].reading if goal > index else None, False)
    return _Read(through, goal) if through.resolves and through.function == "D" else None


def _other_keys(row: Row, keys: list[Key], seconds: list[Key | None], targets: list[int | None]) -> list[Key | None]:
    """The second keys; a ii-V of another key than the local one names its own, whether it arrives there or not."""
    result = list(seconds)
    for index in range(len(row) - 1):
        one, two = row[index].chord, row[index + 1].chord
        if one is None or two is None or not (is_minor(one) and is_dominant(two) and root_motion(one, two) == 5):
            continue
        target = targets[index + 1]
        goal = None if target is None else row[target].chord
        arrives = goal is not None and not is_dominant(goal) and root_motion(two, goal) == 5
        small = is_minor(goal) if goal is not None and arrives else in_context(one).quality.family == "half_diminished"
        own = _spelled(Key(in_context(two).root - 1, "minor" if small else "major"), keys[index])
        for place in (index, index + 1):
            if keys[place].tonic_pc != own.tonic_pc:
                result[place] = own
    return result


def _spelled(key: Key, beside: Key) -> Key:
    """The key as its dominant is written, or as near to another key as it can be where that needs too many signs."""
    if abs(key.signature) <= 7:
        return key
    return next(one for one in keys_around(beside) if (one.tonic_pc, one.mode) == (key.tonic_pc, key.mode))
