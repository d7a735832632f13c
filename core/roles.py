"""Roles that a chord has only among its neighbours: passing, side step, pedal, turnaround, line cliché.

What is said is added to what the chord does by itself. Sources: turnarounds, T. Seabrook as quoted in handbooks, and
their substitutes, D. Terefenko 2014, *Jazz Theory*, Fig. 13.5; line clichés, the lines of a minor and a major chord
in Berklee reharmonization handouts; iii and vi in place of I, Granroth-Wilding & Steedman 2014; pedal, side step and
extended dominants, common practice.
"""

from __future__ import annotations

from dataclasses import replace

from core.chord import Chord, in_context
from core.form import Form
from core.function import Reading, in_scale, is_dominant
from core.key import Key
from core.roman import degree_name
from core.row import Row

Readings = list[Reading]
Targets = list[int | None]

# A turnaround and what follows it, as degrees: what may stand for I, VI, II, V and I, substitutes included.
_TURNAROUND = ({0, 4}, {9, 3, 1}, {2, 8}, {7, 1, 3}, {0, 4})
# The voice that moves in a line cliché, by quality: semitones above the root; a plain triad may begin at root or fifth.
_LINE = {"m": (12, 7), "maj": (12, 7), "mM7": (11,), "maj7": (11,), "m7": (10,), "7": (10,), "m6": (9,), "6": (9,),
         "mb6": (8,), "m#5": (8,), "aug": (8,)}  # fmt: skip


def with_roles(row: Row, form: Form, keys: list[Key], readings: Readings, targets: Targets) -> Readings:
    """The readings with what the neighbours add to them; ``targets`` are the slots that the chords resolve to."""
    said = list(readings)
    chords = [slot.chord for slot in row]
    _steps(chords, keys, said)
    _tonic_substitutes(chords, keys, readings, said)
    _extended(keys, readings, targets, said)
    _cycles(chords, keys, readings, targets, said)
    _turnarounds(row, form, keys, said)
    _line_cliches(chords, said)
    _pedals(chords, keys, said)
    return said


def _add(said: Readings, index: int, words: str) -> None:
    said[index] = replace(said[index], role=f"{said[index].role}, {words}")


def _shape(chord: Chord) -> tuple[int, str]:
    sounding = in_context(chord)
    return sounding.root_pc, sounding.quality.family


def _steps(chords: list[Chord | None], keys: list[Key], said: Readings) -> None:
    """A chord from outside the key between two of its own kind a half step away: passing, or a side step and back."""
    for index in range(1, len(chords) - 1):
        before, here, after = chords[index - 1 : index + 2]
        if before is None or here is None or after is None or is_dominant(here) or in_scale(here, keys[index]):
            continue
        (was, one), (root, two), (then, three) = _shape(before), _shape(here), _shape(after)
        motions = (root - was) % 12, (then - root) % 12
        if not one == two == three or two == "diminished":
            continue
        if motions in ((1, 1), (11, 11)):
            said[index] = replace(said[index], function="N", role="chromatic passing")
        elif motions in ((1, 11), (11, 1)):
            said[index] = replace(said[index], function="N", role="side step")


def _tonic_substitutes(chords: list[Chord | None], keys: list[Key], readings: Readings, said: Readings) -> None:
    """iii or vi, in minor ♭VI, where the V before it promised I."""
    for index in range(1, len(chords)):
        here, key = chords[index], keys[index]
        if here is None or readings[index - 1].role != "V, deceptive" or readings[index].resolves:
            continue
        degree = (in_context(here).root_pc - key.tonic_pc) % 12
        if in_scale(here, key) and degree in ((8, 3) if key.is_minor else (4, 9)):
            said[index] = replace(said[index], function="T", role="tonic substitute")


def _extended(keys: list[Key], readings: Readings, targets: Targets, said: Readings) -> None:
    """The dominant of a dominant that is itself a secondary one."""
    for index, (reading, target) in enumerate(zip(readings, targets, strict=True)):
        if target is None or not _leads(reading) or not _leads(readings[target]):
            continue
        goal, beyond, tonic = reading.aim, readings[target].aim, keys[target].tonic_pc
        if goal is None or beyond is None or tonic in (goal, beyond):
            continue
        if (goal + 5) % 12 == beyond:
            _add(said, index, "extended dominant")


def _leads(reading: Reading) -> bool:
    return reading.function == "D" and reading.resolves and reading.numeral.startswith(("V7", "subV7"))


def _cycles(chords: list[Chord | None], keys: list[Key], readings: Readings, targets: Targets, said: Readings) -> None:
    """Tonics a major third apart, each brought in by its own V7: those away from home rest only in the cycle."""
    arrivals: list[int] = []
    for reading, target in zip(readings, targets, strict=True):
        goal = None if target is None else chords[target]
        if target is None or goal is None or reading.substitute or not _leads(reading) or is_dominant(goal):
            continue
        if in_context(goal).quality.family == "major" and target not in arrivals[-1:]:
            arrivals.append(target)
    roots = [in_context(chord).root_pc for place in arrivals if (chord := chords[place]) is not None]
    for at in range(len(arrivals) - 2):
        motions = {(roots[at + 1] - roots[at]) % 12, (roots[at + 2] - roots[at + 1]) % 12}
        if motions in ({4}, {8}):
            for place, root in zip(arrivals[at : at + 3], roots[at : at + 3], strict=True):
                if root != keys[place].tonic_pc:
                    said[place] = replace(said[place], function="N", role="cycle of major thirds")


def _turnarounds(row: Row, form: Form, keys: list[Key], said: Readings) -> None:
    """Four chords of equal length in two bars at most, I VI II V or what stands for them, with I or iii to follow."""
    count = len(row)
    degrees = [
        None if slot.chord is None else (in_context(slot.chord).root_pc - key.tonic_pc) % 12
        for slot, key in zip(row, keys, strict=True)
    ]
    for index in range(count - 3):
        five = (*degrees[index : index + 4], degrees[(index + 4) % count])
        if not all(degree in place for degree, place in zip(five, _TURNAROUND, strict=True)):
            continue
        four = row[index : index + 4]
        length, bar = four[0].duration, form.bar_at(four[0].onset)
        if four[0].onset != bar.start or any(slot.duration != length for slot in four) or 2 * length > bar.length:
            continue
        leads = said[index + 3].function == "D" or five[3] == 1
        if leads and len(set(keys[index : index + 4])) == 1 and _raised_are_diminished(four, five):
            for step in range(4):
                _add(said, index + step, "turnaround")


def _raised_are_diminished(four: Row, degrees: tuple[int | None, ...]) -> bool:
    """♯I in place of VI and ♯II in place of V are diminished sevenths."""
    return all(
        degree != raised or (slot.chord is not None and in_context(slot.chord).quality.family == "diminished")
        for slot, degree, raised in zip(four[1::2], degrees[1:4:2], (1, 3), strict=True)
    )


def _line_cliches(chords: list[Chord | None], said: Readings) -> None:
    """Three chords or more on one root with a voice that moves through them by half steps, one way."""
    start = 0
    while start < len(chords):
        stop = max(_line_end(chords, start, 1), _line_end(chords, start, -1))
        if stop - start < 3:
            start += 1
            continue
        for index in range(start, stop):
            _add(said, index, "line cliché")
        start = stop


def _line_end(chords: list[Chord | None], start: int, step: int) -> int:
    """Where the line that begins at a chord ends, exclusive; chords that repeat do not move it."""
    first = chords[start]
    here = () if first is None else _line_places(first)
    best = start
    for place in here:
        index, at = start + 1, place
        while index < len(chords):
            chord = chords[index]
            if chord is None or first is None or chord.root_pc != first.root_pc or at + step not in _line_places(chord):
                break
            index, at = index + 1, at + step
        best = max(best, index)
    return best


def _line_places(chord: Chord) -> tuple[int, ...]:
    """Where the moving voice may stand: the bass where a slash moves it, else what the quality adds to its triad."""
    if chord.upper is not None:
        return ()
    if chord.bass is not None and chord.bass_pc != chord.root_pc:
        return ((chord.bass_pc - chord.root_pc) % 12,)
    return _LINE.get(chord.quality.id, ())


def _pedals(chords: list[Chord | None], keys: list[Key], said: Readings) -> None:
    """Three chords or more over one bass, at least one of them foreign to it."""
    start = 0
    while start < len(chords):
        stop = start + 1
        first = chords[start]
        while first is not None and stop < len(chords) and _bass(chords[stop]) == first.bass_pc:
            stop += 1
        changes = sum(one != two for one, two in zip(chords[start:stop], chords[start + 1 : stop], strict=False))
        if first is not None and changes >= 2:
            for index in range(start, stop):
                chord = chords[index]
                if chord is not None and in_context(chord).root_pc != first.bass_pc:
                    degree = degree_name((first.bass_pc - keys[index].tonic_pc) % 12)
                    _add(said, index, f"over a pedal on {degree}")
        start = stop


def _bass(chord: Chord | None) -> int | None:
    return None if chord is None else chord.bass_pc
