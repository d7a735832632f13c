"""Reasons: claims computed from the pitches at hand, each true of the chords it names or not made at all.

A claim is a function of a :class:`Case` that returns a :class:`Claim` or None. Its ``facts`` are what it was computed
from, so that a test can prove the sentence again by other means.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from itertools import islice

from core.chord import Chord, guide_tones, in_context
from core.function import is_dominant, is_minor, root_motion
from core.key import Key
from core.pitch import Degree, chromatic, pretty_name, with_signs
from core.quality import QUALITIES
from core.spelling import bass_name, printed, simple, tone_name


@dataclass(frozen=True, slots=True)
class Case:
    """A replacement in its place: the chords before, replaced, new and following, and the local key."""

    before: Chord | None
    old: tuple[Chord, ...]
    new: tuple[Chord, ...]
    following: Chord | None
    key: Key


@dataclass(frozen=True, slots=True)
class Claim:
    """A clause, and what was computed: ``facts`` are (name, value) pairs of chords and pitch classes."""

    kind: str
    text: str
    facts: tuple[tuple[str, object], ...]


_ORDINALS = {
    1: "root",
    2: "second",
    3: "third",
    4: "fourth",
    5: "fifth",
    6: "sixth",
    7: "seventh",
    9: "ninth",
    13: "thirteenth",
}


def _third_and_seventh(chord: Chord) -> tuple[int, int] | None:
    """Pitch classes of the tritone in a dominant seventh, third first; None where there is none."""
    quality = in_context(chord).quality
    third, seventh = quality.degree(3), quality.degree(7)
    if third != Degree(3) or seventh != Degree(7, -1):
        return None
    root = in_context(chord).root
    return root + third.fifths, root + seventh.fifths


def shared_tritone(case: Case) -> Claim | None:
    """Old and new dominant hold the same tritone, third and seventh having changed places."""
    old, new = case.old[-1], case.new[-1]
    one, two = _third_and_seventh(old), _third_and_seventh(new)
    if one is None or two is None:
        return None
    if (chromatic(one[0]), chromatic(one[1])) != (chromatic(two[1]), chromatic(two[0])):
        return None
    tritone = tuple(tone_name(tone, case.key) for tone in (one[1], one[0]))
    text = (f"{printed(old, case.key)}’s seventh, {tritone[0]}, is {_plain(new, case.key)}’s third, "
            f"and its third, {tritone[1]}, the seventh")  # fmt: skip
    return Claim(
        "shared_tritone", text, (("old", old), ("new", new), ("tones", (chromatic(one[1]), chromatic(one[0]))))
    )


def _plain(chord: Chord, key: Key) -> str:
    """A chord by root and bare kind, as one says it: E7 for E7♯11; whole where it is not that kind (D♭mM7)."""
    sounding = in_context(chord)
    for bare in ("7", "m7", "m7b5"):
        if set(QUALITIES[bare].degrees) <= set(sounding.quality.degrees):
            return printed(sounding.with_quality(bare), key)
    return printed(sounding, key)


_BASS_WORDS = {11: "falls a half step into", 10: "falls a whole step into", 1: "rises a half step into", 0: "stays on",
               2: "rises a whole step into", 5: "falls a fifth into", 7: "falls a fourth into"}  # fmt: skip


def bass_into_target(case: Case) -> Claim | None:
    """How the last new bass note reaches the bass of the chord that follows."""
    if case.following is None:
        return None
    last = case.new[-1]
    motion = (case.following.bass_pc - last.bass_pc) % 12
    goal = bass_name(case.following, case.key)
    if motion not in _BASS_WORDS:
        return None
    return Claim(
        "bass_into_target",
        f"the bass {_BASS_WORDS[motion]} {goal}",
        (("from", last.bass_pc), ("to", case.following.bass_pc)),
    )


def bass_line(case: Case) -> Claim | None:
    """The bass notes through the change, where they move by step."""
    chords = [*case.new, *([case.following] if case.following else [])]
    if len(chords) < 3:
        return bass_into_target(case)
    names = [bass_name(chord, case.key) for chord in chords]
    return Claim(
        "bass_line", f"the bass goes {', '.join(names)}", (("bass", tuple(chord.bass_pc for chord in chords)),)
    )


def seventh_resolves(case: Case) -> Claim | None:
    """The new dominant's seventh moves by step to a tone of the chord that follows."""
    found = _third_and_seventh(case.new[-1])
    if found is None or case.following is None:
        return None
    return _resolution("seventh", found[1], case)


def _resolution(name: str, tone: int, case: Case) -> Claim | None:
    assert case.following is not None
    goals = {chromatic(goal): goal for goal, _ in guide_tones(case.following)}
    goals |= {chromatic(goal): goal for goal in case.following.tones if chromatic(goal) not in goals}
    for motion, word in ((-1, "falls a half step"), (-2, "falls a whole step"), (0, "stays"), (1, "rises a half step")):
        goal = (chromatic(tone) + motion) % 12
        if goal in goals:
            there = tone_name(goals[goal], case.key)
            where = f"as part of {printed(case.following, case.key)}" if motion == 0 else f"to {there}"
            text = f"its {name}, {tone_name(tone, case.key)}, {word} {where}"
            return Claim("resolution", text, (("tone", chromatic(tone)), ("goal", goal), ("into", case.following)))
    return None


def common_tones(case: Case) -> Claim | None:
    """Tones that the last old and the last new chord both hold."""
    old, new = case.old[-1], case.new[-1]
    kept = [tone for tone in simple(old, case.key).tones if chromatic(tone) in new.pitch_classes]
    if not kept:
        return None
    *some, last = (tone_name(tone, case.key) for tone in kept[:3])
    names = f"{', '.join(some)} and {last}" if some else last
    verb = "stays" if len(kept) == 1 else "stay"
    text = f"{names} {verb} from {printed(old, case.key)}"
    return Claim(
        "common_tones", text, (("old", old), ("new", new), ("tones", tuple(chromatic(tone) for tone in kept[:3])))
    )


def holds_through(case: Case) -> Claim | None:
    """A tone that all the new chords share."""
    if len(case.new) < 2:
        return None
    shared = frozenset.intersection(*(chord.pitch_classes for chord in case.new))
    held = [tone for tone, _ in guide_tones(case.new[0]) if chromatic(tone) in shared]
    if not held:
        return None
    return Claim("holds_through", f"{tone_name(held[0], case.key)} stays through both chords",
                 (("new", case.new), ("tones", (chromatic(held[0]),))))  # fmt: skip


def ii_of(case: Case) -> Claim | None:
    """The first new chord is the ii of the last: a minor chord a fifth above a dominant."""
    if len(case.new) < 2:
        return None
    first, last = case.new[-2], case.new[-1]
    if not (is_minor(first) and is_dominant(last) and root_motion(first, last) == 5):
        return None
    text = f"{_plain(first, case.key)} is the ii of {_plain(last, case.key)}"
    return Claim("ii_of", text, (("ii", first), ("dominant", last)))


def guide_tone_step(case: Case) -> Claim | None:
    """Between the two new chords one guide tone stays and the other moves a half step."""
    if len(case.new) < 2:
        return None
    one, two = guide_tones(case.new[-2]), guide_tones(case.new[-1])
    for (tone, degree), (goal, into) in ((one[1], two[0]), (one[0], two[1])):
        if (chromatic(tone) - chromatic(goal)) % 12 == 1:
            here, there = tone_name(tone, case.key), tone_name(goal, case.key)
            last = _plain(case.new[-1], case.key)
            text = f"its {_ORDINALS[degree.number]}, {here}, falls a half step to {there}, "
            text += f"the {_ORDINALS[into.number]} of {last}"
            return Claim(
                "guide_tone_step", text, (("tone", chromatic(tone)), ("goal", chromatic(goal)), ("into", case.new[-1]))
            )
    return None


def aims_at(case: Case) -> Claim | None:
    """The last new chord is a dominant a half step above, a fifth above or a whole step below what follows."""
    if case.following is None or not is_dominant(case.new[-1]):
        return None
    words = {5: "a fifth above", 11: "a half step above", 2: "a whole step below"}
    motion = root_motion(case.new[-1], case.following)
    if motion not in words:
        return None
    last, goal = case.new[-1], simple(in_context(case.following), case.key).root
    text = f"{_plain(last, case.key)} is the dominant {words[motion]} {pretty_name(goal)}"
    return Claim("aims_at", text, (("dominant", last), ("following", case.following), ("motion", motion)))


def fourth_for_third(case: Case) -> Claim | None:
    """The new chord has the fourth of the old root in place of its third, over the same root."""
    new = next((chord for chord in case.new if in_context(chord).quality.degree(4)), None)
    old = in_context(case.old[-1])
    if new is None or in_context(new).root_pc != old.root_pc or old.quality.degree(3) is None:
        return None
    fourth, third = old.root - 1, old.root + 4
    text = (f"{printed(new, case.key)} holds the fourth, {tone_name(fourth, case.key)}, back from the third, "
            f"{tone_name(third, case.key)}")  # fmt: skip
    return Claim("fourth_for_third", text, (("new", new), ("fourth", chromatic(fourth)), ("third", chromatic(third))))


def third_arrives(case: Case) -> Claim | None:
    """After the sus chord its dominant brings the third."""
    if len(case.new) < 2 or in_context(case.new[0]).quality.degree(4) is None:
        return None
    last = in_context(case.new[-1])
    if last.root_pc != in_context(case.new[0]).root_pc or last.quality.degree(3) != Degree(3):
        return None
    third = last.root + 4
    text = f"the third, {tone_name(third, case.key)}, arrives with {printed(case.new[-1], case.key)}"
    return Claim("third_arrives", text, (("third", chromatic(third)), ("new", case.new[-1])))


def natural_fifth(case: Case) -> Claim | None:
    """A minor chord over the root of a half-diminished one: third and seventh stay, the fifth is natural."""
    old, new = case.old[-1], case.new[-1]
    if old.root_pc != new.root_pc or old.quality.family != "half_diminished" or new.quality.family != "minor":
        return None
    third, seventh = old.root - 3, old.root - 2
    flat, natural = old.root - 6, old.root + 1
    text = (f"{tone_name(third, case.key)} and {tone_name(seventh, case.key)} stay, and the fifth opens from "
            f"{tone_name(flat, case.key)} to {tone_name(natural, case.key)}")  # fmt: skip
    return Claim("natural_fifth", text, (("old", old), ("new", new), ("tones", (chromatic(third), chromatic(seventh))),
                                         ("opened", (chromatic(flat), chromatic(natural)))))  # fmt: skip


def holds_the_tonic(case: Case) -> Claim | None:
    """The new chord holds the root of the chord that follows."""
    if case.following is None:
        return None
    goal, last = in_context(case.following).root, case.new[-1]
    held = next(
        (degree for degree in last.quality.degrees if (last.root_pc + degree.semitones) % 12 == chromatic(goal)), None
    )
    if held is None:
        return None
    name = _ORDINALS.get(held.number, with_signs(str(held)))
    text = f"its {name} is already {tone_name(goal, case.key)}"
    return Claim("holds_the_tonic", text, (("new", last), ("tone", chromatic(goal))))


def minor_subdominant(case: Case) -> Claim | None:
    """The new chords hold the flat sixth of the key, the colour of the minor subdominant."""
    flat_six = case.key.tonic - 4
    if case.key.is_minor or not any(chromatic(flat_six) in chord.pitch_classes for chord in case.new):
        return None
    text = (
        f"{tone_name(flat_six, case.key)} brings the minor subdominant into {tone_name(case.key.tonic, case.key)} major"
    )
    return Claim("minor_subdominant", text, (("tone", chromatic(flat_six)), ("new", case.new)))


def chromatic_into(case: Case) -> Claim | None:
    """Every tone of the new chord lies a half step from a tone of the following chord, where it does."""
    if case.following is None:
        return None
    last, goal = case.new[-1], case.following
    same = goal.bass is None and in_context(last).quality.semitones == in_context(goal).quality.semitones
    motion = root_motion(last, goal)
    if not same or motion not in (1, 11):
        return None
    way = "up" if motion == 1 else "down"
    text = f"every voice moves {way} a half step into {printed(goal, case.key)}"
    return Claim("chromatic_into", text, (("new", last), ("following", goal), ("motion", motion)))


CLAIMS: dict[str, Callable[[Case], Claim | None]] = {
    claim.__name__: claim
    for claim in (shared_tritone, bass_into_target, bass_line, seventh_resolves, common_tones, holds_through, ii_of,
                  guide_tone_step, aims_at, fourth_for_third, third_arrives, natural_fifth, holds_the_tonic,
                  minor_subdominant, chromatic_into)
}  # fmt: skip
"""Every claim a technique may make, by name."""


@lru_cache(maxsize=8192)  # a tune says the same things again in its next section
def reasons(names: tuple[str, ...], case: Case, most: int = 3) -> tuple[Claim, ...]:
    """The claims of a technique that are true here, in order, at most ``most``."""
    made = (CLAIMS[name](case) for name in names)
    return tuple(islice((claim for claim in made if claim is not None), most))


def sentence(claims: tuple[Claim, ...]) -> str:
    """Claims joined into one plain sentence."""
    if not claims:
        return ""
    text = "; ".join(claim.text for claim in claims)
    return text[0].upper() + text[1:] + "."
