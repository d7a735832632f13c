"""Rootless voicings: worked examples, the laws of register and interval over the whole quality table, and leading."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations, pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core import voicing, voicing_shapes
from core.chart import Note
from core.chord import Chord, chord, in_context
from core.pitch import Degree, pitch_from_midi
from core.quality import QUALITIES, Quality
from core.row import Row, Slot
from core.symbol import parse_symbol
from core.voicing import (
    LOW_INTERVAL_LIMITS,
    VOICING_STYLES,
    Spot,
    Voicing,
    VoicingStyle,
    voice_chord,
    voice_row,
    voice_spots,
)
from core.voicing_choice import Held
from core.voicing_motion import motion, motions, pack, unpack
from core.voicing_sets import kind_of

ROOTS = range(-6, 6)
BAR = Fraction(4)


def row_of(*chords: Chord | None, beats: Fraction = BAR) -> Row:
    return tuple(Slot(beats * index, beats, item) for index, item in enumerate(chords))


def symbols(text: str) -> Row:
    return row_of(*(parse_symbol(symbol) for symbol in text.split()))


def notes_of(text: str) -> list[tuple[int, ...]]:
    return [voiced.notes for voiced in voice_row(symbols(text)) if voiced is not None]


def cadence(root: int, qualities: tuple[str, str, str]) -> Row:
    """Chords whose roots fall a fifth each time, ending a whole step under ``root``."""
    return row_of(*(chord(root - index, quality) for index, quality in enumerate(qualities)))


# E. MacDonald, University of Connecticut, jazz piano lesson page: A form 3-5-7-9, 7-9-3-13, 3-5-7-9 and B form
# 7-9-3-5, 3-13-7-9, 7-9-3-5, top between C4 and C5. The registers are ours.
FORMS = {
    "Dm9 G13 Cmaj9": ([(53, 57, 60, 64), (53, 57, 59, 64), (52, 55, 59, 62)],
                      [(60, 64, 65, 69), (59, 64, 65, 69), (59, 62, 64, 67)]),
    "Gm9 C13 Fmaj9": ([(58, 62, 65, 69), (58, 62, 64, 69), (57, 60, 64, 67)],
                      [(53, 57, 58, 62), (52, 57, 58, 62), (52, 55, 57, 60)]),
}  # fmt: skip


@pytest.mark.parametrize(("text", "form"), [(text, form) for text, forms in FORMS.items() for form in forms])
def test_a_and_b_forms_follow_from_their_first_chord(text: str, form: list[tuple[int, ...]]) -> None:
    first, *rest = (slot.chord for slot in symbols(text))
    assert first is not None
    previous = Voicing(Fraction(0), BAR, form[0], (Degree(1),) * 4)
    for following, expected in zip(rest, form[1:], strict=True):
        assert following is not None
        previous = voice_chord(following, previous)
        assert previous.notes == expected


@pytest.mark.parametrize("text", FORMS)
def test_a_row_is_voiced_in_one_of_the_two_forms(text: str) -> None:
    assert notes_of(text) in FORMS[text]


def test_minor_cadence_keeps_the_root_of_the_half_diminished() -> None:
    # F Ab C D, F Ab B Eb, Eb G A D over D, G, C: half-diminished with its root, same source; registers ours.
    previous = Voicing(Fraction(0), BAR, (53, 56, 60, 62), (Degree(3, -1),) * 4)
    dominant, tonic = chord(1, "7b9b13"), chord(0, "m69")
    after = voice_chord(dominant, previous)
    assert after.notes == (53, 56, 59, 63)
    assert voice_chord(tonic, after).notes == (51, 55, 57, 62)
    assert Degree(1) in voice_chord(chord(2, "m7b5")).degrees


def test_two_five_moves_one_voice_by_a_semitone() -> None:
    # Counted on the forms above (L1 = 1).
    two, five = notes_of("Dm9 G13 Cmaj9")[:2]
    assert sum(abs(a - b) for a, b in zip(two, five, strict=True)) == 1


def test_tritone_substitute_takes_over_the_guide_tones() -> None:
    # C29 of common identities: X7 and its tritone substitute share 3 and 7.
    plain = voice_row(symbols("Dm7 G7 Cmaj7"))[1]
    substitute = voice_row(symbols("Dm7 Db7 Cmaj7"))[1]
    assert plain is not None
    assert substitute is not None
    shared = {note % 12 for note in plain.notes} & {note % 12 for note in substitute.notes}
    assert {5, 11} <= shared


# --- laws over the quality table ----------------------------------------------------------------------------------


def every_chord() -> list[Chord]:
    return [chord(root, quality) for quality in QUALITIES for root in ROOTS]


def altered(quality: Quality) -> set[Degree]:
    return {degree for degree in quality.degrees if degree.alteration and degree.number not in (3, 7)}


def assert_lawful(voiced: Voicing, played: Chord) -> None:
    notes = voiced.notes
    assert list(notes) == sorted(set(notes))
    assert len(notes) == len(voiced.degrees)
    assert notes[0] >= 48
    assert 57 <= notes[-1] <= 76
    for note, degree in zip(notes, voiced.degrees, strict=True):
        assert (played.root_pc + degree.semitones) % 12 == note % 12
    for low, high in combinations(notes, 2):
        if high - low == 13:
            assert played.quality.family == "dominant"
            assert low % 12 == played.root_pc
    for low, high in pairwise(notes):
        assert low >= LOW_INTERVAL_LIMITS.get(high - low, 0)


@pytest.mark.parametrize("identifier", QUALITIES)
def test_every_quality_has_guide_tones_alterations_and_keeps_the_laws(identifier: str) -> None:
    for root in ROOTS:
        item = chord(root, identifier)
        voiced = voice_chord(item)
        sounding = item.quality.sounding
        assert_lawful(voiced, item)
        held = set(voiced.degrees)
        assert len(held) >= min(3, len(sounding.degrees))
        if sounding.guide_degrees is not None:
            third, seventh = sounding.guide_degrees
            assert third in held
            assert seventh in held or seventh == Degree(1)
        if identifier == "7alt":  # one altered fifth and one altered ninth of the four it names
            assert held & {Degree(9, -1), Degree(9, 1)}
            assert held & {Degree(11, 1), Degree(13, -1)}
        else:
            assert altered(sounding) <= held


def left_to_the_bass(identifier: str) -> bool:
    """Practice keeps the root in triads, half-diminished and diminished chords, and in open fifths."""
    quality = QUALITIES[identifier].sounding
    guides = quality.guide_degrees
    rooted = quality.family in ("half_diminished", "diminished", "power")
    return not rooted and guides is not None and guides[1] != Degree(1)


@pytest.mark.parametrize("identifier", [name for name in QUALITIES if left_to_the_bass(name)])
def test_seventh_and_sixth_chords_leave_the_root_to_the_bass(identifier: str) -> None:
    for root in ROOTS:
        assert Degree(1) not in voice_chord(chord(root, identifier)).degrees


# Sweetwater's glossary of low interval limits (its middle C is C3), the tritone raised beside its neighbours.
def test_low_interval_limits() -> None:
    assert LOW_INTERVAL_LIMITS == {1: 52, 2: 51, 3: 48, 4: 47, 5: 45, 6: 46, 7: 37, 8: 41, 9: 41, 10: 41, 11: 41}


@pytest.mark.parametrize("text", ["Cm7(add11)", "C13(b9,#9)", "C7(no3)", "C7(omit5)", "C6(#11)", "Cmaj7(add13)"])
def test_composed_qualities_are_voiced(text: str) -> None:
    item = parse_symbol(text)
    assert item is not None
    voiced = voice_chord(item)
    assert_lawful(voiced, item)
    assert altered(item.quality) <= set(voiced.degrees)


@pytest.mark.parametrize("text", ["C7(omit5)", "C7#5", "C7b5", "C7alt", "Cmaj7#5"])
def test_no_natural_fifth_where_none_is_written(text: str) -> None:
    item = parse_symbol(text)
    assert item is not None
    assert Degree(5) not in voice_chord(item).degrees


# The eleventh chord over a slash, C28 of common identities: a major triad a whole step under the bass, or a minor
# seventh a fifth above it, is the ninth sus of the bass.
@pytest.mark.parametrize("text", ["F/G", "Dm7/G"])
def test_slash_eleventh_is_played_as_a_sus_chord(text: str) -> None:
    item = parse_symbol(text)
    assert item is not None
    assert voice_chord(item).notes == voice_chord(chord(1, "9sus")).notes


@pytest.mark.parametrize("text", ["C7/E", "Cmaj7/G", "Dbmaj7/C", "C/E", "C9/Bb", "Cadd9/E"])
def test_over_a_foreign_bass_the_hand_has_the_root(text: str) -> None:
    item = parse_symbol(text)
    assert item is not None
    assert Degree(1) in voice_chord(item).degrees


@pytest.mark.parametrize("text", ["D\\C7", "Gb\\C7", "Ab\\C7", "A\\C7", "F#m\\C7", "Bb\\C"])
def test_polychord_has_the_upper_triad_over_the_guide_tones(text: str) -> None:
    item = parse_symbol(text)
    assert item is not None
    assert item.upper is not None
    voiced = voice_chord(item)
    classes = {note % 12 for note in voiced.notes}
    assert item.upper.pitch_classes <= classes
    assert 4 in classes
    assert voiced.notes[0] >= 48
    assert voiced.notes[-1] <= 76
    assert voiced.notes[-1] % 12 in item.upper.pitch_classes


# --- colours ------------------------------------------------------------------------------------------------------


def colours(text: str, index: int) -> set[str]:
    voiced = voice_row(symbols(text))[index]
    assert voiced is not None
    return {str(degree) for degree in voiced.degrees}


# Available tensions by target, Berklee-style chord-scale summaries agreeing with Terefenko, Jazz Theory (2014), ch. 5.
def test_a_plain_dominant_takes_its_colours_from_its_target() -> None:
    assert not colours("Dm7 G7 Cmaj7", 1) & {"b9", "b13", "#9"}
    assert "b9" in colours("Dm7b5 G7 Cm7", 1)
    assert not colours("Dm7b5 G7 Cm7", 1) & {"9", "13"}
    assert "9" in colours("Dm7 Db7 Cmaj7", 1)


def test_the_third_degree_takes_no_ninth() -> None:
    # III has an 11 and no 9 in the key (same summaries).
    assert "9" not in colours("G7 Em7 A7 Dm7", 1)
    assert "9" in colours("Cmaj7 Dm7 G7 Cmaj7", 1)


# --- leading ------------------------------------------------------------------------------------------------------

CADENCES = [("m7", "7", "maj7"), ("m9", "13", "maj9"), ("m7b5", "7b9", "m6"), ("m7b5", "7alt", "mM7"),
            ("m7", "7#5", "6"), ("m7", "9sus", "maj7"), ("m7b5", "7b9b13", "m69"), ("m7", "7#11", "69")]  # fmt: skip


@pytest.mark.parametrize("qualities", CADENCES)
@pytest.mark.parametrize("root", ROOTS)
def test_two_five_one_moves_little(qualities: tuple[str, str, str], root: int) -> None:
    # No voice but the root moves more than a minor third; the mean is a default of ours. Common practice, no source.
    voiced = [item.notes for item in voice_row(cadence(root, qualities)) if item is not None]
    moves = [abs(a - b) for old, new in pairwise(voiced) for a, b in zip(old, new, strict=True)]
    assert max(moves) <= 3
    assert sum(moves) / len(moves) <= 2


@pytest.mark.parametrize("qualities", CADENCES)
@pytest.mark.parametrize("root", ROOTS)
def test_tensions_of_the_dominant_resolve_down_by_step_or_stay(qualities: tuple[str, str, str], root: int) -> None:
    # ♭9 to 5, ♭13 to 9, 7 to 3: common practice, no source.
    _, dominant, tonic = voice_row(cadence(root, qualities))
    assert dominant is not None
    assert tonic is not None
    for note, degree, after in zip(dominant.notes, dominant.degrees, tonic.notes, strict=True):
        if degree in (Degree(9, -1), Degree(13, -1), Degree(7, -1)):
            assert after - note in (0, -1, -2)


def test_silence_is_a_gap_and_the_hand_goes_on_from_where_it_was() -> None:
    with_gap = voice_row(symbols("Dm7 N.C. G7"))
    without = voice_row(symbols("Dm7 G7"))
    assert with_gap[1] is None
    assert [v and v.notes for v in (with_gap[0], with_gap[2])] == [v and v.notes for v in without]


def test_an_empty_row_and_a_silent_row() -> None:
    assert voice_row(()) == ()
    assert voice_row(row_of(None, None)) == (None, None)


def test_the_path_is_the_cheapest_of_all_paths() -> None:
    # Brute force over every combination of candidates of three chords.
    row = symbols("Dm7 Eb7 Abmaj7")
    kinds = ("minor seventh", "dominant", "major seventh")
    layers = [voicing.candidates(slot.chord, kind, voicing.NOTHING_HELD).shapes
              for slot, kind in zip(row, kinds, strict=True) if slot.chord is not None]  # fmt: skip

    def price(path: tuple[voicing.Shape, ...]) -> int:
        legs = pairwise(path)
        return sum(shape.cost for shape in path) + sum(motion(a.notes, b.notes) for a, b in legs)

    chosen = tuple(next(shape for shape in layer if voiced is not None and shape.notes == voiced.notes)
                   for layer, voiced in zip(layers, voice_row(row), strict=True))  # fmt: skip
    assert price(chosen) == min(map(price, product(*layers)))


@pytest.mark.parametrize("style", [style for style in VOICING_STYLES if style != "guide tones"])
@pytest.mark.parametrize(("held", "named"), [(80, "b9"), (82, "#9"), (85, "#11"), (75, "b13")])
def test_an_altered_chord_is_played_with_the_alteration_that_the_tune_holds(
    style: VoicingStyle, held: int, named: str
) -> None:  # fmt: skip
    # The four alterations of G7 are Ab, Bb, Db (C sharp) and Eb; the hand has room for two. Common practice, no source.
    row = symbols("Dm7b5 G7alt Cm7")
    melody = (Note(BAR, BAR, pitch_from_midi(held)),)
    voiced = voice_row(row, melody, style=style)[1]
    assert voiced is not None
    alterations = [str(degree) for degree in voiced.degrees if degree.number not in (3, 7)]
    assert named in alterations
    assert len(alterations) == 2


def test_a_table_of_motions_holds_what_every_pair_costs() -> None:
    # Under a low tune hands have two, three and four voices; polychords have more.
    chords = ("Dm7", "G7alt", "Cmaj7", "C", r"D\C7", "Bdim7", "Fm6")
    held = (voicing.NOTHING_HELD, Held((60,), (60,)), Held((72,), (72, 76)))
    layers = [voicing.candidates(parsed, kind_of(parsed, None, None), over)
              for parsed in map(parse_symbol, chords) if parsed is not None for over in held]  # fmt: skip
    for old, new in product(layers, layers):
        for column, after in zip(motions(old, new), new.shapes, strict=True):
            assert unpack(column, len(old.shapes)) == tuple(motion(shape.notes, after.notes) for shape in old.shapes)
            assert unpack(column + pack([9] * len(old.shapes)), len(old.shapes)) == tuple(
                9 + motion(shape.notes, after.notes) for shape in old.shapes)  # fmt: skip


# --- styles -------------------------------------------------------------------------------------------------------

# The second voice from the top an octave lower (guitar and piano pages in agreement); MIDI numbers computed from that.
DROP_2 = [
    ("C", (60, 64, 67, 71), (55, 60, 64, 71)), ("C7", (60, 64, 67, 70), (55, 60, 64, 70)),
    ("C7, third below", (64, 67, 70, 72), (58, 64, 67, 72)), ("C7, fifth below", (67, 70, 72, 76), (60, 67, 70, 76)),
    ("Cm7", (60, 63, 67, 70), (55, 60, 63, 70)), ("Cm7, seventh below", (70, 72, 75, 79), (63, 70, 72, 79)),
    ("Cm7b5", (60, 63, 66, 70), (54, 60, 63, 70)), ("Cdim7", (60, 63, 66, 69), (54, 60, 63, 69)),
    ("C6", (60, 64, 67, 69), (55, 60, 64, 69)),
]  # fmt: skip


@pytest.mark.parametrize(("name", "close", "dropped"), DROP_2)
def test_drop_two(name: str, close: tuple[int, ...], dropped: tuple[int, ...]) -> None:
    degrees = (Degree(1), Degree(3), Degree(5), Degree(7))
    order, steps, _ = voicing_shapes._dropped((degrees, tuple(note - close[0] for note in close), 0), (2,))
    lowest = close[-2] - 12
    assert tuple(lowest + step for step in steps) == dropped, name
    assert order == (degrees[2], degrees[0], degrees[1], degrees[3])


@pytest.mark.parametrize("style", VOICING_STYLES)
def test_every_quality_keeps_the_laws_in_every_style(style: VoicingStyle) -> None:
    for identifier, root in product(QUALITIES, (-4, 0, 3)):
        item = chord(root, identifier)
        voiced = voice_chord(item, style=style)
        sounding = item.quality.sounding
        assert_lawful(voiced, item)
        if sounding.guide_degrees is not None:
            assert set(sounding.guide_degrees) - {Degree(1)} <= set(voiced.degrees)
        if style != "guide tones" and identifier != "7alt":
            assert altered(sounding) <= set(voiced.degrees)


EVERYDAY = "Dm7 G7 Cmaj7 A7 Fm6 Bb9sus Em7 Eb13 Abmaj7 Am7 D7b9 Gm9"


def gaps(text: str, style: VoicingStyle) -> list[list[int]]:
    return [[high - low for low, high in pairwise(voiced.notes)]
            for voiced in voice_row(symbols(text), style=style) if voiced is not None]  # fmt: skip


def test_a_shell_is_third_and_seventh_and_what_is_written() -> None:
    for slot, voiced in zip(symbols(EVERYDAY), voice_row(symbols(EVERYDAY), style="shell"), strict=True):
        assert slot.chord is not None
        assert voiced is not None
        assert set(voiced.degrees) <= set(slot.chord.quality.degrees)
        assert 2 <= len(voiced.notes) <= 3


def test_drop_two_and_spread_are_open() -> None:
    # Open positions span more than an octave, close ones less: common practice, no source.
    spans = {style: [sum(each) for each in gaps(EVERYDAY, style)] for style in VOICING_STYLES}
    assert max(spans["rootless"]) < 12
    assert all(12 < span < 20 for span in spans["drop 2"])
    assert all(span > 16 for span in spans["spread"])


def test_quartal_voicings_are_made_of_fourths() -> None:
    # Perfect or augmented fourths, the odd third among them: common practice, no source.
    steps = [gap for each in gaps(EVERYDAY, "quartal") for gap in each]
    assert sum(gap in (5, 6) for gap in steps) >= 0.6 * len(steps)
    assert min(steps) >= 3


def test_guide_tones_alone_are_led_by_step() -> None:
    voiced = [item.notes for item in voice_row(symbols("Dm7 G7 Cmaj7 Fmaj7 Bm7b5 E7 Am7"), style="guide tones") if item]
    assert {len(notes) for notes in voiced} == {2}
    assert max(abs(a - b) for one, other in pairwise(voiced) for a, b in zip(one, other, strict=True)) <= 2


@pytest.mark.parametrize("style", VOICING_STYLES)
def test_every_style_is_led(style: VoicingStyle) -> None:
    voiced = [item.notes for item in voice_row(symbols(EVERYDAY), style=style) if item is not None]
    ways = [abs(a - b) for one, other in pairwise(voiced) if len(one) == len(other)
            for a, b in zip(one, other, strict=True)]  # fmt: skip
    assert sum(ways) / len(ways) <= 3


def test_the_voicing_follows_the_melody_within_a_chord() -> None:
    # One chord struck three times under a tune that falls: the top goes down with it.
    row = symbols("Cmaj7")
    melody = tuple(Note(Fraction(at), Fraction(1), pitch_from_midi(midi)) for at, midi in enumerate((76, 64, 60)))
    spots = [Spot(0, float(at), at + 0.9) for at in range(3)]
    tops = [voiced.notes[-1] for voiced in voice_spots(row, spots, melody) if voiced is not None]
    assert [top <= midi - 2 for top, midi in zip(tops, (76, 64, 60), strict=True)] == [True] * 3
    assert tops[0] > tops[2]


def test_the_end_of_a_row_leads_to_its_beginning() -> None:
    row = symbols("Cmaj7 C#m7 Dm7 Ebm7 Em7 Fm7 F#m7 Gm7")
    spots = [Spot(index, 4.0 * index, 4.0 * index + 4) for index in range(len(row))]

    def seam(again: bool) -> int:
        voiced = [item.notes for item in voice_spots(row, spots, round_again=again) if item is not None]
        return sum(abs(a - b) for a, b in zip(voiced[0], voiced[-1], strict=True))

    assert seam(True) <= seam(False)
    assert seam(True) <= 12


# --- under a melody -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("root", ROOTS)
@pytest.mark.parametrize("quality", ["maj7", "m7", "7", "m7b5", "9sus", "6", "7alt"])
def test_top_voice_stays_below_a_held_melody_and_clear_of_it(root: int, quality: str) -> None:
    item = chord(root, quality)
    for midi in range(67, 85):
        if (midi - item.root_pc) % 12 not in item.quality.semitones:
            continue
        melody = (Note(Fraction(0), BAR, pitch_from_midi(midi)),)
        voiced = voice_row(row_of(item), melody)[0]
        assert voiced is not None
        assert voiced.notes[-1] < midi
        assert all(abs(midi - note) != 1 for note in voiced.notes)


def test_melody_root_over_a_major_seventh_takes_the_sixth() -> None:
    # Use 6 instead of 7 where the melody has the root: arranging course text; common practice.
    melody = (Note(Fraction(0), BAR, pitch_from_midi(72)),)
    voiced = voice_row(symbols("Cmaj7"), melody)[0]
    assert voiced is not None
    assert Degree(6) in voiced.degrees
    assert Degree(7) not in voiced.degrees


def test_a_plain_dominant_gives_way_to_the_colour_of_the_melody() -> None:
    # Melody b9 over G7: no natural 9 beside it.
    melody = (Note(Fraction(0), BAR, pitch_from_midi(68)),)
    voiced = voice_row(row_of(chord(1, "7"), chord(0, "maj7")), melody)[0]
    assert voiced is not None
    assert Degree(9) not in voiced.degrees


# --- properties ---------------------------------------------------------------------------------------------------

chords = st.builds(chord, st.integers(-6, 5), st.sampled_from(sorted(QUALITIES)))
rows = st.lists(st.one_of(chords, st.none()), min_size=1, max_size=12)


@settings(max_examples=120, deadline=None)
@given(rows)
def test_any_row_is_voiced_lawfully_and_the_same_way_twice(items: list[Chord | None]) -> None:
    row = row_of(*items)
    voiced = voice_row(row)
    assert voiced == voice_row(row)
    for slot, item in zip(row, voiced, strict=True):
        assert (slot.chord is None) == (item is None)
        if item is not None and slot.chord is not None:
            assert (item.onset, item.duration) == (slot.onset, slot.duration)
            assert_lawful(item, in_context(slot.chord))


@settings(max_examples=60, deadline=None)
@given(chords, chords)
def test_neighbours_are_never_an_octave_apart(first: Chord, second: Chord) -> None:
    one, other = voice_row(row_of(first, second))
    assert one is not None
    assert other is not None
    assert abs(one.notes[-1] - other.notes[-1]) <= 9
