"""Chords named from notes: what sounds in each beat, joined while it stays one chord, named by root, tones and bass.

A beat's tones are those that sound for a good part of it. Beats are joined while one holds the tones of the other or
is no chord of its own; a bar line ends a chord unless the next bar has the same. A name must hold every tone; of names
that do, the one wins that lacks least and has its root in the bass. Weights are judgement, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from core.chord import Chord
from core.foreign.events import Measure
from core.foreign.harmony_read import Harmony
from core.foreign.played import Events
from core.foreign.report import Report
from core.form import Form
from core.key import Key
from core.pitch import spell_near
from core.quality import QUALITIES, Quality

# Plainest first: of two names that say the same, the first is taken.
# fmt: off
_NAMES = (
    "maj", "m", "7", "maj7", "m7", "6", "m6", "m7b5", "dim7", "aug", "sus", "7sus", "dim", "9", "maj9", "m9", "69",
    "m69", "mM7", "add9", "madd9", "7b9", "7#9", "13", "7#5", "7b5", "9sus", "13sus", "7susb9", "7#11", "9#11",
    "maj7#11", "maj7#5", "m11", "maj13", "m13", "7b13", "13b9", "7b9b13", "7#9b13", "7#9#5", "7b9#5", "9#5", "13#11",
)
# fmt: on
_LACKS = {1: 0.35, 3: 0.5, 4: 0.6, 2: 0.6, 5: 0.06, 6: 0.5, 7: 0.5, 9: 0.25, 11: 0.25, 13: 0.25}
_ALTERED_FIFTH, _BASS, _RANK, _FOREIGN, _INVERTED = 0.5, 0.3, 0.006, 0.45, 0.12
_HEARD = 0.25
WORST = 1.0
"""A name that costs more than this is none: the beat keeps the chord before it."""


@dataclass(frozen=True, slots=True)
class _Heard:
    """What sounds from ``start`` to ``end`` in a bar: pitch classes as bits, and the lowest of them."""

    start: Fraction
    end: Fraction
    tones: int
    bass: int | None


def chords_from_notes(parts: Sequence[Sequence[Measure]], form: Form, key: Key, report: Report) -> Events:
    """Chord symbols of each written bar, named from all notes of the parts."""
    bars: Events = []
    for at, written in enumerate(form.written):
        notes = [note for part in parts if at < len(part) for note in part[at].notes]
        times = [(float(note.onset), float(note.onset + note.duration), note.pitch.midi) for note in notes]
        beats = _beats(times, written.length, written.meter.beat)
        events: list[tuple[Fraction, Harmony]] = []
        for heard in _joined(beats):
            name = named(heard.tones, heard.bass)
            if name is None or name[2] > WORST:
                if heard.tones.bit_count() > 2:
                    report.add("notes that make no chord with a name are left out of the chords", at)
                continue
            chord = _spelled(*name[:2], heard.bass, key)
            if not events or events[-1][1].chord != chord:
                events.append((heard.start, Harmony(chord, None)))
        bars.append(events)
    return bars


def _beats(notes: list[tuple[float, float, int]], length: Fraction, beat: Fraction) -> list[_Heard]:
    found, start = [], Fraction(0)
    while start < length:
        end = min(start + beat, length)
        first, last = float(start), float(end)
        sounding: dict[int, float] = {}
        low: int | None = None
        for onset, stop, pitch in notes:
            shared = min(last, stop) - max(first, onset)
            if shared > 0:
                sounding[pitch % 12] = sounding.get(pitch % 12, 0.0) + shared
                low = pitch if (low is None or pitch < low) and shared >= _HEARD * (last - first) else low
        most = min(max(sounding.values(), default=0.0), last - first)
        tones = sum(1 << tone for tone, share in sounding.items() if share >= most * _HEARD)
        found.append(_Heard(start, end, tones, None if low is None else low % 12))
        start = end
    return found


def _joined(beats: list[_Heard]) -> list[_Heard]:
    """Neighbouring beats joined while together they are still one chord."""
    joined: list[_Heard] = []
    for heard in beats:
        last = joined[-1] if joined else None
        if last is not None and _one_chord(last, heard):
            bass = last.bass if last.bass is not None else heard.bass
            joined[-1] = _Heard(last.start, heard.end, last.tones | heard.tones, bass)
        else:
            joined.append(heard)
    return joined


def _one_chord(first: _Heard, second: _Heard) -> bool:
    both = first.tones | second.tones
    if not second.tones or not first.tones or both in (first.tones, second.tones):
        return both.bit_count() < 8
    whole = named(both, first.bass)
    if whole is None or whole[2] > WORST:
        return False
    names = named(first.tones, first.bass), named(second.tones, second.bass)
    alone = [name for name in names if name is not None and name[2] <= WORST]
    return len(alone) < 2 or (whole[0] == alone[0][0] and both.bit_count() <= 5)


@lru_cache(maxsize=20_000)
def named(tones: int, bass: int | None) -> tuple[int, Quality, float] | None:
    """Root (chromatic number), quality and cost of the best name for a set of tones; None below two tones."""
    if tones.bit_count() < 2:
        return None
    best: tuple[int, Quality, float] | None = None
    for root in range(12):
        turned = (tones >> root | tones << (12 - root)) & 0xFFF
        for rank, (quality, mask, lacks) in enumerate(_table()):
            foreign = (turned & ~mask).bit_count()
            if foreign > 1:
                continue
            cost = foreign * _FOREIGN + rank * _RANK + sum(price for bit, price in lacks if not turned & bit)
            if bass is not None:
                cost -= _BASS if bass == root else -_INVERTED if mask >> (bass - root) % 12 & 1 else -_BASS
            if best is None or cost < best[2] - 1e-9:
                best = root, quality, cost
    return best


@lru_cache(maxsize=1)
def _table() -> tuple[tuple[Quality, int, tuple[tuple[int, float], ...]], ...]:
    rows = []
    for name in _NAMES:
        quality = QUALITIES[name]
        mask = sum(1 << tone for tone in set(quality.semitones))
        lacks = tuple((1 << degree.semitones % 12, _ALTERED_FIFTH if degree.number == 5 and degree.alteration
                       else _LACKS[degree.number]) for degree in quality.degrees)  # fmt: skip
        rows.append((quality, mask, lacks))
    return tuple(rows)


def _spelled(root: int, quality: Quality, bass: int | None, key: Key) -> Chord:
    fifths = spell_near(root, key.signature)
    if bass is None or bass == root or bass not in {(root + tone) % 12 for tone in quality.semitones}:
        return Chord(fifths, quality)
    degree = next(degree for degree in quality.degrees if (root + degree.semitones) % 12 == bass)
    return Chord(fifths, quality, fifths + degree.fifths)
