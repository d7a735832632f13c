"""The function check: does the change still do the work of what it replaces?

*kept*: the last chord has the same function and aims at the same chord. *sharpened*: what only prepared or rested is
now a dominant of what follows. *softened*: it still leads there, as a
subdominant or a colour instead of a dominant. *redirected*: it aims at something that does not follow. *lost*: nothing
leads any more. The target's onset never moves: a change ends where the replaced span ended.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from core.chord import Chord, in_context
from core.finding import Check, Finding, worst
from core.function import Reading, is_dominant, is_tonic, read, root_motion
from core.key import Key
from core.pitch import pretty_name
from core.roman import pretty_numeral
from core.row import Row
from core.spelling import printed

EFFECTS = {"kept": "good", "sharpened": "good", "softened": "good", "redirected": "caution", "lost": "clash"}


@dataclass(frozen=True, slots=True)
class Effect:
    """An effect of :data:`EFFECTS`, and the readings before and after it was judged from."""

    name: str
    before: Reading
    after: Reading


def effect_of(old: Chord, new: Chord, following: Chord | None, key: Key, previous: Chord | None = None) -> Effect:
    """Compare what two chords do before the same following chord."""
    was, now = read(old, following, key, previous), read(new, following, key, previous)
    if in_context(old).root_pc == in_context(new).root_pc and is_dominant(old) and is_dominant(new):
        return Effect("kept", was, now)
    if now.function == "D" and now.resolves and was.function != "D":
        return Effect("sharpened", was, now)
    # A subdominant or tonic chord only prepares; a dominant must resolve to do the same work.
    if now.function == was.function and (now.resolves or not was.resolves or was.function != "D"):
        return Effect("kept", was, now)
    if not was.resolves:
        # Nothing was promised, so a chord that leads on, or is of the neighbouring area, only colours the way there.
        return Effect("kept" if now.resolves else "softened" if now.function != "N" else "redirected", was, now)
    if now.resolves or _leads(new, following, key):
        return Effect("softened", was, now)
    return Effect("redirected" if is_dominant(new) else "lost", was, now)


def _leads(chord: Chord, following: Chord | None, key: Key) -> bool:
    """Root motion that pulls without a dominant: down a half step, a fifth or a fourth, or ♭VII up into the tonic."""
    if following is None:
        return False
    motion = root_motion(chord, following)
    return motion in (5, 7, 11) or (motion == 2 and is_tonic(following, key))


def function_check(
    previous: Chord | None, old: Row, new: Row, following: Chord | None, end: Fraction, key: Key
) -> Check:
    """Judge a replaced span: its last chord must lead on at ``end``, and what led into it must still arrive."""
    before, after = old[-1].chord, new[-1].chord
    if before is None or after is None:
        return Check(
            "function", "caution", "silence", (Finding("function", "caution", end, "one of the rows is silent"),)
        )
    effect = effect_of(before, after, following, key, previous)
    target = _place_of(following, key)
    leads = effect.after.resolves and effect.after.function in "ST" and following is not None
    aims = effect.after.resolves or (effect.name == "softened" and _leads(after, following, key))
    summary = f"aims at {target}" if aims and following is not None else effect.name
    if leads:  # a ii, or the tonic of a blues, leads on; it does not resolve
        summary = f"leads to {printed(following, key)}"
    text = f"in {pretty_name(key.tonic)} {key.mode}, {_words(effect.before)} becomes {_words(effect.after)}: "
    text += f"function {effect.name}"
    facts = (("effect", effect.name), ("from", effect.before.function), ("to", effect.after.function),
             ("target_moves", 0))  # fmt: skip
    findings = [Finding("function", EFFECTS[effect.name], new[0].onset, text, facts)]
    if _loses_its_arrival(previous, old, new, key):
        lead, goal = printed(previous, key), printed(old[0].chord, key)
        findings.append(Finding("function", "caution", new[0].onset, f"{lead} led to {goal}, which is gone",
                                (("previous", previous.canonical if previous else None),)))  # fmt: skip
        summary = f"leaves {lead} unresolved" if effect.name == "kept" else summary
    return Check("function", worst(finding.verdict for finding in findings), summary, tuple(findings))


def _loses_its_arrival(previous: Chord | None, old: Row, new: Row, key: Key) -> bool:
    """A dominant before the span resolved into it and no longer does, not even over the ii of its target."""
    was, now = old[0].chord, new[0].chord
    if previous is None or was is None or now is None or not _resolves_as_dominant(previous, was, key):
        return False
    if read(previous, now, key).resolves:
        return False
    delayed = len(new) > 1 and new[1].chord is not None and _resolves_as_dominant(previous, new[1].chord, key)
    # The same chord over a pedal is the chord that was led to, whatever it sounds like on its new bass.
    return not delayed and was.root_pc not in (now.root_pc, in_context(now).root_pc)


def _resolves_as_dominant(chord: Chord, following: Chord, key: Key) -> bool:
    reading = read(chord, following, key)
    return reading.resolves and reading.function == "D"


def _words(reading: Reading) -> str:
    return f"{pretty_numeral(reading.numeral)} ({reading.role})"


@lru_cache(maxsize=4096)
def _place_of(chord: Chord | None, key: Key) -> str:
    """A chord as a place to arrive at: its root alone, as players name it."""
    return printed(chord and replace(in_context(chord).with_quality("maj"), bass=None), key)
