"""Claims about tones: what two chords share, what a change opens, borrows or holds back."""

from __future__ import annotations

from core.chord import Chord, guide_tones, in_context
from core.pitch import Degree, chromatic, with_signs
from core.quality import QUALITIES
from core.spelling import printed, simple, tone_name
from core.symbol import format_chord
from core.techniques.claims.case import ORDINALS, Case, Claim, listed, plain


def common_tones(case: Case) -> Claim | None:
    """Tones that the last old chord and the last new one that is another chord both hold."""
    old, new = case.old[-1], next((chord for chord in reversed(case.new) if chord not in case.old), None)
    if new is None:
        return None
    kept = [tone for tone in simple(old, case.key).tones if chromatic(tone) in new.pitch_classes]
    if not kept:
        return None
    verb = "stays" if len(kept) == 1 else "stay"
    text = f"{listed(kept[:3], case.key)} {verb} from {printed(old, case.key)}"
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
    name = ORDINALS.get(held.number, with_signs(str(held)))
    text = f"{printed(last, case.key)}’s {name} is already {tone_name(goal, case.key)}"
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


def altered_tones(case: Case) -> Claim | None:
    """Over the same root, tones of the old chord that the new one has a half step lower or higher."""
    old, new = (
        in_context(case.old[-1]),
        next((c for c in map(in_context, case.new) if c != in_context(case.old[-1])), None),
    )
    if new is None or old.root_pc != new.root_pc:
        return None
    gone = [tone for tone in old.tones if chromatic(tone) not in new.pitch_classes]
    come = [tone for tone in new.tones if chromatic(tone) not in old.pitch_classes]
    moves = [(one, two, step) for one in gone for two in come for step in (-1, 1)
             if (chromatic(one) + step - chromatic(two)) % 12 == 0][:2]  # fmt: skip
    if not moves:
        return None
    text = " and ".join(f"{tone_name(one, case.key)} {'falls' if step < 0 else 'rises'} to {tone_name(two, case.key)}"
                        for one, two, step in moves)  # fmt: skip
    tones = [tuple(chromatic(move[side]) for move in moves) for side in (0, 1)]
    return Claim("altered_tones", f"{text} over the same root", (
        ("holds", ((old, tones[0]), (new, tones[1]))),
        ("moves", tuple((chromatic(one), chromatic(two), step) for one, two, step in moves))))  # fmt: skip


_FLAT_DEGREES = (-3, -4, -2)
"""♭3, ♭6 and ♭7 in fifths from the tonic: what the minor key has and the major has not."""


def parallel_minor(case: Case) -> Claim | None:
    """Tones of a new chord, by their spelling, that the minor key on the same tonic has and the major has not."""
    if case.home.is_minor:
        return None
    flats = [case.home.tonic + degree for degree in _FLAT_DEGREES]
    borrowed = ((chord, [tone for tone in chord.tones if tone in flats][:2])
                for chord in case.new if chord not in case.old)  # fmt: skip
    new, found = next((pair for pair in borrowed if pair[1]), (None, []))
    if new is None:
        return None
    verb = "comes" if len(found) == 1 else "come"
    tonic = tone_name(case.home.tonic, case.home)
    return Claim("parallel_minor", f"{listed(found, case.home)} {verb} from {tonic} minor", (
        ("holds", ((new, tuple(map(chromatic, found))),)),
        ("degrees", tuple((chromatic(tone) - case.home.tonic_pc) % 12 for tone in found))))  # fmt: skip


def leading_tone(case: Case) -> Claim | None:
    """The last new chord holds the leading tone of the chord that follows."""
    if case.following is None:
        return None
    new, goal = case.new[-1], in_context(case.following).root
    if (chromatic(goal) - 1) % 12 not in new.pitch_classes:
        return None
    tone, root = goal + 5, simple(in_context(case.following), case.key).root
    held, goal_name = tone_name(tone + root - goal, case.key), tone_name(root, case.key)
    text = f"{printed(new, case.key)} holds {held}, the leading tone of {goal_name}"
    return Claim("leading_tone", text, (("holds", ((new, (chromatic(tone),)),)),
                                        ("moves", ((chromatic(tone), chromatic(goal), 1),))))  # fmt: skip


def rootless_flat_nine(case: Case) -> Claim | None:
    """A diminished seventh is a dominant with a flat ninth on the fifth above what follows, without its root."""
    other = in_context(case.old[-1])
    diminished = next((c for c in (*case.new, *case.old) if c.quality.sounding.id == "dim7"), None)
    if diminished is None:
        return None
    tones = {(diminished.root_pc + step) % 12 for step in (0, 3, 6, 9)}
    roots = [in_context(case.following).root + 1] if case.following else []
    roots += [other.root] if other.quality.family == "dominant" else []
    for root in roots:
        if tones == {(chromatic(root) + step) % 12 for step in (1, 4, 7, 10)}:
            dominant = printed(Chord(root, QUALITIES["7b9"]), case.key)
            return Claim("rootless_flat_nine", f"{printed(diminished, case.key)} is {dominant} without its root", (
                ("holds", ((diminished, tuple(sorted(tones))),)), ("root", chromatic(root))))  # fmt: skip
    return None


def keeps_a_root(case: Case) -> Claim | None:
    """A diminished seventh that holds the root of the chord it embellishes."""
    diminished = next((chord for chord in case.new if chord.quality.sounding.id == "dim7"), None)
    if diminished is None:
        return None
    for host in (*case.new, case.following):
        if host is not None and host != diminished and in_context(host).root_pc == diminished.root_pc:
            root = tone_name(simple(in_context(host), case.key).root, case.key)
            held = (diminished.root_pc,)
            return Claim("keeps_a_root", f"{root} stays, the root of {printed(host, case.key)}",
                         (("holds", ((diminished, held), (host, held))),))  # fmt: skip
    return None


# Areas of the major key by degree and kind; of the minor key by degree. J. Thomas, Voice Leading for Guitar, ch. 1.
_AREAS = {"tonic": (0, 4, 9), "subdominant": (2, 5), "dominant": (7, 11)}
_MINOR_AREAS = {"tonic": (0, 3, 8), "subdominant": (2, 5), "dominant": (7, 11)}


def same_area(case: Case) -> Claim | None:
    """Old and new chord stand on degrees of one function area of the key and share tones."""
    old, new = in_context(case.old[-1]), in_context(case.new[-1])
    degrees = [(chord.root_pc - case.home.tonic_pc) % 12 for chord in (old, new)]
    areas = _MINOR_AREAS if case.home.is_minor else _AREAS
    area = next((name for name, places in areas.items() if all(degree in places for degree in degrees)), None)
    shared = [tone for tone in simple(old, case.home).tones if chromatic(tone) in new.pitch_classes]
    if area is None or degrees[0] == degrees[1] or len(shared) < 2:
        return None
    text = (f"{printed(new, case.home)} is {area} area like {printed(old, case.home)} and shares "
            f"{listed(shared[:3], case.home)} with it")  # fmt: skip
    held = tuple(map(chromatic, shared[:3]))
    return Claim(
        "same_area", text, (("holds", ((old, held), (new, held))), ("degrees", tuple(degrees)), ("area", area))
    )


def mirrored(case: Case) -> Claim | None:
    """Every tone of the old chord lies as far below the fifth of the key as its mirror above the tonic."""
    old, new, tonic = in_context(case.old[-1]), in_context(case.new[-1]), case.home.tonic_pc
    pairs = [(tone, mirror) for tone in old.tones for mirror in new.tones
             if (chromatic(tone) + chromatic(mirror) - 2 * tonic - 7) % 12 == 0]  # fmt: skip
    if len(pairs) < 3:
        return None
    said = ", ".join(f"{tone_name(one, case.home)} becomes {tone_name(two, case.home)}" for one, two in pairs[:4])
    centre = f"{tone_name(case.home.tonic, case.home)} and {tone_name(case.home.tonic + 1, case.home)}"
    tones = [tuple(chromatic(pair[side]) for pair in pairs[:4]) for side in (0, 1)]
    return Claim("mirrored", f"mirrored between {centre}, {said}", (
        ("holds", ((old, tones[0]), (new, tones[1]))), ("mirror", (tonic, *tones))))  # fmt: skip


def triad_tensions(case: Case) -> Claim | None:
    """What the upper triad of a polychord adds to the chord below it."""
    new = case.new[-1]
    if new.upper is None:
        return None
    lower = new.lower_quality
    added = [degree for degree in new.quality.degrees if degree not in lower.degrees]
    if not added:
        return None
    names = [f"the {with_signs(str(degree))}" for degree in added]
    words = f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else names[0]
    triad = simple(new, case.key).upper
    assert triad is not None
    text = f"the {format_chord(triad)} triad brings {words} over {plain(case.old[-1], case.key)}"
    held = tuple((new.root_pc + degree.semitones) % 12 for degree in added)
    return Claim("triad_tensions", text, (("holds", ((new.upper, held),)),))


def stacked_fourths(case: Case) -> Claim | None:
    """A minor eleventh holds three fourths from its root and a major third on top."""
    new = case.new[-1]
    tones = (new.root, new.root - 1, new.root - 2, new.root - 3, new.root + 1)
    if not {chromatic(tone) for tone in tones} <= new.pitch_classes:
        return None
    names = ", ".join(tone_name(tone, case.key) for tone in tones)
    return Claim("stacked_fourths", f"it can be stacked {names}: fourths with a major third on top",
                 (("holds", ((new, tuple(map(chromatic, tones))),)),))  # fmt: skip


def held_back(case: Case) -> Claim | None:
    """The replaced chord comes later, after the first new one."""
    if len(case.new) < 2 or case.new[-1] != case.old[-1] or case.new[0] == case.old[-1]:
        return None
    text = f"{printed(case.new[0], case.key)} holds {printed(case.old[-1], case.key)} back"
    return Claim("held_back", text, (("order", (case.new[0], case.new[-1])), ("old", case.old[-1])))


def left_out(case: Case) -> Claim | None:
    """A chord that stood there is left out and the one that is kept does its work alone."""
    if len(case.new) != 1 or len(case.old) < 2 or case.new[0] not in case.old:
        return None
    gone = next(chord for chord in case.old if chord != case.new[0])
    text = f"{printed(gone, case.key)} is left out and {printed(case.new[0], case.key)} takes its time"
    return Claim("left_out", text, (("kept", case.new[0]), ("old", case.old), ("gone", gone)))


def flat_six_falls(case: Case) -> Claim | None:
    """The flat sixth of the key, held by the last new chord, falls to the fifth, held by the chord that follows."""
    if case.following is None or case.key.is_minor:
        return None
    sixth, fifth = case.key.tonic - 4, case.key.tonic + 1
    if chromatic(sixth) not in case.new[-1].pitch_classes or chromatic(fifth) not in case.following.pitch_classes:
        return None
    text = f"{tone_name(sixth, case.key)} falls a half step to {tone_name(fifth, case.key)}"
    return Claim("flat_six_falls", text, (
        ("holds", ((case.new[-1], (chromatic(sixth),)), (case.following, (chromatic(fifth),)))),
        ("moves", ((chromatic(sixth), chromatic(fifth), -1),))))  # fmt: skip


def adds_colour(case: Case) -> Claim | None:
    """Tones that the new chord adds over the same root, everything else staying."""
    old, new = in_context(case.old[-1]), in_context(case.new[-1])
    if old.root_pc != new.root_pc or not old.pitch_classes < new.pitch_classes:
        return None
    added = [tone for tone in new.tones if chromatic(tone) not in old.pitch_classes]
    one, two = printed(case.old[-1], case.key), printed(case.new[-1], case.key)
    return Claim("adds_colour", f"{two} adds {listed(added, case.key)} to {one}",
                 (("holds", ((new, tuple(map(chromatic, added))),)),))  # fmt: skip


def recoloured(case: Case) -> Claim | None:
    """What one chord has that the other has not, over the same root; or the bass that it stands on now."""
    old, new = in_context(case.old[-1]), in_context(case.new[-1])
    if old.root_pc != new.root_pc:
        return None
    come = _degrees_missing_in(old, new)
    gone = _degrees_missing_in(new, old)
    one, two = printed(case.old[-1], case.key), printed(case.new[-1], case.key)
    if come and gone:
        text = f"{two} has {_degrees(come)} for {_degrees(gone)} of {one}"
    elif come:
        text = f"{two} adds {_degrees(come)} to {one}"
    elif gone:
        text = f"{two} leaves out {_degrees(gone)} of {one}"
    elif old.bass_pc != new.bass_pc:
        text = f"{two} is {one} over {tone_name(new.root if new.bass is None else new.bass, case.key)}"
    else:
        return None
    held = [tuple((new.root_pc + degree.semitones) % 12 for degree in degrees) for degrees in (gone, come)]
    return Claim("recoloured", text, (("holds", ((case.old[-1], held[0]), (case.new[-1], held[1]))),))


def _degrees_missing_in(one: Chord, other: Chord) -> list[Degree]:
    own = {(one.root_pc + degree.semitones) % 12 for degree in one.quality.degrees}
    return [degree for degree in other.quality.degrees if (other.root_pc + degree.semitones) % 12 not in own]


def _degrees(degrees: list[Degree]) -> str:
    *some, last = (f"the {'root' if degree.number == 1 else with_signs(str(degree))}" for degree in degrees)
    return f"{', '.join(some)} and {last}" if some else last
