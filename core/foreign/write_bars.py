"""What stands in each bar on paper, and whether the passes agree so that repeats can be written as repeats."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from core.chart import Melody
from core.form import Bar, Form, FormError, WrittenBar, played_order
from core.key import Key
from core.pitch import Pitch
from core.row import Row, Slot


@dataclass(frozen=True, slots=True)
class WrittenFor:
    """Whom a transposed chart is written for: the name of the part and how far its notes stand above what sounds.

    ``fifths`` is the distance on the line of fifths, which spells the interval; ``clef`` is "G" or "F".
    """

    name: str
    fifths: int
    semitones: int
    clef: str = "G"


@dataclass(frozen=True, slots=True)
class Sung:
    """The part of a melody note that lies in a bar; times from the bar's start."""

    onset: Fraction
    end: Fraction
    pitch: Pitch
    tie_stop: bool
    tie_start: bool


@dataclass(frozen=True, slots=True)
class Symbol:
    """A chord slot that begins in a bar, at ``onset`` from the bar's start."""

    onset: Fraction
    slot: Slot


@dataclass(frozen=True, slots=True)
class Content:
    """Melody and symbols of one played bar, independent of when it is played."""

    melody: tuple[Sung, ...]
    rows: tuple[tuple[Symbol, ...], ...]


@dataclass(frozen=True, slots=True)
class Page:
    """The bars to write, with what stands in each."""

    bars: tuple[WrittenBar, ...]
    contents: tuple[Content, ...]


def page_of(form: Form, home: Key, melody: Melody, rows: tuple[Row, ...], ties_jump: bool = True) -> Page:
    """The written form if every pass of every bar agrees in melody and rows, else the bars as played.

    ``ties_jump`` says whether the format can tie a note to one that does not follow it on paper.
    """
    contents = _contents(form, melody, rows)
    first: dict[int, Content] = {}
    agree = all(first.setdefault(bar.written, content) == content
                for bar, content in zip(form.bars, contents, strict=True))  # fmt: skip
    jumps = not ties_jump and any(
        content.melody and content.melody[-1].tie_start and after.written != bar.written + 1
        for bar, after, content in zip(form.bars, form.bars[1:], contents, strict=False)
    )
    if agree and not jumps and _is_played_as_written(form):
        empty = Content((), tuple(() for _ in rows))
        return Page(form.written, tuple(first.get(index, empty) for index in range(len(form.written))))
    return Page(_unfolded(form, home), tuple(contents))


def _is_played_as_written(form: Form) -> bool:
    """Whether a reader of the written form plays the chart's order (a road map may have been edited away from it)."""
    bare = any(bar.jump is not None and " al " not in bar.jump for bar in form.written)
    if bare and any(mark in bar.marks for bar in form.written for mark in ("fine", "to coda")):
        return False  # such a jump is read back as one that names its mark
    try:
        return played_order(form.written) == form.order
    except FormError:
        return False


def _unfolded(form: Form, home: Key) -> tuple[WrittenBar, ...]:
    """Every played bar as a bar of its own, without repeats and jumps."""
    bars: list[WrittenBar] = []
    current = home
    for bar in form.bars:
        key = form.key_at(bar.index, home) if bars else home  # the first bar states the tune's key
        bars.append(WrittenBar(str(bar.number), bar.meter, bar.length, bar.section, key if key != current else None))
        current = key
    return tuple(bars)


def _contents(form: Form, melody: Melody, rows: tuple[Row, ...]) -> list[Content]:
    sung: list[list[Sung]] = [[] for _ in form.bars]
    for note in melody:
        at = form.bar_at(note.onset).index
        while at < len(form.bars) and form.bars[at].start < note.end:
            sung[at].append(_sung(form.bars[at], note.onset, note.end, note.pitch))
            at += 1
    symbols: list[list[list[Symbol]]] = [[[] for _ in rows] for _ in form.bars]
    for number, row in enumerate(rows):
        for slot in row:
            bar = form.bar_at(slot.onset)
            timeless = replace(slot, onset=Fraction(0), duration=Fraction(1))
            symbols[bar.index][number].append(Symbol(slot.onset - bar.start, timeless))
    return [Content(tuple(notes), tuple(map(tuple, lines))) for notes, lines in zip(sung, symbols, strict=True)]


def _sung(bar: Bar, onset: Fraction, end: Fraction, pitch: Pitch) -> Sung:
    return Sung(max(onset, bar.start) - bar.start, min(end, bar.end) - bar.start, pitch, onset < bar.start,
                end > bar.end)  # fmt: skip
