"""Claims about dominants: tritones, resolutions, the ii before the V, the fourth in place of the third."""

from __future__ import annotations

from core.chord import guide_tones, in_context
from core.function import is_dominant, is_minor, root_motion
from core.pitch import Degree, chromatic, pretty_name
from core.spelling import printed, simple, tone_name
from core.techniques.claims.case import ORDINALS, Case, Claim, plain, third_and_seventh


def shared_tritone(case: Case) -> Claim | None:
    """Old and new dominant hold the same tritone, third and seventh having changed places."""
    old, new = case.old[-1], case.new[-1]
    one, two = third_and_seventh(old), third_and_seventh(new)
    if one is None or two is None:
        return None
    if (chromatic(one[0]), chromatic(one[1])) != (chromatic(two[1]), chromatic(two[0])):
        return None
    tritone = tuple(tone_name(tone, case.key) for tone in (one[1], one[0]))
    text = (f"{printed(old, case.key)}’s seventh, {tritone[0]}, is {plain(new, case.key)}’s third, "
            f"and its third, {tritone[1]}, the seventh")  # fmt: skip
    return Claim(
        "shared_tritone", text, (("old", old), ("new", new), ("tones", (chromatic(one[1]), chromatic(one[0]))))
    )


def seventh_resolves(case: Case) -> Claim | None:
    """The new dominant's seventh moves by step to a tone of the chord that follows."""
    found = third_and_seventh(case.new[-1])
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


def ii_of(case: Case) -> Claim | None:
    """The first new chord is the ii of the last: a minor chord a fifth above a dominant."""
    if len(case.new) < 2:
        return None
    first, last = case.new[-2], case.new[-1]
    if not (is_minor(first) and is_dominant(last) and root_motion(first, last) == 5):
        return None
    text = f"{plain(first, case.key)} is the ii of {plain(last, case.key)}"
    return Claim("ii_of", text, (("ii", first), ("dominant", last)))


def guide_tone_step(case: Case) -> Claim | None:
    """Between the two new chords one guide tone stays and the other moves a half step."""
    if len(case.new) < 2:
        return None
    one, two = guide_tones(case.new[-2]), guide_tones(case.new[-1])
    for (tone, degree), (goal, into) in ((one[1], two[0]), (one[0], two[1])):
        if (chromatic(tone) - chromatic(goal)) % 12 == 1:
            here, there = tone_name(tone, case.key), tone_name(goal, case.key)
            last = plain(case.new[-1], case.key)
            text = f"its {ORDINALS[degree.number]}, {here}, falls a half step to {there}, "
            text += f"the {ORDINALS[into.number]} of {last}"
            return Claim(
                "guide_tone_step", text, (("tone", chromatic(tone)), ("goal", chromatic(goal)), ("into", case.new[-1]))
            )
    return None


def aims_at(case: Case) -> Claim | None:
    """The last new chord is a dominant a half step above, a fifth above or a whole step below what follows."""
    if case.following is None or not is_dominant(case.new[-1]):
        return None
    words = {5: "a fifth above", 11: "a half step above", 2: "a whole step below", 8: "a major third above"}
    motion = root_motion(case.new[-1], case.following)
    if motion not in words:
        return None
    last, goal = case.new[-1], simple(in_context(case.following), case.key).root
    text = f"{plain(last, case.key)} is the dominant {words[motion]} {pretty_name(goal)}"
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


def leads_as_ii(case: Case) -> Claim | None:
    """The last new chord is the ii of the dominant that follows."""
    if case.following is None:
        return None
    last = case.new[-1]
    if not (is_minor(last) and is_dominant(case.following) and root_motion(last, case.following) == 5):
        return None
    text = f"{plain(last, case.key)} is the ii of {plain(case.following, case.key)}"
    return Claim("ii_of", text, (("ii", last), ("dominant", case.following)))


def ii_slides(case: Case) -> Claim | None:
    """The first new chord is the ii that follows, a half step higher."""
    if case.following is None or len(case.new) < 2 or root_motion(case.new[0], case.following) != 11:
        return None
    text = f"{plain(case.new[0], case.key)} lies a half step above {plain(case.following, case.key)}"
    here, there = in_context(case.new[0]).root_pc, in_context(case.following).root_pc
    return Claim("ii_slides", text, (("moves", ((here, there, 11),)),))
