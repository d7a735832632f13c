"""The voice-leading check: how far voices move into, inside and out of a change, and what the bass does.

``chord_motion`` is the smallest total motion, in semitones, of four voices from one chord to the next, each voice to
one voice (bijective, taxicab norm: Tymoczko 2006, *Science* 313:72–74). ``guide_motion`` is the same for the two guide
tones alone. Parallels are looked for between melody and bass, at chord changes.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

from core.chart import Melody, note_at
from core.chord import Chord, guide_tones, in_context
from core.finding import Check, Finding, worst
from core.key import Key
from core.pitch import chromatic
from core.row import Row
from core.spelling import bass_name

INSTANT = Fraction(1, 1024)
"""Quarter notes: shorter than any note, to ask what sounds at a moment."""
WIDE_GUIDE_STEP = 4
"""A single guide tone that moves further than this many semitones is worth a caution."""


def distance(one: int, other: int) -> int:
    """Semitones between two pitch classes by the shorter way, 0–6."""
    away = (other - one) % 12
    return min(away, 12 - away)


@lru_cache(maxsize=65536)
def minimal_motion(first: tuple[int, ...], second: tuple[int, ...]) -> int:
    """Smallest total motion between two equally large sets of pitch classes, each voice to one voice.

    The best assignment never crosses voices, so trying every rotation of the ordered sets is enough.
    """
    one, two = sorted(first), sorted(second)
    return min(sum(map(distance, one, two[turn:] + two[:turn])) for turn in range(len(two)))


@lru_cache(maxsize=4096)
def four_tones(chord: Chord) -> tuple[int, ...]:
    """Root, third (or fourth), fifth and seventh (or sixth) as pitch classes; the root again where one is missing."""
    sounding = in_context(chord)
    quality = sounding.quality.sounding
    third = quality.degree(3) or quality.degree(4) or quality.degree(2)
    fifth = quality.degree(5) or (quality.degree(13) if quality.family == "dominant" else None)
    seventh = quality.degree(7) or quality.degree(6)
    root = sounding.root_pc
    return (root, *((root + degree.semitones) % 12 if degree else root for degree in (third, fifth, seventh)))


@lru_cache(maxsize=65536)
def chord_motion(first: Chord, second: Chord) -> int:
    """Smallest motion of four voices between two chords, in semitones: ``chord_motion(G7, Db7) == 2``."""
    return minimal_motion(four_tones(first), four_tones(second))


@lru_cache(maxsize=65536)
def guide_steps(first: Chord, second: Chord) -> tuple[int, ...]:
    """The two guide tones' motions by the nearest way, in semitones (unsigned); empty where a chord has none."""
    one = [chromatic(tone) for tone, _ in guide_tones(first)]
    two = [chromatic(tone) for tone, _ in guide_tones(second)]
    if not one or not two:
        return ()
    straight = (distance(one[0], two[0]), distance(one[1], two[1]))
    crossed = (distance(one[0], two[1]), distance(one[1], two[0]))
    return min(straight, crossed, key=lambda steps: (sum(steps), steps))


def guide_motion(first: Chord, second: Chord) -> int:
    """Total motion of the guide tones, in semitones."""
    return sum(guide_steps(first, second))


@lru_cache(maxsize=65536)
def common_tones(first: Chord, second: Chord) -> frozenset[int]:
    """Pitch classes that both chords write."""
    return first.pitch_classes & second.pitch_classes


def leading_check(
    before: Chord | None, chords: Row, after: Chord | None, end: Fraction, melody: Melody, standard: Row, key: Key
) -> Check:
    """Judge a change between the chord before it and the chord after it, which begins at ``end``.

    ``standard`` is what stood there, so that only parallels that the change brings in are named.
    """
    path = [chord for chord in (before, *(slot.chord for slot in chords), after) if chord is not None]
    if len(path) < 2:
        return Check("voice_leading", "good", "nothing to lead", ())
    start = chords[0].onset
    findings = _guide_findings(before, chords, after, end)
    common = tuple(len(common_tones(one, two)) for one, two in pairwise(path))
    findings.append(Finding("voice_leading", "good", start, _bass_sentence(path, key),
                            (("bass", tuple(chord.bass_pc for chord in path)),
                             ("motion", tuple(map(chord_motion, path, path[1:]))),
                             ("common_tones", common))))  # fmt: skip
    new = _parallels(before, chords, after, end, melody)
    old = _parallels(before, standard, after, end, melody) if new else []
    findings += [
        Finding("voice_leading", "caution", at, f"melody and bass move in parallel {kind}", (("kind", kind),))
        for at, kind in new
        if (at, kind) not in old
    ]
    return Check("voice_leading", worst(f.verdict for f in findings), _summary(before, chords, after), tuple(findings))


def _guide_findings(before: Chord | None, chords: Row, after: Chord | None, end: Fraction) -> list[Finding]:
    """One finding for each change of chord: how far the guide tones go."""
    sequence = [(None, before)] + [(slot.onset, slot.chord) for slot in chords] + [(end, after)]
    findings = []
    for (_, one), (at, two) in pairwise(sequence):
        if one is None or two is None or at is None:
            continue
        steps = guide_steps(one, two)
        if not steps:
            continue
        wide = max(steps) > WIDE_GUIDE_STEP
        text = f"the guide tones move {steps[0]} and {steps[1]} half steps" + (", a jump" if wide else "")
        findings.append(Finding("voice_leading", "caution" if wide else "good", at, text, (("guide_tones", steps),)))
    return findings


def _bass_sentence(path: list[Chord], key: Key) -> str:
    names = [bass_name(chord, key) for chord in path]
    return "the bass goes " + ", ".join(names)


def _parallels(
    before: Chord | None, chords: Row, after: Chord | None, end: Fraction, melody: Melody
) -> list[tuple[Fraction, str]]:
    """Octaves or fifths between melody and bass at two successive chord changes, the bass having moved."""
    if not melody:
        return []
    places = [(slot.onset, slot.chord) for slot in chords] + [(end, after)]
    last: tuple[int, int] | None = None
    found = []
    for at, chord in places:
        note = note_at(melody, at)
        here = None if note is None or chord is None else (note.pitch.midi % 12, chord.bass_pc)
        if here and last and here[1] != last[1] and here[0] != last[0]:
            interval = (here[0] - here[1]) % 12
            if interval in (0, 7) and interval == (last[0] - last[1]) % 12:
                found.append((at, "octaves" if interval == 0 else "fifths"))
        last = here
    return found


def _summary(before: Chord | None, chords: Row, after: Chord | None) -> str:
    first, last = chords[0].chord, chords[-1].chord
    parts = []
    if before is not None and first is not None and guide_steps(before, first):
        parts.append(f"in {guide_motion(before, first)}")
    if after is not None and last is not None and guide_steps(last, after):
        parts.append(f"out {guide_motion(last, after)}")
    return ", ".join(parts) or "no guide tones"
