"""The whole band: fairness of the two sides, determinism, feels and metres, forms, excerpts."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.arrange import arrange, arrange_rows, audition
from core.arrange.patterns import BASS, COMPING, DRUMS, KICK, PEDAL_HAT, RIDE
from core.arrange.settings import Settings
from core.chart import ChartError, Take
from core.chord import Chord, chord
from core.feel import FEEL_NAMES
from core.form import Form, WrittenBar, plain_form
from core.meter import Meter
from core.quality import QUALITIES
from core.row import Row, Slot
from core.symbol import parse_symbol
from core.timeline import NoteEvent, Timeline
from tests.caches import empty_caches
from tests.core.arrange.charts import (
    ONE_A_BAR,
    ONE_SUBSTITUTED,
    TWO_A_BAR,
    TWO_SUBSTITUTED,
    row,
    tune,
)
from tests.core.arrange.charts import chart as small


def part(timeline: Timeline, name: str, side: str) -> list[NoteEvent]:
    return [event for event in timeline.events if event.part == name and event.side == side]


def rhythm_of(events: list[NoteEvent]) -> list[tuple[float, float]]:
    return sorted({(event.onset, event.duration) for event in events})


METERS = ["4/4", "3/4", "5/4", "6/8", "7/4", "2/4", "2/2", "12/8", "9/8", "7/8", "11/8", "5/8", "3/8", "1/4", "1/8"]
FEELS = ["", *FEEL_NAMES]


@pytest.mark.parametrize(("standard", "take"), [(ONE_A_BAR, ONE_SUBSTITUTED), (TWO_A_BAR, TWO_SUBSTITUTED)])
@pytest.mark.parametrize("feel", FEELS)
def test_both_sides_have_the_same_rhythm(standard: str, take: str, feel: str) -> None:
    timeline = arrange(small(standard, take, feel=feel), "sub")
    for name in ("piano", "bass"):
        one, other = part(timeline, name, "standard"), part(timeline, name, "take")
        assert one
        assert rhythm_of(one) == rhythm_of(other)
    assert {event.side for event in timeline.events if event.part in ("drums", "tune")} == {"both"}


def test_both_sides_are_as_loud_within_one_decibel() -> None:
    # Velocity works as a square law in the sampler, so a note's energy goes with its fourth power.
    timeline = arrange(small(TWO_A_BAR, TWO_SUBSTITUTED), "sub")
    for name in ("piano", "bass"):
        energy = [sum(event.velocity**4 for event in part(timeline, name, side)) for side in ("standard", "take")]
        assert 10**-0.1 < energy[0] / energy[1] < 10**0.1


def test_both_sides_lie_in_the_same_register() -> None:
    timeline = arrange(small(ONE_A_BAR, ONE_SUBSTITUTED), "sub")
    for name, apart in (("piano", 3), ("bass", 6)):
        means = [sum(e.pitch for e in events) / len(events)
                 for events in (part(timeline, name, side) for side in ("standard", "take"))]  # fmt: skip
        assert abs(means[0] - means[1]) <= apart


def test_where_the_rows_agree_they_sound_alike() -> None:
    # One chord of sixteen is replaced: three bars later nothing differs any more.
    timeline = arrange(small(ONE_A_BAR, ONE_A_BAR.replace("Dm7 | G7 | Em7", "Dm7 | Db7 | Em7")), "sub")
    for name in ("piano", "bass"):
        sides = [{(event.onset, event.pitch) for event in part(timeline, name, side)} for side in ("standard", "take")]
        differing = {onset for onset, _ in sides[0] ^ sides[1]}
        assert differing
        assert min(differing) > 8 - 0.01
        assert max(differing) < 28


def test_equal_rows_sound_equal() -> None:
    timeline = arrange(small(TWO_A_BAR, TWO_A_BAR), "sub")
    for name in ("piano", "bass"):
        one, other = ([replace(event, side="both") for event in part(timeline, name, side)]
                      for side in ("standard", "take"))  # fmt: skip
        assert one == other


def test_same_chart_same_timeline_and_another_seed_another() -> None:
    built = small(TWO_A_BAR, TWO_SUBSTITUTED)
    assert arrange(built, "sub") == arrange(small(TWO_A_BAR, TWO_SUBSTITUTED), "sub")
    assert arrange(built, "sub", settings=Settings(seed=7)).events != arrange(built, "sub").events
    seeded = small(TWO_A_BAR, TWO_SUBSTITUTED, seed=7)
    assert arrange(seeded, "sub").events == arrange(built, "sub", settings=Settings(seed=7)).events


def test_an_edit_leaves_far_bars_as_they_were() -> None:
    before = arrange(small(ONE_A_BAR, ONE_A_BAR), "sub")
    after = arrange(small(ONE_A_BAR, ONE_A_BAR.replace("Bb7 | Cmaj7", "Bb7 | Am7")), "sub")
    for name in ("piano", "drums"):
        early = [[(event.onset, event.pitch) for event in timeline.events if event.part == name and event.onset < 16]
                 for timeline in (before, after)]  # fmt: skip
        assert early[0] == early[1]


SOME = ["", "ballad", "bossa", "even eighths"]
METERS_AND_FEELS = [(meter, feel) for meter in METERS for feel in (FEELS if meter in ("4/4", "11/8") else SOME)]


@pytest.mark.parametrize(("meter", "feel"), METERS_AND_FEELS)
def test_every_metre_and_feel_can_be_played(meter: str, feel: str) -> None:
    built = small(
        "Dm7 | G7 | Cmaj7 | N.C.", "Dm7 | Db7 | Cmaj7 | A7", meter=meter, feel=feel, melody=tune(("0", "1", 72))
    )
    timeline = arrange(built, "sub")
    length = float(built.meter.length)
    for name in ("piano", "bass"):
        for bar in range(4):
            sounding = [event for event in part(timeline, name, "take")
                        if event.onset < length * (bar + 1) - 0.01 and event.end > length * bar + 0.01]  # fmt: skip
            assert sounding, f"{name} is silent in bar {bar + 1}"
    assert timeline.meters == ((0.0, built.meter.numerator, built.meter.denominator),)
    assert all(event.onset < timeline.length for event in timeline.events)


def test_pattern_tables_are_well_formed() -> None:
    for tables in (COMPING.values(), BASS.values(), DRUMS.values()):
        for table in tables:
            for size, rows in table.items():
                texts = _texts(rows)
                assert texts
                assert {len(text) for text in texts} == {size}
    assert all(set(text) <= set("x-.") for table in (*COMPING.values(), *BASS.values())
               for rows in table.values() for text in _texts(rows))  # fmt: skip


def _texts(rows: object) -> list[str]:
    if isinstance(rows, str):
        return [rows]
    return [text for item in rows for text in _texts(item)] if isinstance(rows, tuple) else []


def test_comping_tables_have_no_cell_twice() -> None:
    for table in COMPING.values():
        for levels in table.values():
            for cells in levels:
                assert len(set(cells)) == len(cells)


def test_ride_and_hat_of_a_swing_bar() -> None:
    # Ride on every beat with the skip note after 2 and 4, hi-hat on 2 and 4: common practice, no source.
    timeline = arrange(small("Dm7 | G7", tempo=200), None)
    bar = [event for event in timeline.events if event.part == "drums" and event.onset < 3.99]
    skip = 2 / 3  # the ratio is 2:1 at 200 bpm
    assert [event.onset for event in bar if event.pitch == RIDE] == pytest.approx([0, 1, 1 + skip, 2, 3, 3 + skip])
    assert [event.onset for event in bar if event.pitch == PEDAL_HAT] == pytest.approx([1, 3])


def test_the_soloist_is_late_on_the_beat_and_with_the_cymbal_off_it() -> None:
    melody = tune(("0", "1/2", 72), ("1/2", "1/2", 74), ("1", "1/2", 76), ("3/2", "5/2", 77))
    timeline = arrange(small("Dm7 | G7", tempo=150, melody=melody), None)
    late = 0.030 * 150 / 60
    ride_skip = next(e.onset for e in timeline.events if e.pitch == RIDE and 1.4 < e.onset < 2)
    assert [event.onset for event in part(timeline, "tune", "both")] == pytest.approx(
        [late, ride_skip - 1, 1 + late, ride_skip]
    )


def test_velocities_follow_metre_and_line() -> None:
    melody = tune(("0", "1", 64), ("1", "1", 76), ("2", "1", 64), ("3", "1", 88))
    notes = part(arrange(small("Dm7", melody=melody), None), "tune", "both")
    assert notes[3].velocity > notes[1].velocity > notes[2].velocity
    timeline = arrange(small(TWO_A_BAR, TWO_SUBSTITUTED), "sub")
    for name in ("piano", "bass"):
        assert len({event.velocity for event in part(timeline, name, "take")}) >= 6


# --- rows, takes, forms -------------------------------------------------------------------------------------------


def test_the_standard_alone_sounds_on_both_sides() -> None:
    timeline = arrange(small(ONE_A_BAR), None)
    assert {event.side for event in timeline.events} == {"both"}
    assert {marker.kind for marker in timeline.markers} == {"chord_standard"}


def test_a_take_with_a_form_of_its_own_sounds_alone() -> None:
    built = small("Dm7 | G7 | Cmaj7 | Cmaj7")
    form = plain_form(2, Meter(3, 4))
    built = replace(built, takes=(Take("short", row("Dm7 | G7", Fraction(3)), form=form),))
    timeline = arrange(built, "short")
    assert timeline.length == 6.0
    assert timeline.meters == ((0.0, 3, 4),)
    assert {event.side for event in timeline.events} == {"both"}
    assert [marker.text for marker in timeline.markers] == ["Dm7", "G7"]


def test_a_take_with_its_own_melody_plays_it_on_its_side() -> None:
    built = small("Dm7 | G7", "Dm7 | Db7", melody=tune(("0", "4", 74)))
    changed = replace(built, takes=(replace(built.takes[0], melody=tune(("0", "4", 77))),))
    timeline = arrange(changed, "sub")
    assert [event.pitch for event in part(timeline, "tune", "standard")] == [74]
    assert [event.pitch for event in part(timeline, "tune", "take")] == [77]


def test_unknown_names_are_refused_with_a_sentence() -> None:
    with pytest.raises(ChartError, match="no take named 'x'"):
        arrange(small("Dm7"), "x")
    with pytest.raises(ChartError, match="no reference row named 'x'"):
        arrange(small("Dm7"), None, reference="x")


def test_markers_name_sections_and_the_chords_as_typed() -> None:
    built = small("Dm7 | G7", "Dm7 | Db7", sections=((0, "A"), (1, "B")))
    markers = [(marker.onset, marker.kind, marker.text) for marker in arrange(built, "sub").markers]
    assert (4.0, "section", "B") in markers
    assert (4.0, "chord_standard", "G7") in markers
    assert (4.0, "chord_take", "Db7") in markers
    assert len(markers) == 6


def pickup_form() -> Form:
    written = (WrittenBar("0", Meter(), Fraction(1)), *(WrittenBar(str(n), Meter(), Fraction(4)) for n in (1, 2)))
    return Form(written, (0, 1, 2), pickup=True)


def test_only_the_tune_plays_in_a_pickup_and_the_count_makes_room_for_it() -> None:
    form = pickup_form()
    whole = (*row("N.C.", Fraction(1)), *(replace(slot, onset=slot.onset + 1) for slot in row("Dm7 | G7")))
    melody = tune(("0", "1", 72), ("1", "4", 74))
    built = replace(small("Dm7"), form=form, melody=melody)
    timeline = arrange_rows(built, whole, whole)
    assert {event.part for event in timeline.events if event.onset < 0.99} == {"tune"}
    assert timeline.lead_in == 7.0
    assert timeline.bars == (0.0, 1.0, 5.0)
    assert any(event.part == "bass" and event.onset == 1.0 for event in timeline.events)


def test_a_tempo_outside_what_can_be_played_is_held_to_it() -> None:
    assert arrange(small("Dm7"), None, settings=Settings(bpm=10)).bpm == 40
    assert arrange(small("Dm7"), None, settings=Settings(bpm=900)).bpm == 320


def test_a_change_of_metre_in_the_middle() -> None:
    meters = (Meter(), Meter(6, 8), Meter(3, 4), Meter(5, 8))
    written = tuple(WrittenBar(str(n), meter, meter.length) for n, meter in enumerate(meters))
    form = Form(written, (0, 1, 2, 3))
    slots, at = [], Fraction(0)
    for meter, symbol in zip(meters, ("Dm7", "G7", "Cmaj7", "A7"), strict=True):
        slots.append(replace(row(symbol, meter.length)[0], onset=at))
        at += meter.length
    timeline = arrange_rows(replace(small("Dm7"), form=form), tuple(slots), None)
    assert timeline.meters == ((0.0, 4, 4), (4.0, 6, 8), (7.0, 3, 4), (10.0, 5, 8))
    assert {int(event.onset) for event in timeline.events if event.part == "bass"} >= {0, 4, 7, 10}


# --- count-in -----------------------------------------------------------------------------------------------------


# "1 (2) 2 (4) 1 2 3 4" with snaps on 2 and 4, one bar for a ballad, two of three for a waltz: common practice.
@pytest.mark.parametrize(
    ("feel", "meter", "lead_in", "counts", "snaps"),
    [
        ("swing", "4/4", 8, [-8, -6, -4, -3, -2, -1], [-7, -5, -3, -1]),
        ("ballad", "4/4", 4, [-4, -3, -2, -1], []),
        ("bossa", "4/4", 8, [-8, -6, -4, -3, -2, -1], []),
        ("swing", "3/4", 6, [-6, -3, -2, -1], []),
        ("", "5/4", 10, [-10, -7, -5, -4, -3, -2, -1], []),
        ("", "6/8", 6, [-6, -4.5, -3, -1.5], []),
    ],
)
def test_count_in(feel: str, meter: str, lead_in: float, counts: list[float], snaps: list[float]) -> None:
    timeline = arrange(small("Dm7", feel=feel, meter=meter), None)
    assert timeline.lead_in == lead_in
    assert [event.onset for event in timeline.count_in if event.pitch == 76] == counts
    assert [event.onset for event in timeline.count_in if event.pitch == 77] == snaps
    assert len({event.velocity for event in timeline.count_in if event.pitch == 76}) == 1


# --- excerpts -----------------------------------------------------------------------------------------------------


def test_an_audition_sounds_like_the_same_bars_of_the_whole() -> None:
    built = small(ONE_A_BAR, ONE_SUBSTITUTED, sections=((0, "A"), (8, "B")))
    whole = arrange(built, "sub")
    short = audition(built, built.standard, built.takes[0].row, Fraction(16), Fraction(24))
    assert (short.length, short.bars, short.lead_in) == (8.0, (0.0, 4.0), 0.0)
    inside = [(event.onset - 16, event.pitch, event.side) for event in whole.events if 16 <= event.onset < 24]
    assert set(inside) <= {(event.onset, event.pitch, event.side) for event in short.events}
    assert {marker.text for marker in short.markers if marker.kind == "chord_take"} == {"Em7", "Eb7"}


def test_an_audition_strikes_what_was_anticipated_before_it() -> None:
    built = small(ONE_A_BAR, ONE_SUBSTITUTED)
    for bar in range(16):
        start = Fraction(4 * bar)
        short = audition(built, built.standard, built.takes[0].row, start, start + 4)
        assert any(event.part == "piano" and event.side == "take" for event in short.events)
        assert all(0 <= event.onset < 4 for event in short.events)
        assert all(event.end <= 4 + 1e-9 for event in short.events)


def test_kick_marks_a_section() -> None:
    timeline = arrange(small(ONE_A_BAR, sections=((0, "A"), (8, "B"))), None)
    kicks = {event.onset: event.velocity for event in timeline.events if event.pitch == KICK}
    assert kicks[32.0] > kicks[28.0]


# --- any rows, any metre ------------------------------------------------------------------------------------------

chords = st.one_of(
    st.none(),
    st.builds(chord, st.integers(-6, 5), st.sampled_from(sorted(QUALITIES))),
    st.sampled_from([parse_symbol(text) for text in ("F/G", "D\\C7", "C/E", "Dbmaj7/C", "C13(b9,#9)", "C7(no3)")]),
)
cuts = st.sets(st.fractions(0, 1, max_denominator=12), max_size=6)


def cut_row(length: Fraction, places: set[Fraction], items: list[Chord | None]) -> Row:
    edges = [Fraction(0), *(place * length for place in sorted(places) if 0 < place < 1), length]
    return tuple(Slot(start, end - start, items[index % len(items)])
                 for index, (start, end) in enumerate(pairwise(edges)))  # fmt: skip


@settings(max_examples=80, deadline=None)
@given(st.sampled_from(METERS), st.sampled_from(FEELS), cuts, cuts, st.lists(chords, min_size=1, max_size=7),
       st.lists(chords, min_size=1, max_size=7), st.integers(1, 99), st.floats(40, 320))  # fmt: skip
def test_any_two_rows_can_be_compared(
    meter: str, feel: str, one: set[Fraction], other: set[Fraction], items: list[Chord | None],
    others: list[Chord | None], seed: int, bpm: float
) -> None:  # fmt: skip
    built = small("Dm7 | Dm7 | Dm7", meter=meter, feel=feel)
    standard, take = cut_row(built.form.length, one, items), cut_row(built.form.length, other, others)
    timeline = arrange_rows(built, standard, take, settings=Settings(seed=seed, bpm=bpm))
    assert timeline == arrange_rows(built, standard, take, settings=Settings(seed=seed, bpm=bpm))
    for name in ("piano", "bass"):
        sounded = [rhythm_of(part(timeline, name, side)) for side in ("standard", "take")]
        if None not in items and None not in others:
            assert sounded[0] == sounded[1]
    pitches = [event.pitch for event in timeline.events if event.part == "piano"]
    assert all(45 <= pitch <= 76 for pitch in pitches)


@settings(max_examples=12, deadline=None)
@given(edits=st.lists(st.tuples(st.integers(0, 15), st.sampled_from(["Gb7", "Dm11", "G7alt", "F/G", "Ebmaj7"])),
                      min_size=1, max_size=6), seed=st.integers(0, 99), feel=st.sampled_from(FEEL_NAMES))  # fmt: skip
def test_after_edits_the_band_plays_what_it_would_play_from_nothing(
    edits: list[tuple[int, str]], seed: int, feel: str
) -> None:  # fmt: skip
    built = small(ONE_A_BAR, ONE_SUBSTITUTED, feel=feel)
    how = Settings(seed=seed)
    changed = list(built.takes[0].row)
    for place, symbol in edits:
        arrange_rows(built, built.standard, tuple(changed), settings=how)
        changed[place] = replace(changed[place], chord=parse_symbol(symbol))
    warm = arrange_rows(built, built.standard, tuple(changed), settings=how)
    empty_caches()
    assert arrange_rows(built, built.standard, tuple(changed), settings=how) == warm
