"""The check on integers answers as the check in words does, whatever the chart."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from core.bar_text import chart_from_bar_text
from core.chart import Melody, Note
from core.checks.compiled import CAUTION, CLASH, GOOD, NO_NOTES, Tally, judge_chord, judge_row
from core.checks.compiled_melody import CompiledMelody, compile_melody
from core.checks.melody import melody_check
from core.chord import Chord, in_context
from core.finding import VERDICTS
from core.form import Form, WrittenBar, plain_form
from core.key import Key
from core.meter import Meter
from core.pitch import Pitch
from core.quality import QUALITIES
from core.row import Row, Slot
from core.symbol import parse_symbol

METERS = [Meter(4, 4), Meter(3, 4), Meter(5, 4), Meter(6, 8), Meter(12, 8), Meter(7, 8), Meter(2, 2), Meter(4, 1)]
POLYCHORDS = [chord for text in ("D\\C7", "F#m\\C7", "Ab\\Bbmaj7", "Db\\Cm7") if (chord := parse_symbol(text))]
CHORDS = st.builds(Chord, st.integers(-8, 12), st.sampled_from(list(QUALITIES.values())),
                   st.none() | st.integers(-8, 12)) | st.sampled_from(POLYCHORDS)  # fmt: skip
KEYS = st.none() | st.builds(Key, st.integers(-6, 6), st.sampled_from(["major", "minor"]))
LENGTHS = st.sampled_from(
    [
        Fraction(n, d)
        for n, d in ((1, 4), (1, 3), (1, 2), (1, 2), (2, 3), (3, 4), (1, 1), (3, 2), (2, 1), (5, 2), (4, 1))
    ]
)
PITCHES = st.builds(Pitch, st.integers(-7, 9), st.integers(3, 5))


@st.composite
def forms(draw: st.DrawFn) -> Form:
    """One to four bars, each of any metre; a first bar may be short, as a pickup is."""
    meters = draw(st.lists(st.sampled_from(METERS), min_size=1, max_size=4))
    bars = [WrittenBar(str(index), meter, meter.length) for index, meter in enumerate(meters)]
    if draw(st.booleans()):
        bars.insert(0, WrittenBar("0", meters[0], meters[0].beat))
    return Form(tuple(bars), tuple(range(len(bars))))


@st.composite
def melodies(draw: st.DrawFn, form: Form) -> Melody:
    """Notes and rests, triplets and ties over bar lines."""
    notes, at = [], Fraction(0)
    while at < form.length:
        length = min(draw(LENGTHS), form.length - at)
        if draw(st.integers(0, 4)):
            notes.append(Note(at, length, draw(PITCHES)))
        at += length
    return tuple(notes)


@st.composite
def rows(draw: st.DrawFn, form: Form) -> Row:
    """Chords that change on beats and between them, at sevenths of the form now and then; some silence."""
    halves = st.integers(1, int(form.length * 2) - 1).map(lambda place: Fraction(place, 2))
    sevenths = st.integers(1, 6).map(lambda place: form.length * place / 7)
    places = draw(st.sets(halves | halves | halves | sevenths, max_size=6))
    chosen: list[Chord] = draw(st.lists(CHORDS, min_size=1, max_size=3))
    pool = st.none() | st.sampled_from(chosen) | CHORDS
    return tuple(Slot(one, two - one, draw(pool)) for one, two in pairwise([Fraction(0), *sorted(places), form.length]))


@st.composite
def tunes(draw: st.DrawFn) -> tuple[Form, Melody, Row]:
    form = draw(forms())
    return form, draw(melodies(form)), draw(rows(form))


def in_words(
    melody: Melody, chords: Row, following: Chord | None, key: Key | None, form: Form, flag: bool
) -> tuple[int, int, int]:
    """Worst verdict, clashes and cautions as the check in words finds them."""
    check = melody_check(melody, chords, following, key, form, flag)
    found = [finding.verdict for finding in check.findings]
    return VERDICTS.index(check.verdict), found.count("clash"), found.count("caution")


@settings(max_examples=400, deadline=None)
@given(tunes(), st.none() | CHORDS, KEYS, st.booleans(), st.data())
def test_it_agrees_with_the_check_in_words(
    tune: tuple[Form, Melody, Row], following: Chord | None, key: Key | None, flag: bool, data: st.DataObject
) -> None:
    form, melody, row = tune
    compiled = compile_melody(melody, form)
    assert judge_row(compiled, row, following, key, flag)[:3] == in_words(melody, row, following, key, form, flag)
    first = data.draw(st.integers(0, len(row) - 1))
    part = row[first : data.draw(st.integers(first + 1, len(row)))]
    assert judge_row(compiled, part, following, key, flag)[:3] == in_words(melody, part, following, key, form, flag)
    slot = part[0]
    if slot.chord is not None:
        alone = judge_chord(compiled, slot.onset, slot.end, slot.chord, following, key, flag)
        assert alone[:3] == in_words(melody, (slot,), following, key, form, flag)


# A tune with all that the check distinguishes: notes on and off the beat, a long root, triplets, a late release,
# anticipations by an eighth and held over the bar line.
BUSY = "| Dm7 G7 | Cmaj7 | Fmaj7 |\nm: d2 ^c f (3agf e e- | e3 d c4- | c d2 _e f g2 a |"


@pytest.mark.parametrize("flag", [False, True])
@pytest.mark.parametrize("identifier", sorted(QUALITIES))
def test_every_quality_on_every_root_over_a_busy_tune(identifier: str, flag: bool) -> None:
    chart = chart_from_bar_text(BUSY)
    compiled = compile_melody(chart.melody, chart.form)
    seen = set()
    for root in range(12):
        row = (Slot(Fraction(0), Fraction(4), Chord(root, QUALITIES[identifier])), Slot(Fraction(4), Fraction(4), Chord(0, QUALITIES["maj7"])),
               Slot(Fraction(8), Fraction(4), Chord(root, QUALITIES[identifier])))  # fmt: skip
        found = judge_row(compiled, row, row[1].chord, chart.key, flag)
        assert found[:3] == in_words(chart.melody, row, row[1].chord, chart.key, chart.form, flag)
        seen.add(found)
    assert len(seen) > 1


def compiled(text: str) -> CompiledMelody:
    chart = chart_from_bar_text(text)
    return compile_melody(chart.melody, chart.form)


def symbol(text: str) -> Chord:
    read = parse_symbol(text)
    assert read is not None
    return read


def over(melody: CompiledMelody, text: str, after: str) -> Tally:
    return judge_chord(melody, Fraction(0), Fraction(4), symbol(text), symbol(after), Key(0), True)


def test_named_notes_are_the_structural_ones_that_the_symbol_writes() -> None:
    melody = compiled("| G7 |\nm: g4 e2 ge |")
    assert over(melody, "Db7", "Cmaj7").named == 0
    assert over(melody, "Db7#11", "Cmaj7").named == 1
    assert over(melody, "Db7#9#11", "Cmaj7").named == 2


def test_each_note_of_a_pitch_counts() -> None:
    assert over(compiled("| G7 |\nm: c2 c2 c2 c2 |"), "Db7", "Fmaj7") == Tally(CLASH, 4, 0, 0)


def test_without_notes_everything_fits() -> None:
    assert over(compiled("| G7 |"), "Db7", "Cmaj7") == NO_NOTES == Tally(GOOD, 0, 0, 0)


def test_slash_elevenths_are_judged_on_their_bass() -> None:
    melody = compiled("| G7 |\nm: c8 |")
    assert in_context(symbol("F/G")) == symbol("G9sus")
    assert over(melody, "F/G", "Cmaj7")[:3] == over(melody, "G9sus", "Cmaj7")[:3] == (GOOD, 0, 0)


def test_a_root_held_over_the_change_in_half_notes_rubs_against_the_seventh() -> None:
    chart = chart_from_bar_text("meter: 2/2\n\n| Cmaj7 | Dm7 |\nm: e4 c4- | c4 d4 |")
    melody = compile_melody(chart.melody, chart.form)
    found = judge_row(melody, chart.standard[:1], symbol("Dm7"), Key(0))
    assert found == Tally(CAUTION, 0, 1, 2)
    assert found[:3] == in_words(chart.melody, chart.standard[:1], symbol("Dm7"), Key(0), chart.form, False)


@given(st.integers(2, 13))
@example(7)
def test_a_chord_may_begin_off_the_melody_s_grid(parts: int) -> None:
    chart = chart_from_bar_text("| G7 | C |\nm: c4 c4 | c8 |")
    melody = compile_melody(chart.melody, chart.form)
    start, end = Fraction(4, parts), Fraction(8) - Fraction(4, parts)
    row = (Slot(start, end - start, symbol("Db7")),)
    after = symbol("Cmaj7")
    assert judge_row(melody, row, after, Key(0))[:3] == in_words(chart.melody, row, after, Key(0), chart.form, False)


def test_compiling_is_a_function_of_melody_and_form() -> None:
    melody = (Note(Fraction(1, 3), Fraction(5, 3), Pitch(0, 4)),)
    one, other = (compile_melody(melody, plain_form(2, Meter())) for _ in range(2))
    one.stretch(Fraction(0), Fraction(4))
    assert one == other
    assert one.grid % 6 == 0
