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
from core.key_areas import is_blues, keys_around
from core.key_path import key_path
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
    found = _Reader(row, keys, home).read()
    targets = [one.target for one in found]
    said = with_roles(row, form, keys, [one.reading for one in found], targets)
    others = _other_keys(row, keys, seconds, found)
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


class _Reader:
    """Reads the slots of a row from the end: what a chord does depends on what the next one does."""

    def __init__(self, row: Row, keys: list[Key], home: Key) -> None:
        self.chords = [slot.chord for slot in row]
        self.keys = keys
        self.home = home
        self.blues = is_blues(row, home)
        self.nexts = _following(row)
        self.found = [_SILENCE] * len(row)

    def read(self) -> list[_Read]:
        """Every slot."""
        for index in range(len(self.chords) - 1, -1, -1):
            chord = self.chords[index]
            if chord is not None:
                self.found[index] = self._slot(index, chord)
        return self.found

    def _slot(self, index: int, chord: Chord) -> _Read:
        self._skip_colour(index, chord)
        following = self.nexts[index]
        if following is None:
            return _Read(self._plain(index, chord, None), None)
        ahead = self._ahead(index, following)
        reading = self._plain(index, chord, ahead)
        if following > index and _is_rootless(chord, self.chords[following], ahead):
            same = replace(ahead, numeral=reading.numeral, role=f"{ahead.role}, {ROOTLESS}")
            return _Read(same, self.found[following].target)
        if reading.resolves:
            return _Read(reading, following)
        at_rest = self.blues and reading.role.startswith("blues")
        if is_dominant(chord) and following > index and not at_rest:
            return self._held_up(index, chord, following) or _Read(reading, None)
        return _Read(reading, None)

    def _plain(self, index: int, chord: Chord, ahead: Reading | None) -> Reading:
        """The slot read against the chord that follows it."""
        following, key = self.nexts[index], self.keys[index]
        after = None if following is None else self.chords[following]
        before = self.chords[index - 1] if index else None
        return read(chord, after, key, before, ahead, self.blues and key == self.home)

    def _ahead(self, index: int, following: int) -> Reading:
        """The reading of the chord that follows; beyond the end the chorus begins again, read without more."""
        chord = self.chords[following]
        if following > index or chord is None:
            return self.found[following].reading
        return self._plain(following, chord, None)

    def _skip_colour(self, index: int, chord: Chord) -> None:
        """A chord that comes back after a passing or auxiliary one has only been coloured meanwhile."""
        following = self.nexts[index]
        if following is None or following < index or self.found[following].reading.function != "N":
            return
        again = self.nexts[following]
        other = None if again is None or again < following else self.chords[again]
        if again is not None and other is not None and _root_colour(other) == _root_colour(chord):
            self.nexts[index] = self.nexts[again]

    def _held_up(self, index: int, chord: Chord, following: int) -> _Read | None:
        """A dominant that reaches its target later: over its substitute, another ii-V, or the target's own ii."""
        after, between = self.chords[following], self.found[following]
        if after is None or not between.reading.resolves or between.target is None:
            return None
        goals = {(in_context(chord).root_pc + motion) % 12 for motion in (5, 11)}
        goal = between.target
        if is_minor(after):
            if root_motion(chord, after) not in (0, 6) and between.reading.aim in goals:
                later = self.found[goal].target if goal > following else None
                if later is None:
                    return None
                goal = later
        elif between.reading.aim not in goals or not (is_dominant(after) or between.reading.role.endswith(ROOTLESS)):
            return None
        beyond = self.chords[goal]
        if beyond is None or goal == index:
            return None
        known = self.found[goal].reading if goal > index else None
        through = read(chord, beyond, self.keys[index], None, known, False)
        return _Read(through, goal) if through.resolves and through.function == "D" else None


def _is_rootless(chord: Chord, following: Chord | None, ahead: Reading) -> bool:
    """A diminished seventh that is 3, 5, ♭7 and ♭9 of the dominant that follows it: the same dominant already."""
    if following is None or in_context(chord).quality.sounding.family != "diminished" or not is_dominant(following):
        return False
    return ahead.resolves and ahead.function == "D" and root_motion(chord, following) % 3 == 2


def _other_keys(row: Row, keys: list[Key], seconds: list[Key | None], found: list[_Read]) -> list[Key | None]:
    """The second keys; a ii-V of another key than the local one names its own, whether it arrives there or not."""
    result = [None if slot.chord is None else second for slot, second in zip(row, seconds, strict=True)]
    for index in range(len(row) - 1):
        one, two = row[index].chord, row[index + 1].chord
        if one is None or two is None or not (is_minor(one) and is_dominant(two) and root_motion(one, two) == 5):
            continue
        if found[index].target is None:
            continue
        target = found[index + 1].target
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
