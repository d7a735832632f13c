"""Claims about motion: the bass, voices that move together, lines inside a chord."""

from __future__ import annotations

from itertools import pairwise

from core.chord import in_context
from core.function import is_dominant, root_motion
from core.pitch import chromatic, pretty_name, simple_spelling
from core.spelling import bass_name, printed, simple, tone_name
from core.techniques.claims.case import Case, Claim
from core.techniques.line import moving_line

BASS_WORDS = {0: "stays on", 1: "rises a half step into", 2: "rises a whole step into",
              3: "rises a minor third into", 4: "rises a major third into", 5: "falls a fifth into",
              6: "leaps a tritone into", 7: "falls a fourth into", 8: "falls a major third into",
              9: "falls a minor third into", 10: "falls a whole step into", 11: "falls a half step into"}  # fmt: skip


def bass_into_target(case: Case) -> Claim | None:
    """How the last new bass note reaches the bass of the chord that follows."""
    if case.following is None:
        return None
    last = case.new[-1]
    motion = (case.following.bass_pc - last.bass_pc) % 12
    goal = bass_name(case.following, case.key)
    return Claim(
        "bass_into_target",
        f"the bass {BASS_WORDS[motion]} {goal}",
        (("from", last.bass_pc), ("to", case.following.bass_pc), ("bass", (last.bass_pc,)), ("chords", (last,))),
    )


def bass_line(case: Case) -> Claim | None:
    """The bass notes through the change, where they move by step."""
    chords = [*case.new, *([case.following] if case.following else [])]
    if len(chords) < 3:
        return bass_into_target(case)
    names = [bass_name(chord, case.key) for chord in chords]
    return Claim(
        "bass_line",
        f"the bass goes {', '.join(names)}",
        (("bass", tuple(chord.bass_pc for chord in chords)), ("chords", tuple(chords))),
    )


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


def roots_by_fifths(case: Case) -> Claim | None:
    """Three roots or more, into the chord that follows, that fall by fifths."""
    chords = [*case.new, *([case.following] if case.following else [])]
    if len(chords) < 3 or any(root_motion(one, two) != 5 for one, two in pairwise(chords)):
        return None
    names = ", ".join(pretty_name(simple(in_context(chord), case.key).root) for chord in chords)
    roots = [in_context(chord).root_pc for chord in chords]
    holds = tuple((chord, (root,)) for chord, root in zip(chords, roots, strict=True))
    return Claim("roots_by_fifths", f"the roots fall by fifths: {names}",
                 (("moves", _moves(roots)), ("holds", holds)))  # fmt: skip


def _moves(pitch_classes: list[int]) -> tuple[tuple[int, int, int], ...]:
    return tuple((one, two, (two - one) % 12) for one, two in pairwise(pitch_classes))


_KIND_WORDS = {"maj7": "major seventh", "m7": "minor seventh", "7": "dominant seventh", "6": "sixth chord"}
_ROOT_STEPS = {1: "up in half steps", 11: "down in half steps", 2: "up in whole steps", 10: "down in whole steps",
               3: "up in minor thirds", 9: "down in minor thirds", 4: "up in major thirds", 8: "down in major thirds",
               5: "down in fifths", 7: "up in fifths"}  # fmt: skip


def constant_kind(case: Case) -> Claim | None:
    """All new chords are of one kind, and their roots move by one interval."""
    kinds = {in_context(chord).quality.id for chord in case.new}
    steps = {root_motion(one, two) for one, two in pairwise(case.new)}
    if len(case.new) < 3 or len(kinds) != 1 or len(steps) != 1 or not steps <= set(_ROOT_STEPS):
        return None
    kind, step = kinds.pop(), steps.pop()
    if kind not in _KIND_WORDS:
        return None
    roots = ", ".join(pretty_name(simple(chord, case.key).root) for chord in case.new)
    text = f"every chord is a {_KIND_WORDS[kind]} and the roots go {_ROOT_STEPS[step]}: {roots}"
    return Claim("constant_kind", text, (("moves", _moves([chord.root_pc for chord in case.new])), ("kind", case.new)))


def moving_voice(case: Case) -> Claim | None:
    """Over one root, into the last new chord at most, a single voice moves by half steps from chord to chord."""
    line = moving_line(case.new)
    if len(case.new) < 3 or len({chord.root_pc for chord in case.new[:3]}) != 1 or not line:
        return None
    names = ", ".join(tone_name(tone, case.key) for tone in line)
    root = pretty_name(simple(case.new[0], case.key).root)
    pitches = [chromatic(tone) for tone in line]
    return Claim("moving_voice", f"over {root} one voice goes {names}", (
        ("holds", tuple((chord, (pitch,)) for chord, pitch in zip(case.new, pitches, strict=True))),
        ("moves", _moves(pitches))))  # fmt: skip


def held_bass(case: Case) -> Claim | None:
    """One note stays in the bass under all the new chords."""
    basses = {chord.bass_pc for chord in case.new}
    if len(case.new) < 2 or len(basses) != 1 or len({chord.root_pc for chord in case.new}) < 2:
        return None
    name = bass_name(case.new[0], case.key)
    return Claim("held_bass", f"{name} stays in the bass under all of them",
                 (("bass", tuple(chord.bass_pc for chord in case.new)), ("chords", case.new)))  # fmt: skip


def steps_aside(case: Case) -> Claim | None:
    """A chord and the same kind of chord a half step away, and back again."""
    for one, two in pairwise(case.new):
        motion = root_motion(one, two)
        if motion in (1, 11) and one.quality.semitones == two.quality.semitones:
            way = "up" if motion == 1 else "down"
            text = f"{printed(two, case.key)} is {printed(one, case.key)} with every voice a half step {way}"
            return Claim("steps_aside", text, (("new", one), ("following", two), ("motion", motion)))
    return None


def thirds_cycle(case: Case) -> Claim | None:
    """Major chords a major third apart divide the octave in three."""
    tonics = list(dict.fromkeys(chord.root for chord in case.new if chord.quality.family == "major"))
    by_pitch = {chromatic(root): root for root in tonics}
    if len(by_pitch) != 3 or {(pitch - min(by_pitch)) % 12 for pitch in by_pitch} != {0, 4, 8}:
        return None
    names = [pretty_name(simple_spelling(root, case.key.signature)) for root in by_pitch.values()]
    majors = [chord for chord in case.new if chord.quality.family == "major"]
    return Claim("thirds_cycle", f"the majors on {names[0]}, {names[1]} and {names[2]} part the octave in major thirds",
                 (("thirds", tuple(by_pitch)), ("holds", tuple((c, (c.root_pc,)) for c in majors))))  # fmt: skip


def arrives_elsewhere(case: Case) -> Claim | None:
    """The dominant before the change led to the old chord and arrives at the new one."""
    if case.before is None or not is_dominant(case.before) or root_motion(case.before, case.old[0]) not in (5, 11):
        return None
    if in_context(case.new[0]).root_pc == in_context(case.old[0]).root_pc:
        return None
    text = (f"{printed(case.before, case.key)} arrives at {printed(case.new[0], case.key)} instead of "
            f"{printed(case.old[0], case.key)}")  # fmt: skip
    before = in_context(case.before).root_pc
    return Claim("arrives_elsewhere", text, (
        ("moves", ((before, in_context(case.old[0]).root_pc, root_motion(case.before, case.old[0])),)),
        ("differs", (case.old[0], case.new[0]))))  # fmt: skip
