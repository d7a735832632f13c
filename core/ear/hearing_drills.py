"""One chord of the row heard in three steps (bass, guide tones, everything), and singing before hearing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from functools import partial
from random import Random
from types import MappingProxyType

from core.chart import notes_between
from core.chord import Chord, in_context
from core.ear.ask import Ask, Ground
from core.ear.cutting import around, excerpt
from core.ear.question import DRILLS, Answer, Question
from core.key import Key
from core.pitch import chromatic, pretty_name
from core.row import Row, Slot, merged
from core.spelling import bass_name, printed, tone_name

LEAST_BEATS = Fraction(2)
STEPS = ("1", "♭2", "2", "♭3", "3", "4", "♯4", "5", "♭6", "6", "♭7", "7")
"""Steps of the key by semitones above its tonic."""
MAJOR_STEPS = (0, 2, 4, 5, 7, 9, 11)
CHOICES = 5
# What the bass with the two guide tones tells apart. A half-diminished chord is minor here: its fifth is silent.
KIND_OF_FAMILY: Mapping[str, str] = MappingProxyType({"major": "major", "dominant": "dominant", "minor": "minor",
    "half_diminished": "minor", "suspended": "suspended", "diminished": "diminished"})  # fmt: skip
KIND_WORDS: Mapping[str, str] = MappingProxyType({
    "major": "major: major third, major seventh or sixth", "dominant": "dominant: major third, minor seventh",
    "minor": "minor: minor third, minor seventh", "suspended": "suspended: fourth, minor seventh",
    "diminished": "diminished: minor third, diminished seventh"})  # fmt: skip
KIND_SEMITONES: Mapping[str, tuple[int, ...]] = MappingProxyType(
    {"major": (0, 4, 11), "dominant": (0, 4, 10), "minor": (0, 3, 10), "suspended": (0, 5, 10), "diminished": (0, 3, 9)}
)
# Qualities to confuse a chord with, by family: neighbours of each kind (common practice, no source).
NEIGHBOURS: Mapping[str, tuple[str, ...]] = MappingProxyType({
    "major": ("maj7", "7", "m7", "maj7#11"), "dominant": ("7", "maj7", "m7", "7alt", "9sus"),
    "minor": ("m7", "7", "m7b5", "maj7"), "half_diminished": ("m7b5", "m7", "dim7", "7"),
    "suspended": ("9sus", "7", "m7", "maj7"), "diminished": ("dim7", "m7b5", "7", "m7"),
})  # fmt: skip


def stage_asks(ground: Ground) -> Iterator[Ask]:
    """Every chord that lasts two beats or more, in three steps."""
    for slot, key in _places(ground):
        assert slot.chord is not None
        family = in_context(slot.chord).quality.sounding.family
        step = _step(slot.chord, key)
        yield Ask("bass", step, slot.onset, partial(_bass_question, ground, slot, key))
        if family in KIND_OF_FAMILY:
            yield Ask("guides", KIND_OF_FAMILY[family], slot.onset, partial(_guides_question, ground, slot, key))
            yield Ask("chord", _chord_id(slot.chord, key), slot.onset, partial(_chord_question, ground, slot, key))


def _places(ground: Ground) -> Iterator[tuple[Slot, Key]]:
    """Chords long enough to be asked for that end with their bar: the excerpt stops there, so they are the last."""
    chart, take = ground.chart, ground.take
    form = chart.form_of(take)
    ends = {bar.end for bar in form.bars}
    for slot in merged(chart.standard if take is None else take.row):
        if slot.chord is not None and slot.chord.upper is None and slot.duration >= LEAST_BEATS and slot.end in ends:
            yield slot, form.key_at(form.bar_at(slot.onset).index, chart.key_of(take))


def _row(ground: Ground) -> Row:
    return ground.chart.standard if ground.take is None else ground.take.row


def _step(chord: Chord, key: Key) -> str:
    return STEPS[(chord.bass_pc - key.tonic_pc) % 12]


def _frame(ground: Ground, slot: Slot) -> tuple[tuple[int, int], tuple[Fraction, Fraction]]:
    asked = slot.onset, slot.end
    return around(ground.chart.form_of(ground.take), *asked, before=2, after=0), asked


def _bass_question(ground: Ground, slot: Slot, key: Key, random: Random) -> Question:
    assert slot.chord is not None
    chord = slot.chord
    (low, high), asked = _frame(ground, slot)
    others = {one.chord.bass_pc for one in _row(ground) if one.chord} | {
        (key.tonic_pc + step) % 12 for step in MAJOR_STEPS
    }
    others.discard(chord.bass_pc)
    chosen = [chord.bass_pc, *random.sample(sorted(others), CHOICES - 1)]
    steps = sorted((pitch - key.tonic_pc) % 12 for pitch in chosen)
    names = {(one.chord.bass_pc - key.tonic_pc) % 12: bass_name(one.chord, key) for one in _row(ground) if one.chord}
    answers = tuple(
        Answer(STEPS[step], f"step {STEPS[step]}", names.get(step, _name(key, step)),
               frozenset({(key.tonic_pc + step) % 12}), (key.tonic_pc + step) % 12)
        for step in steps
    )  # fmt: skip
    heard = excerpt(ground.chart, ground.take, _row(ground), low, high, asked, frozenset(("bass", "drums")))
    step = _step(chord, key)
    reveal = f"The bass is on {bass_name(chord, key)}, step {step} of {pretty_name(key.tonic)}."
    return Question("bass", _in_last(DRILLS["bass"].asks), asked[0], low, high, heard, answers, step, reveal)


def _name(key: Key, step: int) -> str:
    """A step of the key by name, flats below the major scale's steps."""
    fifths = next(fifths for fifths in (0, 1, 2, 3, 4, 5, -1, -2, -3, -4, -5, 6) if chromatic(fifths) == step)
    return tone_name(key.tonic + fifths, key)


def _in_last(asks: str) -> str:
    return f"The last chord: {asks[0].lower()}{asks[1:]}"


def _guides_question(ground: Ground, slot: Slot, key: Key, _random: Random) -> Question:
    assert slot.chord is not None
    sounding = in_context(slot.chord)
    (low, high), asked = _frame(ground, slot)
    heard = excerpt(ground.chart, ground.take, _row(ground), low, high, asked,
                    frozenset(("bass", "drums", "piano")), guides=True)  # fmt: skip
    answers = tuple(
        Answer(kind, words, tones=frozenset((sounding.root_pc + step) % 12 for step in KIND_SEMITONES[kind]),
               bass=sounding.root_pc)
        for kind, words in KIND_WORDS.items()
    )  # fmt: skip
    right = KIND_OF_FAMILY[sounding.quality.sounding.family]
    reveal = f"{printed(slot.chord, key)} is {KIND_WORDS[right]}."
    return Question("guides", _in_last(DRILLS["guides"].asks), asked[0], low, high, heard, answers, right, reveal)


def _chord_question(ground: Ground, slot: Slot, key: Key, random: Random) -> Question:
    assert slot.chord is not None
    chord = slot.chord
    family = in_context(chord).quality.sounding.family
    (low, high), asked = _frame(ground, slot)
    chosen = list(_distinct([chord, *_confusable(ground, chord, family)], key))[:CHOICES]
    random.shuffle(chosen)
    heard = excerpt(ground.chart, ground.take, _row(ground), low, high, asked)
    step = _step(chord, key)
    answers = tuple(
        Answer(_chord_id(one, key), printed(one, key),
               tones=one.pitch_classes, bass=one.bass_pc)
        for one in chosen
    )  # fmt: skip
    reveal = f"That was {printed(chord, key)}, on step {step}."
    return Question(
        "chord", _in_last(DRILLS["chord"].asks), asked[0], low, high, heard, answers, _chord_id(chord, key), reveal
    )


def _chord_id(chord: Chord, key: Key) -> str:
    """Where its bass stands in the key and its family: what is confused, whatever the colour."""
    return f"{_step(chord, key)} {in_context(chord).quality.sounding.family}"


def _confusable(ground: Ground, chord: Chord, family: str) -> Iterator[Chord]:
    """Another kind on the same root, and the same kind elsewhere in the tune."""
    root = in_context(chord)
    own = [root.with_quality(name) for name in NEIGHBOURS[family]]
    elsewhere = [slot.chord for slot in _row(ground) if slot.chord and slot.chord.upper is None]
    for one, other in zip(own, [*elsewhere, *own], strict=False):
        if one.quality.sounding.family != family:
            yield one
        if in_context(other).quality.sounding.family == family:
            yield other


def _distinct(chords: Iterable[Chord], key: Key) -> Iterator[Chord]:
    seen: set[str] = set()
    for chord in chords:
        if (identifier := _chord_id(chord, key)) not in seen:
            seen.add(identifier)
            yield chord


# --- singing ---------------------------------------------------------------------------------------------------------


def sing_asks(ground: Ground) -> Iterator[Ask]:
    """The root and the third of every chord that the tune sounds over."""
    melody = ground.chart.melody_of(ground.take)
    for slot, key in _places(ground):
        if not notes_between(melody, slot.onset, slot.end):
            continue
        yield Ask("sing", "root", slot.onset, partial(_sing_question, ground, slot, key, "root"))
        assert slot.chord is not None
        if in_context(slot.chord).quality.degree(3) is not None:
            yield Ask("sing", "third", slot.onset, partial(_sing_question, ground, slot, key, "third"))


def _sing_question(ground: Ground, slot: Slot, key: Key, tone: str, _random: Random) -> Question:
    assert slot.chord is not None
    sounding = in_context(slot.chord)
    third = sounding.quality.degree(3)
    wanted = sounding.root if tone == "root" or third is None else sounding.tone(third)
    (low, high), asked = _frame(ground, slot)
    heard = excerpt(ground.chart, ground.take, _row(ground), low, high, asked, frozenset(("tune",)))
    told = excerpt(ground.chart, ground.take, _row(ground), low, high, asked)
    answers = (
        Answer(tone, "I had it", tones=frozenset({chromatic(wanted)}), bass=chromatic(wanted)),
        Answer("another", "Not yet"),
    )
    asks = f"Hear the tune alone, and sing the {tone} of the last chord."
    reveal = f"The {tone} of {printed(slot.chord, key)} is {tone_name(wanted, key)}."
    return Question("sing", asks, asked[0], low, high, heard, answers, tone, reveal, told, checks_itself=True)
