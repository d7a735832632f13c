"""The search against brute force: every chain of pieces of a small form, scored by another scorer."""

from __future__ import annotations

import random
from collections.abc import Iterable, Iterator
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from core.analysis import ChordAnalysis, analyse
from core.chart import Note
from core.checks.compiled_melody import compile_melody
from core.chord import Chord
from core.chorus.alternatives import Alternative
from core.chorus.cost import Pricing
from core.chorus.lattice import layer
from core.chorus.request import Request
from core.chorus.search import Found, cheapest, content, lattice
from core.chorus.segments import Segment, joints
from core.edit import new_chart
from core.form import Form
from core.key import parse_key
from core.meter import Meter
from core.pitch import Pitch
from core.propose import ground_for
from core.quality import QUALITIES
from core.row import Row, Slot
from core.techniques.ground import Ground
from tests.core.chorus.scorer import Scorer

BARS, WANTED = 6, 5
SEEDS = range(0, 500, 20)  # `python -m tests.tools.search_all` tries all 500
FAR = 1 << 30
KINDS = ("7", "m7", "maj7", "m7b5", "dim7", "13", "7b9", "6")
MELODY_STEPS = (0, 2, 4, 5, 7, 9, 11)
KEY = parse_key("C major")


def random_chord(rng: random.Random) -> Chord:
    """Any root and one of eight qualities."""
    return Chord(rng.randrange(-5, 7), QUALITIES[rng.choice(KINDS)])


def readings(row: Row, form: Form) -> tuple[ChordAnalysis, ...]:
    """A row read, all of it in one key, so that the scorer needs to know one only."""
    return tuple(replace(reading, key=KEY) for reading in analyse(row, form, KEY))


def _random_row(rng: random.Random) -> tuple[Slot, ...]:
    plain = [(0, "maj7"), (2, "m7"), (1, "7"), (3, "m7"), (-1, "maj7"), (3, "7"), (4, "m7")]
    chords = []
    while len(chords) < BARS:
        root, quality = rng.choice(plain)
        if not chords or chords[-1] != Chord(root, QUALITIES[quality]):
            chords.append(Chord(root, QUALITIES[quality]))
    if chords[0] == chords[-1]:
        chords[-1] = Chord(1, QUALITIES["7"]) if chords[-2].root != 1 else Chord(2, QUALITIES["m7"])
    return tuple(Slot(Fraction(4 * bar), Fraction(4), chord) for bar, chord in enumerate(chords))


def _random_alternatives(rng: random.Random) -> list[Alternative]:
    """Eight for every span of one, two and three bars, of one to four chords."""
    found = []
    for bars in (1, 2, 3):
        for first in range(BARS - bars + 1):
            sounds: set[tuple[object, ...]] = set()
            while len(sounds) < 8:
                count = rng.choice((1, 1, 2, 4))
                length = Fraction(4 * bars, count)
                chords: list[Chord] = []
                while len(chords) < count:
                    chord = random_chord(rng)
                    if not chords or chords[-1] != chord:
                        chords.append(chord)
                if tuple(chords) in sounds:
                    continue
                sounds.add(tuple(chords))
                slots = tuple(Slot(4 * first + length * place, length, chord) for place, chord in enumerate(chords))
                found.append(Alternative(slots[0].onset, slots[-1].end, slots, (), rng.randrange(6, 18)))
    return found


def random_melody(rng: random.Random, bars: int = BARS) -> tuple[Note, ...]:
    notes, at = [], Fraction(0)
    while at < 4 * bars:
        length = min(rng.choice((Fraction(1, 2), Fraction(1), Fraction(2), Fraction(3))), 4 * bars - at)
        if rng.random() < 0.2:
            step = rng.choice(MELODY_STEPS)
            fifths = {0: 0, 2: 2, 4: 4, 5: -1, 7: 1, 9: 3, 11: 5}[step]
            notes.append(Note(at, length, Pitch(fifths, 60 + step)))
        at += length
    return tuple(notes)


def _compositions(bars: int) -> Iterator[tuple[int, ...]]:
    if bars == 0:
        yield ()
    for part in (1, 2, 3):
        if part <= bars:
            for rest in _compositions(bars - part):
                yield part, *rest


def _brute_force(
    scorer: Scorer, offered: list[Alternative], anchored: dict[Fraction, str]
) -> dict[tuple[object, ...], int]:
    """The cost of every finished take, by its chords; numpy adds up, one axis for each piece of a tiling."""
    options: dict[tuple[int, int], list[Alternative | None]] = {(bar, 1): [None] for bar in range(BARS)}
    for one in offered:
        options.setdefault((int(one.start / 4), int((one.end - one.start) / 4)), []).append(one)
    own, meet = {}, {}
    for place, there in options.items():
        costs = [0 if one is None else scorer.own(one) for one in there]
        own[place] = np.array([FAR if cost is None else cost + (scorer.anchors(one, anchored) if one else 0)
                               for cost, one in zip(costs, there, strict=True)], dtype=np.int64)  # fmt: skip
    best: dict[tuple[object, ...], int] = {}
    for parts in _compositions(BARS):
        starts = [sum(parts[:index]) for index in range(len(parts))]
        places = list(zip(starts, parts, strict=True))
        total = np.zeros([len(options[place]) for place in places], dtype=np.int64)
        for axis, place in enumerate(places):
            shape = [1] * len(places)
            shape[axis] = -1
            total = total + own[place].reshape(shape)
            after = places[(axis + 1) % len(places)]
            if (place, after) not in meet:
                meet[place, after] = _meetings(scorer, options[place], place, options[after], after)
            if len(places) == 1:
                total = total + np.diagonal(meet[place, after])
                continue
            shape = [1] * len(places)
            shape[axis], shape[(axis + 1) % len(places)] = len(options[place]), len(options[after])
            matrix = meet[place, after]
            total = total + (matrix if axis + 1 < len(places) else matrix.T).reshape(shape)
        flat = total.reshape(-1)
        for index in _least(flat).tolist():
            if flat[index] >= FAR:
                continue
            pieces = [
                options[place][choice]
                for place, choice in zip(places, np.unravel_index(index, total.shape), strict=True)
            ]
            sound = _sound(scorer, places, pieces)
            best[sound] = min(best.get(sound, FAR), int(flat[index]))
    return best


def _least(flat: np.ndarray) -> np.ndarray:
    """Indexes of the least values: enough for the takes wanted and all that cost as much as the last of them."""
    few = min(40, len(flat) - 1)
    return np.argpartition(flat, few)[: few + 1]


def _meetings(
    scorer: Scorer, lefts: list[Alternative | None], left: tuple[int, int], rights: list[Alternative | None],
    right: tuple[int, int],
) -> np.ndarray:  # fmt: skip
    at = Fraction(4 * (left[0] + left[1]))
    firsts = [scorer.standard_at(Fraction(4 * right[0])) if one is None else one.chords[0].chord for one in rights]
    rows = [[scorer.meeting(one, at, first) for first in firsts if first] for one in lefts]
    return np.array([[FAR if cost is None else cost for cost in row] for row in rows], dtype=np.int64)


def _sound(scorer: Scorer, places: list[tuple[int, int]], pieces: list[Alternative | None]) -> tuple[object, ...]:
    told: list[tuple[Fraction, object]] = []
    for (start, _), piece in zip(places, pieces, strict=True):
        slots = ([(Fraction(4 * start), scorer.standard_at(Fraction(4 * start)))] if piece is None
                 else [(slot.onset, slot.chord) for slot in piece.chords])  # fmt: skip
        told += [(onset, chord) for onset, chord in slots]
    return tuple(entry for index, entry in enumerate(told) if index == 0 or told[index - 1][1] != entry[1])


@pytest.mark.parametrize("start", range(5))
def test_the_k_cheapest_takes_are_those_of_brute_force(start: int) -> None:
    """Costs and, below the last cost, the very takes; six bars, spans of one to three, eight alternatives a span."""
    compare(SEEDS[start::5])


def compare(seeds: Iterable[int]) -> None:
    """Search and brute force on some seeds."""
    for seed in seeds:
        rng = random.Random(seed)
        row, offered, melody = _random_row(rng), _random_alternatives(rng), random_melody(rng)
        chart = new_chart("six bars", KEY, Meter(4, 4), BARS)
        ground = Ground(row, readings(row, chart.form), melody, chart.form)
        boldness = rng.choice((0.1, 0.4, 0.8))
        pricing = Pricing(ground, compile_melody(melody, chart.form), chart.form, Request(boldness=boldness))
        whole = Segment(Fraction(0), chart.form.length)
        built = lattice(pricing, (layer(pricing, whole, offered),), joints((whole,)))
        found = cheapest(built, (np.zeros(len(built.layers[0].pieces), dtype=np.int64),), WANTED)
        scorer = Scorer(row, melody, chart.form, KEY, boldness)
        anchored = {at: weight for at, _, weight in pricing.anchors}
        expected = _brute_force(scorer, offered, anchored)
        costs = sorted(expected.values())[:WANTED]
        assert [one.cost for one in found] == costs, seed
        sounds = [tuple((onset, chord) for _, onset, chord in content(built, one)) for one in found]
        assert len(set(sounds)) == len(sounds)
        below = {sound for sound, cost in expected.items() if cost < costs[-1]}
        assert below <= set(sounds), seed
        assert all(expected.get(sound) == one.cost for sound, one in zip(sounds, found, strict=True)), seed


def test_pieces_tile_the_form() -> None:
    """What is found covers every segment without gap or overlap."""
    rng = random.Random(7)
    row, offered = _random_row(rng), _random_alternatives(rng)
    chart = new_chart("six bars", KEY, Meter(4, 4), BARS)
    ground = ground_for(chart, None, row)
    pricing = Pricing(ground, compile_melody((), chart.form), chart.form, Request())
    whole = Segment(Fraction(0), chart.form.length)
    built = lattice(pricing, (layer(pricing, whole, offered),), joints((whole,)))
    for found in cheapest(built, (np.zeros(len(built.layers[0].pieces), dtype=np.int64),), 20):
        assert isinstance(found, Found)
        at = 0
        for piece in found.pieces[0]:
            assert piece.start == at
            at = piece.stop
        assert at == len(built.layers[0].times) - 1
