"""Random charts for the round trip, and the MusicXML 4.0 schema."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from random import Random

import musicxml
from lxml import etree

from core.chart import STANDARD, Chart, Melody, NamedRow, Note, Take, check_chart
from core.chord import Chord
from core.form import JUMPS, MARKS, Form, FormError, WrittenBar, played_order
from core.key import Key
from core.meter import Meter
from core.pitch import Pitch, name_of
from core.quality import QUALITIES, SUFFIXES
from core.row import Row, Slot
from core.symbol import parse_symbol

METERS = (Meter(4, 4), Meter(3, 4), Meter(6, 8), Meter(5, 4), Meter(2, 2), Meter(7, 8), Meter(12, 8))
GRIDS = (1, 1, 2, 2, 4, 3, 8, 6, 5, 12, 7, 16)
UNUSUAL = ("D\\C7", "C7(no5)", "Bb7", "B♭7", "c7", "C6/9", "E♭Δ7", "F#ø", "Gm7/C", "N.C.", "C7#9b13#11", "Am(maj7)/G#")
NAMES = ("medium swing", "Bossa, even eighths", "Ballad", "slow 12/8", "Up! (as fast as you dare)")
# The two namespaces the schema imports; only these attributes of them are used.
XLINK = "".join(f'<xs:attribute name="{name}" type="xs:anyURI"/>' for name in
                ("href", "type", "role", "title", "show", "actuate"))  # fmt: skip
XML = '<xs:attribute name="lang" type="xs:language"/><xs:attribute name="space" type="xs:NCName"/>'


def load_schema(folder: Path) -> etree.XMLSchema:
    """The schema that the PyPI package ``musicxml`` carries, with its two imports beside it."""
    source = Path(musicxml.__file__).parent / "generate_classes" / "musicxml_4_0.xsd"
    text = source.read_text(encoding="utf-8").replace("http://www.musicxml.org/xsd/", "")
    (folder / "musicxml.xsd").write_text(text, encoding="utf-8")
    for name, space, body in (("xml", "http://www.w3.org/XML/1998/namespace", XML),
                              ("xlink", "http://www.w3.org/1999/xlink", XLINK)):  # fmt: skip
        head = f'<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="{space}">'
        (folder / f"{name}.xsd").write_text(f"{head}{body}</xs:schema>", encoding="utf-8")
    return etree.XMLSchema(etree.parse(str(folder / "musicxml.xsd")))


def random_chart(random: Random, agreeing: bool) -> Chart:
    """A small chart. If ``agreeing``, every pass of a bar has the same content, so that repeats can be written."""
    key = Key(random.randint(-6, 6), random.choice(["major", "minor"]))
    form = _form(random, key)
    rows = [_row(random, form, agreeing) for _ in range(2)]
    takes = (Take("An evening take", rows[1]),)
    chart = Chart(random.choice(["Harbour Lights Out", "Möwe & <Anker>", "Tide 5"]), key, form,
                  (NamedRow(STANDARD, rows[0]),), takes, _melody(random, form, agreeing),
                  random.choice(["", "H. Quay"]), random.randint(30, 360), random.choice(NAMES),
                  note=random.choice(["", "First line.\nSecond line."]))  # fmt: skip
    return check_chart(chart)


def is_foldable(chart: Chart) -> bool:
    """Whether a reader of the written bars plays them in the chart's order."""
    bare = any(bar.jump in ("da capo", "dal segno") for bar in chart.form.written)
    if bare and any(set(bar.marks) & {"fine", "to coda"} for bar in chart.form.written):
        return False
    return played_order(chart.form.written) == chart.form.order


def _form(random: Random, home: Key) -> Form:
    count = random.randint(2, 7)
    meter, current = random.choice(METERS), home
    bars = []
    for index in range(count):
        meter = random.choice(METERS) if random.random() < 0.15 else meter
        length = meter.length * random.choice([1, 1, 1, 1, 1, Fraction(1, 2), Fraction(3, 4), Fraction(3, 2)])
        key = None
        if index and random.random() < 0.15:
            key = Key(current.tonic + random.choice([1, -1, 3]), current.mode)
            # A file holds signatures of eleven accidentals at most; three steps of 3 from six sharps go beyond.
            key = key if abs(key.signature) <= 11 else current.transposed(-1)
            current = key
        bars.append(WrittenBar(str(index + 1), meter, length, random.choice([None, None, "A", "Bridge"]), key))
    pickup = random.random() < 0.3
    written = _with_road_map(random, bars)
    try:
        order = played_order(written)
    except FormError:
        written = tuple(replace(bar, jump=None) for bar in written)
        order = played_order(written)
    if random.random() < 0.15:  # an order the road map does not give
        order = (0, *(random.randrange(count) for _ in range(random.randint(0, 8))))
    return Form(written, order, pickup)


def _with_road_map(random: Random, bars: list[WrittenBar]) -> tuple[WrittenBar, ...]:
    count = len(bars)
    if random.random() < 0.5:
        first, last = sorted((random.randrange(count), random.randrange(count)))
        bars[first] = replace(bars[first], repeat_start=random.random() < 0.7)
        bars[last] = replace(bars[last], repeat_end=random.choice([2, 2, 3]))
        if last + 1 < count and last > first and random.random() < 0.7:
            one = random.choice([(1,), (1, 2)])
            bars[last] = replace(bars[last], endings=one, repeat_end=2)
            bars[last + 1] = replace(bars[last + 1], endings=(one[-1] + 1,))
    if random.random() < 0.4:
        for mark in random.sample(MARKS, random.randint(0, 4)):
            at = random.randrange(count)
            bars[at] = replace(bars[at], marks=tuple(m for m in MARKS if m in {*bars[at].marks, mark}))
        at = random.randrange(count)
        bars[at] = replace(bars[at], jump=random.choice(JUMPS))
    return tuple(bars)


def random_slot(random: Random, onset: Fraction, duration: Fraction) -> Slot:
    """A slot with a chord of the table, a typed spelling, something unusual, or no chord."""
    optional = random.random() < 0.1
    kind = random.random()
    if kind < 0.1:
        return Slot(onset, duration, None, random.choice([None, "N.C.", "NC"]), optional)
    if kind < 0.25:
        text = random.choice(UNUSUAL)
        return Slot(onset, duration, parse_symbol(text), random.choice([None, text]), optional)
    root = random.randint(-8, 8)
    bass = random.randint(-6, 6) if random.random() < 0.2 else None
    if kind < 0.6:
        text = f"{name_of(root)}{random.choice(list(SUFFIXES))}" + (f"/{name_of(bass)}" if bass is not None else "")
        return Slot(onset, duration, parse_symbol(text), text, optional)
    return Slot(onset, duration, Chord(root, random.choice(list(QUALITIES.values())), bass), None, optional)


def random_row(random: Random, form: Form) -> Row:
    """A row that may change anywhere in any pass."""
    return _row(random, form, False)


def _cuts(random: Random, length: Fraction, most: int) -> list[Fraction]:
    grid = random.choice(GRIDS)
    steps = int(length * grid)
    return sorted({Fraction(random.randrange(steps), grid) for _ in range(random.randint(0, most)) if steps})


def _row(random: Random, form: Form, agreeing: bool) -> Row:
    starts: list[tuple[Fraction, Slot]] = []
    seeds = {index: random.random() for index in range(len(form.written))}
    for bar in form.bars:
        local = Random(seeds[bar.written]) if agreeing else random
        cuts = _cuts(local, bar.length, 3)
        for cut in sorted({*cuts, Fraction(0)}) if agreeing or bar.index == 0 else cuts:
            starts.append((bar.start + cut, random_slot(local, bar.start + cut, Fraction(1))))
    ends = [onset for onset, _ in starts[1:]] + [form.length]
    return tuple(replace(slot, duration=end - onset) for (onset, slot), end in zip(starts, ends, strict=True))


def _melody(random: Random, form: Form, agreeing: bool) -> Melody:
    notes: list[Note] = []
    at = Fraction(0)
    seeds = {index: random.random() for index in range(len(form.written))}
    for bar in form.bars:
        local = Random(seeds[bar.written]) if agreeing else random
        cuts = [*_cuts(local, bar.length, 6), bar.length]
        for start, end in pairwise(cuts):
            if local.random() < 0.2 or bar.start + start < at:
                continue
            over = Fraction(local.randint(1, 5), 3) if not agreeing and local.random() < 0.2 else 0
            stop = min(bar.start + end + over, form.length)
            notes.append(Note(bar.start + start, stop - bar.start - start,
                              Pitch(local.randint(-8, 12), local.randint(3, 5))))  # fmt: skip
            at = stop
    return tuple(notes)


def kind_values() -> list[str]:
    """The values of kind-value in the schema."""
    source = Path(musicxml.__file__).parent / "generate_classes" / "musicxml_4_0.xsd"
    text = source.read_text(encoding="utf-8")
    block = text[text.index('simpleType name="kind-value"') :]
    return re.findall(r'enumeration value="([^"]+)"', block[: block.index("</xs:simpleType>")])
