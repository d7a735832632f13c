"""What a rule may ask for beyond kinds of chord and root motions: named conditions on a :class:`Place`."""

from __future__ import annotations

from core.chord import in_context
from core.function import acts_as_dominant, is_dominant, is_tonic, root_motion
from core.techniques.technique import Condition, Place, kinds_of


def all_of(*conditions: Condition) -> Condition:
    """Every one of them."""
    return lambda place: all(condition(place) for condition in conditions)


def either(*conditions: Condition) -> Condition:
    """At least one of them."""
    return lambda place: any(condition(place) for condition in conditions)


def in_major(*degrees: int) -> Condition:
    """X stands on one of these degrees (semitones above the tonic) of a major key."""
    return lambda place: not place.here.is_minor and _degree(place) in degrees


def in_minor(*degrees: int) -> Condition:
    """X stands on one of these degrees (semitones above the tonic) of a minor key."""
    return lambda place: place.here.is_minor and _degree(place) in degrees


def _degree(place: Place) -> int:
    return (place.anchor.root_pc - place.here.tonic_pc) % 12


def first_is_tonic(place: Place) -> bool:
    """The first replaced chord stands on the tonic of the key that is arrived at."""
    return (in_context(place.replaced[0]).root_pc - place.key.tonic_pc) % 12 == 0


def tonic_follows(place: Place) -> bool:
    """The chord that follows is the tonic of the local key."""
    return place.following is not None and is_tonic(place.following, place.key)


def major_tonic_follows(place: Place) -> bool:
    """The chord that follows is a major tonic, not the resting seventh of a blues."""
    return tonic_follows(place) and not place.key.is_minor


def minor_follows(place: Place) -> bool:
    """The chord that follows is minor or half-diminished."""
    return place.following is not None and "ii" in kinds_of(place.following)


def not_last(place: Place) -> bool:
    """The chord is not where the chorus comes to rest."""
    return not place.last


def no_ii_before(place: Place) -> bool:
    """The chord before is not already the ii of the replaced dominant."""
    if place.before is None or "ii" not in kinds_of(place.before):
        return True
    return (place.anchor.root_pc - in_context(place.before).root_pc) % 12 != 5


def major_ii_fits(place: Place) -> bool:
    """A minor seventh is this dominant's ii, and is not there already."""
    return no_ii_before(place) and not minor_follows(place)


def minor_ii_fits(place: Place) -> bool:
    """A half-diminished chord is this dominant's ii, and is not there already."""
    return no_ii_before(place) and minor_follows(place)


def after_its_dominant(place: Place) -> bool:
    """The chord before is a dominant, or its substitute, that resolves into the first replaced chord."""
    if place.before is None or not is_dominant(place.before):
        return False
    return root_motion(place.before, place.replaced[0]) in (5, 11)


def goal_is_new(place: Place) -> bool:
    """The goal is another root, in root position and no passing diminished chord, and is not approached already."""
    goal = place.following
    if goal is None or (goal.bass is not None and in_context(goal) is goal) or "diminished" in kinds_of(goal):
        return False
    motion = root_motion(place.anchor, goal)
    return motion not in (0, 11) and not (motion == 5 and acts_as_dominant(place.replaced[-1], goal, place.key))


def goal_is_in_key(place: Place) -> bool:
    """The goal is new and can be a tonic for a moment: no half-diminished, and its root in the key, on ♭VI or ♭VII."""
    if not goal_is_new(place) or place.following is None or "half-diminished" in kinds_of(place.following):
        return False
    degree = (in_context(place.following).root_pc - place.key.tonic_pc) % 12
    return degree in ((0, 2, 3, 5, 7, 8, 10) if place.key.is_minor else (0, 2, 4, 5, 7, 9, 8, 10))


def planes_into(place: Place) -> bool:
    """From below in the quality of the goal: stable goals only, and not where the bass is there already."""
    return goal_is_new(place) and place.following is not None and root_motion(place.anchor, place.following) != 1


def is_flat_seven_of_tonic(place: Place) -> bool:
    """X is ♭VII before a major tonic."""
    return major_tonic_follows(place) and (place.key.tonic_pc - place.anchor.root_pc) % 12 == 2


def stands_for_a_dominant(place: Place) -> bool:
    """X is a diminished seventh that holds the leading tone of the chord that follows."""
    if place.following is None:
        return False
    return (in_context(place.following).root_pc - 1 - place.anchor.root_pc) % 3 == 0


def bass_by_step(place: Place) -> bool:
    """The bass rises a whole step into the chord that follows, whatever its root: IV before I over its fifth."""
    return place.following is not None and (place.following.bass_pc - place.replaced[-1].bass_pc) % 12 == 2


def same_key(place: Place) -> bool:
    """The replaced chord and the one that follows are in one key."""
    return place.key == place.here


def goal_in_root_position(place: Place) -> bool:
    """The chord that follows stands on its root."""
    return place.following is not None and (
        place.following.bass is None or in_context(place.following) is not place.following
    )


def not_already_four(place: Place) -> bool:
    """The chord that follows is not already the one a fourth above."""
    return place.following is None or root_motion(place.anchor, place.following) != 5


def is_last(place: Place) -> bool:
    """The chord is where the chorus comes to rest."""
    return place.last


def in_one_major_key(place: Place) -> bool:
    """The replaced chord and the next are in one major key."""
    return same_key(place) and not place.key.is_minor


def first_in_major_tonic(place: Place) -> bool:
    """The first replaced chord is a tonic of a major key."""
    return first_is_tonic(place) and not place.key.is_minor


def first_is_third_or_tonic(place: Place) -> bool:
    """Of two replaced chords the first is I or iii and the second VI of the key that is arrived at."""
    first, second = ((in_context(chord).root_pc - place.key.tonic_pc) % 12 for chord in place.replaced)
    return first in (0, 4) and second == 9


def leads_to_a_ii(place: Place) -> bool:
    """The goal is new and is the second degree of its key, on its way to a dominant."""
    if place.following is None or not goal_is_new(place):
        return False
    return (in_context(place.following).root_pc - place.key.tonic_pc) % 12 in (2, 4, 9)


def stays_on_the_tonic(place: Place) -> bool:
    """The first and the last replaced chord are the tonic, the one between is ii, IV, V, ♭VII or diminished."""
    roots = [in_context(chord).root_pc for chord in place.replaced]
    if not roots[0] == roots[-1] == place.here.tonic_pc:
        return False
    return (roots[1] - roots[0]) % 12 in (2, 5, 7, 10) or "diminished" in kinds_of(place.replaced[1])


def no_ii_yet(place: Place) -> bool:
    """X is not already the ii of the dominant that follows."""
    if place.following is None or "ii" not in kinds_of(place.replaced[-1]):
        return True
    return root_motion(place.replaced[-1], place.following) != 5


def goal_is_not_at_rest(place: Place) -> bool:
    """The chord that follows is no resting seventh of a blues: not the tonic, nor IV of a major key."""
    if place.following is None:
        return False
    degree = (in_context(place.following).root_pc - place.key.tonic_pc) % 12
    return degree != 0 and not (degree == 5 and not place.key.is_minor)


def leads_or_is_five(place: Place) -> bool:
    """X falls a fifth or a half step into the chord that follows, or is V of its key."""
    falls = place.following is not None and root_motion(place.anchor, place.following) in (5, 11)
    return falls or _degree(place) == 7


def not_into_the_end(place: Place) -> bool:
    """The chord that follows is not the tonic: a cadence wants its root in the bass."""
    return not tonic_follows(place)


def not_falling_already(place: Place) -> bool:
    """X is no minor chord that falls a fifth into the next: that one is made a dominant where it stands."""
    if place.following is None or "ii" not in kinds_of(place.replaced[-1]):
        return True
    return root_motion(place.replaced[-1], place.following) != 5


def leaves_the_tonic(place: Place) -> bool:
    """X is not the tonic that a V of the key would come back to."""
    if place.following is None or _degree(place) != 0:
        return True
    return (in_context(place.following).root_pc - place.here.tonic_pc) % 12 != 7
